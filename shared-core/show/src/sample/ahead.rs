//! What comes due in the invented county, for the tests of what is shown: one thing of each kind, one
//! of each standing, visits, the shelf, what was late.

use chrono::Days;
use sponson_readiness::ahead::{
    Ahead, By, CountedFrom, DoneLate, DueItem, EngineLeft, EngineUse, InTime, Late, Material,
    MeterRead, NeedFor, NotKnown, Often, On, Past, Planned, Reached, ShelfNeed, Standing,
    UseNotKnown, Visit, Wanted, WeekCount, What, WhyNoVisit, WhyNotKnown,
};
use sponson_readiness::answer::{Basis, Mark};
use sponson_readiness::dates::Day;
use sponson_readiness::event::{DateMark, GearKind};
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::standard::{Every, MarkDay, Policy};

use super::{AS_OF, day, event, station};

const DAY_MS: i64 = 86_400_000;

fn craft(n: u8) -> SubjectId {
    SubjectId::from_bytes([0x40 + n; 16])
}

fn gear(n: u8) -> SubjectId {
    SubjectId::from_bytes([0x70 + n; 16])
}

/// A yearly inspection of Boat 11 at Mill Race that is in time.
pub(crate) fn inspection(line: &str, label: &str, due: Day) -> DueItem {
    DueItem {
        what: What::Inspection(LineId::from(line)),
        craft: Some(craft(1)),
        on: On::Craft(craft(1)),
        number: "Boat 11".to_owned(),
        station: Some(station(1)),
        label: label.to_owned(),
        due,
        between: None,
        by: By::Calendar,
        standing: Standing::InTime,
        grace_days: 30,
        counted_from: CountedFrom::LastDone(day(2025, 3, 17)),
        round: 1,
        engine: None,
        used_hard: false,
        minutes: Some(30),
        uses: Vec::new(),
        basis: Basis::Agency,
        source: "county boat rules, section 4".to_owned(),
        evidence: vec![event(0xa1)],
        planned: Planned::Visit(0),
    }
}

/// The use of a motor that ran now and then over 200 days.
fn reached(left_s: u64) -> Reached {
    let reads: Vec<MeterRead> = (0..9_u64)
        .map(|n| MeterRead {
            at: AS_OF.plus_ms(-DAY_MS * i64::try_from(200 - 25 * n).expect("days")),
            engine_s: 3_600 * (10 + 2 * n + n % 3),
        })
        .collect();
    let policy = Policy::parse(Policy::default_text())
        .expect("settings")
        .ahead;
    let of = EngineUse::of(&reads, AS_OF, &policy).expect("enough readings");
    of.reaches(day(2026, 3, 14), left_s)
}

fn engine_service() -> DueItem {
    let left_s = 3_600 * 12;
    let reached = reached(left_s);
    DueItem {
        on: On::Gear(gear(1), "Motor 7".to_owned()),
        due: reached.expected,
        between: Some(reached.between),
        by: By::EngineHours,
        engine: Some(EngineLeft {
            left_s: 3_600 * 12,
            reached: Ok(reached),
        }),
        uses: vec![Material {
            item: LineId::from("impeller"),
            label: "impeller kit".to_owned(),
            count: 1,
        }],
        minutes: None,
        planned: Planned::Visit(1),
        ..inspection(
            "engine-service",
            "engine service by the maker's chart",
            day(2026, 3, 14),
        )
    }
}

fn flares() -> DueItem {
    DueItem {
        what: What::KitDate {
            item: LineId::from("flare"),
            count: 3,
            mark: Some(Mark {
                mark: DateMark {
                    year: 2026,
                    month: Some(3),
                    day: None,
                },
                is_making: false,
                day: MarkDay::LastDay,
            }),
        },
        minutes: None,
        counted_from: CountedFrom::Marked,
        ..inspection("flare", "hand flare", day(2026, 3, 31))
    }
}

