//! A day's plan of kit moves in words: what to take from where, what each move makes ready, what
//! stays short and why, and what givers keep.

use std::collections::BTreeMap;

use sponson_readiness::kit_moves::{
    Hindrance, Holder, Keeps, KitMoves, Move, Proven, StaysShort, Stock, Taker,
};
use sponson_readiness::moment::Moment;

use super::lines::Lines;
use super::lists::number_prefix;
use crate::clean::clean;
use crate::context::Context;
use crate::sentence::finding_text;
use crate::units::print;
use crate::{caution, words};

/// The plan, at most 80 columns wide.
#[must_use]
pub fn kit_moves_report(moves: &KitMoves, ctx: &Context) -> String {
    let mut lines = Lines::default();
    lines.hanging("", &headline(moves, ctx));
    lines.hanging("", &kit_moves_summary(moves));
    plan(&mut lines, moves, ctx);
    short(&mut lines, moves);
    hindered(&mut lines, moves, ctx);
    kept(&mut lines, moves, ctx);
    lines.blank();
    for sentence in kit_moves_notes(moves) {
        lines.hanging("", &sentence);
    }
    lines.hanging("", caution());
    lines.into_text()
}

fn headline(moves: &KitMoves, ctx: &Context) -> String {
    let missions: Vec<String> = moves
        .county
        .asked
        .missions
        .iter()
        .map(|it| clean(it.as_str()))
        .collect();
    let missions = if missions.is_empty() {
        "the general standard".to_owned()
    } else {
        missions.join(", ")
    };
    let when = ctx.local(moves.as_of);
    let zone = print::offset(ctx.utc_offset_min);
    format!("Kit moves for {missions}, as of {when} ({zone}).")
}

/// How many craft can go as they are, and how many more by how many units.
#[must_use]
pub fn kit_moves_summary(moves: &KitMoves) -> String {
    let ready = moves.county.ready.len();
    let worth = moves.solved.worth;
    let already = format!("{ready} craft can go as they are");
    if worth.craft == 0 {
        return format!("{already}. No kit that there is makes another one go.");
    }
    let units = print::count(i64::try_from(worth.units).unwrap_or(i64::MAX), "unit");
    let are = if worth.units == 1 { "is" } else { "are" };
    let best = match moves.solved.proven {
        Proven::Yes | Proven::NotFirst => "no plan makes more of them go, nor moves less for it",
        Proven::No => {
            "the best that was found before the limit of the search: a better one may exist"
        }
    };
    format!(
        "{already}; {} more can once {units} {are} moved: {best}.",
        worth.craft
    )
}

/// What everybody who reads a plan has to know.
#[must_use]
pub fn kit_moves_notes(moves: &KitMoves) -> Vec<String> {
    let mut notes = Vec::new();
    if moves.solved.worth.way_not_known > 0 {
        notes.push(
            "Way not known: the position of one of the two stations is not registered. Such givers \
             come last."
                .to_owned(),
        );
    }
    notes.push(
        match moves.county.asked.keeps {
            Keeps::EveryMission => "Givers keep what they need for any mission of their boat standard.",
            Keeps::ChosenMissions => {
                "Givers keep what they need for these missions only: they can become short for others."
            }
        }
        .to_owned(),
    );
    notes.push(
        "This plan records nothing. Once kit has gone, record it: 'move' for a bag or numbered gear, a \
         check or a count at both ends for all else. Until then it counts where it was."
            .to_owned(),
    );
    notes
}

fn plan(lines: &mut Lines, moves: &KitMoves, ctx: &Context) {
    for at in &moves.solved.plan.ready {
        let Some(taker) = moves.county.problem.takers.get(*at) else {
            continue;
        };
        lines.blank();
        let text = format!("at {}: can go with", ctx.station(taker.station));
        lines.hanging(&number_prefix(&taker.number), &text);
        let own = moves
            .solved
            .plan
            .moves
            .iter()
            .filter(|one| one.taker == *at);
        for one in own {
            if let Some(text) = kit_move_text(moves, one, ctx) {
                lines.hanging("      - ", &text);
            }
        }
    }
}

/// One move: what, how many, from where, how far.
#[must_use]
pub fn kit_move_text(moves: &KitMoves, one: &Move, ctx: &Context) -> Option<String> {
    let problem = &moves.county.problem;
    let (taker, stock) = (
        problem.takers.get(one.taker)?,
        problem.stocks.get(one.stock)?,
    );
    let want = taker.wants.get(one.want)?;
    let stands_in = if want.line == stock.line {
        String::new()
    } else {
        format!(" (in place of {})", clean(&want.label))
    };
    let from = holder(stock, ctx);
    let way = match problem.way(stock.station, taker.station) {
        Some(_) if stock.station == taker.station => "same station".to_owned(),
        Some(metres) => format!("{} in a straight line", print::distance(metres, ctx.units)),
        None => "way not known".to_owned(),
    };
    Some(format!(
        "{}{stands_in}: take {} from {from} to {} at {}, {way}",
        clean(&stock.label),
        one.units,
        clean(&taker.number),
        ctx.station(taker.station),
    ))
}

