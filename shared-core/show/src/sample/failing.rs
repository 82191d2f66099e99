//! A hand-made past of the invented county, and what keeps failing in it.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::Basis;
use sponson_readiness::event::{
    Author, CylinderMarks, GearKind, LeadAction, PartPlace, PlaceSide, Severity,
};
use sponson_readiness::history::{CraftPast, Decided, FaultPast, GearPast, History, RepairPast};
use sponson_readiness::ids::{FaultId, ModelId, PartId, SubjectId};
use sponson_readiness::keeps_failing::{
    About, Again, Against, Asked, Counted, CountedOnce, Group, GroupKey, Grouping, KeepsFailing,
    Kind, Looked, McfPoint, Met, Next, Per, PlaceOn, PowerSaid, Proposal, Rate, RuleMet, Said,
    Setting, ShrunkRate, TestSaid, Times, Trend, TrendSaid,
};
use sponson_readiness::moment::Moment;
use sponson_readiness::standard::Policy;

use super::{AS_OF, DAY_MS, context, event, station};
use crate::failing::{Failing, Past};

const DAY_S: u64 = 86_400;

/// The invented craft with the transom that comes apart.
pub(crate) fn boat_9() -> SubjectId {
    SubjectId::from_bytes([0x44; 16])
}

fn motor() -> SubjectId {
    SubjectId::from_bytes([0x71; 16])
}

fn days_ago(days: i64) -> Moment {
    AS_OF.plus_ms(-days * DAY_MS)
}

fn by(member: &str) -> Author {
    Author {
        key: [7; 32],
        station: Some(station(1)),
        member: member.to_owned(),
    }
}

fn id(n: u8) -> FaultId {
    FaultId {
        event: event(n),
        ordinal: 0,
    }
}

fn starboard() -> PartPlace {
    PartPlace {
        side: Some(PlaceSide::Starboard),
        from_transom_mm: Some(152),
        face: None,
    }
}

fn fault(n: u8, days: i64, repairs: &[u8], over: Option<i64>) -> FaultPast {
    FaultPast {
        id: id(n),
        craft: Some(boat_9()),
        gear: None,
        part: PartId::from("transom"),
        place: starboard(),
        class: "seam-open".to_owned(),
        severity: Severity::Restrictive,
        found: days_ago(days),
        station: Some(station(1)),
        by: by("214"),
        engine_s: None,
        repairs: repairs.iter().map(|n| event(*n)).collect(),
        over: over.map(|days| (days_ago(days), event(0xee))),
        confirmed: true,
    }
}

fn repair(n: u8, days: i64, of: u8) -> RepairPast {
    RepairPast {
        event: event(n),
        at: days_ago(days),
        faults: vec![id(of)],
        part: PartId::from("transom"),
        method: "seam-reglued".to_owned(),
        glue_batch: "G-17".to_owned(),
        by: by("88"),
    }
}

fn craft() -> CraftPast {
    CraftPast {
        fabric: "pvc".to_owned(),
        batch: "B12".to_owned(),
        stations: vec![(days_ago(800), station(1))],
        faults: vec![
            fault(0x51, 400, &[0x61], Some(390)),
            fault(0x52, 351, &[0x62], Some(340)),
            fault(0x53, 20, &[], None),
        ],
        repairs: vec![repair(0x61, 392, 0x51), repair(0x62, 345, 0x52)],
        ..CraftPast::registered(
            boat_9(),
            "Boat 9",
            ModelId::from("inflatable-14"),
            days_ago(800),
        )
    }
}