/// Everything that can come due, at two stations and at none.
fn items() -> Vec<DueItem> {
    let today = day(2026, 3, 14);
    let overdue = Standing::Overdue {
        since: Some(day(2026, 2, 20)),
        days: Some(22),
        engine_s: Some(10_800),
    };
    let at_otter = |item: DueItem| DueItem {
        station: Some(station(2)),
        craft: Some(craft(2)),
        on: On::Craft(craft(2)),
        number: "Boat 12".to_owned(),
        planned: Planned::Visit(2),
        ..item
    };
    let no_craft = |item: DueItem| DueItem {
        craft: None,
        ..at_otter(item)
    };
    vec![
        DueItem {
            standing: overdue,
            by: By::Now,
            ..inspection("fuel-line", "fuel line, bulb and connectors", today)
        },
        at_otter(DueItem {
            standing: Standing::NeverDone,
            by: By::Now,
            counted_from: CountedFrom::Nothing,
            ..inspection("hold", "hold test", today)
        }),
        at_otter(DueItem {
            standing: Standing::Failed,
            by: By::Now,
            ..inspection("transom-seal", "transom bolts and seal", today)
        }),
        inspection("valves", "inflation and relief valves", day(2026, 3, 15)),
        flares(),
        DueItem {
            what: What::WaiverEnds(event(0xb2)),
            planned: Planned::Not(WhyNoVisit::ToBeDecided),
            ..inspection("waiver", "tube 1 rubbed", day(2026, 4, 2))
        },
        engine_service(),
        no_craft(DueItem {
            what: What::Requalification,
            number: "Cylinder 4".to_owned(),
            on: On::Gear(gear(4), "Cylinder 4".to_owned()),
            ..inspection("cylinder", "Cylinder 4", day(2026, 6, 30))
        }),
        no_craft(DueItem {
            what: What::SealTag,
            number: "Bag 2".to_owned(),
            on: On::Bag(gear(5), "Bag 2".to_owned()),
            ..inspection("seal", "Bag 2", day(2026, 6, 30))
        }),
        DueItem {
            what: What::GearLife(GearKind::FuelLine),
            station: None,
            planned: Planned::Not(WhyNoVisit::StationNotKnown),
            on: On::Gear(gear(6), "Line 3".to_owned()),
            used_hard: true,
            ..inspection("line", "Line 3", day(2026, 9, 1))
        },
        DueItem {
            round: 2,
            counted_from: CountedFrom::ExpectedDone(today),
            planned: Planned::Visit(3),
            ..inspection(
                "fuel-line",
                "fuel line, bulb and connectors",
                day(2027, 3, 14),
            )
        },
    ]
}

fn visit(at: u8, on: Day, items: &[usize]) -> Visit {
    Visit {
        station: station(at),
        day: on,
        not_before: on,
        items: items.to_vec(),
        minutes: 30 * u32::try_from(items.len()).expect("few"),
        minutes_not_known: 0,
        bring: Vec::new(),
    }
}

fn visits(due: &[DueItem]) -> Vec<Visit> {
    let material = |item: &str, label: &str, count| Material {
        item: LineId::from(item),
        label: label.to_owned(),
        count,
    };
    let service = due.iter().find(|item| item.by == By::EngineHours);
    let service = service.map_or(day(2026, 3, 14), |item| item.due);
    let before = service.checked_sub_days(Days::new(9)).expect("a day");
    vec![
        Visit {
            minutes: 60,
            minutes_not_known: 1,
            bring: vec![material("flare", "hand flare", 3)],
            ..visit(1, day(2026, 3, 14), &[0, 3, 4])
        },
        Visit {
            not_before: before,
            minutes: 0,
            minutes_not_known: 1,
            bring: vec![material("impeller", "impeller kit", 1)],
            ..visit(1, service, &[6])
        },
        visit(2, day(2026, 3, 14), &[1, 2, 7, 8]),
        visit(1, day(2027, 3, 14), &[10]),
    ]
}

fn weeks(due: &[DueItem]) -> Vec<WeekCount> {
    let mut all: Vec<WeekCount> = Vec::new();
    for item in due {
        let week = crate::table::monday(item.due);
        let one = WeekCount {
            week,
            station: item.station,
            items: 1,
            overdue: u32::from(item.standing.is_overdue()),
            by_engine: u32::from(item.by == By::EngineHours),
            minutes: item.minutes.unwrap_or(0),
        };
        let of = all.iter_mut();
        match of
            .into_iter()
            .find(|it| (it.week, it.station) == (week, item.station))
        {
            Some(of) => {
                of.items += one.items;
                of.overdue += one.overdue;
                of.by_engine += one.by_engine;
                of.minutes += one.minutes;
            }
            None => all.push(one),
        }
    }
    all
}

