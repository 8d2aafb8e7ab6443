//! Linear networks by star-mesh elimination: node after node is taken out as it is done on paper for resistors.
//!
//! To remove node `k` with conductances `g_j` to its neighbours, `g_0` to the chassis, injected current `i` and
//! `s = g_0 + Σ g_j`: each pair of neighbours gains `g_a g_b / s`, each neighbour gains `g_a g_0 / s` to the chassis and
//! `i g_a / s` of current; going back, `v_k = (i + Σ g_j v_j) / s`. Between conductances that are not negative nothing is
//! ever subtracted, so that micro-ohm joints beside mega-ohm leaks cost no digits. It is the LDLᵀ decomposition of the
//! conductance matrix in an order of least degree; the network is passive about its working point exactly when every
//! `s` is positive. An `s` of nothing is an island: its last node is taken as 0 V.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// The order in which nodes are removed, and where each product goes; kept for all states of a vehicle.
///
/// Node 0 is the chassis. Slot `n` is the conductance from node `n` to the chassis (slot 0 is never used); further slots
/// are those between two nodes.
pub(super) struct Elimination {
    nodes: usize,
    slots: usize,
    steps: Vec<Step>,
    /// Neighbours of each step's node, with the slot between them.
    neighbours: Vec<(u32, u32)>,
    /// For each step and each pair of its neighbours: the slot that gains.
    gains: Vec<u32>,
}

struct Step {
    node: u32,
    first: u32,
    last: u32,
    gains: u32,
}

/// Numbers of one linear network; reused, so that no solution allocates.
#[derive(Default)]
pub(super) struct Numbers {
    /// By slot, in siemens.
    pub conductance: Vec<f64>,
    /// Into each node, in ampere.
    pub current: Vec<f64>,
    /// Of each node after [`Elimination::solve`], in volt.
    pub volts: Vec<f64>,
    sums: Vec<f64>,
}

impl Elimination {
    /// Finds an order for a network of `nodes` nodes, node 0 included; gives the slot of each edge.
    pub(super) fn new(nodes: usize, edges: &[(u32, u32)]) -> (Self, Vec<u32>) {
        let mut near: Vec<BTreeMap<u32, u32>> = vec![BTreeMap::new(); nodes];
        let mut slots = nodes as u32;
        let mut join = |near: &mut Vec<BTreeMap<u32, u32>>, a: u32, b: u32| {
            if let Some(&slot) = near[a as usize].get(&b) {
                return slot;
            }
            let slot = slots;
            slots += 1;
            near[a as usize].insert(b, slot);
            near[b as usize].insert(a, slot);
            slot
        };
        let of_edges = edges
            .iter()
            .map(|&(a, b)| match (a, b) {
                _ if a == b => 0,
                (0, other) | (other, 0) => other,
                _ => join(&mut near, a, b),
            })
            .collect();
        let mut waiting: BTreeSet<(usize, u32)> = (1..nodes as u32)
            .map(|node| (near[node as usize].len(), node))
            .collect();
        let mut this = Self {
            nodes,
            slots: 0,
            steps: Vec::with_capacity(nodes),
            neighbours: Vec::with_capacity(2 * nodes),
            gains: Vec::with_capacity(2 * nodes),
        };
        while let Some((_, node)) = waiting.pop_first() {
            let own = std::mem::take(&mut near[node as usize]);
            let first = this.neighbours.len();
            this.neighbours.extend(own);
            let list = &this.neighbours[first..];
            let gains = this.gains.len() as u32;
            for &(a, _) in list {
                waiting.remove(&(near[a as usize].len(), a));
                near[a as usize].remove(&node);
            }
            for (at, &(a, _)) in list.iter().enumerate() {
                for &(b, _) in &list[at + 1..] {
                    this.gains.push(join(&mut near, a, b));
                }
            }
            for &(a, _) in list {
                waiting.insert((near[a as usize].len(), a));
            }
            this.steps.push(Step {
                node,
                first: first as u32,
                last: this.neighbours.len() as u32,
                gains,
            });
        }
        this.slots = slots as usize;
        (this, of_edges)
    }

    /// How many slots there are.
    pub(super) const fn slots(&self) -> usize {
        self.slots
    }

    /// Makes room for this network's numbers.
    pub(super) fn fit(&self, numbers: &mut Numbers) {
        numbers.conductance.resize(self.slots, 0.0);
        numbers.current.resize(self.nodes, 0.0);
        numbers.volts.resize(self.nodes, 0.0);
        numbers.sums.resize(self.nodes, 0.0);
    }

