//! What would make a craft go, as short as it is said on the radio: `gauge 3 chambers, count 2
//! jackets: 8 min; call Mill Race`.

use sponson_readiness::answer::{Action, Candidate, CraftAnswer, Subject, ToDo};
use sponson_readiness::ids::LineId;

use super::{call_text, hindrance_text};
use crate::context::Context;
use crate::sentence::{label_or, to_do_text, words_of};
use crate::units::print;

/// Names in one piece: with more, their number is told.
const NAMES_MAX: i64 = 3;

/// What would make it go, in how many minutes, and whom to call; what keeps it back that no work at
/// the craft changes stands first.
#[must_use]
pub fn would_go_text(candidate: &Candidate, craft: Option<&CraftAnswer>, ctx: &Context) -> String {
    let mut said: Vec<String> = candidate.hindrances.iter().map(hindrance_text).collect();
    let list = to_do_list(&candidate.to_do, craft, ctx);
    match (list.is_empty(), minutes(candidate)) {
        (false, Some(minutes)) => said.push(format!("{}: {minutes} min", list.join(", "))),
        (false, None) => said.push(format!("{}: minutes not known", list.join(", "))),
        (true, _) if said.is_empty() => said.push("nothing known here would make it go".to_owned()),
        (true, _) => {}
    }
    said.extend(call_text(&candidate.whom_to_call));
    said.join("; ")
}

/// Minutes of all of it; none where a part has none.
fn minutes(candidate: &Candidate) -> Option<u32> {
    candidate.to_do.iter().map(|one| one.minutes).sum()
}

/// What is to be done, what is alike in one piece.
#[must_use]
pub fn to_do_list(to_do: &[ToDo], craft: Option<&CraftAnswer>, ctx: &Context) -> Vec<String> {
    let mut pieces: Vec<Piece> = Vec::new();
    for one in to_do {
        let (sort, name) = sort(&one.action, craft).unwrap_or_else(|| {
            let bare = ToDo {
                minutes: None,
                ..one.clone()
            };
            (Sort::Alone, to_do_text(&bare, &Subject::Craft, ctx))
        });
        let like = |piece: &Piece| match sort {
            Sort::Alone => piece.sort == sort && piece.names.contains(&name),
            Sort::Gauge | Sort::Air | Sort::Count | Sort::Bring => piece.sort == sort,
        };
        let there = pieces.iter().position(like);
        match there.and_then(|index| pieces.get_mut(index)) {
            Some(piece) if piece.names.contains(&name) => {}
            Some(piece) => piece.names.push(name),
            None => pieces.push(Piece {
                sort,
                names: vec![name],
            }),
        }
    }
    pieces.iter().map(Piece::text).collect()
}

/// Work that is told in one piece.
struct Piece {
    sort: Sort,
    names: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sort {
    Gauge,
    Air,
    Count,
    Bring,
    Alone,
}

impl Piece {
    fn text(&self) -> String {
        let number = i64::try_from(self.names.len()).unwrap_or(i64::MAX);
        let several = |noun| print::count(number, noun);
        let named = self.names.join(" and ");
        match self.sort {
            Sort::Alone => named,
            Sort::Gauge if number > 1 => format!("gauge {}", several("chamber")),
            Sort::Gauge => format!("gauge {named}"),
            Sort::Air if number > 1 => format!("bring {} to the gauge", several("part")),
            Sort::Air => format!("bring {named} to the gauge"),
            Sort::Count if number > NAMES_MAX => format!("count {}", several("item")),
            Sort::Count => format!("count {named}"),
            Sort::Bring if number > NAMES_MAX => format!("bring {}", several("item")),
            Sort::Bring => format!("bring {named}"),
        }
    }
}

/// What is told together with its like, and its name there; none for what stands alone.
fn sort(action: &Action, craft: Option<&CraftAnswer>) -> Option<(Sort, String)> {
    Some(match action {
        Action::ReadGauge(part) => (Sort::Gauge, words_of(part.as_str())),
        Action::BringTo(part, _) => (Sort::Air, words_of(part.as_str())),
        Action::Count(item) => (Sort::Count, label(item, craft)),
        Action::Bring(item, number) => (Sort::Bring, format!("{number} {}", label(item, craft))),
        Action::FindLeak(_)
        | Action::BringToAtHome(..)
        | Action::Inspect(_)
        | Action::Look(_)
        | Action::Refuel
        | Action::FullCheck
        | Action::RepairAndSignOff(_)
        | Action::WaitUntil(_)
        | Action::SettlePlace(_)
        | Action::Settle(_)
        | Action::Rig
        | Action::ReadCylinder(_)
        | Action::CountBag(_)
        | Action::Recharge
        | Action::Requalify
        | Action::AskStation
        | Action::RecordPlate
        | Action::Upgrade
        | Action::AskLead
        | Action::SayCrews(_)
        | Action::SignOffByAnother(_)
        | Action::Report => return None,
    })
}

/// A line in the words of the boat standard, where a finding of the craft has them.
fn label(item: &LineId, craft: Option<&CraftAnswer>) -> String {
    let mut why = craft.into_iter().flat_map(|craft| &craft.why);
    let found = why.find_map(|finding| match &finding.subject {
        Subject::Line(id, label) if id == item => Some(label_or(label, id.as_str())),
        Subject::Line(..)
        | Subject::Craft
        | Subject::Part(..)
        | Subject::Fault(..)
        | Subject::Gear(..)
        | Subject::Station(..) => None,
    });
    found.unwrap_or_else(|| words_of(item.as_str()))
}
