//! Parts that nothing can move any more in this setting of key and disconnects.

use super::Finder;
use super::ways::Way;
use crate::solve::LIVE;
use crate::solve::network::Rule;
use crate::solve::sets::Sets;

impl Finder<'_, '_> {
    /// A relay whose coil no voltage can reach, whatever is set, stays as it is: so the switches behind a feed that is dead
    /// in this position of the key do not make one group through the relays that they would move. Says whether any was
    /// found.
    pub(super) fn settle_the_unreachable(&mut self) -> bool {
        let network = self.network;
        let vehicle = network.vehicle;
        let mut movable = vec![true; vehicle.parts.len()];
        let mut coils: Vec<(usize, Vec<u32>)> = Vec::new();
        for decider in &network.deciders {
            let part = decider.part.index();
            let nodes: Vec<u32> = match &decider.rule {
                _ if self.settled[part] => continue,
                Rule::Coil { ends, .. } => vec![ends.0, ends.1],
                Rule::Latch { set, reset } => {
                    let pulls = set.iter().chain(reset);
                    pulls.flat_map(|pull| [pull.ends.0, pull.ends.1]).collect()
                }
                Rule::Level { .. } => continue,
            };
            movable[part] = false;
            coils.push((part, nodes));
        }
        if coils.is_empty() {
            return false;
        }
        let mut closed = vec![false; network.ends.len()];
        for contact in &network.contacts {
            let now = network.closed(contact.control, self.state, &self.seen.memory);
            closed[contact.element as usize] = now;
        }
        let mut sets = Sets::new(vehicle.terminals.len());
        let mut waiting: Vec<(usize, u32, u32)> = Vec::new();
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            // What is joined by the chassis alone feeds nothing.
            if a == 0 || b == 0 {
                continue;
            }
            match *way {
                Way::Open | Way::Holds => {}
                Way::Part(part) if !movable[part as usize] && !closed[at] => {
                    waiting.push((part as usize, a, b));
                }
                _ => {
                    sets.join(a, b);
                }
            }
        }
        let mut sources: Vec<u32> = (1..vehicle.terminals.len() as u32)
            .filter(|&node| {
                self.rigid[node as usize] && self.seen.volts[node as usize].0.abs() > LIVE
            })
            .collect();
        for (&(a, b), way) in network.ends.iter().zip(&self.ways) {
            if *way == Way::Holds {
                sources.extend([a, b].into_iter().filter(|&node| node != 0));
            }
        }
        // Each round lets the relays move whose coils can be reached; what they close may reach further coils.
        loop {
            let mut live = vec![false; vehicle.terminals.len()];
            for &source in &sources {
                live[sets.lead(source) as usize] = true;
            }
            let mut more = false;
            for (part, nodes) in &coils {
                let reached = nodes
                    .iter()
                    .any(|&node| node != 0 && live[sets.lead(node) as usize]);
                if reached && !movable[*part] {
                    movable[*part] = true;
                    more = true;
                }
            }
            if !more {
                break;
            }
            for &(part, a, b) in &waiting {
                if movable[part] {
                    sets.join(a, b);
                }
            }
        }
        let mut found = false;
        for (part, _) in coils {
            if !movable[part] {
                self.settled[part] = true;
                found = true;
            }
        }
        found
    }
}
