//! Which devices stand on one strip.
//!
//! What hangs together by more than wires of control makes a group; then groups are joined over wires of control, in the
//! order of the record, while the strip stays within a height and no wire has to cross another for it.

use std::collections::BTreeMap;

use super::{pieces, side};
use crate::draw::compose::compose;
use crate::draw::net::{End, Joint, Schematic, Symbol};
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

/// Terminals that take control only: what hangs on one is not fed by it.
pub(super) struct Control(Vec<Vec<bool>>);

impl Control {
    /// Coils and inputs; and a diode that leads to nothing else.
    pub(super) fn of(schematic: &Schematic) -> Self {
        let pins =
            |device: &crate::draw::net::Device| device.pins.iter().map(|pin| pin.control).collect();
        let mut control = Self(schematic.devices.iter().map(pins).collect());
        // One diode may lead to another.
        for _ in 0..3 {
            for joint in &schematic.joints {
                let fed: Vec<End> = ends(joint)
                    .filter(|end| side(schematic, **end) == Side::West)
                    .copied()
                    .collect();
                if fed.is_empty() || !fed.iter().all(|end| control.has(*end)) {
                    continue;
                }
                for end in ends(joint).filter(|end| side(schematic, **end) == Side::East) {
                    let device = &schematic.devices[end.device];
                    let diode = matches!(device.symbol, Symbol::Diode { .. });
                    if let Some(pin) = device.pins.iter().position(|pin| pin.side == Side::West)
                        && diode
                    {
                        control.0[end.device][pin] = true;
                    }
                }
            }
        }
        control
    }

    pub(super) fn has(&self, end: End) -> bool {
        self.0[end.device][end.pin]
    }
}

struct Grouping<'s> {
    schematic: &'s Schematic,
    control: Control,
    /// Devices that a net joins.
    joined: Vec<bool>,
    supply: Vec<bool>,
    root: Vec<usize>,
}

/// The group of each device that a net joins; the supply is the first.
pub(super) fn groups(schematic: &Schematic) -> Vec<Option<usize>> {
    let count = schematic.devices.len();
    let mut joined = vec![false; count];
    for end in schematic.joints.iter().flat_map(ends) {
        joined[end.device] = true;
    }
    let control = Control::of(schematic);
    let mut grouping = Grouping {
        schematic,
        supply: supply(schematic, &control),
        control,
        joined,
        root: (0..count).collect(),
    };
    let wires = grouping.join_circuits();
    grouping.join_ends();
    grouping.join_over_control(wires);
    grouping.named()
}

fn is_feed(schematic: &Schematic, device: usize) -> bool {
    matches!(schematic.devices[device].symbol, Symbol::Feed(_))
}

/// The sources, and whatever stands ahead of a protection.
fn supply(schematic: &Schematic, control: &Control) -> Vec<bool> {
    let count = schematic.devices.len();
    // Devices that feed each device, through what carries supply.
    let mut fed_by: Vec<Vec<usize>> = vec![Vec::new(); count];
    for joint in &schematic.joints {
        for from in ends(joint).filter(|end| side(schematic, **end) == Side::East) {
            for to in ends(joint).filter(|end| side(schematic, **end) == Side::West) {
                if !control.has(*to) {
                    fed_by[to.device].push(from.device);
                }
            }
        }
    }
    let source = |symbol: &Symbol| {
        matches!(
            symbol,
            Symbol::Battery | Symbol::Alternator | Symbol::Charger
        )
    };
    let devices = &schematic.devices;
    let mut supply: Vec<bool> = devices.iter().map(|one| source(&one.symbol)).collect();
    let mut waiting: Vec<usize> = (0..count)
        .filter(|&device| protects(&devices[device].symbol))
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
    // A fuse between two sources belongs to neither of the circuits.
    let between = |device: usize| {
        let others = |wanted: Side| -> Vec<usize> {
            let at = |end: &&End| end.device == device && side(schematic, **end) == wanted;
            let joints = schematic.joints.iter();
            joints
                .filter(|joint| ends(joint).any(|end| at(&end)))
                .flat_map(ends)
                .map(|end| end.device)
                .filter(|&other| other != device)
                .collect()
        };
        let held = |side: Side| {
            let others = others(side);
            others.iter().any(|&other| supply[other])
        };
        protects(&devices[device].symbol) && held(Side::West) && held(Side::East)
    };
    let more: Vec<usize> = (0..count).filter(|&device| between(device)).collect();
    for device in more {
        supply[device] = true;
    }
    for (device, supplies) in supply.iter_mut().enumerate() {
        *supplies &= !is_feed(schematic, device);
    }
    supply
}

