//! The figures of each group and what is said of it, and the order of the groups.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::event::Severity;
use crate::history::FaultPast;
use crate::ids::{FaultId, SubjectId};
use crate::recurrent::{self, Compared};
use crate::standard::RecurringPolicy;

use super::again::Again;
use super::figures::{ShrunkRate, Times, mcf_of, ppm, rate_of, rounded, share, told};
use super::group::{Group, GroupKey};
use super::said::{Said, said};
use super::sliced::{Draft, Seen, count};
use super::trend::{Trend, TrendSaid, hold_down, power};
use super::watched::Span;
use super::{Grouping, Looked, Per};

/// A group that was looked at: its draft, with what is said of it.
pub(super) struct Figured<'a> {
    pub(super) draft: Draft<'a>,
    pub(super) faults: u32,
    exposure: f64,
    pub(super) times: Option<Times>,
    pub(super) said: Said,
    pub(super) trend: Trend,
    /// That it gets worse, adjusted for all groups looked at, millionths.
    pub(super) p_worse_ppm: u32,
}

/// Looks at every group of a grouping.
pub(super) fn looked_at<'a>(
    seen: &Seen<'a>,
    grouping: Grouping,
    policy: &RecurringPolicy,
) -> (Vec<Figured<'a>>, Looked) {
    let drafts = seen.drafts(grouping);
    let level = share(policy.interval_ppm);
    let own: Vec<(u32, f64)> = drafts.iter().map(|draft| sums(&draft.own)).collect();
    let compared: Vec<Option<Compared>> = drafts
        .iter()
        .zip(&own)
        .map(|(draft, own)| recurrent::compare(*own, sums(&draft.rest), level))
        .collect();
    let p: Vec<f64> = compared
        .iter()
        .map(|one| one.map_or(f64::NAN, |one| one.p_two_sided))
        .collect();
    let adjusted = recurrent::false_discovery(&p);
    let mut groups = Vec::new();
    for (index, draft) in drafts.into_iter().enumerate() {
        let (faults, exposure) = own.get(index).copied().unwrap_or((0, 0.0));
        let times = compared.get(index).copied().flatten().map(|one| {
            let p_adjusted = adjusted.get(index).copied().unwrap_or(1.0);
            times(&one, p_adjusted)
        });
        let trend = match grouping {
            Grouping::Method | Grouping::GlueBatch => Trend::NOT_LOOKED,
            Grouping::Craft
            | Grouping::Place
            | Grouping::CraftPlace
            | Grouping::Class
            | Grouping::Fabric
            | Grouping::Batch
            | Grouping::Station
            | Grouping::Model
            | Grouping::Gear => Trend::of(&draft.own, policy),
        };
        groups.push(Figured {
            said: said(faults, times.as_ref(), policy),
            draft,
            faults,
            exposure,
            times,
            trend,
            p_worse_ppm: 0,
        });
    }
    let mut trends: Vec<&mut Trend> = groups.iter_mut().map(|one| &mut one.trend).collect();
    let worse = hold_down(&mut trends, policy);
    for (group, p_worse_ppm) in groups.iter_mut().zip(worse) {
        group.p_worse_ppm = p_worse_ppm;
    }
    let looked = Looked {
        groups: count(groups.len()),
        compared: count(p.iter().filter(|p| !p.is_nan()).count()),
        rate_ppm: policy.false_alarms_ppm,
        apart: count(groups.iter().filter(|one| one.said.is_apart()).count()),
    };
    (groups, looked)
}

