use super::*;
use bytes::Bytes;
use sponson_proto::event::v1::{CapacityPlate, GearType, PumpPower, SubjectType};
use sponson_proto::service::v1::{CatalogueEntry, CatalogueReply, CatalogueStandard};

fn county() -> Catalogue {
    let entry = |byte: u8, kind: SubjectType, number: &str| CatalogueEntry {
        id: Bytes::from(vec![byte; 16]),
        r#type: kind as i32,
        number: number.to_owned(),
        ..CatalogueEntry::default()
    };
    let standards =
        sponson_readiness::standard::built_in().map(|(model, text)| CatalogueStandard {
            model: model.to_owned(),
            revision: 1,
            text: text.to_owned(),
            event: Bytes::from(vec![9; 32]),
        });
    Catalogue::new(CatalogueReply {
        holds: Vec::new(),
        entries: vec![
            entry(1, SubjectType::Station, "North Landing"),
            entry(2, SubjectType::Craft, "Boat 1"),
        ],
        standards: standards.to_vec(),
        policy: String::new(),
    })
}

fn craft(text: &str) -> CraftRegistered {
    let rows = read(ListKind::Craft, text, &county()).expect("a list");
    match &rows.first().expect("a row").result {
        Ok(Registered::Craft(craft)) => craft.clone(),
        other => panic!("not a craft: {other:?}"),
    }
}

#[test]
fn headers_are_matched_as_people_write_them() {
    let plain = "Call sign,Model,Station,Persons,Persons lb,Total (lb),HP,Made\n\
                 Boat 3,inflatable-14,North Landing,10,1500,2200,40,2019";
    let units_in_cells = "\u{feff}NUMBER;Boat standard;base;capacity;persons weight;max weight;power;year\n\
                          Boat 3;Inflatable 14;north landing;10;1500 lb;2200 lb;40 hp;2019\n";
    let expected = CapacityPlate {
        persons: Some(10),
        persons_mass_g: Some(680_389),
        total_mass_g: Some(997_903),
        power_w: Some(29_828),
        motor_mass_g: None,
    };
    for text in [plain, units_in_cells] {
        let craft = craft(text);
        assert_eq!(
            (craft.number.as_str(), craft.model.as_str()),
            ("Boat 3", "inflatable-14")
        );
        assert_eq!(craft.plate, Some(expected), "{text}");
        assert_eq!(craft.made.map(|made| made.year), Some(2019));
        assert_eq!(craft.station, Bytes::from(vec![1; 16]));
    }
}

#[test]
fn rows_that_are_wrong_are_refused_one_by_one() {
    let text = "number,model,station,persons,total\n\
                Boat 1,inflatable-14,North Landing,10,\n\
                Boat 3,inflatable-14,North Landing,10,2200 lb\n\
                Boat 3,inflatable-14,North Landing,10,\n\
                Boat 4,inflatable-15,North Landing,10,\n\
                Boat 5,inflatable-14,South Landing,10,\n\
                Boat 6,inflatable-14,North Landing,many,\n\
                Boat 7,inflatable-14,North Landing,10,2200\n\
                ,inflatable-14,North Landing,10,\n";
    let rows = read(ListKind::Craft, text, &county()).expect("a list");
    let said: Vec<String> = rows
        .iter()
        .map(|row| match &row.result {
            Ok(_) => format!("{} taken", row.line),
            Err(error) => format!("{} {error}", row.line),
        })
        .collect();
    for (row, begins) in said.iter().zip([
        "2 already registered",
        "3 taken",
        "4 twice in this list: see line 3",
        "5 model inflatable-15 has no boat standard in force: did you mean inflatable-14?",
        "6 station South Landing is not known here",
        "7 persons is many; give a whole number",
        "8 total",
        "9 number is empty",
    ]) {
        assert!(row.starts_with(begins), "{row}, not {begins}");
    }
    assert_eq!(said.len(), 8);
}

