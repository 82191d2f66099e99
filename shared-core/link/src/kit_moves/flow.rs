//! Which stock fills which lack, once it is decided which craft are made ready: by the least way, and
//! of plans of one way by the one that takes most from the givers that come first.
//!
//! In whole numbers and exact: shortest augmenting paths (Jewell 1958), searched by what a way costs
//! beyond the potentials of its ends (Edmonds and Karp 1972).

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use super::case::Case;
use super::work::{Work, steps};

mod first;

/// What a way costs.
type Cost = i128;

/// A way that is not known weighs more than any sum of metres: 2^32 units of 2^32 m are 2^64.
const NOT_KNOWN: Cost = 1 << 64;

/// Where all spare kit comes from.
const SOURCE: usize = 0;

/// Units on the way from the stocks of a group to its lacks.
///
/// Edges come in pairs, there and back again: edge `e` and edge `e ^ 1`.
#[derive(Clone, Debug)]
pub(super) struct Flow<'c> {
    case: &'c Case,
    /// Node that an edge leads to.
    to: Vec<usize>,
    /// Units that can still take it.
    room: Vec<u32>,
    cost: Vec<Cost>,
    /// Edges that leave each node: the source, the stocks, the lacks.
    leave: Vec<Vec<usize>>,
    /// No edge with room costs less than its end lies above its beginning.
    potential: Vec<Cost>,
    /// What was sent since the last craft was filled.
    sent: Vec<(usize, u32)>,
    /// Nodes that the source has no way to, nor will have: a way never leads through one of them.
    cut_off: Vec<bool>,
}

impl<'c> Flow<'c> {
    /// Nothing is moved.
    pub(super) fn none(case: &'c Case) -> Self {
        let nodes = 1 + case.stocks.len() + case.lacks.len();
        let mut flow = Self {
            case,
            to: Vec::new(),
            room: Vec::new(),
            cost: Vec::new(),
            leave: vec![Vec::new(); nodes],
            potential: vec![0; nodes],
            sent: Vec::new(),
            cut_off: vec![false; nodes],
        };
        for (stock, spare) in case.spare.iter().enumerate() {
            flow.add(SOURCE, stock_node(stock), *spare, 0);
        }
        for arc in &case.arcs {
            let cost = arc.way.map_or(NOT_KNOWN, Cost::from);
            let lack = flow.lack_node(arc.lack);
            flow.add(stock_node(arc.stock), lack, u32::MAX, cost);
        }
        flow
    }

    /// The least way that fills all lacks of these craft; none when there is not enough, or when the
    /// work is spent.
    pub(super) fn of(case: &'c Case, takers: &BTreeSet<usize>, work: &mut Work) -> Option<Self> {
        let mut flow = Self::none(case);
        let mut takers = takers.iter();
        takers.all(|taker| flow.fill(*taker, work)).then_some(flow)
    }

    /// Fills the lacks of one more craft by the least way. Says whether there is enough, and work, for
    /// it; if not, nothing is changed.
    pub(super) fn fill(&mut self, taker: usize, work: &mut Work) -> bool {
        let case = self.case;
        let before = self.potential.clone();
        self.sent.clear();
        let filled = case.lacks_of(taker).all(|lack| {
            let units = case.lacks.get(lack).map_or(0, |lack| lack.units);
            self.fill_lack(self.lack_node(lack), units, work)
        });
        if !filled {
            self.potential = before;
            // Last first: a way can lead back over one before it.
            for (edge, units) in std::mem::take(&mut self.sent).into_iter().rev() {
                self.send(edge ^ 1, units);
            }
        }
        filled
    }

    /// Units of each arc.
    pub(super) fn units(&self) -> Vec<u32> {
        let arcs = 0..self.case.arcs.len();
        arcs.map(|arc| self.room[self.edge(arc) ^ 1]).collect()
    }

