//! The integer program of one group, for the solver: which craft are made ready.
//!
//! | variable | meaning |
//! |---|---|
//! | one for each craft, 0 or 1 | it is made ready |
//! | one for each pool and lack, 0 or more | units that go there |
//!
//! Each lack gets its units exactly when its craft is made ready, and no pool gives more than it has.
//! A pool is what stands at one station and fits the same lacks. Once it is decided which craft are
//! made ready, the rest is a transport of whole units, so that only those are asked to be whole.
//!
//! The solver reckons in floating point. What it says is taken as a set of craft and nothing else:
//! units and ways are worked out anew in whole numbers.

use std::collections::{BTreeMap, BTreeSet};

use microlp::{
    ComparisonOp, Error, LinearExpr, OptimizationDirection, Problem, ResumeOptions, SolveOptions,
    SolveOutcome, TerminationReason, Variable,
};
use sponson_readiness::ids::SubjectId;
use sponson_readiness::kit_moves::{Problem as Kit, Worth};

use super::case::Case;
use super::work::{Work, steps};

/// Pivots that the root of a program is taken to need for each of its rows: 1.2 to 2.4 were counted in
/// counties of 250 and 500 craft.
const PIVOTS_OF_ROW: u64 = 2;

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Goal {
    /// Most craft.
    Craft,
    /// Fewest units, of the most craft.
    Units,
    /// Fewest units whose way is not known, of those.
    NotKnown,
    /// Least way, of those.
    Metres,
    /// Any of those, with some craft made ready and others not.
    Any,
}

/// What a search came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// The best there is.
    Best(BTreeSet<usize>),
    /// The best before the limit of nodes was reached.
    Some(BTreeSet<usize>),
    /// There is none.
    None,
    /// Nothing was found before the limit was reached, or the solver gave up.
    NotKnown,
}

/// The program of one group.
#[derive(Debug)]
pub(super) struct Model<'c> {
    case: &'c Case,
    pools: Vec<Pool>,
    /// Craft that lack the same at the same station, in the order of their ids: the second is not
    /// made ready before the first.
    alike: Vec<(usize, usize)>,
}

/// Stocks of one station that fit the same lacks.
#[derive(Debug)]
struct Pool {
    spare: u64,
    lacks: Ways,
}

/// Lacks, with the way to each.
type Ways = Vec<(usize, Option<u32>)>;

impl<'c> Model<'c> {
    pub(super) fn new(kit: &Kit, case: &'c Case) -> Self {
        let mut fits: Vec<Ways> = vec![Vec::new(); case.stocks.len()];
        for arc in &case.arcs {
            fits[arc.stock].push((arc.lack, arc.way));
        }
        let mut pools: BTreeMap<(SubjectId, Ways), u64> = BTreeMap::new();
        for ((stock, spare), lacks) in case.stocks.iter().zip(&case.spare).zip(fits) {
            let Some(stock) = kit.stocks.get(*stock) else {
                continue;
            };
            *pools.entry((stock.station, lacks)).or_default() += u64::from(*spare);
        }
        let pools = pools.into_iter();
        Self {
            case,
            pools: pools
                .map(|((_, lacks), spare)| Pool { spare, lacks })
                .collect(),
            alike: alike(kit, case),
        }
    }

    /// Searches for a better set of craft than the one at hand, no worse than it in what comes before
    /// the goal; some craft may be settled.
    pub(super) fn search(
        &self,
        goal: Goal,
        (worth, at_hand): (Worth, &BTreeSet<usize>),
        settled: &BTreeMap<usize, bool>,
        (nodes, work): (u64, &mut Work),
    ) -> Found {
        // The root takes its pivots in one piece: it is begun only when there is work for them.
        if work.left() < self.rows() * PIVOTS_OF_ROW * self.pivot() {
            return Found::NotKnown;
        }
        let (program, craft) = self.program(goal, worth, settled);
        let mut options = SolveOptions::default();
        options.node_limit = Some(0);
        if goal != Goal::Any {
            let start = craft.iter().enumerate();
            let start = start.map(|(at, one)| (*one, f64::from(at_hand.contains(&at))));
            options.warm_start = Some(start.collect());
        }
        let outcome = match self.go_on(program.solve_with(options), nodes, work) {
            Ok(outcome) => outcome,
            Err(Error::Infeasible) => return Found::None,
            Err(_) => return Found::NotKnown,
        };
        let Some(solution) = outcome.solution() else {
            return Found::NotKnown;
        };
        let is_ready = |at: &usize| {
            craft
                .get(*at)
                .is_some_and(|it| solution.var_value(*it) > 0.5)
        };
        let ready = (0..craft.len()).filter(is_ready).collect();
        if outcome.is_optimal() || goal == Goal::Any {
            Found::Best(ready)
        } else {
            Found::Some(ready)
        }
    }

    /// Goes on node by node while there are nodes and work.
    fn go_on(
        &self,
        begun: Result<SolveOutcome, Error>,
        nodes: u64,
        work: &mut Work,
    ) -> Result<SolveOutcome, Error> {
        let mut outcome = begun?;
        let mut pivots = 0;
        loop {
            let stats = outcome.stats();
            let more = stats.lp_iterations.saturating_sub(pivots) + 1;
            pivots = stats.lp_iterations;
            let goes_on = work.spend(more * self.pivot()) && stats.nodes_solved < nodes;
            if !goes_on || outcome.termination_reason() != TerminationReason::NodeLimit {
                return Ok(outcome);
            }
            let mut options = ResumeOptions::default();
            options.node_limit = Some(1);
            outcome = outcome.resume_with(options)?;
        }
    }

