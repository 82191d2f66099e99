//! Of the plans of one way, the one that takes most from the givers that come first: every cycle that
//! costs nothing is turned towards the first arc that it is good for.

use std::collections::VecDeque;

use super::Flow;
use crate::kit_moves::work::{Work, steps};

impl Flow<'_> {
    /// Turns it into the first of those that cost the same; says whether the work was enough for it.
    pub(in crate::kit_moves) fn first(mut self, work: &mut Work) -> (Self, bool) {
        let free = self.free();
        let mut settled = vec![false; self.to.len()];
        for arc in 0..self.case.arcs.len() {
            let edge = self.edge(arc);
            settled[edge] = true;
            settled[edge ^ 1] = true;
            if !self.is_free(edge) {
                continue;
            }
            while let Some(mut cycle) = self.way_back(edge, &settled, &free, work) {
                cycle.push(edge);
                self.push(&cycle, u32::MAX);
            }
            if work.is_spent() {
                return (self, false);
            }
        }
        (self, true)
    }

    /// Of each node, the edges that can lie on a cycle that costs nothing.
    fn free(&self) -> Vec<Vec<usize>> {
        let leave = self.leave.iter();
        let free = leave.map(|edges| edges.iter().copied().filter(|edge| self.beyond(*edge) == 0));
        free.map(Iterator::collect).collect()
    }

    fn is_free(&self, edge: usize) -> bool {
        self.room[edge] > 0 && self.beyond(edge) == 0
    }

    /// A way that costs nothing from the end of an edge to its beginning, past what is settled.
    fn way_back(
        &self,
        edge: usize,
        settled: &[bool],
        free: &[Vec<usize>],
        work: &mut Work,
    ) -> Option<Vec<usize>> {
        let (goal, start) = (self.to[edge ^ 1], self.to[edge]);
        let mut came: Vec<Option<usize>> = vec![None; self.leave.len()];
        let mut waits = VecDeque::from([start]);
        while let Some(node) = waits.pop_front() {
            if node == goal {
                break;
            }
            if !work.spend(steps(free[node].len())) {
                return None;
            }
            for edge in &free[node] {
                let to = self.to[*edge];
                let is_new = to != start && came[to].is_none();
                if is_new && !settled[*edge] && self.room[*edge] > 0 {
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
