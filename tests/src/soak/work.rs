//! What a crew does with a craft in a day: a check a week, uses, air, faults mended and signed off.

use sponson_log::ids::{EventId, SubjectId};
use sponson_made::Seeded;
use sponson_made::said::about;
use sponson_proto::event::v1::{self as wire, Kind, SubjectType};
use sponson_readiness::standard::Standard;
use sponson_replica::NewEvent;

use super::county::DAY;

/// A full check a week: the interval of the built-in sheets.
const CHECK_EVERY_DAYS: i64 = 7;

/// One day in so many a craft is used, air is added, a fault is found. Common practice, no source:
/// a craft that is trained with every ten days, topped up once a month and faulty six times a year.
const USED_IN: u64 = 10;
const AIR_IN: u64 = 30;
const FAULTY_IN: u64 = 60;

/// A craft as the simulation knows it.
#[derive(Clone, Debug)]
pub(super) struct Craft {
    id: SubjectId,
    pub(super) station: usize,
    fault: Option<(EventId, Mending)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Mending {
    Found,
    Repaired,
}

/// One thing done.
#[derive(Clone, Debug)]
pub(super) enum Work {
    Checked(Box<wire::Check>),
    Used(wire::Use),
    Air(wire::AirChanged),
    Fault,
    Repair(EventId),
    SignOff(EventId),
}

impl Craft {
    pub(super) const fn new(id: SubjectId, station: usize) -> Self {
        Self {
            id,
            station,
            fault: None,
        }
    }

    pub(super) fn found(&mut self, event: EventId) {
        self.fault = Some((event, Mending::Found));
    }
}

impl Work {
    pub(super) const fn is_fault(&self) -> bool {
        matches!(self, Self::Fault)
    }

    /// The event.
    pub(super) fn event(&self, craft: &Craft) -> NewEvent {
        let subject = (craft.id, SubjectType::Craft);
        match self {
            Self::Checked(check) => about(Kind::Check, check.as_ref(), subject),
            Self::Used(used) => about(Kind::Use, used, subject),
            Self::Air(air) => about(Kind::AirChanged, air, subject),
            Self::Fault => about(Kind::Fault, &fault(), subject),
            Self::Repair(found) => {
                let repair = wire::Repair {
                    faults: vec![fault_ref(*found)],
                    part: "tube-2".to_owned(),
                    method: "patch-two-part".to_owned(),
                    holds: vec![wire::Hold {
                        r#type: wire::HoldType::Inflate as i32,
                        duration_s: 12 * 3600,
                    }],
                    ..wire::Repair::default()
                };
                about(Kind::Repair, &repair, subject)
            }
            Self::SignOff(found) => {
                let sign_off = wire::SignOff {
                    closes: vec![fault_ref(*found)],
                };
                about(Kind::SignOff, &sign_off, subject)
            }
        }
    }
}

/// What is done with a craft on the n-th day, so many times as much as usual.
pub(super) fn day_of(
    craft: &mut Craft,
    standard: &Standard,
    (day, busy): (i64, u64),
    seeded: &mut Seeded,
) -> Vec<Work> {
    let mut done = Vec::new();
    let one_in = |seeded: &mut Seeded, days: u64| seeded.between((0, days.div_ceil(busy))) == 0;
    match craft.fault {
        Some((event, Mending::Found)) => {
            craft.fault = Some((event, Mending::Repaired));
            done.push(Work::Repair(event));
        }
        Some((event, Mending::Repaired)) => {
            craft.fault = None;
            done.push(Work::SignOff(event));
        }
        None if one_in(seeded, FAULTY_IN) => done.push(Work::Fault),
        None => {}
    }
    let weekday = i64::from(craft.id.as_bytes()[1]) % CHECK_EVERY_DAYS;
    if day % CHECK_EVERY_DAYS == weekday {
        done.push(Work::Checked(Box::new(check(standard, seeded))));
    }
    if one_in(seeded, USED_IN) {
        done.push(Work::Used(wire::Use {
            duration_s: 3_600,
            water: wire::WaterType::Fresh as i32,
            ..wire::Use::default()
        }));
    }
    if one_in(seeded, AIR_IN) {
        done.push(Work::Air(wire::AirChanged {
            part: "tube-1".to_owned(),
            direction: wire::AirDirection::Added as i32,
            source: wire::AirSource::FootPump as i32,
            gauge_before_pa: Some(19_000),
            gauge_after_pa: Some(24_000),
            air_mc: Some(15_000),
            ..wire::AirChanged::default()
        }));
    }
    done
}

/// A full check of everything that the sheet asks, all in order.
fn check(standard: &Standard, seeded: &mut Seeded) -> wire::Check {
    let mut readings = Vec::new();
    for part in &standard.parts {
        if let Some(rule) = &part.pressure {
            let wobble = i64::try_from(seeded.between((0, 400))).expect("small");
            readings.push(wire::Reading {
                part: part.id.as_str().to_owned(),
                moment: wire::ReadingMoment::AsFound as i32,
                gauge_pa: rule.nominal_pa - wobble,
                air_mc: Some(15_000),
                stood_s: Some(50_000),
                intercommunication: wire::ValveState::Shut as i32,
                elevation_mm: Some(200_000),
                ..wire::Reading::default()
            });
        }
    }
    let counts = standard.items.iter().map(|item| wire::ItemCount {
        item: item.id.as_str().to_owned(),
        count: item.count,
        ..wire::ItemCount::default()
    });
    let answers = standard.questions.iter().map(|line| wire::Answer {
        line: line.id.as_str().to_owned(),
        value: wire::AnswerValue::Yes as i32,
        not_applicable: 0,
    });
    wire::Check {
        extent: wire::CheckExtent::Full as i32,
        readings,
        counts: counts.collect(),
        answers: answers.collect(),
        stowage: wire::Stowage::Inflated as i32,
        ..wire::Check::default()
    }
}

fn fault() -> wire::Fault {
    wire::Fault {
        faults: vec![wire::FaultFound {
            part: "tube-2".to_owned(),
            class: "leak".to_owned(),
            severity: wire::Severity::Major as i32,
            ..wire::FaultFound::default()
        }],
    }
}

fn fault_ref(event: EventId) -> wire::FaultRef {
    wire::FaultRef {
        event: event.to_bytes(),
        ordinal: 0,
    }
}

/// The crews that a station can raise for a day.
pub(super) fn crews(station: (SubjectId, SubjectType), from_ms: i64) -> NewEvent {
    let crews = wire::CrewsAvailable {
        crews: 1,
        persons: 4,
        from_unix_ms: from_ms,
        until_unix_ms: from_ms + DAY,
        ..wire::CrewsAvailable::default()
    };
    about(Kind::CrewsAvailable, &crews, station)
}
