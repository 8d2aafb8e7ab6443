//! Loads: the symbol at the left, its words to the right, its ground under it.

use super::pen::Pen;
use super::{Figure, LIMIT, Words, comb, glyph, lead, places, span, up, volts};
use crate::draw::net::{Device, Glyph};
use crate::draw::pass::Side;

/// Whether it has one supply, and its return under it or on the right.
pub fn fits(device: &Device) -> bool {
    let on = |side: Side| device.pins.iter().filter(|pin| pin.side == side).count();
    let under = device.leads.len();
    (on(Side::West) == 1 && on(Side::East) == 0 && under <= 1)
        || (on(Side::West) <= 1 && on(Side::East) <= 1 && under == 0)
}

/// Draws it.
pub fn draw(device: &Device, glyph: Glyph) -> Figure {
    if device.pins.iter().any(|pin| pin.side == Side::East) {
        return through(device, glyph);
    }
    let words = Words::of(device, LIMIT + 20);
    let room = lead::room(&device.leads);
    // The words start level with the top of the body; the return's words come under them.
    let y = 20;
    let middle = 28.0;
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut deepest = 0;
    for (index, pin) in device.pins.iter().enumerate() {
        ports[index] = places(&pin.slots, y);
        deepest = deepest.max(span(&pin.slots));
        reach[index] = comb(&mut pen, pin, 0.0, middle - 12.0, &ports[index]);
        volts(&mut pen, device, index, 0.0, y);
    }
    let foot = f64::from(y) + if half_height(glyph) > 10 { 12.0 } else { 10.0 };
    words.beside(&mut pen, middle + 20.0, 1.0);
    let down = (foot as i32).max(words.height + 3);
    let mut labels = Vec::new();
    if !device.leads.is_empty() {
        pen.lead((middle, foot - 6.0), (middle, f64::from(down)));
        labels = lead::draw(&mut pen, &device.leads, middle, f64::from(down));
    }
    // The body covers the start of its leads.
    glyph::load(&mut pen, glyph, (middle, f64::from(y)));
    let right = (middle as i32 + 20 + words.width).max(middle as i32 + room.width);
    Figure {
        width: up(right + 4, 20),
        height: up(
            (down + room.height + 2)
                .max(words.height + 4)
                .max(y + deepest + 20),
            10,
        ),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels,
        anchors: Vec::new(),
    }
}

/// A load whose return goes on to the right: drawn in line, words above.
fn through(device: &Device, glyph: Glyph) -> Figure {
    let words = Words::of(device, LIMIT);
    let above = if glyph == Glyph::Led { 18 } else { 14 };
    let y = up(words.height + above + 2, 10);
    let width = up((words.width + 8).max(80), 20);
    let middle = f64::from(width) / 2.0;
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut deepest = 0;
    for (index, pin) in device.pins.iter().enumerate() {
        ports[index] = places(&pin.slots, y);
        deepest = deepest.max(span(&pin.slots));
        let (edge, body) = match pin.side {
            Side::West => (0.0, middle - 12.0),
            Side::East => (f64::from(width), middle + 12.0),
        };
        reach[index] = comb(&mut pen, pin, edge, body, &ports[index]);
        volts(&mut pen, device, index, body, y);
    }
    glyph::load(&mut pen, glyph, (middle, f64::from(y)));
    words.centred(&mut pen, middle, f64::from(y - above - 2 - words.height));
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

const fn half_height(glyph: Glyph) -> i32 {
    match glyph {
        Glyph::Heater => 6,
        Glyph::Electronics => 10,
        _ => 12,
    }
}
