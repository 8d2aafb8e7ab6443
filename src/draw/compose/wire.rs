//! Wires along their routes.

use std::collections::BTreeMap;

use super::text::{label, splice_name, text_width};
use super::tree::Tree;
use super::{Block, inner, place, point};
use crate::draw::drawing::{About, Colour, Ink, Item, Point, RunMark, Shape};
use crate::draw::measure;
use crate::draw::net::{Joint, Paint, Schematic};
use crate::draw::pass::{Layout, Segment};
use crate::draw::symbol::{Figure, TEXT, lead};

/// Draws every wire along the route of its net.
pub(super) fn wires(schematic: &Schematic, figures: &[Figure], layout: &Layout, block: &mut Block) {
    let mut over: Vec<Item> = Vec::new();
    let mut texts: Vec<Item> = Vec::new();
    let mut names: Vec<(usize, (i32, i32))> = Vec::new();
    for (net, joint) in schematic.joints.iter().enumerate() {
        let mut tree = Tree::new(&layout.routes[net]);
        let ends: Vec<(i32, i32)> = joint
            .cables
            .iter()
            .map(|cable| place(schematic, figures, layout, cable.own))
            .collect();
        let (centre, name) = match (&joint.splice, joint.centre) {
            (None, Some(end)) => (
                place(schematic, figures, layout, end),
                schematic.devices[end.device].pins[end.pin].label.clone(),
            ),
            (splice, _) => (
                hub(joint, &ends, &mut tree),
                splice
                    .as_ref()
                    .map_or_else(String::new, |one| one.name.clone()),
            ),
        };
        let mut ways: Vec<Vec<(i32, i32)>> =
            ends.iter().map(|&end| tree.way(end, centre)).collect();
        // Wires go on into the room of a device, up to its symbol.
        for (cable, way) in joint.cables.iter().zip(&mut ways) {
            let inner = inner(schematic, figures, layout, cable.own);
            if way.first() != Some(&inner) {
                way.insert(0, inner);
            }
            if let Some(end) = joint.centre {
                let inner = self::inner(schematic, figures, layout, end);
                if way.last() != Some(&inner) {
                    way.push(inner);
                }
            }
        }
        let mut uses: BTreeMap<Segment, usize> = BTreeMap::new();
        for way in &ways {
            for pair in way.windows(2) {
                *uses.entry(Segment::new(pair[0], pair[1])).or_default() += 1;
            }
        }
        for (cable, way) in joint.cables.iter().zip(&ways) {
            // From its own end for as long as no other wire runs there too.
            let own = way
                .windows(2)
                .take_while(|pair| uses[&Segment::new(pair[0], pair[1])] == 1)
                .count();
            strokes(&way[..=own], &cable.paint, &cable.id, &mut block.items);
            // What leads to a list of wires is no wire of the record.
            if !cable.id.is_empty() {
                block.plan.runs.push(RunMark {
                    wire: cable.id.clone(),
                    net,
                    points: way.iter().map(|&at| point(at)).collect(),
                    ends: [
                        schematic.devices[cable.own.device].pins[cable.own.pin]
                            .label
                            .clone(),
                        name.clone(),
                    ],
                });
            }
            label(schematic, figures, layout, cable, &mut texts, block);
        }
        let common = common_paint(joint);
        for (segment, count) in &uses {
            if *count > 1 {
                for ink in lead::inks(&common) {
                    block.items.push(Item {
                        about: About::Shared,
                        shape: Shape::Line {
                            points: vec![point(segment.from), point(segment.to)],
                            ink,
                            round: 0.0,
                        },
                    });
                }
            }
        }
        for at in tree.forks() {
            if joint.splice.is_none() || at != centre {
                over.push(dot(point(at), 2.8, About::Shared));
            }
            block.plan.dots.push(point(at));
        }
        if let Some(splice) = &joint.splice {
            over.push(dot(point(centre), 3.6, About::Part(splice.name.clone())));
            names.push((net, centre));
        }
    }
    block.items.append(&mut over);
    block.items.append(&mut texts);
    for (net, centre) in names {
        splice_name(schematic, figures, layout, net, centre, block);
    }
}

pub(super) fn dot(centre: Point, radius: f64, about: About) -> Item {
    Item {
        about,
        shape: Shape::Circle {
            centre,
            radius,
            ink: None,
            fill: Some(Colour::BLACK),
        },
    }
}

