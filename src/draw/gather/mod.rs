//! From the vehicle to what is to be drawn: a symbol for each part, a side for each terminal, nets of wires.
//!
//! Returns are not drawn as lines: each is a lead under its part with the wire's text, to a ground symbol or to the name of the
//! point where it lands, and that point lists it again.

mod side;
mod wire;

use crate::draw::flow::{self, Flow};
use crate::draw::net::{Device, Heat, Lead, Pin, Schematic, Symbol};
use crate::draw::pass::Side;
use crate::draw::words;
use crate::draw::{Mark, Shown};
use crate::model::{BranchId, PartId, TerminalId, Vehicle, WireId};
use crate::quantity::show::{Units, measure as show_measure};
use crate::read::document::{Kind, Value};

/// What is known while gathering.
pub struct Gatherer<'v> {
    pub(in crate::draw) vehicle: &'v Vehicle,
    pub(in crate::draw) units: Units,
    shown: Option<&'v Shown<'v>>,
    marks: &'v [Mark],
    pub(in crate::draw) flow: Flow,
    /// When each terminal is live by itself.
    pub(in crate::draw) heat: Vec<Heat>,
    /// Wires at each terminal, in document order.
    pub(in crate::draw) landed: Vec<Vec<WireId>>,
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
    let mut gatherer = Gatherer::new(vehicle, units, shown, marks);
    gatherer.choose_dots();
    for id in vehicle.part_ids() {
        gatherer.device(id);
    }
    gatherer.wires();
    gatherer.out
}

impl<'v> Gatherer<'v> {
    /// Knows the vehicle, and has gathered nothing.
    pub(in crate::draw) fn new(
        vehicle: &'v Vehicle,
        units: Units,
        shown: Option<&'v Shown<'v>>,
        marks: &'v [Mark],
    ) -> Self {
        let mut landed = vec![Vec::new(); vehicle.terminals.len()];
        for id in vehicle.wire_ids() {
            let wire = vehicle.wire(id);
            landed[wire.from.index()].push(id);
            if wire.to != wire.from {
                landed[wire.to.index()].push(id);
            }
        }
        Self {
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
        }
    }
}

impl Gatherer<'_> {
    pub(in crate::draw) fn other(&self, wire: WireId, end: TerminalId) -> TerminalId {
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

    pub(in crate::draw) fn numbers(&self, id: PartId) -> Vec<usize> {
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

    /// Whether a contact is closed in the situation shown.
    pub(in crate::draw) fn closed(&self, branch: BranchId) -> bool {
        self.shown.is_some_and(|shown| {
            let closed = shown.solution.closed.get(branch.index());
            closed.copied().unwrap_or(false)
        })
    }

    /// Whether current flows through a part in the situation shown.
    pub(in crate::draw) fn conducts(&self, id: PartId) -> bool {
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

    /// Whether a terminal takes control only.
    fn controls(&self, end: TerminalId) -> bool {
        let terminal = self.vehicle.terminal(end);
        let name = terminal.name.as_str();
        let Some(id) = terminal.part else {
            return false;
        };
        let part = self.vehicle.part(id);
        match part.kind {
            Kind::Relay => matches!(name, "85" | "86" | "set" | "reset"),
            Kind::Controller => part
                .fields
                .list("senses")
                .iter()
                .any(|one| matches!(one, Value::Text(text) if text.value == name)),
            _ => false,
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
            control: self.controls(end),
            ends: Vec::new(),
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
        if matches!(device.symbol, Symbol::Diode { .. }) {
            let first = if part.kind == Kind::Diode { "in" } else { "a" };
            let back = device
                .pin(first)
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
}
