use bytes::Bytes;
use sponson_proto::service::v1::{FieldEntered, UnderWayStage};

use super::*;
use crate::catalogue::tests::sample;

/// 2026-03-14, noon UTC.
const NOW: Moment = Moment(1_773_489_600_000);

/// The name of a picture.
const PICTURE: &str = "00112233445566778899aabbccddeeff00112233445566778899aabbccddeeff";

/// A full check of Boat 3 in which these fields were entered.
fn with(fields: &[(&str, &str)]) -> CheckUnderWay {
    CheckUnderWay {
        id: "0a1b2c3d".to_owned(),
        craft: Bytes::from(vec![2; 16]),
        craft_number: "Boat 3".to_owned(),
        kind: UnderWayKind::Full as i32,
        stage: UnderWayStage::Open as i32,
        fields: fields
            .iter()
            .map(|(name, value)| FieldEntered {
                name: (*name).to_owned(),
                value: (*value).to_owned(),
                member: "M-104".to_owned(),
                unix_ms: NOW.0,
                ..FieldEntered::default()
            })
            .collect(),
        ..CheckUnderWay::default()
    }
}

fn typed(fields: &[(&str, &str)]) -> Vec<FieldTyped> {
    let typed = fields.iter().map(|(name, value)| FieldTyped {
        name: (*name).to_owned(),
        value: (*value).to_owned(),
    });
    typed.collect()
}

#[test]
fn fields_make_the_check_that_a_file_makes() {
    let check = with(&[
        ("air", "41"),
        ("stood", "10"),
        ("gauge", "G1"),
        ("elevation", "820"),
        ("stowage", "Inflated"),
        ("note", "done in rain"),
        ("reading.tube-1.found", "3.4"),
        ("reading.tube-1.left", "3,6"),
        ("reading.tube-1.valves", "shut"),
        ("reading.tube-1.fabric", "40"),
        ("reading.tube-2.found", "35"),
        ("reading.tube-2.affirmed", "yes"),
        ("count.life-jacket@B7.count", "6"),
        ("count.life-jacket@B7.bad", "1"),
        ("count.life-jacket.count", "none"),
        ("answer.drain-plug", "y"),
        ("answer.drain-plug.note", "spare fitted"),
        ("meter.M3", "112.4"),
        ("cylinder.C1", "4200"),
        ("fuel.craft.amount", "5.5"),
        ("fuel.craft.filled", "1 Mar 26"),
        ("fuel.craft.mix", "50:1"),
        ("seal.B7.number", "004217"),
        ("seal.B7.earliest", "3/27"),
        ("aboard.M3", "yes"),
        ("fault.0.part", "tube-2"),
        ("fault.0.class", "leak"),
        ("fault.0.severity", "major"),
        ("fault.0.side", "port"),
        ("fault.0.from-transom", "16"),
        ("fault.0.note", "hisses"),
        ("picture.0", PICTURE),
        ("nothing.we.know", "x"),
    ]);
    let catalogue = sample();
    let fields = fields_of(&check);
    assert_eq!(problems(&check, &fields, &catalogue, NOW), []);
    let file = check_file(&check, &fields, &catalogue).expect("reads");
    let written = CheckFile::parse(
        r#"
craft = "Boat 3"
extent = "full"
air = "41 F"
stood = "10 h"
elevation = "820 ft"
gauge = "G1"
stowage = "inflated"
aboard = ["M3"]
[readings.tube-1]
found = "3.4 psi"
left = "3.6 psi"
valves = "shut"
fabric = "40 F"
[readings.tube-2]
found = "35 psi"
affirmed = true
[counts.life-jacket]
count = 0
[counts."life-jacket@B7"]
count = 6
unserviceable = 1
[answers]
drain-plug = "yes"
[meters]
M3 = "112.4 h"
[cylinders]
C1 = "4200 psi"
[fuel.craft]
amount = "5.5 gal"
filled = "2026-03-01"
mix = "50:1"
[seals.B7]
number = "004217"
earliest = "2027-03"
[[faults]]
part = "tube-2"
class = "leak"
severity = "major"
side = "port"
from_transom = "16 in"
note = "hisses"
[notes]
drain-plug = "spare fitted"
check = "done in rain"
"#,
    )
    .expect("a check file");
    let built = |file| build(file, &catalogue, NOW).expect("fits");
    assert_eq!(built(&file), built(&written));
    assert_eq!(built(&file).check.seals[0].seal, "004217");
}

/// What stands there, what is typed beside it, the field that is refused, and its words.
type Wrong = (
    &'static [(&'static str, &'static str)],
    &'static [(&'static str, &'static str)],
    &'static str,
    &'static str,
);

