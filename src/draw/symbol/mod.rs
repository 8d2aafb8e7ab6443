//! The symbol library: a device in, its outline, terminals and shapes out.
//!
//! Shapes follow the simple forms of IEC 60617, from memory, on a grid of ten units. Every terminal lies on the left or right
//! edge of the room that a device takes, at a multiple of ten; texts and ground leads lie inside that room.

mod boxes;
pub mod glyph;
pub mod inline;
pub mod lead;
mod load;
pub mod pen;
mod relay;
mod source;
mod tag;

use super::drawing::{Anchor, Colour, Frame, Point, Shape};
use super::measure;
use super::net::{Device, Pin, Symbol};
use super::pass::Side;
use pen::Pen;

/// Size of designations and of texts on wires.
pub const TEXT: f64 = 10.0;
/// Size of words under a designation.
pub const WORDS: f64 = 9.0;
/// Size of terminal names.
pub const PIN: f64 = 8.5;
/// Widest line of words.
const LIMIT: i32 = 110;

/// A symbol with its room.
#[derive(Clone, Debug, Default)]
pub struct Figure {
    /// Width of the room, a multiple of twenty so that symbols line up in a column.
    pub width: i32,
    /// Height of the room, a multiple of ten.
    pub height: i32,
    /// Height of each place of each pin.
    pub ports: Vec<Vec<i32>>,
    /// How far inside the room each pin's symbol begins: the wire is drawn up to there. Nothing where several wires land on a
    /// pin and meet inside the room.
    pub reach: Vec<i32>,
    /// The room beside the symbol is free at the height of its pins, so that the text of a wire may stand there.
    pub open: bool,
    /// What is drawn, from the top left corner of the room.
    pub shapes: Vec<Shape>,
    /// Texts of the wires under it, by wire id.
    pub labels: Vec<(String, Frame)>,
    /// Places that other sheets refer to, by name.
    pub anchors: Vec<(String, Point)>,
}

/// Draws a device.
#[must_use]
pub fn figure(device: &Device) -> Figure {
    match &device.symbol {
        Symbol::Battery | Symbol::Alternator | Symbol::Charger | Symbol::Feed(_) => {
            source::draw(device)
        }
        Symbol::Fuse
        | Symbol::FusibleLink
        | Symbol::Breaker
        | Symbol::Switch { .. }
        | Symbol::Disconnect
        | Symbol::Diode { .. }
        | Symbol::Isolator
            if inline::fits(device) =>
        {
            inline::draw(device)
        }
        Symbol::Load(glyph) if load::fits(device) => load::draw(device, *glyph),
        Symbol::Relay { across } if relay::fits(device) => relay::draw(device, *across),
        Symbol::Connector => boxes::connector(device),
        Symbol::Splice | Symbol::Stud | Symbol::Busbar => boxes::bar(device),
        Symbol::Stub => tag::stub(device),
        Symbol::Home | Symbol::GroundPoint => lead::home(device),
        Symbol::Tag { text, heat, link } => tag::tag(device, text, *heat, link),
        Symbol::List => lead::list(device),
        _ => boxes::unit(device),
    }
}

/// Rounds up to a multiple.
const fn up(value: i32, step: i32) -> i32 {
    (value + step - 1).div_euclid(step) * step
}

/// The words over or beside a symbol.
struct Words {
    title: String,
    lines: Vec<String>,
    marks: String,
    width: i32,
    height: i32,
}

impl Words {
    fn of(device: &Device, limit: i32) -> Self {
        let mut lines = Vec::new();
        for note in &device.notes {
            lines.extend(measure::even(note, WORDS, limit, 3));
        }
        let marks = marks(&device.marks);
        let title = measure::width(&device.title, TEXT, true)
            + if marks.is_empty() {
                0
            } else {
                6 + measure::width(&marks, TEXT, true)
            };
        let width = lines
            .iter()
            .map(|line| measure::width(line, WORDS, false))
            .max()
            .unwrap_or(0)
            .max(title);
        Self {
            title: device.title.clone(),
            height: 12 + 10 * lines.len() as i32,
            lines,
            marks,
            width,
        }
    }

