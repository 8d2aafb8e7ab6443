//! Relays, cutoffs, isolators and powered things brought to rest: solve, let each decide by its voltages, and again.
//!
//! All decide at once, as they do on a vehicle. If that runs in a circle, those that take part in it decide one after the other, in the
//! order of the record, since of two relays that race one wins; if that runs in a circle too, it has no rest: the circle
//! is told as chatter, its parts are held released, and the others go on.

use super::device::Piecewise;
use super::network::{Network, Rule};
use super::newton::Newton;
use super::{Memory, State};
use crate::model::PartId;

/// What came of it.
#[derive(Debug)]
pub(super) struct Rest {
    pub memory: Memory,
    pub chatter: Vec<Vec<PartId>>,
    /// Coils, by element, whose suppression diode was taken out, with what it would have taken.
    pub burnt: Vec<(u32, f64)>,
    pub arrived: bool,
}

/// Brings a state to rest from a memory; the network's solution is left in `newton`.
pub(super) fn bring(
    network: &Network<'_>,
    newton: &mut Newton,
    state: &State,
    memory: &Memory,
) -> Rest {
    newton.draws.clear();
    newton
        .draws
        .extend(network.loads.iter().map(|site| network.draw(site, state)));
    // Only what decides remembers.
    let mut now = Memory(vec![false; network.vehicle.parts.len()]);
    for decider in &network.deciders {
        let part = decider.part.index();
        now.0[part] = memory.0.get(part).copied().unwrap_or(false);
    }
    let mut held: Vec<bool> = vec![false; now.0.len()];
    let mut single: Vec<bool> = held.clone();
    let mut chatter = Vec::new();
    let mut burnt: Vec<(u32, f64)> = Vec::new();
    let mut seen = vec![now.clone()];
    loop {
        let mut arrived = solve(network, newton, state, &now, &burnt);
        while network.burns(newton, &mut burnt) {
            arrived = solve(network, newton, state, &now, &burnt);
        }
        let mut next = now.clone();
        let mut moved_single = false;
        for decider in &network.deciders {
            let part = decider.part.index();
            let wants = wanted(&decider.rule, &newton.volts, now.0[part]);
            if held[part] || wants == now.0[part] || (single[part] && moved_single) {
                continue;
            }
            moved_single |= single[part];
            next.0[part] = wants;
        }
        if next == now {
            newton.correct(network);
            return Rest {
                memory: now,
                chatter,
                burnt,
                arrived,
            };
        }
        let Some(start) = seen.iter().position(|memory| *memory == next) else {
            seen.push(next.clone());
            now = next;
            continue;
        };
        let circle: Vec<PartId> = network
            .deciders
            .iter()
            .map(|decider| decider.part)
            .filter(|part| {
                let at = part.index();
                seen[start..]
                    .iter()
                    .any(|memory| memory.0[at] != next.0[at])
            })
            .collect();
        if circle.iter().all(|part| single[part.index()]) {
            for part in &circle {
                held[part.index()] = true;
                next.0[part.index()] = false;
            }
            chatter.push(circle);
        } else {
            for part in &circle {
                single[part.index()] = true;
            }
        }
        seen.clear();
        seen.push(next.clone());
        now = next;
    }
}

/// Solves the network with everything as remembered.
fn solve(
    network: &Network<'_>,
    newton: &mut Newton,
    state: &State,
    memory: &Memory,
    burnt: &[(u32, f64)],
) -> bool {
    newton.straight.clone_from(&network.base);
    newton.conductances.clear();
    newton.conductances.resize(network.ends.len(), 0.0);
    for &(element, conductance) in &network.fixed {
        newton.conductances[element as usize] = conductance;
    }
    for contact in &network.contacts {
        if network.closed(contact.control, state, memory) {
            let element = contact.element as usize;
            newton.conductances[element] = contact.conductance;
            newton.straight[network.slots[element] as usize] += contact.conductance;
        }
    }
    newton.pieces.clear();
    let pieces = network.pieces.iter();
    newton
        .pieces
        .extend(pieces.map(|site| network.piece(site, state, memory)));
    for diode in &network.suppressors {
        if burnt.iter().any(|&(coil, _)| coil == diode.coil) {
            newton.pieces[diode.piece as usize] = Piecewise::GONE;
        }
    }
    newton.solve(network)
}

/// Whether it wants to be in, given whether it is.
fn wanted(rule: &Rule, volts: &[f64], is_in: bool) -> bool {
    let across = |(from, to): (u32, u32)| volts[from as usize] - volts[to as usize];
    match rule {
        Rule::Coil {
            ends,
            pull_in,
            drop_out,
        } => {
            let held = across(*ends).abs();
            held >= if is_in { *drop_out } else { *pull_in }
        }
        Rule::Latch { set, reset } => {
            let acts = |pulls: &[super::network::Pull]| {
                pulls
                    .iter()
                    .any(|pull| across(pull.ends).abs() >= pull.pull_in)
            };
            match (acts(set), acts(reset)) {
                (true, false) => true,
                (false, true) => false,
                _ => is_in,
            }
        }
        Rule::Level {
            points,
            rises,
            falls,
        } => {
            let highest = points
                .iter()
                .map(|&ends| across(ends))
                .fold(f64::NEG_INFINITY, f64::max);
            highest >= if is_in { *falls } else { *rises }
        }
    }
}