    /// Steps of one pivot: half the variables and rows of the program, each of which takes some 20 ns
    /// of a pivot where a step of the flow takes some 45 ns.
    fn pivot(&self) -> u64 {
        let ways: usize = self.pools.iter().map(|pool| pool.lacks.len()).sum();
        (self.rows() + steps(self.case.takers.len() + ways)).div_ceil(2)
    }

    fn rows(&self) -> u64 {
        steps(self.pools.len() + self.case.lacks.len() + self.alike.len())
    }

    fn program(
        &self,
        goal: Goal,
        worth: Worth,
        settled: &BTreeMap<usize, bool>,
    ) -> (Problem, Vec<Variable>) {
        let mut rows = Rows {
            program: Problem::new(OptimizationDirection::Minimize),
            craft: LinearExpr::empty(),
            units: LinearExpr::empty(),
            not_known: LinearExpr::empty(),
            metres: LinearExpr::empty(),
        };
        let takers = 0..self.case.takers.len();
        let craft: Vec<Variable> = takers
            .map(|at| {
                let units = figure(self.case.units_of(at));
                let price = match goal {
                    Goal::Craft => -1.0,
                    Goal::Units => units,
                    Goal::NotKnown | Goal::Metres | Goal::Any => 0.0,
                };
                let var = match settled.get(&at) {
                    None => rows.program.add_binary_var(price),
                    Some(ready) => {
                        let ready = i32::from(*ready);
                        rows.program.add_integer_var(price, (ready, ready))
                    }
                };
                rows.craft.add(var, 1.0);
                rows.units.add(var, units);
                var
            })
            .collect();
        self.transport(goal, &craft, &mut rows);
        for (first, then) in &self.alike {
            let pair = [(craft[*first], 1.0), (craft[*then], -1.0)];
            rows.program.add_constraint(pair, ComparisonOp::Ge, 0.0);
        }
        (rows.hold(goal, worth), craft)
    }

    /// What each pool gives and each lack gets.
    fn transport(&self, goal: Goal, craft: &[Variable], rows: &mut Rows) {
        let mut gets = vec![LinearExpr::empty(); self.case.lacks.len()];
        for pool in &self.pools {
            let mut gives = LinearExpr::empty();
            for (lack, way) in &pool.lacks {
                let price = match (goal, way) {
                    (Goal::NotKnown, None) => 1.0,
                    (Goal::Metres, Some(metres)) => f64::from(*metres),
                    (Goal::Metres | Goal::NotKnown | Goal::Craft | Goal::Units | Goal::Any, _) => {
                        0.0
                    }
                };
                let most = pool.spare.min(u64::from(self.case.lacks[*lack].units));
                let units = rows.program.add_var(price, (0.0, figure(most)));
                gives.add(units, 1.0);
                gets[*lack].add(units, 1.0);
                match way {
                    None => rows.not_known.add(units, 1.0),
                    Some(0) => {}
                    Some(metres) => rows.metres.add(units, f64::from(*metres)),
                }
            }
            rows.program
                .add_constraint(gives, ComparisonOp::Le, figure(pool.spare));
        }
        for (lack, mut gets) in self.case.lacks.iter().zip(gets) {
            gets.add(craft[lack.taker], -f64::from(lack.units));
            rows.program.add_constraint(gets, ComparisonOp::Eq, 0.0);
        }
    }
}

/// Sums over the whole plan.
struct Rows {
    program: Problem,
    craft: LinearExpr,
    units: LinearExpr,
    not_known: LinearExpr,
    metres: LinearExpr,
}

impl Rows {
    /// Holds what comes before the goal to what it is worth already. All sums are of whole numbers at
    /// whole numbers of craft, so that half a unit more or less lets in nothing else.
    fn hold(mut self, goal: Goal, worth: Worth) -> Problem {
        let least = f64::from(worth.craft) - 0.5;
        let most = |sum: u64| figure(sum) + 0.5;
        let held = match goal {
            Goal::Craft => 0,
            Goal::Units => 1,
            Goal::NotKnown => 2,
            Goal::Metres => 3,
            Goal::Any => 4,
        };
        if held > 0 {
            self.program
                .add_constraint(self.craft, ComparisonOp::Ge, least);
        }
        let sums = [
            (self.units, worth.units),
            (self.not_known, worth.way_not_known),
            (self.metres, worth.metres),
        ];
        for (expr, sum) in sums.into_iter().take(usize::saturating_sub(held, 1)) {
            self.program
                .add_constraint(expr, ComparisonOp::Le, most(sum));
        }
        self.program
    }
}

/// Craft that differ in nothing but their ids, each with the one before it.
fn alike(kit: &Kit, case: &Case) -> Vec<(usize, usize)> {
    let mut last: BTreeMap<_, usize> = BTreeMap::new();
    let mut alike = Vec::new();
    let mut from: Vec<Vec<usize>> = vec![Vec::new(); case.lacks.len()];
    for arc in &case.arcs {
        from[arc.lack].push(arc.stock);
    }
    for at in 0..case.takers.len() {
        let taker = case.takers.get(at).and_then(|taker| kit.takers.get(*taker));
        let lacks = case.lacks_of(at);
        let lacks = lacks.map(|lack| (case.lacks[lack].units, &from[lack]));
        let lacks: Vec<(u32, &Vec<usize>)> = lacks.collect();
        let station = taker.map(|taker| taker.station);
        if let Some(before) = last.insert((station, lacks), at) {
            alike.push((before, at));
        }
    }
    alike
}

/// A number as the solver takes it: no sum of a county comes near the 2^53 up to which it is exact.
#[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
fn figure(number: u64) -> f64 {
    number as f64
}
