//! Kit: what is aboard against what the mission needs.
//!
//! What counts comes from the craft, and from bags that all agree are on it; less what is not
//! serviceable, past its date, or used up since. A bag said to be in two places counts in neither.
//! What was counted longer ago than the sheet allows is not known: it stands in for nothing, and
//! nobody is told to top up with it.

pub(super) mod aboard;
mod left;
mod sealed;
mod shared;
mod signals;
mod units;
mod wanted;
pub(super) mod worth;

use std::collections::BTreeSet;

use aboard::Aboard;
use chrono::NaiveDate;
use shared::{Lendable, share};
use units::Runs;
use worth::Worth;

pub(super) use aboard::{DatedLot, dated_lots, looked_at};
pub(super) use left::left_over;
pub(super) use sealed::{bags_here, count_minutes, earliest_tag};
pub(super) use units::{good_lots, take_longest};
pub(super) use wanted::{Wanted, fills, wanted};

use super::facts::Facts;
use super::freshness::proof_ms;
use super::verdict;
use crate::answer::{Action, Effect, Finding, Measure, MissingKit, Overdue, Rule, Subject};
use crate::dates::DAY_MS;
use crate::event::{ItemCount, Severity};
use crate::ids::LineId;
use crate::load::Wearer;
use crate::standard::{Item, MarkPolicy, WeighsAs};

/// Whether something aboard adds air to a part, up to a pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum AirSource {
    /// Nothing does.
    None,
    /// Something would, but it was counted too long ago.
    NotKnown,
    /// Something does.
    Aboard,
}

/// What is aboard, by line of the standard.
pub(super) struct Stores<'a> {
    lines: Vec<Store<'a>>,
}

/// Life jackets of one line of the sheet.
pub(super) struct JacketsAboard<'a> {
    pub(super) item: &'a Item,
    pub(super) wearer: Wearer,
    /// Good ones by trusted counts; none when nobody counted.
    pub(super) have: Option<u32>,
    /// Good ones that are surely there: none when counted too long ago.
    pub(super) at_worst: u32,
}

/// One line.
struct Store<'a> {
    item: &'a Item,
    /// How many the asked mission needs; none when it does not ask for the line.
    need: Option<u32>,
    aboard: Aboard,
    /// Why units aboard are of no use.
    worth: Vec<Worth>,
    /// Lacking after others have stood in, by what is trusted.
    short: u32,
    /// Lacking when what is not trusted is believed against the craft.
    short_at_worst: u32,
    /// What it has beyond its own need and what it lends, however it is counted.
    left: u32,
}

impl<'a> Stores<'a> {
    /// Counts everything once; the checks read it.
    pub(super) fn new(facts: &Facts<'a>) -> Self {
        let items = &facts.standard.items;
        let mut aboard = aboard::count(facts);
        let worth = worth::weigh(facts, &mut aboard);
        let needs: Vec<Option<u32>> = items.iter().map(|item| need(facts, item)).collect();
        let lendable = |have: &dyn Fn(&Aboard) -> u32| -> Vec<Lendable> {
            let lines = items.iter().zip(&aboard);
            lines
                .map(|(item, aboard)| Lendable {
                    have: have(aboard),
                    lends: !is_stale(facts, item, aboard),
                })
                .collect()
        };
        let trusted = lendable(&|aboard| aboard.have);
        let worst = lendable(&|aboard| aboard.have_at_worst);
        let mut trusted = share(items, &needs, &trusted);
        let mut worst = share(items, &needs, &worst);
        forgive(items, &mut trusted.short, || {
            signals::are_made_up(facts, &aboard, |it| it.have)
        });
        forgive(items, &mut worst.short, || {
            signals::are_made_up(facts, &aboard, |it| it.have_at_worst)
        });
        let lines = items.iter().zip(aboard).zip(worth).zip(needs).enumerate();
        let at = |of: &[u32], index: usize| of.get(index).copied().unwrap_or(0);
        let lines = lines.map(|(index, (((item, aboard), worth), need))| Store {
            item,
            need,
            aboard,
            worth,
            short: at(&trusted.short, index),
            short_at_worst: at(&worst.short, index),
            left: at(&trusted.left, index).min(at(&worst.left, index)),
        });
        Self {
            lines: lines.collect(),
        }
    }

