//! Boxes with named pins, connectors, and bars that several wires land on.

use super::pen::Pen;
use super::{Figure, LIMIT, PIN, Words, comb, lead, places, span, up, volts};
use crate::draw::drawing::{Anchor, BODY, Colour, DASHED, Ink, LEAD};
use crate::draw::measure;
use crate::draw::net::{Device, Pin, Symbol};
use crate::draw::pass::Side;

/// A rectangle with the names of its pins inside, its words above, its returns below.
pub fn unit(device: &Device) -> Figure {
    let words = Words::of(device, LIMIT + 20);
    let room = lead::room(&device.leads);
    let widest = |side: Side| {
        device
            .pins
            .iter()
            .filter(|pin| pin.side == side)
            .map(|pin| measure::width(&pin.name, PIN, false))
            .max()
            .unwrap_or(0)
    };
    let body = (widest(Side::West) + widest(Side::East) + 22).max(50);
    let width = up((body + 28).max(words.width + 8).max(40 + room.width), 20);
    let (left, right) = (14.0, f64::from(width) - 14.0);
    let top = words.height + 4;
    let start = up(top + 14, 10);
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut rows = [start, start];
    for (index, pin) in device.pins.iter().enumerate() {
        let row = &mut rows[usize::from(pin.side == Side::East)];
        ports[index] = places(&pin.slots, *row);
        *row += span(&pin.slots) + 30;
    }
    let under = if device.leads.is_empty() { 14 } else { 8 };
    let foot = rows[0].max(rows[1]).max(start + 20) - under;
    pen.frame(
        (left, f64::from(top)),
        right - left,
        f64::from(foot - top),
        BODY,
        Some(Colour::WHITE),
    );
    for (index, pin) in device.pins.iter().enumerate() {
        let y = f64::from(ports[index][0]);
        let (edge, body, x, anchor) = match pin.side {
            Side::West => (0.0, left, left + 4.0, Anchor::Start),
            Side::East => (f64::from(width), right, right - 4.0, Anchor::End),
        };
        reach[index] = comb(&mut pen, pin, edge, body, &ports[index]);
        pen.text((x, y + 3.0), &pin.name, PIN, false, anchor);
        volts(&mut pen, device, index, right, ports[index][0]);
    }
    words.centred(&mut pen, f64::from(width) / 2.0, 0.0);
    let labels = if device.leads.is_empty() {
        Vec::new()
    } else {
        let names: Vec<&str> = device.leads.iter().map(|lead| lead.name.as_str()).collect();
        if let [one] = names.as_slice() {
            pen.text(
                (26.0 + 4.0, f64::from(foot) - 4.0),
                one,
                PIN,
                false,
                Anchor::Start,
            );
        }
        lead::draw(&mut pen, &device.leads, 26.0, f64::from(foot))
    };
    Figure {
        width,
        height: up(foot + room.height.max(6) + 2, 10),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels,
        anchors: Vec::new(),
    }
}

/// A row for each pin: pin bar and socket arc, the number between them.
pub fn connector(device: &Device) -> Figure {
    let words = Words::of(device, LIMIT);
    let mut names: Vec<&str> = Vec::new();
    for pin in &device.pins {
        let name = side_of(&pin.name);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    let widest = names
        .iter()
        .map(|name| measure::width(name, PIN, true))
        .max()
        .unwrap_or(0);
    let width = up((words.width + 8).max(60 + widest), 20);
    let middle = f64::from(width) / 2.0;
    let top = words.height + 4;
    let mut y = up(top + 16, 10);
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut rows: Vec<f64> = Vec::new();
    for name in &names {
        let mut deepest = 0;
        let line = f64::from(y);
        let mut wired = [false; 2];
        for (index, pin) in device.pins.iter().enumerate() {
            if side_of(&pin.name) != *name {
                continue;
            }
            ports[index] = places(&pin.slots, y);
            deepest = deepest.max(span(&pin.slots));
            let (edge, body) = match pin.side {
                Side::West => (0.0, middle - 7.0),
                Side::East => (f64::from(width), middle + 8.0),
            };
            wired[usize::from(pin.side == Side::East)] = true;
            reach[index] = comb(&mut pen, pin, edge, body, &ports[index]);
            volts(&mut pen, device, index, body, y);
        }
        // The pin on the left goes into the socket on the right.
        pen.line(
            &[(middle - 8.0, line), (middle + 2.0, line)],
            Ink::solid(4.0),
        );
        pen.arc((middle + 4.0, line - 6.0), (middle + 4.0, line + 6.0), 6.0);
        pen.text((middle, line - 8.0), name, PIN, true, Anchor::Middle);
        rows.push(line);
        y += deepest + 30;
    }
    // What belongs together; the numbers stay clear of it.
    for pair in rows.windows(2) {
        pen.line(
            &[
                (middle + 1.0, pair[0] + 7.0),
                (middle + 1.0, pair[1] - 16.0),
            ],
            DASHED,
        );
    }
    words.centred(&mut pen, middle, 0.0);
    Figure {
        width,
        height: y - 10,
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: Vec::new(),
    }
}

/// The pin's name without its side.
fn side_of(name: &str) -> &str {
    name.strip_suffix(".a")
        .or_else(|| name.strip_suffix(".b"))
        .unwrap_or(name)
}

/// A bar with a place for each wire; a splice or stud with one wire on each side is a dot or ring.
pub fn bar(device: &Device) -> Figure {
    let words = Words::of(device, LIMIT);
    let width = up((words.width + 8).max(40), 20);
    let middle = f64::from(width) / 2.0;
    let start = up(words.height + 18, 10);
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut last = start;
    // As far apart as tags, so that lines to them run straight.
    let pitch = |pin: &Pin| if pin.slots.len() > 1 { 30 } else { 0 };
    for (index, pin) in device.pins.iter().enumerate() {
        let count = pin.slots.len().max(1) as i32;
        ports[index] = (0..count).map(|slot| start + pitch(pin) * slot).collect();
        last = last.max(start + pitch(pin) * (count - 1));
        let half = match device.symbol {
            Symbol::Busbar => 4,
            Symbol::Stud => 5,
            _ => 2,
        };
        reach[index] = width / 2 - half;
        if pin.slots.is_empty() {
            ports[index].clear();
        }
    }
    let (from, to) = (f64::from(start), f64::from(last));
    match device.symbol {
        Symbol::Busbar => pen.frame(
            (middle - 4.0, from - 8.0),
            8.0,
            to - from + 16.0,
            BODY,
            Some(Colour::WHITE),
        ),
        Symbol::Stud => {
            if last > start {
                pen.line(&[(middle, from), (middle, to)], Ink::solid(3.0));
            }
            pen.ring((middle, from), 5.0);
            pen.dot((middle, from), 1.6);
        }
        _ => {
            if last > start {
                pen.line(&[(middle, from), (middle, to)], Ink::solid(3.0));
            }
            pen.dot((middle, from), 3.4);
        }
    }
    if matches!(device.symbol, Symbol::Busbar) {
        for &place in ports.iter().flatten() {
            pen.shapes.push(crate::draw::drawing::Shape::Circle {
                centre: (middle, f64::from(place)),
                radius: 1.8,
                ink: Some(LEAD),
                fill: Some(Colour::WHITE),
            });
        }
    }
    words.centred(&mut pen, middle, f64::from(start - 18 - words.height));
    Figure {
        width,
        height: up(last + 20, 10),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: Vec::new(),
    }
}
