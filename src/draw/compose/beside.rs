//! Wires that end beside a terminal, in the room that the channel keeps for their text.

use crate::draw::drawing::{About, Frame, Item, RunMark};
use crate::draw::net::{Beside, End, Pin, Schematic};
use crate::draw::pass::{Layout, Side};
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{Figure, lead};

use super::text::{lines, text_width};
use super::wire::strokes;
use super::{Block, inner, point};

/// Draws all of them.
pub(super) fn wires_beside(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    block: &mut Block,
) {
    for (device, one) in schematic.devices.iter().enumerate() {
        for (pin, terminal) in one.pins.iter().enumerate() {
            for end in &terminal.ends {
                let slot = end.slot;
                let from = inner(schematic, figures, layout, End { device, pin, slot });
                draw(terminal, end, from, block);
            }
        }
    }
}

fn draw(pin: &Pin, end: &Beside, from: (i32, i32), block: &mut Block) {
    let right = pin.side == Side::East;
    let turn = if right { 1 } else { -1 };
    let width = text_width(&end.text);
    let to = (from.0 + turn * (width + 8).max(20), from.1);
    strokes(&[from, to], &end.row.paint, &end.row.wire, &mut block.items);
    let mut pen = Pen::default();
    lead::end(&mut pen, &end.row.to, point(to), right);
    let left = if right { from.0 + 4 } else { to.0 + 4 };
    let span = (f64::from(left), f64::from(width));
    let y = f64::from(from.1);
    lines(&end.text, span, pin.side, y, &end.row.paint, &mut pen);
    block.items.extend(pen.shapes.into_iter().map(|shape| Item {
        about: About::Wire(end.row.wire.clone()),
        shape,
    }));
    let far = f64::from(to.0 + turn * lead::end_width(&end.row.to));
    block.plan.labels.push((
        end.row.wire.clone(),
        Frame {
            x: f64::from(from.0).min(far),
            y: f64::from(from.1) - 13.0,
            width: (f64::from(from.0) - far).abs(),
            height: 26.0,
        },
    ));
    let net = block.plan.runs.iter().map(|run| run.net + 1).max();
    block.plan.runs.push(RunMark {
        wire: end.row.wire.clone(),
        net: net.unwrap_or(0),
        points: vec![point(from), point(to)],
        ends: [pin.label.clone(), pin.label.clone()],
    });
    block.plan.terminals.push((pin.label.clone(), point(to)));
}
