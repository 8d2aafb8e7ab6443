//! Each group's share of a net: what is cut carries a tag on both sides.

use std::collections::BTreeMap;

use super::builder::{Builder, is_bar, text_room};
use super::side;
use crate::draw::net::{Cable, End, Heat, Joint, Link, Row, RowEnd, Schematic, Symbol};
use crate::draw::pass::Side;

/// How many wires on a pin of a bar go on in another group.
pub(super) fn elsewhere(schematic: &Schematic, group: &[Option<usize>], at: End) -> usize {
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

/// Gives each group its share of a net.
pub(super) fn share(
    schematic: &Schematic,
    group: &[Option<usize>],
    builders: &mut BTreeMap<usize, Builder>,
    number: &str,
    joint: &Joint,
) {
    if let Some(centre) = joint.centre
        && let Symbol::Tag { link, .. } = &schematic.devices[centre.device].symbol
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

fn add_rows(lists: &mut Vec<((usize, usize), Vec<Row>)>, at: (usize, usize), rows: Vec<Row>) {
    match lists.iter_mut().find(|list| list.0 == at) {
        Some(list) => list.1.extend(rows),
        None => lists.push((at, rows)),
    }
}

pub(super) fn row(schematic: &Schematic, cable: &Cable, here: &str, there: &str) -> Row {
    let text = format!("{} {}", cable.text[0], cable.text[1]);
    Row {
        wire: cable.id.clone(),
        text: format!(
            "{}  {}",
            crate::draw::measure::reference(there),
            text.trim()
        ),
        to: RowEnd::Point(
            schematic.devices[cable.own.device].pins[cable.own.pin]
                .label
                .clone(),
        ),
        paint: cable.paint.clone(),
        anchor: here.to_owned(),
    }
}
