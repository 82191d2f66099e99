//! A hand-made county answer for snapshots: an invented county, one craft of each readiness.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;
use sponson_readiness::answer::{
    Action, Asked, AskerClock, Assumed, Basis, CountyAnswer, CraftAnswer, CrewsAt, Differ,
    Disagreement, Effect, Finding, InSun, KnownBy, Limit, Load, LoadLimit, Measure, MissingKit,
    Overdue, PartPressure, PressureSpread, Readiness, Required, Rule, Settle, Stated, StationHeard,
    Status, Subject, ToDo, Until,
};
use sponson_readiness::conditions::{Conditions, Dark, Light, Lights, Position, Visibility};
use sponson_readiness::event::{Author, OutReason, PartPlace, PlaceSide, Severity, Stowage, Trust};
use sponson_readiness::ids::{EventId, FaultId, LineId, MissionId, ModelId, PartId, SubjectId};
use sponson_readiness::load::CrewAsked;
use sponson_readiness::moment::{Interval, Moment};
use sponson_readiness::record::Origin;
use sponson_readiness::without::Without;

use crate::context::Context;

pub(crate) mod ahead;
pub(crate) mod callout;
pub(crate) mod failing;
pub(crate) mod kit_moves;

/// 2026-03-14T12:30:00Z, 08:30 in the county.
pub(crate) const AS_OF: Moment = Moment(1_773_491_400_000);
const HOUR_MS: i64 = 3_600_000;
const DAY_MS: i64 = 24 * HOUR_MS;

/// The invented county: psi, Fahrenheit, pounds, four hours behind UTC, two stations.
pub(crate) fn context() -> Context {
    let stations = [(station(1), "Mill Race"), (station(2), "Otter Ferry")];
    Context {
        witnesses: std::collections::BTreeMap::new(),
        utc_offset_min: -240,
        stations: BTreeMap::from(stations.map(|(id, name)| (id, name.to_owned()))),
        ..Context::default()
    }
}

pub(crate) fn station(n: u8) -> SubjectId {
    SubjectId::from_bytes([n; 16])
}

pub(crate) fn event(n: u8) -> EventId {
    EventId::from_bytes([n; 32])
}

pub(crate) fn day(y: i32, m: u32, d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(y, m, d).expect("a day of the calendar")
}

/// A finding of this rule about the craft as a whole, with nothing measured.
pub(crate) fn finding(rule: Rule, effect: Effect) -> Finding {
    Finding {
        rule,
        severity: Severity::Major,
        effect,
        subject: Subject::Craft,
        measured: None,
        required: None,
        evidence: vec![event(0xa1)],
        basis: Basis::Agency,
        source: "county boat rules, section 4".to_owned(),
        to_do: Vec::new(),
    }
}

pub(crate) fn tube() -> Subject {
    Subject::Part(PartId::from("tube-1"), "tube 1 (port bow)".to_owned())
}

pub(crate) fn soft_tube() -> Finding {
    Finding {
        subject: tube(),
        measured: Some(Measure::GaugePa(17_995)),
        required: Some(Required {
            low: Some(Measure::GaugePa(23_994)),
            high: Some(Measure::GaugePa(25_993)),
        }),
        basis: Basis::Maker,
        source: "maker's manual of the model, inflation table".to_owned(),
        to_do: vec![ToDo {
            action: Action::BringTo(PartId::from("tube-1"), 24_821),
            minutes: Some(5),
        }],
        ..finding(
            Rule::PressureLow,
            Effect::Limit(Limit::TopUp(PartId::from("tube-1"))),
        )
    }
}

