//! Linear networks by star-mesh elimination: node after node is taken out as it is done on paper for resistors.
//!
//! To remove node `k` with conductances `g_j` to its neighbours, `g_0` to the chassis, injected current `i` and
//! `s = g_0 + Σ g_j`: each pair of neighbours gains `g_a g_b / s`, each neighbour gains `g_a g_0 / s` to the chassis and
//! `i g_a / s` of current; going back, `v_k = (i + Σ g_j v_j) / s`. Between conductances that are not negative nothing is
//! ever subtracted, so that micro-ohm joints beside mega-ohm leaks cost no digits. It is the LDLᵀ decomposition of the
//! conductance matrix in an order of least degree; the network is passive about its working point exactly when every
//! `s` is positive. An `s` of nothing is an island: its last node is taken as 0 V.
//!
//! What a node gave to others is kept, and each conductance is summed up anew from what was given to it, always in the same
//! order: so where a few conductances change, only the nodes removed after those have to be removed again, and the numbers
//! are to the last digit those of a removal of all. Voltages are found of the nodes on which the laws hang; those of the
//! others once, at the end.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// The order in which nodes are removed, and where each product goes; kept for all states of a vehicle.
///
/// Node 0 is the chassis. Slot `n` is the conductance from node `n` to the chassis (slot 0 is never used); further slots
/// are those between two nodes, in the order of the steps whose node they leave by.
pub(super) struct Elimination {
    nodes: usize,
    slots: usize,
    steps: Vec<Step>,
    /// Neighbours of each step's node; the slot between them is `nodes` and the index in this list.
    near: Vec<u32>,
    /// By node: the step that removes it.
    step_of: Vec<u32>,
    /// By slot: the step whose node it belongs to.
    owner: Vec<u32>,
    /// What each slot is given, in the order of the steps: those of slot n are `given[first[n]..first[n + 1]]`.
    first: Vec<u32>,
    given: Vec<u32>,
    /// By gift: the step whose node has the slot.
    to: Vec<u32>,
    /// Steps whose voltages are found in every solution, and the others; last first.
    asked: Vec<u32>,
    others: Vec<u32>,
}

#[derive(Clone, Copy)]
struct Step {
    node: u32,
    first: u32,
    last: u32,
    /// What it gives: first to the chassis conductance of each neighbour, then to that between each pair of them.
    gifts: u32,
}

impl Step {
    fn near(&self) -> std::ops::Range<usize> {
        self.first as usize..self.last as usize
    }
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
    /// The conductances that everything below belongs to.
    taken: Vec<f64>,
    /// Of each neighbour in its step: conductance as the node is removed, and its share of the sum.
    left: Vec<f64>,
    shares: Vec<f64>,
    /// By step.
    sums: Vec<f64>,
    gifts: Vec<f64>,
    passive: Vec<bool>,
    /// How many steps are not passive.
    active: usize,
    /// One bit a step: to be done again.
    stale: Vec<u64>,
}

