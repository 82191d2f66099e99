//! A first look at a record: how much there is, what was last done, what came again at one place.
//!
//! Counts of entries, as they stand in the record; no statistics, and nothing is concluded from them.

use std::collections::BTreeMap;

use prost::Message as _;
use sponson_log::trust::Trust;
use sponson_proto::event::v1::{self as wire, Kind};
use sponson_show::units::print;

use super::build::{Making, Spoken};
use super::marks::Marks;

/// Places that are named at most: a page has room for so many.
const PLACES_MAX: usize = 12;

/// The sentences.
pub(super) fn glance(within: &[&Spoken<'_>], marks: &Marks, making: &Making<'_>) -> Vec<String> {
    if within.is_empty() {
        return Vec::new();
    }
    let counted: Vec<&Spoken<'_>> = within
        .iter()
        .copied()
        .filter(|one| !marks.says_nothing(one) && one.line.line.trust == Trust::Trusted)
        .collect();
    let mut said = vec![counts(within.len(), &counted, making)];
    said.extend(checks(&counted, making));
    said.extend(again(&counted, making));
    said.extend(inspections(&counted, making));
    said.extend(uses(&counted));
    said.extend(decided(&counted, making));
    said.extend(not_counted(within, marks));
    said
}

fn number(count: usize, noun: &str) -> String {
    print::count(i64::try_from(count).unwrap_or(i64::MAX), noun)
}

fn of_kind<'a, 'b>(
    counted: &'a [&'a Spoken<'b>],
    kind: Kind,
) -> impl DoubleEndedIterator<Item = &'a Spoken<'b>> {
    let all = counted.iter().copied();
    all.filter(move |one| one.kind == kind)
}

fn counts(all: usize, counted: &[&Spoken<'_>], making: &Making<'_>) -> String {
    let faults: usize = counted.iter().map(|one| found(one).len()).sum();
    let parts = [
        (of_kind(counted, Kind::Check).count(), "check"),
        (of_kind(counted, Kind::Use).count(), "use"),
        (faults, "fault"),
        (of_kind(counted, Kind::Repair).count(), "repair"),
        (of_kind(counted, Kind::SignOff).count(), "sign-off"),
        (of_kind(counted, Kind::InspectionDone).count(), "inspection"),
        (of_kind(counted, Kind::AirChanged).count(), "change of air"),
        (
            of_kind(counted, Kind::OutOfService).count(),
            "time out of service",
        ),
    ];
    let plural = |count: usize, noun: &str| match (count, noun) {
        (1, noun) => format!("1 {noun}"),
        (count, "change of air") => format!("{count} changes of air"),
        (count, "time out of service") => format!("{count} times out of service"),
        (count, noun) => number(count, noun),
    };
    let parts: Vec<String> = parts
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, noun)| plural(*count, noun))
        .collect();
    let (first, last) = (counted.first(), counted.last());
    let span = match (first, last) {
        (Some(first), Some(last)) => format!(
            ", {} to {}",
            making.when(first.line),
            making.when(last.line)
        ),
        _ => String::new(),
    };
    let entries = match all {
        1 => "1 entry".to_owned(),
        some => format!("{some} entries"),
    };
    match parts.as_slice() {
        [] => format!("{entries}{span}"),
        parts => format!("{entries}{span}: {}", parts.join(", ")),
    }
}

