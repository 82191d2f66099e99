//! One group of craft that draw on the same spare kit: what is decided for it has no part in any
//! other group, so each is solved alone.

use std::collections::{BTreeMap, BTreeSet};

use sponson_readiness::kit_moves::Problem;

/// A line that a craft of the group lacks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lack {
    /// Position of the craft in the group.
    pub(super) taker: usize,
    /// Position of the line among the craft's.
    pub(super) want: usize,
    /// Units lacking.
    pub(super) units: u32,
}

/// Units of one stock may fill a lack.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    /// Position of the lack.
    pub(super) lack: usize,
    /// Position of the stock in the group.
    pub(super) stock: usize,
    /// Metres; none when the way is not known.
    pub(super) way: Option<u32>,
}

/// One group.
#[derive(Clone, Debug, Default)]
pub(super) struct Case {
    /// Positions of its craft in the problem, in order.
    pub(super) takers: Vec<usize>,
    /// Positions of its stocks in the problem, in order.
    pub(super) stocks: Vec<usize>,
    /// What is lacking, in order of craft and line.
    pub(super) lacks: Vec<Lack>,
    /// What may fill what, in order of lack and stock.
    pub(super) arcs: Vec<Arc>,
    /// Units that each stock has to spare.
    pub(super) spare: Vec<u32>,
}

impl Case {
    /// Lacks of one craft.
    pub(super) fn lacks_of(&self, taker: usize) -> impl Iterator<Item = usize> {
        let lacks = self.lacks.iter().enumerate();
        let own = lacks.filter(move |(_, lack)| lack.taker == taker);
        own.map(|(at, _)| at)
    }

    /// Units that a craft lacks over all lines.
    pub(super) fn units_of(&self, taker: usize) -> u64 {
        let lacks = self.lacks.iter().filter(|lack| lack.taker == taker);
        lacks.map(|lack| u64::from(lack.units)).sum()
    }
}

/// The groups of a problem, without craft of which a line can be filled by nothing.
pub(super) fn cases(problem: &Problem) -> Vec<Case> {
    let stocks = usable(problem);
    let fillable: Vec<usize> = (0..problem.takers.len())
        .filter(|at| is_fillable(problem, *at, &stocks))
        .collect();
    let groups = groups(&fillable, &stocks);
    groups
        .into_iter()
        .map(|group| case(problem, &group, &stocks))
        .collect()
}

/// Of each craft and line, the stocks that fit.
type Usable = BTreeMap<(usize, usize), Vec<usize>>;

fn usable(problem: &Problem) -> Usable {
    let mut usable = Usable::new();
    for (at, taker) in problem.takers.iter().enumerate() {
        for (line, want) in taker.wants.iter().enumerate() {
            let stocks = problem.stocks.iter().enumerate();
            let fitting = stocks.filter(|(_, stock)| problem.fits(taker, want, stock));
            usable.insert((at, line), fitting.map(|(at, _)| at).collect());
        }
    }
    usable
}

/// Whether each line of a craft, taken alone, can be filled.
fn is_fillable(problem: &Problem, at: usize, usable: &Usable) -> bool {
    let Some(taker) = problem.takers.get(at) else {
        return false;
    };
    taker.wants.iter().enumerate().all(|(line, want)| {
        let stocks = usable.get(&(at, line)).into_iter().flatten();
        let spare = stocks.filter_map(|stock| problem.stocks.get(*stock));
        let spare: u64 = spare.map(|stock| u64::from(stock.spare)).sum();
        spare >= u64::from(want.units)
    })
}

/// Craft that draw on a stock together, or through others.
fn groups(takers: &[usize], usable: &Usable) -> Vec<BTreeSet<usize>> {
    let mut groups: Vec<(BTreeSet<usize>, BTreeSet<usize>)> = Vec::new();
    for taker in takers {
        let lines = usable.range((*taker, 0)..(taker + 1, 0));
        let mut stocks: BTreeSet<usize> = lines.flat_map(|(_, stocks)| stocks).copied().collect();
        let mut together = BTreeSet::from([*taker]);
        let (join, apart): (Vec<_>, Vec<_>) = groups
            .into_iter()
            .partition(|(_, drawn)| !drawn.is_disjoint(&stocks));
        for (others, drawn) in join {
            together.extend(others);
            stocks.extend(drawn);
        }
        groups = apart;
        groups.push((together, stocks));
    }
    let mut groups: Vec<BTreeSet<usize>> = groups.into_iter().map(|(takers, _)| takers).collect();
    groups.sort();
    groups
}

fn case(problem: &Problem, group: &BTreeSet<usize>, usable: &Usable) -> Case {
    let mut case = Case {
        takers: group.iter().copied().collect(),
        ..Case::default()
    };
    let lines = |taker: usize| usable.range((taker, 0)..(taker + 1, 0));
    let drawn = group.iter().flat_map(|taker| lines(*taker));
    let drawn: BTreeSet<usize> = drawn.flat_map(|(_, stocks)| stocks).copied().collect();
    let local: BTreeMap<usize, usize> = drawn.iter().copied().zip(0..).collect();
    for stock in &drawn {
        case.stocks.push(*stock);
        case.spare
            .push(problem.stocks.get(*stock).map_or(0, |stock| stock.spare));
    }
    for (at, position) in group.iter().enumerate() {
        let Some(taker) = problem.takers.get(*position) else {
            continue;
        };
        for ((_, line), stocks) in lines(*position) {
            let lack = case.lacks.len();
            case.lacks.push(Lack {
                taker: at,
                want: *line,
                units: taker.wants.get(*line).map_or(0, |want| want.units),
            });
            for stock in stocks {
                let from = problem.stocks.get(*stock).map(|stock| stock.station);
                let way = from.and_then(|from| problem.way(from, taker.station));
                let stock = local.get(stock).copied().unwrap_or(0);
                case.arcs.push(Arc { lack, stock, way });
            }
        }
    }
    case
}