/// Where a splice's dot goes: where the ways of the wires that it feeds part; on the line of the wire that feeds it, under the
/// room kept for its name, for a splice of two.
fn hub(joint: &Joint, ends: &[(i32, i32)], tree: &mut Tree) -> (i32, i32) {
    let Some(source) = joint.cables.iter().position(|cable| cable.feeds) else {
        return ends.first().copied().unwrap_or_default();
    };
    let ways: Vec<Vec<(i32, i32)>> = ends
        .iter()
        .enumerate()
        .filter(|(index, _)| *index != source)
        .map(|(_, &end)| tree.way(ends[source], end))
        .collect();
    let Some(first) = ways.first() else {
        return ends[source];
    };
    if ways.len() == 1 {
        let text = text_width(&joint.cables[source].text);
        let name = joint
            .splice
            .as_ref()
            .map_or(0, |splice| measure::width(&splice.text, TEXT, true));
        let from = ends[source];
        let off = text + 12 + name / 2;
        let wanted = [(from.0 + off, from.1), (from.0 - off, from.1)];
        let line = first.windows(2).map(|pair| Segment::new(pair[0], pair[1]));
        let runs: Vec<Segment> = line.collect();
        for at in wanted {
            if let Some(run) = runs.iter().find(|run| run.holds(at)) {
                tree.split(*run, at);
                return at;
            }
        }
        let Some(longest) = runs.iter().max_by_key(|run| run.length()) else {
            return from;
        };
        let middle = (
            i32::midpoint(longest.from.0, longest.to.0),
            i32::midpoint(longest.from.1, longest.to.1),
        );
        tree.split(*longest, middle);
        return middle;
    }
    let shared = (0..first.len())
        .take_while(|&step| ways.iter().all(|way| way.get(step) == first.get(step)))
        .last()
        .unwrap_or(0);
    first[shared]
}

/// The paint of a run that several wires share: theirs where they are alike, else a plain black line.
fn common_paint(joint: &Joint) -> Paint {
    let real = || joint.cables.iter().filter(|cable| !cable.paint.assumed);
    let mut all = real().map(|cable| &cable.paint);
    let Some(first) = all.next() else {
        return Paint {
            width: 1.1,
            ..Paint::default()
        };
    };
    let alike = real().all(|cable| cable.paint.colours == first.colours);
    let width = joint
        .cables
        .iter()
        .map(|cable| cable.paint.width)
        .fold(1.1, f64::max);
    Paint {
        width,
        colours: if alike {
            first.colours.clone()
        } else {
            Vec::new()
        },
        live: joint.cables.iter().any(|cable| cable.paint.live),
        dead: joint.cables.iter().all(|cable| cable.paint.dead),
        assumed: false,
        marked: false,
    }
}

/// A wire's line, corners rounded.
pub(super) fn strokes(way: &[(i32, i32)], paint: &Paint, wire: &str, items: &mut Vec<Item>) {
    if way.len() < 2 {
        return;
    }
    let points: Vec<Point> = straight(way).into_iter().map(point).collect();
    if paint.marked {
        items.push(Item {
            about: About::Wire(wire.to_owned()),
            shape: Shape::Line {
                points: points.clone(),
                ink: Ink {
                    width: paint.width + 6.0,
                    colour: Colour(255, 196, 196),
                    dash: None,
                },
                round: 4.0,
            },
        });
    }
    let inks = if paint.assumed && !paint.dead {
        vec![Ink {
            dash: Some((4.0, 3.0)),
            ..Ink::solid(1.2)
        }]
    } else {
        lead::inks(paint)
    };
    for ink in inks {
        items.push(Item {
            about: About::Wire(wire.to_owned()),
            shape: Shape::Line {
                points: points.clone(),
                ink,
                round: 4.0,
            },
        });
    }
}

/// Leaves out points in the middle of a straight line.
fn straight(way: &[(i32, i32)]) -> Vec<(i32, i32)> {
    let mut points: Vec<(i32, i32)> = Vec::new();
    for &at in way {
        if let [.., a, b] = points.as_slice()
            && (a.0 == b.0 && b.0 == at.0 || a.1 == b.1 && b.1 == at.1)
        {
            points.pop();
        }
        points.push(at);
    }
    points
}