fn checks(counted: &[&Spoken<'_>], making: &Making<'_>) -> Option<String> {
    let full = of_kind(counted, Kind::Check).rev().find(|one| {
        let payload = one.line.line.event.payload().clone();
        let check = wire::Check::decode(payload);
        check.is_ok_and(|it| it.extent() == wire::CheckExtent::Full)
    });
    Some(match full {
        Some(one) => format!("Last full check: {}", making.when(one.line)),
        None => "No full check in this time".to_owned(),
    })
}

/// Faults in an entry: part and the side and place on it.
fn found(one: &Spoken<'_>) -> Vec<wire::FaultFound> {
    let payload = one.line.line.event.payload().clone();
    if one.kind == Kind::Check {
        wire::Check::decode(payload).map_or_else(|_| Vec::new(), |it| it.faults)
    } else if one.kind == Kind::Fault {
        wire::Fault::decode(payload).map_or_else(|_| Vec::new(), |it| it.faults)
    } else {
        Vec::new()
    }
}

/// Parts at which faults were found more than once, with the repairs between.
fn again(counted: &[&Spoken<'_>], making: &Making<'_>) -> Vec<String> {
    let mut parts: BTreeMap<String, Vec<String>> = BTreeMap::new();
    let mut repaired: BTreeMap<String, usize> = BTreeMap::new();
    for one in counted {
        for fault in found(one) {
            parts
                .entry(fault.part)
                .or_default()
                .push(making.when(one.line));
        }
        if one.kind == Kind::Repair
            && let Ok(repair) = wire::Repair::decode(one.line.line.event.payload().clone())
        {
            *repaired.entry(repair.part).or_default() += 1;
        }
    }
    let mut parts: Vec<(String, Vec<String>)> =
        parts.into_iter().filter(|(_, at)| at.len() > 1).collect();
    parts.sort_by_key(|(part, at)| (std::cmp::Reverse(at.len()), part.clone()));
    let more = parts.len().saturating_sub(PLACES_MAX);
    let mut said: Vec<String> = parts
        .iter()
        .take(PLACES_MAX)
        .map(|(part, at)| {
            let words = making.words.part(part);
            let repairs = match repaired.get(part) {
                None => "no repair of it".to_owned(),
                Some(1) => "1 repair of it".to_owned(),
                Some(some) => format!("{some} repairs of it"),
            };
            format!(
                "Faults at {words}: {} ({}); {repairs}",
                at.len(),
                at.join(", ")
            )
        })
        .collect();
    if more > 0 {
        said.push(format!("and {more} more parts with faults more than once"));
    }
    said
}

/// The newest of each inspection.
fn inspections(counted: &[&Spoken<'_>], making: &Making<'_>) -> Vec<String> {
    let mut newest: BTreeMap<String, String> = BTreeMap::new();
    for one in of_kind(counted, Kind::InspectionDone) {
        let payload = one.line.line.event.payload().clone();
        if let Ok(it) = wire::InspectionDone::decode(payload) {
            let said = format!("{}, {}", one.said.what, making.when(one.line));
            newest.insert(it.inspection, said);
        }
    }
    newest
        .into_values()
        .map(|said| format!("Last of its kind: {said}"))
        .collect()
}

fn uses(counted: &[&Spoken<'_>]) -> Option<String> {
    let uses = of_kind(counted, Kind::Use).filter_map(|one| {
        let payload = one.line.line.event.payload().clone();
        wire::Use::decode(payload)
            .ok()
            .map(|it| i64::from(it.duration_s))
    });
    let uses: Vec<i64> = uses.collect();
    let total: i64 = uses.iter().sum();
    (!uses.is_empty()).then(|| {
        format!(
            "On the water {}, for {} in all",
            number(uses.len(), "time"),
            print::span(total.saturating_mul(1_000))
        )
    })
}

fn decided(counted: &[&Spoken<'_>], making: &Making<'_>) -> Vec<String> {
    let decided = of_kind(counted, Kind::LeadDecision);
    decided
        .map(|one| format!("{}, {}", one.said.what, making.when(one.line)))
        .collect()
}

fn not_counted(within: &[&Spoken<'_>], marks: &Marks) -> Option<String> {
    let nothing = within.iter().filter(|one| marks.says_nothing(one)).count();
    let unconfirmed = within
        .iter()
        .filter(|one| !marks.says_nothing(one) && one.line.line.trust != Trust::Trusted);
    let unconfirmed = unconfirmed.count();
    match (nothing, unconfirmed) {
        (0, 0) => None,
        (nothing, unconfirmed) => Some(format!(
            "Shown below and not counted here: {unconfirmed} unconfirmed, {nothing} withdrawn or \
             dismissed"
        )),
    }
}
