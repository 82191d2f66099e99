//! Which stock fills which lack, once it is decided which craft are made ready: by the least way, and
//! of plans of one way by the one that takes most from the givers that come first.
//!
//! In whole numbers and exact: shortest augmenting paths (Jewell 1958), then every cycle that costs
//! nothing is turned towards the first arc that it is good for.

use std::collections::{BTreeSet, VecDeque};

use super::case::Case;

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

    /// The least way that fills all lacks of these craft; none when there is not enough.
    pub(super) fn of(case: &'c Case, takers: &BTreeSet<usize>) -> Option<Self> {
        let mut flow = Self::none(case);
        takers.iter().all(|taker| flow.fill(*taker)).then_some(flow)
    }

    /// Fills the lacks of one more craft by the least way; says whether there is enough. If not, the
    /// flow is of no further use.
    pub(super) fn fill(&mut self, taker: usize) -> bool {
        let case = self.case;
        case.lacks_of(taker).all(|lack| {
            let units = case.lacks.get(lack).map_or(0, |lack| lack.units);
            self.fill_lack(self.lack_node(lack), units)
        })
    }

    /// Units of each arc.
    pub(super) fn units(&self) -> Vec<u32> {
        let arcs = 0..self.case.arcs.len();
        arcs.map(|arc| self.room[self.edge(arc) ^ 1]).collect()
    }

    /// Turns it into the first of those that cost the same.
    pub(super) fn first(mut self) -> Self {
        let potential = self.potentials();
        let mut settled = vec![false; self.to.len()];
        for arc in 0..self.case.arcs.len() {
            let edge = self.edge(arc);
            settled[edge] = true;
            settled[edge ^ 1] = true;
            if !self.is_free(edge, &potential) {
                continue;
            }
            while let Some(mut cycle) = self.way_back(edge, &settled, &potential) {
                cycle.push(edge);
                self.push(&cycle, u32::MAX);
            }
        }
        self
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

    fn fill_lack(&mut self, node: usize, units: u32) -> bool {
        let mut lacking = units;
        while lacking > 0 {
            let Some(path) = self.cheapest(node) else {
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
            // What leads anywhere from a stock has room without end.
            self.room[*edge] = self.room[*edge].saturating_sub(units);
            self.room[edge ^ 1] = self.room[edge ^ 1].saturating_add(units);
        }
        units
    }

    /// The cheapest way from the source to a lack, searched from its end.
    fn cheapest(&self, lack: usize) -> Option<Vec<usize>> {
        let mut cost: Vec<Option<Cost>> = vec![None; self.leave.len()];
        let mut onward = vec![0; self.leave.len()];
        let mut waits = VecDeque::from([lack]);
        cost[lack] = Some(0);
        while let Some(node) = waits.pop_front() {
            let Some(here) = cost[node].filter(|_| node != SOURCE) else {
                continue;
            };
            for edge in self.leave[node].iter().map(|edge| edge ^ 1) {
                let from = self.to[edge ^ 1];
                let there = here + self.cost[edge];
                if self.room[edge] > 0 && cost[from].is_none_or(|known| there < known) {
                    cost[from] = Some(there);
                    onward[from] = edge;
                    waits.push_back(from);
                }
            }
        }
        cost[SOURCE]?;
        let mut path = Vec::new();
        let mut node = SOURCE;
        while node != lack {
            path.push(onward[node]);
            node = self.to[onward[node]];
        }
        Some(path)
    }

    /// What each node costs at least: no edge with room leads to one at less than it says.
    fn potentials(&self) -> Vec<Cost> {
        let mut cost: Vec<Cost> = vec![0; self.leave.len()];
        let mut waits: VecDeque<usize> = (0..self.leave.len()).collect();
        while let Some(node) = waits.pop_front() {
            for edge in &self.leave[node] {
                let there = cost[node] + self.cost[*edge];
                if self.room[*edge] > 0 && there < cost[self.to[*edge]] {
                    cost[self.to[*edge]] = there;
                    waits.push_back(self.to[*edge]);
                }
            }
        }
        cost
    }

    /// Whether an edge can lie on a cycle that costs nothing.
    fn is_free(&self, edge: usize, potential: &[Cost]) -> bool {
        let (from, to) = (self.to[edge ^ 1], self.to[edge]);
        self.room[edge] > 0 && potential[from] + self.cost[edge] == potential[to]
    }

    /// A way that costs nothing from the end of an edge to its beginning, past what is settled.
    fn way_back(&self, edge: usize, settled: &[bool], potential: &[Cost]) -> Option<Vec<usize>> {
        let (goal, start) = (self.to[edge ^ 1], self.to[edge]);
        let mut came: Vec<Option<usize>> = vec![None; self.leave.len()];
        let mut waits = VecDeque::from([start]);
        while let Some(node) = waits.pop_front() {
            if node == goal {
                break;
            }
            for edge in &self.leave[node] {
                let to = self.to[*edge];
                let is_new = to != start && came[to].is_none();
                if is_new && !settled[*edge] && self.is_free(*edge, potential) {
                    came[to] = Some(*edge);
                    waits.push_back(to);
                }
            }
        }
        let mut way = Vec::new();
        let mut node = goal;
        while node != start {
            let edge = came[node]?;
            way.push(edge);
            node = self.to[edge ^ 1];
        }
        Some(way)
    }
}

const fn stock_node(stock: usize) -> usize {
    1 + stock
}
