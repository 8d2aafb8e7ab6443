//! A schematic in the making: devices get their places for wires anew.

use std::collections::BTreeMap;

use crate::draw::net::{
    Cable, Device, End, Heat, Joint, Lead, Link, Paint, Pin, Row, Schematic, Symbol,
};
use crate::draw::pass::Side;

/// A schematic in the making: devices get their places for wires anew.
#[derive(Default)]
pub(super) struct Builder {
    pub(super) out: Schematic,
    pub(super) number: BTreeMap<usize, usize>,
    /// Lists of wires that go on elsewhere, by device and pin of this schematic.
    pub(super) lists: Vec<((usize, usize), Vec<Row>)>,
    /// The same on a splice that is a dot, by number of its net here.
    pub(super) dots: Vec<(usize, Vec<Row>)>,
}

impl Builder {
    pub(super) fn take(&mut self, index: usize, device: &Device) {
        let mut device = device.clone();
        for pin in &mut device.pins {
            // Wires that end beside it keep their places, before those that are shared out anew.
            let rooms = pin.ends.iter().map(|end| pin.slots.get(end.slot).copied());
            pin.slots = rooms.map(Option::unwrap_or_default).collect();
            for (slot, end) in pin.ends.iter_mut().enumerate() {
                end.slot = slot;
            }
        }
        device.last = matches!(device.symbol, Symbol::Load(_));
        self.number.insert(index, self.out.devices.len());
        self.out.devices.push(device);
    }

    /// A place for a wire, with the room that it had.
    pub(super) fn end(&mut self, schematic: &Schematic, end: End) -> End {
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
    pub(super) fn cable(
        &mut self,
        schematic: &Schematic,
        cable: &Cable,
        centre: Option<End>,
    ) -> Cable {
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
    pub(super) fn arriving(&mut self, schematic: &Schematic, cable: &Cable) -> Cable {
        let own = self.end(schematic, cable.own);
        self.out.devices[own.device].pins[own.pin].slots[own.slot] = text_room(cable);
        Cable {
            own,
            text_at: own,
            ..cable.clone()
        }
    }

    pub(super) fn tag(&mut self, text: String, heat: Heat, link: Link, side: Side) -> End {
        let device = self.out.devices.len();
        self.out.devices.push(Device {
            name: text.clone(),
            symbol: Symbol::Tag {
                text: text.clone(),
                heat,
                link,
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
                control: false,
                ends: Vec::new(),
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
    pub(super) fn list(&mut self, label: String, rows: Vec<Row>) -> Cable {
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
                control: false,
                ends: Vec::new(),
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

    pub(super) fn finish(mut self) -> Schematic {
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

pub(super) fn is_bar(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Splice | Symbol::Stud | Symbol::Busbar)
}

pub(super) fn text_room(cable: &Cable) -> i32 {
    let width = cable
        .text
        .iter()
        .map(|line| crate::draw::measure::width(line, crate::draw::symbol::TEXT, false))
        .max()
        .unwrap_or(0);
    if width == 0 { 0 } else { width + 12 }
}