fn gear() -> GearPast {
    GearPast {
        id: motor(),
        number: "M3".to_owned(),
        kind: GearKind::Motor,
        model: "25 hp".to_owned(),
        batch: String::new(),
        made: None,
        cylinder: CylinderMarks::default(),
        registered: days_ago(700),
        ended: None,
        stations: Vec::new(),
        on: Vec::new(),
        meters: Vec::new(),
        faults: vec![FaultPast {
            id: id(0x54),
            craft: None,
            gear: Some(motor()),
            part: PartId::from("fuel-bulb"),
            place: PartPlace::default(),
            class: "cracked".to_owned(),
            severity: Severity::Minor,
            ..fault(0x54, 100, &[], None)
        }],
        repairs: Vec::new(),
        sign_offs: Vec::new(),
        inspections: Vec::new(),
        gauges: Vec::new(),
        out: Vec::new(),
        unvouched: Vec::new(),
    }
}

fn decision() -> Decided {
    Decided {
        event: event(0xd5),
        at: days_ago(338),
        by: by("1"),
        action: LeadAction::RepairAgain,
        faults: vec![id(0x51), id(0x52)],
        subjects: vec![boat_9()],
        part: Some(PartId::from("transom")),
        place: starboard(),
        model: String::new(),
        batch: String::new(),
    }
}

/// What happened.
pub(crate) fn past() -> History {
    let mut history = History::empty(AS_OF);
    history.crafts.insert(boat_9(), craft());
    history.gear.insert(motor(), gear());
    history.decisions.push(decision());
    history.left_out.withdrawn = BTreeSet::from([event(0xab)]);
    history.from = Some(days_ago(800));
    history
}

fn place() -> PlaceOn {
    PlaceOn {
        part: PartId::from("transom"),
        side: Some(PlaceSide::Starboard),
        face: None,
        from_transom_mm: Some((152, 152)),
        class: None,
    }
}

fn rate(faults: u32, days: u64, micro: u64) -> Rate {
    Rate {
        faults,
        exposure: days * DAY_S,
        micro,
        low_micro: micro / 5,
        high_micro: micro * 3,
    }
}

const NOT_TOLD: Trend = Trend {
    said: TrendSaid::TooFew {
        faults: 3,
        least: 6,
    },
    laplace: None,
    mil_hdbk: None,
    reversals: None,
};

fn again(fault: u8, repair: u8, days: u64) -> Again {
    Again {
        on: boat_9(),
        fault: id(fault),
        repair: event(repair),
        method: "seam-reglued".to_owned(),
        glue_batch: "G-17".to_owned(),
        after_s: days * DAY_S,
        signed_off: true,
    }
}

fn transom() -> Group {
    let point = |days: u64, micro: u64| McfPoint {
        at: days * DAY_S,
        at_risk: 4,
        micro,
        low_micro: micro / 4,
        high_micro: micro * 2,
    };
    Group {
        key: GroupKey::CraftPlace {
            craft: boat_9(),
            place: place(),
        },
        said: Said::MoreThanUsual {
            times_milli: Some(6_120),
            faults: 3,
            could_be_chance: false,
        },
        units: 1,
        on: vec![(boat_9(), 3)],
        rate: rate(3, 800, 1_369_690),
        usual: Some(rate(2, 3_265, 223_736)),
        times: Some(Times {
            milli: Some(6_120),
            low_milli: 1_004,
            high_milli: Some(46_510),
            p_ppm: 3_140,
            p_adjusted_ppm: 28_260,
        }),
        shrunk: Some(ShrunkRate {
            micro: 812_000,
            low_micro: 201_000,
            high_micro: 1_830_000,
            times_milli: 2_930,
        }),
        trend: Trend {
            said: TrendSaid::Worse,
            laplace: Some(test(2_104, 0, 17_690)),
            mil_hdbk: Some(test(4_020, 12, 16_200)),
            reversals: Some(test(3_000, 15, 31_000)),
        },
        power: Some(PowerSaid {
            beta_milli: 2_120,
            beta_low_milli: 1_010,
            beta_high_milli: 4_240,
            now_micro: 2_904_000,
            next: Some(Next {
                median: 92 * DAY_S,
                low: 4 * DAY_S,
                high: Some(470 * DAY_S),
            }),
        }),
        mcf: vec![
            point(400, 250_000),
            point(449, 500_000),
            point(780, 750_000),
        ],
        of_rest: vec![point(310, 90_000)],
        faults: vec![id(0x51), id(0x52), id(0x53)],
        open: vec![id(0x53)],
        worst: Some(Severity::Restrictive),
        again: vec![again(0x52, 0x61, 41), again(0x53, 0x62, 325)],
    }
}

