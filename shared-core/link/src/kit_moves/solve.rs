//! From a problem to its plan, group by group.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::kit_moves::{Move, Plan, Problem, Proven, Solved, Worth};

use super::case::{Case, cases};
use super::flow::Flow;
use super::model::{Found, Goal, Model};

/// Nodes that one search of a group may take. Groups met in practice take fewer than ten.
pub const NODES_MAX: u64 = 2_000;

/// Nodes times arcs that one search may take, and searches for the first of equal plans times arcs. In
/// a county of 500 craft where kit is scarce a group has some 2,500 arcs, and a node or a search takes
/// about 0.1 s unoptimised: 10 of each, and a few seconds for the plan.
const WORK_MAX: u64 = 25_000;

/// Finds the plan; each search of a group takes at most so many nodes.
#[must_use]
pub fn solve(problem: &Problem, nodes: u64) -> Solved {
    let mut plan = Plan::default();
    let mut proven = Proven::Yes;
    for case in cases(problem) {
        let (ready, how) = Group::new(problem, &case, nodes).solve();
        proven = proven.max(how);
        add(&mut plan, &case, &ready);
    }
    plan.moves.sort_unstable();
    match problem.worth(&plan) {
        Ok(worth) => Solved {
            plan,
            worth,
            proven,
        },
        // The flow fills each craft exactly; were that ever wrong, nothing is proposed.
        Err(wrong) => {
            tracing::error!(%wrong, "a plan of kit moves does not hold");
            Solved {
                plan: Plan::default(),
                worth: Worth::default(),
                proven: Proven::No,
            }
        }
    }
}

/// Adds what a group moves to the plan.
fn add(plan: &mut Plan, case: &Case, ready: &BTreeSet<usize>) {
    let Some(flow) = Flow::of(case, ready) else {
        return;
    };
    let takers = ready.iter().filter_map(|taker| case.takers.get(*taker));
    plan.ready.extend(takers);
    for (arc, units) in case.arcs.iter().zip(flow.first().units()) {
        let lack = case.lacks[arc.lack];
        if units > 0 {
            plan.moves.push(Move {
                taker: case.takers[lack.taker],
                want: lack.want,
                stock: case.stocks[arc.stock],
                units,
            });
        }
    }
}

/// How many times the arcs of a group go into the work of one search.
fn share(case: &Case) -> u64 {
    let arcs = u64::try_from(case.arcs.len()).unwrap_or(u64::MAX);
    (WORK_MAX / arcs.max(1)).max(1)
}

/// One group on its way to the best set of craft.
struct Group<'c> {
    case: &'c Case,
    model: Model<'c>,
    nodes: u64,
    /// The best so far, and what it is worth.
    ready: BTreeSet<usize>,
    worth: Worth,
}

impl<'c> Group<'c> {
    fn new(problem: &Problem, case: &'c Case, nodes: u64) -> Self {
        Self {
            case,
            model: Model::new(problem, case),
            nodes: nodes.min(share(case)),
            ready: BTreeSet::new(),
            worth: Worth::default(),
        }
    }

    fn solve(mut self) -> (BTreeSet<usize>, Proven) {
        let all: BTreeSet<usize> = (0..self.case.takers.len()).collect();
        if self.take(&all) {
            return (self.ready, Proven::Yes);
        }
        self.one_by_one();
        let mut proven = Proven::Yes;
        for goal in [Goal::Craft, Goal::Units, Goal::NotKnown, Goal::Metres] {
            proven = proven.max(self.search(goal));
        }
        proven = proven.max(self.first());
        (self.ready, proven)
    }

    /// Takes a set of craft when it can be filled and is better.
    fn take(&mut self, ready: &BTreeSet<usize>) -> bool {
        match self.worth_of(ready).filter(|worth| *worth > self.worth) {
            Some(worth) => {
                self.ready = ready.clone();
                self.worth = worth;
                true
            }
            None => false,
        }
    }

    /// What a set of craft is worth, by the least way; none when it cannot be filled.
    fn worth_of(&self, ready: &BTreeSet<usize>) -> Option<Worth> {
        let units = Flow::of(self.case, ready)?.units();
        let mut worth = Worth {
            craft: u32::try_from(ready.len()).ok()?,
            ..Worth::default()
        };
        for (arc, units) in self.case.arcs.iter().zip(units) {
            let units = u64::from(units);
            worth.units += units;
            match arc.way {
                Some(metres) => worth.metres += units * u64::from(metres),
                None => worth.way_not_known += units,
            }
        }
        Some(worth)
    }

    /// A set to begin with: the craft that lack least first, each that there is still enough for.
    fn one_by_one(&mut self) {
        let mut order: Vec<usize> = (0..self.case.takers.len()).collect();
        order.sort_by_key(|taker| (self.case.units_of(*taker), *taker));
        let mut ready = BTreeSet::new();
        let mut flow = Flow::none(self.case);
        for taker in order {
            let mut with = flow.clone();
            if with.fill(taker) {
                flow = with;
                ready.insert(taker);
            }
        }
        self.take(&ready);
    }

    fn search(&mut self, goal: Goal) -> Proven {
        if goal == Goal::NotKnown && self.worth.way_not_known == 0 {
            return Proven::Yes;
        }
        let at_hand = (self.worth, &self.ready);
        let (found, _) = self
            .model
            .search(goal, at_hand, &BTreeMap::new(), self.nodes);
        match found {
            Found::Best(ready) => {
                let worth = self.worth_of(&ready);
                self.take(&ready);
                // What the solver proved is proved of its own set: whole numbers must say the same.
                match worth {
                    Some(worth) if self.as_good(goal, worth) => Proven::Yes,
                    Some(_) | None => Proven::No,
                }
            }
            Found::Some(ready) => {
                self.take(&ready);
                Proven::No
            }
            // The set at hand is one: a solver that finds none is wrong.
            Found::None | Found::NotKnown => Proven::No,
        }
    }

    /// Whether the set at hand is no better than this by what the goal sought.
    fn as_good(&self, goal: Goal, worth: Worth) -> bool {
        let held = self.worth;
        let upto = |worth: Worth| match goal {
            Goal::Craft => (worth.craft, 0, 0, 0),
            Goal::Units => (worth.craft, worth.units, 0, 0),
            Goal::NotKnown => (worth.craft, worth.units, worth.way_not_known, 0),
            Goal::Metres | Goal::Any => {
                (worth.craft, worth.units, worth.way_not_known, worth.metres)
            }
        };
        upto(held) == upto(worth)
    }

    /// Of the sets that are as good, the one with the craft that come first.
    fn first(&mut self) -> Proven {
        let mut settled: BTreeMap<usize, bool> = BTreeMap::new();
        let mut proven = Proven::Yes;
        let mut searches = share(self.case);
        for taker in 0..self.case.takers.len() {
            settled.insert(taker, true);
            if self.ready.contains(&taker) {
                continue;
            }
            if searches == 0 {
                return Proven::NotFirst;
            }
            searches -= 1;
            let at_hand = (self.worth, &self.ready);
            let (found, _) = self.model.search(Goal::Any, at_hand, &settled, self.nodes);
            let ready = match found {
                Found::Best(ready) | Found::Some(ready) => Some(ready),
                Found::None => None,
                Found::NotKnown => {
                    proven = Proven::NotFirst;
                    None
                }
            };
            match ready {
                Some(ready) if self.worth_of(&ready) == Some(self.worth) => self.ready = ready,
                Some(_) => {
                    proven = Proven::NotFirst;
                    settled.insert(taker, false);
                }
                None => drop(settled.insert(taker, false)),
            }
        }
        proven
    }
}
