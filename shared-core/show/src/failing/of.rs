//! What keeps failing, made from what the readiness crate found and what happened.

mod notes;
mod past;
mod to_do;

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::ids::{FaultId, SubjectId};
use sponson_readiness::keeps_failing::{
    Again, Group, GroupKey, Grouping, KeepsFailing, Per, Proposal,
};

use super::names::{self, Past};
use super::{Failing, GroupSaid, Number, UsualSaid, said, statistics};
use crate::units::print;

impl Failing {
    /// Puts it into words. With a craft, only the groups in which it has a part are shown, what is to
    /// be done about it, and its own faults and repairs; figures stay those of the whole county.
    #[must_use]
    pub fn of(found: &KeepsFailing, past: &Past<'_>, craft: Option<SubjectId>) -> Self {
        let scope = Scope { found, past, craft };
        let groups: Vec<&Group> = found.groups.iter().filter(|it| scope.has(it)).collect();
        let proposals = found.proposals.iter();
        let proposals: Vec<&Proposal> = proposals.filter(|it| scope.touches(it)).collect();
        let (by, by_text) = grouping(found.asked.grouping);
        let to_do: Vec<_> = proposals.iter().map(|it| to_do::said(it, past)).collect();
        let waiting = to_do.iter().filter(|it| it.waits()).count();
        Self {
            as_of: found.until,
            from: found.from,
            by,
            by_text: by_text.to_owned(),
            per: per(found.asked.per),
            figures_text: notes::figures_text(found),
            level_percent: found.settings.interval_ppm / 10_000,
            craft: craft.map(|id| (id, past.number(id))),
            summary: notes::summary(found, &groups, waiting),
            usual: usual(found),
            groups: groups.iter().map(|it| group(it, &scope)).collect(),
            to_do,
            decided: to_do::decisions(&scope),
            faults: past::faults(&scope, &proposals),
            repairs: past::repairs(&scope),
            notes: notes::notes(found, past.history, craft),
        }
    }
}

/// What is looked at.
struct Scope<'a> {
    found: &'a KeepsFailing,
    past: &'a Past<'a>,
    craft: Option<SubjectId>,
}

impl Scope<'_> {
    /// Whether a group is shown.
    fn has(&self, group: &Group) -> bool {
        let of = |id: SubjectId| match &group.key {
            GroupKey::Craft(of) => *of == id,
            GroupKey::CraftPlace { craft, .. } => *craft == id,
            GroupKey::Place { .. }
            | GroupKey::Class { .. }
            | GroupKey::Fabric(_)
            | GroupKey::Batch { .. }
            | GroupKey::Method(_)
            | GroupKey::GlueBatch(_)
            | GroupKey::Station(_)
            | GroupKey::Model { .. }
            | GroupKey::Gear(_) => group.on.iter().any(|(on, _)| *on == id),
        };
        let on_it = |id: SubjectId| group.faults.iter().any(|fault| self.is_on(*fault, id));
        self.craft.is_none_or(|id| of(id) || on_it(id))
    }

    fn touches(&self, proposal: &Proposal) -> bool {
        self.any_on(&proposal.evidence)
    }

    fn any_on(&self, faults: &[FaultId]) -> bool {
        self.craft
            .is_none_or(|id| faults.iter().any(|fault| self.is_on(*fault, id)))
    }

    fn is_on(&self, fault: FaultId, id: SubjectId) -> bool {
        let fault = self.past.history.fault(&fault);
        fault.is_some_and(|fault| fault.craft == Some(id))
    }

    /// Each repair that did not hold with the fault that showed it, by both.
    fn again(&self) -> BTreeMap<FaultId, &Again> {
        let groups = self.found.groups.iter();
        groups
            .flat_map(|group| &group.again)
            .map(|again| (again.fault, again))
            .collect()
    }

    /// Faults that were counted.
    fn counted(&self) -> BTreeSet<FaultId> {
        let groups = self.found.groups.iter();
        groups
            .flat_map(|group| group.faults.iter().copied())
            .collect()
    }
}

/// The stable word of a grouping, and in words.
const fn grouping(grouping: Grouping) -> (&'static str, &'static str) {
    match grouping {
        Grouping::Place => ("place", "part and place, on all craft of a model"),
        Grouping::CraftPlace => ("craft-place", "part and place, on each craft"),
        Grouping::Craft => ("craft", "craft"),
        Grouping::Class => ("class", "what is wrong"),
        Grouping::Fabric => ("fabric", "fabric"),
        Grouping::Batch => ("batch", "maker's batch"),
        Grouping::Method => ("method", "how it was repaired"),
        Grouping::GlueBatch => ("glue", "batch of glue"),
        Grouping::Station => ("station", "station"),
        Grouping::Model => ("model", "model"),
        Grouping::Gear => ("gear", "numbered gear"),
    }
}

impl Failing {
    /// The grouping of a word; none when it is no such word.
    #[must_use]
    pub fn grouping(word: &str) -> Option<Grouping> {
        let mut all = Grouping::ALL.into_iter();
        all.find(|one| grouping(*one).0 == word)
    }

    /// What a word counts against; none when it is no such word.
    #[must_use]
    pub fn per(word: &str) -> Option<Per> {
        let mut all = [Per::Days, Per::EngineHours, Per::Uses].into_iter();
        all.find(|one| per(*one) == word)
    }
}

const fn per(per: Per) -> &'static str {
    match per {
        Per::Days => "days",
        Per::EngineHours => "hours",
        Per::Uses => "uses",
    }
}

fn usual(found: &KeepsFailing) -> UsualSaid {
    let per = found.asked.per;
    let Some(all) = &found.all else {
        return UsualSaid {
            line: "Nothing was watched: there is nothing to count against.".to_owned(),
            figures: super::Figures::default(),
        };
    };
    let faults = print::count(i64::from(all.faults), "fault");
    let watched: Number = statistics::exposure(all.exposure, per);
    let unit = match per {
        Per::Days => "days of craft and gear in the county",
        Per::EngineHours => "engine hours",
        Per::Uses => "uses",
    };
    UsualSaid {
        line: format!("All together: {faults} in {watched} {unit}."),
        figures: statistics::rate(all, per),
    }
}

fn group(group: &Group, scope: &Scope<'_>) -> GroupSaid {
    let per = scope.found.asked.per;
    let (trend_said, trend) = said::trend(group.trend.said);
    GroupSaid {
        key: names::key(&group.key),
        label: scope.past.group(&group.key),
        line: said::line(group.said, scope.found.against),
        said: said::said_id(group.said),
        stands_out: said::stands_out(group.said, &group.trend),
        count: group.rate.faults,
        units: group.units,
        exposure: statistics::exposure(group.rate.exposure, per),
        trend: trend.to_owned(),
        trend_said,
        figures: statistics::group(group, per),
        steps: statistics::steps(&group.mcf, per),
        rest_steps: statistics::steps(&group.of_rest, per),
        faults: group.faults.clone(),
        drawn_on: scope.past.drawn_on(&group.key),
        decides: scope.past.decides(&group.key),
    }
}
