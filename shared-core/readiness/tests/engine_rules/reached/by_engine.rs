//! Rules whose effect the engine decides by what was found.

use sponson_readiness::answer::Rule;
use sponson_readiness::engine::table::Makes::{Limit, NotReady, Note, Unproven};
use sponson_readiness::event::{
    AirChanged, AirDirection, CountyHold, Extent, HoldKind, OutReason, Place, Plate, RepairHold,
    Severity, Stowage, SubjectKind, Use, ValveState,
};
use sponson_readiness::ids::{MissionId, PartId, SubjectId};
use sponson_readiness::load::Size;
use sponson_readiness::record::{Assignment, Checked, Placement, Record, Sides};

use super::Reached;
use crate::in_parts;
use crate::scene::{
    CRAFT, DAY_MS, HOUR_MS, MOTOR, NOON, OTHER_CRAFT, OTHER_STATION, STATION, Scene, fault, lot,
    model, reading,
};

const COUNTY: SubjectId = SubjectId::from_bytes([7; 16]);
const MBAR: i64 = 100;

pub(super) fn scenes() -> Vec<Reached> {
    [
        declared(),
        pressure(),
        kit_and_gear(),
        faults(),
        fresh(),
        said_apart(),
    ]
    .concat()
}

/// The craft in order, disturbed.
fn with(change: impl FnOnce(&mut Scene)) -> Scene {
    let mut scene = Scene::inflatable();
    change(&mut scene);
    scene
}

fn declared() -> Vec<Reached> {
    let out = |reason| {
        with(|it| {
            let side = it.side(reason);
            it.craft().out.insert(side.origin.event, side);
        })
    };
    vec![
        (
            Rule::NoStandard,
            Unproven,
            with(|it| it.craft().craft.0[0].value.model = model("barge-40")),
        ),
        (
            Rule::MissionNotInStandard,
            NotReady,
            with(|it| drop(it.standard.missions.remove(&MissionId::from("lake")))),
        ),
        (Rule::Condemned, NotReady, with(|it| condemn(it, CRAFT))),
        (Rule::Condemned, Note, with(|it| condemn(it, MOTOR))),
        (Rule::OutOfService, NotReady, out(OutReason::Mechanical)),
        (Rule::OutOfService, Note, out(OutReason::Rest)),
        (Rule::Assigned, Note, with(assign)),
        (Rule::StationSilent, Note, with(silence)),
        (Rule::NeedsUpgrade, Unproven, with(not_understood)),
        (Rule::Unconfirmed, Unproven, with(unconfirmed)),
        (
            Rule::PlateUnknown,
            Limit,
            with(|it| plate(it, Plate::default())),
        ),
        (Rule::LoadOver, NotReady, with(one_seat)),
        (
            Rule::PlateUnknown,
            Unproven,
            with(|it| {
                plate(it, Plate::default());
                it.bring_home(Size::Adult, 1);
            }),
        ),
        (
            Rule::TripsNeeded,
            Limit,
            with(|it| it.bring_home(Size::Adult, 7)),
        ),
        (
            Rule::PeopleLeftBehind,
            NotReady,
            with(|it| {
                it.question.crew.count = Some(8);
                it.bring_home(Size::Adult, 1);
            }),
        ),
        (Rule::Rolled, Limit, with(|it| rolled(it, Pumps::Aboard))),
        (
            Rule::Rolled,
            Unproven,
            with(|it| rolled(it, Pumps::CountedLongAgo)),
        ),
        (Rule::Rolled, NotReady, with(|it| rolled(it, Pumps::None))),
    ]
}

fn pressure() -> Vec<Reached> {
    vec![
        (
            Rule::PressureHigh,
            NotReady,
            with(|it| it.read("floor", 1_400 * MBAR).gauge = None),
        ),
        (Rule::PressureHigh, Limit, with(hot)),
        (Rule::PressureHigh, Note, with(hard_in_the_air_alone)),
        (
            Rule::PressureNotRead,
            Unproven,
            with(|it| drop(it.craft().readings.remove(&PartId::from("tube-1")))),
        ),
        (
            Rule::PressureProvisional,
            Note,
            with(|it| it.read("tube-1", 260 * MBAR).stood_s = None),
        ),
        (Rule::PressureAfterAir, Unproven, with(air_not_read)),
        (
            Rule::PressureHighAtHome,
            Limit,
            with(|it| {
                it.weather(4, 4);
            }),
        ),
        (
            Rule::PressureNearLimit,
            Note,
            with(|it| it.read("tube-1", 245 * MBAR).gauge = None),
        ),
        (Rule::PressureJoined, Unproven, with(joined)),
        (
            Rule::PressureImplausible,
            Unproven,
            with(|it| it.read("floor", 240 * MBAR).gauge = None),
        ),
        (
            Rule::PressureImplausible,
            NotReady,
            with(tube_read_as_a_floor),
        ),
    ]
}

