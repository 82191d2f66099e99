//! The kinds that register craft, gear, bags and shelves, and say where they are.

use sponson_log::event::Subject;
use sponson_proto::event::v1::{
    BagRegistered, CapacityPlate, Condemned, CondemnedReason, CraftRegistered, Fitted,
    GearRegistered, GearType, HeldCountyWide, HoldLifted, ItemCount, Kind, Lot, NumberChanged,
    Placed, SameAs, ShelfRegistered, StockCounted, SubjectType, TakenOff,
};

use crate::story::{
    BAG, COUNTY, CRAFT, GAUGE, GAUGE_AGAIN, MOTOR, SHELF, STATION, Story, about, craft, date,
};

fn motor() -> Vec<Subject> {
    vec![about(MOTOR, SubjectType::Gear)]
}

/// The motor and the craft that it is fitted to or taken off.
fn motor_and_craft() -> Vec<Subject> {
    [motor(), craft()].concat()
}

/// Flares on a shelf, of two dates.
pub(crate) fn flares() -> ItemCount {
    ItemCount {
        item: "flare-red".to_owned(),
        count: 6,
        unserviceable: 1,
        lots: vec![
            Lot {
                count: 4,
                expires: date(2028, 6, 0),
                made: date(2024, 6, 0),
                batch: "FR-2406".to_owned(),
                serial: "118-121".to_owned(),
                affirmed: false,
            },
            Lot {
                count: 2,
                expires: date(2026, 5, 31),
                made: date(2022, 0, 0),
                batch: "FR-2205".to_owned(),
                serial: "40-41".to_owned(),
                affirmed: false,
            },
        ],
        bag: BAG.to_bytes(),
    }
}

/// Writes them.
pub(crate) fn write(story: &mut Story) {
    registered(story);
    moved(story);
    held(story);
}

fn registered(story: &mut Story) {
    story.station(
        Kind::CraftRegistered,
        CraftRegistered {
            number: "R-412".to_owned(),
            model: "inflatable-14".to_owned(),
            station: STATION.to_bytes(),
            hull_number: "XXA00412B626".to_owned(),
            made: date(2021, 4, 0),
            plate: Some(CapacityPlate {
                persons: Some(6),
                persons_mass_g: Some(510_000),
                total_mass_g: Some(760_000),
                power_w: Some(22_400),
                motor_mass_g: Some(84_000),
            }),
            fabric: "csm".to_owned(),
            batch: "HB-2104".to_owned(),
        },
        craft(),
    );
    // No motor has them all: here every field is set.
    story.station(
        Kind::GearRegistered,
        GearRegistered {
            number: "M-07".to_owned(),
            r#type: GearType::Motor as i32,
            model: "outboard-20".to_owned(),
            station: STATION.to_bytes(),
            serial: "0020417".to_owned(),
            made: date(2020, 11, 3),
            mass_g: Some(52_000),
            power_w: Some(14_900),
            water_volume_ml: Some(6_800),
            service_pressure_kpa: Some(31_026),
            pressure_max_pa: Some(34_000),
            connector: "bayonet-two-pin".to_owned(),
            batch: "OB-2011".to_owned(),
            ..GearRegistered::default()
        },
        motor(),
    );
    story.station(
        Kind::BagRegistered,
        BagRegistered {
            number: "B-412".to_owned(),
            station: STATION.to_bytes(),
            craft: CRAFT.to_bytes(),
        },
        vec![about(BAG, SubjectType::Bag)],
    );
    story.station(
        Kind::ShelfRegistered,
        ShelfRegistered {
            number: "S-4".to_owned(),
            station: STATION.to_bytes(),
        },
        vec![about(SHELF, SubjectType::Shelf)],
    );
}

fn moved(story: &mut Story) {
    let number = "R-414".to_owned();
    story.station(Kind::NumberChanged, NumberChanged { number }, craft());
    story.station(
        Kind::Placed,
        Placed {
            at: STATION.to_bytes(),
            at_type: SubjectType::Station as i32,
        },
        craft(),
    );
    story.station(
        Kind::Fitted,
        Fitted {
            gear: MOTOR.to_bytes(),
            craft: CRAFT.to_bytes(),
            part: "motor".to_owned(),
        },
        motor_and_craft(),
    );
    story.station(
        Kind::TakenOff,
        TakenOff {
            gear: MOTOR.to_bytes(),
            craft: CRAFT.to_bytes(),
        },
        motor_and_craft(),
    );
    story.station(
        Kind::StockCounted,
        StockCounted {
            counts: vec![flares()],
        },
        vec![about(SHELF, SubjectType::Shelf)],
    );
}

fn held(story: &mut Story) {
    let reason = CondemnedReason::FailedTest as i32;
    story.station(
        Kind::Condemned,
        Condemned { reason },
        vec![about(GAUGE, SubjectType::Gear)],
    );
    let county = || vec![about(COUNTY, SubjectType::County)];
    story.station(
        Kind::HeldCountyWide,
        HeldCountyWide {
            model: "inflatable-14".to_owned(),
            batch: "HB-2104".to_owned(),
            part: "relief-valve-1".to_owned(),
            missions: vec!["swift-water".to_owned(), "flood-evacuation".to_owned()],
        },
        county(),
    );
    let hold = story.id(Kind::HeldCountyWide).to_bytes();
    story.station(Kind::HoldLifted, HoldLifted { hold }, county());
    story.station(
        Kind::SameAs,
        SameAs {
            one: GAUGE.to_bytes(),
            other: GAUGE_AGAIN.to_bytes(),
        },
        vec![
            about(GAUGE, SubjectType::Gear),
            about(GAUGE_AGAIN, SubjectType::Gear),
        ],
    );
}
