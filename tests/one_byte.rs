//! One changed byte: in the store, in a carry file, on the wire. It is named and refused, and it
//! never makes a different answer that nobody is told of.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use end_to_end::county::{World, about, text, verify};
use end_to_end::process::{Device, Ended};
use prost::bytes::Bytes;
use serde_json::Value;
use sponson_client::Surroundings;
use sponson_client::device::{opening, reach};
use sponson_client::settings::{Places, Settings};
use sponson_link::founding::STORE_FOLDER;
use sponson_link::local::Side;
use sponson_link::stubs::sync::sync_client::SyncClient;
use sponson_link::tls::{self, Trusted};
use sponson_link::{Identity, station::CountyAt};
use sponson_log::event::event_id;
use sponson_proto::event::v1::Event;
use sponson_proto::service::v1::LogRequest;
use sponson_proto::sync::v1::ExchangeRequest;

/// A moment at which every copy is asked.
const AS_OF: &str = "2035-01-01T00:00:00Z";

/// The station that records.
const OWN: &str = "Millrace";

/// Stands in signed bodies alone.
const MEMBER: &str = "M-77310942";

/// Stands beside bodies.
const NOTE: &str = "hisses beside the third handle";

/// A county with two stations that have joined; the first recorded faults that the second and the
/// county lack.
struct Recorded {
    world: World,
    first: Device,
    second: Device,
}

impl Recorded {
    fn new() -> Self {
        let world = World::founded();
        let (up, address) = world.county().serve_county();
        let first = world.joined(OWN, address);
        let second = world.joined("Weir", address);
        for station in [&first, &second, &first] {
            station.fine(&["sync"]);
        }
        for (craft, part) in [("11", "tube-1"), ("12", "tube-3"), ("21", "floor")] {
            record(&first, craft, part);
        }
        assert_eq!(up.terminate().code(), Some(0));
        Self {
            world,
            first,
            second,
        }
    }
}

fn record(station: &Device, craft: &str, part: &str) {
    let fault = ["fault", craft, part, "leak", "--severity", "restrictive"];
    let who = ["--note", NOTE, "--member", MEMBER];
    station.fine(&[&fault[..], &who[..]].concat());
}

/// Everything that a person or a program reads of a copy.
#[derive(Debug)]
struct Read {
    answer: Ended,
    log: Ended,
    verify: Ended,
}

impl Read {
    fn of(device: &Device) -> Self {
        Self {
            answer: device.run(&["ready", "--json", "--as-of", AS_OF]),
            log: device.run(&["log", "--last", "1000"]),
            verify: device.run(&["verify"]),
        }
    }

    /// Something says that this copy is wrong, and how to go on.
    fn says_so(&self) -> bool {
        let ended = &self.verify;
        ended.code() == Some(4) && ended.err.contains("sponson salvage")
    }

    /// Nothing that it shows differs from what it was.
    fn shows(&self, undamaged: &Self) -> bool {
        let same = |now: &Ended, then: &Ended| now.code() == then.code() && now.out == then.out;
        self.answer.code() == undamaged.answer.code()
            && told(&self.answer) == told(&undamaged.answer)
            && same(&self.log, &undamaged.log)
    }
}

/// The answer, but for when it was asked, and when the own station was heard, which is the same.
fn told(answer: &Ended) -> Value {
    let mut told: Value = serde_json::from_str(&answer.out).unwrap_or_default();
    told["asked_at"] = Value::Null;
    let stations = told["stations"].as_array_mut().into_iter().flatten();
    for station in stations.filter(|station| station["station"] == OWN) {
        station["last_heard"] = Value::Null;
        station["age_s"] = Value::Null;
    }
    told
}

