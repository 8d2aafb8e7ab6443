//! Which currents meet at each point of one solution.

use std::collections::BTreeSet;

use super::MANY;
use super::NONE;
use super::Pass;
use super::amps;
use super::best::NOTHING;
use crate::model::Element;
use crate::model::TerminalId;
use crate::solve::Solution;
use crate::solve::network::Network;

/// Which currents meet at each point of one solution.
pub(super) struct Flow {
    amps: Vec<f64>,
    /// Elements at each node: those of node n are `near[first[n]..first[n + 1]]`.
    first: Vec<u32>,
    near: Vec<u32>,
    seen: Vec<u32>,
    round: u32,
}

impl Flow {
    pub(super) fn new(network: &Network<'_>, solution: &Solution) -> Self {
        let vehicle = network.vehicle;
        let total = vehicle.wires.len() + vehicle.branches.len();
        let nodes = vehicle.terminals.len();
        let amps: Vec<f64> = (0..total)
            .map(|element| amps(vehicle, solution, element))
            .collect();
        let carries = |element: &usize| amps[*element].abs() > NOTHING;
        let mut first = vec![0; nodes + 1];
        for element in (0..total).filter(carries) {
            let (a, b) = network.ends[element];
            first[a as usize + 1] += 1;
            first[b as usize + 1] += 1;
        }
        for node in 0..nodes {
            first[node + 1] += first[node];
        }
        let mut next: Vec<u32> = first.clone();
        let mut near = vec![0; first[nodes] as usize];
        for element in (0..total).filter(carries) {
            let (a, b) = network.ends[element];
            for node in [a, b] {
                let at = &mut next[node as usize];
                near[*at as usize] = element as u32;
                *at += 1;
            }
        }
        Self {
            amps,
            first,
            near,
            seen: vec![0; nodes],
            round: 0,
        }
    }

    /// Groups whose current runs through an element: those met downstream of it, or where there are none, upstream.
    pub(super) fn behind(
        &mut self,
        network: &Network<'_>,
        pass: &Pass,
        element: usize,
    ) -> Vec<u32> {
        let (from, to) = network.ends[element];
        let (tail, head) = if self.amps[element] >= 0.0 {
            (from, to)
        } else {
            (to, from)
        };
        let down = self.met(network, pass, element, head, true);
        if down.is_empty() {
            self.met(network, pass, element, tail, false)
        } else {
            down
        }
    }

    fn met(
        &mut self,
        network: &Network<'_>,
        pass: &Pass,
        element: usize,
        start: u32,
        downstream: bool,
    ) -> Vec<u32> {
        let vehicle = network.vehicle;
        self.round += 1;
        let mut groups = BTreeSet::new();
        let mut waiting = vec![start];
        self.seen[start as usize] = self.round;
        while let Some(node) = waiting.pop() {
            // What comes home by the chassis goes on to the sources; what leaves them by it came from everywhere.
            if node == TerminalId::CHASSIS.0 && (downstream || node != start) {
                continue;
            }
            let range = self.first[node as usize] as usize..self.first[node as usize + 1] as usize;
            for &other in &self.near[range] {
                let branch = (other as usize).checked_sub(vehicle.wires.len());
                let is_source = branch.is_some_and(|branch| {
                    matches!(
                        vehicle.branches[branch].element,
                        Element::Cell { .. } | Element::Alternator { .. } | Element::Charger { .. }
                    )
                });
                let (a, b) = network.ends[other as usize];
                let leaves = (a == node) == (self.amps[other as usize] > 0.0);
                if other as usize == element || is_source || leaves != downstream {
                    continue;
                }
                let group = pass.groups.of_element[other as usize];
                if group != NONE && group != MANY {
                    groups.insert(group);
                    continue;
                }
                let next = if a == node { b } else { a };
                if std::mem::replace(&mut self.seen[next as usize], self.round) != self.round {
                    waiting.push(next);
                }
            }
        }
        groups.into_iter().collect()
    }
}