impl Elimination {
    /// Finds an order for a network of `nodes` nodes, node 0 included; gives the slot of each edge. `asked` are nodes whose
    /// voltages are found in every solution.
    pub(super) fn new(nodes: usize, edges: &[(u32, u32)], asked: &[u32]) -> (Self, Vec<u32>) {
        // Of each node that is still there: its neighbours with the slot between them, by number.
        let mut near: Vec<Vec<(u32, u32)>> = vec![Vec::new(); nodes];
        let mut slots = nodes as u32;
        let mut join = |near: &mut [Vec<(u32, u32)>], a: u32, b: u32| match at(&near[a as usize], b)
        {
            Ok(known) => near[a as usize][known].1,
            Err(free) => {
                let slot = slots;
                slots += 1;
                near[a as usize].insert(free, (b, slot));
                let (Ok(free) | Err(free)) = at(&near[b as usize], a);
                near[b as usize].insert(free, (a, slot));
                slot
            }
        };
        let mut of_edges: Vec<u32> = edges
            .iter()
            .map(|&(a, b)| match (a, b) {
                _ if a == b => 0,
                (0, other) | (other, 0) => other,
                _ => join(&mut near, a, b),
            })
            .collect();
        // Least degree first, then by number; an entry that is no longer true is passed over.
        let turn = |near: &[Vec<(u32, u32)>], node: u32| Reverse((near[node as usize].len(), node));
        let mut waiting: BinaryHeap<Reverse<(usize, u32)>> =
            (1..nodes as u32).map(|node| turn(&near, node)).collect();
        let mut gone = vec![false; nodes];
        let mut this = Self {
            nodes,
            slots: 0,
            steps: Vec::with_capacity(nodes),
            near: Vec::with_capacity(2 * nodes),
            step_of: vec![0; nodes],
            owner: Vec::new(),
            first: Vec::new(),
            given: Vec::new(),
            to: Vec::new(),
            asked: Vec::new(),
            others: Vec::new(),
        };
        // Slots as they were come upon, in the order in which they belong to steps.
        let mut met: Vec<u32> = Vec::with_capacity(2 * nodes);
        let mut gains: Vec<u32> = Vec::with_capacity(4 * nodes);
        while let Some(Reverse((degree, node))) = waiting.pop() {
            if gone[node as usize] || degree != near[node as usize].len() {
                continue;
            }
            gone[node as usize] = true;
            let own = std::mem::take(&mut near[node as usize]);
            let first = this.near.len();
            this.near.extend(own.iter().map(|&(other, _)| other));
            met.extend(own.iter().map(|&(_, slot)| slot));
            let list = &this.near[first..];
            let gifts = gains.len() as u32;
            for &a in list {
                if let Ok(known) = at(&near[a as usize], node) {
                    near[a as usize].remove(known);
                }
            }
            gains.extend(list);
            for (number, &a) in list.iter().enumerate() {
                for &b in &list[number + 1..] {
                    gains.push(join(&mut near, a, b));
                }
            }
            for &a in list {
                waiting.push(turn(&near, a));
            }
            this.step_of[node as usize] = this.steps.len() as u32;
            this.steps.push(Step {
                node,
                first: first as u32,
                last: this.near.len() as u32,
                gifts,
            });
        }
        this.slots = nodes + met.len();
        let mut named = vec![0; slots as usize];
        for (node, named) in named.iter_mut().take(nodes).enumerate() {
            *named = node as u32;
        }
        for (at, &slot) in met.iter().enumerate() {
            named[slot as usize] = (nodes + at) as u32;
        }
        for slot in of_edges.iter_mut().chain(&mut gains) {
            *slot = named[*slot as usize];
        }
        this.hand_out(&gains);
        this.ask(asked);
        (this, of_edges)
    }

    /// Notes which slot each gift goes to, and whose it is.
    fn hand_out(&mut self, gains: &[u32]) {
        self.owner = vec![0; self.slots];
        for (at, step) in self.steps.iter().enumerate() {
            self.owner[step.node as usize] = at as u32;
            for near in step.near() {
                self.owner[self.nodes + near] = at as u32;
            }
        }
        self.first = vec![0; self.slots + 1];
        for &slot in gains {
            self.first[slot as usize + 1] += 1;
        }
        for slot in 0..self.slots {
            self.first[slot + 1] += self.first[slot];
        }
        let owner = &self.owner;
        self.to = gains.iter().map(|&slot| owner[slot as usize]).collect();
        let mut next = self.first.clone();
        self.given = vec![0; gains.len()];
        for (gift, &slot) in gains.iter().enumerate() {
            let at = &mut next[slot as usize];
            self.given[*at as usize] = gift as u32;
            *at += 1;
        }
    }

