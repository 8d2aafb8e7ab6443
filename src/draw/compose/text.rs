//! Texts of wires and names of splices.

use super::{Block, point, text_start};
use crate::draw::drawing::{About, Anchor, Colour, Frame, Item, Shape};
use crate::draw::measure;
use crate::draw::net::{Cable, Paint, Schematic};
use crate::draw::pass::{Layout, Side};
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{Figure, TEXT};

/// Width of the text of a wire.
pub(super) fn text_width(text: &[String; 2]) -> i32 {
    let widths = text.iter().map(|line| measure::width(line, TEXT, false));
    widths.max().unwrap_or(0)
}

/// The two lines of a wire's text, above and below it, flush on the side of its terminal. `span` is left end and width.
pub(super) fn lines(
    text: &[String; 2],
    span: (f64, f64),
    side: Side,
    y: f64,
    paint: &Paint,
    pen: &mut Pen,
) {
    let half = paint.width / 2.0;
    let colour = if paint.marked {
        Colour::MARK
    } else {
        Colour::BLACK
    };
    let (x, anchor) = match side {
        Side::West => (span.0 + span.1, Anchor::End),
        Side::East => (span.0, Anchor::Start),
    };
    // Clear of the line by as much above, under the lowest letters, as below.
    for (line, base) in [(&text[0], y - 4.5 - half), (&text[1], y + 10.5 + half)] {
        if !line.is_empty() {
            pen.write((x, base), line, TEXT, false, anchor, colour);
        }
    }
}

/// The text of a wire, at the end that is its own.
pub(super) fn label(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    cable: &Cable,
    texts: &mut Vec<Item>,
    block: &mut Block,
) {
    let (x, y) = point(text_start(schematic, figures, layout, cable));
    let side = schematic.devices[cable.text_at.device].pins[cable.text_at.pin].side;
    let width = f64::from(text_width(&cable.text));
    if width == 0.0 {
        return;
    }
    let left = match side {
        Side::West => x - 4.0 - width,
        Side::East => x + 4.0,
    };
    let mut pen = Pen::default();
    lines(&cable.text, (left, width), side, y, &cable.paint, &mut pen);
    texts.extend(pen.shapes.into_iter().map(|shape| Item {
        about: About::Wire(cable.id.clone()),
        shape,
    }));
    block.plan.labels.push((
        cable.id.clone(),
        Frame {
            x: left,
            y: y - 13.0,
            width,
            height: 26.0,
        },
    ));
}

/// The name of a splice, in the first place near its dot that is clear of lines, texts and boxes.
pub(super) fn splice_name(
    schematic: &Schematic,
    figures: &[Figure],
    layout: &Layout,
    net: usize,
    centre: (i32, i32),
    block: &mut Block,
) {
    let joint = &schematic.joints[net];
    let Some(splice) = &joint.splice else { return };
    let width = f64::from(measure::width(&splice.text, TEXT, true));
    let (x, y) = point(centre);
    let mut tries: Vec<Frame> = [
        (4.0, -13.0),
        (4.0, 4.0),
        (-4.0 - width, -13.0),
        (-4.0 - width, 4.0),
    ]
    .iter()
    .map(|&(right, down)| Frame {
        x: x + right,
        y: y + down,
        width,
        height: 9.0,
    })
    .collect();
    // Room was kept behind the text of the wire that feeds it.
    if let Some(cable) = joint.cables.iter().find(|cable| cable.feeds) {
        let text = f64::from(text_width(&cable.text));
        let (from, level) = point(text_start(schematic, figures, layout, cable));
        tries.push(Frame {
            x: from + text + 12.0,
            y: level - 13.0,
            width,
            height: 9.0,
        });
    }
    let clear = |frame: &Frame| {
        let wide = Frame {
            x: frame.x - 1.5,
            y: frame.y - 1.5,
            width: frame.width + 3.0,
            height: frame.height + 3.0,
        };
        !layout.routes.iter().flatten().any(|run| {
            let line = Frame {
                x: f64::from(run.from.0) - 1.5,
                y: f64::from(run.from.1) - 1.5,
                width: f64::from(run.to.0 - run.from.0) + 3.0,
                height: f64::from(run.to.1 - run.from.1) + 3.0,
            };
            line.meets(frame)
        }) && !block.plan.labels.iter().any(|one| one.1.meets(&wide))
            && !figures.iter().enumerate().any(|(index, figure)| {
                let corner = point(layout.corners[index]);
                Frame {
                    x: corner.0,
                    y: corner.1,
                    width: f64::from(figure.width),
                    height: f64::from(figure.height),
                }
                .meets(frame)
            })
    };
    let chosen = tries.iter().find(|frame| clear(frame)).copied();
    let frame = chosen.unwrap_or(tries[0]);
    if chosen.is_none() {
        block.plan.crowded.push(splice.name.clone());
    }
    block.items.push(Item {
        about: About::Part(splice.name.clone()),
        shape: Shape::Text {
            at: (frame.x, frame.y + 8.0),
            text: splice.text.clone(),
            size: TEXT,
            bold: true,
            anchor: Anchor::Start,
            colour: if splice.marks.is_empty() {
                Colour::BLACK
            } else {
                Colour::MARK
            },
        },
    });
    block.plan.labels.push((splice.name.clone(), frame));
    block.plan.terminals.push((splice.name.clone(), (x, y)));
    block.plan.parts.push((
        splice.name.clone(),
        Frame {
            x,
            y,
            width: 0.0,
            height: 0.0,
        },
    ));
}
