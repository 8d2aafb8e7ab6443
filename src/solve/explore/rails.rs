//! Which consumers draw although a conductor joins one of their terminals to nothing.

use crate::model::element::CoilRole;
use crate::model::{Element, TerminalId, Vehicle};
use crate::solve::Solution;

/// Less current than this through another consumer does no harm, in ampere, unless it holds a relay.
const HARMLESS: f64 = 0.010;

/// What is joined to sources and the chassis whatever is switched, found once; the rest anew for each solution.
pub(super) struct Rails {
    /// By terminal: the lead of what fixed conductors join it to.
    fixed: Vec<u32>,
    /// Conductors that open and close: branch and the leads at its ends.
    moving: Vec<(u32, u32, u32)>,
    /// Sources: branch and the leads at its ends; a battery always counts.
    sources: Vec<(u32, u32, u32, bool)>,
    /// Loads, coils and inputs of converters: branch, terminals, and the current that counts.
    consumers: Vec<(u32, u32, u32, f64)>,
    leads: Vec<u32>,
    rail: Vec<bool>,
    found: Vec<(u32, u32)>,
}

fn lead(leads: &mut [u32], mut at: u32) -> u32 {
    while leads[at as usize] != at {
        let next = leads[leads[at as usize] as usize];
        leads[at as usize] = next;
        at = next;
    }
    at
}

fn join(leads: &mut [u32], a: u32, b: u32) {
    let (a, b) = (lead(leads, a), lead(leads, b));
    leads[a.max(b) as usize] = a.min(b);
}

impl Rails {
    pub(super) fn new(vehicle: &Vehicle) -> Self {
        let terminals = vehicle.terminals.len();
        let mut leads: Vec<u32> = (0..terminals as u32).collect();
        for wire in &vehicle.wires {
            join(&mut leads, wire.from.0, wire.to.0);
        }
        for branch in &vehicle.branches {
            if matches!(branch.element, Element::Joint(_)) {
                join(&mut leads, branch.from.0, branch.to.0);
            }
        }
        let fixed: Vec<u32> = (0..terminals as u32)
            .map(|at| lead(&mut leads, at))
            .collect();
        let mut rails = Self {
            moving: Vec::new(),
            sources: Vec::new(),
            consumers: Vec::new(),
            leads: Vec::new(),
            rail: Vec::new(),
            found: Vec::new(),
            fixed,
        };
        for (at, branch) in vehicle.branches.iter().enumerate() {
            let at = at as u32;
            let of = |terminal: TerminalId| rails.fixed[terminal.index()];
            let ends = (of(branch.from), of(branch.to));
            match &branch.element {
                Element::Contact { .. } | Element::Diode { .. } => {
                    rails.moving.push((at, ends.0, ends.1));
                }
                Element::Cell { .. } => rails.sources.push((at, ends.0, ends.1, true)),
                Element::Alternator { .. } | Element::Charger { .. } => {
                    rails.sources.push((at, ends.0, ends.1, false));
                }
                Element::Converter { back, .. } => {
                    rails.sources.push((at, of(*back), ends.1, false));
                }
                Element::Load(_) => {
                    let terminals = (branch.from.0, branch.to.0);
                    rails
                        .consumers
                        .push((at, terminals.0, terminals.1, HARMLESS));
                }
                Element::Coil {
                    ohms,
                    drop_out,
                    pull_in,
                    role,
                    ..
                } => {
                    let acts = if *role == CoilRole::Hold {
                        drop_out
                    } else {
                        pull_in
                    };
                    let holds = acts.likely.0 / ohms.likely.0;
                    let counts = if holds > 0.0 {
                        holds.min(HARMLESS)
                    } else {
                        HARMLESS
                    };
                    rails
                        .consumers
                        .push((at, branch.from.0, branch.to.0, counts));
                }
                Element::Joint(_) => {}
            }
        }
        rails
    }

    /// Consumers that draw with a terminal joined to nothing, and that terminal; both where both are.
    pub(super) fn adrift(&mut self, solution: &Solution) -> &[(u32, u32)] {
        self.found.clear();
        self.leads.clear();
        self.leads.extend(0..self.fixed.len() as u32);
        for &(branch, a, b) in &self.moving {
            if solution.closed[branch as usize] {
                join(&mut self.leads, a, b);
            }
        }
        self.rail.clear();
        self.rail.resize(self.fixed.len(), false);
        let chassis = lead(&mut self.leads, self.fixed[TerminalId::CHASSIS.index()]);
        self.rail[chassis as usize] = true;
        for &(branch, a, b, always) in &self.sources {
            if always || solution.closed[branch as usize] {
                for end in [a, b] {
                    let end = lead(&mut self.leads, end);
                    self.rail[end as usize] = true;
                }
            }
        }
        for &(branch, from, to, counts) in &self.consumers {
            if solution.branch_amps[branch as usize].0.abs() <= counts {
                continue;
            }
            for terminal in [from, to] {
                let of = lead(&mut self.leads, self.fixed[terminal as usize]);
                if !self.rail[of as usize] {
                    self.found.push((branch, terminal));
                }
            }
        }
        &self.found
    }

    /// Whether conductors join a terminal to a source or to the chassis in the solution that was looked at last.
    pub(super) fn joins(&self, terminal: u32) -> bool {
        let mut at = self.fixed[terminal as usize];
        while self.leads[at as usize] != at {
            at = self.leads[at as usize];
        }
        self.rail[at as usize]
    }
}