    /// The nodes asked for, and those that their voltages hang on.
    fn ask(&mut self, nodes: &[u32]) {
        let mut asked = vec![false; self.steps.len()];
        for &node in nodes.iter().filter(|&&node| node != 0) {
            asked[self.step_of[node as usize] as usize] = true;
        }
        for at in 0..self.steps.len() {
            if asked[at] {
                for near in self.steps[at].near() {
                    asked[self.step_of[self.near[near] as usize] as usize] = true;
                }
            }
        }
        let all = (0..self.steps.len() as u32).rev();
        (self.asked, self.others) = all.partition(|&at| asked[at as usize]);
    }

    /// Nodes whose voltages each solution finds.
    pub(super) fn asked(&self) -> impl Iterator<Item = usize> {
        self.asked
            .iter()
            .map(|&at| self.steps[at as usize].node as usize)
    }

    /// How many slots there are.
    pub(super) const fn slots(&self) -> usize {
        self.slots
    }

    /// Makes room for this network's numbers.
    pub(super) fn fit(&self, numbers: &mut Numbers) {
        let steps = self.steps.len();
        numbers.conductance.resize(self.slots, 0.0);
        numbers.current.resize(self.nodes, 0.0);
        numbers.volts.resize(self.nodes, 0.0);
        if numbers.taken.len() == self.slots && numbers.gifts.len() == self.to.len() {
            return;
        }
        numbers.taken = vec![0.0; self.slots];
        numbers.left = vec![0.0; self.near.len()];
        numbers.shares = vec![0.0; self.near.len()];
        numbers.sums = vec![0.0; steps];
        numbers.gifts = vec![0.0; self.to.len()];
        numbers.passive = vec![true; steps];
        numbers.active = 0;
        numbers.stale = vec![0; steps.div_ceil(64)];
        (0..steps as u32).for_each(|step| mark(&mut numbers.stale, step));
    }

    /// Solves for the voltages asked for, with currents into the nodes asked for alone, which are used up. Gives whether the
    /// network is passive: every sum positive, or nothing at all.
    pub(super) fn solve(&self, numbers: &mut Numbers) -> bool {
        self.remove(numbers);
        self.gather(numbers, self.asked.iter().rev().map(|&at| at as usize));
        let Numbers {
            current,
            volts,
            left,
            sums,
            ..
        } = numbers;
        if let Some(chassis) = volts.first_mut() {
            *chassis = 0.0;
        }
        self.go_back(&self.asked, current, left, sums, volts);
        numbers.active == 0
    }

    /// Solves for all voltages with currents into all nodes.
    pub(super) fn solve_all(&self, numbers: &mut Numbers) {
        self.remove(numbers);
        self.gather(numbers, 0..self.steps.len());
        let mut volts = std::mem::take(&mut numbers.volts);
        if let Some(chassis) = volts.first_mut() {
            *chassis = 0.0;
        }
        for steps in [&self.asked, &self.others] {
            self.go_back(
                steps,
                &numbers.current,
                &numbers.left,
                &numbers.sums,
                &mut volts,
            );
        }
        numbers.volts = volts;
    }

    /// The voltages that [`Elimination::solve`] left out in its last solution, for which `volts` has the others.
    pub(super) fn complete(&self, numbers: &Numbers, volts: &mut [f64]) {
        self.go_back(
            &self.others,
            &numbers.current,
            &numbers.left,
            &numbers.sums,
            volts,
        );
    }