const WRONG: &[Wrong] = &[
    (
        &[],
        &[("reading.tube-1.found", "35")],
        "reading.tube-1.found",
        "that is 35.00 psi; a reading",
    ),
    (
        &[],
        &[
            ("reading.tube-1.found", "3"),
            ("reading.tube-1.left", "3 ft"),
        ],
        "reading.tube-1.left",
        "'ft' in '3 ft'",
    ),
    (
        &[],
        &[
            ("reading.tube-1.found", "3"),
            ("reading.tube-1.valves", "ajar"),
        ],
        "reading.tube-1.valves",
        "'ajar' is none of shut, open",
    ),
    (
        &[],
        &[("reading.tube-1.added-by", "lungs")],
        "reading.tube-1.added-by",
        "none of hand pump",
    ),
    (
        &[],
        &[("reading.tube-9.found", "3")],
        "reading.tube-9.found",
        "did you mean tube-1",
    ),
    (
        &[],
        &[("count.life-jacket.count", "six")],
        "count.life-jacket.count",
        "'six' is no whole number",
    ),
    (
        &[("count.life-jacket.count", "2")],
        &[("count.life-jacket.bad", "3")],
        "count.life-jacket.bad",
        "at most 2",
    ),
    (
        &[],
        &[
            ("count.life-jacket.count", "2"),
            ("count.life-jacket.dates", "03/04"),
        ],
        "count.life-jacket.dates",
        "type 2003-04 or 2004-03",
    ),
    (
        &[],
        &[
            ("count.life-jacket.count", "2"),
            ("count.life-jacket.dates", "3 x 3/27"),
        ],
        "count.life-jacket.dates",
        "2 were counted",
    ),
    (
        &[],
        &[("count.flares.count", "2")],
        "count.flares.count",
        "has no item flares",
    ),
    (
        &[],
        &[("count.life-jacket@B9.count", "2")],
        "count.life-jacket@B9.count",
        "bag B9 is not known",
    ),
    (&[], &[("air", "41 psi")], "air", "'psi' in '41 psi'"),
    (&[], &[("gauge", "G7")], "gauge", "did you mean G1"),
    (
        &[],
        &[("answer.drain-plug", "perhaps")],
        "answer.drain-plug",
        "none of yes",
    ),
    (
        &[],
        &[("fuel.craft.amount", "3"), ("fuel.craft.mix", "5:1")],
        "fuel.craft.mix",
        "10:1",
    ),
    (
        &[],
        &[("seal.B7.number", "1"), ("seal.B7.earliest", "soon")],
        "seal.B7.earliest",
        "'soon' is no date",
    ),
    (&[], &[("meter.M3", "long")], "meter.M3", "is not a number"),
    (
        &[],
        &[("aboard.B7", "no")],
        "aboard.B7",
        "record where it was moved",
    ),
    (
        &[],
        &[("observed", "last week")],
        "observed",
        "needs a day and a time",
    ),
    (
        &[],
        &[("fault.0.severity", "awful")],
        "fault.0.severity",
        "none of disabling",
    ),
    (
        &[("fault.0.part", "tube-1"), ("fault.0.class", "leak")],
        &[("fault.0.severity", "major"), ("fault.0.missions", "moon")],
        "fault.0.missions",
        "has no mission moon",
    ),
    (
        &[],
        &[("fault.0.picture.1", "00ff")],
        "fault.0.picture.1",
        "that is no picture",
    ),
    (&[], &[("guage", "G1")], "guage", "is no field"),
];

#[test]
fn what_is_wrong_is_said_beside_its_field_and_the_rest_is_kept() {
    for (there, now, wrong, said) in WRONG {
        let tried = try_fields(&with(there), &typed(now), &sample(), NOW);
        let refused: Vec<&str> = tried.refused.iter().map(|one| one.field.as_str()).collect();
        assert_eq!(refused, [*wrong], "{now:?}: {tried:?}");
        assert!(
            tried.refused[0].why.contains(said),
            "{}",
            tried.refused[0].why
        );
        assert_eq!(tried.keep.len(), now.len() - 1, "{now:?}");
    }
}

#[test]
fn an_unlikely_value_stands_when_somebody_stands_by_it() {
    let there = with(&[]);
    let unlikely = [("reading.tube-1.found", "35")];
    let tried = try_fields(&there, &typed(&unlikely), &sample(), NOW);
    let stand_by = tried.refused[0].stand_by.as_deref();
    assert_eq!(stand_by, Some("reading.tube-1.affirmed"));
    assert!(
        tried.refused[0]
            .why
            .ends_with("if the gauge showed it, stand by it"),
        "{tried:?}"
    );
    let stood_by = [unlikely[0], ("reading.tube-1.affirmed", "yes")];
    let tried = try_fields(&there, &typed(&stood_by), &sample(), NOW);
    assert_eq!((tried.keep.len(), tried.refused.len()), (2, 0));
}

#[test]
fn half_of_a_group_can_be_kept_and_is_asked_for_at_the_end() {
    for (half, asked) in [
        ("reading.tube-1.added-by", "reading.tube-1.found"),
        ("count.life-jacket.dates", "count.life-jacket.count"),
        ("seal.B7.earliest", "seal.B7.number"),
        ("fuel.craft.filled", "fuel.craft.amount"),
        ("fault.3.note", "fault.3.part"),
    ] {
        let value = if half.ends_with("added-by") {
            "hand pump"
        } else {
            "3/27"
        };
        let tried = try_fields(&with(&[]), &typed(&[(half, value)]), &sample(), NOW);
        assert_eq!(tried.refused, [], "{half}");
        let check = with(&[(half, value)]);
        let wrong = problems(&check, &fields_of(&check), &sample(), NOW);
        let wrong: Vec<String> = wrong.iter().map(|one| one.field.to_string()).collect();
        assert_eq!(wrong, [asked]);
    }
}