impl Grouping<'_> {
    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (find(&mut self.root, a), find(&mut self.root, b));
        self.root[a.max(b)] = a.min(b);
    }

    fn free(&self, device: usize) -> bool {
        !self.supply[device] && !is_feed(self.schematic, device)
    }

    /// Joins what is fed by one another; gives the pairs that wires of control join.
    fn join_circuits(&mut self) -> Vec<(usize, usize)> {
        let mut control: Vec<(usize, usize)> = Vec::new();
        let schematic = self.schematic;
        for joint in &schematic.joints {
            let Some(centre) = hub(joint) else { continue };
            if !self.free(centre) {
                continue;
            }
            for cable in &joint.cables {
                let other = cable.own.device;
                if !self.free(other) || other == centre {
                    continue;
                }
                let thin = self.control.has(cable.own)
                    || joint.centre.is_some_and(|end| self.control.has(end));
                if thin {
                    control.push((centre, other));
                } else {
                    self.join(centre, other);
                }
            }
        }
        // A diode belongs to the coil behind it, so its wires come first.
        let diode = |device: usize| {
            let symbol = &schematic.devices[device].symbol;
            matches!(symbol, Symbol::Diode { .. })
        };
        control.sort_by_key(|&(from, _)| !diode(from));
        control
    }

    /// A list of wires stays with its device even where that is part of the supply.
    fn join_ends(&mut self) {
        for joint in &self.schematic.joints {
            let list: Vec<usize> = ends(joint).map(|end| end.device).collect();
            let [a, b] = list.as_slice() else { continue };
            for (small, device) in [(*a, *b), (*b, *a)] {
                if !self.schematic.devices[small].is_part() {
                    self.supply[small] = self.supply[device];
                    if !self.supply[device] {
                        self.join(small, device);
                    }
                }
            }
        }
    }

    fn join_over_control(&mut self, wires: Vec<(usize, usize)>) {
        let mut height: BTreeMap<usize, i32> = BTreeMap::new();
        for device in 0..self.schematic.devices.len() {
            if !self.supply[device] && self.joined[device] {
                let root = find(&mut self.root, device);
                *height.entry(root).or_default() += tall(self.schematic, device);
            }
        }
        let mut crossed: BTreeMap<usize, usize> = BTreeMap::new();
        for (a, b) in wires {
            let (a, b) = (find(&mut self.root, a), find(&mut self.root, b));
            let sum = height.get(&a).unwrap_or(&0) + height.get(&b).unwrap_or(&0);
            if a == b || sum > TALL {
                continue;
            }
            let known = |one: usize| crossed.get(&one).copied();
            let before = [a, b].map(|one| known(one).unwrap_or_else(|| self.crossings(one)));
            let kept = self.root.clone();
            self.join(a, b);
            let after = self.crossings(a.min(b));
            if after > before[0] + before[1] {
                // Better a tag than a crossing.
                self.root = kept;
                crossed.insert(a, before[0]);
                crossed.insert(b, before[1]);
                continue;
            }
            crossed.insert(a.min(b), after);
            height.insert(a.min(b), sum);
        }
    }

    /// How often wires cross when this group is drawn.
    fn crossings(&self, root: usize) -> usize {
        let group = self.named();
        let mut names: Vec<usize> = group.iter().flatten().copied().collect();
        names.sort_unstable();
        names.dedup();
        let drawn = pieces(self.schematic, &group, &names, "");
        names
            .iter()
            .position(|&name| name == root + 1)
            .and_then(|index| drawn.get(index))
            .map_or(0, |piece| compose(piece, None).plan.crossings)
    }

    /// The number of each group; a feed that serves one circuit stands in its strip, else with the supply.
    fn named(&self) -> Vec<Option<usize>> {
        let mut root = self.root.clone();
        let mut supply = self.supply.clone();
        let mut served: BTreeMap<usize, Vec<Option<usize>>> = BTreeMap::new();
        for joint in &self.schematic.joints {
            let feeds = ends(joint).filter(|end| is_feed(self.schematic, end.device));
            for feed in feeds {
                for end in ends(joint).filter(|end| end.device != feed.device) {
                    let other = end.device;
                    let apart = self.supply[other] || is_feed(self.schematic, other);
                    let group = (!apart).then(|| find(&mut root, other));
                    served.entry(feed.device).or_default().push(group);
                }
            }
        }
        for (device, mut groups) in served {
            groups.sort_unstable();
            groups.dedup();
            match groups.as_slice() {
                [Some(one)] => root[device] = *one,
                _ => supply[device] = true,
            }
        }
        (0..root.len())
            .map(|device| match (self.joined[device], supply[device]) {
                (false, _) => None,
                (true, true) => Some(SUPPLY),
                (true, false) => Some(find(&mut root, device) + 1),
            })
            .collect()
    }
}

/// The device that a net starts from.
fn hub(joint: &Joint) -> Option<usize> {
    let fed = || joint.cables.iter().find(|cable| cable.feeds);
    match joint.centre {
        Some(end) => Some(end.device),
        None => fed().map(|cable| cable.own.device),
    }
}

/// How much a device adds to the height of a strip: chains of smaller symbols stand in one row.
fn tall(schematic: &Schematic, device: usize) -> i32 {
    match schematic.devices[device].symbol {
        Symbol::Load(_) | Symbol::Stub | Symbol::Relay { .. } | Symbol::Unit => {
            figure(&schematic.devices[device]).height + 20
        }
        _ => 0,
    }
}

/// Keeps tags with the device that they belong to.
pub(super) fn keep_tags(schematic: &Schematic, group: &mut [Option<usize>]) {
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
