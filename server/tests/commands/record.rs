//! The record of a craft: shown, written, signed; checked from the file alone and beside a copy of the
//! log; every changed byte, and every statement changed by somebody who may sign, is refused.

use sponson_link::craft_record::check;
use sponson_link::identity::Identity;
use sponson_log::craft_record::{self as file, SignedJson};
use sponson_show::craft_record::CraftRecord;
use sponson_show::terminal::Exit;

use crate::world::World;

/// The event of what was just recorded, by its short name.
fn event(said: &str) -> String {
    let last = said.trim_end().rsplit(' ').next().expect("a word");
    let name = last.trim_end_matches(')');
    name.split('-').next().expect("an event").to_owned()
}

/// A craft with something of everything: found, repaired, signed off, used, corrected, withdrawn.
async fn lived(world: &World) {
    let fine = |line: String| async move { world.check("station", &line, Exit::Fine, "").await };
    let leak = fine(
        "fault 'Boat 3' tube-2 leak --severity major --note 'by the valve' --member 17".to_owned(),
    )
    .await;
    let name = leak
        .trim_end()
        .rsplit(' ')
        .next()
        .expect("a fault")
        .to_owned();
    fine(format!(
        "repair 'Boat 3' {name} --method patch-two-part --member 18"
    ))
    .await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
    let signed = format!("sign-off 'Boat 3' {name}");
    world.check("county", &signed, Exit::Fine, "").await;
    let out = fine("out 'Boat 3' mechanical".to_owned()).await;
    let withdrawn = format!("withdraw {}", event(&out));
    fine(withdrawn).await;
    fine("move M3 'Boat 3'".to_owned()).await;
    world
        .check("station", "sync", Exit::Fine, "nothing waits")
        .await;
}

fn signed(world: &World, name: &str) -> Vec<u8> {
    std::fs::read(world.path(name)).expect("it is written")
}

#[tokio::test(flavor = "multi_thread")]
async fn everything_is_shown_written_and_checked() {
    let (world, serving) = World::up().await;
    lived(&world).await;
    let text = world
        .check(
            "station",
            "record 'Boat 3'",
            Exit::Fine,
            "Record of Boat 3, all that is known",
        )
        .await;
    for said in [
        "Craft registered: Boat 3",
        "plate: persons: 10",
        "fault 0: major, leak at",
        "by the valve",
        "! fault 0 worked on by entry",
        "! fault 0 signed off by entry",
        "! withdrawn by entry",
        "Withdrawal of an earlier entry",
        "M3 fitted to Boat 3",
        "Motor registered: M3",
        "member 17",
        "of the county log, received at the county",
        "Boat standard inflatable-14, revision 1",
        "Advice only",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );

    let files = ["r.html", "r.json", "r.record"].map(|name| world.path(name));
    let [html, json, record] = files.map(|path| path.to_str().expect("UTF-8").to_owned());
    let line = format!("record 'Boat 3' --html {html} --json {json} --signed {record}");
    world
        .check("station", &line, Exit::Fine, "signed record of Boat 3")
        .await;
    world
        .check("station", &line, Exit::Refused, "it is there already")
        .await;
    assert!(!world.path("r.record.part").exists());
    let opened = file::open(&signed(&world, "r.record")).expect("a signed record");
    assert_eq!(opened.json.as_ref(), signed(&world, "r.json").as_slice());
    let page = String::from_utf8(signed(&world, "r.html")).expect("UTF-8");
    assert!(page.contains("How to check it") || page.contains("how to check it"));

    // By itself, where there is no log; beside the station's copy; beside the county's.
    let verify = format!("verify --record {record}");
    let alone = world
        .check("nowhere", &verify, Exit::Fine, "each of them proven")
        .await;
    assert!(
        alone.contains("Whether an entry is missing is not"),
        "{alone}"
    );
    for program in ["station", "county"] {
        let held = "no entry about the craft is missing";
        world.check(program, &verify, Exit::Fine, held).await;
    }
    serving.end().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_part_of_the_time_and_what_was_known_then() {
    let (world, serving) = World::up().await;
    lived(&world).await;
    for (line, exit, said) in [
        (
            "record 'Boat 3' --from 2026-03-14",
            Exit::Fine,
            "from 2026-03-14 00:00 on",
        ),
        (
            "record 'Boat 3' --until 2020-01-01",
            Exit::Fine,
            "lie outside of the period",
        ),
        (
            "record 'Boat 3' --from 2026-03-15 --until 2026-03-14",
            Exit::Refused,
            "end before it begins",
        ),
        ("record 'Boat 3' --from soon", Exit::WrongUse, "--from"),
        (
            "record 'Boat 3' --known-by 0",
            Exit::Refused,
            "it must be at least 1",
        ),
        (
            "record 'Boat 3' --known-by 99999",
            Exit::Refused,
            "entries of the county log are held",
        ),
        ("record 'Boat 9'", Exit::Refused, "Boat 9 is not known here"),
        (
            "record 'Boat 3' --html /nowhere/at/all.html",
            Exit::Store,
            "all.html",
        ),
        (
            "verify --record /nowhere/at/all",
            Exit::Refused,
            "/nowhere/at/all",
        ),
        (
            "verify --county abc",
            Exit::WrongUse,
            "it goes with --proof or --record",
        ),
    ] {
        world.check("station", line, exit, said).await;
    }
    // What was recorded after the first entries is not in what was known by them.
    let all = world
        .check("county", "record 'Boat 3'", Exit::Fine, "signed off")
        .await;
    assert!(all.contains("Out of service: mechanical"));
    let text = world
        .check("county", "record 'Boat 3' --known-by 8", Exit::Fine, "")
        .await;
    assert!(text.contains("as it was known then"), "{text}");
    assert!(!text.contains("Out of service: mechanical"), "{text}");
    serving.end().await;
}

/// What a station has not sent yet stands in its record, and is said not to be at the county.
#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_at_the_county_is_said() {
    let (world, serving) = World::up().await;
    let leak = "fault 'Boat 3' tube-2 leak --severity minor";
    world.check("station", leak, Exit::Fine, "fault ").await;
    let record = world.path("w.record");
    let record = record.to_str().expect("UTF-8");
    let line = format!("record 'Boat 3' --signed {record}");
    world
        .check("station", &line, Exit::Fine, "signed record")
        .await;
    let said = "not yet at the county";
    world
        .check("station", "record 'Boat 3'", Exit::Fine, said)
        .await;
    let verify = format!("verify --record {record}");
    world.check("station", &verify, Exit::Fine, said).await;
    world
        .check(
            "county",
            &verify,
            Exit::Fine,
            "no entry about the craft is missing",
        )
        .await;
    serving.end().await;
}

