//! What belongs to a group besides what is switched: its fuse, its return; and groups that nothing reaches.

use super::Finder;
use super::Groups;
use super::MANY;
use super::NONE;
use super::ways::Way;
use crate::solve::network::Network;

impl Finder<'_, '_> {
    /// A group that no source can reach, whatever is set, has nothing to explore.
    pub(super) fn bury_the_dead(&self, groups: &mut Groups) {
        let mut alive = vec![false; groups.units.len()];
        for feeder in &groups.feeders {
            alive[feeder.group as usize] = true;
        }
        for (at, way) in self.ways.iter().enumerate() {
            let group = groups.of_element[at];
            if group != NONE && *way == Way::Holds {
                alive[group as usize] = true;
            }
        }
        for (units, alive) in groups.units.iter_mut().zip(alive) {
            if !alive {
                units.clear();
            }
        }
    }

    /// Gives rigid conductors that lead to one group only, such as its fuse and its return, to that group.
    pub(super) fn claim_tails(&self, groups: &mut Groups) {
        let network = self.network;
        let nodes = network.vehicle.terminals.len();
        let mut label = vec![NONE; nodes];
        let merge = |label: &mut u32, other: u32| {
            *label = match (*label, other) {
                (NONE, other) => other,
                (own, NONE) => own,
                (own, other) if own == other => own,
                _ => MANY,
            };
        };
        // A diode between shared points passes their current on.
        let mut passes: Vec<bool> = self.ways.iter().map(|way| *way == Way::Joint).collect();
        for site in network
            .pieces
            .iter()
            .filter(|site| !Network::is_source(site))
        {
            passes[site.element as usize] = true;
        }
        let mut posts = vec![false; nodes];
        let mut near: Vec<Vec<u32>> = vec![Vec::new(); nodes];
        posts[0] = true;
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            let group = groups.of_element[at];
            if group != NONE {
                for node in [a, b] {
                    if self.rigid[node as usize] {
                        merge(&mut label[node as usize], group);
                    }
                }
            } else if *way == Way::Holds {
                posts[a as usize] = true;
                posts[b as usize] = true;
            } else if passes[at] && a != b && self.rigid[a as usize] && self.rigid[b as usize] {
                near[a as usize].push(at as u32);
                near[b as usize].push(at as u32);
            }
        }
        let mut left: Vec<usize> = near.iter().map(Vec::len).collect();
        let mut gone = vec![false; network.ends.len()];
        let mut leaves: Vec<u32> = (0..nodes as u32)
            .filter(|&node| left[node as usize] == 1 && !posts[node as usize])
            .collect();
        while let Some(leaf) = leaves.pop() {
            let Some(&element) = near[leaf as usize]
                .iter()
                .find(|&&element| !gone[element as usize])
            else {
                continue;
            };
            gone[element as usize] = true;
            let (a, b) = network.ends[element as usize];
            let other = if a == leaf { b } else { a };
            let own = label[leaf as usize];
            groups.of_element[element as usize] = own;
            groups.of_node[leaf as usize] = own;
            merge(&mut label[other as usize], own);
            left[other as usize] -= 1;
            if left[other as usize] == 1 && !posts[other as usize] {
                leaves.push(other);
            }
        }
        for (element, gone) in gone.iter().enumerate() {
            let (a, b) = network.ends[element];
            let shared = self.rigid[a as usize] && self.rigid[b as usize];
            if passes[element] && !gone && shared {
                groups.of_element[element] = MANY;
            }
        }
        for (at, way) in self.ways.iter().enumerate() {
            if *way == Way::Holds {
                groups.of_element[at] = MANY;
            }
        }
    }
}
