//! What a failure looks like to a crew: each is made, and the words that the program then says are
//! those that README promises.

use std::fs;
use std::path::Path;

use sponson_link::Clock;
use sponson_link::county::codes::NotAdmitted;
use sponson_replica::{Now, StoreError};
use sponson_show::terminal::Exit;

use crate::world::{World, surroundings};

const FAULT: &str = "fault 'Boat 3' tube-1 leak --severity major";

/// README, with its lines joined.
fn readme() -> String {
    let text = include_str!("../../../README.md");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Words that stand in README as what people see.
fn promised(words: &str) -> &str {
    assert!(readme().contains(words), "README does not say '{words}'");
    words
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder") {
        let entry = entry.expect("an entry");
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).expect("a file");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lost_tablet_is_ended_and_another_takes_over() {
    let (world, serving) = World::up().await;
    world.check("station", FAULT, Exit::Fine, "fault").await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    let revoke = "revoke 'North Landing/1' lost --yes";
    world.check("county", revoke, Exit::Fine, "").await;
    let said = promised("the lead ended this device's key");
    world.check("station", "sync", Exit::Refused, said).await;
    world.check("station", "about", Exit::Fine, said).await;
    // Recording goes on, whatever becomes of it.
    world.check("station", FAULT, Exit::Fine, "fault").await;
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_copied_folder_is_told_at_both() {
    let (world, serving) = World::up().await;
    copy(&world.path("station"), &world.path("twin"));
    for (device, part) in [("station", "tube-1"), ("twin", "tube-2")] {
        let fault = FAULT.replace("tube-1", part);
        world.check(device, &fault, Exit::Fine, "fault").await;
        world.run(device, "sync").await;
    }
    for device in ["station", "twin"] {
        world.run(device, "sync").await;
        let said = promised("this device was copied or restored");
        world.check(device, "about", Exit::Fine, said).await;
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tablet_put_back_from_a_backup_goes_on_when_it_syncs_first() {
    let (world, serving) = World::up().await;
    copy(&world.path("station"), &world.path("backup"));
    world.check("station", FAULT, Exit::Fine, "fault").await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    promised("synced first, it has its entries back and goes on");
    world
        .check("backup", "sync", Exit::Fine, "nothing waits")
        .await;
    world.check("backup", FAULT, Exit::Fine, "fault").await;
    world
        .check("backup", "sync", Exit::Fine, "nothing waits")
        .await;
    let about = world.check("backup", "about", Exit::Fine, "").await;
    assert!(!about.contains("tell the lead"), "{about}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_dead_clock_is_told_at_the_sync() {
    let (world, serving) = World::up().await;
    let (mut given, _, err) = surroundings();
    given.clock = Clock::new(|| Now {
        unix_ms: 0,
        utc_offset_min: 0,
        boot_id: [1; 16],
        monotonic_ms: 1,
    });
    let folder = world.path("station").into_os_string();
    let args = ["station".into(), "--folder".into(), folder, "sync".into()];
    let exit = sponson_client::run_async(args, &mut given).await;
    assert_eq!(exit, Exit::Fine, "{}", err.text());
    promised("'clock: ... behind the county's ...: set it'");
    let said = err.text();
    let line = said.lines().find(|line| line.starts_with("clock: "));
    let line = line.expect("the clock is told");
    assert!(line.contains("behind the county's"), "{line}");
    assert!(line.ends_with(": set it"), "{line}");
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn the_network_and_whoever_answers_there() {
    let (world, serving) = World::up().await;
    let (other, other_serving) = World::up().await;
    // Another county answers at the address.
    let settings = world.path("station").join("settings.toml");
    let ours = fs::read_to_string(&settings).expect("settings");
    let theirs = ours.replace(world.address(), other.address());
    fs::write(&settings, theirs).expect("writes");
    let said = promised("answers with a key that is not the county's: nothing was sent");
    world.check("station", "sync", Exit::Network, said).await;
    fs::write(&settings, ours).expect("writes");
    // Nobody answers.
    serving.end().await;
    other_serving.end().await;
    promised("'cannot reach ...'");
    world.check("station", FAULT, Exit::Fine, "fault").await;
    world
        .check("station", "sync", Exit::Network, "cannot reach")
        .await;
    world
        .check("station", "ready 'Boat 3'", Exit::Judged, "Boat 3")
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn wrong_codes() {
    let (world, serving) = World::up().await;
    let (other, other_serving) = World::up().await;
    let admit = world.check("county", "admit South", Exit::Fine, "works once");
    let admit = admit.await;
    let code = admit
        .lines()
        .next()
        .and_then(|line| line.rsplit(' ').next());
    let code = code.expect("it ends with the code");
    let address = format!("--county {}", world.address());
    let mut swapped: Vec<char> = code.chars().collect();
    let unlike = (1..swapped.len()).find(|at| {
        let pair = [swapped[at - 1], swapped[*at]];
        pair[0] != pair[1] && !pair.contains(&'-')
    });
    let at = unlike.expect("two that differ");
    swapped.swap(at - 1, at);
    let swapped = String::from_iter(swapped);
    let said = promised("code was mistyped: compare it group by group");
    let join = format!("join {swapped} {address}");
    world.check("new", &join, Exit::Refused, said).await;

    let said = promised("is not the county that gave this code");
    let join = format!("join {code} --county {}", other.address());
    world.check("new", &join, Exit::Refused, said).await;

    let join = format!("join {code} {address}");
    world
        .check("new", &join, Exit::Fine, "joined as South")
        .await;
    let said = promised("this code was used before");
    world.check("newer", &join, Exit::Refused, said).await;
    assert_eq!(
        NotAdmitted::Ended.to_string(),
        promised("this code has ended")
    );
    serving.end().await;
    other_serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stick_of_another_county() {
    let (world, serving) = World::up().await;
    let (other, other_serving) = World::up().await;
    let stick = world.path("stick");
    let out = format!("carry out {}", stick.display());
    other.check("station", &out, Exit::Fine, "").await;
    promised("'file is of county ..., not of ...'");
    let taken = format!("carry in {}", stick.display());
    for program in ["station", "county"] {
        let said = "file is of county";
        world.check(program, &taken, Exit::Refused, said).await;
    }
    serving.end().await;
    other_serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_damaged_store_is_told_and_salvaged() {
    let (world, serving) = World::up().await;
    let file = world.path("station").join("store/store/db");
    let bytes = fs::read(&file).expect("the store's file");
    fs::write(&file, vec![0x5a; bytes.len()]).expect("writes");
    let (exit, said) = world.run("station", "about").await;
    assert_eq!(exit, Exit::Store, "{said}");
    let told = [promised("was damaged"), promised("does not open")];
    assert!(told.iter().any(|told| said.contains(told)), "{said}");
    assert!(said.contains("salvage"), "{said}");
    // Nothing at all can be read of this one, so that it cannot tell what it recorded last.
    promised("asks for a new code when it cannot tell what this device recorded last");
    let said = "ask the lead for a new code";
    world.check("station", "salvage", Exit::Store, said).await;
    world
        .check("station", "about", Exit::Fine, "events held: 11")
        .await;
    serving.end().await;
}

#[test]
fn a_disk_that_does_not_answer_is_told() {
    let stuck = StoreError::NoAnswer("the disk did not answer within 15 s".to_owned()).to_string();
    let told = promised("whether this was kept is not known: look at the disk");
    assert!(stuck.contains(told), "{stuck}");
    promised("see whether it is there before you record it once more");
    assert!(stuck.contains("see whether it is there before you record it once more"));
}

#[test]
fn a_full_disk_is_told_with_what_was_not_kept() {
    let full = StoreError::Write("no space left on device".to_owned()).to_string();
    assert!(
        full.contains(promised("nothing was kept, look at the disk")),
        "{full}"
    );
}
