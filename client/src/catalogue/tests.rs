//! A small county for tests, and how things in it are found.

use super::*;

/// A county of one station, two craft of one model, a motor, a bag, a gauge and a cylinder.
pub(crate) fn sample() -> Catalogue {
    let entry = |byte: u8, kind: SubjectType, number: &str| CatalogueEntry {
        id: Bytes::from(vec![byte; 16]),
        r#type: kind as i32,
        number: number.to_owned(),
        station: Bytes::from(vec![1; 16]),
        ..CatalogueEntry::default()
    };
    let boat = |byte, number| CatalogueEntry {
        model: "inflatable-14".to_owned(),
        ..entry(byte, SubjectType::Craft, number)
    };
    let gear = |byte, number, word: &str| CatalogueEntry {
        gear: word.to_owned(),
        ..entry(byte, SubjectType::Gear, number)
    };
    let fault = |byte: u8, ordinal, part: &str| CatalogueFault {
        event: Bytes::from(vec![byte; 32]),
        ordinal,
        part: part.to_owned(),
        class: "leak".to_owned(),
        severity: "major".to_owned(),
        ..CatalogueFault::default()
    };
    let mut first = boat(2, "Boat 3");
    first.faults = vec![fault(0xaa, 0, "tube-2"), fault(0xaa, 1, "tube-3")];
    let mut motor = gear(4, "M3", "motor");
    motor.craft = first.id.clone();
    motor.faults = vec![fault(0xbb, 0, "motor")];
    let (model, text) = sponson_readiness::standard::built_in()[0];
    Catalogue::new(CatalogueReply {
        holds: Vec::new(),
        entries: vec![
            entry(1, SubjectType::Station, "North Landing"),
            first,
            boat(3, "Boat 4"),
            motor,
            entry(5, SubjectType::Bag, "B7"),
            gear(6, "G1", "gauge"),
            gear(10, "C1", "cylinder"),
            boat(7, "Boat 9"),
            boat(8, "Boat 9"),
        ],
        standards: vec![CatalogueStandard {
            model: model.to_owned(),
            revision: 1,
            text: text.to_owned(),
            event: Bytes::from(vec![9; 32]),
        }],
        policy: String::new(),
    })
    .expect("the built-in policy reads")
}

/// An inspection of the motor is about the motor that is on the craft.
#[test]
fn gear_that_serves_as_a_part_is_found() {
    let catalogue = sample();
    let serving = |name: &str, part: &str| {
        let craft = catalogue.craft(name).expect("a craft");
        let gear = catalogue.serving(craft, part);
        gear.map(|entry| entry.number.clone()).collect::<Vec<_>>()
    };
    assert_eq!(serving("Boat 3", "motor"), ["M3"]);
    assert!(serving("Boat 4", "motor").is_empty());
    assert!(serving("Boat 3", "trailer").is_empty());
}

#[test]
fn things_are_found_as_people_type_them() {
    let catalogue = sample();
    for (name, found) in [
        ("Boat 3", Ok(2)),
        ("boat-3", Ok(2)),
        ("#02020202", Ok(2)),
        ("#0808080808", Ok(8)),
        (
            "Boat 5",
            Err("craft Boat 5 is not known here: did you mean Boat 3, Boat 4, Boat 9?"),
        ),
        (
            "M3",
            Err("craft M3 is not known here: look it up in log, or have it registered"),
        ),
        (
            "Boat 9",
            Err("Boat 9 names 2 things here: give one of #07070707, #08080808"),
        ),
    ] {
        let got = catalogue.craft(name).map(|entry| entry.id[0]);
        assert_eq!(
            got.map_err(|error| error.to_string()),
            found.map_err(str::to_owned)
        );
    }
}

#[test]
fn faults_are_found_by_short_names() {
    let catalogue = sample();
    let craft = catalogue.craft("Boat 3").expect("there");
    for (name, part) in [
        ("aaaaaaaa-1", Some("tube-3")),
        ("AAAAAAAA-0", Some("tube-2")),
        ("bbbbbbbb", Some("motor")),
        ("aaaaaaaa", None),
        ("aaaa-1", None),
        ("cccccccc-0", None),
    ] {
        let got = catalogue
            .fault(craft, name)
            .ok()
            .map(|fault| fault.part.as_str());
        assert_eq!(got, part, "{name}");
    }
}
