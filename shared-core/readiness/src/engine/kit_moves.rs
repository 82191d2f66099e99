//! Which craft would go if only their kit were whole, and which spare kit there is for them.
//!
//! A craft wants kit when short lines are all that stands against going for the chosen missions, and
//! when it is judged to go once they are filled; of any other it is said why kit alone does not make
//! it go. Which kit goes where is decided by whoever solves the problem.

use std::collections::{BTreeMap, BTreeSet};

use super::county::taken_by;
use super::index::Index;
use super::kit::{self, Wanted};
use super::spare::Search;
use super::{County, Question, asked, craft, disagreements, facts, place, standing};
use crate::answer::{Disagreement, Effect, Finding, Readiness, Rule, Status};
use crate::event::SubjectKind;
use crate::ids::{LineId, MissionId, SubjectId};
use crate::kit_moves::{Hindered, Hindrance, KitAsked, KitCounty, Taker, Want};
use crate::record::Record;
use crate::standard::Standard;

/// Says where the county stands before anything is moved. `metres` are the ways between stations,
/// as in [`crate::kit_moves::Problem`].
#[must_use]
pub fn kit_county(
    county: &County<'_>,
    question: &Question,
    kit: &KitAsked,
    metres: BTreeMap<(SubjectId, SubjectId), u32>,
) -> KitCounty {
    let index = Index::new(county.records);
    let differ = disagreements::of_county(
        county,
        &index,
        question,
        &asked::asked(county.policy, question),
    );
    let none = BTreeSet::new();
    let search = Search::new(county, &index, question, (&none, kit));
    let mut answer = KitCounty {
        asked: kit.clone(),
        ..KitCounty::default()
    };
    let records = county.records.values();
    let craft = records.filter(|record| record.kind == SubjectKind::Craft);
    for record in craft.filter(|it| taken_by(&index, question, it).is_none()) {
        let number = facts::number(Some(record), record.subject);
        match stands(county, &search, &differ, (record, kit)) {
            Stands::Ready => answer.ready.push((record.subject, number)),
            Stands::Wants(station, wants) => answer.problem.takers.push(Taker {
                id: record.subject,
                number,
                station,
                wants,
            }),
            Stands::Hindered(why) => answer.hindered.push(Hindered {
                id: record.subject,
                number,
                why,
            }),
        }
    }
    let takers = answer.problem.takers.iter();
    let wants = takers.flat_map(|taker| &taker.wants);
    let lines: BTreeSet<LineId> = wants.flat_map(|want| want.by.iter().cloned()).collect();
    answer.problem.stocks = Search::new(county, &index, question, (&lines, kit)).stocks();
    answer.problem.metres = metres;
    answer
}

/// How one craft stands.
enum Stands {
    /// It can go.
    Ready,
    /// It could, with these lines filled, at its station.
    Wants(SubjectId, Vec<Want>),
    /// Kit alone does not make it go.
    Hindered(Hindrance),
}

fn stands(
    county: &County<'_>,
    search: &Search<'_>,
    differ: &[Disagreement],
    (record, kit): (&Record, &KitAsked),
) -> Stands {
    match standing::status(record) {
        Status::Available => {}
        declared @ (Status::Assigned { .. } | Status::OutOfService { .. } | Status::Condemned) => {
            return Stands::Hindered(Hindrance::Declared(declared));
        }
    }
    let Some(facts) = search.facts(record, None) else {
        return Stands::Hindered(Hindrance::NoStandard);
    };
    let Some(missions) = missions(facts.standard, kit) else {
        return Stands::Hindered(Hindrance::NoMission);
    };
    let judge = Judge {
        search,
        differ,
        record,
        missions,
    };
    let against = judge.against(&BTreeMap::new());
    if against.is_empty() {
        return Stands::Ready;
    }
    let others: Vec<Finding> = against.iter().filter(|it| !is_kit(it)).cloned().collect();
    if !others.is_empty() {
        return Stands::Hindered(Hindrance::Findings(others));
    }
    let [station] = place::stations(record)[..] else {
        return Stands::Hindered(Hindrance::PlaceNotKnown);
    };
    if !county.stations.contains_key(&station) {
        return Stands::Hindered(Hindrance::PlaceNotKnown);
    }
    match judge.wants(facts.standard) {
        Some(wants) => Stands::Wants(station, wants),
        None => Stands::Hindered(Hindrance::Findings(against)),
    }
}

