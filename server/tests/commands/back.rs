//! The county that comes back: from a backup, with and without its root key, and from an old folder
//! that somebody copied back.

use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use sponson_server::backup::Backup;
use sponson_show::terminal::Exit;

use crate::world::{Serving, World};

/// Sets the county's folder aside, as a lost machine would.
fn lose(world: &World, aside: &str) {
    std::fs::rename(world.path("county"), world.path(aside)).expect("the folder is free");
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("folder") {
        let entry = entry.expect("entry");
        let target = to.join(entry.file_name());
        let kind = entry.file_type().expect("type");
        if kind.is_dir() {
            copy_folder(&entry.path(), &target);
        } else if kind.is_file() {
            std::fs::copy(entry.path(), target).expect("file");
        }
    }
}

/// Serves again, at an address that the station is told.
async fn again(world: &mut World) -> Serving {
    let serving = world.serve().await;
    world.county_moved();
    serving
}

/// What both copies of the log say of themselves and of a craft.
async fn all_is_well(world: &World) {
    for program in ["county", "station"] {
        world
            .check(program, "verify", Exit::Fine, "all is well")
            .await;
    }
}

/// A fault at one of the parts of the craft.
fn fault(part: &str) -> String {
    format!("fault 'Boat 3' {part} hole --severity restrictive")
}

/// A county whose backup is older than what the station synced, and is all that is left.
async fn lost() -> World {
    let (world, serving) = World::up().await;
    let backup = world.path("old.backup");
    let line = format!("backup {}", backup.display());
    world
        .check("county", &line, Exit::Fine, "locked away")
        .await;
    world
        .check("station", &fault("floor"), Exit::Fine, "")
        .await;
    world
        .check("station", "sync", Exit::Fine, "sent 1 event")
        .await;
    // Of the county's own chain: the station holds it, the backup does not.
    let assign = "assign 'Boat 4' 'Flood 12' --mission flood";
    world.check("county", assign, Exit::Fine, "assigned").await;
    world
        .check("county", "admit Weir", Exit::Fine, "works once")
        .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    serving.end().await;
    lose(&world, "lost");
    world
}