    /// Removes again every node that a changed conductance reaches.
    fn remove(&self, numbers: &mut Numbers) {
        let Numbers {
            conductance,
            taken,
            left,
            shares,
            sums,
            gifts,
            passive,
            active,
            stale,
            ..
        } = numbers;
        let pieces = conductance.chunks(8).zip(taken.chunks_mut(8)).enumerate();
        for (at, (now, taken)) in pieces {
            let differs = now
                .iter()
                .zip(taken.iter())
                .fold(0, |all, (a, b)| all | (a.to_bits() ^ b.to_bits()));
            if differs == 0 {
                continue;
            }
            for (near, (now, taken)) in now.iter().zip(taken).enumerate() {
                if now.to_bits() != taken.to_bits() {
                    *taken = *now;
                    mark(stale, self.owner[8 * at + near]);
                }
            }
        }
        for word in 0..stale.len() {
            while stale[word] != 0 {
                let bit = stale[word].trailing_zeros();
                stale[word] &= stale[word] - 1;
                let at = 64 * word + bit as usize;
                let step = self.steps[at];
                let sum_up = |slot: usize, gifts: &[f64]| {
                    let range = self.first[slot] as usize..self.first[slot + 1] as usize;
                    let given = self.given[range].iter();
                    given.fold(taken[slot], |all, &gift| all + gifts[gift as usize])
                };
                let ground = sum_up(step.node as usize, gifts);
                let near = step.near();
                for (own, slot) in left[near.clone()].iter_mut().zip(self.nodes + near.start..) {
                    *own = sum_up(slot, gifts);
                }
                let left = &left[near.clone()];
                let shares = &mut shares[near];
                let sum = ground + left.iter().sum::<f64>();
                sums[at] = sum;
                let is_passive = if sum == 0.0 {
                    // An island's last node; whatever it has left cancels out.
                    ground == 0.0 && left.iter().all(|&conductance| conductance == 0.0)
                } else {
                    sum > 0.0
                };
                if is_passive != std::mem::replace(&mut passive[at], is_passive) {
                    if is_passive {
                        *active -= 1;
                    } else {
                        *active += 1;
                    }
                }
                let mut give = |gift: usize, share: f64, of: f64| {
                    // Through what is open nothing is given, not even of what is beyond all numbers.
                    let gives = if share == 0.0 { 0.0 } else { share * of };
                    if gives.to_bits() != gifts[gift].to_bits() {
                        gifts[gift] = gives;
                        mark(stale, self.to[gift]);
                    }
                };
                let mut gift = step.gifts as usize + left.len();
                for (near, (share, &conductance)) in shares.iter_mut().zip(left).enumerate() {
                    *share = if sum == 0.0 { 0.0 } else { conductance / sum };
                    give(step.gifts as usize + near, *share, ground);
                    for &other in &left[near + 1..] {
                        give(gift, *share, other);
                        gift += 1;
                    }
                }
            }
        }
    }

    /// Brings the currents of each node to those removed after it.
    fn gather(&self, numbers: &mut Numbers, steps: impl Iterator<Item = usize>) {
        for step in steps.map(|at| self.steps[at]) {
            let injected = numbers.current[step.node as usize];
            if injected == 0.0 {
                continue;
            }
            let list = &self.near[step.near()];
            for (&node, share) in list.iter().zip(&numbers.shares[step.near()]) {
                numbers.current[node as usize] += share * injected;
            }
        }
    }

    fn go_back(
        &self,
        steps: &[u32],
        current: &[f64],
        left: &[f64],
        sums: &[f64],
        volts: &mut [f64],
    ) {
        for &at in steps {
            let step = self.steps[at as usize];
            let sum = sums[at as usize];
            let node = step.node as usize;
            if sum == 0.0 {
                volts[node] = 0.0;
                continue;
            }
            let near = self.near[step.near()].iter().zip(&left[step.near()]);
            let pulled: f64 = near
                .map(|(&node, conductance)| conductance * volts[node as usize])
                .sum();
            volts[node] = (current[node] + pulled) / sum;
        }
    }
}

/// Where a neighbour stands in a list, or would.
fn at(near: &[(u32, u32)], node: u32) -> Result<usize, usize> {
    near.binary_search_by_key(&node, |&(other, _)| other)
}

fn mark(stale: &mut [u64], step: u32) {
    if let Some(word) = stale.get_mut(step as usize / 64) {
        *word |= 1 << (step % 64);
    }
}

#[cfg(test)]
mod tests;
