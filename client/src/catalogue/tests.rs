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

/// A later version writes a sheet and a policy with fields that are not known here: a crew goes on
/// recording, by what can be read, and is told.
#[test]
fn what_a_later_version_wrote_keeps_nobody_from_recording() {
    let (model, text) = sponson_readiness::standard::built_in()[0];
    let later = text.replace("revision = 1", "revision = 2\nlater = \"x\"");
    assert!(Standard::parse(&later).is_err(), "it cannot be read");
    let revision = |revision, text: &str| CatalogueStandard {
        model: model.to_owned(),
        revision,
        text: text.to_owned(),
        event: Bytes::from(vec![u8::try_from(revision).expect("few"); 32]),
    };
    let craft = CatalogueEntry {
        model: model.to_owned(),
        ..CatalogueEntry::default()
    };
    let of = |standards: &[CatalogueStandard], policy: &str| {
        Catalogue::new(CatalogueReply {
            standards: standards.to_vec(),
            policy: policy.to_owned(),
            ..CatalogueReply::default()
        })
    };
    let (first, second) = (revision(1, text), revision(2, &later));

    let both = of(&[second.clone(), first.clone()], "");
    assert_eq!(
        both.standard(&craft).expect("revision 1").event,
        first.event
    );
    insta::assert_snapshot!(both.newer().join("\n"), @"boat standard inflatable-14 revision 2 is newer than this device understands: until it is upgraded its craft are not shown as ready here; what you record is kept by revision 1");
    assert_eq!(
        of(std::slice::from_ref(&first), "").newer(),
        Vec::<String>::new()
    );

    let alone = of(&[second], "");
    let refused = alone.standard(&craft).expect_err("none can be read");
    assert!(
        matches!(refused, LookupError::Unreadable { .. }),
        "{refused}"
    );
    insta::assert_snapshot!(alone.newer().join("\n"), @"boat standard inflatable-14 revision 2 is newer than this device understands: until it is upgraded its craft are not shown as ready here; what needs the sheet cannot be recorded");

    let policy =
        Policy::default_text().replace("utc_offset_min = 0", "utc_offset_min = 60\nlater = 1");
    let newer = of(&[first], &policy);
    assert_eq!(newer.policy().utc_offset_min, 60);
    insta::assert_snapshot!(newer.newer().join("\n"), @"the county's policy is newer than this device understands: until it is upgraded no craft is shown as ready here; what you record is kept");
}
