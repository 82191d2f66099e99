//! How many craft can go, and which: the first lines of the county's page.

use sponson_readiness::answer::{CountyAnswer, CraftAnswer, Readiness, Rule, StationHeard, Status};

use super::county::heading;
use super::lines::{Lines, padded};
use super::lists::short_number;

/// Where a craft stands on the page.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Group {
    /// Fit and free.
    CanGo,
    /// The same, with limits.
    WithLimits,
    /// Fit, but assigned or without a crew.
    NotFree,
    /// Nothing shows that it is ready.
    LookFirst,
    /// Not ready.
    CannotGo,
}

impl Group {
    pub(crate) const ALL: [Self; 5] = [
        Self::CanGo,
        Self::WithLimits,
        Self::NotFree,
        Self::LookFirst,
        Self::CannotGo,
    ];

    /// Fit is not enough: a craft that is assigned, or whose crew is out, is not free to go.
    fn of(craft: &CraftAnswer) -> Self {
        let is_free = craft.status == Status::Available;
        match craft.readiness {
            Readiness::NotReady => Self::CannotGo,
            Readiness::Unproven => Self::LookFirst,
            Readiness::Ready | Readiness::ReadyWithLimits if !is_free => Self::NotFree,
            Readiness::Ready => Self::CanGo,
            Readiness::ReadyWithLimits => Self::WithLimits,
        }
    }

    pub(crate) fn of_answer(self, answer: &CountyAnswer) -> impl Iterator<Item = &CraftAnswer> {
        let craft = answer.craft.iter();
        craft.filter(move |craft| Self::of(craft) == self)
    }

    pub(crate) const fn short(self) -> &'static str {
        match self {
            Self::CanGo => "can go",
            Self::WithLimits => "with limits",
            Self::NotFree => "not free",
            Self::LookFirst => "not checked",
            Self::CannotGo => "cannot go",
        }
    }

    pub(crate) const fn heading(self) -> &'static str {
        match self {
            Self::CanGo => "CAN GO",
            Self::WithLimits => "CAN GO, WITH LIMITS",
            Self::NotFree => "FIT, BUT NOT FREE",
            Self::LookFirst => "NOT CHECKED: go and look first",
            Self::CannotGo => "CANNOT GO",
        }
    }
}

/// How many craft can go, and which, before anything else is said of them.
pub(super) fn summary(lines: &mut Lines, answer: &CountyAnswer) {
    heading(lines, &format!("{} CRAFT", answer.craft.len()));
    for group in Group::ALL {
        let numbers: Vec<String> = group
            .of_answer(answer)
            .map(|craft| marked_number(craft, &answer.stations))
            .collect();
        let names = match numbers.len() {
            0 => "none".to_owned(),
            number => format!("{number}: {}", numbers.join(", ")),
        };
        let prefix = format!("  {}", padded(group.short(), 13));
        lines.hanging(&prefix, &names);
    }
    let mut craft = answer.craft.iter();
    if craft.any(|craft| is_silent(craft, &answer.stations)) {
        lines.hanging("  ", "* its station has not been heard for long");
    }
    if !answer.craft.is_empty() && answer.craft.iter().all(not_for_mission) {
        lines.hanging(
            "  ",
            "No boat standard here lists this mission: is it spelt right?",
        );
    }
}

fn marked_number(craft: &CraftAnswer, stations: &[StationHeard]) -> String {
    let mark = if is_silent(craft, stations) { "*" } else { "" };
    format!("{}{mark}", short_number(&craft.number))
}

/// Whether a station where it is said to be has not been heard for long.
pub(crate) fn is_silent(craft: &CraftAnswer, stations: &[StationHeard]) -> bool {
    let silent = |id| stations.iter().any(|heard| heard.id == id && heard.silent);
    craft.stations.iter().any(|id| silent(*id))
}

/// Whether its boat standard does not list the asked mission.
pub(crate) fn not_for_mission(craft: &CraftAnswer) -> bool {
    let mut why = craft.why.iter();
    why.any(|finding| finding.rule == Rule::MissionNotInStandard)
}
