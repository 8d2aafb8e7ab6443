//! Nets of wires, and returns as leads under their parts.

use std::collections::BTreeMap;

use super::{Gatherer, Place};
use crate::draw::measure;
use crate::draw::net::{Beside, Cable, End, Joint, Paint, Row, RowEnd, Splice};
use crate::draw::pass::Side;
use crate::draw::symbol::{TEXT, lead, marks};
use crate::draw::words;
use crate::model::{PartId, TerminalId, WireId};

impl Gatherer<'_> {
    pub(super) fn wires(&mut self) {
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
    pub(super) fn lead(&mut self, id: WireId) {
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

    /// A return at a terminal on an edge: a line to a ground symbol or to the name of a terminal, beside it.
    fn end_beside(&mut self, id: WireId, device: usize, pin: usize, row: Row) {
        let text = self.text(id);
        let end = lead::end_width(&row.to);
        let slot = self.slot(device, pin, room(&text).max(20) + end);
        self.out.devices[device].pins[pin]
            .ends
            .push(Beside { slot, row, text });
    }

    /// A new place on a pin, with room for a text.
    fn slot(&mut self, device: usize, pin: usize, room: i32) -> usize {
        let slots = &mut self.out.devices[device].pins[pin].slots;
        slots.push(room);
        slots.len() - 1
    }

    pub(in crate::draw) fn text(&self, id: WireId) -> [String; 2] {
        let wire = self.vehicle.wire(id);
        let [mut first, second] = words::wire(wire, self.units, self.current(id));
        let numbers = self.wire_numbers(id);
        if !numbers.is_empty() {
            first = format!("{first} {}", marks(&numbers));
        }
        [first, second]
    }

    pub(super) fn current(&self, id: WireId) -> Option<String> {
        let shown = self.shown?;
        let amps = shown.solution.wire_amps.get(id.index())?;
        Some(words::current(amps.0, self.units))
    }

    fn lead_text(&self, id: WireId) -> String {
        let text = self.text(id);
        let joined = format!("{} {}", text[0], text[1]);
        joined.trim().to_owned()
    }

    pub(in crate::draw) fn paint(&self, id: WireId) -> Paint {
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
        // Of a bar with many wires one line is drawn, which they branch off: so many side by side could not be followed.
        if let Place::Bar(device, _, east) = a
            && self.many(up)
        {
            let own = self.own_end(b, true, width);
            let joint = self.shared_joint(Shared::Pin(device, east), shared);
            self.out.joints[joint]
                .cables
                .push(cable(own, own, false, paint, text));
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

    /// Whether a bar feeds more wires than can be followed side by side.
    fn many(&self, bar: TerminalId) -> bool {
        const SIDE_BY_SIDE: usize = 6;
        let wires = &self.landed[bar.index()];
        let fed = wires.iter().filter(|&&wire| !self.feeds(wire, bar));
        fed.count() > SIDE_BY_SIDE
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

    pub(super) fn side(&self, place: Place, fed: bool) -> Side {
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

    pub(super) fn splice(&self, id: PartId) -> Splice {
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
