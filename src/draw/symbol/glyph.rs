//! Bodies of symbols around a centre.

use super::pen::Pen;
use crate::draw::drawing::{Anchor, BODY, Colour, LEAD, Point};
use crate::draw::net::Glyph;

/// A load's body, within 12 units of its centre.
pub fn load(pen: &mut Pen, glyph: Glyph, centre: Point) {
    let (x, y) = centre;
    match glyph {
        Glyph::Lamp => {
            pen.ring(centre, 12.0);
            let d = 8.5;
            pen.line(&[(x - d, y - d), (x + d, y + d)], BODY);
            pen.line(&[(x - d, y + d), (x + d, y - d)], BODY);
        }
        Glyph::Led => {
            pen.ring(centre, 12.0);
            pen.area(
                &[(x - 6.0, y - 6.0), (x + 5.0, y), (x - 6.0, y + 6.0)],
                Some(LEAD),
                Some(Colour::BLACK),
            );
            pen.line(&[(x + 5.0, y - 6.0), (x + 5.0, y + 6.0)], BODY);
            pen.lead((x - 12.0, y), (x + 12.0, y));
            for step in [0.0, 6.0] {
                let from = (x + 2.0 + step, y - 9.5 + step * 0.55);
                arrow(pen, from, (from.0 + 7.0, from.1 - 7.0));
            }
        }
        Glyph::Motor => {
            pen.ring(centre, 12.0);
            pen.text((x, y + 4.6), "M", 13.0, false, Anchor::Middle);
        }
        Glyph::Heater => {
            pen.bar(centre, 24.0, 12.0, Some(Colour::WHITE));
            for step in [-6.0, 0.0, 6.0] {
                pen.line(&[(x + step, y - 6.0), (x + step, y + 6.0)], LEAD);
            }
        }
        Glyph::Electronics => pen.bar(centre, 24.0, 20.0, Some(Colour::WHITE)),
    }
}

/// A small arrow.
fn arrow(pen: &mut Pen, from: Point, to: Point) {
    pen.line(&[from, to], LEAD);
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy).max(0.1);
    let (ux, uy) = (dx / length, dy / length);
    pen.area(
        &[
            to,
            (to.0 - 4.0 * ux + 1.6 * uy, to.1 - 4.0 * uy - 1.6 * ux),
            (to.0 - 4.0 * ux - 1.6 * uy, to.1 - 4.0 * uy + 1.6 * ux),
        ],
        None,
        Some(Colour::BLACK),
    );
}
