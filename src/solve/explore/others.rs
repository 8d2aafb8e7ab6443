//! Loads that are off where everything takes most.

use std::collections::BTreeSet;

use super::groups::Groups;
use super::groups::NONE;
use crate::model::Element;
use crate::model::Vehicle;
use crate::solve::Solution;

/// Of each load: its group, and the combination of that group in which it was seen to take most.
pub(super) struct Others {
    loads: Vec<(usize, u32, f64, usize)>,
}

impl Others {
    pub(super) fn new(vehicle: &Vehicle) -> Self {
        let loads = vehicle.branches.iter().enumerate();
        let loads = loads.filter(|(_, branch)| matches!(branch.element, Element::Load(_)));
        Self {
            loads: loads.map(|(at, _)| (at, NONE, 0.0, 0)).collect(),
        }
    }

    pub(super) fn look(
        &mut self,
        vehicle: &Vehicle,
        groups: &Groups,
        solution: &Solution,
        at: &[Option<usize>],
    ) {
        for (branch, own, most, combination) in &mut self.loads {
            let group = groups.of_element[vehicle.wires.len() + *branch];
            let Some(Some(round)) = at.get(group as usize) else {
                continue;
            };
            let amps = solution.branch_amps[*branch].0.abs();
            if amps > *most {
                (*own, *most, *combination) = (group, amps, *round);
            }
        }
    }

    /// Groups, each in a combination in which a load is on that is off in this solution.
    pub(super) fn off_in(
        &self,
        vehicle: &Vehicle,
        solution: &Solution,
        at: &[Option<usize>],
    ) -> BTreeSet<(u32, usize)> {
        let off = self
            .loads
            .iter()
            .filter(|(branch, group, most, combination)| {
                vehicle.own_load != Some(vehicle.branches[*branch].part)
                    && *most > 1e-3
                    && solution.branch_amps[*branch].0.abs() <= 1e-3
                    && at.get(*group as usize) != Some(&Some(*combination))
            });
        off.map(|&(_, group, _, combination)| (group, combination))
            .collect()
    }
}
