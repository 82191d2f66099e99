//! A person types, line by line; what comes out is the check that a file would have made.

use super::*;
use crate::catalogue::tests::sample;
use crate::check_file::Extent;

/// 2026-03-14, noon UTC.
const NOW: Moment = Moment(1_773_489_600_000);

/// A person who types these lines at the prompts that hold these words, in turn, and Enter alone at
/// all others; and everything that was asked, as it was shown.
struct Person {
    types: Vec<(&'static str, &'static str)>,
    shown: Vec<String>,
}

impl Person {
    fn who_types(types: &[(&'static str, &'static str)]) -> Self {
        Self {
            types: types.to_vec(),
            shown: Vec::new(),
        }
    }

    fn answer(&mut self, asked: &Prompt<'_>) -> String {
        let Prompt {
            prompt,
            help,
            typed,
        } = asked;
        self.shown.push(format!("{prompt} | {help} | {typed}"));
        let place = self.types.iter().position(|(at, _)| prompt.contains(at));
        place.map_or_else(String::new, |place| self.types.remove(place).1.to_owned())
    }

    fn check(&mut self, craft: &str) -> Result<CheckFile, CommandError> {
        let begun = CheckFile {
            craft: craft.to_owned(),
            extent: Extent::Full,
            ..CheckFile::default()
        };
        ask_along(begun, &sample(), NOW, &mut |asked| Ok(self.answer(asked)))
    }
}

#[test]
fn what_is_typed_makes_the_check_that_a_file_makes() {
    let mut person = Person::who_types(&[
        ("Air that", "41 F"),
        ("For how long", "10 h"),
        ("gauge", "G1"),
        ("How it is kept", "inflated"),
        ("Gauge at tube 1", "3.4 psi left 3.6 psi"),
        ("Gauge at tube 2", "3.5 psi"),
        ("How many: life jackets", "8 bad 1"),
        ("Meter of M3", "112.4 h"),
        ("Fault found", "tube-2 leak major"),
        ("Fault found", "transom crack minor"),
    ]);
    let typed = person.check("Boat 3").expect("a check");
    assert!(person.types.is_empty(), "not asked: {:?}", person.types);
    let written = CheckFile::parse(
        "craft = \"Boat 3\"\nextent = \"full\"\nair = \"41 F\"\nstood = \"10 h\"\ngauge = \"G1\"\n\
         stowage = \"inflated\"\n\
         [readings.tube-1]\nfound = \"3.4 psi\"\nleft = \"3.6 psi\"\n\
         [readings.tube-2]\nfound = \"3.5 psi\"\n\
         [counts.life-jacket]\ncount = 8\nunserviceable = 1\n\
         [meters]\nM3 = \"112.4 h\"\n\
         [[faults]]\npart = \"tube-2\"\nclass = \"leak\"\nseverity = \"major\"\n\
         [[faults]]\npart = \"transom\"\nclass = \"crack\"\nseverity = \"minor\"\n",
    )
    .expect("a check file");
    let (typed, written) = (
        build(&typed, &sample(), NOW),
        build(&written, &sample(), NOW),
    );
    assert_eq!(typed.expect("fits"), written.expect("fits"));
}

#[test]
fn every_line_of_the_standard_is_asked_once_and_enter_alone_leaves_it_out() {
    let mut person = Person::who_types(&[]);
    let file = person.check("Boat 3").expect("a check");
    let catalogue = sample();
    let craft = catalogue.craft("Boat 3").expect("there");
    let standard = catalogue.standard(craft).expect("adopted").standard;
    let asked = |words: &str| {
        let shown = person.shown.iter();
        shown.filter(|shown| shown.starts_with(words)).count()
    };
    for line in &standard.questions {
        assert_eq!(asked(&format!("{}? |", line.label)), 1, "{}", line.label);
    }
    for item in &standard.items {
        let prompt = format!("How many: {} (", item.label);
        assert_eq!(asked(&prompt), 1, "{}", item.label);
    }
    assert_eq!(asked("Meter of M3"), 1);
    let left_out = build(&file, &catalogue, NOW).expect("fits").left_out;
    assert!(left_out.len() > standard.questions.len(), "{left_out:?}");
}

#[test]
fn a_line_that_cannot_be_is_asked_again_with_what_was_wrong() {
    let mut person = Person::who_types(&[
        ("Air that", "41 psi"),
        ("Air that", "41 F"),
        ("gauge", "G7"),
        ("Gauge at tube 1", "35 psi"),
        ("Gauge at tube 1", "3 ft"),
        ("Gauge at tube 1", "3.4 psi"),
        ("How many: life jackets", "8"),
        ("Dates on them", "2027-14"),
        ("Meter of M3", "long"),
        ("Fault found", "tube-9 leak major"),
        ("Fault found", "tube-2 leak"),
        ("Fault found", "tube-2 leak major"),
    ]);
    let file = person.check("Boat 3").expect("a check");
    assert_eq!(file.readings["tube-1"].found.as_deref(), Some("3.4 psi"));
    assert_eq!(file.faults.len(), 1);
    let again: Vec<&String> = person
        .shown
        .iter()
        .filter(|shown| !shown.ends_with("| "))
        .collect();
    let again: Vec<String> = again.into_iter().cloned().collect();
    insta::assert_snapshot!(again.join("\n"), @r"
    Air that the craft stood in | 'psi' in '41 psi' is not a unit for this; accepted: F, C | 41 psi
    Number of the gauge | gear G7 is not known here: did you mean G1? | G7
    Gauge at tube 1, port bow | that is 35.00 psi; a reading of this part lies between 0.00 psi and 7.25 psi: look which part and which unit it was; if the gauge showed it, stand by it: affirmed = true in a check file, an ! at the end when asked step by step | 35 psi
    Gauge at tube 1, port bow | 'ft' in '3 ft' is not a unit for this; accepted: psi, mbar, bar, kPa, hPa, Pa | 3 ft
    Dates on them: repair kit with glue of its fabric | count them first: Enter alone to go on | 2027-14
    Meter of M3 | 'long' is not a number with a unit; write for example 2 h | long
    Fault found | boat standard inflatable-14 has no part tube-9; did you mean tube-1, tube-2, tube-3? | tube-9 leak major
    Fault found | type three words, for example tube-2 leak major | tube-2 leak
    ");
}

#[test]
fn whoever_breaks_off_has_recorded_nothing() {
    let begun = CheckFile {
        craft: "Boat 3".to_owned(),
        ..CheckFile::default()
    };
    let mut left = 3;
    let ended = ask_along(begun, &sample(), NOW, &mut |_| {
        left -= 1;
        if left == 0 {
            return Err(broken_off(InquireError::OperationInterrupted));
        }
        Ok(String::new())
    });
    assert!(matches!(ended, Err(CommandError::BrokenOff)), "{ended:?}");
    assert_eq!(left, 0, "nothing is asked after that");
    let without_terminal = broken_off(InquireError::NotTTY);
    assert!(matches!(without_terminal, CommandError::NobodyToAsk { .. }));
}

#[test]
fn a_craft_that_is_not_known_is_told_before_anything_is_asked() {
    let mut person = Person::who_types(&[]);
    let error = person.check("Boat 5").expect_err("not known");
    assert!(error.to_string().contains("did you mean"), "{error}");
    assert!(person.shown.is_empty());
}
