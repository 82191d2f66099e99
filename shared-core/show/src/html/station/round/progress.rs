//! How much of a round was looked at.

use sponson_readiness::walk::{Stop, WalkLine};

use super::{LeftOut, Round, RoundKind, names, words};

/// How much was looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Progress {
    /// By stop, in order.
    pub stops: Vec<StopProgress>,
    /// Lines that have an entry.
    pub done: usize,
    /// All lines.
    pub of: usize,
    /// Place of the first stop with a line that has none.
    pub next: Option<usize>,
}

/// How much of one stop was looked at.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct StopProgress {
    /// Lines that have an entry.
    pub done: usize,
    /// All lines.
    pub of: usize,
}

/// Counts the lines of a round.
///
/// What is in a bag that was left under a seal counts only once somebody counts it: until then the
/// bag's seal is one line.
#[must_use]
pub fn progress(round: &Round<'_>) -> Progress {
    let stops: Vec<StopProgress> = round
        .walk
        .stops
        .iter()
        .map(|it| of_stop(round, it))
        .collect();
    Progress {
        done: stops.iter().map(|one| one.done).sum(),
        of: stops.iter().map(|one| one.of).sum(),
        next: stops.iter().position(|one| one.done < one.of),
        stops,
    }
}

fn of_stop(round: &Round<'_>, stop: &Stop) -> StopProgress {
    let mut counted = StopProgress::default();
    for line in &stop.lines {
        if matches!(line, WalkLine::Faults | WalkLine::Ambient) || is_under_seal(round, stop, line)
        {
            continue;
        }
        counted.of += 1;
        counted.done += usize::from(is_done(round, stop, line));
    }
    counted
}

/// Lines without an entry that a check of this kind asks; a check of some lines asks none.
#[must_use]
pub fn left_out_lines(round: &Round<'_>) -> Vec<LeftOut> {
    if round.kind == RoundKind::Part {
        return Vec::new();
    }
    let all = round.walk.stops.iter();
    let all = all.flat_map(|stop| stop.lines.iter().map(move |line| (stop, line)));
    let open = all.filter(|(stop, line)| {
        let is_asked = !matches!(line, WalkLine::Faults | WalkLine::Ambient);
        is_asked && !is_under_seal(round, stop, line) && !is_done(round, stop, line)
    });
    open.map(|(_, line)| LeftOut {
        label: words::line(round, line),
        at: names::id("l", &names::line(round, line)),
    })
    .collect()
}

/// Whether a line has an entry.
pub(super) fn is_done(round: &Round<'_>, stop: &Stop, line: &WalkLine) -> bool {
    let name = names::line(round, line);
    let mut proving = names::proving(&name, line).into_iter();
    let has = proving.any(|field| round.fields.contains_key(&field));
    match line {
        WalkLine::Seal { bag } => has || is_opened(round, stop, *bag),
        WalkLine::Air
        | WalkLine::Stood
        | WalkLine::Gauge
        | WalkLine::Ambient
        | WalkLine::Stowage
        | WalkLine::Reading { .. }
        | WalkLine::Answer { .. }
        | WalkLine::Count { .. }
        | WalkLine::Fuel { .. }
        | WalkLine::Meter { .. }
        | WalkLine::Cylinder { .. }
        | WalkLine::Aboard { .. }
        | WalkLine::Faults => has,
    }
}

/// Whether a count stands in a bag under a seal that nobody opened.
fn is_under_seal(round: &Round<'_>, stop: &Stop, line: &WalkLine) -> bool {
    let WalkLine::Count { bag: Some(bag), .. } = line else {
        return false;
    };
    round.sealed.contains(bag) && !is_opened(round, stop, *bag)
}

/// Whether anything in a bag was counted.
pub(super) fn is_opened(
    round: &Round<'_>,
    stop: &Stop,
    bag: sponson_readiness::ids::SubjectId,
) -> bool {
    let mut counts = stop.lines.iter().filter(|line| in_bag(line, bag));
    counts.any(|line| {
        let name = names::line(round, line);
        let mut fields = round.fields.keys();
        fields.any(|field| names::line_of_field(field) == name)
    })
}

/// Whether a line is a count in this bag.
pub(super) fn in_bag(line: &WalkLine, of: sponson_readiness::ids::SubjectId) -> bool {
    matches!(line, WalkLine::Count { bag: Some(bag), .. } if *bag == of)
}