const fn test(statistic_milli: i64, of: u32, p_worse_ppm: u32) -> TestSaid {
    TestSaid {
        statistic_milli,
        of,
        p_worse_ppm,
        p_better_ppm: 1_000_000 - p_worse_ppm,
    }
}

/// A group of one fault on gear.
fn bulb() -> Group {
    Group {
        key: GroupKey::Gear(motor()),
        said: Said::TooFew {
            faults: 1,
            least: 3,
        },
        units: 1,
        on: vec![(motor(), 1)],
        rate: rate(1, 700, 521_786),
        usual: None,
        times: None,
        shrunk: None,
        trend: NOT_TOLD,
        power: None,
        mcf: Vec::new(),
        of_rest: Vec::new(),
        faults: vec![id(0x54)],
        open: vec![id(0x54)],
        worst: Some(Severity::Minor),
        again: Vec::new(),
    }
}

fn rule(setting: Setting, measured: u64, limit: u64) -> RuleMet {
    RuleMet {
        setting,
        measured,
        limit,
        within_days: Some(730),
        units: None,
        basis: Basis::Agency,
        source: "common practice, no source: the lead decides",
    }
}

fn to_the_maker() -> Proposal {
    Proposal {
        action: LeadAction::SendToMaker,
        about: About::Place {
            on: boat_9(),
            place: place(),
        },
        rule: rule(Setting::MakerAfter, 2, 2),
        also: vec![Met {
            action: LeadAction::RepairAgain,
            rule: RuleMet {
                within_days: None,
                ..rule(Setting::RepairAgainAfter, 2, 1)
            },
        }],
        evidence: vec![id(0x51), id(0x52), id(0x53)],
        open: vec![id(0x53)],
        worst: Severity::Restrictive,
        decided: Some(decision()),
        since: vec![id(0x53)],
        held: None,
    }
}

fn hold() -> Proposal {
    Proposal {
        action: LeadAction::Hold,
        about: About::Batch {
            kind: Kind::Craft,
            model: "inflatable-14".to_owned(),
            batch: "B12".to_owned(),
        },
        rule: RuleMet {
            within_days: None,
            units: Some((4, 3)),
            ..rule(Setting::HoldFaults, 6, 5)
        },
        also: Vec::new(),
        evidence: vec![id(0x51)],
        open: Vec::new(),
        worst: Severity::Restrictive,
        decided: None,
        since: Vec::new(),
        held: None,
    }
}

/// What keeps failing.
pub(crate) fn found() -> KeepsFailing {
    KeepsFailing {
        asked: Asked {
            per: Per::Days,
            ..Asked::all(Grouping::CraftPlace)
        },
        from: Some(days_ago(800)),
        until: AS_OF,
        against: Against::SamePlace,
        groups: vec![transom(), bulb()],
        all: Some(rate(4, 4_065, 359_410)),
        looked: Looked {
            groups: 9,
            compared: 7,
            rate_ppm: 100_000,
            apart: 1,
        },
        counted: Counted {
            faults: 4,
            unconfirmed: 2,
            once: vec![CountedOnce {
                counted: id(0x51),
                left_out: id(0x55),
                sign_off: event(0xee),
            }],
            not_asked: 0,
            not_watched: 0,
            units_not_watched: 1,
        },
        settings: Policy::parse(Policy::default_text())
            .expect("the policy that comes with the program")
            .recurring,
        proposals: vec![to_the_maker(), hold()],
    }
}

/// The same in words.
pub(crate) fn said(found: &KeepsFailing, history: &History) -> Failing {
    let (standards, ctx) = (BTreeMap::new(), context());
    let past = Past {
        history,
        standards: &standards,
        ctx: &ctx,
    };
    Failing::of(found, &past, None)
}
