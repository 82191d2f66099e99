//! What earlier versions of the programs left on disk: opened, checked, carried, restored and gone on
//! with by this one. And what a later version's county says to this one's station.
//!
//! `server/tests/upgraded/README.md` says how the folders were made.

use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

use prost::Message as _;
use sponson_log::event::{Clock, Draft, Header, SignedEvent};
use sponson_log::sign::DeviceKey;
use sponson_proto::event::v1::{self as wire, IfNotUnderstood, Kind};
use sponson_proto::store::v1::ChunkSource;
use sponson_readiness::standard::Policy;
use sponson_replica::Replica;
use sponson_show::terminal::Exit;

use crate::world::{NOW_MS, Serving, World};

/// Hours from the tests' own day to 2026-11-30, after all that the folders hold.
const HOURS: i64 = 261 * 24;

/// Length of a store's file: it was as long, and the zeros at its end are not kept.
const DB_BYTES: u64 = 524_287;

/// A version that was: the name of its folder, and the files beside those of county and station.
struct Version {
    name: &'static str,
    files: &'static [&'static str],
}

const VERSIONS: &[Version] = &[
    Version {
        name: "first",
        files: &["carry.bin"],
    },
    Version {
        name: "coordinator",
        files: &["carry.bin", "backup.bin", "proof.bin", "answer.bin"],
    },
    Version {
        name: "maintenance",
        files: &[
            "carry.bin",
            "backup.bin",
            "proof.bin",
            "answer.bin",
            "record.bin",
        ],
    },
];

fn kept(version: &Version) -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/upgraded");
    folder.join(version.name)
}

/// Copies a folder; what is in it is its owner's alone, as the programs leave it.
fn copy(from: &Path, to: &Path) {
    let set = |path: &Path, mode| {
        let mode = std::fs::Permissions::from_mode(mode);
        std::fs::set_permissions(path, mode).expect("our own");
    };
    std::fs::create_dir_all(to).expect("a folder");
    set(to, 0o700);
    for entry in std::fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let (from, to) = (entry.path(), to.join(entry.file_name()));
        if from.is_dir() {
            copy(&from, &to);
            continue;
        }
        std::fs::copy(&from, &to).expect("copies");
        set(&to, 0o600);
        if to.file_name().is_some_and(|name| name == "db") {
            let file = std::fs::File::options().write(true).open(&to);
            let lengthened = file.and_then(|file| file.set_len(DB_BYTES));
            lengthened.expect("it can be longer");
        }
    }
}

/// County and station as a version left them.
fn left_by(version: &Version) -> World {
    let world = World::new();
    copy(&kept(version), &world.path("."));
    world
}

async fn check(world: &World, program: &str, line: &str, said: &str) -> String {
    let (ended, text) = world.run_after(HOURS, program, line).await;
    assert_eq!(ended, Exit::Fine, "{program} {line}: {text}");
    assert!(
        text.contains(said),
        "{program} {line} does not say '{said}': {text}"
    );
    text
}

/// The short names of the entries of a log as it is listed.
fn listed(text: &str) -> Vec<String> {
    let last = text.lines().filter_map(|line| line.split(' ').next_back());
    let short = |word: &&str| word.len() == 8 && word.chars().all(|it| it.is_ascii_hexdigit());
    last.filter(short).map(str::to_owned).collect()
}

async fn serve(world: &mut World) -> Serving {
    let serving = world.serve_after(HOURS).await;
    world.county_moved();
    serving
}

