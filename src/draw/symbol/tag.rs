//! Tags, ground ends and wire ends.

use super::pen::Pen;
use super::{Figure, TEXT, Words, places, up};
use crate::draw::drawing::{Anchor, BODY, Colour, LEAD, Point};
use crate::draw::measure;
use crate::draw::net::{Device, Heat, Link};
use crate::draw::pass::Side;

/// A pentagon pointing right from `left`, 20 high, with its text; its filling shows when it is live.
pub fn pentagon(pen: &mut Pen, left: Point, width: i32, text: &str, heat: Heat) {
    let (x, y) = left;
    let w = f64::from(width);
    let corners = [
        (x, y - 10.0),
        (x + w - 9.0, y - 10.0),
        (x + w, y),
        (x + w - 9.0, y + 10.0),
        (x, y + 10.0),
    ];
    let (fill, ink) = match heat {
        Heat::Always => (Colour::BLACK, Colour::WHITE),
        _ => (Colour::WHITE, Colour::BLACK),
    };
    pen.area(&corners, Some(BODY), Some(fill));
    if heat == Heat::Other {
        pen.line(&[(x + 4.0, y - 10.0), (x + 4.0, y + 10.0)], BODY);
    }
    pen.write((x + 9.0, y + 3.6), text, TEXT, true, Anchor::Start, ink);
}

/// A tag beside a terminal: the wire goes on elsewhere. It always points right, the way that supply flows; behind its text
/// stands the sheet and field where the wire goes on.
pub fn tag(device: &Device, text: &str, heat: Heat, link: &Link) -> Figure {
    let text = format!("{text}  {}", measure::reference(&link.there));
    let body = measure::width(&text, TEXT, true) + 22;
    let width = up(body, 20);
    let mut pen = Pen::default();
    // The side with the wire is flush.
    let west = device
        .pins
        .first()
        .is_some_and(|pin| pin.side == Side::West);
    let left = if west { 0.0 } else { f64::from(width - body) };
    pentagon(&mut pen, (left, 10.0), body, &text, heat);
    let deepest = device.pins.first().map_or(0, |pin| super::span(&pin.slots));
    Figure {
        width,
        height: 20 + deepest,
        ports: device
            .pins
            .iter()
            .map(|pin| places(&pin.slots, 10))
            .collect(),
        reach: vec![0; device.pins.len()],
        open: false,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: link
            .here
            .iter()
            .map(|here| (here.clone(), (left, 10.0)))
            .collect(),
    }
}

/// A wire end that goes nowhere: capped, bare or cut. Its words stand beside it.
pub fn stub(device: &Device) -> Figure {
    let words = Words::of(device, 110);
    let bare = device
        .notes
        .first()
        .is_some_and(|note| note.starts_with("bare"));
    let mut pen = Pen::default();
    let west = device.pins.first().is_none_or(|pin| pin.side == Side::West);
    let width = up(words.width + 34, 20);
    let (edge, x, turn) = if west {
        (0.0, 16.0, 1.0)
    } else {
        (f64::from(width), f64::from(width) - 16.0, -1.0)
    };
    let y = 20.0;
    if bare {
        // Strands that spread.
        for spread in [-4.0, 0.0, 4.0] {
            pen.line(&[(x - 4.0 * turn, y), (x + 5.0 * turn, y + spread)], LEAD);
        }
    } else {
        pen.area(
            &[
                (x - 4.0 * turn, y - 5.0),
                (x + 4.0 * turn, y - 5.0),
                (x + 4.0 * turn, y + 5.0),
                (x - 4.0 * turn, y + 5.0),
            ],
            Some(BODY),
            Some(Colour::WHITE),
        );
    }
    let left = if west { 28.0 } else { 2.0 };
    words.beside(&mut pen, left, 6.0);
    let deepest = device.pins.first().map_or(0, |pin| super::span(&pin.slots));
    let ports: Vec<Vec<i32>> = device
        .pins
        .iter()
        .map(|pin| places(&pin.slots, 20))
        .collect();
    let mut reach = Vec::new();
    for (pin, list) in device.pins.iter().zip(&ports) {
        reach.push(super::comb(&mut pen, pin, edge, x - 4.0 * turn, list));
    }
    Figure {
        width,
        height: up((words.height + 10).max(40 + deepest), 10),
        ports,
        reach,
        open: false,
        shapes: pen.shapes,
        labels: Vec::new(),
        anchors: Vec::new(),
    }
}
