//! From devices and nets to a drawn block: figures, layout, wires along their routes, texts.

mod beside;
mod text;
mod tree;
mod wire;

use crate::draw::drawing::{About, Frame, Item, LEAD, Plan, Point, Shape, TagMark};
use crate::draw::net::{Cable, End, Schematic, Symbol};
use crate::draw::pass::graph::Columns;
use crate::draw::pass::{Align, Graph, Layout, Net, Node, Port, Side, lay_out_in};
use crate::draw::split::{ends, subset};
use crate::draw::symbol::{Figure, figure};
use beside::wires_beside;
use wire::wires;

/// Something drawn as one piece, to be put on a sheet.
#[derive(Clone, Debug, Default)]
pub struct Block {
    /// Width.
    pub width: i32,
    /// Height.
    pub height: i32,
    /// What is drawn.
    pub items: Vec<Item>,
    /// Where things are.
    pub plan: Plan,
    /// Columns of its layout.
    pub columns: Columns,
    /// Column of each device.
    pub layers: Vec<usize>,
    /// Top of each device.
    pub tops: Vec<i32>,
}

impl Block {
    /// Moved.
    pub fn shift(&mut self, by: (f64, f64)) {
        for item in &mut self.items {
            let shape = std::mem::replace(
                &mut item.shape,
                Shape::Line {
                    points: Vec::new(),
                    ink: LEAD,
                    round: 0.0,
                },
            );
            item.shape = shape.shifted(by);
        }
        self.plan.shift(by);
    }
}

impl Plan {
    /// Moved, the frame apart.
    pub fn shift(&mut self, by: Point) {
        let move_point = |point: &mut Point| {
            point.0 += by.0;
            point.1 += by.1;
        };
        for (_, frame) in &mut self.parts {
            *frame = frame.shifted(by);
        }
        for tag in &mut self.tags {
            tag.frame = tag.frame.shifted(by);
        }
        for (_, frame) in &mut self.labels {
            *frame = frame.shifted(by);
        }
        for (_, point) in self.terminals.iter_mut().chain(&mut self.anchors) {
            move_point(point);
        }
        for run in &mut self.runs {
            run.points.iter_mut().for_each(move_point);
        }
        self.dots.iter_mut().for_each(move_point);
    }

    /// Takes over what another plan has.
    pub fn extend(&mut self, other: Self) {
        let nets = self.runs.iter().map(|run| run.net + 1).max().unwrap_or(0);
        self.parts.extend(other.parts);
        self.tags.extend(other.tags);
        self.terminals.extend(other.terminals);
        self.runs.extend(other.runs.into_iter().map(|mut run| {
            run.net += nets;
            run
        }));
        self.leads.extend(other.leads);
        self.labels.extend(other.labels);
        self.anchors.extend(other.anchors);
        self.dots.extend(other.dots);
        self.crowded.extend(other.crowded);
        self.crossings += other.crossings;
        self.bends += other.bends;
        self.length += other.length;
    }
}

/// Draws a schematic as one block, with at least these column widths.
#[must_use]
pub fn compose(schematic: &Schematic, common: Option<&Columns>) -> Block {
    let figures: Vec<Figure> = schematic.devices.iter().map(figure).collect();
    let graph = graph(schematic, &figures);
    let layout = lay_out_in(&graph, common);
    let mut block = Block {
        width: layout.width,
        height: layout.height,
        columns: layout.columns.clone(),
        layers: layout.layers.clone(),
        tops: layout.corners.iter().map(|corner| corner.1).collect(),
        ..Block::default()
    };
    block.plan.crossings = layout.crossings;
    block.plan.bends = layout.bends();
    block.plan.length = layout.length();
    wires(schematic, &figures, &layout, &mut block);
    wires_beside(schematic, &figures, &layout, &mut block);
    for (index, (device, figure)) in schematic.devices.iter().zip(&figures).enumerate() {
        let corner = layout.corners[index];
        stamp(schematic, index, figure, corner, &mut block);
        for (number, (pin, ports)) in device.pins.iter().zip(&figure.ports).enumerate() {
            let reach = figure.reach[number];
            for (slot, &y) in ports.iter().enumerate() {
                if slot >= pin.slots.len().max(1) {
                    continue;
                }
                let (x, inside) = match pin.side {
                    Side::West => (corner.0, reach),
                    Side::East => (corner.0 + figure.width, -reach),
                };
                block
                    .plan
                    .terminals
                    .push((pin.label.clone(), point((x + inside, corner.1 + y))));
            }
        }
    }
    block
}

/// A device that no net joins, alone in its block.
#[must_use]
pub fn alone(schematic: &Schematic, index: usize) -> Block {
    compose(&subset(schematic, &[index]), None)
}

