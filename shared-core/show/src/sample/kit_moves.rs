//! A day's plan of kit moves for the tests of what is shown.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::answer::{Effect, KnownBy, Rule, Status};
use sponson_readiness::event::OutReason;
use sponson_readiness::ids::LineId;
use sponson_readiness::kit_moves::{
    Hindered, Hindrance, Holder, Keeps, KitAsked, KitCounty, KitMoves, Move, Plan, Problem, Proven,
    Solved, Stock, Taker, Want,
};

use super::{AS_OF, finding, station};

fn want(line: &str, units: u32, by: &[&str]) -> Want {
    Want {
        line: LineId::from(line),
        label: format!("{line}s"),
        units,
        by: by.iter().map(|it| LineId::from(*it)).collect(),
    }
}

fn taker(n: u8, number: &str, at: u8, wants: Vec<Want>) -> Taker {
    Taker {
        id: station(n),
        number: number.to_owned(),
        station: station(at),
        wants,
    }
}

fn stock(
    n: u8,
    holder: Holder,
    number: &str,
    at: u8,
    (line, good, spare): (&str, u32, u32),
) -> Stock {
    Stock {
        id: station(n),
        line: LineId::from(line),
        holder,
        number: number.to_owned(),
        station: station(at),
        label: format!("{line}s"),
        good,
        spare,
    }
}

/// Two craft made ready, one that stays short, two that no kit makes go.
pub(crate) fn planned() -> KitMoves {
    let takers = vec![
        taker(
            10,
            "Marsh 22",
            2,
            vec![want("throw-bag", 2, &["throw-bag"])],
        ),
        taker(
            11,
            "Marsh 23",
            2,
            vec![
                want("paddle", 1, &["paddle", "oar"]),
                want("helmet", 1, &["helmet"]),
            ],
        ),
        taker(
            12,
            "Quay 4",
            1,
            vec![
                want("throw-bag", 3, &["throw-bag"]),
                want("pump", 1, &["pump"]),
            ],
        ),
    ];
    let stocks = vec![
        stock(20, Holder::Shelf, "A", 1, ("throw-bag", 4, 4)),
        stock(21, Holder::Craft, "Ridge 7", 3, ("oar", 3, 1)),
        stock(22, Holder::Condemned, "Ridge 1", 2, ("helmet", 2, 2)),
    ];
    let moved = |taker, want, stock, units| Move {
        taker,
        want,
        stock,
        units,
    };
    let plan = Plan {
        ready: BTreeSet::from([0, 1]),
        moves: vec![moved(0, 0, 0, 2), moved(1, 0, 1, 1), moved(1, 1, 2, 1)],
    };
    let problem = Problem {
        takers,
        stocks,
        metres: BTreeMap::from([((station(1), station(2)), 8_420)]),
    };
    let worth = problem.worth(&plan).expect("it holds");
    let hindered = |n, number: &str, why| Hindered {
        id: station(n),
        number: number.to_owned(),
        why,
    };
    KitMoves {
        as_of: AS_OF,
        known_by: KnownBy {
            log_id: [0; 16],
            size: 812,
            root: [0; 32],
            beyond: 0,
        },
        county: KitCounty {
            asked: KitAsked {
                missions: ["flood".into(), "search".into()].into(),
                keeps: Keeps::EveryMission,
            },
            ready: vec![(station(9), "Quay 1".to_owned())],
            hindered: vec![
                hindered(
                    13,
                    "Quay 5",
                    Hindrance::Declared(Status::OutOfService {
                        reason: OutReason::Mechanical,
                    }),
                ),
                hindered(
                    14,
                    "Quay 6",
                    Hindrance::Findings(vec![
                        finding(Rule::NeverChecked, Effect::Unproven),
                        finding(Rule::KitShort, Effect::NotReady),
                    ]),
                ),
            ],
            problem,
        },
        solved: Solved {
            plan,
            worth,
            proven: Proven::Yes,
        },
    }
}