    /// Centred about an upright line, the first line's top at `top`.
    fn centred(&self, pen: &mut Pen, middle: f64, top: f64) {
        self.heading(pen, middle, top + 9.0, Anchor::Middle);
        for (index, line) in self.lines.iter().enumerate() {
            let y = top + 19.0 + 10.0 * index as f64;
            pen.text((middle, y), line, WORDS, false, Anchor::Middle);
        }
    }

    /// Beside a symbol.
    fn beside(&self, pen: &mut Pen, left: f64, top: f64) {
        self.heading(pen, left, top + 9.0, Anchor::Start);
        for (index, line) in self.lines.iter().enumerate() {
            let y = top + 19.0 + 10.0 * index as f64;
            pen.text((left, y), line, WORDS, false, Anchor::Start);
        }
    }

    fn heading(&self, pen: &mut Pen, x: f64, y: f64, anchor: Anchor) {
        if self.marks.is_empty() {
            pen.text((x, y), &self.title, TEXT, true, anchor);
            return;
        }
        let title = f64::from(measure::width(&self.title, TEXT, true));
        let whole = title + 6.0 + f64::from(measure::width(&self.marks, TEXT, true));
        let left = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - whole / 2.0,
            Anchor::End => x - whole,
        };
        pen.text((left, y), &self.title, TEXT, true, Anchor::Start);
        pen.write(
            (left + title + 6.0, y),
            &self.marks,
            TEXT,
            true,
            Anchor::Start,
            Colour::MARK,
        );
    }
}

/// Numbers of marks as they stand beside a part or wire: an exclamation mark, so that they show without colour.
#[must_use]
pub fn marks(numbers: &[usize]) -> String {
    let list: Vec<String> = numbers.iter().map(|number| format!("!{number}")).collect();
    list.join(" ")
}

/// Distance between the places of a pin: room for a text, where one has to stand there.
fn pitch(slots: &[i32]) -> i32 {
    if slots.iter().any(|room| *room > 0) {
        30
    } else {
        20
    }
}

/// Height that a pin takes, from its first place to its last.
fn span(slots: &[i32]) -> i32 {
    pitch(slots) * (slots.len().max(1) as i32 - 1)
}

/// Heights of the places of a pin whose first is at `y`.
fn places(slots: &[i32], y: i32) -> Vec<i32> {
    (0..slots.len().max(1) as i32)
        .map(|slot| y + pitch(slots) * slot)
        .collect()
}

/// Leads from the edge to a symbol: a comb where several wires land on the terminal; nothing where one does, as its own line
/// goes on to the symbol; a plain lead where none does. Gives how far the wire goes in.
fn comb(pen: &mut Pen, pin: &Pin, edge: f64, body: f64, places: &[i32]) -> i32 {
    let side = pin.side;
    let Some((&first, rest)) = places.split_first() else {
        return 0;
    };
    let y = f64::from(first);
    let inside = (body - edge).abs().floor() as i32;
    if pin.slots.len() == 1 {
        return inside;
    }
    if pin.slots.is_empty() {
        // Nothing lands here: a short end, so that it does not look like a wire.
        let stub = inside.min(8);
        let end = if edge < body {
            body - f64::from(stub)
        } else {
            body + f64::from(stub)
        };
        pen.lead((end, y), (body, y));
        return inside - stub;
    }
    pen.lead((edge, y), (body, y));
    if let Some(&last) = rest.last() {
        let x = match side {
            Side::West => edge + 7.0,
            Side::East => edge - 7.0,
        };
        pen.lead((x, y), (x, f64::from(last)));
        for &place in rest {
            pen.lead((edge, f64::from(place)), (x, f64::from(place)));
        }
        pen.dot((x, y), 2.6);
        for &place in &rest[..rest.len() - 1] {
            pen.dot((x, f64::from(place)), 2.6);
        }
    }
    0
}

/// Voltage of a terminal on the right, beside the end of its symbol.
fn volts(pen: &mut Pen, device: &Device, pin: usize, edge: f64, y: i32) {
    let Some(text) = &device.pins[pin].volts else {
        return;
    };
    // Pins on the left show it in the text of their wire, as does a pin on the right beside which a text stands.
    let pin = &device.pins[pin];
    if pin.side == Side::East && pin.slots.iter().all(|room| *room == 0) {
        pen.text(
            (edge + 3.0, f64::from(y) - 3.5),
            text,
            PIN,
            false,
            Anchor::Start,
        );
    }
}