fn kit_and_gear() -> Vec<Reached> {
    vec![
        (
            Rule::KitExpired,
            Note,
            with(|it| it.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(2), None)]),
        ),
        (
            Rule::KitExpiresSoon,
            Note,
            with(|it| it.count("flare-red-hand", 3).lots = vec![lot(3, 2026, Some(3), None)]),
        ),
        (
            Rule::KitUndated,
            Note,
            with(|it| it.count("flare-red-hand", 3).lots.clear()),
        ),
        (Rule::UsedHard, Note, with(used_hard)),
        (
            Rule::InspectionDueSoon,
            Note,
            with(|it| it.inspected("seams", 181, true).passed = true),
        ),
        (
            Rule::GearInTwoPlaces,
            Note,
            with(|it| motor_elsewhere(it, true)),
        ),
        (
            Rule::GearInTwoPlaces,
            Unproven,
            with(|it| motor_elsewhere(it, false)),
        ),
        (Rule::MotorImmersed, NotReady, with(immersed)),
        (
            Rule::MotorOverPlate,
            NotReady,
            with(|it| it.record(MOTOR).gear.0[0].value.power_w = Some(90_000)),
        ),
    ]
}

fn faults() -> Vec<Reached> {
    let found = |severity, missions: &'static [&str]| {
        with(|it| {
            let side = it.side(());
            let id = sponson_readiness::ids::FaultId {
                event: side.origin.event,
                ordinal: 0,
            };
            it.craft()
                .faults
                .insert(id, fault(side, severity, missions));
        })
    };
    let held = |missions: &[&str]| {
        let hold = CountyHold {
            model: "inflatable-14".to_owned(),
            batch: String::new(),
            part: String::new(),
            missions: missions.iter().map(|&id| id.into()).collect(),
        };
        with(|it| hold_county_wide(it, hold))
    };
    vec![
        (Rule::FaultOpen, NotReady, found(Severity::Disabling, &[])),
        (
            Rule::FaultOpen,
            Limit,
            found(Severity::Restrictive, &["flood"]),
        ),
        (Rule::FaultOpen, Note, found(Severity::Minor, &[])),
        (Rule::HoldRuns, NotReady, with(cures)),
        (Rule::HeldCountyWide, NotReady, held(&[])),
        (Rule::HeldCountyWide, Limit, held(&["flood"])),
    ]
}

fn fresh() -> Vec<Reached> {
    let checked = |days: i64| {
        with(|it| {
            let side = it.side_at(Checked::default(), NOON.plus_ms(-days * DAY_MS));
            it.craft().checks.insert(Extent::Full, Sides(vec![side]));
        })
    };
    vec![
        (Rule::CheckStale, Note, checked(8)),
        (Rule::CheckStale, Unproven, checked(10)),
        (
            Rule::NeverChecked,
            Unproven,
            with(|it| it.craft().checks.clear()),
        ),
        (Rule::CheckedInParts, Note, in_parts::scene()),
        (Rule::UsedSinceCheck, Unproven, with(used)),
        (Rule::UsedSinceCheck, Note, with(used_and_looked_at)),
    ]
}

fn said_apart() -> Vec<Reached> {
    let two_sides = with(|it| {
        let other = it.side(reading("tube-1", 250 * MBAR));
        let readings = it.craft().readings.get_mut(&PartId::from("tube-1"));
        readings.expect("read").standing.0.push(other);
    });
    let placed_twice = with(|it| {
        let side = it.side(Placement {
            at: Place::Station(OTHER_STATION),
            part: None,
        });
        it.craft().place.0.push(side);
    });
    let twin = |joined: bool| {
        with(|it| {
            let mut other = it.craft().clone();
            other.subject = OTHER_CRAFT;
            it.records.insert(OTHER_CRAFT, other);
            if joined {
                it.craft().same_as.insert(OTHER_CRAFT);
            }
        })
    };
    vec![
        (Rule::SidesDiffer, Note, two_sides),
        (Rule::PlaceDisputed, Unproven, placed_twice),
        (Rule::NumberTwice, Note, twin(false)),
        (Rule::SameAs, Note, twin(true)),
    ]
}

#[derive(Clone, Copy)]
enum Pumps {
    Aboard,
    CountedLongAgo,
    None,
}

