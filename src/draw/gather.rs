//! From the vehicle to what is to be drawn: a symbol for each part, a side for each terminal, nets of wires.
//!
//! Returns are not drawn as lines: each is a lead under its part with the wire's text, to a ground symbol or to the name of the
//! point where it lands, and that point lists it again.

use std::collections::BTreeMap;

use super::flow::{self, Flow};
use super::measure;
use super::net::{
    Across, Cable, Device, End, Heat, Joint, Lead, Paint, Pin, Row, RowEnd, Schematic, Splice,
    Symbol,
};
use super::pass::Side;
use super::symbol::{TEXT, marks};
use super::words;
use super::{Mark, Shown};
use crate::model::{PartId, TerminalId, Vehicle, WireId};
use crate::quantity::show::{Units, measure as show_measure};
use crate::read::document::{Kind, Value};

/// What is known while gathering.
pub struct Gatherer<'v> {
    vehicle: &'v Vehicle,
    units: Units,
    shown: Option<&'v Shown<'v>>,
    marks: &'v [Mark],
    flow: Flow,
    /// When each terminal is live by itself.
    heat: Vec<Heat>,
    /// Wires at each terminal, in document order.
    landed: Vec<Vec<WireId>>,
    /// Splices that are drawn as a dot.
    dots: Vec<bool>,
    out: Schematic,
    /// Where each terminal is drawn: device, and pin or lead.
    at: Vec<Option<Place>>,
}

#[derive(Clone, Copy, Debug)]
enum Place {
    Pin(usize, usize),
    Lead(usize, usize),
    /// A row of a point on the way home.
    Home(usize),
    /// A splice that is a dot.
    Dot(PartId),
    /// A bar: west pin and east pin.
    Bar(usize, usize, usize),
}

/// Gathers a vehicle.
#[must_use]
pub fn gather<'v>(
    vehicle: &'v Vehicle,
    units: Units,
    shown: Option<&'v Shown<'v>>,
    marks: &'v [Mark],
) -> Schematic {
    let mut landed = vec![Vec::new(); vehicle.terminals.len()];
    for id in vehicle.wire_ids() {
        let wire = vehicle.wire(id);
        landed[wire.from.index()].push(id);
        if wire.to != wire.from {
            landed[wire.to.index()].push(id);
        }
    }
    let mut gatherer = Gatherer {
        vehicle,
        units,
        shown,
        marks,
        flow: Flow::of(vehicle),
        heat: flow::heat(vehicle),
        landed,
        dots: vec![false; vehicle.parts.len()],
        out: Schematic::default(),
        at: vec![None; vehicle.terminals.len()],
    };
    gatherer.choose_dots();
    for id in vehicle.part_ids() {
        gatherer.device(id);
    }
    gatherer.wires();
    gatherer.out
}

