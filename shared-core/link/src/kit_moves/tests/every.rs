//! The plan of small counties against every plan that there is, tie-breaks and all.

use super::*;

/// A plan as it is compared: what it is worth, then which craft go, then what each stock gives.
type Key = (Worth, Vec<bool>, Vec<u32>);

/// One way to fill one lack.
struct Choice {
    taker: usize,
    want: usize,
    stocks: Vec<usize>,
}

/// Tries every plan: each set of craft, and each way to fill what they lack.
struct Every<'p> {
    problem: &'p Problem,
    choices: Vec<Choice>,
    best: Option<(Key, Plan)>,
}

impl<'p> Every<'p> {
    fn best(problem: &'p Problem) -> Plan {
        let mut choices = Vec::new();
        for (at, taker) in problem.takers.iter().enumerate() {
            for (want, line) in taker.wants.iter().enumerate() {
                let stocks = problem.stocks.iter().enumerate();
                let stocks = stocks.filter(|(_, stock)| problem.fits(taker, line, stock));
                choices.push(Choice {
                    taker: at,
                    want,
                    stocks: stocks.map(|(at, _)| at).collect(),
                });
            }
        }
        let mut every = Self {
            problem,
            choices,
            best: None,
        };
        for set in 0_u32..1 << problem.takers.len() {
            let ready = (0..problem.takers.len()).filter(|at| set & (1 << at) != 0);
            let plan = Plan {
                ready: ready.collect(),
                moves: Vec::new(),
            };
            let mut left: Vec<u32> = problem.stocks.iter().map(|stock| stock.spare).collect();
            every.fill(0, plan, &mut left);
        }
        every.best.expect("nothing can always be moved").1
    }

    /// Fills the lacks from one on in every way.
    fn fill(&mut self, choice: usize, plan: Plan, left: &mut Vec<u32>) {
        let Some(Choice { taker, want, .. }) = self.choices.get(choice) else {
            return self.judge(plan);
        };
        let units = self.problem.takers[*taker].wants[*want].units;
        let units = if plan.ready.contains(taker) { units } else { 0 };
        self.draw((choice, 0), units, plan, left);
    }

    fn draw(
        &mut self,
        (choice, from): (usize, usize),
        units: u32,
        plan: Plan,
        left: &mut Vec<u32>,
    ) {
        let Choice {
            taker,
            want,
            stocks,
        } = &self.choices[choice];
        let (taker, want) = (*taker, *want);
        let Some(stock) = stocks.get(from).copied() else {
            if units == 0 {
                self.fill(choice + 1, plan, left);
            }
            return;
        };
        for take in 0..=units.min(left[stock]) {
            let mut with = plan.clone();
            if take > 0 {
                with.moves.push(Move {
                    taker,
                    want,
                    stock,
                    units: take,
                });
            }
            left[stock] -= take;
            self.draw((choice, from + 1), units - take, with, left);
            left[stock] += take;
        }
    }

    fn judge(&mut self, plan: Plan) {
        let worth = self.problem.worth(&plan).expect("a plan that holds");
        let ready = (0..self.problem.takers.len()).map(|at| plan.ready.contains(&at));
        let mut gives = Vec::new();
        for Choice {
            taker,
            want,
            stocks,
        } in &self.choices
        {
            for stock in stocks {
                let same =
                    |one: &&Move| (one.taker, one.want, one.stock) == (*taker, *want, *stock);
                gives.push(plan.moves.iter().find(same).map_or(0, |one| one.units));
            }
        }
        let key = (worth, ready.collect(), gives);
        if self.best.as_ref().is_none_or(|(best, _)| key > *best) {
            self.best = Some((key, plan));
        }
    }
}

const LINES: [&str; 3] = ["a", "b", "c"];

fn any_want() -> impl Strategy<Value = (usize, u32, bool)> {
    (0..LINES.len(), 1..=3_u32, prop::bool::weighted(0.3))
}

fn any_taker() -> impl Strategy<Value = (u8, Vec<(usize, u32, bool)>)> {
    (0..3_u8, prop::collection::vec(any_want(), 1..=2))
}

/// Up to four craft that lack up to two lines, five stocks, three stations, ways that are short,
/// equal, or not known; a giver may be a taker.
pub(super) fn any_problem() -> impl Strategy<Value = Problem> {
    let takers = prop::collection::vec(any_taker(), 0..=4);
    let stocks = prop::collection::vec((0..6_u8, 0..3_u8, 0..LINES.len(), 0..=3_u32), 0..=5);
    let ways = prop::array::uniform3(prop::option::weighted(0.8, 0..4_u32));
    (takers, stocks, ways).prop_map(|(takers, stocks, ways)| {
        let takers: Vec<Taker> = takers
            .iter()
            .zip(1..)
            .map(|(it, number)| made(it, number))
            .collect();
        let mut seen = BTreeSet::new();
        let stocks = stocks
            .into_iter()
            .filter_map(|(holder, station, line, spare)| {
                // The first four holders are the craft themselves, at their own stations.
                let of_craft = takers.iter().find(|taker| taker.id == id(holder + 1));
                let mut made = stock(holder + 1, station, LINES[line], spare);
                made.station = of_craft.map_or(id(40 + holder), |taker| taker.station);
                if of_craft.is_none() {
                    made.station = id(20 + station);
                }
                seen.insert((made.id, made.line.clone())).then_some(made)
            });
        let stocks = stocks.collect();
        let pairs = [(20, 21), (20, 22), (21, 22)];
        let ways: Vec<(u8, u8, u32)> = pairs
            .into_iter()
            .zip(ways)
            .filter_map(|((from, to), way)| Some((from, to, way?)))
            .collect();
        problem(takers, stocks, &ways)
    })
}

fn made((station, wants): &(u8, Vec<(usize, u32, bool)>), number: u8) -> Taker {
    let by_line: BTreeMap<usize, (u32, bool)> = wants
        .iter()
        .map(|(line, units, others)| (*line, (*units, *others)))
        .collect();
    let wants: Vec<(&str, u32, &[&str])> = by_line
        .into_iter()
        .map(|(line, (units, others))| {
            // The third line stands in for others, and nothing for it.
            let others: &[&str] = if others && line < 2 { &["c"] } else { &[] };
            (LINES[line], units, others)
        })
        .collect();
    taker(number, 20 + station, &wants)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    /// The whole plan, not only what it is worth.
    #[test]
    fn the_plan_is_the_best_of_every_plan(problem in any_problem()) {
        let solved = solve(&problem, 10_000);
        prop_assert_eq!(solved.proven, Proven::Yes);
        let best = Every::best(&problem);
        prop_assert_eq!(&solved.plan, &best, "worth {:?} against {:?}", solved.worth, problem.worth(&best));
        prop_assert_eq!(Ok(solved.worth), problem.worth(&best));
    }

    /// However few nodes there are, a plan holds, is no better than the best, and says when it is
    /// not shown to be.
    #[test]
    fn with_too_few_nodes_a_plan_holds_and_says_so(problem in any_problem(), nodes in 0..3_u64) {
        let solved = solve(&problem, nodes);
        let best = problem.worth(&Every::best(&problem)).expect("it holds");
        prop_assert_eq!(problem.worth(&solved.plan), Ok(solved.worth));
        prop_assert!(solved.worth <= best);
        if solved.worth < best {
            prop_assert_eq!(solved.proven, Proven::No);
        }
    }
}