#[tokio::test(flavor = "multi_thread")]
async fn what_the_county_lost_since_the_backup_comes_back_with_its_station() {
    let mut world = lost().await;
    let (backup, root) = (world.path("old.backup"), world.path("stick.key"));
    let restore = format!("restore {} --root-key {}", backup.display(), root.display());
    world
        .check("county", &restore, Exit::Fine, "under a new log")
        .await;
    world
        .check("county", &restore, Exit::Refused, "a county already")
        .await;
    assert!(!world.path("county.restoring").exists());
    let said = world
        .check("county", "answer", Exit::Fine, "was restored on")
        .await;
    assert!(
        said.contains("may still be missing until they sync: North Landing"),
        "{said}"
    );
    // With its new key the county records at once.
    world
        .check("county", "admit South", Exit::Fine, "works once")
        .await;
    let serving = again(&mut world).await;
    let said = world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    assert!(
        said.contains(
            "the county was restored from a backup; this station held 3 entries that it had lost: \
             they are back"
        ),
        "{said}"
    );
    let said = world
        .check("county", "about", Exit::Fine, "restored from a backup of")
        .await;
    assert!(
        said.contains("lost entries that came back: 3 from North Landing"),
        "{said}"
    );
    let said = world
        .check("county", "answer", Exit::Fine, "Flood 12")
        .await;
    assert!(!said.contains("note:"), "{said}");
    world
        .check("county", "log 'Boat 3'", Exit::Fine, "hole")
        .await;
    world
        .check("station", "ready", Exit::Fine, "was restored on")
        .await;
    // The working key of before is where it was, and its chain did not part.
    all_is_well(&world).await;
    world
        .check("county", "admit Weir", Exit::Fine, "works once")
        .await;
    world
        .check("station", &fault("transom"), Exit::Fine, "")
        .await;
    world
        .check("station", "sync", Exit::Fine, "sent 1 event")
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn without_the_root_key_it_takes_in_and_records_nothing_itself() {
    let mut world = lost().await;
    let (backup, root) = (world.path("old.backup"), world.path("stick.key"));
    let line = format!("restore {}", backup.display());
    world.check("county", &line, Exit::Fine, "renew-key").await;
    let serving = again(&mut world).await;
    world
        .check("station", "sync", Exit::Fine, "they are back")
        .await;
    let refused = world
        .check("county", "admit South", Exit::Refused, "renew-key")
        .await;
    assert!(refused.contains("put back to an older state"), "{refused}");
    world
        .check(
            "county",
            "answer",
            Exit::Fine,
            "records nothing itself until",
        )
        .await;
    let renew = format!("renew-key --root-key {}", root.display());
    world.check("county", &renew, Exit::Store, "in use").await;
    serving.end().await;
    let other = World::new();
    let wrong = other.path("wrong.key");
    let init = format!("init --name Other --root-key {}", wrong.display());
    other.check("county", &init, Exit::Fine, "founded").await;
    let line = format!("renew-key --root-key {}", wrong.display());
    world
        .check("county", &line, Exit::Refused, "root key is of county")
        .await;
    world
        .check("county", "renew-key --root-key /nowhere", Exit::Refused, "")
        .await;
    world
        .check("county", &renew, Exit::Fine, "new working key")
        .await;
    world
        .check("county", "admit South", Exit::Fine, "works once")
        .await;
    let serving = again(&mut world).await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    all_is_well(&world).await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_county_may_be_restored_twice_from_the_same_backup() {
    let mut world = lost().await;
    let (backup, root) = (world.path("old.backup"), world.path("stick.key"));
    let restore = format!("restore {} --root-key {}", backup.display(), root.display());
    world.check("county", &restore, Exit::Fine, "new log").await;
    let serving = again(&mut world).await;
    world
        .check("station", "sync", Exit::Fine, "they are back")
        .await;
    world
        .check("county", "admit South", Exit::Fine, "works once")
        .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    serving.end().await;
    lose(&world, "lost again");
    world.check("county", &restore, Exit::Fine, "new log").await;
    let serving = again(&mut world).await;
    world
        .check("station", "sync", Exit::Fine, "they are back")
        .await;
    let devices = world
        .check("county", "devices", Exit::Fine, "Landing/1")
        .await;
    assert!(!devices.contains("not admitted"), "{devices}");
    world
        .check("county", "admit South", Exit::Fine, "works once")
        .await;
    let found = world
        .check("county", "answer", Exit::Fine, "Flood 12")
        .await;
    assert!(found.contains("Boat 3"), "{found}");
    world
        .check("station", &fault("transom"), Exit::Fine, "")
        .await;
    world
        .check("station", "sync", Exit::Fine, "sent 1 event")
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn an_old_folder_that_was_copied_back_is_noticed() {
    let (mut world, serving) = World::up().await;
    serving.end().await;
    copy_folder(&world.path("county"), &world.path("copy"));
    let serving = again(&mut world).await;
    world
        .check("station", &fault("floor"), Exit::Fine, "")
        .await;
    world
        .check("station", "sync", Exit::Fine, "sent 1 event")
        .await;
    world
        .check("county", "admit Weir", Exit::Fine, "works once")
        .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    serving.end().await;
    lose(&world, "lost");
    copy_folder(&world.path("copy"), &world.path("county"));

    // Nobody has noticed, and the lead records: this place of the county's chain was used.
    world
        .check("county", "admit Quay", Exit::Fine, "works once")
        .await;
    let serving = again(&mut world).await;
    world
        .check(
            "station",
            "sync",
            Exit::Fine,
            "had been put back to an older state",
        )
        .await;
    world
        .check("county", "admit Weir", Exit::Refused, "renew-key")
        .await;
    world
        .check("county", "answer", Exit::Fine, "put back to an older state")
        .await;
    serving.end().await;
    let root = world.path("stick.key");
    let renew = format!("renew-key --root-key {}", root.display());
    let said = world
        .check("county", &renew, Exit::Refused, "part in two")
        .await;
    let good = said
        .split("in two: ")
        .nth(1)
        .expect("named")
        .get(..12)
        .expect("digits");
    let line = format!("{renew} --last-good {good}");
    world
        .check("county", &line, Exit::Fine, "new working key")
        .await;
    world
        .check("county", "admit Weir", Exit::Fine, "works once")
        .await;
    let serving = again(&mut world).await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    world
        .check("county", "log 'Boat 3'", Exit::Fine, "hole")
        .await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_backup_is_for_its_owner_only_and_never_written_over() {
    let (world, serving) = World::up().await;
    let backup = world.path("now.backup");
    let line = format!("backup {}", backup.display());
    world
        .check("county", &line, Exit::Fine, "The root key is not in it")
        .await;
    let mode = std::fs::metadata(&backup)
        .expect("it is there")
        .permissions()
        .mode();
    assert_eq!(mode & 0o777, 0o600);
    world
        .check("county", &line, Exit::Refused, "there already")
        .await;
    assert!(!world.path("now.backup.part").exists());
    let nowhere = world.path("no folder").join("x");
    let line = format!("backup '{}'", nowhere.display());
    let (ended, said) = world.run("county", &line).await;
    assert_ne!(ended, Exit::Fine, "{said}");
    serving.end().await;

    let whole = std::fs::read(&backup).expect("reads");
    let root = std::fs::read_to_string(world.path("stick.key")).expect("reads");
    let digits = root.lines().nth(1).expect("the seed");
    let seed = data_encoding::HEXLOWER
        .decode(digits.as_bytes())
        .expect("hexadecimal");
    assert!(
        !whole.windows(32).any(|bytes| bytes == seed),
        "the root key stays out"
    );
    // A prime step: bytes at every place of a record come up.
    for at in (0..whole.len()).step_by(97) {
        let mut changed = whole.clone();
        changed[at] ^= 0x10;
        assert!(Backup::read(&changed).is_err(), "byte {at}");
    }
    lose(&world, "lost");
    let mut changed = whole.clone();
    changed[whole.len() / 2] ^= 1;
    for (name, bytes) in [
        ("changed", changed.as_slice()),
        ("cut", whole.get(..whole.len() - 1).expect("shorter")),
        ("empty", b"".as_slice()),
    ] {
        let file = world.path(name);
        std::fs::write(&file, bytes).expect("writes");
        let line = format!("restore {}", file.display());
        world.check("county", &line, Exit::Refused, name).await;
        assert!(!world.path("county").exists(), "nothing is left behind");
    }
}