    /// Items aboard that add air, and whether they were counted recently enough to be known.
    pub(super) fn add_air(&self, facts: &Facts<'_>) -> Vec<(&'a Item, AirSource)> {
        let add = |store: &&Store<'_>| store.item.adds_air && store.aboard.have > 0;
        let lines = self.lines.iter().filter(add);
        lines
            .map(|store| match is_stale(facts, store.item, &store.aboard) {
                true => (store.item, AirSource::NotKnown),
                false => (store.item, AirSource::Aboard),
            })
            .collect()
    }

    /// Mass of what is carried or should be of one sort, grams; none when the sheet has no line of it.
    pub(super) fn mass_g(&self, weighs_as: WeighsAs) -> Option<u64> {
        let mut lines = self.lines.iter();
        let mut of_sort = lines
            .by_ref()
            .filter(|store| store.item.weighs_as == weighs_as)
            .peekable();
        of_sort.peek()?;
        let mass_g = of_sort
            .map(|store| {
                let carried = store.aboard.carried.max(store.need.unwrap_or(0));
                u64::from(carried) * u64::from(store.item.mass_g.unwrap_or(0))
            })
            .sum();
        Some(mass_g)
    }

    /// Life jackets aboard, by line of the sheet.
    pub(super) fn jackets(&self, facts: &Facts<'_>) -> Vec<JacketsAboard<'a>> {
        let lines = self.lines.iter();
        lines
            .filter_map(|store| {
                let aboard = &store.aboard;
                let is_fresh = aboard.counted && !is_stale(facts, store.item, aboard);
                Some(JacketsAboard {
                    item: store.item,
                    wearer: store.item.wearer?,
                    have: aboard.counted.then_some(aboard.have),
                    at_worst: if is_fresh {
                        aboard.have.min(aboard.have_at_worst)
                    } else {
                        0
                    },
                })
            })
            .collect()
    }

    /// Whether the asked mission needs any of some lines.
    fn needs_any(&self, lines: &BTreeSet<&LineId>) -> bool {
        let mut needed = self.lines.iter().filter(|store| store.need.is_some());
        needed.any(|store| lines.contains(&store.item.id))
    }

    /// Lines that were counted and lack something.
    pub(super) fn missing(&self, facts: &Facts<'_>) -> Vec<MissingKit> {
        let mut missing = self.missing_of_lines(facts);
        missing.extend(signals::missing(facts, self));
        missing
    }

    /// The same without lines whose units aboard count nothing for lack of another item: to bring more
    /// of them does not help.
    pub(super) fn to_bring(&self, facts: &Facts<'_>) -> Vec<MissingKit> {
        let is_without = |missing: &MissingKit| {
            let mut lines = self.lines.iter();
            lines.any(|store| {
                let mut worth = store.worth.iter();
                store.item.id == missing.item && worth.any(|it| matches!(it, Worth::Without(..)))
            })
        };
        let missing = self.missing(facts).into_iter();
        missing.filter(|missing| !is_without(missing)).collect()
    }

    fn missing_of_lines(&self, facts: &Facts<'_>) -> Vec<MissingKit> {
        let lacking = self
            .lines
            .iter()
            .filter(|store| store.short > 0 && store.aboard.counted);
        lacking
            .map(|store| {
                let need = store.need.unwrap_or(0);
                MissingKit {
                    craft: facts.record.subject,
                    number: facts.number_of(facts.record.subject),
                    item: store.item.id.clone(),
                    label: store.item.label.clone(),
                    have: need.saturating_sub(store.short),
                    need,
                }
            })
            .collect()
    }
}

/// Signals that make up the set in another way than by the usual kind are not short of it.
fn forgive(items: &[Item], short: &mut [u32], are_made_up: impl FnOnce() -> bool) {
    if !items.iter().any(|item| item.signal.is_some()) || !are_made_up() {
        return;
    }
    let signals = items.iter().zip(short);
    for (_, short) in signals.filter(|(item, _)| item.signal.is_some()) {
        *short = 0;
    }
}

/// Units of one count that are good on a day.
pub(super) fn good_units(item: &Item, count: &ItemCount, day: NaiveDate, marks: MarkPolicy) -> u32 {
    units::good_on(item, count, day, marks).good
}

/// How long a count of an item proves anything, milliseconds.
fn proof_of_count_ms(facts: &Facts<'_>, item: &Item) -> i64 {
    match item.count_days {
        Some(days) => i64::from(days) * DAY_MS,
        None => proof_ms(&facts.standard.check),
    }
}

fn is_stale(facts: &Facts<'_>, item: &Item, aboard: &Aboard) -> bool {
    aboard.oldest_ms > proof_of_count_ms(facts, item)
}

/// How many of an item the asked mission needs.
fn need(facts: &Facts<'_>, item: &Item) -> Option<u32> {
    let mission = facts.mission();
    let from = item.asked_from;
    if from.is_some_and(|from| facts.day < from)
        || is_shorter(facts, item)
        || !verdict::is_asked(&item.missions, item.short, mission)
    {
        return None;
    }
    let special = mission.and_then(|mission| item.count_for.get(mission));
    Some(special.copied().unwrap_or(item.count)).filter(|need| *need > 0)
}

/// Whether the asked mission needs any of an item.
pub(super) fn is_needed(facts: &Facts<'_>, item: &Item) -> bool {
    need(facts, item).is_some()
}

/// Whether the craft is known to be shorter than the item is asked from.
pub(super) fn is_shorter(facts: &Facts<'_>, item: &Item) -> bool {
    let length = facts.standard.length_mm.zip(item.from_length_mm);
    length.is_some_and(|(length_mm, from_mm)| length_mm < from_mm)
}

/// Short, never counted, counted too long ago, past its date, near its date.
pub(super) fn check(
    facts: &Facts<'_>,
    stores: &Stores<'_>,
    found: &mut Vec<Finding>,
    overdue: &mut Vec<Overdue>,
) {
    for store in &stores.lines {
        let effect = facts.effect(store.item.short, &store.item.id, &store.item.missions);
        match store.need {
            Some(need) if store.aboard.counted => {
                store.short(need, &effect, found);
                store.stale(facts, &effect, found);
                store.dates(facts, found, overdue);
            }
            Some(need) => {
                store.not_counted(facts, need, &effect, found);
            }
            None => {}
        }
        store.of_no_use(facts, found);
    }
    signals::check(facts, stores, found);
    sealed::check(facts, stores, found);
}

impl Store<'_> {
    fn finding(&self, rule: Rule, severity: Severity, effect: Effect) -> Finding {
        let subject = Subject::Line(self.item.id.clone(), self.item.label.clone());
        Finding::cited(rule, severity, effect, subject, &self.item.cited)
            .evidence(self.aboard.events.iter().copied())
    }

