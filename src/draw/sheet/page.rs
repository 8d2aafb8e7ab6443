//! What goes on one sheet: blocks below and beside each other.

use super::GAP;
use crate::draw::compose::Block;
use crate::draw::drawing::{About, Anchor, Colour, Item, Plan, Point, Shape};
use crate::draw::symbol::TEXT;
use crate::draw::symbol::pen::Pen;
use crate::draw::{Mark, measure};

/// What goes on one sheet.
#[derive(Debug, Default)]
pub struct Page {
    /// Heading under the frame's top, empty for none.
    pub heading: String,
    /// What is drawn, from the corner of the usable area.
    pub items: Vec<Item>,
    /// Where things are.
    pub plan: Plan,
    /// Width in use.
    pub width: f64,
    /// Height in use.
    pub height: f64,
}

impl Page {
    /// Adds a block where it stands.
    pub fn add(&mut self, block: Block) {
        let frame = extent(&block);
        self.width = self.width.max(frame.0);
        self.height = self.height.max(frame.1);
        self.items.extend(block.items);
        self.plan.extend(block.plan);
    }
}

/// Right and bottom edge of what a block draws.
fn extent(block: &Block) -> Point {
    let mut right = 0.0_f64;
    let mut bottom = 0.0_f64;
    let mut see = |at: Point| {
        right = right.max(at.0);
        bottom = bottom.max(at.1);
    };
    for (_, frame) in block.plan.parts.iter().chain(&block.plan.labels) {
        see((frame.x + frame.width, frame.y + frame.height));
    }
    for tag in &block.plan.tags {
        see((
            tag.frame.x + tag.frame.width,
            tag.frame.y + tag.frame.height,
        ));
    }
    for run in &block.plan.runs {
        run.points.iter().for_each(|&at| see(at));
    }
    for item in &block.items {
        match &item.shape {
            Shape::Line { points, .. } | Shape::Area { points, .. } => {
                points.iter().for_each(|&at| see(at));
            }
            Shape::Text {
                at,
                text,
                size,
                bold,
                anchor: Anchor::Start,
                ..
            } => see((
                at.0 + f64::from(measure::width(text, *size, *bold)),
                at.1 + 3.0,
            )),
            _ => {}
        }
    }
    (right, bottom)
}

/// Sets blocks side by side in rows; gives where the next row would start.
pub fn flow(page: &mut Page, blocks: Vec<Block>, top: f64, width: f64) -> f64 {
    let (mut x, mut y, mut row) = (0.0, top, 0.0_f64);
    for mut block in blocks {
        let size = (f64::from(block.width), f64::from(block.height));
        if x > 0.0 && x + size.0 > width {
            x = 0.0;
            y += row + GAP;
            row = 0.0;
        }
        block.shift((x, y));
        x += size.0 + GAP;
        row = row.max(size.1);
        page.add(block);
    }
    if row > 0.0 { y + row + GAP } else { y }
}

/// What is marked, in words.
#[must_use]
pub fn remarks(marks: &[Mark], width: f64) -> Block {
    let mut pen = Pen::default();
    pen.text(
        (0.0, 10.0),
        "Marked on this drawing",
        TEXT,
        true,
        Anchor::Start,
    );
    let mut y = 24.0;
    for (index, mark) in marks.iter().enumerate() {
        let number = format!("!{}", index + 1);
        pen.write((0.0, y), &number, TEXT, true, Anchor::Start, Colour::MARK);
        let indent = f64::from(measure::width("!000 ", TEXT, true));
        let text = format!("{}: {}", mark.level, mark.message);
        for line in measure::wrap(&text, TEXT, (width - indent) as i32, 12) {
            pen.text((indent, y), &line, TEXT, false, Anchor::Start);
            y += 12.0;
        }
        y += 3.0;
    }
    Block {
        width: width as i32,
        height: y as i32,
        items: pen
            .shapes
            .into_iter()
            .map(|shape| Item {
                about: About::Sheet,
                shape,
            })
            .collect(),
        ..Block::default()
    }
}