fn shelf() -> Vec<ShelfNeed> {
    let wanted = |on, count, short, for_what| Wanted {
        day: on,
        count,
        short,
        for_what,
        craft: Some(craft(1)),
        number: "Boat 11".to_owned(),
    };
    let impeller = NeedFor::Inspection(
        LineId::from("engine-service"),
        "engine service by the maker's chart".to_owned(),
    );
    let flares = ShelfNeed {
        station: Some(station(1)),
        item: LineId::from("flare"),
        label: "hand flare".to_owned(),
        there: 2,
        runs_out_unused: 1,
        not_counted: 1,
        wanted: vec![
            wanted(day(2026, 3, 14), 1, 0, NeedFor::ShortNow),
            wanted(day(2026, 3, 31), 3, 2, NeedFor::RunsOut),
        ],
        short: 2,
        by: Some(day(2026, 3, 31)),
        order_by: Some(day(2026, 3, 14)),
    };
    let enough = ShelfNeed {
        item: LineId::from("impeller"),
        label: "impeller kit".to_owned(),
        there: 2,
        runs_out_unused: 0,
        not_counted: 0,
        wanted: vec![wanted(day(2026, 7, 1), 1, 0, impeller)],
        short: 0,
        by: None,
        order_by: None,
        ..flares.clone()
    };
    let later = ShelfNeed {
        station: None,
        item: LineId::from("plug"),
        label: "spark plug".to_owned(),
        there: 0,
        runs_out_unused: 0,
        not_counted: 0,
        wanted: vec![Wanted {
            craft: None,
            number: String::new(),
            ..wanted(day(2026, 9, 1), 4, 4, NeedFor::RunsOutAgain)
        }],
        short: 4,
        by: Some(day(2026, 9, 1)),
        order_by: Some(day(2026, 7, 21)),
    };
    vec![flares, enough, later]
}

fn late() -> Late {
    let done = DoneLate {
        craft: craft(1),
        number: "Boat 11".to_owned(),
        station: Some(station(1)),
        inspection: LineId::from("fuel-line"),
        label: "fuel line, bulb and connectors".to_owned(),
        due: Some(day(2026, 2, 20)),
        past: Past::StillRunning,
        days: Some(22),
        engine_s: Some(10_800),
        in_grace: true,
    };
    let was = DoneLate {
        craft: craft(2),
        number: "Boat 12".to_owned(),
        station: Some(station(2)),
        past: Past::Done(day(2025, 12, 5), event(0xc3)),
        due: Some(day(2025, 11, 3)),
        days: Some(32),
        engine_s: None,
        in_grace: false,
        ..done.clone()
    };
    let share = |due, in_time, low, high, late| InTime {
        due,
        in_time,
        share: (low, high),
        median_days_late: late,
    };
    Late {
        county: Some(share(24, 22, 0.73, 0.9897, Some(27))),
        by_station: vec![
            (station(1), share(16, 15, 0.698, 0.998, Some(22))),
            (station(2), share(8, 7, 0.473, 0.997, Some(32))),
        ],
        by_craft: vec![(
            craft(1),
            "Boat 11".to_owned(),
            share(3, 3, 0.292, 1.0, None),
        )],
        by_line: vec![(
            LineId::from("fuel-line"),
            "fuel line, bulb and connectors".to_owned(),
            share(12, 10, 0.516, 0.979, Some(27)),
        )],
        done: vec![was, done],
    }
}

/// What comes due in the year from the moment of the sample county.
pub(crate) fn ahead() -> Ahead {
    let due = items();
    Ahead {
        from: day(2026, 3, 14),
        until: day(2027, 3, 14),
        visits: visits(&due),
        weeks: weeks(&due),
        due,
        often: vec![Often {
            craft: craft(1),
            number: "Boat 11".to_owned(),
            station: Some(station(1)),
            inspection: Some(LineId::from("engine-run")),
            label: "engine run ahead and astern".to_owned(),
            every: Every::Days(7),
            next: day(2026, 3, 16),
            owed: false,
            times: 52,
            minutes: Some(10),
        }],
        not_known: vec![
            NotKnown {
                craft: craft(2),
                number: "Boat 12".to_owned(),
                station: Some(station(2)),
                inspection: LineId::from("gear-oil"),
                label: "gear oil".to_owned(),
                left_s: Some(3_600 * 40),
                why: WhyNotKnown::Use(UseNotKnown::TooShort(31)),
            },
            NotKnown {
                craft: craft(2),
                number: "Boat 12".to_owned(),
                station: Some(station(2)),
                inspection: LineId::from("plugs"),
                label: "spark plugs".to_owned(),
                left_s: None,
                why: WhyNotKnown::NoMeter,
            },
        ],
        shelf: shelf(),
        late: late(),
        stations: [(station(1), "Mill Race"), (station(2), "Otter Ferry")]
            .map(|(id, name)| (id, name.to_owned()))
            .into(),
        window_days: 14,
        lead_days: 42,
    }
}
