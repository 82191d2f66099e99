use super::*;
use crate::commands::air::AirArgs;
use crate::commands::crews::CrewsArgs;
use crate::commands::fault::FaultArgs;
use crate::commands::r#use::UseArgs;

fn pairs(text: &str) -> Vec<Pair> {
    let fields = text.split('&').filter(|it| !it.is_empty());
    let pair = |field: &str| {
        let (name, value) = field.split_once('=').expect("a field");
        (name.to_owned(), value.to_owned())
    };
    fields.map(pair).collect()
}

fn faults<A: Args + std::fmt::Debug>(text: &str) -> Vec<(String, String)> {
    let faults = read::<A>(&pairs(text), &["token"]).expect_err(text);
    faults
        .into_iter()
        .map(|fault| (fault.field, fault.text))
        .collect()
}

#[test]
fn a_form_is_the_command_that_it_stands_for() {
    let form =
        "token=x&craft=Boat 3&time=90min&meter.M3=113.6h&capsized=yes&used-up.throw-bag=2&engine=";
    let args: UseArgs = read(&pairs(form), &["token"]).expect("reads");
    let said = format!("{args:?}");
    for held in [
        "\"Boat 3\"",
        "time: \"90min\"",
        "[\"M3=113.6h\"]",
        "[\"throw-bag=2\"]",
        "capsized: true",
        "hard: false",
        "engine: None",
    ] {
        assert!(said.contains(held), "{held}: {said}");
    }
    let form = "craft=Boat 3&part=tube-2&class=leak&severity=major&side=port&mission=flood&mission=ice&note=-x";
    let args: FaultArgs = read(&pairs(form), &[]).expect("reads");
    let said = format!("{args:?}");
    assert!(
        said.contains("[\"flood\", \"ice\"]") && said.contains("Some(\"-x\")"),
        "{said}"
    );
}

#[test]
fn what_is_missing_or_wrong_is_told_beside_its_field() {
    for (form, field, said) in [
        ("craft=Boat 3&time=", "time", "How long"),
        (
            "craft=Boat 3&time=1h&water=muddy",
            "water",
            "possible values",
        ),
        ("craft=Boat 3&time=1h&colour=red", "colour", "colour"),
    ] {
        let told = faults::<UseArgs>(form);
        assert!(
            told.iter()
                .any(|(of, text)| of == field && text.contains(said)),
            "{form}: {told:?}"
        );
    }
    let told = faults::<FaultArgs>("craft=Boat 3");
    let fields: Vec<&str> = told.iter().map(|(field, _)| field.as_str()).collect();
    assert_eq!(fields, ["part", "class", "severity"]);
    let told = faults::<AirArgs>("craft=Boat 3&part=tube-1&done=burst");
    assert_eq!(told[0].0, "done", "{told:?}");
    let told = faults::<CrewsArgs>("crews=1");
    assert_eq!(told[0].0, "until", "{told:?}");
}

#[test]
fn a_form_is_bounded() {
    let long = "x".repeat(VALUE_BYTES_MAX + 1);
    let told = faults::<UseArgs>(&format!("craft=Boat 3&time=1h&note={long}"));
    assert!(
        told[0].0 == "note" && told[0].1.contains("shorten"),
        "{}",
        told[0].0
    );
    let many = vec!["mission=flood"; PAIRS_MAX + 1].join("&");
    assert!(faults::<UseArgs>(&many)[0].1.contains("at most"));
}

#[test]
fn what_a_command_refuses_stands_beside_its_field() {
    let given = pairs("time=soon&meter.M3=113h&meter.M4=abc&part=tube-9&gear=M7");
    for (error, field) in [
        ("--time is soon; write 90min", "time"),
        ("--meter is abc; write 113.6h", "meter.M4"),
        ("PART: boat standard x has no part tube-9; it has y", "part"),
        ("gear M7 is not known here", "gear"),
        ("RESULT is missing; say passed or failed", "result"),
        ("<FAULT>...", "fault"),
        ("the other side is busy", ""),
    ] {
        assert_eq!(field_of(error, &given), field, "{error}");
    }
}