#[test]
fn a_changed_byte_of_the_store_is_never_silent() {
    let Recorded { world, first, .. } = Recorded::new();
    let undamaged = Read::of(&copy(&first, &world.path("undamaged"), None));
    assert_eq!(undamaged.verify.code(), Some(0), "{undamaged:?}");
    assert!(undamaged.answer.out.contains("leak"), "{undamaged:?}");

    let bytes = std::fs::read(data_file(first.folder())).expect("the store is there");
    let (bodies, notes) = (places(&bytes, MEMBER), places(&bytes, NOTE));
    assert!(
        bodies.len() >= 3 && notes.len() >= 3,
        "{bodies:?} {notes:?}"
    );
    let mut told = 0;
    for at in bodies.iter().chain(&notes) {
        let read = Read::of(&copy(&first, &world.path(&format!("at-{at}")), Some(*at)));
        told += usize::from(read.says_so());
        assert!(read.says_so() || read.shows(&undamaged), "{at}: {read:?}");
    }
    // A page may stand in the file more than once; every event stands there at least once.
    assert!(told >= 6, "only {told} changes were found");
    for at in spread(bytes.len(), 24) {
        let read = Read::of(&copy(&first, &world.path(&format!("at-{at}")), Some(at)));
        assert!(read.says_so() || read.shows(&undamaged), "{at}: {read:?}");
    }
}

fn data_file(folder: &Path) -> PathBuf {
    folder.join(STORE_FOLDER).join("store/db")
}

/// A copy of a device's folder, with one byte of the store's file changed.
fn copy(device: &Device, to: &Path, changed: Option<usize>) -> Device {
    copy_folder(device.folder(), to);
    if let Some(at) = changed {
        let file = data_file(to);
        let mut bytes = std::fs::read(&file).expect("the store is there");
        *bytes.get_mut(at).expect("a place in the file") ^= 1;
        std::fs::write(&file, bytes).expect("writes");
    }
    Device::station(to)
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let (sort, to) = (
            entry.file_type().expect("known"),
            to.join(entry.file_name()),
        );
        if sort.is_dir() {
            copy_folder(&entry.path(), &to);
        } else if sort.is_file() {
            std::fs::copy(entry.path(), &to).expect("copies");
        }
    }
}

/// Where a text stands.
fn places(bytes: &[u8], text: &str) -> Vec<usize> {
    let found = bytes.windows(text.len()).enumerate();
    found
        .filter(|(_, window)| *window == text.as_bytes())
        .map(|(at, _)| at + text.len() / 2)
        .collect()
}

/// Places spread over a length, the first and the last byte among them.
fn spread(length: usize, count: usize) -> Vec<usize> {
    (0..count)
        .map(|place| place * (length - 1) / (count - 1))
        .collect()
}

