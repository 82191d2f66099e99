//! A check asked line by line at a station's terminal: kept as it is typed, gone on with, by two
//! members, recorded, dropped.

use std::io;

use sponson_client::CommandError;
use sponson_client::session::Session;
use sponson_client::settings::{SETTINGS_FILE, Settings};
use sponson_client::under_way::asking::{Beginning, Prompt, ask_round};
use sponson_link::local::{Opening, connect};
use sponson_link::{Clock, Entropy};
use sponson_proto::service::v1::UnderWayKind;
use sponson_show::terminal::{Attended, Exit, Terminal};

use crate::world::{NOW_MS, World, Written, clocks};

/// More than a check has lines: who is still asked then is asked for ever.
const ASKED_MAX: usize = 400;

/// A person who types these lines at the prompts that hold these words, in turn, and Enter alone at
/// all others; and everything that was asked, as it was shown.
struct Person {
    member: &'static str,
    minutes: u64,
    types: Vec<(&'static str, &'static str)>,
    breaks_off_at: &'static str,
    shown: Vec<String>,
}

impl Person {
    fn who_types(member: &'static str, types: &[(&'static str, &'static str)]) -> Self {
        Self {
            member,
            minutes: 0,
            types: types.to_vec(),
            breaks_off_at: "",
            shown: Vec::new(),
        }
    }

    fn answer(&mut self, asked: &Prompt<'_>) -> Result<String, CommandError> {
        let Prompt {
            prompt,
            help,
            typed,
        } = asked;
        self.shown.push(format!("{prompt} | {help} | {typed}"));
        let ends = !self.breaks_off_at.is_empty() && prompt.contains(self.breaks_off_at);
        if ends || self.shown.len() > ASKED_MAX {
            return Err(CommandError::BrokenOff);
        }
        let place = self.types.iter().position(|(at, _)| prompt.contains(at));
        Ok(place.map_or_else(
            || (*typed).to_owned(),
            |place| self.types.remove(place).1.to_owned(),
        ))
    }

    /// Is asked for a check at the station, with nobody serving there.
    async fn check(&mut self, world: &World, craft: &str) -> (Result<Exit, CommandError>, String) {
        let folder = world.path("station");
        let settings = Settings::read(&folder.join(SETTINGS_FILE)).expect("it has joined");
        let now = clocks(
            1,
            self.minutes,
            NOW_MS + i64::try_from(self.minutes).expect("few") * 60_000,
        );
        let opening = Opening {
            folder,
            side: settings.station_side().expect("it has joined"),
            clock: Clock::new(move || now),
            entropy: Entropy::system(),
            version: "test".to_owned(),
            places: None,
        };
        let local = connect(opening).await.expect("opens");
        let (mut out, mut err, mut input) = (Written::default(), Written::default(), io::empty());
        let (told, talked) = (out.clone(), err.clone());
        let terminal = Terminal::new(&mut out, &mut err, &mut input, Attended::Yes);
        let member = self.member.to_owned();
        let mut session = Session::new(local.client(), terminal, member, now.unix_ms);
        let beginning = Beginning {
            craft: craft.to_owned(),
            kind: UnderWayKind::Full,
            from_paper: false,
        };
        let mut ask = |asked: &Prompt<'_>| self.answer(asked);
        let ended = ask_round(&beginning, &mut session, &mut ask).await;
        drop(session);
        local.close().await;
        (ended, format!("{}{}", told.text(), talked.text()))
    }

    fn was_asked(&self, words: &str) -> usize {
        self.shown
            .iter()
            .filter(|shown| shown.contains(words))
            .count()
    }
}

const TYPED: [(&str, &str); 12] = [
    ("Air that", "41"),
    ("Elevation of", "820"),
    ("For how long", "10"),
    ("Number of the gauge", "G1"),
    ("How it is kept", "inflated"),
    ("Gauge at tube 1", "3.4 left 3.6 by foot pump"),
    ("Gauge at tube 2", "3.5 psi"),
    ("How many: life jackets", "8 bad 1"),
    ("Fuel", "5.5, filled 3/26, mix 50:1"),
    ("Fault found", "tube-2 leak minor port: hisses"),
    ("Fault found", "transom crack minor"),
    ("Record this check", "yes"),
];

#[tokio::test]
async fn what_is_typed_is_recorded_and_told() {
    let (world, serving) = World::up().await;
    let mut person = Person::who_types("M-104", &TYPED);
    let (ended, told) = person.check(&world, "boat 3").await;
    assert!(
        matches!(ended, Ok(Exit::Fine)),
        "{ended:?} {:?}",
        person.shown.last()
    );
    assert!(person.types.is_empty(), "not asked: {:?}", person.types);
    for said in [
        "air added to tube-1",
        "not in this check (",
        "Boat 3",
        "not at the county yet",
    ] {
        assert!(told.contains(said), "'{said}' is not told: {told}");
    }
    let log = world
        .check("station", "log 'Boat 3'", Exit::Fine, "M-104")
        .await;
    assert_eq!(
        log.matches("check").count(),
        2,
        "as found, then the rest: {log}"
    );
    world
        .check("station", "ready 'Boat 3'", Exit::Judged, "leak")
        .await;
    world
        .check(
            "station",
            "checks",
            Exit::Fine,
            "recorded less than 1 min ago by M-104",
        )
        .await;
    serving.end().await;
}