    fn short(&self, need: u32, effect: &Effect, found: &mut Vec<Finding>) {
        let short = self.short.max(self.short_at_worst);
        if short == 0 {
            return;
        }
        let have = need.saturating_sub(short);
        let finding = self
            .finding(Rule::KitShort, self.item.severity, effect.clone())
            .measured(Measure::Count(have))
            .at_least(Measure::Count(need))
            .needing(Action::Bring(self.item.id.clone(), short), None);
        if self.short > 0 {
            found.push(finding);
        } else {
            found.push(finding.at_most_unproven());
        }
    }

    /// What is aboard and counts nothing is said, and what it does is said by what then lacks; only
    /// a need with an effect of its own does something itself.
    fn of_no_use(&self, facts: &Facts<'_>, found: &mut Vec<Finding>) {
        if self.aboard.carried == 0 {
            return;
        }
        for worth in &self.worth {
            let note = |rule| self.finding(rule, Severity::Minor, Effect::Note);
            let finding = match worth {
                Worth::DoesNotFit(is) => {
                    note(Rule::KitDoesNotFit).measured(Measure::Word(is.clone()))
                }
                Worth::FitNotKnown => note(Rule::KitFitNotKnown),
                Worth::NotForMission => note(Rule::KitNotForMission),
                Worth::Without(id, counted) => self.without(facts, id, *counted),
            };
            found.push(finding);
        }
    }