fn holder(stock: &Stock, ctx: &Context) -> String {
    let number = clean(&stock.number);
    let station = ctx.station(stock.station);
    match stock.holder {
        Holder::Shelf => format!("shelf {number} at {station}"),
        Holder::Bag => format!("bag {number} at {station}"),
        Holder::Station => format!("the store of {station}"),
        Holder::Craft => format!("{number} at {station}"),
        Holder::Condemned => format!("the condemned craft {number} at {station}"),
    }
}

fn short(lines: &mut Lines, moves: &KitMoves) {
    let mut staying = staying(moves).peekable();
    if staying.peek().is_none() {
        return;
    }
    lines.blank();
    lines.hanging("", "Stay short, and nothing is moved for them:");
    for (taker, why) in staying {
        lines.hanging(&number_prefix(&taker.number), &why.join("; "));
    }
}

/// Craft that lack kit and get none, each with why.
pub fn staying(moves: &KitMoves) -> impl Iterator<Item = (&Taker, Vec<String>)> {
    let problem = &moves.county.problem;
    let plan = &moves.solved.plan;
    let takers = problem.takers.iter().enumerate();
    takers
        .filter(|(at, _)| !plan.ready.contains(at))
        .map(|(_, taker)| {
            let short = problem.stays_short(plan, taker);
            let why = short.iter().filter_map(|one| lacks(taker, one));
            (taker, why.collect())
        })
}

fn lacks(taker: &Taker, one: &StaysShort) -> Option<String> {
    let want = taker.wants.get(one.want)?;
    let units = u64::from(want.units);
    let there_is = match (one.spare, one.left) {
        (0, _) => "none that fits is spare anywhere".to_owned(),
        (spare, _) if spare < units => format!("only {spare} spare in the county"),
        (_, left) if left < units => format!("{left} left over by this plan"),
        (_, left) => format!("{left} spare, of no use without the rest"),
    };
    Some(format!("{}: lacks {units}, {there_is}", clean(&want.label)))
}

fn hindered(lines: &mut Lines, moves: &KitMoves, ctx: &Context) {
    if moves.county.hindered.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Kit alone does not make these go:");
    for one in &moves.county.hindered {
        lines.hanging(
            &number_prefix(&one.number),
            &hindrance(&one.why, moves.as_of, ctx),
        );
    }
}

/// Why kit alone does not make a craft go: of findings the first, and how many more.
#[must_use]
pub fn hindrance(why: &Hindrance, as_of: Moment, ctx: &Context) -> String {
    match why {
        Hindrance::Findings(findings) => {
            let Some((first, others)) = findings.split_first() else {
                return String::new();
            };
            let more = match others.len() {
                0 => String::new(),
                others => format!("; and {others} more"),
            };
            format!("{}{more}", finding_text(first, as_of, ctx))
        }
        Hindrance::Declared(status) => words::status(status),
        Hindrance::PlaceNotKnown => "its place is not known".to_owned(),
        Hindrance::NoMission => "its boat standard has none of these missions".to_owned(),
        Hindrance::NoStandard => "its registration or boat standard is not known here".to_owned(),
    }
}

/// Who gives, and what is kept there.
fn kept(lines: &mut Lines, moves: &KitMoves, ctx: &Context) {
    let givers = givers(moves);
    if givers.is_empty() {
        return;
    }
    lines.blank();
    lines.hanging("", "Who gives, and what is left there:");
    for (stock, given) in givers {
        lines.hanging("  - ", &giver_text(stock, given, ctx));
    }
}

/// What one gives, and what is left there.
pub(crate) fn giver_text(stock: &Stock, given: u64, ctx: &Context) -> String {
    let left = u64::from(stock.good).saturating_sub(given);
    let (from, label) = (holder(stock, ctx), clean(&stock.label));
    format!("{from}: gives {given}, {left} left of {label}")
}

/// Stocks that give, with how many units.
#[must_use]
pub fn givers(moves: &KitMoves) -> Vec<(&Stock, u64)> {
    let mut given: BTreeMap<usize, u64> = BTreeMap::new();
    for one in &moves.solved.plan.moves {
        *given.entry(one.stock).or_default() += u64::from(one.units);
    }
    let stocks = &moves.county.problem.stocks;
    given
        .into_iter()
        .filter_map(|(at, given)| Some((stocks.get(at)?, given)))
        .collect()
}

#[cfg(test)]
mod tests;
