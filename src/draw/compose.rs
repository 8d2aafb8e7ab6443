//! From devices and nets to a drawn block: figures, layout, wires along their routes, texts.

use std::collections::BTreeMap;

use super::drawing::{
    About, Anchor, Colour, Frame, Ink, Item, LEAD, Plan, Point, RunMark, Shape, TagMark,
};
use super::measure;
use super::net::{Cable, End, Joint, Paint, Schematic, Symbol};
use super::pass::graph::Columns;
use super::pass::{Align, Graph, Layout, Net, Node, Port, Segment, Side, lay_out_in};
use super::symbol::{Figure, TEXT, figure, lead};

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
        ..Block::default()
    };
    block.plan.crossings = layout.crossings;
    wires(schematic, &figures, &layout, &mut block);
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
    let figure = figure(&schematic.devices[index]);
    let mut block = Block {
        width: figure.width,
        height: figure.height,
        ..Block::default()
    };
    stamp(schematic, index, &figure, (0, 0), &mut block);
    for (pin, ports) in schematic.devices[index].pins.iter().zip(&figure.ports) {
        let x = match pin.side {
            Side::West => 0,
            Side::East => figure.width,
        };
        for &y in ports.iter().take(1) {
            block
                .plan
                .terminals
                .push((pin.label.clone(), point((x, y))));
        }
    }
    block
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
    if let Symbol::Tag { text, heat, link } = &device.symbol {
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
            heat: link.is_some().then_some(*heat),
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
                Symbol::Load(_) | Symbol::Earth | Symbol::Stub | Symbol::List => Align::Left,
                Symbol::Feed(_) => Align::Right,
                Symbol::Tag { .. } => match device.pins.first().map(|pin| pin.side) {
                    Some(Side::West) => Align::Left,
                    _ => Align::Right,
                },
                _ => Align::Middle,
            },
            first: device.first,
            last: device.last,
            clings: matches!(
                device.symbol,
                Symbol::Tag { .. } | Symbol::Earth | Symbol::List
            ),
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

