//! Cutting the vehicle into circuit strips: the supply first, then each protected circuit by itself, from its feed to its
//! loads. What is cut carries a tag on both sides, with the sheet and field of the other.

use std::collections::BTreeMap;

use super::net::{
    Cable, Device, End, Heat, Joint, Lead, Link, Paint, Pin, Row, RowEnd, Schematic, Symbol,
};
use super::pass::Side;
use super::split::{ends, find};
use super::symbol::figure;

/// One strip.
#[derive(Clone, Debug)]
pub struct Strip {
    /// What the strip is called.
    pub heading: String,
    /// What it shows.
    pub schematic: Schematic,
}

/// Loads on one strip are gathered up to about this height.
const TALL: i32 = 520;

/// Cuts a schematic. The first strip is the supply, where there is any; what no net joins is left out.
#[must_use]
pub fn cut(schematic: &Schematic) -> Vec<Strip> {
    let group = groups(schematic);
    let mut names: Vec<usize> = group.iter().flatten().copied().collect();
    names.sort_unstable();
    names.dedup();
    pieces(schematic, &group, &names, "")
        .into_iter()
        .enumerate()
        .map(|(index, piece)| Strip {
            heading: if names[index] == SUPPLY {
                "Supply and distribution".to_owned()
            } else {
                heading(&piece)
            },
            schematic: piece,
        })
        .collect()
}

/// Number of the group that holds the sources.
const SUPPLY: usize = 0;

