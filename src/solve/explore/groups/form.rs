//! What can influence one another falls together.

use std::collections::BTreeMap;

use super::Feeder;
use super::Finder;
use super::Groups;
use super::NONE;
use super::Unit;
use super::ways::Way;
use crate::model::Control;
use crate::solve::LIVE;
use crate::solve::network::Rule;
use crate::solve::sets::Sets;

impl Finder<'_, '_> {
    pub(super) fn group(&self) -> Groups {
        let network = self.network;
        let vehicle = network.vehicle;
        let nodes = vehicle.terminals.len() as u32;
        let switches = vehicle.switches.len() as u32;
        let parts = vehicle.parts.len() as u32;
        let of_unit = |unit: u32| nodes + unit;
        let of_part = |part: u32| nodes + switches + part;
        let of_mode = |part: u32| nodes + switches + parts + part;
        let mut sets = Sets::new((nodes + switches + 2 * parts) as usize);
        let loose = |node: u32| !self.rigid[node as usize];
        for (&(a, b), way) in network.ends.iter().zip(&self.ways) {
            if *way != Way::Open && loose(a) && loose(b) {
                sets.join(a, b);
            }
        }
        let mut used = vec![false; sets.leads.len()];
        let mut touch = |sets: &mut Sets, item: u32, (a, b): (u32, u32)| {
            used[item as usize] = true;
            let mut again = false;
            for node in [a, b] {
                if loose(node) {
                    again |= !sets.join(item, node);
                }
            }
            again
        };
        for (&ends, way) in network.ends.iter().zip(&self.ways) {
            if let Way::Unit(unit) = *way {
                touch(&mut sets, of_unit(unit), ends);
            }
        }
        for site in &network.loads {
            if site.load.is_some_and(|load| !load.modes.is_empty()) {
                let ends = network.ends[site.element as usize];
                touch(&mut sets, of_mode(site.part.0), ends);
            }
        }
        // A part that joins what is joined already may hold itself in.
        let mut holding = Vec::new();
        for decider in &network.deciders {
            if self.settled[decider.part.index()] {
                continue;
            }
            let item = of_part(decider.part.0);
            let sensed: Vec<(u32, u32)> = match &decider.rule {
                Rule::Coil { ends, .. } => vec![*ends],
                Rule::Latch { set, reset } => {
                    holding.push(item);
                    set.iter().chain(reset).map(|pull| pull.ends).collect()
                }
                Rule::Level {
                    points,
                    rises,
                    falls,
                } => {
                    if rises > falls {
                        holding.push(item);
                    }
                    points.clone()
                }
            };
            for ends in sensed {
                touch(&mut sets, item, ends);
            }
        }
        for (&ends, way) in network.ends.iter().zip(&self.ways) {
            if let Way::Part(part) = *way
                && touch(&mut sets, of_part(part), ends)
            {
                holding.push(of_part(part));
            }
        }
        // An output of a part that also has a unit joins the two.
        for contact in &network.contacts {
            if let Control::Output {
                part,
                unit: Some(unit),
                ..
            } = contact.control
                && matches!(self.ways[contact.element as usize], Way::Part(_))
            {
                used[of_unit(*unit) as usize] = true;
                sets.join(of_part(part.0), of_unit(*unit));
            }
        }
        let mut numbers: BTreeMap<u32, u32> = BTreeMap::new();
        let mut units: Vec<Vec<Unit>> = Vec::new();
        let mut number = |sets: &mut Sets, units: &mut Vec<Vec<Unit>>, item: u32| {
            let lead = sets.lead(item);
            *numbers.entry(lead).or_insert_with(|| {
                units.push(Vec::new());
                units.len() as u32 - 1
            })
        };
        for unit in (0..switches).filter(|&unit| used[of_unit(unit) as usize]) {
            let group = number(&mut sets, &mut units, of_unit(unit));
            units[group as usize].push(Unit::Switch(unit));
        }
        for part in (0..parts).filter(|&part| used[of_mode(part) as usize]) {
            let group = number(&mut sets, &mut units, of_mode(part));
            units[group as usize].push(Unit::Mode(part));
        }
        let of_node: Vec<u32> = (0..nodes)
            .map(|node| {
                if loose(node) {
                    number(&mut sets, &mut units, node)
                } else {
                    NONE
                }
            })
            .collect();
        let mut of_element = vec![NONE; network.ends.len()];
        let mut feeders = Vec::new();
        // A load with modes belongs to them, even where it hangs on rigid points alone.
        let mut moded = vec![None; network.ends.len()];
        for site in &network.loads {
            if used[of_mode(site.part.0) as usize] && site.load.is_some() {
                moded[site.element as usize] = Some(of_mode(site.part.0));
            }
        }
        for (at, (&(a, b), way)) in network.ends.iter().zip(&self.ways).enumerate() {
            let item = match *way {
                Way::Unit(unit) => Some(of_unit(unit)),
                Way::Part(part) => Some(of_part(part)),
                _ => moded[at],
            };
            let group = match item {
                Some(item) => number(&mut sets, &mut units, item),
                None if loose(a) => of_node[a as usize],
                None => of_node[b as usize],
            };
            of_element[at] = group;
            if group == NONE || *way == Way::Open {
                continue;
            }
            let live = |node: u32| !loose(node) && self.seen.volts[node as usize].0.abs() > LIVE;
            let ends = [(a, 1.0), (b, -1.0)];
            for (point, sign) in ends.into_iter().filter(|&(point, _)| live(point)) {
                feeders.push(Feeder {
                    group,
                    element: at as u32,
                    point,
                    sign,
                });
            }
        }
        let mut decides = vec![NONE; parts as usize];
        for decider in &network.deciders {
            let part = decider.part.index();
            if !self.settled[part] {
                decides[part] = number(&mut sets, &mut units, of_part(decider.part.0));
            }
        }
        let holding: Vec<u32> = holding
            .into_iter()
            .map(|item| number(&mut sets, &mut units, item))
            .collect();
        let mut holds = vec![false; units.len()];
        for group in holding {
            holds[group as usize] = true;
        }
        let mut groups = Groups {
            of_element,
            of_node,
            of_part: decides,
            units,
            feeders,
            holds,
        };
        self.bury_the_dead(&mut groups);
        self.claim_tails(&mut groups);
        groups
    }
}
