//! What a part does in a solved state: works, sleeps, gets too little.

use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Vehicle;
use crate::model::element::CoilRole;

use super::LIVE;
use super::Solution;
use super::Way;

/// What a branch does that does anything.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Does {
    /// It has the voltage that it needs: a load draws, a coil holds, a contact that moves by itself is closed and live.
    Works,
    /// It has a voltage, but less than it needs.
    Weak,
    /// A relay that finds no rest: it pulls in and lets go again and again.
    Chatters,
}

impl Does {
    /// All of them, as they are asked for: what works in some setting is told before what does not.
    pub const ALL: [Self; 3] = [Self::Works, Self::Chatters, Self::Weak];
}

/// What a branch does; nothing for one that is off, and for one that is only a conductor.
#[must_use]
pub fn does(vehicle: &Vehicle, solution: &Solution, id: BranchId) -> Option<Does> {
    let branch = vehicle.branch(id);
    let across = (solution.at(branch.from).0 - solution.at(branch.to).0).abs();
    let is_in = solution.memory.0.get(branch.part.index()) == Some(&true);
    let works = |on: bool| on.then_some(Does::Works);
    match &branch.element {
        Element::Load(load) => {
            if across <= LIVE {
                None
            } else if across >= load.min_voltage.likely.0 {
                Some(Does::Works)
            } else {
                Some(Does::Weak)
            }
        }
        Element::Coil {
            role: CoilRole::Hold,
            ..
        } => {
            let circles = solution.chatter.iter();
            if circles.flatten().any(|&part| part == branch.part) {
                Some(Does::Chatters)
            } else if is_in {
                Some(Does::Works)
            } else {
                (across > LIVE).then_some(Does::Weak)
            }
        }
        // A latching relay is in whether its coil is energised or not.
        Element::Coil { .. } => works(is_in),
        Element::Contact { control, .. } => match control {
            Control::Hot { .. }
            | Control::Delay { .. }
            | Control::Cutoff { .. }
            | Control::Isolator { .. } => {
                works(solution.closed[id.index()] && solution.live[branch.to.index()])
            }
            // One that switches the return has nothing live behind it.
            Control::Output { .. } => works(solution.closed[id.index()]),
            Control::Always
            | Control::Switch { .. }
            | Control::Relay { .. }
            | Control::Attached(_) => None,
        },
        Element::Converter { .. } => works(is_in),
        Element::Alternator { .. } | Element::Charger { .. } => {
            let way = solution.ways.iter().find(|(of, _)| *of == id);
            works(way.is_some_and(|(_, way)| *way != Way::Off))
        }
        Element::Joint(_) | Element::Cell { .. } | Element::Diode { .. } => None,
    }
}
