//! Sources: batteries, alternators, chargers, and the vehicle's feeds.

use super::pen::Pen;
use super::{Figure, LIMIT, PIN, WORDS, Words, comb, lead, places, span, tag, up, volts};
use crate::draw::drawing::{Anchor, BODY, LEAD};
use crate::draw::measure;
use crate::draw::net::{Device, Heat, Symbol};
use crate::draw::pass::Side;

/// Draws it; a source whose terminals lie otherwise than expected is a box with named pins.
pub fn draw(device: &Device) -> Figure {
    if let Symbol::Feed(heat) = device.symbol {
        return feed(device, heat);
    }
    let east = device.pins.iter().filter(|pin| pin.side == Side::East);
    if east.count() > 1 || device.leads.len() > 1 {
        return super::boxes::unit(device);
    }
    let words = Words::of(device, LIMIT);
    let room = lead::room(&device.leads);
    // From the height of the terminal up to the words.
    let above = match device.symbol {
        Symbol::Battery => 10,
        Symbol::Alternator => 14,
        _ => 12,
    };
    let y = up(words.height + above, 10);
    let body_x = f64::from(30.max(words.width / 2 + 4));
    let half = match device.symbol {
        Symbol::Battery => 0,
        _ => 14,
    };
    let width = up(
        (body_x as i32 + words.width / 2 + 4)
            .max(body_x as i32 + half + 40)
            .max(body_x as i32 + room.width + 6),
        20,
    );
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut deepest = 0;
    for (index, pin) in device.pins.iter().enumerate() {
        // A `-` that is not at ground but feeds on from another battery's `+`: on the left, at the height of the plates.
        let row = if pin.side == Side::West { y + 30 } else { y };
        ports[index] = places(&pin.slots, row);
        deepest = deepest.max(row - y + span(&pin.slots));
        let edge = match pin.side {
            Side::West => 0.0,
            Side::East => f64::from(width),
        };
        reach[index] = comb(&mut pen, pin, edge, body_x, &ports[index]);
        volts(&mut pen, device, index, body_x + f64::from(half) + 4.0, row);
    }
    let top = f64::from(y);
    let foot = match device.symbol {
        Symbol::Battery => {
            pen.lead((body_x, top), (body_x, top + 6.0));
            for (step, half, thick) in [
                (6.0, 14.0, 1.2),
                (11.0, 7.0, 3.0),
                (17.0, 14.0, 1.2),
                (22.0, 7.0, 3.0),
            ] {
                pen.line(
                    &[(body_x - half, top + step), (body_x + half, top + step)],
                    crate::draw::drawing::Ink::solid(thick),
                );
            }
            pen.text(
                (body_x - 10.0, top + 3.0),
                "+",
                TEXT_PLUS,
                true,
                Anchor::End,
            );
            pen.lead((body_x, top + 23.0), (body_x, top + 30.0));
            top + 30.0
        }
        Symbol::Alternator => {
            pen.ring((body_x, top + 4.0), 13.0);
            pen.text((body_x, top + 4.0), "G", 12.0, false, Anchor::Middle);
            pen.text((body_x, top + 12.0), "3~", PIN, false, Anchor::Middle);
            top + 17.0
        }
        _ => {
            pen.bar(
                (body_x, top + 4.0),
                28.0,
                20.0,
                Some(crate::draw::drawing::Colour::WHITE),
            );
            pen.line(
                &[(body_x - 14.0, top + 14.0), (body_x + 14.0, top - 6.0)],
                LEAD,
            );
            pen.text((body_x - 8.0, top + 3.0), "~", WORDS, false, Anchor::Middle);
            pen.line(
                &[(body_x + 3.0, top + 10.0), (body_x + 11.0, top + 10.0)],
                BODY,
            );
            top + 14.0
        }
    };
    let labels = if device.leads.is_empty() {
        Vec::new()
    } else {
        lead::draw(&mut pen, &device.leads, body_x, foot)
    };
    words.centred(&mut pen, body_x, f64::from(y - above - words.height));
    Figure {
        width,
        height: up((foot as i32 + room.height + 4).max(y + deepest + 20), 10),
        ports,
        reach,
        open: false,
        shapes: pen.shapes,
        labels,
        anchors: Vec::new(),
    }
}

const TEXT_PLUS: f64 = 12.0;

/// A feed of the vehicle: a pentagon that points to what it feeds, its name inside, its words above.
fn feed(device: &Device, heat: Heat) -> Figure {
    let mut named = device.clone();
    named.title = String::new();
    named.notes.retain(|note| !note.is_empty());
    let words = Words::of(&named, LIMIT);
    let above = words.height - 12;
    let inner = measure::width(&device.title, super::TEXT, true);
    let marks = super::marks(&device.marks);
    let extra = if marks.is_empty() {
        0
    } else {
        measure::width(&marks, super::TEXT, true) + 6
    };
    let body = inner + 28;
    let width = up((words.width + 8).max(body + 16 + extra), 20);
    let y = up(above + 16, 10).max(20);
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut deepest = 0;
    let right = f64::from(width) - 10.0;
    for (index, pin) in device.pins.iter().enumerate() {
        ports[index] = places(&pin.slots, y);
        deepest = deepest.max(span(&pin.slots));
        let (edge, end) = match pin.side {
            Side::West => (0.0, right - f64::from(body)),
            Side::East => (f64::from(width), right),
        };
        reach[index] = comb(&mut pen, pin, edge, end, &ports[index]);
        volts(&mut pen, device, index, end, y);
    }
    tag::pentagon(
        &mut pen,
        (right - f64::from(body), f64::from(y)),
        body,
        &device.title,
        heat,
    );
    if extra > 0 {
        pen.write(
            (right - f64::from(body) - 4.0, f64::from(y) + 3.5),
            &marks,
            super::TEXT,
            true,
            Anchor::End,
            crate::draw::drawing::Colour::MARK,
        );
    }
    for (index, line) in words.lines.iter().enumerate() {
        let top = f64::from(y) - 14.0 - 10.0 * (words.lines.len() - 1 - index) as f64;
        pen.text((right, top), line, WORDS, false, Anchor::End);
    }
    Figure {
        width,
        height: y + up(deepest + 20, 10),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: Vec::new(),
    }
}