/// Every byte of a file, and every cut of it.
#[tokio::test(flavor = "multi_thread")]
async fn a_changed_byte_is_refused_wherever_it_is() {
    let (world, serving) = World::up().await;
    let record = world.path("b.record");
    let line = format!("record 'Boat 4' --signed {}", record.display());
    world
        .check("county", &line, Exit::Fine, "signed record")
        .await;
    let whole = signed(&world, "b.record");
    check(&whole, None).expect("it holds");
    for at in 0..whole.len() {
        let mut changed = whole.clone();
        changed[at] ^= 1 << (at % 8);
        assert!(
            check(&changed, None).is_err(),
            "byte {at} of {}",
            whole.len()
        );
    }
    for end in (0..whole.len()).step_by(97) {
        assert!(check(&whole[..end], None).is_err(), "cut at {end}");
    }
    let mut changed = whole.clone();
    changed[200] ^= 1;
    let broken = world.path("broken.record");
    std::fs::write(&broken, changed).expect("writes");
    let verify = format!("verify --record {}", broken.display());
    world
        .check("nowhere", &verify, Exit::Refused, "changed on its way")
        .await;
    let other = format!(
        "verify --record {} --county {}",
        record.display(),
        "ab".repeat(16)
    );
    world
        .check("nowhere", &other, Exit::Refused, "is of county")
        .await;
    serving.end().await;
}

type Change = (&'static str, fn(&mut CraftRecord), &'static str);

