use sponson_proto::event::v1::ReadingMoment;

use super::*;
use crate::catalogue::tests::sample;

/// 2026-03-14, noon UTC.
const NOW: Moment = Moment(1_773_489_600_000);

const HEAD: &str = "craft = \"boat 3\"\nextent = \"part\"\n";

fn built(rest: &str) -> Result<BuiltCheck, CheckFileError> {
    let file = CheckFile::parse(&format!("{HEAD}{rest}"))?;
    build(&file, &sample(), NOW)
}

#[test]
fn the_example_in_the_help_fits_the_built_in_standard() {
    let file = CheckFile::parse(super::super::EXAMPLE).expect("reads");
    let built = build(&file, &sample(), NOW).expect("fits");
    assert_eq!(built.check.readings.len(), 2);
    assert_eq!(built.check.readings[0].gauge_pa, 23_442);
    assert_eq!(built.check.readings[0].air_mc, Some(5_000));
    assert_eq!(built.check.meters[0].engine_s, 404_640);
    assert_eq!(
        built.check.faults[0]
            .place
            .and_then(|place| place.from_transom_mm),
        Some(400)
    );
    assert_eq!(built.subjects.len(), 4, "craft, bag, motor and cylinder");
    let cylinder = &built.check.cylinders[0];
    assert_eq!(
        (cylinder.gauge_kpa, cylinder.temperature_mc),
        (28_958, Some(5_000))
    );
    let fuel = &built.check.fuel[0];
    assert_eq!((fuel.amount_ml, fuel.mix_ratio), (20_820, 50));
    assert_eq!(fuel.filled.map(|mark| mark.day), Some(1));
    let places: Vec<&str> = built
        .texts
        .iter()
        .map(|text| text.belongs_to.as_str())
        .collect();
    assert_eq!(places, ["", "answer:drain-plug", "fault:0"]);
    assert!(built.left_out.contains(&"tube-2".to_owned()));
    assert!(!built.left_out.contains(&"tube-1".to_owned()));
}

#[test]
fn what_does_not_fit_is_refused_with_its_place() {
    for (rest, said) in [
        (
            "[readings.tube-9]\nfound = \"3 psi\"",
            "did you mean tube-1",
        ),
        (
            "[readings.transom]\nfound = \"3 psi\"",
            "part transom holds no air",
        ),
        ("[readings.tube-1]\n", "readings.tube-1 is without a value"),
        (
            "[readings.tube-1]\nfound = \"35 psi\"",
            "readings.tube-1.found is 35",
        ),
        (
            "[readings.tube-1]\nfound = \"3 ft\"",
            "readings.tube-1.found",
        ),
        (
            "[counts.lifejackets]\ncount = 3",
            "did you mean life-jacket",
        ),
        (
            "[counts.life-jacket]\ncount = 3\nbag = \"B9\"",
            "bag B9 is not known",
        ),
        ("[answers]\ndrain = \"yes\"", "did you mean drain-plug"),
        ("[meters]\nM4 = \"1 h\"", "gear M4 is not known"),
        ("[fuel.T9]\namount = \"3 gal\"", "gear T9 is not known"),
        ("[fuel.craft]\namount = \"3 psi\"", "fuel.craft.amount"),
        (
            "[fuel.craft]\namount = \"3 gal\"\nmix = \"5:1\"",
            "fuel.craft.mix is 5:1; write petrol to oil from 10:1",
        ),
        (
            "[fuel.craft]\namount = \"3 gal\"\nfilled = \"soon\"",
            "fuel.craft.filled",
        ),
        ("aboard = [\"B8\"]", "aboard: "),
        ("observed = \"last week\"", "observed"),
        (
            "[[faults]]\npart = \"tube-1\"\nclass = \"leak\"\nseverity = \"major\"\nmissions = [\"moon\"]",
            "has no mission moon",
        ),
        (
            "[[faults]]\npart = \"tube-1\"\nclass = \"?\"\nseverity = \"major\"",
            "faults 1.class is ?",
        ),
        ("[notes]\nnowhere = \"x\"", "has no line nowhere"),
    ] {
        let error = built(rest).expect_err(rest).to_string();
        assert!(error.contains(said), "{rest}: {error}");
    }
}

#[test]
fn an_unlikely_reading_is_recorded_when_stood_by() {
    let built = built("[readings.tube-1]\nfound = \"35 psi\"\naffirmed = true").expect("stood by");
    assert!(built.check.readings[0].affirmed);
    assert_eq!(built.check.readings[0].gauge_pa, 241_317);
}

#[test]
fn a_bare_number_is_in_the_countys_unit() {
    let built = built("air = \"41\"\n[readings.tube-1]\nleft = \"3.5\"").expect("fits");
    assert_eq!(built.check.readings[0].gauge_pa, 24_132);
    assert_eq!(built.check.readings[0].moment(), ReadingMoment::AsLeft);
    assert_eq!(built.check.readings[0].air_mc, Some(5_000));
}
