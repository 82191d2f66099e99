//! Plans against every plan that there is, and scenes made by hand.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use sponson_readiness::ids::{LineId, SubjectId};
use sponson_readiness::kit_moves::{
    Holder, Move, Plan, PlanError, Problem, Proven, Solved, Stock, Taker, Want, Worth,
};

use super::solve::solve;

mod every;
mod one_by_one;
mod scenes;
mod size;

const fn id(number: u8) -> SubjectId {
    SubjectId::from_bytes([number; 16])
}

/// A craft at a station that lacks units of lines, each filled by others as well.
fn taker(number: u8, station: u8, wants: &[(&str, u32, &[&str])]) -> Taker {
    let wants = wants.iter().map(|(line, units, others)| Want {
        line: LineId::from(*line),
        label: (*line).to_owned(),
        units: *units,
        by: std::iter::once(line)
            .chain(*others)
            .map(|it| LineId::from(*it))
            .collect(),
    });
    Taker {
        id: id(number),
        number: format!("Boat {number}"),
        station: id(station),
        wants: wants.collect(),
    }
}

/// So many spare units of a line at a station.
fn stock(number: u8, station: u8, line: &str, spare: u32) -> Stock {
    Stock {
        id: id(number),
        line: LineId::from(line),
        holder: Holder::Shelf,
        number: format!("Shelf {number}"),
        station: id(station),
        label: line.to_owned(),
        good: spare,
        spare,
    }
}

fn problem(takers: Vec<Taker>, mut stocks: Vec<Stock>, ways: &[(u8, u8, u32)]) -> Problem {
    stocks.sort();
    let metres = ways
        .iter()
        .map(|(from, to, metres)| ((id(*from), id(*to)), *metres));
    Problem {
        takers,
        stocks,
        metres: metres.collect(),
    }
}

/// The plan in words: each move, then what it is worth.
fn told(problem: &Problem, solved: &Solved) -> String {
    let moves = solved.plan.moves.iter().map(|one| {
        let (taker, stock) = (&problem.takers[one.taker], &problem.stocks[one.stock]);
        let line = &taker.wants[one.want].line;
        format!("{} {line} {} -> {}", one.units, stock.number, taker.number)
    });
    let Worth {
        craft,
        units,
        way_not_known,
        metres,
    } = solved.worth;
    let worth = format!("{craft} craft, {units} units, {way_not_known} unknown, {metres} m");
    let lines: Vec<String> = moves
        .chain([worth, format!("{:?}", solved.proven)])
        .collect();
    lines.join("\n")
}