    fn add(&mut self, from: usize, to: usize, room: u32, cost: Cost) {
        for (from, to, room, cost) in [(from, to, room, cost), (to, from, 0, -cost)] {
            self.leave[from].push(self.to.len());
            self.to.push(to);
            self.room.push(room);
            self.cost.push(cost);
        }
    }

    fn lack_node(&self, lack: usize) -> usize {
        1 + self.case.stocks.len() + lack
    }

    fn edge(&self, arc: usize) -> usize {
        2 * (self.case.stocks.len() + arc)
    }

    fn fill_lack(&mut self, node: usize, units: u32, work: &mut Work) -> bool {
        let mut lacking = units;
        while lacking > 0 {
            let Some(path) = self.cheapest(node, work) else {
                return false;
            };
            lacking -= self.push(&path, lacking);
        }
        true
    }

    /// Sends as many units along edges as have room, at most so many.
    fn push(&mut self, edges: &[usize], most: u32) -> u32 {
        let room = edges.iter().map(|edge| self.room[*edge]);
        let units = room.min().unwrap_or(0).min(most);
        for edge in edges {
            self.send(*edge, units);
            self.sent.push((*edge, units));
        }
        units
    }

    fn send(&mut self, edge: usize, units: u32) {
        // What leads anywhere from a stock has room without end.
        self.room[edge] = self.room[edge].saturating_sub(units);
        self.room[edge ^ 1] = self.room[edge ^ 1].saturating_add(units);
    }

    /// The cheapest way from the source to a lack, searched from its end; none when there is none, or
    /// when the work is spent.
    fn cheapest(&mut self, lack: usize, work: &mut Work) -> Option<Vec<usize>> {
        let mut cost: Vec<Option<Cost>> = vec![None; self.leave.len()];
        let mut onward = vec![0; self.leave.len()];
        let mut near: Vec<(usize, Cost)> = Vec::new();
        let mut waits = BinaryHeap::from([Reverse((0, lack))]);
        cost[lack] = Some(0);
        if self.cut_off[lack] {
            return None;
        }
        while let Some(Reverse((here, node))) = waits.pop() {
            if node == SOURCE {
                self.raise(&near, here);
                return Some(self.path(lack, &onward));
            }
            if cost[node] != Some(here) {
                continue;
            }
            near.push((node, here));
            // A step for the node, and one for each edge.
            if !work.spend(1 + steps(self.leave[node].len())) {
                return None;
            }
            for edge in self.leave[node].iter().map(|edge| edge ^ 1) {
                let from = self.to[edge ^ 1];
                if self.room[edge] == 0 || self.cut_off[from] {
                    continue;
                }
                let there = here + self.beyond(edge);
                if cost[from].is_none_or(|known| there < known) {
                    cost[from] = Some(there);
                    onward[from] = edge;
                    waits.push(Reverse((there, from)));
                }
            }
        }
        // What was sent for a craft is taken back when it cannot be filled, and opens ways again.
        if self.sent.is_empty() {
            for (node, _) in near {
                self.cut_off[node] = true;
            }
        }
        None
    }

    /// The edges from the source to a lack.
    fn path(&self, lack: usize, onward: &[usize]) -> Vec<usize> {
        let mut path = Vec::new();
        let mut node = SOURCE;
        while node != lack {
            path.push(onward[node]);
            node = self.to[onward[node]];
        }
        path
    }

    /// Makes the cheapest way one that costs nothing beyond its potentials.
    fn raise(&mut self, near: &[(usize, Cost)], to: Cost) {
        for (node, cost) in near {
            self.potential[*node] += to - cost;
        }
    }

    /// What an edge costs beyond the potentials of its ends.
    fn beyond(&self, edge: usize) -> Cost {
        self.cost[edge] + self.potential[self.to[edge ^ 1]] - self.potential[self.to[edge]]
    }
}

const fn stock_node(stock: usize) -> usize {
    1 + stock
}
