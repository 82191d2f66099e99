//! A service that stays up: commands go through its socket, it ends when told, nobody else can
//! have the folder meanwhile, and no secret is in what either side logs.

mod soaked;

use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use end_to_end::county::{World, about, admitted, fault};
use end_to_end::process::Device;
use sponson_link::founding::STORE_FOLDER;
use sponson_link::identity::{LOG_KEY_FILE, TLS_KEY_FILE};
use sponson_link::{Code, Identity};
use sponson_replica::{OpenError, Replica};

mod strangers;

fn mode(file: &Path) -> u32 {
    let found = std::fs::metadata(file).expect("it is there");
    found.permissions().mode() & 0o7777
}

fn store_is_taken(device: &Device) -> bool {
    let identity = Identity::load(device.folder()).expect("it has keys");
    let store = device.folder().join(STORE_FOLDER);
    let opened = Replica::open(&store, identity.log_key().clone());
    matches!(opened, Err(OpenError::InUse(_)))
}

#[test]
fn commands_go_through_the_socket_until_it_is_told_to_end() {
    let world = World::founded();
    let county = world.county();
    let (county_up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    station.sync_by_hand();
    let up = station.serve_station();
    for device in [&county, &station] {
        assert_eq!(mode(&device.socket()), 0o600, "{device:?}");
        // So that what a command then reads and records can only have gone through the socket.
        assert!(store_is_taken(device), "{device:?}");
    }
    station.fine(&["sync"]);
    let before = about(&station, "events held");
    let _ = fault(&station, "11", "tube-3", "leak");
    assert_eq!(about(&station, "events held"), before + 1);

    let second = station.run(&["serve"]);
    assert_eq!(second.code(), Some(4), "{second:?}");
    assert!(second.err.contains("in use"), "{second:?}");
    assert!(station.socket().exists(), "the first is still there");
    assert_eq!(about(&station, "waiting for the county"), 1);

    for (device, up) in [(&station, up), (&county, county_up)] {
        let ended = up.terminate();
        assert_eq!(ended.code(), Some(0), "{ended:?}");
        assert!(!device.socket().exists(), "{device:?}");
        assert!(!store_is_taken(device), "{device:?}");
    }
    assert_eq!(about(&station, "events held"), before + 1);
}

#[test]
fn keys_are_for_their_owner_alone() {
    let world = World::founded();
    let county = world.county();
    let (_up, address) = county.serve_county();
    let station = world.joined("Millrace", address);
    let mut files = vec![world.path("root.key")];
    for device in [&county, &station] {
        files.extend([LOG_KEY_FILE, TLS_KEY_FILE].map(|name| device.folder().join(name)));
    }
    for file in files {
        assert_eq!(mode(&file), 0o600, "{}", file.display());
    }
}

const BASE64: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
const BASE64_FOR_URLS: &[u8; 64] =
    b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const BASE32: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";
const CROCKFORD: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const HEX: &[u8; 16] = b"0123456789ABCDEF";

/// The whole digits of some bytes in an alphabet of a power of two (RFC 4648, without the rest of
/// bits at the end, so that padding does not matter).
fn digits(bytes: &[u8], alphabet: &[u8]) -> String {
    let bits = alphabet.len().ilog2();
    let (mut held, mut count, mut text) = (0_u32, 0, String::new());
    for byte in bytes {
        held = (held << 8) | u32::from(*byte);
        count += 8;
        while count >= bits {
            count -= bits;
            let digit = usize::try_from(held >> count).expect("few bits");
            text.push(char::from(alphabet[digit % alphabet.len()]));
        }
        held &= (1 << count) - 1;
    }
    text
}

/// A secret in the forms in which a log might show it, in capitals.
fn forms(secret: &[u8]) -> Vec<String> {
    let alphabets: [&[u8]; 5] = [BASE64, BASE64_FOR_URLS, BASE32, CROCKFORD, HEX];
    let mut forms: Vec<String> = alphabets
        .iter()
        .map(|alphabet| digits(secret, alphabet).to_uppercase())
        .collect();
    let listed = format!("{secret:?}").to_uppercase();
    forms.push(listed.trim_matches(['[', ']']).to_owned());
    forms.push(format!("{secret:X?}").trim_matches(['[', ']']).to_owned());
    let escaped = secret.escape_ascii().to_string();
    forms.extend([escaped.replace("\\x00", "\\0"), escaped].map(|text| text.to_uppercase()));
    forms
}

#[test]
fn digits_are_those_of_the_standard() {
    // RFC 4648, section 10: the vectors for "foobar", whose base32 has one digit of rest.
    for (alphabet, wanted) in [
        (BASE64.as_slice(), "Zm9vYmFy"),
        (BASE32.as_slice(), "MZXW6YTBO"),
        (HEX.as_slice(), "666F6F626172"),
    ] {
        assert_eq!(digits(b"foobar", alphabet), wanted);
    }
}

#[test]
fn no_log_holds_a_secret() {
    let world = World::founded();
    let county = world.county().logging("trace");
    let (up, address) = county.serve_county();
    let code = admitted(&county, "Millrace");
    let station = world.station("millrace").logging("trace");
    let station_up = {
        let joined = station.run(&["join", &code, "--county", &address.to_string()]);
        assert_eq!(joined.code(), Some(0), "{joined:?}");
        assert!(!joined.out.contains(&code), "{joined:?}");
        let up = station.serve_station();
        (joined.err, up)
    };
    let (mut logs, station_up) = (vec![station_up.0], station_up.1);
    for line in [
        ["sync"].as_slice(),
        &["out", "11", "rest"],
        &["sync"],
        &["verify"],
    ] {
        let ended = station.run(line);
        assert_eq!(ended.code(), Some(0), "{ended:?}");
        logs.push(ended.err);
    }
    // Used twice, the code is refused; the refusal and its log do not repeat it either.
    let again = world.station("weir").logging("trace");
    let refused = again.run(&["join", &code, "--county", &address.to_string()]);
    assert_eq!(refused.code(), Some(3), "{refused:?}");
    logs.extend([refused.err, refused.out]);
    let (station_log, county_log) = (station_up.terminate().err, up.terminate().err);
    for log in [&station_log, &county_log] {
        assert!(log.contains("TRACE"), "it logged all it can: {log}");
    }
    logs.extend([station_log, county_log]);

    let mut secrets = vec![code.to_uppercase(), code.replace('-', "").to_uppercase()];
    for device in [&county, &station, &again] {
        let seed = std::fs::read(device.folder().join(LOG_KEY_FILE)).expect("a seed");
        secrets.extend(forms(&seed));
        let tls = std::fs::read_to_string(device.folder().join(TLS_KEY_FILE)).expect("a TLS key");
        let lines = tls.lines().filter(|line| !line.starts_with("-----"));
        secrets.extend(lines.map(str::to_uppercase));
    }
    let read = Code::parse(&code).expect("a code");
    secrets.extend(forms(read.secret()));
    let root = std::fs::read_to_string(world.path("root.key")).expect("a root key");
    secrets.extend(root.lines().nth(1).map(str::to_uppercase));
    let logs = logs.join("\n").to_uppercase();
    for (position, secret) in secrets.iter().enumerate() {
        assert!(secret.len() >= 12, "secret {position} is short");
        // Not shown when it fails: test output is a log too.
        assert!(!logs.contains(secret), "secret {position} is in a log");
    }
}