#[tokio::test(flavor = "multi_thread")]
async fn folders_of_earlier_versions_open_and_go_on() {
    for version in VERSIONS {
        let mut world = left_by(version);
        for (program, log) in [("county", "log-county.txt"), ("station", "log-station.txt")] {
            let held = std::fs::read_to_string(kept(version).join(log)).expect("it is kept");
            let held: Vec<&str> = held.lines().collect();
            let well = format!("all is well: {} events", held.len());
            check(&world, program, "verify", &well).await;
            let text = check(&world, program, "log", "").await;
            assert_eq!(listed(&text), held, "{} {program}", version.name);
            check(&world, program, "about", "inflatable-14 revision 1").await;
        }
        // What waited for the county goes there, and what is new.
        let serving = serve(&mut world).await;
        check(&world, "station", "sync", "sent 1 event").await;
        let fault = "fault 11 floor hole --severity restrictive";
        check(&world, "station", fault, "fault").await;
        check(&world, "station", "sync", "sent 1 event").await;
        for (program, ask) in [("county", "answer"), ("station", "ready")] {
            let text = check(&world, program, ask, "cannot go    2: 11, 12").await;
            assert!(text.contains("hole at floor"), "{}: {text}", version.name);
            check(&world, program, "verify", "all is well").await;
        }
        serving.end().await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn files_of_earlier_versions_are_read() {
    for version in VERSIONS {
        let world = left_by(version);
        for file in version.files {
            let path = world.path(file);
            let path = path.to_str().expect("UTF-8");
            match *file {
                "carry.bin" => {
                    let line = format!("carry in {path}");
                    check(&world, "county", &line, "1 new here, 0 refused").await;
                    check(&world, "station", &line, "0 new here, 0 refused").await;
                }
                "backup.bin" => {
                    std::fs::rename(world.path("county"), world.path("lost")).expect("it is free");
                    let root = world.path("root.key");
                    let line = format!("restore {path} --root-key {}", root.display());
                    check(&world, "county", &line, "under a new log").await;
                    check(&world, "county", "verify", "all is well").await;
                    let text = check(&world, "county", "log", "").await;
                    let held = std::fs::read_to_string(kept(version).join("log-county.txt"));
                    for entry in held.expect("it is kept").lines() {
                        assert!(
                            listed(&text).iter().any(|it| it == entry),
                            "{entry}: {text}"
                        );
                    }
                }
                "proof.bin" => {
                    let line = format!("verify --proof {path}");
                    check(&world, "station", &line, "The proof holds").await;
                }
                "answer.bin" => {
                    let line = format!("verify --answer {path}");
                    check(&world, "station", &line, "The same: this copy").await;
                }
                "record.bin" => {
                    let line = format!("verify --record {path}");
                    check(&world, "station", &line, "The record of 11 holds").await;
                }
                other => panic!("nothing reads {other}"),
            }
        }
    }
}

/// Signs an entry as a later version's county would, and keeps it in the county's store.
fn later_county_says(world: &World, kind: Kind, payload: Vec<u8>) {
    let folder = world.path("county");
    let seed = std::fs::read(folder.join("log.key")).expect("the county's key");
    let key = DeviceKey::from_seed(seed.try_into().expect("32 bytes"));
    let store = folder.join("store");
    let mut county = Replica::open(&store, key.clone()).expect("nobody serves it");
    let chain = county.chains().get(&key.key()).expect("it wrote");
    let (previous, seq) = chain.heads().iter().next().expect("it wrote");
    let header = Header {
        county: county.county(),
        key: key.key(),
        seq: seq + 1,
        previous: Some(*previous),
        kind: kind as i32,
        kind_version: 1,
        if_not_understood: IfNotUnderstood::Hold,
        subjects: Vec::new(),
        clock: Clock {
            unix_ms: NOW_MS,
            utc_offset_min: 0,
            boot_id: [9; 16],
            monotonic_ms: 1,
        },
        checkpoint: None,
        observed: None,
        member: String::new(),
        beside: Vec::new(),
    };
    let draft = Draft {
        header,
        payload: payload.into(),
        beside: Vec::new(),
    };
    let event = SignedEvent::sign(draft, &key).expect("within the limits");
    let kept = county.keep(vec![event], ChunkSource::Own, NOW_MS);
    assert_eq!(kept.expect("the store is whole").new.len(), 1);
}

/// The county was upgraded first, and its lead signed what the station cannot read: nobody is kept
/// from recording, everybody is told, and no craft is shown as ready by what is not in force any more.
#[tokio::test(flavor = "multi_thread")]
async fn a_station_that_was_not_upgraded_goes_on_recording_and_says_so() {
    let (model, sheet) = sponson_readiness::standard::built_in()[0];
    let sheet = wire::BoatStandard {
        model: model.to_owned(),
        revision: 9,
        format: 1,
        text: sheet.replace("revision = 1", "revision = 9\nlater = 1"),
    };
    let policy = wire::Policy {
        format: 1,
        text: format!("later = 1\n{}", Policy::default_text()),
    };
    let cases = [
        (
            Kind::BoatStandard,
            sheet.encode_to_vec(),
            "boat standard inflatable-14 revision 9 is newer than this device understands",
        ),
        (
            Kind::Policy,
            policy.encode_to_vec(),
            "the county's policy is newer than this device understands",
        ),
    ];
    for (kind, payload, told) in cases {
        let (mut world, serving) = World::up().await;
        world.check("station", "sync", Exit::Fine, "").await;
        serving.end().await;
        later_county_says(&world, kind, payload);
        let serving = world.serve().await;
        world.county_moved();
        world
            .check("station", "sync", Exit::Fine, "received 1 event")
            .await;
        let fault = "fault 'Boat 3' floor hole --severity restrictive";
        world.check("station", fault, Exit::Fine, told).await;
        let note = "repair 'Boat 3' --all-at floor --method patch-two-part";
        world.check("station", note, Exit::Fine, told).await;
        let asked = "ready 'Boat 4'";
        let (_, text) = world.run("station", asked).await;
        assert!(
            text.contains("newer than this device understands"),
            "{text}"
        );
        assert!(text.contains("upgrade this device"), "{text}");
        world
            .check("station", "sync", Exit::Fine, "sent 2 events")
            .await;
        world
            .check("station", "verify", Exit::Fine, "all is well")
            .await;
        serving.end().await;
    }
}
