//! From a problem to its plan, group by group.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::kit_moves::{Move, Plan, Problem, Proven, Solved, Worth};

use super::case::{Case, cases};
use super::flow::Flow;
use super::model::{Found, Goal, Model};
use super::work::{Work, steps};

/// Nodes that one search of a group may take. Small groups take fewer than ten; in large ones the work
/// is spent first.
pub const NODES_MAX: u64 = 2_000;

/// Steps of the whole plan, shared out among its groups: edges that the flow looks along, and pivots of
/// the integer program times its size.
///
/// Measured unoptimised, with an optimised solver, on one core of a shared machine: counties of 500 craft
/// and 60 stations, of 3 to 40 lines and up to 125,000 arcs, took 0.3 to 2.9 s, most of them with all
/// work spent. A county of 2,000 craft and 1.4 million arcs took 7.7 s: to lay its arcs out is not
/// counted as work.
const WORK_MAX: u64 = 40_000_000;

/// Finds the plan; each search of a group takes at most so many nodes.
#[must_use]
pub fn solve(problem: &Problem, nodes: u64) -> Solved {
    let mut plan = Plan::default();
    let mut proven = Proven::Yes;
    let cases = cases(problem);
    let arcs: u64 = cases.iter().map(|case| steps(case.arcs.len())).sum();
    let mut left = 0;
    for case in &cases {
        // A group has its share by its size, and what those before it left.
        let work = WORK_MAX / arcs.max(1) * steps(case.arcs.len()) + left;
        let mut group = Group::new(problem, case, nodes, Work::new(work));
        let how = group.solve();
        proven = proven.max(how).max(group.add_to(&mut plan));
        left = group.work.left();
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

/// One group on its way to the best set of craft.
struct Group<'c> {
    problem: &'c Problem,
    case: &'c Case,
    nodes: u64,
    work: Work,
    /// The best so far, and what it is worth.
    ready: BTreeSet<usize>,
    worth: Worth,
}

impl<'c> Group<'c> {
    fn new(problem: &'c Problem, case: &'c Case, nodes: u64, work: Work) -> Self {
        Self {
            problem,
            case,
            nodes,
            work,
            ready: BTreeSet::new(),
            worth: Worth::default(),
        }
    }

    /// Finds the best set of craft, and says whether it is.
    fn solve(&mut self) -> Proven {
        if self.take_all() {
            return Proven::Yes;
        }
        self.one_by_one();
        let model = Model::new(self.problem, self.case);
        let mut proven = Proven::Yes;
        for goal in [Goal::Craft, Goal::Units, Goal::NotKnown, Goal::Metres] {
            proven = proven.max(self.search(&model, goal));
        }
        match proven {
            Proven::Yes | Proven::NotFirst => proven.max(self.first(&model)),
            Proven::No => Proven::No,
        }
    }

    /// Adds what the group moves to the plan; says whether it is the first of those that are as good.
    fn add_to(&mut self, plan: &mut Plan) -> Proven {
        // What was found is told, spent or not: it takes no more than finding it did.
        let Some(flow) = Flow::of(self.case, &self.ready, &mut Work::without_end()) else {
            return Proven::No;
        };
        let (flow, is_first) = flow.first(&mut self.work);
        let takers = self.ready.iter();
        let takers = takers.filter_map(|taker| self.case.takers.get(*taker));
        plan.ready.extend(takers);
        for (arc, units) in self.case.arcs.iter().zip(flow.units()) {
            let lack = self.case.lacks[arc.lack];
            if units > 0 {
                plan.moves.push(Move {
                    taker: self.case.takers[lack.taker],
                    want: lack.want,
                    stock: self.case.stocks[arc.stock],
                    units,
                });
            }
        }
        if is_first {
            Proven::Yes
        } else {
            Proven::NotFirst
        }
    }

    /// Takes a set of craft when it can be filled and is better.
    fn take(&mut self, ready: &BTreeSet<usize>) -> bool {
        let worth = self.worth_of(ready);
        worth.is_some_and(|worth| self.take_at(ready, worth))
    }

    fn take_at(&mut self, ready: &BTreeSet<usize>, worth: Worth) -> bool {
        let is_better = worth > self.worth;
        if is_better {
            self.ready = ready.clone();
            self.worth = worth;
        }
        is_better
    }

    /// Takes all craft when there is enough for all.
    fn take_all(&mut self) -> bool {
        let all: BTreeSet<usize> = (0..self.case.takers.len()).collect();
        let part = self.work.part(4);
        let mut work = part;
        let flow = Flow::of(self.case, &all, &mut work);
        self.work.spend(part.left() - work.left());
        flow.is_some_and(|flow| self.take_at(&all, self.worth_by(&flow, &all)))
    }

    /// What a set of craft is worth, by the least way; none when it cannot be filled.
    fn worth_of(&mut self, ready: &BTreeSet<usize>) -> Option<Worth> {
        let flow = Flow::of(self.case, ready, &mut self.work)?;
        Some(self.worth_by(&flow, ready))
    }

    fn worth_by(&self, flow: &Flow<'_>, ready: &BTreeSet<usize>) -> Worth {
        let mut worth = Worth {
            craft: u32::try_from(ready.len()).unwrap_or(u32::MAX),
            ..Worth::default()
        };
        for (arc, units) in self.case.arcs.iter().zip(flow.units()) {
            let units = u64::from(units);
            worth.units += units;
            match arc.way {
                Some(metres) => worth.metres += units * u64::from(metres),
                None => worth.way_not_known += units,
            }
        }
        worth
    }

    /// A set to begin with: the craft that lack least first, each that there is still enough for.
    fn one_by_one(&mut self) {
        let mut order: Vec<usize> = (0..self.case.takers.len()).collect();
        order.sort_by_key(|taker| (self.case.units_of(*taker), *taker));
        let mut ready = BTreeSet::new();
        let mut flow = Flow::none(self.case);
        for taker in order {
            if flow.fill(taker, &mut self.work) {
                ready.insert(taker);
            }
        }
        let worth = self.worth_by(&flow, &ready);
        self.take_at(&ready, worth);
    }

    fn search(&mut self, model: &Model<'_>, goal: Goal) -> Proven {
        if goal == Goal::NotKnown && self.worth.way_not_known == 0 {
            return Proven::Yes;
        }
        let at_hand = (self.worth, &self.ready);
        let limit = (self.nodes, &mut self.work);
        let found = model.search(goal, at_hand, &BTreeMap::new(), limit);
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
    fn first(&mut self, model: &Model<'_>) -> Proven {
        let mut settled: BTreeMap<usize, bool> = BTreeMap::new();
        let mut proven = Proven::Yes;
        for taker in 0..self.case.takers.len() {
            settled.insert(taker, true);
            if self.ready.contains(&taker) {
                continue;
            }
            if self.work.is_spent() {
                return Proven::NotFirst;
            }
            let at_hand = (self.worth, &self.ready);
            let limit = (self.nodes, &mut self.work);
            let found = model.search(Goal::Any, at_hand, &settled, limit);
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