    /// Solves; conductances and currents are used up. Gives whether the network is passive: every sum positive, or
    /// nothing at all.
    pub(super) fn solve(&self, numbers: &mut Numbers) -> bool {
        let Numbers {
            conductance,
            current,
            volts,
            sums,
        } = numbers;
        let mut passive = true;
        for step in &self.steps {
            let node = step.node as usize;
            let near = &self.neighbours[step.first as usize..step.last as usize];
            let ground = conductance[node];
            let sum = ground
                + near
                    .iter()
                    .map(|&(_, slot)| conductance[slot as usize])
                    .sum::<f64>();
            sums[node] = sum;
            if sum == 0.0 {
                // An island's last node; whatever it has left cancels out.
                passive &= ground == 0.0
                    && near
                        .iter()
                        .all(|&(_, slot)| conductance[slot as usize] == 0.0);
                continue;
            }
            passive &= sum > 0.0;
            let injected = current[node];
            let mut gains = step.gains as usize;
            for (at, &(a, slot)) in near.iter().enumerate() {
                let share = conductance[slot as usize] / sum;
                if share == 0.0 {
                    gains += near.len() - at - 1;
                    continue;
                }
                conductance[a as usize] += share * ground;
                current[a as usize] += share * injected;
                for &(_, other) in &near[at + 1..] {
                    let gain = share * conductance[other as usize];
                    conductance[self.gains[gains] as usize] += gain;
                    gains += 1;
                }
            }
        }
        volts[0] = 0.0;
        for step in self.steps.iter().rev() {
            let node = step.node as usize;
            let sum = sums[node];
            if sum == 0.0 {
                volts[node] = 0.0;
                continue;
            }
            let near = &self.neighbours[step.first as usize..step.last as usize];
            let pulled: f64 = near
                .iter()
                .map(|&(a, slot)| conductance[slot as usize] * volts[a as usize])
                .sum();
            volts[node] = (current[node] + pulled) / sum;
        }
        passive
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::{DMatrix, DVector};

    use super::*;

    /// Random networks against a dense decomposition; plain pseudo-random numbers, so that a failure repeats.
    #[test]
    fn agrees_with_a_dense_decomposition() {
        let mut seed = 7_u64;
        let mut random = move || {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            (seed >> 11) as f64 / (1_u64 << 53) as f64
        };
        for round in 0..60 {
            let nodes = 2 + (random() * 40.0) as usize;
            let mut edges = Vec::new();
            for node in 1..nodes {
                edges.push((node as u32, (random() * node as f64) as u32));
            }
            for _ in 0..round / 4 {
                edges.push((
                    (random() * nodes as f64) as u32,
                    (random() * nodes as f64) as u32,
                ));
            }
            let (elimination, slots) = Elimination::new(nodes, &edges);
            let mut numbers = Numbers::default();
            elimination.fit(&mut numbers);
            let mut dense = DMatrix::<f64>::zeros(nodes, nodes);
            let mut right = DVector::<f64>::zeros(nodes);
            for (&(a, b), &slot) in edges.iter().zip(&slots) {
                if a == b {
                    continue;
                }
                let siemens = 10_f64.powf(random() * 4.0 - 2.0);
                numbers.conductance[slot as usize] += siemens;
                let (a, b) = (a as usize, b as usize);
                dense[(a, a)] += siemens;
                dense[(b, b)] += siemens;
                dense[(a, b)] -= siemens;
                dense[(b, a)] -= siemens;
            }
            for node in 1..nodes {
                let amps = random() * 20.0 - 10.0;
                numbers.current[node] = amps;
                right[node] = amps;
            }
            assert!(elimination.solve(&mut numbers));
            let inner = dense.view((1, 1), (nodes - 1, nodes - 1)).into_owned();
            let wanted = inner
                .lu()
                .solve(&right.rows(1, nodes - 1).into_owned())
                .unwrap();
            let size = wanted.amax().max(1.0);
            for node in 1..nodes {
                assert!((numbers.volts[node] - wanted[node - 1]).abs() < 1e-9 * size);
            }
        }
    }

    #[test]
    fn tiny_beside_huge_costs_no_digits() {
        // 10 V behind 1 ohm, a micro-ohm joint, a mega-ohm leak: exact answer 10 · 1e6 / (1e6 + 1 + 1e-6).
        let edges = [(1, 0), (1, 2), (2, 0)];
        let (elimination, slots) = Elimination::new(3, &edges);
        let mut numbers = Numbers::default();
        elimination.fit(&mut numbers);
        for (slot, siemens) in slots.iter().zip([1.0, 1e6, 1e-6]) {
            numbers.conductance[*slot as usize] += siemens;
        }
        numbers.current[1] = 10.0;
        assert!(elimination.solve(&mut numbers));
        let exact = 10.0 * 1e6 / (1e6 + 1.0 + 1e-6);
        assert!((numbers.volts[2] - exact).abs() < 4e-15 * exact);
    }

    #[test]
    fn a_network_that_gives_power_is_not_passive() {
        let (elimination, slots) = Elimination::new(2, &[(1, 0)]);
        let mut numbers = Numbers::default();
        elimination.fit(&mut numbers);
        numbers.conductance[slots[0] as usize] = -1.0;
        assert!(!elimination.solve(&mut numbers));
    }

    #[test]
    fn an_island_is_at_nothing() {
        let (elimination, slots) = Elimination::new(4, &[(1, 0), (2, 3)]);
        let mut numbers = Numbers::default();
        elimination.fit(&mut numbers);
        numbers.conductance[slots[0] as usize] = 1.0;
        numbers.conductance[slots[1] as usize] = 2.0;
        numbers.current[1] = 3.0;
        assert!(elimination.solve(&mut numbers));
        assert_eq!(numbers.volts, [0.0, 3.0, 0.0, 0.0]);
    }
}