fn craft(n: u8, number: &str, readiness: Readiness) -> CraftAnswer {
    CraftAnswer {
        id: SubjectId::from_bytes([0x40 + n; 16]),
        number: number.to_owned(),
        model: ModelId::from("inflatable-14"),
        stations: vec![station(1)],
        readiness,
        status: Status::Available,
        why: Vec::new(),
        limits: Vec::new(),
        pressures: Vec::new(),
        load: Some(Load {
            crew: 2,
            crew_mass_g: 113_398,
            seats: 4,
            child_seats: 4,
            mass_left_g: Some(453_592),
            binds: LoadLimit::Persons,
            lines: Vec::new(),
            counted: Vec::new(),
            plate_counts: None,
            homeward: None,
        }),
        air: None,
        minutes_to_ready: None,
        checked_at: Some(AS_OF.plus_ms(-9 * HOUR_MS)),
        stowage: Some(Stowage::Rigged),
        crews: Some(crews()),
        crew_least: 2,
        in_service: Vec::new(),
    }
}

fn crews() -> CrewsAt {
    CrewsAt {
        crews: 2,
        persons: Some(6),
        until: AS_OF.plus_ms(10 * HOUR_MS),
        operators: vec!["214".to_owned()],
        evidence: vec![event(0xd0)],
    }
}

pub(crate) fn limited() -> CraftAnswer {
    CraftAnswer {
        stations: vec![station(2)],
        why: vec![
            soft_tube(),
            Finding {
                severity: Severity::Minor,
                subject: Subject::Line(LineId::from("flares"), "hand flare".to_owned()),
                measured: Some(Measure::Date(day(2026, 4, 1))),
                ..finding(Rule::KitExpiresSoon, Effect::Note)
            },
        ],
        limits: vec![Limit::TopUp(PartId::from("tube-1")), Limit::DaylightOnly],
        pressures: vec![PartPressure {
            part: PartId::from("tube-1"),
            read_gauge_pa: 23_442,
            read_at: AS_OF.plus_ms(-9 * HOUR_MS),
            launch_low_pa: 17_995,
            launch_high_pa: 18_960,
            own_leak_pa: None,
            range_pa: (23_994, 25_993),
            spread: PressureSpread {
                least_pa: 16_820,
                most_pa: 19_960,
                gauge_pa: 500,
                ambient_pa: 500,
                moist_pa: 175,
            },
            home_high_pa: 25_993,
            home_mc: 15_000,
            in_sun: InSun {
                temperature_mc: 50_000,
                high_pa: 25_993,
                then_low_pa: 10_410,
            },
        }],
        air: None,
        minutes_to_ready: Some(5),
        ..craft(2, "Boat 7", Readiness::ReadyWithLimits)
    }
}

fn unproven() -> CraftAnswer {
    CraftAnswer {
        stations: vec![station(1), station(2)],
        why: vec![Finding {
            measured: Some(Measure::SpanMs(22 * DAY_MS)),
            required: Some(Required {
                low: None,
                high: Some(Measure::SpanMs(7 * DAY_MS)),
            }),
            to_do: vec![ToDo {
                action: Action::FullCheck,
                minutes: Some(30),
            }],
            ..finding(Rule::CheckStale, Effect::Unproven)
        }],
        load: None,
        air: None,
        minutes_to_ready: Some(30),
        checked_at: Some(AS_OF.plus_ms(-22 * DAY_MS)),
        stowage: None,
        ..craft(3, "Raft 2", Readiness::Unproven)
    }
}

fn not_ready() -> CraftAnswer {
    let fault = FaultId {
        event: event(0xb2),
        ordinal: 0,
    };
    let place = PartPlace {
        side: Some(PlaceSide::Starboard),
        from_transom_mm: Some(1219),
        face: None,
    };
    let transom = Subject::Fault(fault, PartId::from("transom"), place, "transom".to_owned());
    CraftAnswer {
        status: Status::OutOfService {
            reason: OutReason::Mechanical,
        },
        why: vec![
            Finding {
                severity: Severity::Disabling,
                subject: transom,
                measured: Some(Measure::Word("seam-open".to_owned())),
                evidence: vec![event(0xb2), event(0xb3)],
                to_do: vec![ToDo {
                    action: Action::RepairAndSignOff(fault),
                    minutes: None,
                }],
                ..finding(Rule::FaultOpen, Effect::NotReady)
            },
            Finding {
                measured: Some(Measure::Word("mechanical".to_owned())),
                ..finding(Rule::OutOfService, Effect::NotReady)
            },
        ],
        ..craft(4, "Boat 9", Readiness::NotReady)
    }
}