/// What whoever may sign could change, and what is said of it.
const CHANGES: &[Change] = &[
    (
        "a time",
        |it| it.entries[0].claimed_at = "2020-01-01T00:00:00Z".to_owned(),
        "entry 1: its time",
    ),
    (
        "a member",
        |it| it.entries[1].signed_by.member = "99".to_owned(),
        "entry 2: its member",
    ),
    (
        "a key",
        |it| it.entries[1].signed_by.key = "00".repeat(32),
        "entry 2: its key",
    ),
    (
        "a kind",
        |it| it.entries[1].kind = "note".to_owned(),
        "entry 2: its kind",
    ),
    (
        "an id",
        |it| it.entries[1].event = "00".repeat(32),
        "leads to another root",
    ),
    (
        "a station",
        |it| it.entries[0].signed_by.station = "Elsewhere".to_owned(),
        "did not let in its key",
    ),
    (
        "a place",
        |it| it.entries[0].place = Some(2),
        "leads to another root",
    ),
    (
        "when it was stored",
        |it| {
            let received = it.entries[0].received_unix_ms.as_mut().expect("it has one");
            *received += 1;
        },
        "leads to another root",
    ),
    (
        "a place taken away",
        |it| it.entries[0].place = None,
        "the event is not in the county log",
    ),
    (
        "an entry taken out",
        |it| {
            it.entries.remove(0);
        },
        "the event is not in the county log",
    ),
    (
        "an entry twice",
        |it| it.entries.push(it.entries[0].clone()),
        "stands there twice",
    ),
    ("a number", |it| it.entries[0].number = 7, "another number"),
    (
        "a text",
        |it| {
            let with = it.entries.iter_mut().find(|entry| !entry.texts.is_empty());
            with.expect("one has a text").texts[0].text = Some("other".to_owned());
        },
        "a text beside it",
    ),
    (
        "another key named",
        |it| it.made.key = "11".repeat(32),
        "another key",
    ),
    (
        "another log named",
        |it| it.log.id = Some("22".repeat(16)),
        "another county log",
    ),
    (
        "another root named",
        |it| it.log.root = "33".repeat(32),
        "the root that it names",
    ),
    ("no registry", |it| it.proof.registry.clear(), "root key"),
    (
        "no statement",
        |it| it.proof.checkpoint = None,
        "lacks the checkpoint",
    ),
    (
        "another path",
        |it| it.proof.path = String::new(),
        "the event is not in the county log",
    ),
    (
        "a body",
        |it| {
            let signed = it.entries[0].signed.clone();
            it.entries[0].signed = it.entries[1].signed.clone();
            it.entries[1].signed = signed;
        },
        "its id",
    ),
];

#[tokio::test(flavor = "multi_thread")]
async fn what_somebody_who_may_sign_changes_is_told() {
    let (world, serving) = World::up().await;
    lived(&world).await;
    let line = format!(
        "record 'Boat 3' --signed {}",
        world.path("s.record").display()
    );
    world
        .check("county", &line, Exit::Fine, "signed record")
        .await;
    let identity = Identity::load(&world.path("county")).expect("keys");
    let key = identity.log_key();
    let opened = file::open(&signed(&world, "s.record")).expect("signed");
    let record = CraftRecord::of_json(&opened.json).expect("a record");
    let again = |record: &CraftRecord| -> Vec<u8> {
        let json = record.to_json().into_bytes();
        let (file, _): (Vec<u8>, SignedJson) =
            file::write(json, key.key(), |what, it| key.sign(what, it));
        file
    };
    check(&again(&record), None).expect("unchanged it holds");
    for (name, change, said) in CHANGES {
        let mut changed = record.clone();
        change(&mut changed);
        assert_ne!(changed, record, "{name} changes nothing");
        let error = check(&again(&changed), None).expect_err(name);
        assert!(error.to_string().contains(said), "{name}: {error}");
    }

    // A record that leaves entries out, with a proof of those in it: the file alone holds, and a copy
    // of the log shows what is missing.
    let line = format!(
        "record 'Boat 3' --until 2020-01-01 --signed {}",
        world.path("e.record").display()
    );
    world
        .check("county", &line, Exit::Fine, "signed record")
        .await;
    let opened = file::open(&signed(&world, "e.record")).expect("signed");
    let mut less = CraftRecord::of_json(&opened.json).expect("a record");
    less.period = record.period.clone();
    std::fs::write(world.path("less.record"), again(&less)).expect("writes");
    let verify = format!("verify --record {}", world.path("less.record").display());
    world
        .check("nowhere", &verify, Exit::Fine, "The record of Boat 3 holds")
        .await;
    world
        .check("county", &verify, Exit::Refused, "an entry is missing")
        .await;
    // One that says something else than the log.
    let mut other = record.clone();
    other.entries[1].what = "All is well".to_owned();
    std::fs::write(world.path("other.record"), again(&other)).expect("writes");
    let verify = format!("verify --record {}", world.path("other.record").display());
    world.check("nowhere", &verify, Exit::Fine, "holds").await;
    world
        .check("station", &verify, Exit::Refused, "says 'All is well'")
        .await;
    serving.end().await;
}
