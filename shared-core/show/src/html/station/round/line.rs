//! Lines of a stop, each with its controls.

use maud::{Markup, html};
use sponson_readiness::walk::{Stop, WalkLine};

use super::progress::{in_bag, is_done};
use super::{Round, answer, bag, count, fault, measure, names, reading, said};

/// Every line of a stop. What is counted in a bag stands behind the bag's seal.
pub(super) fn lines(round: &Round<'_>, stop: &Stop) -> Markup {
    let seals = stop.lines.iter().filter_map(|line| {
        if let WalkLine::Seal { bag } = line {
            Some(*bag)
        } else {
            None
        }
    });
    let seals: Vec<_> = seals.collect();
    let behind = |line: &WalkLine| seals.iter().any(|bag| in_bag(line, *bag));
    html! {
        @if round.from_paper && is_first(round, stop) { (measure::of_paper(round)) }
        @for line in &stop.lines {
            @if let WalkLine::Seal { bag: of } = line {
                (framed(round, stop, line, &bag::seal(round, *of)))
                (bag::counts(round, stop, *of))
            } @else if !behind(line) {
                (one(round, stop, line))
            }
        }
    }
}

fn is_first(round: &Round<'_>, stop: &Stop) -> bool {
    round
        .walk
        .stops
        .first()
        .is_some_and(|first| first.id == stop.id)
}

/// One line.
pub(super) fn one(round: &Round<'_>, stop: &Stop, line: &WalkLine) -> Markup {
    let controls = match line {
        WalkLine::Air => measure::air(round),
        WalkLine::Stood => measure::stood(round),
        WalkLine::Gauge => measure::gauge(round),
        WalkLine::Ambient => return measure::ambient(round),
        WalkLine::Stowage => measure::stowage(round),
        WalkLine::Reading {
            part,
            wanted,
            valves,
        } => reading::reading(round, part, *wanted, *valves),
        WalkLine::Answer { line, .. } => answer::answer(round, line),
        WalkLine::Seal { bag } => bag::seal(round, *bag),
        WalkLine::Count {
            item,
            wanted,
            dated,
            ..
        } => count::count(round, &names::line(round, line), item, (*wanted, *dated)),
        WalkLine::Fuel { tank } => measure::fuel(round, *tank),
        WalkLine::Meter { motor } => measure::meter(round, *motor),
        WalkLine::Cylinder { gear } => measure::cylinder(round, *gear),
        WalkLine::Aboard { gear, part } => measure::aboard(round, *gear, part.as_ref()),
        WalkLine::Faults => return fault::faults(round),
    };
    framed(round, stop, line, &controls)
}

fn framed(round: &Round<'_>, stop: &Stop, line: &WalkLine, controls: &Markup) -> Markup {
    let name = names::line(round, line);
    let state = if is_done(round, stop, line) {
        "done"
    } else {
        "open"
    };
    html! {
        fieldset.line id=(names::id("l", &name)) data-line=(name) data-state=(state)
            data-proving=(names::proving(&name, line).join("\n")) data-part=[part(line)] {
            (controls)
            (said::said(round, &name))
        }
    }
}

/// The part that a fault found here would be on.
fn part(line: &WalkLine) -> Option<&str> {
    match line {
        WalkLine::Reading { part, .. } => Some(part.as_str()),
        WalkLine::Answer { part, .. } | WalkLine::Aboard { part, .. } => {
            part.as_ref().map(|part| part.as_str())
        }
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Seal { .. }
        | WalkLine::Count { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Faults => None,
    }
}