/// Four craft, one silent station, kit short, an inspection overdue, a disagreement.
pub(crate) fn county() -> CountyAnswer {
    let station_heard = |n, name: &str, ago: i64, silent| StationHeard {
        id: station(n),
        name: name.to_owned(),
        last_heard: Some(AS_OF.plus_ms(-ago)),
        silent,
        crews: (!silent).then(crews),
    };
    let side = |n, word: &str| {
        let author = Author {
            key: [n; 32],
            station: Some(station(n)),
            member: "17".to_owned(),
        };
        let at = AS_OF.plus_ms(-9 * HOUR_MS);
        Stated {
            value: Measure::Word(word.to_owned()),
            origin: Origin {
                event: event(0xc0 + n),
                author,
                interval: Interval {
                    early: Some(at),
                    late: None,
                    claimed: at,
                },
                trust: Trust::Trusted,
            },
        }
    };
    CountyAnswer {
        asked: Asked {
            as_of: AS_OF,
            now: AS_OF,
            mission: Some(MissionId::from("swiftwater")),
            air_mc: 5000,
            water_mc: 5000,
            elevation_mm: 249_936,
            crew: CrewAsked::default(),
            people: Vec::new(),
            duration_s: 7_200,
            dark: Dark::Yes,
            lights: Lights::NeededFrom(AS_OF),
            conditions: conditions(),
            together: None,
            weather_report: None,
            without: Without::NOTHING,
            callout: None,
            assumed: BTreeSet::from([Assumed::Water, Assumed::Crew]),
            clock: AskerClock::NotDoubted,
        },
        known_by: KnownBy {
            log_id: [0x0c; 16],
            size: 812,
            root: [0x0d; 32],
            beyond: 2,
        },
        engine: 1,
        stations: vec![
            station_heard(1, "Mill Race", 10 * 60_000, false),
            station_heard(2, "Otter Ferry", 3 * DAY_MS, true),
        ],
        craft: vec![
            craft(1, "Boat 3", Readiness::Ready),
            limited(),
            not_ready(),
            unproven(),
        ],
        missing_kit: vec![MissingKit {
            craft: station(0x44),
            number: "Boat 9".to_owned(),
            item: LineId::from("life-jacket"),
            label: "life jacket".to_owned(),
            have: 3,
            need: 4,
        }],
        overdue: vec![Overdue {
            craft: station(0x41),
            number: "Boat 3".to_owned(),
            inspection: LineId::from("fuel-line"),
            label: "fuel line inspection".to_owned(),
            due: Some(day(2026, 2, 10)),
            days_over: Some(32),
            engine_s_over: Some(9000),
            effect: Effect::Note,
        }],
        together: None,
        taken_away: Vec::new(),
        callout: None,
        disagreements: vec![Disagreement {
            subject: station(0x43),
            number: "Raft 2".to_owned(),
            craft: BTreeSet::from([station(0x43)]),
            differ: Differ::PlacedTwice,
            about: Subject::Craft,
            sides: vec![side(1, "Mill Race"), side(2, "Otter Ferry")],
            until: Until::Unproven,
            settle: vec![Settle::Place("Raft 2".to_owned())],
        }],
    }
}

/// A county's river by night, in a breeze.
fn conditions() -> Conditions {
    let hour = |hours: i64| AS_OF.plus_ms(hours * HOUR_MS);
    Conditions {
        position: Some(Position {
            lat_e7: 449_000_000,
            lon_e7: -1_032_000_000,
        }),
        duration_s: Some(7_200),
        light: vec![Light {
            from: hour(-36),
            to: hour(38),
            dark: vec![(hour(-11), hour(3)), (hour(15), hour(27))],
        }],
        visibility: Some(Visibility::Clear),
        wind_mm_s: Some(7_717),
        ..Conditions::default()
    }
}