#[test]
fn a_changed_byte_of_a_carry_file_is_refused_by_its_record() {
    let Recorded {
        world,
        first,
        second,
    } = Recorded::new();
    let file = world.path("stick.carry");
    first.fine(&["carry", "out", text(&file)]);
    let whole = std::fs::read(&file).expect("written");
    let before = about(&second, "events held");
    for at in spread(whole.len(), 48) {
        let mut bytes = whole.clone();
        *bytes.get_mut(at).expect("a place in the file") ^= 1;
        let damaged = world.path("damaged.carry");
        std::fs::write(&damaged, bytes).expect("writes");
        let ended = second.run(&["carry", "in", text(&damaged)]);
        assert_eq!(ended.code(), Some(3), "{at}: {ended:?}");
        let said = if at == 0 {
            "does not begin as a carry file"
        } else {
            "record"
        };
        assert!(ended.err.contains(said), "{at}: {ended:?}");
        assert_eq!(about(&second, "events held"), before, "{at}");
    }
    let cut = world.path("cut.carry");
    std::fs::write(&cut, &whole[..whole.len() - 1]).expect("writes");
    assert_eq!(second.run(&["carry", "in", text(&cut)]).code(), Some(3));
    assert_eq!(about(&second, "events held"), before);
    let said = second.fine(&["carry", "in", text(&file)]);
    assert!(said.contains("3 new here, 0 refused"), "{said}");
    verify(&second);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_changed_byte_on_the_wire_is_refused_by_its_id() {
    let Recorded {
        world,
        first,
        second,
    } = Recorded::new();
    record(&second, "21", "tube-2");
    let own = waiting(&first).await;
    let others = waiting(&second).await;
    let ([one, two, _], [other]) = (own.as_slice(), others.as_slice()) else {
        panic!("{} and {} events wait", own.len(), others.len());
    };
    let county = world.county();
    let (up, address) = county.serve_county();
    let before = about(&county, "events held");
    let (at, mut client) = connect(&first, &address.to_string()).await;
    for place in spread(other.body.len(), 24) {
        let mut body = other.body.to_vec();
        *body.get_mut(place).expect("a place in the body") ^= 1;
        let damaged = Event {
            body: body.clone().into(),
            ..other.clone()
        };
        let request = ExchangeRequest {
            county_id: at.clone(),
            events: vec![one.clone(), damaged, two.clone()],
            ..ExchangeRequest::default()
        };
        let reply = client.exchange(request).await.expect("the rest is fine");
        let refusals = reply.into_inner().refusals;
        let [refusal] = refusals.as_slice() else {
            panic!("{place}: {refusals:?}");
        };
        assert_eq!(refusal.event_id, event_id(&body).to_bytes(), "{place}");
        assert!(!refusal.reason.is_empty() && !refusal.detail.is_empty());
        assert_eq!(about(&county, "events held"), before + 2, "{place}");
    }
    // What depends on a refused one names what is missing.
    let mut body = own[2].body.to_vec();
    *body.last_mut().expect("not empty") ^= 1;
    record(&first, "12", "tube-4");
    let last = waiting(&first).await.pop().expect("it waits");
    let damaged = Event {
        body: body.into(),
        ..own[2].clone()
    };
    let request = ExchangeRequest {
        county_id: at,
        events: vec![damaged, last],
        ..ExchangeRequest::default()
    };
    let reply = client.exchange(request).await.expect("served").into_inner();
    let missing = reply.refusals.last().map(|refusal| refusal.missing.clone());
    let wanted = event_id(&own[2].body).to_bytes();
    assert_eq!(reply.refusals.len(), 2, "{reply:?}");
    assert!(
        missing.is_some_and(|ids| ids.contains(&wanted)),
        "{reply:?}"
    );

    for station in [&first, &second] {
        end_to_end::county::county_moved(station, address);
        let said = station.fine(&["sync"]);
        assert!(said.contains("nothing waits"), "{said}");
    }
    assert_eq!(about(&county, "events held"), before + 5);
    for device in [&county, &first, &second] {
        verify(device);
    }
    assert_eq!(up.terminate().code(), Some(0));
}

/// Events of a station that the county has not confirmed, oldest first.
async fn waiting(station: &Device) -> Vec<Event> {
    let places = Places::of("sponson", Some(station.folder())).expect("a folder");
    let settings = Settings::read(&places.settings).expect("it has joined");
    let side = settings.station_side().expect("it has joined");
    let surroundings = Surroundings::of_this_process();
    let opened = opening(&places, side, &surroundings);
    let local = reach(opened).await.expect("opens");
    let request = LogRequest {
        page_size: 1_000,
        ..LogRequest::default()
    };
    let reply = local.client().log(request).await.expect("served");
    let lines = reply.into_inner().lines;
    local.close().await;
    lines
        .into_iter()
        .filter(|line| line.received_unix_ms.is_none())
        .filter_map(|line| line.event)
        .collect()
}

/// The county's id, and a client that shows the station's own key.
async fn connect(
    station: &Device,
    address: &str,
) -> (Bytes, SyncClient<tonic::transport::Channel>) {
    let identity = Identity::load(station.folder()).expect("keys");
    let file = station.folder().join("settings.toml");
    let settings = Settings::read(&file).expect("it has joined");
    let Side::Station(CountyAt { tls_key, .. }) = settings.station_side().expect("joined") else {
        panic!("it is a station");
    };
    let county = waiting_county(station).await;
    let pinned = Trusted::Keys(BTreeSet::from([tls_key]));
    let config = tls::client(&identity, pinned).expect("tls");
    let channel = tls::channel(address, config)
        .await
        .expect("the county is up");
    (county, SyncClient::new(channel))
}

async fn waiting_county(station: &Device) -> Bytes {
    use prost::Message as _;
    let event = waiting(station).await.pop().expect("an event waits");
    let body = sponson_proto::event::v1::Body::decode(event.body).expect("a body");
    body.header.expect("a header").county_id
}