/// Draws every wire along the route of its net.
fn wires(schematic: &Schematic, figures: &[Figure], layout: &Layout, block: &mut Block) {
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

fn dot(centre: Point, radius: f64, about: About) -> Item {
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
        let text = text_width(&joint.cables[source]);
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

fn text_width(cable: &Cable) -> i32 {
    cable
        .text
        .iter()
        .map(|line| measure::width(line, TEXT, false))
        .max()
        .unwrap_or(0)
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
fn strokes(way: &[(i32, i32)], paint: &Paint, wire: &str, items: &mut Vec<Item>) {
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

/// The text of a wire, at the end that is its own.
fn label(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    cable: &Cable,
    texts: &mut Vec<Item>,
    block: &mut Block,
) {
    let (x, y) = point(text_start(schematic, figures, layout, cable));
    let side = schematic.devices[cable.text_at.device].pins[cable.text_at.pin].side;
    let width = f64::from(text_width(cable));
    if width == 0.0 {
        return;
    }
    let (at, anchor, left) = match side {
        Side::West => (x - 4.0, Anchor::End, x - 4.0 - width),
        Side::East => (x + 4.0, Anchor::Start, x + 4.0),
    };
    let half = cable.paint.width / 2.0;
    for (line, base) in [
        (&cable.text[0], y - 3.5 - half),
        (&cable.text[1], y + 10.0 + half),
    ] {
        if line.is_empty() {
            continue;
        }
        texts.push(Item {
            about: About::Wire(cable.id.clone()),
            shape: Shape::Text {
                at: (at, base),
                text: line.clone(),
                size: TEXT,
                bold: false,
                anchor,
                colour: if cable.paint.marked {
                    Colour::MARK
                } else {
                    Colour::BLACK
                },
            },
        });
    }
    block.plan.labels.push((
        cable.id.clone(),
        Frame {
            x: left,
            y: y - 13.0,
            width,
            height: 26.0,
        },
    ));
}

/// The name of a splice, in the first place near its dot that is clear of lines, texts and boxes.
fn splice_name(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    net: usize,
    centre: (i32, i32),
    block: &mut Block,
) {
    let joint = &schematic.joints[net];
    let Some(splice) = &joint.splice else { return };
    let width = f64::from(measure::width(&splice.text, TEXT, true));
    let (x, y) = point(centre);
    let mut tries: Vec<Frame> = [
        (4.0, -13.0),
        (4.0, 4.0),
        (-4.0 - width, -13.0),
        (-4.0 - width, 4.0),
    ]
    .iter()
    .map(|&(right, down)| Frame {
        x: x + right,
        y: y + down,
        width,
        height: 9.0,
    })
    .collect();
    // Room was kept behind the text of the wire that feeds it.
    if let Some(cable) = joint.cables.iter().find(|cable| cable.feeds) {
        let text = f64::from(text_width(cable));
        let (from, level) = point(text_start(schematic, figures, layout, cable));
        tries.push(Frame {
            x: from + text + 12.0,
            y: level - 13.0,
            width,
            height: 9.0,
        });
    }
    let clear = |frame: &Frame| {
        let wide = Frame {
            x: frame.x - 1.5,
            y: frame.y - 1.5,
            width: frame.width + 3.0,
            height: frame.height + 3.0,
        };
        !layout.routes.iter().flatten().any(|run| {
            let line = Frame {
                x: f64::from(run.from.0) - 1.5,
                y: f64::from(run.from.1) - 1.5,
                width: f64::from(run.to.0 - run.from.0) + 3.0,
                height: f64::from(run.to.1 - run.from.1) + 3.0,
            };
            line.meets(frame)
        }) && !block.plan.labels.iter().any(|one| one.1.meets(&wide))
            && !figures.iter().enumerate().any(|(index, figure)| {
                let corner = point(layout.corners[index]);
                Frame {
                    x: corner.0,
                    y: corner.1,
                    width: f64::from(figure.width),
                    height: f64::from(figure.height),
                }
                .meets(frame)
            })
    };
    let chosen = tries.iter().find(|frame| clear(frame)).copied();
    let frame = chosen.unwrap_or(tries[0]);
    if chosen.is_none() {
        block.plan.crowded.push(splice.name.clone());
    }
    block.items.push(Item {
        about: About::Part(splice.name.clone()),
        shape: Shape::Text {
            at: (frame.x, frame.y + 8.0),
            text: splice.text.clone(),
            size: TEXT,
            bold: true,
            anchor: Anchor::Start,
            colour: if splice.marks.is_empty() {
                Colour::BLACK
            } else {
                Colour::MARK
            },
        },
    });
    block.plan.labels.push((splice.name.clone(), frame));
    block.plan.terminals.push((splice.name.clone(), (x, y)));
    block.plan.parts.push((
        splice.name.clone(),
        Frame {
            x,
            y,
            width: 0.0,
            height: 0.0,
        },
    ));
}

/// The route of a net as a tree of points.
struct Tree {
    next: BTreeMap<(i32, i32), Vec<(i32, i32)>>,
}

impl Tree {
    fn new(route: &[Segment]) -> Self {
        let mut next: BTreeMap<(i32, i32), Vec<(i32, i32)>> = BTreeMap::new();
        for run in route {
            next.entry(run.from).or_default().push(run.to);
            next.entry(run.to).or_default().push(run.from);
        }
        Self { next }
    }

    /// A point in the middle of a run.
    fn split(&mut self, run: Segment, at: (i32, i32)) {
        if at == run.from || at == run.to {
            return;
        }
        for (end, far) in [(run.from, run.to), (run.to, run.from)] {
            for other in self.next.entry(end).or_default() {
                if *other == far {
                    *other = at;
                }
            }
            self.next.entry(at).or_default().push(end);
        }
    }

    /// The way between two points; the two alone where there is none.
    fn way(&self, from: (i32, i32), to: (i32, i32)) -> Vec<(i32, i32)> {
        let mut came: BTreeMap<(i32, i32), (i32, i32)> = BTreeMap::new();
        let mut waiting = std::collections::VecDeque::from([from]);
        came.insert(from, from);
        while let Some(at) = waiting.pop_front() {
            if at == to {
                break;
            }
            for &other in self.next.get(&at).into_iter().flatten() {
                came.entry(other).or_insert_with(|| {
                    waiting.push_back(other);
                    at
                });
            }
        }
        let mut way = vec![to];
        let mut at = to;
        while at != from {
            let Some(&before) = came.get(&at) else {
                return vec![from, to];
            };
            way.push(before);
            at = before;
        }
        way.reverse();
        way
    }

    /// Points where three or more runs meet.
    fn forks(&self) -> Vec<(i32, i32)> {
        self.next
            .iter()
            .filter(|(_, ends)| ends.len() >= 3)
            .map(|(&at, _)| at)
            .collect()
    }
}