impl Gatherer<'_> {
    fn other(&self, wire: WireId, end: TerminalId) -> TerminalId {
        let wire = self.vehicle.wire(wire);
        if wire.from == end { wire.to } else { wire.from }
    }

    /// Whether a wire is a return, drawn as a lead at each of its ends.
    fn is_return(&self, id: WireId) -> bool {
        let wire = self.vehicle.wire(id);
        [wire.from, wire.to]
            .iter()
            .any(|&end| end == TerminalId::CHASSIS || self.flow.home(end))
            || self.is_ground_point(wire.from)
            || self.is_ground_point(wire.to)
            || wire.from == wire.to
    }

    fn is_ground_point(&self, end: TerminalId) -> bool {
        self.kind(end) == Some(Kind::Ground)
    }

    fn kind(&self, end: TerminalId) -> Option<Kind> {
        let part = self.vehicle.terminal(end).part?;
        Some(self.vehicle.part(part).kind)
    }

    /// A splice with one feed and nothing but plain neighbours is a dot where its wires meet.
    fn choose_dots(&mut self) {
        for id in self.vehicle.part_ids() {
            let part = self.vehicle.part(id);
            if part.kind != Kind::Splice {
                continue;
            }
            let Some(&end) = part.terminals.first() else {
                continue;
            };
            let wires = &self.landed[end.index()];
            let feeds = wires.iter().filter(|&&wire| self.feeds(wire, end)).count();
            let plain = wires.iter().all(|&wire| {
                let other = self.other(wire, end);
                !self.is_return(wire)
                    && self
                        .vehicle
                        .terminal(other)
                        .part
                        .is_some_and(|part| !self.dots[part.index()])
            });
            self.dots[id.index()] = plain && feeds == 1 && wires.len() >= 2;
        }
    }

    /// Whether a wire brings supply to a terminal.
    fn feeds(&self, wire: WireId, end: TerminalId) -> bool {
        let other = self.other(wire, end);
        let (own, far) = (self.flow.depth(end), self.flow.depth(other));
        if own == far {
            self.vehicle.wire(wire).to == end
        } else {
            far < own
        }
    }

    fn numbers(&self, id: PartId) -> Vec<usize> {
        words::numbers_of(
            self.marks
                .iter()
                .enumerate()
                .map(|(index, mark)| (index + 1, mark.parts.as_slice())),
            id,
        )
    }

    fn wire_numbers(&self, id: WireId) -> Vec<usize> {
        words::numbers_of_wire(
            self.marks
                .iter()
                .enumerate()
                .map(|(index, mark)| (index + 1, mark.wires.as_slice())),
            id,
        )
    }

    fn volts(&self, end: TerminalId) -> Option<String> {
        let shown = self.shown?;
        let volts = shown.solution.volts.get(end.index())?;
        Some(show_measure(volts.0, "V", self.units))
    }

    fn device(&mut self, id: PartId) {
        let vehicle = self.vehicle;
        let part = vehicle.part(id);
        // What stands for the vehicle's own equipment has no terminal to draw.
        if part.terminals.is_empty() {
            return;
        }
        if self.dots[id.index()] {
            if let Some(end) = part.terminals.first() {
                self.at[end.index()] = Some(Place::Dot(id));
            }
            return;
        }
        let index = self.out.devices.len();
        let mut device = Device {
            name: part.name.value.clone(),
            symbol: self.symbol(id),
            title: words::title(part, self.units),
            notes: words::notes(vehicle, id, self.units),
            marks: self.numbers(id),
            pins: Vec::new(),
            leads: Vec::new(),
            // The battery that starts the engine opens the drawing; another stands beside what it feeds.
            first: match part.kind {
                Kind::Alternator => true,
                Kind::Battery => vehicle.starter.is_none_or(|starter| starter == id),
                _ => false,
            },
            last: false,
            live: self.conducts(id),
        };
        match device.symbol {
            Symbol::Home | Symbol::GroundPoint => {
                let end = part.terminals.first().copied();
                device.leads.push(Lead {
                    label: end.map_or_else(String::new, |end| vehicle.terminal(end).label.clone()),
                    name: String::new(),
                    rows: Vec::new(),
                });
                if let Some(end) = end {
                    self.at[end.index()] = Some(Place::Home(index));
                }
            }
            Symbol::Splice | Symbol::Stud | Symbol::Busbar => {
                if let Some(&end) = part.terminals.first() {
                    for side in [Side::West, Side::East] {
                        device.pins.push(self.pin(end, side));
                    }
                    self.at[end.index()] = Some(Place::Bar(index, 0, 1));
                }
            }
            _ => self.terminals(id, index, &mut device),
        }
        self.out.devices.push(device);
    }

    /// Whether current flows through a part in the situation shown.
    fn conducts(&self, id: PartId) -> bool {
        let Some(shown) = self.shown else {
            return false;
        };
        let part = self.vehicle.part(id);
        if part.kind == Kind::Relay {
            // The picture of the contact follows the coil.
            return shown
                .solution
                .memory
                .0
                .get(id.index())
                .copied()
                .unwrap_or(false);
        }
        part.branches.iter().any(|branch| {
            shown
                .solution
                .closed
                .get(branch.index())
                .copied()
                .unwrap_or(false)
        })
    }

    fn symbol(&self, id: PartId) -> Symbol {
        let part = self.vehicle.part(id);
        let home = |index: usize| {
            part.terminals
                .get(index)
                .is_some_and(|&end| self.flow.home(end))
        };
        match part.kind {
            Kind::Battery => Symbol::Battery,
            Kind::Alternator => Symbol::Alternator,
            Kind::Charger => Symbol::Charger,
            Kind::Feed => Symbol::Feed(words::heat(&part.fields)),
            Kind::Fuse => Symbol::Fuse,
            Kind::FusibleLink => Symbol::FusibleLink,
            Kind::Breaker => Symbol::Breaker,
            Kind::Switch if part.fields.map("positions").is_none() => Symbol::Switch {
                momentary: part.fields.flag("momentary"),
            },
            Kind::Disconnect => Symbol::Disconnect,
            Kind::Diode => Symbol::Diode { back: false },
            Kind::Isolator => Symbol::Isolator,
            Kind::Relay => Symbol::Relay {
                across: match part
                    .fields
                    .text("suppression")
                    .map(|word| word.value.as_str())
                {
                    Some("resistor") => Across::Resistor,
                    Some("diode") => Across::Diode,
                    _ => Across::Nothing,
                },
            },
            Kind::Load => Symbol::Load(words::glyph(&part.fields)),
            Kind::Connector => Symbol::Connector,
            Kind::Splice if home(0) => Symbol::Home,
            Kind::Stud if home(0) => Symbol::Home,
            Kind::Busbar if home(0) => Symbol::Home,
            Kind::Splice => Symbol::Splice,
            Kind::Stud => Symbol::Stud,
            Kind::Busbar => Symbol::Busbar,
            Kind::Ground => Symbol::GroundPoint,
            Kind::Stub => Symbol::Stub,
            Kind::KeySwitch
            | Kind::Switch
            | Kind::Controller
            | Kind::Delay
            | Kind::Cutoff
            | Kind::Converter => Symbol::Unit,
        }
    }

    fn pin(&self, end: TerminalId, side: Side) -> Pin {
        let terminal = self.vehicle.terminal(end);
        Pin {
            label: terminal.label.clone(),
            name: terminal.name.clone(),
            side,
            slots: Vec::new(),
            heat: self.heat[end.index()],
            volts: self.volts(end),
        }
    }

    fn terminals(&mut self, id: PartId, index: usize, device: &mut Device) {
        let vehicle = self.vehicle;
        let part = vehicle.part(id);
        let sides = self.sides(id);
        for (&end, side) in part.terminals.iter().zip(sides) {
            let terminal = vehicle.terminal(end);
            let wired = !self.landed[end.index()].is_empty();
            let goes_down = self.flow.home(end) || !wired && terminal.name == "-";
            let may_hang = match part.kind {
                Kind::Relay => matches!(terminal.name.as_str(), "85" | "86" | "set" | "reset"),
                _ => terminal.name == "-",
            };
            if goes_down && may_hang {
                self.at[end.index()] = Some(Place::Lead(index, device.leads.len()));
                device.leads.push(Lead {
                    label: terminal.label.clone(),
                    name: terminal.name.clone(),
                    rows: Vec::new(),
                });
                continue;
            }
            // An unused break contact is left out, as most relays are drawn.
            if !wired && part.kind == Kind::Relay && terminal.name == "87a" {
                continue;
            }
            self.at[end.index()] = Some(Place::Pin(index, device.pins.len()));
            device.pins.push(self.pin(end, side));
        }
        if part.kind == Kind::Diode {
            let back = device
                .pin("in")
                .is_some_and(|pin| device.pins[pin].side == Side::East);
            device.symbol = Symbol::Diode { back };
        }
        // A lead without any wire has nothing to show under the part.
        if device.leads.iter().all(|lead| {
            part.terminals
                .iter()
                .filter(|&&end| vehicle.terminal(end).label == lead.label)
                .all(|end| self.landed[end.index()].is_empty())
        }) {
            for end in &part.terminals {
                if let Some(Place::Lead(..)) = self.at[end.index()] {
                    self.at[end.index()] = None;
                }
            }
            device.leads.clear();
        }
    }

    /// The side of each terminal of a part: what is nearer to a source is on the left.
    fn sides(&self, id: PartId) -> Vec<Side> {
        let part = self.vehicle.part(id);
        let depth = |name: &str| {
            part.terminals
                .iter()
                .filter(|&&end| {
                    self.vehicle.terminal(end).name == name && !self.landed[end.index()].is_empty()
                })
                .map(|&end| self.flow.depth(end))
                .min()
        };
        let later = |a: Option<u32>, b: Option<u32>| matches!((a, b), (Some(a), Some(b)) if a > b);
        let turned = match part.kind {
            Kind::Fuse
            | Kind::Breaker
            | Kind::FusibleLink
            | Kind::Disconnect
            | Kind::Switch
            | Kind::Diode
            | Kind::Delay
            | Kind::Cutoff
            | Kind::Converter => later(depth("in"), depth("out")),
            Kind::Isolator => later(depth("a"), depth("b")),
            Kind::Relay => later(depth("30"), {
                let ends = [depth("87"), depth("87a")];
                ends.into_iter().flatten().min()
            }),
            Kind::Connector => self.connector_turned(part),
            _ => false,
        };
        let coil_turned = part.kind == Kind::Relay && {
            let home = |name: &str| {
                part.terminals
                    .iter()
                    .any(|&end| self.vehicle.terminal(end).name == name && self.flow.home(end))
            };
            home("86") && !home("85") || (!home("85") && later(depth("86"), depth("85")))
        };
        let flip = |side: Side, turned: bool| match (side, turned) {
            (Side::West, true) => Side::East,
            (Side::East, true) => Side::West,
            (side, false) => side,
        };
        part.terminals
            .iter()
            .map(|&end| {
                let name = self.vehicle.terminal(end).name.as_str();
                match (part.kind, name) {
                    (Kind::Battery | Kind::Alternator | Kind::Charger, "+") => Side::East,
                    (Kind::Battery | Kind::Alternator | Kind::Charger, _) => Side::West,
                    (Kind::Feed, _) => Side::East,
                    (Kind::KeySwitch, "30") => Side::West,
                    (Kind::KeySwitch, _) => Side::East,
                    (Kind::Relay, "86" | "set" | "reset") => flip(Side::West, coil_turned),
                    (Kind::Relay, "85") => flip(Side::East, coil_turned),
                    (Kind::Relay, "30") => flip(Side::West, turned),
                    (Kind::Relay, _) => flip(Side::East, turned),
                    (Kind::Load, "-") => Side::East,
                    (Kind::Load, _) => Side::West,
                    (Kind::Controller, name) => self.controller_side(id, name, end),
                    (Kind::Connector, name) if name.ends_with(".b") => flip(Side::East, turned),
                    (Kind::Connector, _) => flip(Side::West, turned),
                    (Kind::Isolator, "b") => flip(Side::East, turned),
                    (Kind::Isolator, _) => flip(Side::West, turned),
                    (Kind::Switch, _) if part.fields.map("positions").is_some() => {
                        self.position_side(end)
                    }
                    (Kind::Stub, _) => Side::West,
                    (_, "out") => flip(Side::East, turned),
                    (_, "-") => Side::East,
                    _ => flip(Side::West, turned),
                }
            })
            .collect()
    }

    fn controller_side(&self, id: PartId, name: &str, end: TerminalId) -> Side {
        let fields = &self.vehicle.part(id).fields;
        let output = fields.map("outputs").and_then(|outputs| outputs.get(name));
        let low = match output {
            Some(Value::Map(output)) => output.text("side").is_some_and(|side| side.value == "low"),
            _ => false,
        };
        match output {
            Some(_) if low => Side::West,
            Some(_) => Side::East,
            None if name == "-" && !self.flow.home(end) => Side::East,
            None => Side::West,
        }
    }

    /// A terminal of a switch with positions: on the left when its wires come from the source.
    fn position_side(&self, end: TerminalId) -> Side {
        let wires = &self.landed[end.index()];
        if wires.iter().any(|&wire| self.feeds(wire, end)) {
            Side::West
        } else {
            Side::East
        }
    }

    /// Whether most pins of a connector are fed from their `b` side.
    fn connector_turned(&self, part: &crate::model::Part) -> bool {
        let mut votes = 0_i64;
        for pair in part.terminals.chunks(2) {
            if let [a, b] = pair
                && !self.flow.home(*a)
                && !self.flow.home(*b)
            {
                votes += match self.flow.depth(*a).cmp(&self.flow.depth(*b)) {
                    std::cmp::Ordering::Less => -1,
                    std::cmp::Ordering::Equal => 0,
                    std::cmp::Ordering::Greater => 1,
                };
            }
        }
        votes > 0
    }

    fn wires(&mut self) {
        // Nets by the point that they share: a terminal on the right, or a dot.
        let mut shared = BTreeMap::new();
        for id in self.vehicle.wire_ids() {
            if self.is_return(id) {
                self.lead(id);
            } else {
                self.line(id, &mut shared);
            }
        }
    }

    /// A return: a row at each of its ends.
    fn lead(&mut self, id: WireId) {
        let vehicle = self.vehicle;
        let wire = vehicle.wire(id);
        let paint = self.paint(id);
        let text = self.lead_text(id);
        for (end, far) in [(wire.from, wire.to), (wire.to, wire.from)] {
            if end == TerminalId::CHASSIS {
                continue;
            }
            let to = if wire.assumed && far == TerminalId::CHASSIS {
                RowEnd::Assumed
            } else if far == TerminalId::CHASSIS {
                RowEnd::Ground(None)
            } else if self.is_ground_point(far) {
                RowEnd::Ground(Some(vehicle.terminal(far).label.clone()))
            } else {
                RowEnd::Point(vehicle.terminal(far).label.clone())
            };
            let row = Row {
                wire: wire.id.clone(),
                text: text.clone(),
                to,
                paint: paint.clone(),
                anchor: String::new(),
            };
            match self.at[end.index()] {
                Some(Place::Lead(device, lead)) => {
                    self.out.devices[device].leads[lead].rows.push(row);
                }
                Some(Place::Home(device)) => self.out.devices[device].leads[0].rows.push(row),
                Some(Place::Pin(device, pin)) => self.end_beside(id, device, pin, row),
                Some(Place::Bar(device, _, east)) => self.end_beside(id, device, east, row),
                Some(Place::Dot(_)) | None => {}
            }
        }
    }

    /// A return at a terminal on an edge: a line to a ground symbol or a tag of its own.
    fn end_beside(&mut self, id: WireId, device: usize, pin: usize, row: Row) {
        let side = self.out.devices[device].pins[pin].side;
        let label = self.out.devices[device].pins[pin].label.clone();
        let (symbol, title) = match &row.to {
            RowEnd::Ground(name) => (Symbol::Earth, name.clone().unwrap_or_default()),
            RowEnd::Assumed => (Symbol::Earth, String::new()),
            RowEnd::Point(name) => (
                Symbol::Tag {
                    text: name.clone(),
                    heat: Heat::Unknown,
                    link: None,
                },
                String::new(),
            ),
        };
        let text = self.text(id);
        let room = room(&text);
        let slot = self.slot(device, pin, room);
        let end_device = self.out.devices.len();
        self.out.devices.push(Device {
            name: label.clone(),
            symbol,
            title,
            notes: Vec::new(),
            marks: Vec::new(),
            pins: vec![Pin {
                label,
                name: String::new(),
                side: match side {
                    Side::West => Side::East,
                    Side::East => Side::West,
                },
                slots: vec![0],
                heat: Heat::Unknown,
                volts: None,
            }],
            leads: Vec::new(),
            first: false,
            last: false,
            live: false,
        });
        let own = End { device, pin, slot };
        self.out.joints.push(Joint {
            centre: Some(End {
                device: end_device,
                pin: 0,
                slot: 0,
            }),
            splice: None,
            cables: vec![Cable {
                id: row.wire,
                own,
                text_at: own,
                text,
                paint: row.paint,
                feeds: false,
                pull: 2,
            }],
        });
    }

    /// A new place on a pin, with room for a text.
    fn slot(&mut self, device: usize, pin: usize, room: i32) -> usize {
        let slots = &mut self.out.devices[device].pins[pin].slots;
        slots.push(room);
        slots.len() - 1
    }

    fn text(&self, id: WireId) -> [String; 2] {
        let wire = self.vehicle.wire(id);
        let [mut first, second] = words::wire(wire, self.units, self.current(id));
        let numbers = self.wire_numbers(id);
        if !numbers.is_empty() {
            first = format!("{first} {}", marks(&numbers));
        }
        [first, second]
    }

    fn current(&self, id: WireId) -> Option<String> {
        let shown = self.shown?;
        let amps = shown.solution.wire_amps.get(id.index())?;
        Some(words::current(amps.0, self.units))
    }

    fn lead_text(&self, id: WireId) -> String {
        let text = self.text(id);
        let joined = format!("{} {}", text[0], text[1]);
        joined.trim().to_owned()
    }

    fn paint(&self, id: WireId) -> Paint {
        let wire = self.vehicle.wire(id);
        let mut paint = words::paint(wire);
        paint.marked = !self.wire_numbers(id).is_empty();
        if let Some(shown) = self.shown {
            let live = |end: TerminalId| {
                end != TerminalId::CHASSIS
                    && shown
                        .solution
                        .live
                        .get(end.index())
                        .copied()
                        .unwrap_or(false)
            };
            paint.live = live(wire.from) || live(wire.to);
            // A return carries no voltage worth showing; it is in use when current flows.
            let flows = shown
                .solution
                .wire_amps
                .get(id.index())
                .is_some_and(|amps| amps.0.abs() > 1e-4);
            paint.dead = !paint.live && !flows;
        }
        paint
    }

    /// A wire that is drawn as a line.
    fn line(&mut self, id: WireId, shared: &mut BTreeMap<Shared, usize>) {
        let vehicle = self.vehicle;
        let wire = vehicle.wire(id);
        // The end nearer to a source first.
        let (up, down) = if self.feeds(id, wire.to) {
            (wire.from, wire.to)
        } else {
            (wire.to, wire.from)
        };
        let (Some(mut a), Some(mut b)) = (self.at[up.index()], self.at[down.index()]) else {
            return;
        };
        // Between two terminals on the right, the one with more wires is the shared point.
        let east = |place: Place| matches!(place, Place::Pin(device, pin) if self.out.devices[device].pins[pin].side == Side::East);
        if east(a) && east(b) && self.landed[down.index()].len() > self.landed[up.index()].len() {
            std::mem::swap(&mut a, &mut b);
        }
        let [mut first, second] = self.text(id);
        let far = self.at_text(a, b, up, down);
        if let Some(volts) = far {
            first = format!("{first} {volts}").trim().to_owned();
        }
        let text = [first, second];
        let width = room(&text);
        let pull = words::weight(wire.size).1;
        let cable = |own: End, text_at: End, feeds: bool, paint: Paint, text: [String; 2]| Cable {
            id: wire.id.clone(),
            own,
            text_at,
            text,
            paint,
            feeds,
            pull,
        };
        let paint = self.paint(id);
        if let Place::Dot(splice) = a {
            let own = self.own_end(b, true, width);
            let joint = self.shared_joint(Shared::Dot(splice), shared);
            self.out.joints[joint]
                .cables
                .push(cable(own, own, false, paint, text));
            return;
        }
        if let Place::Dot(splice) = b {
            let name = measure::width(&self.splice(splice).text, TEXT, true);
            let own = self.own_end(a, false, width + name + 8);
            let joint = self.shared_joint(Shared::Dot(splice), shared);
            self.out.joints[joint]
                .cables
                .push(cable(own, own, true, paint, text));
            return;
        }
        // A bar has a place for every wire; of other terminals, those on the right share one.
        let (side_a, side_b) = (self.side(a, false), self.side(b, true));
        if let (Place::Pin(device, pin), Side::East) = (a, side_a) {
            let own = self.own_end(b, true, width);
            let joint = self.shared_joint(Shared::Pin(device, pin), shared);
            self.out.joints[joint]
                .cables
                .push(cable(own, own, false, paint, text));
            return;
        }
        if let (Place::Pin(device, pin), Side::East) = (b, side_b) {
            let own = self.own_end(a, false, width);
            let joint = self.shared_joint(Shared::Pin(device, pin), shared);
            self.out.joints[joint]
                .cables
                .push(cable(own, own, true, paint, text));
            return;
        }
        // Both ends are this wire's own.
        let own = self.own_end(b, true, width);
        let centre = self.own_end(a, false, 0);
        self.out.joints.push(Joint {
            centre: Some(centre),
            splice: None,
            cables: vec![cable(own, own, false, paint, text)],
        });
    }

    /// The voltage at the end where the text of a line stands, where that is a pin on the left: a pin on the right shows its
    /// own.
    fn at_text(&self, a: Place, b: Place, up: TerminalId, down: TerminalId) -> Option<String> {
        let own = |place: Place| match place {
            Place::Pin(device, pin) => self.out.devices[device].pins[pin].side == Side::West,
            Place::Bar(..) => true,
            _ => false,
        };
        if own(b) {
            self.volts(down)
        } else if own(a) {
            self.volts(up)
        } else {
            None
        }
    }

    fn side(&self, place: Place, fed: bool) -> Side {
        match place {
            Place::Pin(device, pin) => self.out.devices[device].pins[pin].side,
            _ if fed => Side::West,
            _ => Side::East,
        }
    }

    /// A place of its own for a wire; `fed`: supply comes in by it.
    fn own_end(&mut self, place: Place, fed: bool, room: i32) -> End {
        let (device, pin) = match place {
            Place::Pin(device, pin) => (device, pin),
            Place::Bar(device, west, east) => (device, if fed { west } else { east }),
            Place::Lead(device, _) | Place::Home(device) => (device, 0),
            Place::Dot(_) => (0, 0),
        };
        let slot = self.slot(device, pin, room);
        End { device, pin, slot }
    }

    fn splice(&self, id: PartId) -> Splice {
        let part = self.vehicle.part(id);
        let numbers = self.numbers(id);
        let mut text = part.name.value.clone();
        if part.fields.text("tap").is_some() {
            text.push_str(" tap");
        }
        if !numbers.is_empty() {
            text = format!("{text} {}", marks(&numbers));
        }
        Splice {
            name: part.name.value.clone(),
            text,
            marks: numbers,
        }
    }

    fn shared_joint(&mut self, point: Shared, shared: &mut BTreeMap<Shared, usize>) -> usize {
        if let Some(&joint) = shared.get(&point) {
            return joint;
        }
        let joint = self.out.joints.len();
        let (centre, splice) = match point {
            Shared::Dot(id) => (None, Some(self.splice(id))),
            Shared::Pin(device, pin) => {
                let slot = self.slot(device, pin, 0);
                (Some(End { device, pin, slot }), None)
            }
        };
        self.out.joints.push(Joint {
            centre,
            splice,
            cables: Vec::new(),
        });
        shared.insert(point, joint);
        joint
    }
}

/// A point that several wires share.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Shared {
    Pin(usize, usize),
    Dot(PartId),
}

/// Width to keep for a wire's text.
fn room(text: &[String; 2]) -> i32 {
    let width = text
        .iter()
        .map(|line| measure::width(line, TEXT, false))
        .max()
        .unwrap_or(0);
    if width == 0 { 0 } else { width + 12 }
}