/// Chosen missions that a sheet has; none when it has none of them.
fn missions<'k>(standard: &Standard, kit: &'k KitAsked) -> Option<Vec<Option<&'k MissionId>>> {
    if kit.missions.is_empty() {
        return Some(vec![None]);
    }
    let own = kit.missions.iter();
    let own = own.filter(|it| standard.missions.contains_key(*it));
    let own: Vec<Option<&MissionId>> = own.map(Some).collect();
    (!own.is_empty()).then_some(own)
}

/// Whether bringing kit may be all that it takes.
fn is_kit(finding: &Finding) -> bool {
    matches!(
        finding.rule,
        Rule::KitShort | Rule::KitWithout | Rule::SignalsShortByDay | Rule::SignalsShortByNight
    )
}

/// Judges one craft for each of the chosen missions that it serves.
struct Judge<'j> {
    search: &'j Search<'j>,
    differ: &'j [Disagreement],
    record: &'j Record,
    missions: Vec<Option<&'j MissionId>>,
}

impl Judge<'_> {
    /// What stands against going once so much was brought, for any of the missions.
    fn against(&self, brought: &BTreeMap<LineId, u32>) -> Vec<Finding> {
        let mut against: Vec<Finding> = Vec::new();
        for mission in &self.missions {
            let Some(mut facts) = self.search.facts(self.record, *mission) else {
                continue;
            };
            facts.brought = brought.clone();
            let judged = craft::judged(&facts, self.differ).answer;
            if judged.readiness <= Readiness::ReadyWithLimits {
                continue;
            }
            let why = judged.why.into_iter();
            let new = why.filter(|it| it.effect >= Effect::Unproven);
            for finding in new {
                if !against.contains(&finding) {
                    against.push(finding);
                }
            }
        }
        against
    }

    /// What it lacks; none when bringing kit does not do it.
    fn wants(&self, standard: &Standard) -> Option<Vec<Want>> {
        let mut wanted = Wanted::new();
        for mission in &self.missions {
            let mut facts = self.search.facts(self.record, *mission)?;
            for (line, units) in kit::wanted(&mut facts)? {
                let most = wanted.entry(line).or_default();
                *most = units.max(*most);
            }
        }
        let wants = wanted.into_iter();
        let wants = wants.map(|(line, units)| {
            let item = standard.items.iter().find(|item| item.id == line);
            Some(Want {
                label: item?.label.clone(),
                units,
                by: self.fills(&line)?,
                line,
            })
        });
        let wants: Vec<Want> = wants.collect::<Option<_>>()?;
        self.goes_with(&wants).then_some(wants)
    }

    /// What fills a line for every one of the missions.
    fn fills(&self, line: &LineId) -> Option<Vec<LineId>> {
        let mut fills: Option<Vec<LineId>> = None;
        for mission in &self.missions {
            let of_one = kit::fills(&self.search.facts(self.record, *mission)?, line);
            fills = Some(match fills {
                None => of_one,
                Some(mut all) => {
                    all.retain(|it| of_one.contains(it));
                    all
                }
            });
        }
        fills.filter(|fills| !fills.is_empty())
    }

    /// Whether it goes once each line is filled, by the first of what fills it.
    fn goes_with(&self, wants: &[Want]) -> bool {
        let mut brought: BTreeMap<LineId, u32> = BTreeMap::new();
        for want in wants {
            let Some(by) = want.by.first() else {
                return false;
            };
            let units = brought.entry(by.clone()).or_default();
            *units = units.saturating_add(want.units);
        }
        self.against(&brought).is_empty()
    }
}
