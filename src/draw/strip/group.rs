//! Which devices stand on one strip.

use std::collections::BTreeMap;

use super::side;
use crate::draw::net::{End, Schematic, Symbol};
use crate::draw::pass::Side;
use crate::draw::split::{ends, find};
use crate::draw::symbol::figure;

/// Loads on one strip are gathered up to about this height.
const TALL: i32 = 520;

/// Number of the group that holds the sources.
pub(super) const SUPPLY: usize = 0;

/// Is it made to open when too much flows?
pub(super) fn protects(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Fuse | Symbol::FusibleLink | Symbol::Breaker)
}

/// A terminal that takes or gives control only: what hangs on it is not fed by it.
fn controls(schematic: &Schematic, end: End) -> bool {
    let device = &schematic.devices[end.device];
    match device.symbol {
        Symbol::Relay { .. } => matches!(
            device.pins[end.pin].name.as_str(),
            "85" | "86" | "set" | "reset"
        ),
        _ => false,
    }
}

/// The group of each device that a net joins; the supply is the first.
pub(super) fn groups(schematic: &Schematic) -> Vec<Option<usize>> {
    let count = schematic.devices.len();
    let mut joined = vec![false; count];
    // Devices fed by each device, through what carries supply.
    let mut fed_by: Vec<Vec<usize>> = vec![Vec::new(); count];
    for joint in &schematic.joints {
        for end in ends(joint) {
            joined[end.device] = true;
        }
        for from in ends(joint).filter(|end| side(schematic, **end) == Side::East) {
            for to in ends(joint).filter(|end| side(schematic, **end) == Side::West) {
                if !controls(schematic, *to) {
                    fed_by[to.device].push(from.device);
                }
            }
        }
    }

    // Supply: the sources, and whatever stands ahead of a protection.
    let mut supply: Vec<bool> = schematic
        .devices
        .iter()
        .map(|device| {
            matches!(
                device.symbol,
                Symbol::Battery | Symbol::Alternator | Symbol::Charger
            )
        })
        .collect();
    let mut waiting: Vec<usize> = (0..count)
        .filter(|&device| protects(&schematic.devices[device].symbol))
        .collect();
    let mut seen = vec![false; count];
    while let Some(device) = waiting.pop() {
        for &feeder in &fed_by[device] {
            if !seen[feeder] {
                seen[feeder] = true;
                supply[feeder] = true;
                waiting.push(feeder);
            }
        }
    }
    let feed = |device: usize| matches!(schematic.devices[device].symbol, Symbol::Feed(_));
    for (device, supplies) in supply.iter_mut().enumerate() {
        *supplies &= !feed(device);
    }

    let free = |device: usize| !supply[device] && !feed(device);
    let mut root: Vec<usize> = (0..count).collect();
    let join = |root: &mut Vec<usize>, a: usize, b: usize| {
        let (a, b) = (find(root, a), find(root, b));
        root[a.max(b)] = a.min(b);
    };
    let mut control: Vec<(usize, usize)> = Vec::new();
    for joint in &schematic.joints {
        let hub: Vec<usize> = match joint.centre {
            Some(end) => vec![end.device],
            None => joint
                .cables
                .iter()
                .filter(|cable| cable.feeds)
                .map(|cable| cable.own.device)
                .collect(),
        };
        let Some(&centre) = hub.first() else { continue };
        if !free(centre) {
            continue;
        }
        for cable in &joint.cables {
            let other = cable.own.device;
            if !free(other) || other == centre {
                continue;
            }
            let thin = controls(schematic, cable.own)
                || joint.centre.is_some_and(|end| controls(schematic, end));
            if thin {
                control.push((centre, other));
            } else {
                join(&mut root, centre, other);
            }
        }
    }
    // A tag or ground end stays with its device even where that is part of the supply.
    for joint in &schematic.joints {
        let list: Vec<usize> = ends(joint).map(|end| end.device).collect();
        if let [a, b] = list.as_slice() {
            for (small, device) in [(*a, *b), (*b, *a)] {
                if !schematic.devices[small].is_part() {
                    supply[small] = supply[device];
                    if !supply[device] {
                        join(&mut root, small, device);
                    }
                }
            }
        }
    }
    let mut height: BTreeMap<usize, i32> = BTreeMap::new();
    for device in 0..count {
        if !supply[device] && joined[device] {
            let tall = match schematic.devices[device].symbol {
                Symbol::Load(_) | Symbol::Stub | Symbol::Relay { .. } | Symbol::Unit => {
                    figure(&schematic.devices[device]).height + 20
                }
                _ => 0,
            };
            *height.entry(find(&mut root, device)).or_default() += tall;
        }
    }
    for (a, b) in control {
        let (a, b) = (find(&mut root, a), find(&mut root, b));
        let sum = height.get(&a).unwrap_or(&0) + height.get(&b).unwrap_or(&0);
        if a != b && sum <= TALL {
            join(&mut root, a, b);
            height.insert(a.min(b), sum);
        }
    }
    // A feed that serves one circuit stands in its strip.
    for device in 0..count {
        if !feed(device) || !joined[device] {
            continue;
        }
        let mut served: Vec<Option<usize>> = Vec::new();
        for joint in &schematic.joints {
            if ends(joint).any(|end| end.device == device) {
                for end in ends(joint).filter(|end| end.device != device) {
                    served.push(if supply[end.device] || feed(end.device) {
                        None
                    } else {
                        Some(find(&mut root, end.device))
                    });
                }
            }
        }
        served.sort_unstable();
        served.dedup();
        match served.as_slice() {
            [Some(one)] => root[device] = *one,
            _ => supply[device] = true,
        }
    }
    (0..count)
        .map(|device| {
            if !joined[device] {
                None
            } else if supply[device] {
                Some(SUPPLY)
            } else {
                Some(find(&mut root, device) + 1)
            }
        })
        .collect()
}

/// Keeps tags and ground ends with the device that they belong to.
pub fn keep_tags(schematic: &Schematic, group: &mut [Option<usize>]) {
    for joint in &schematic.joints {
        let part = ends(joint)
            .map(|end| end.device)
            .find(|&device| schematic.devices[device].is_part());
        if let Some(part) = part {
            for end in ends(joint) {
                if !schematic.devices[end.device].is_part() {
                    group[end.device] = group[part];
                }
            }
        }
    }
}
