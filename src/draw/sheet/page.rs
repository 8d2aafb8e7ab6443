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
            Shape::Circle { centre, radius, .. } => see((centre.0 + radius, centre.1 + radius)),
            Shape::Arc { from, to, .. } => {
                see(*from);
                see(*to);
            }
            Shape::Text {
                at,
                text,
                size,
                bold,
                anchor,
                ..
            } => {
                let width = f64::from(measure::width(text, *size, *bold));
                let after = match anchor {
                    Anchor::Start => width,
                    Anchor::Middle => width / 2.0,
                    Anchor::End => 0.0,
                };
                see((at.0 + after, at.1 + 3.0));
            }
        }
    }
    (right, bottom)
}

/// Where a block goes.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// How many sheets after the first.
    pub sheet: usize,
    /// Its corner.
    pub at: Point,
}

/// Places for blocks side by side in rows, from `top` of the first sheet on.
#[must_use]
pub fn rows(blocks: &[Block], top: f64, room: Point) -> Vec<Spot> {
    let (mut sheet, mut x, mut y, mut row) = (0, 0.0, top, 0.0_f64);
    let mut spots = Vec::new();
    for block in blocks {
        let size = (f64::from(block.width), f64::from(block.height));
        if x > 0.0 && x + size.0 > room.0 {
            x = 0.0;
            y += row + GAP;
            row = 0.0;
        }
        if y > 0.0 && y + size.1 > room.1 {
            sheet += 1;
            (x, y, row) = (0.0, 0.0, 0.0);
        }
        spots.push(Spot { sheet, at: (x, y) });
        x += size.0 + GAP;
        row = row.max(size.1);
    }
    spots
}

/// What was drawn, as items of the sheet itself.
pub fn sheet_items(pen: Pen) -> impl Iterator<Item = Item> {
    pen.shapes.into_iter().map(|shape| Item {
        about: About::Sheet,
        shape,
    })
}

/// What is marked, in words: blocks of this width, none higher than a sheet.
#[must_use]
pub fn remarks(marks: &[Mark], room: Point) -> Vec<Block> {
    const PITCH: f64 = 12.0;
    let indent = f64::from(measure::width("!000 ", TEXT, true));
    let mut blocks: Vec<Block> = Vec::new();
    let mut pen = Pen::default();
    let mut y = 0.0;
    for (index, mark) in marks.iter().enumerate() {
        let text = format!("{}: {}", mark.level, mark.message);
        let lines = measure::wrap(&text, TEXT, (room.0 - indent) as i32, 12);
        if y > 0.0 && y + PITCH * lines.len() as f64 > room.1 {
            blocks.push(remark_block(std::mem::take(&mut pen), room.0, y));
            y = 0.0;
        }
        if y == 0.0 {
            let heading = "Marked on this drawing";
            pen.text((0.0, 10.0), heading, TEXT, true, Anchor::Start);
            y = 24.0;
        }
        let number = format!("!{}", index + 1);
        pen.write((0.0, y), &number, TEXT, true, Anchor::Start, Colour::MARK);
        for line in lines {
            pen.text((indent, y), &line, TEXT, false, Anchor::Start);
            y += PITCH;
        }
        y += 3.0;
    }
    if y > 0.0 {
        blocks.push(remark_block(pen, room.0, y));
    }
    blocks
}

fn remark_block(pen: Pen, width: f64, height: f64) -> Block {
    Block {
        width: width as i32,
        height: height as i32,
        items: sheet_items(pen).collect(),
        ..Block::default()
    }
}