/// Is it made to open when too much flows?
fn protects(symbol: &Symbol) -> bool {
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

fn side(schematic: &Schematic, end: End) -> Side {
    schematic.devices[end.device].pins[end.pin].side
}

/// The group of each device that a net joins; the supply is the first.
fn groups(schematic: &Schematic) -> Vec<Option<usize>> {
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

/// What a strip is called: its protection or feed, then what it serves.
fn heading(piece: &Schematic) -> String {
    let list = |wanted: &dyn Fn(&Symbol) -> bool| -> Vec<&str> {
        piece
            .devices
            .iter()
            .filter(|device| wanted(&device.symbol))
            .map(|device| device.name.as_str())
            .collect()
    };
    let fuses = list(&|symbol| protects(symbol));
    let feeds = list(&|symbol| matches!(symbol, Symbol::Feed(_)));
    let loads = list(&|symbol| matches!(symbol, Symbol::Load(_) | Symbol::Unit));
    let from = if fuses.is_empty() { feeds } else { fuses };
    let few = |names: &[&str]| {
        let shown: Vec<&str> = names.iter().copied().take(4).collect();
        if names.len() > 4 {
            format!("{} and {} more", shown.join(", "), names.len() - 4)
        } else {
            shown.join(", ")
        }
    };
    match (from.is_empty(), loads.is_empty()) {
        (false, false) => format!("{}: {}", few(&from), few(&loads)),
        (false, true) => few(&from),
        (true, false) => few(&loads),
        (true, true) => piece
            .devices
            .iter()
            .find(|device| device.is_part())
            .map_or_else(String::new, |device| device.name.clone()),
    }
}

/// Makes a schematic of each group, in the order of `names`. `path` keeps the names of places apart where what was cut is cut
/// again.
#[must_use]
pub fn pieces(
    schematic: &Schematic,
    group: &[Option<usize>],
    names: &[usize],
    path: &str,
) -> Vec<Schematic> {
    let mut builders: BTreeMap<usize, Builder> = names
        .iter()
        .map(|&name| (name, Builder::default()))
        .collect();
    // Tags that nets hang on are made anew for each piece.
    let remade: Vec<usize> = schematic
        .joints
        .iter()
        .filter_map(|joint| joint.centre)
        .map(|end| end.device)
        .filter(|&device| {
            matches!(
                schematic.devices[device].symbol,
                Symbol::Tag { link: Some(_), .. }
            )
        })
        .collect();
    for (index, device) in schematic.devices.iter().enumerate() {
        if remade.contains(&index) {
            continue;
        }
        if let Some(builder) = group[index].and_then(|name| builders.get_mut(&name)) {
            builder.take(index, device);
        }
    }
    for (number, joint) in schematic.joints.iter().enumerate() {
        share(
            schematic,
            group,
            &mut builders,
            &format!("{path}{number}"),
            joint,
        );
    }
    names
        .iter()
        .filter_map(|name| builders.remove(name))
        .map(Builder::finish)
        .collect()
}

/// A schematic in the making: devices get their places for wires anew.
#[derive(Default)]
struct Builder {
    out: Schematic,
    number: BTreeMap<usize, usize>,
    /// Lists of wires that go on elsewhere, by device and pin of this schematic.
    lists: Vec<((usize, usize), Vec<Row>)>,
    /// The same on a splice that is a dot, by number of its net here.
    dots: Vec<(usize, Vec<Row>)>,
}

impl Builder {
    fn take(&mut self, index: usize, device: &Device) {
        let mut device = device.clone();
        for pin in &mut device.pins {
            pin.slots.clear();
        }
        device.last = matches!(device.symbol, Symbol::Load(_));
        self.number.insert(index, self.out.devices.len());
        self.out.devices.push(device);
    }

    /// A place for a wire, with the room that it had.
    fn end(&mut self, schematic: &Schematic, end: End) -> End {
        let device = self.number.get(&end.device).copied().unwrap_or(0);
        let room = schematic.devices[end.device].pins[end.pin]
            .slots
            .get(end.slot)
            .copied()
            .unwrap_or(0);
        let slots = &mut self.out.devices[device].pins[end.pin].slots;
        slots.push(room);
        End {
            device,
            pin: end.pin,
            slot: slots.len() - 1,
        }
    }

    /// A wire of a net that keeps its centre.
    fn cable(&mut self, schematic: &Schematic, cable: &Cable, centre: Option<End>) -> Cable {
        let own = self.end(schematic, cable.own);
        let text_at = match centre {
            Some(centre) if cable.text_at != cable.own => centre,
            _ => own,
        };
        Cable {
            own,
            text_at,
            ..cable.clone()
        }
    }

    /// A wire that comes from a tag: its text stands at its own end.
    fn arriving(&mut self, schematic: &Schematic, cable: &Cable) -> Cable {
        let own = self.end(schematic, cable.own);
        self.out.devices[own.device].pins[own.pin].slots[own.slot] = text_room(cable);
        Cable {
            own,
            text_at: own,
            ..cable.clone()
        }
    }

    fn tag(&mut self, text: String, heat: Heat, link: Link, side: Side) -> End {
        let device = self.out.devices.len();
        self.out.devices.push(Device {
            name: text.clone(),
            symbol: Symbol::Tag {
                text: text.clone(),
                heat,
                link: Some(link),
            },
            title: String::new(),
            notes: Vec::new(),
            marks: Vec::new(),
            pins: vec![Pin {
                label: text,
                name: String::new(),
                side,
                slots: vec![0],
                heat,
                volts: None,
            }],
            leads: Vec::new(),
            first: false,
            last: false,
            live: false,
        });
        End {
            device,
            pin: 0,
            slot: 0,
        }
    }

    /// A list of wires, joined to a point by a line that is no wire.
    fn list(&mut self, label: String, rows: Vec<Row>) -> Cable {
        let device = self.out.devices.len();
        let paint = Paint {
            width: rows.iter().map(|row| row.paint.width).fold(1.1, f64::max),
            live: rows.iter().any(|row| row.paint.live),
            dead: rows.iter().all(|row| row.paint.dead),
            ..Paint::default()
        };
        self.out.devices.push(Device {
            name: label.clone(),
            symbol: Symbol::List,
            title: String::new(),
            notes: Vec::new(),
            marks: Vec::new(),
            pins: vec![Pin {
                label: label.clone(),
                name: String::new(),
                side: Side::West,
                slots: vec![0],
                heat: Heat::Unknown,
                volts: None,
            }],
            leads: vec![Lead {
                label,
                name: String::new(),
                rows,
            }],
            first: false,
            last: false,
            live: false,
        });
        let own = End {
            device,
            pin: 0,
            slot: 0,
        };
        Cable {
            id: String::new(),
            own,
            text_at: own,
            text: [String::new(), String::new()],
            paint,
            feeds: false,
            pull: 2,
        }
    }

    fn finish(mut self) -> Schematic {
        for ((device, pin), rows) in std::mem::take(&mut self.lists) {
            let label = self.out.devices[device].pins[pin].label.clone();
            let cable = self.list(label, rows);
            // On the net that the pin has already, where that is shared; else on one of its own.
            let known = self.out.joints.iter().position(|joint| {
                joint
                    .centre
                    .is_some_and(|end| (end.device, end.pin) == (device, pin))
                    && !is_bar(&self.out.devices[device].symbol)
            });
            match known {
                Some(joint) => self.out.joints[joint].cables.push(cable),
                None => {
                    let slots = &mut self.out.devices[device].pins[pin].slots;
                    slots.push(0);
                    let slot = slots.len() - 1;
                    self.out.joints.push(Joint {
                        centre: Some(End { device, pin, slot }),
                        splice: None,
                        cables: vec![cable],
                    });
                }
            }
        }
        for (joint, rows) in std::mem::take(&mut self.dots) {
            let label = self.out.joints[joint]
                .splice
                .as_ref()
                .map_or_else(String::new, |splice| splice.name.clone());
            let cable = self.list(label, rows);
            self.out.joints[joint].cables.push(cable);
        }
        self.out
    }
}

/// How many wires on a pin of a bar go on in another group.
fn elsewhere(schematic: &Schematic, group: &[Option<usize>], at: End) -> usize {
    schematic
        .joints
        .iter()
        .filter(|joint| {
            joint
                .centre
                .is_some_and(|end| (end.device, end.pin) == (at.device, at.pin))
        })
        .flat_map(|joint| &joint.cables)
        .filter(|cable| group[cable.own.device] != group[at.device])
        .count()
}

fn is_bar(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Splice | Symbol::Stud | Symbol::Busbar)
}

/// Gives each group its share of a net.
fn share(
    schematic: &Schematic,
    group: &[Option<usize>],
    builders: &mut BTreeMap<usize, Builder>,
    number: &str,
    joint: &Joint,
) {
    if let Some(centre) = joint.centre
        && let Symbol::Tag {
            link: Some(link), ..
        } = &schematic.devices[centre.device].symbol
    {
        share_tag(schematic, group, builders, joint, centre, link);
        return;
    }
    let feeder = joint.cables.iter().find(|cable| cable.feeds);
    let home_device = joint
        .centre
        .map(|end| end.device)
        .or_else(|| feeder.map(|cable| cable.own.device))
        .or_else(|| joint.cables.first().map(|cable| cable.own.device));
    let Some(home) = home_device.and_then(|device| group[device]) else {
        return;
    };
    let of = |cable: &Cable| group[cable.own.device];
    let away: Vec<&Cable> = joint
        .cables
        .iter()
        .filter(|cable| of(cable) != Some(home))
        .collect();
    let name = match (&joint.splice, joint.centre) {
        (Some(splice), _) => splice.name.clone(),
        (None, Some(end)) => {
            let device = &schematic.devices[end.device];
            match device.symbol {
                // A feed has one terminal only.
                Symbol::Feed(_) => device.name.clone(),
                _ => device.pins[end.pin].label.clone(),
            }
        }
        (None, None) => String::new(),
    };
    let heat = match (joint.centre, feeder) {
        (Some(end), _) => schematic.devices[end.device].pins[end.pin].heat,
        (None, Some(cable)) => schematic.devices[cable.own.device].pins[cable.own.pin].heat,
        (None, None) => Heat::Unknown,
    };
    // Wires that arrive in one group on one side share a tag there.
    let bundle = |cable: &Cable| (of(cable), side(schematic, cable.own));
    let here = |cable: &Cable| format!("{number}.{}.in", cable.id);
    let there = |cable: &Cable| format!("{number}.{}", cable.id);

    let Some(builder) = builders.get_mut(&home) else {
        return;
    };
    let kept: Vec<&Cable> = joint
        .cables
        .iter()
        .filter(|cable| of(cable) == Some(home))
        .collect();
    let west = joint
        .centre
        .is_some_and(|end| side(schematic, end) == Side::West);
    // A bar lists what goes on elsewhere where that is much.
    let listed = joint.centre.is_some_and(|end| {
        is_bar(&schematic.devices[end.device].symbol)
            && kept.is_empty()
            && elsewhere(schematic, group, end) > 3
    });
    if west || !listed && (!kept.is_empty() || joint.splice.is_some() || away.len() == 1) {
        let centre = joint.centre.map(|end| builder.end(schematic, end));
        let mut cables: Vec<Cable> = kept
            .iter()
            .map(|cable| builder.cable(schematic, cable, centre))
            .collect();
        let mut rest = away.clone();
        if west || (away.len() == 1 && joint.splice.is_none()) {
            // One wire that goes on elsewhere: a tag at the end of its line.
            for cable in rest.drain(..) {
                let own = &schematic.devices[cable.own.device].pins[cable.own.pin];
                let side = if west { Side::East } else { Side::West };
                let end = builder.tag(
                    own.label.clone(),
                    own.heat,
                    Link {
                        here: vec![there(cable)],
                        there: here(cable),
                    },
                    side,
                );
                let room = text_room(cable);
                if let Some(centre) = centre.filter(|_| west) {
                    builder.out.devices[centre.device].pins[centre.pin].slots[centre.slot] = room;
                } else {
                    builder.out.devices[end.device].pins[0].slots[0] = room;
                }
                let text_at = centre.filter(|_| west).unwrap_or(end);
                cables.push(Cable {
                    own: end,
                    text_at,
                    ..cable.clone()
                });
            }
        }
        builder.out.joints.push(Joint {
            centre,
            splice: joint.splice.clone(),
            cables,
        });
        if !rest.is_empty() {
            let rows = rest
                .iter()
                .map(|cable| row(schematic, cable, &there(cable), &here(cable)));
            let rows: Vec<Row> = rows.collect();
            let index = builder.out.joints.len() - 1;
            match builder.out.joints[index].centre {
                None => builder.dots.push((index, rows)),
                Some(end) => add_rows(&mut builder.lists, (end.device, end.pin), rows),
            }
        }
    } else if let Some(end) = joint.centre {
        let device = builder.number.get(&end.device).copied().unwrap_or(0);
        let rows = away
            .iter()
            .map(|cable| row(schematic, cable, &there(cable), &here(cable)))
            .collect();
        add_rows(&mut builder.lists, (device, end.pin), rows);
    }

    // In the other groups: a tag for each side on which wires of this net arrive.
    let mut done: Vec<(Option<usize>, Side)> = Vec::new();
    for cable in &away {
        if done.contains(&bundle(cable)) {
            continue;
        }
        done.push(bundle(cable));
        let Some(builder) = of(cable).and_then(|name| builders.get_mut(&name)) else {
            continue;
        };
        let together: Vec<&&Cable> = away
            .iter()
            .filter(|other| bundle(other) == bundle(cable))
            .collect();
        let link = Link {
            here: together.iter().map(|cable| here(cable)).collect(),
            there: there(cable),
        };
        let tag = builder.tag(
            name.clone(),
            heat,
            link,
            opposite(side(schematic, cable.own)),
        );
        let cables = together
            .iter()
            .map(|other| builder.arriving(schematic, other))
            .collect();
        builder.out.joints.push(Joint {
            centre: Some(tag),
            splice: None,
            cables,
        });
    }
}

const fn opposite(side: Side) -> Side {
    match side {
        Side::West => Side::East,
        Side::East => Side::West,
    }
}

/// A net around a tag: where its wires come apart, each half has a tag of its own that says the same.
fn share_tag(
    schematic: &Schematic,
    group: &[Option<usize>],
    builders: &mut BTreeMap<usize, Builder>,
    joint: &Joint,
    centre: End,
    link: &Link,
) {
    let mut groups: Vec<usize> = Vec::new();
    for name in joint
        .cables
        .iter()
        .filter_map(|cable| group[cable.own.device])
    {
        if !groups.contains(&name) {
            groups.push(name);
        }
    }
    let device = &schematic.devices[centre.device];
    let Symbol::Tag { text, heat, .. } = &device.symbol else {
        return;
    };
    for name in groups {
        let Some(builder) = builders.get_mut(&name) else {
            continue;
        };
        let own: Vec<&Cable> = joint
            .cables
            .iter()
            .filter(|cable| group[cable.own.device] == Some(name))
            .collect();
        let here: Vec<String> = link
            .here
            .iter()
            .filter(|key| {
                own.iter().any(|cable| {
                    key.ends_with(&format!(".{}.in", cable.id))
                        || key.ends_with(&format!(".{}", cable.id))
                })
            })
            .cloned()
            .collect();
        let there = match here.first() {
            Some(key) if !link.here.is_empty() && link.here.len() > 1 => {
                key.strip_suffix(".in").unwrap_or(&link.there).to_owned()
            }
            _ => link.there.clone(),
        };
        let side = device.pins[centre.pin].side;
        let tag = builder.tag(text.clone(), *heat, Link { here, there }, side);
        let cables = own
            .iter()
            .map(|cable| builder.arriving(schematic, cable))
            .collect();
        builder.out.joints.push(Joint {
            centre: Some(tag),
            splice: None,
            cables,
        });
    }
}

fn text_room(cable: &Cable) -> i32 {
    let width = cable
        .text
        .iter()
        .map(|line| super::measure::width(line, super::symbol::TEXT, false))
        .max()
        .unwrap_or(0);
    if width == 0 { 0 } else { width + 12 }
}

fn add_rows(lists: &mut Vec<((usize, usize), Vec<Row>)>, at: (usize, usize), rows: Vec<Row>) {
    match lists.iter_mut().find(|list| list.0 == at) {
        Some(list) => list.1.extend(rows),
        None => lists.push((at, rows)),
    }
}

fn row(schematic: &Schematic, cable: &Cable, here: &str, there: &str) -> Row {
    let text = format!("{} {}", cable.text[0], cable.text[1]);
    Row {
        wire: cable.id.clone(),
        text: format!("{}  {}", super::measure::reference(there), text.trim()),
        to: RowEnd::Point(
            schematic.devices[cable.own.device].pins[cable.own.pin]
                .label
                .clone(),
        ),
        paint: cable.paint.clone(),
        anchor: here.to_owned(),
    }
}