/// Faults and exposure.
pub(super) fn sums(spans: &[Span<'_>]) -> (u32, f64) {
    let faults = spans.iter().map(|span| span.faults.len()).sum();
    (count(faults), spans.iter().map(Span::exposure).sum())
}

fn times(compared: &Compared, p_adjusted: f64) -> Times {
    let finite = |value: f64| value.is_finite().then(|| rounded(value * 1e3));
    Times {
        // Where neither had a fault there is no difference: once the usual.
        milli: compared.ratio.map_or(Some(1_000), finite),
        low_milli: rounded(compared.lower * 1e3),
        high_milli: finite(compared.upper),
        p_ppm: ppm(compared.p_two_sided),
        p_adjusted_ppm: ppm(p_adjusted),
    }
}

/// Rates drawn towards each other, among groups that are alike; of those that are listed.
fn shrunk(per: Per, figured: &[Figured<'_>], level: f64) -> BTreeMap<GroupKey, ShrunkRate> {
    let mut alike: BTreeMap<u32, Vec<&Figured<'_>>> = BTreeMap::new();
    for group in figured.iter().filter(|group| group.exposure > 0.0) {
        alike.entry(group.draft.alike).or_default().push(group);
    }
    let mut rates = BTreeMap::new();
    for groups in alike.into_values() {
        let counts: Vec<(u32, f64)> = groups
            .iter()
            .map(|group| (group.faults, group.exposure))
            .collect();
        let is_told = |at: usize| groups.get(at).is_some_and(|group| group.is_listed());
        let Some(shrunk) = recurrent::shrink_where(&counts, level, is_told) else {
            continue;
        };
        let listed = groups.iter().filter(|group| group.is_listed());
        for (group, unit) in listed.zip(&shrunk.units) {
            let rate = ShrunkRate {
                micro: told(per, unit.mean),
                low_micro: told(per, unit.lower),
                high_micro: told(per, unit.upper),
                times_milli: rounded(unit.mean / shrunk.usual * 1e3),
            };
            rates.insert(group.draft.key.clone(), rate);
        }
    }
    rates
}

impl Figured<'_> {
    /// Whether it is listed: something failed, or it is apart from the rest.
    pub(super) const fn is_listed(&self) -> bool {
        self.faults > 0 || self.said.is_apart()
    }

    /// What fails most first: apart from the rest; getting worse; more than usual by a number that
    /// could be chance; as usual; too few; less. Then by the rate drawn towards the usual, by
    /// the number of faults, by key.
    fn rank(&self, times_milli: u64) -> (u8, Reverse<u64>, Reverse<u32>, &GroupKey) {
        let is_worse = self.trend.said == TrendSaid::Worse;
        let said = match self.said {
            Said::MoreThanUsual { .. } if self.said.is_apart_above() => 0,
            Said::MoreThanUsual { .. } => 2,
            Said::AsUsual { .. } | Said::NothingToCompare { .. } => 3,
            Said::TooFew { .. } => 4,
            Said::LessThanUsual { .. } => 5,
        };
        let class = if is_worse { said.min(1) } else { said };
        (
            class,
            Reverse(times_milli),
            Reverse(self.faults),
            &self.draft.key,
        )
    }

    fn found(&self) -> Vec<&FaultPast> {
        let spans = self.draft.own.iter().flat_map(|span| &span.faults);
        let mut faults: Vec<&FaultPast> = spans.map(|(_, placed)| placed.fault).collect();
        faults.sort_by_key(|fault| (fault.found, fault.id));
        faults
    }

    /// Its faults, in order of time.
    pub(super) fn fault_ids(&self) -> Vec<FaultId> {
        self.found().into_iter().map(|fault| fault.id).collect()
    }

    /// Of these, still open.
    pub(super) fn open_ids(&self) -> Vec<FaultId> {
        let open = self.found().into_iter();
        open.filter(|fault| fault.over.is_none())
            .map(|fault| fault.id)
            .collect()
    }

    /// Severity of the worst.
    pub(super) fn worst(&self) -> Option<Severity> {
        self.found().into_iter().map(|fault| fault.severity).min()
    }

    /// Things on which it failed, each with how often.
    pub(super) fn on(&self) -> Vec<(SubjectId, u32)> {
        let mut on: BTreeMap<SubjectId, u32> = BTreeMap::new();
        for span in self.draft.own.iter().filter(|span| !span.faults.is_empty()) {
            *on.entry(span.of).or_default() += count(span.faults.len());
        }
        on.into_iter().collect()
    }
}

/// The groups as they are read, in order.
pub(super) fn listed(
    seen: &Seen<'_>,
    mut looked: Vec<Figured<'_>>,
    policy: &RecurringPolicy,
) -> Vec<Group> {
    let shrunk = shrunk(seen.asked.per, &looked, share(policy.interval_ppm));
    let times = |one: &Figured<'_>| {
        let shrunk = shrunk.get(&one.draft.key);
        shrunk.map_or(0, |shrunk| shrunk.times_milli)
    };
    looked.retain(Figured::is_listed);
    looked.sort_by(|one, other| one.rank(times(one)).cmp(&other.rank(times(other))));
    let again: Vec<Again> = seen
        .lives
        .iter()
        .flat_map(super::again::Life::again)
        .collect();
    let groups = looked.into_iter();
    groups
        .filter_map(|one| {
            let shrunk = shrunk.get(&one.draft.key).copied();
            group(seen.asked.per, one, shrunk, &again, policy)
        })
        .collect()
}

fn group(
    per: Per,
    looked: Figured<'_>,
    shrunk: Option<ShrunkRate>,
    again: &[Again],
    policy: &RecurringPolicy,
) -> Option<Group> {
    let level = share(policy.interval_ppm);
    let faults = looked.fault_ids();
    let ids: BTreeSet<FaultId> = faults.iter().copied().collect();
    let (rest_faults, rest_exposure) = sums(&looked.draft.rest);
    let is_repair = looked.trend.said == TrendSaid::NotLooked;
    Some(Group {
        said: looked.said,
        units: units(&looked.draft, is_repair),
        on: looked.on(),
        rate: rate_of(per, looked.faults, looked.exposure, level)?,
        usual: rate_of(per, rest_faults, rest_exposure, level),
        times: looked.times,
        shrunk,
        trend: looked.trend,
        power: if is_repair {
            None
        } else {
            power(per, &looked.draft.own, policy)
        },
        mcf: mcf_of(per, &looked.draft.own, level),
        of_rest: mcf_of(per, &looked.draft.rest, level),
        open: looked.open_ids(),
        worst: looked.worst(),
        again: again
            .iter()
            .filter(|one| ids.contains(&one.fault))
            .cloned()
            .collect(),
        faults,
        key: looked.draft.key,
    })
}

/// Repairs are counted one by one; craft and gear once, however often they came to a station.
fn units(draft: &Draft<'_>, is_repair: bool) -> u32 {
    if is_repair {
        return count(draft.own.len());
    }
    let things: BTreeSet<SubjectId> = draft.own.iter().map(|span| span.of).collect();
    count(things.len())
}