    fn without(&self, facts: &Facts<'_>, id: &LineId, counted: bool) -> Finding {
        let own = self.item.without.filter(|_| self.item.needs.contains(id));
        let effect = match (own, self.need) {
            (Some(rule), Some(_)) => facts.effect(rule, &self.item.id, &self.item.missions),
            // What it does is said by the line that is then short of it.
            (Some(_), None) | (None, _) => Effect::Note,
        };
        let effect = match (counted, facts.freshness.says_it_all()) {
            (true, _) => effect,
            (false, false) => verdict::not_known(effect),
            (false, true) => Effect::Note,
        };
        let severity = match effect {
            Effect::Note => Severity::Minor,
            Effect::Limit(_) | Effect::Unproven | Effect::NotReady => self.item.severity,
        };
        let label = facts.standard.items.iter().find(|item| item.id == *id);
        let label = label.map_or_else(|| id.to_string(), |item| item.label.clone());
        self.finding(Rule::KitWithout, severity, effect)
            .measured(Measure::Word(label))
            .needing(Action::Bring(id.clone(), 1), None)
    }

    fn not_counted(&self, facts: &Facts<'_>, need: u32, effect: &Effect, found: &mut Vec<Finding>) {
        // Others stand in for all of it, or the missing check says it once for the whole craft.
        if self.short == 0 || facts.freshness.says_it_all() && facts.record.counts.is_empty() {
            return;
        }
        let effect = match facts.is_newer_than_check(&self.item.id, self.item.asked_from) {
            true => Effect::Note,
            false => verdict::not_known(effect.clone()),
        };
        let finding = self
            .finding(Rule::KitNotCounted, self.item.severity, effect)
            .at_least(Measure::Count(need))
            .needing(Action::Count(self.item.id.clone()), self.item.count_minutes);
        found.push(finding);
    }

    fn stale(&self, facts: &Facts<'_>, effect: &Effect, found: &mut Vec<Finding>) {
        let limit_ms = proof_of_count_ms(facts, self.item);
        let age_ms = self.aboard.oldest_ms;
        if age_ms <= limit_ms || facts.freshness.says_it_all() {
            return;
        }
        let effect = verdict::not_known(effect.clone());
        let finding = self
            .finding(Rule::KitStale, Severity::Minor, effect)
            .aged(age_ms)
            .at_most(Measure::SpanMs(limit_ms))
            .needing(Action::Count(self.item.id.clone()), self.item.count_minutes);
        found.push(finding);
    }

    /// Dates alone change nothing: what lacks because of them is said as short.
    fn dates(&self, facts: &Facts<'_>, found: &mut Vec<Finding>, overdue: &mut Vec<Overdue>) {
        if let Some(runs) = self.aboard.expired {
            let date = runs.out;
            found.push(self.runs_out(Rule::KitExpired, runs));
            overdue.push(Overdue {
                craft: facts.record.subject,
                number: facts.number_of(facts.record.subject),
                inspection: self.item.id.clone(),
                label: self.item.label.clone(),
                due: Some(date),
                days_over: Some(facts.day.signed_duration_since(date).num_days()),
                engine_s_over: None,
                effect: match self.short {
                    0 => Effect::Note,
                    _ => facts.effect(self.item.short, &self.item.id, &self.item.missions),
                },
            });
        }
        if let Some(runs) = self.aboard.soon {
            found.push(self.runs_out(Rule::KitExpiresSoon, runs));
        }
        if self.aboard.undated > 0 {
            let finding = self
                .finding(Rule::KitUndated, Severity::Minor, Effect::Note)
                .measured(Measure::Count(self.aboard.undated))
                .needing(Action::Count(self.item.id.clone()), self.item.count_minutes);
            found.push(finding);
        }
    }

    /// The day, and how the mark was read where that names none.
    fn runs_out(&self, rule: Rule, runs: Runs) -> Finding {
        let finding = self
            .finding(rule, Severity::Minor, Effect::Note)
            .measured(Measure::Date(runs.out))
            .needing(Action::Bring(self.item.id.clone(), 1), None);
        match runs.mark {
            Some(mark) => finding.at_most(Measure::Mark(mark)),
            None => finding,
        }
    }
}