/// Puts a figure where it goes.
fn stamp(
    schematic: &Schematic,
    index: usize,
    figure: &Figure,
    corner: (i32, i32),
    block: &mut Block,
) {
    let device = &schematic.devices[index];
    let by = point(corner);
    let frame = Frame {
        x: by.0,
        y: by.1,
        width: f64::from(figure.width),
        height: f64::from(figure.height),
    };
    if let Symbol::Tag { text, heat, .. } = &device.symbol {
        let wire = schematic
            .joints
            .iter()
            .find(|joint| {
                joint.centre.is_some_and(|end| end.device == index)
                    || joint.cables.iter().any(|cable| cable.own.device == index)
            })
            .and_then(|joint| joint.cables.first())
            .map_or_else(String::new, |cable| cable.id.clone());
        block.plan.tags.push(TagMark {
            wire,
            text: text.clone(),
            heat: Some(*heat),
            frame,
        });
    } else if device.is_part() {
        block.plan.parts.push((device.name.clone(), frame));
    } else {
        block.plan.tags.push(TagMark {
            wire: String::new(),
            text: device.name.clone(),
            heat: None,
            frame,
        });
    }
    for shape in &figure.shapes {
        block.items.push(Item {
            about: About::Part(device.name.clone()),
            shape: shape.clone().shifted(by),
        });
    }
    for (name, at) in &figure.anchors {
        let at = (at.0 + by.0, at.1 + by.1);
        block.plan.anchors.push((name.clone(), at));
    }
    for (wire, label) in &figure.labels {
        block.plan.labels.push((wire.clone(), label.shifted(by)));
    }
    for lead in &device.leads {
        for row in &lead.rows {
            block.plan.leads.push(super::drawing::LeadMark {
                wire: row.wire.clone(),
                from: lead.label.clone(),
                to: match &row.to {
                    super::net::RowEnd::Ground(Some(name)) | super::net::RowEnd::Point(name) => {
                        name.clone()
                    }
                    _ => "chassis".to_owned(),
                },
            });
        }
    }
}

fn point(at: (i32, i32)) -> Point {
    (f64::from(at.0), f64::from(at.1))
}

/// The layout's view of a schematic.
fn graph(schematic: &Schematic, figures: &[Figure]) -> Graph {
    let mut graph = Graph::default();
    let mut first_port: Vec<Vec<usize>> = Vec::new();
    for (device, figure) in schematic.devices.iter().zip(figures) {
        let mut node = Node {
            width: figure.width,
            height: figure.height,
            align: match device.symbol {
                Symbol::Load(_) | Symbol::Stub | Symbol::List => Align::Left,
                Symbol::Feed(_) => Align::Right,
                Symbol::Tag { .. } => match device.pins.first().map(|pin| pin.side) {
                    Some(Side::West) => Align::Left,
                    _ => Align::Right,
                },
                _ => Align::Middle,
            },
            first: device.first && !hangs_on_a_source(schematic, graph.nodes.len()),
            last: device.last,
            clings: !device.is_part(),
            ports: Vec::new(),
        };
        let mut starts = Vec::new();
        for (number, (pin, places)) in device.pins.iter().zip(&figure.ports).enumerate() {
            let reach = if figure.open { figure.reach[number] } else { 0 };
            starts.push(node.ports.len());
            for (slot, &room) in pin.slots.iter().enumerate() {
                node.ports.push(Port {
                    side: pin.side,
                    y: places.get(slot).copied().unwrap_or(0),
                    // The text may stand over the wire's way inside the room, where the words of the device are well above it.
                    room: if room == 0 { 0 } else { (room - reach).max(1) },
                });
            }
        }
        first_port.push(starts);
        graph.nodes.push(node);
    }
    let port = |end: &End| (end.device, first_port[end.device][end.pin] + end.slot);
    for joint in &schematic.joints {
        let mut net = Net {
            ends: joint.centre.iter().map(port).collect(),
            pull: joint
                .cables
                .iter()
                .map(|cable| cable.pull)
                .max()
                .unwrap_or(2),
        };
        net.ends
            .extend(joint.cables.iter().map(|cable| port(&cable.own)));
        graph.nets.push(net);
    }
    graph
}

/// Whether the return of a battery is wired to the supply of another: then it stands right of that, as in a pair for 24 V.
fn hangs_on_a_source(schematic: &Schematic, device: usize) -> bool {
    let at = |end: &End, side: Side| schematic.devices[end.device].pins[end.pin].side == side;
    schematic.joints.iter().any(|joint| {
        ends(joint).any(|end| end.device == device && at(end, Side::West))
            && ends(joint).any(|end| {
                end.device != device
                    && at(end, Side::East)
                    && schematic.devices[end.device].symbol == Symbol::Battery
            })
    })
}

/// The place of an end.
fn place(schematic: &Schematic, figures: &[Figure], layout: &Layout, end: End) -> (i32, i32) {
    let (x, y) = layout.corners[end.device];
    let pin = &schematic.devices[end.device].pins[end.pin];
    let down = figures[end.device].ports[end.pin]
        .get(end.slot)
        .copied()
        .unwrap_or(0);
    match pin.side {
        Side::West => (x, y + down),
        Side::East => (x + figures[end.device].width, y + down),
    }
}

/// Where the wire at an end meets the symbol.
fn inner(schematic: &Schematic, figures: &[Figure], layout: &Layout, end: End) -> (i32, i32) {
    let (x, y) = place(schematic, figures, layout, end);
    let reach = figures[end.device].reach[end.pin];
    match schematic.devices[end.device].pins[end.pin].side {
        Side::West => (x + reach, y),
        Side::East => (x - reach, y),
    }
}

/// The end of a wire's line beside which its text stands.
fn text_start(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    cable: &Cable,
) -> (i32, i32) {
    let end = cable.text_at;
    if figures[end.device].open {
        inner(schematic, figures, layout, end)
    } else {
        place(schematic, figures, layout, end)
    }
}