fn rolled(scene: &mut Scene, pumps: Pumps) {
    let rolled = scene.said(Stowage::Rolled);
    scene.craft().stowage = rolled;
    for pump in ["pump", "hand-pump"] {
        match pumps {
            Pumps::Aboard => {}
            Pumps::CountedLongAgo => scene.counted_long_ago(pump, 1),
            Pumps::None => scene.count(pump, 0).count = 0,
        }
    }
}

fn condemn(scene: &mut Scene, subject: SubjectId) {
    let side = scene.side(());
    scene.record(subject).condemned.push(side.origin);
}

fn assign(scene: &mut Scene) {
    let side = scene.side(Assignment {
        incident: "F-12".to_owned(),
        mission: MissionId::from("flood"),
    });
    scene.craft().assigned.insert(side.origin.event, side);
}

fn silence(scene: &mut Scene) {
    let station = scene.stations.get_mut(&STATION).expect("a station");
    station.last_heard = Some(NOON.plus_ms(-100 * HOUR_MS));
}

fn not_understood(scene: &mut Scene) {
    let event = scene.side(()).origin.event;
    scene.craft().not_understood.insert(event);
}

fn unconfirmed(scene: &mut Scene) {
    let origin = scene.untrusted(()).origin;
    scene.craft().unconfirmed.insert(origin.event, origin);
}

fn plate(scene: &mut Scene, plate: Plate) {
    scene.craft().craft.0[0].value.plate = plate;
}

fn one_seat(scene: &mut Scene) {
    plate(
        scene,
        Plate {
            persons: Some(1),
            ..Plate::default()
        },
    );
}

fn joined(scene: &mut Scene) {
    for tube in ["tube-1", "tube-2"] {
        scene.read(tube, 260 * MBAR).valves = Some(ValveState::Open);
    }
}

fn hot(scene: &mut Scene) {
    scene.weather(50, 20);
}

fn hard_in_the_air_alone(scene: &mut Scene) {
    scene.read("keel", 222 * MBAR).air_mc = Some(12_000);
    scene.weather(25, 10);
}

fn air_not_read(scene: &mut Scene) {
    let added = AirChanged {
        part: PartId::from("tube-1"),
        direction: AirDirection::Added,
        before_pa: None,
        after_pa: None,
        air_mc: None,
        source: None,
        source_gear: None,
        source_after_kpa: None,
    };
    let side = scene.side_at(added, NOON.plus_ms(-HOUR_MS / 2));
    let readings = scene.craft().readings.get_mut(&PartId::from("tube-1"));
    readings.expect("read").air_since.push(side);
}

/// Above what a keel without a relief valve can hold, were it true.
fn tube_read_as_a_floor(scene: &mut Scene) {
    scene.read("keel", 1_100 * MBAR);
}

fn motor_elsewhere(scene: &mut Scene, trusted: bool) {
    let placement = Placement {
        at: Place::Craft(OTHER_CRAFT),
        part: Some(PartId::from("motor")),
    };
    let side = if trusted {
        scene.side(placement)
    } else {
        scene.untrusted(placement)
    };
    scene.record(MOTOR).place.0.push(side);
}

fn immersed(scene: &mut Scene) {
    let dipped = Use {
        motor_immersed: true,
        ..Use::default()
    };
    let side = scene.side(dipped);
    scene.record(MOTOR).uses.push(side);
    scene.inspected("engine-service", 1, true);
}

fn used_hard(scene: &mut Scene) {
    scene.inspected("engine-service", 30, true).engine_s = Some(0);
    let meter = scene.said(60 * 3_600);
    scene.record(MOTOR).meters.insert(None, meter);
    let hard = Use {
        hard: true,
        ..Use::default()
    };
    let side = scene.side_at(hard, NOON.plus_ms(-2 * HOUR_MS));
    scene.record(MOTOR).uses.push(side);
}

fn hold_county_wide(scene: &mut Scene, hold: CountyHold) {
    let side = scene.side(hold);
    let mut record = Record::new(COUNTY, SubjectKind::County);
    record.county_holds.insert(side.origin.event, side);
    scene.records.insert(COUNTY, record);
}

fn cures(scene: &mut Scene) {
    let side = scene.side(RepairHold {
        kind: HoldKind::Launch,
        duration_s: 72 * 3_600,
    });
    scene.craft().holds.push(side);
}

fn used(scene: &mut Scene) {
    let side = scene.side_at(Use::default(), NOON.plus_ms(-HOUR_MS / 2));
    scene.craft().uses.push(side);
}

fn used_and_looked_at(scene: &mut Scene) {
    used(scene);
    let side = scene.side_at(Checked::default(), NOON.plus_ms(-HOUR_MS / 4));
    let short = Sides(vec![side]);
    scene.craft().checks.insert(Extent::Short, short);
}