/// Broken off at a line: all before it is there, and another member goes on from it.
#[tokio::test]
async fn a_check_that_was_broken_off_is_gone_on_with_by_another_member() {
    let (world, serving) = World::up().await;
    let mut first = Person::who_types("M-104", &TYPED);
    first.breaks_off_at = "Gauge at tube 2";
    let (ended, _) = first.check(&world, "Boat 3").await;
    let error = ended.expect_err("broken off");
    assert!(
        error.to_string().contains("sponson check 'Boat 3'"),
        "{error}"
    );
    world
        .check(
            "station",
            "checks",
            Exit::Fine,
            "Boat 3: full check, begun less than 1 min ago by M-104",
        )
        .await;
    let mut second = Person::who_types(
        "M-099",
        &[
            ("Gauge at tube 2", "<"),
            ("Gauge at tube 1", "3.3 left 3.6 by foot pump"),
            ("Gauge at tube 2", "3.5"),
            ("Gauge at tube 3", ">"),
            ("Record this check", "yes"),
        ],
    );
    second.minutes = 20;
    let (ended, told) = second.check(&world, "Boat 3").await;
    assert!(matches!(ended, Ok(Exit::Fine)), "{ended:?}");
    let begun = &second.shown[0];
    assert!(
        begun.contains("was begun 20 min ago by M-104, with 6 of "),
        "{begun}"
    );
    let back = second.shown.iter();
    let mut back = back.filter(|shown| shown.starts_with("Gauge at tube 1"));
    let back = back.next().expect("one line back");
    assert!(back.contains("M-104 entered this 20 min ago"), "{back}");
    assert!(back.ends_with("3.4 left 3.6 by foot pump"), "{back}");
    assert_eq!(second.was_asked("Air that"), 0, "it was entered already");
    assert!(told.contains("air added to tube-1"), "{told}");
    let log = world
        .check("station", "log 'Boat 3'", Exit::Fine, "M-099")
        .await;
    assert!(log.contains("M-104"), "how it is kept: {log}");
    serving.end().await;
}

#[tokio::test]
async fn a_line_that_cannot_be_is_asked_again_with_what_was_wrong() {
    let (world, serving) = World::up().await;
    let mut person = Person::who_types(
        "M-104",
        &[
            ("Air that", "41 psi"),
            ("Air that", "41 F"),
            ("gauge", "G7"),
            ("gauge", ""),
            ("Gauge at tube 1", "35 psi"),
            ("Gauge at tube 1", "3 ft"),
            ("Gauge at tube 1", "3.4 psi"),
            ("How many: life jackets", "eight"),
            ("How many: life jackets", "8"),
            ("Fault found", "tube-9 leak major"),
            ("Fault found", "tube-2 leak"),
            ("Fault found", ""),
            ("Record this check", "no"),
        ],
    );
    let (ended, told) = person.check(&world, "Boat 3").await;
    assert!(matches!(ended, Ok(Exit::Fine)), "{ended:?}");
    assert!(
        told.contains("left under way: go on with sponson check 'Boat 3'"),
        "{told}"
    );
    for (asked, said, typed) in [
        (
            "Air that",
            "'psi' in '41 psi' is not a unit for this",
            "41 psi",
        ),
        ("Number of the gauge", "did you mean G1?", "G7"),
        (
            "Gauge at tube 1",
            "that is 35.00 psi; a reading of this part",
            "35 psi",
        ),
        (
            "Gauge at tube 1",
            "'ft' in '3 ft' is not a unit for this",
            "3 ft",
        ),
        (
            "How many: life jackets",
            "'eight' is no whole number",
            "eight",
        ),
        (
            "Fault found",
            "has no part tube-9; did you mean",
            "tube-9 leak major",
        ),
        ("Fault found", "type three words", "tube-2 leak"),
    ] {
        let again = person.shown.iter().any(|shown| {
            shown.starts_with(asked) && shown.contains(said) && shown.ends_with(typed)
        });
        assert!(
            again,
            "{asked} is not asked again after {typed}: {:#?}",
            person.shown
        );
    }
    let listed = world
        .check("station", "checks", Exit::Fine, "3 entries by M-104")
        .await;
    let id = listed.split_whitespace().next().expect("a name");
    let drop = format!("--member M-099 checks --drop {id}");
    world
        .check(
            "station",
            &drop,
            Exit::Fine,
            "dropped less than 1 min ago by M-099",
        )
        .await;
    world
        .check(
            "station",
            &drop,
            Exit::Refused,
            "was dropped by M-099: begin another one",
        )
        .await;
    serving.end().await;
}

#[tokio::test]
async fn a_craft_that_is_not_known_is_told_before_anything_is_asked() {
    let (world, serving) = World::up().await;
    let mut person = Person::who_types("M-104", &[]);
    let (ended, _) = person.check(&world, "Boat 5").await;
    let error = ended.expect_err("not known");
    assert!(error.to_string().contains("did you mean"), "{error}");
    assert!(person.shown.is_empty());
    world
        .check(
            "station",
            "checks",
            Exit::Fine,
            "no check is under way here",
        )
        .await;
    serving.end().await;
}
