//! Symbols with one terminal on each side, on one line.

use super::pen::Pen;
use super::{Figure, LIMIT, PIN, Words, comb, places, span, up, volts};
use crate::draw::drawing::{Anchor, BODY, Colour, DASHED, LEAD, Point, THIN};
use crate::draw::net::{Device, Symbol};
use crate::draw::pass::Side;

/// Whether it has at most one terminal on each side and none below.
pub fn fits(device: &Device) -> bool {
    let on = |side: Side| device.pins.iter().filter(|pin| pin.side == side).count();
    on(Side::West) <= 1 && on(Side::East) <= 1 && device.leads.is_empty()
}

/// Draws it with its words above.
pub fn draw(device: &Device) -> Figure {
    let (half, above) = match device.symbol {
        Symbol::Breaker => (12.0, 14),
        Symbol::Switch { momentary: true } => (14.0, 20),
        Symbol::Switch { .. } | Symbol::Disconnect => (14.0, 14),
        Symbol::Isolator => (18.0, 14),
        _ => (14.0, 14),
    };
    // The text of a wire may reach a little further down than that.
    let below = match device.symbol {
        Symbol::FusibleLink | Symbol::Isolator => 20,
        _ => 10,
    };
    let words = Words::of(device, LIMIT);
    let y = up(words.height + above + 4, 10).max(20);
    let width = up((words.width + 8).max(2 * half as i32 + 36), 20);
    let middle = f64::from(width) / 2.0;
    let mut pen = Pen::default();
    let mut ports = vec![Vec::new(); device.pins.len()];
    let mut reach = vec![0; device.pins.len()];
    let mut deepest = 0;
    for (index, pin) in device.pins.iter().enumerate() {
        ports[index] = places(&pin.slots, y);
        deepest = deepest.max(span(&pin.slots));
        // Texts of wires stay outside an outline.
        let half = match device.symbol {
            Symbol::Disconnect => half + 6.0,
            _ => half,
        };
        let (edge, body) = match pin.side {
            Side::West => (0.0, middle - half),
            Side::East => (f64::from(width), middle + half),
        };
        reach[index] = comb(&mut pen, pin, edge, body, &ports[index]);
        volts(&mut pen, device, index, body, y);
    }
    body(
        &mut pen,
        &device.symbol,
        device.live,
        (middle, f64::from(y)),
        half,
    );
    words.centred(&mut pen, middle, f64::from(y - above - 4 - words.height));
    Figure {
        width,
        height: y + up(deepest.max(0) + below, 10),
        ports,
        reach,
        open: true,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: Vec::new(),
    }
}

/// The body of a symbol about a centre.
pub fn body(pen: &mut Pen, symbol: &Symbol, live: bool, centre: Point, half: f64) {
    let (x, y) = centre;
    match *symbol {
        Symbol::Fuse => fuse(pen, centre),
        Symbol::FusibleLink => {
            fuse(pen, centre);
            pen.text((x, y + 14.0), "FL", PIN, false, Anchor::Middle);
        }
        Symbol::Breaker => {
            pen.arc((x - half + 1.0, y - 2.5), (x + half - 1.0, y - 2.5), 14.0);
            pen.contact((x - half, y));
            pen.contact((x + half, y));
        }
        Symbol::Switch { momentary } => {
            let tip = blade(pen, centre, half, live);
            if momentary {
                let top = y - 18.0;
                let foot = (tip.0 + x - half) / 2.0;
                pen.line(&[(foot, (y + tip.1) / 2.0), (foot, top)], THIN);
                pen.line(&[(foot - 5.0, top), (foot + 5.0, top)], BODY);
            }
        }
        Symbol::Disconnect => {
            pen.lead((x - half - 6.0, y), (x - half, y));
            pen.lead((x + half, y), (x + half + 6.0, y));
            blade(pen, centre, half, live);
            pen.frame(
                (x - half - 6.0, y - 13.0),
                2.0 * half + 12.0,
                19.0,
                DASHED,
                None,
            );
        }
        Symbol::Diode { back } => {
            let turn = if back { -1.0 } else { 1.0 };
            pen.lead((x - half, y), (x + half, y));
            pen.area(
                &[
                    (x - 7.0 * turn, y - 6.5),
                    (x + 6.0 * turn, y),
                    (x - 7.0 * turn, y + 6.5),
                ],
                Some(LEAD),
                Some(Colour::BLACK),
            );
            pen.line(
                &[(x + 6.0 * turn, y - 6.5), (x + 6.0 * turn, y + 6.5)],
                BODY,
            );
        }
        Symbol::Isolator => {
            pen.bar(centre, 36.0, 20.0, Some(Colour::WHITE));
            pen.lead((x - 12.0, y), (x + 12.0, y));
            for turn in [-1.0, 1.0] {
                pen.area(
                    &[
                        (x + 14.0 * turn, y),
                        (x + 7.0 * turn, y - 4.0),
                        (x + 7.0 * turn, y + 4.0),
                    ],
                    None,
                    Some(Colour::BLACK),
                );
            }
        }
        _ => {}
    }
}

fn fuse(pen: &mut Pen, centre: Point) {
    pen.bar(centre, 28.0, 10.0, Some(Colour::WHITE));
    pen.lead((centre.0 - 14.0, centre.1), (centre.0 + 14.0, centre.1));
}

/// Two contacts and a blade from the left one; down when it is closed. Gives the blade's tip.
fn blade(pen: &mut Pen, centre: Point, half: f64, closed: bool) -> Point {
    let (x, y) = centre;
    let tip = if closed {
        (x + half, y)
    } else {
        (x + half - 3.0, y - 11.0)
    };
    pen.line(&[(x - half, y), tip], BODY);
    pen.contact((x - half, y));
    pen.contact((x + half, y));
    tip
}