#[test]
fn gear_and_bags_are_read() {
    let gear = "number,type,station,serial,weight (lb),hp\nM3,Outboard,North Landing,X1,95,15";
    let rows = read(ListKind::Gear, gear, &county()).expect("a list");
    let Ok(Registered::Gear(motor)) = &rows[0].result else {
        panic!("not gear: {rows:?}");
    };
    assert_eq!(motor.r#type(), GearType::Motor);
    assert_eq!((motor.mass_g, motor.power_w), (Some(43_091), Some(11_186)));
    let cylinder =
        "number,type,station,size (l),service pressure\nC1,cylinder,North Landing,9,200 bar";
    let rows = read(ListKind::Gear, cylinder, &county()).expect("a list");
    let Ok(Registered::Gear(cylinder)) = &rows[0].result else {
        panic!("not gear: {rows:?}");
    };
    assert_eq!(
        (cylinder.water_volume_ml, cylinder.service_pressure_kpa),
        (Some(9_000), Some(20_000))
    );
    let set = "number,type,station,spec,hydro,made,gauge (psi),gauge temperature (F)\n\
               S1,SCBA,North Landing,DOT-CFFC,2023-04,2015-02,4200,70\n";
    let rows = read(ListKind::Gear, set, &county()).expect("a list");
    let Ok(Registered::Gear(set)) = &rows[0].result else {
        panic!("not gear: {rows:?}");
    };
    assert_eq!(set.r#type(), GearType::BreathingSet);
    assert_eq!((set.gauge_kpa, set.gauge_mc), (Some(28_958), Some(21_111)));
    assert_eq!(
        set.requalified.map(|date| (date.year, date.month)),
        Some((2023, 4))
    );
    assert_eq!(set.specification, "DOT-CFFC");
    let pump = "number,type,station,stroke (ml),runs on,max pressure\nP1,pump,North Landing,2000,foot,400 mbar\n\
                P2,pump,North Landing,,steam,\n";
    let rows = read(ListKind::Gear, pump, &county()).expect("a list");
    let Ok(Registered::Gear(pump)) = &rows[0].result else {
        panic!("not gear: {rows:?}");
    };
    assert_eq!(
        (pump.stroke_ml, pump.pressure_max_pa),
        (Some(2_000), Some(40_000))
    );
    assert_eq!(pump.runs_on(), PumpPower::Foot);
    assert!(matches!(
        &rows[1].result,
        Err(RowError::Value {
            field: "runs on",
            ..
        })
    ));
    let bags = "number\tstation\tcraft\nB7\tNorth Landing\tBoat 1\nB8\tNorth Landing\tBoat 2";
    let rows = read(ListKind::Bags, bags, &county()).expect("a list");
    assert!(matches!(&rows[0].result, Ok(Registered::Bag(bag)) if !bag.craft.is_empty()));
    assert!(matches!(&rows[1].result, Err(RowError::Name(_))));
}

#[test]
fn a_header_that_does_not_do_is_refused() {
    for (header, said) in [
        ("number,station", "no column for model"),
        ("number,callsign,model,station", "both hold number"),
        ("", "no column for number"),
    ] {
        let error = read(ListKind::Craft, header, &county()).expect_err(header);
        assert!(error.to_string().contains(said), "{error}");
    }
}

/// Plates of boats that 33 CFR 183 applies to are asked back where they are far from its formulas;
/// those of inflatables never.
#[test]
fn a_plate_far_from_the_formulas_is_asked_back() {
    let said = |row: &str| {
        let text = format!(
            "number,model,station,persons,persons lb,total lb,hp,plate read again\n{row}\n"
        );
        let rows = read(ListKind::Craft, &text, &county()).expect("a list");
        match &rows[0].result {
            Ok(_) => String::new(),
            Err(error) => error.to_string(),
        }
    };
    assert_eq!(
        said("Boat 3,flat-bottom-16,North Landing,5,890,1380,25,"),
        ""
    );
    assert_eq!(
        said("Boat 3,flat-bottom-16,North Landing,15,603,953,25,"),
        "persons is 15; 33 CFR 183.41 makes 5 of 603 lb of persons: read the plate again; where \
         it does say so, write yes in a column 'plate read again'"
    );
    assert_eq!(
        said("Boat 3,flat-bottom-16,North Landing,15,603,953,25,Yes"),
        ""
    );
    let swapped = said("Boat 3,flat-bottom-16,North Landing,,953,603,25,");
    assert!(
        swapped.starts_with("total is 603 lb; persons alone are 953 lb"),
        "{swapped}"
    );
    let slip = said("Boat 3,flat-bottom-16,North Landing,5,603,9530,25,");
    assert!(
        slip.contains("a motor of the plate's power is about 350 lb"),
        "{slip}"
    );
    assert_eq!(
        said("Boat 3,inflatable-14,North Landing,15,603,953,25,"),
        ""
    );
}
