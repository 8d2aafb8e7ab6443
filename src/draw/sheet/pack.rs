//! Packing strips on sheets: down a column in the order given, then the next column, then the next sheet.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::draw::compose::{Block, compose};
use crate::draw::drawing::{Anchor, Colour};
use crate::draw::pass::graph::Columns;
use crate::draw::strip::Strip;
use crate::draw::symbol::TEXT;
use crate::draw::symbol::pen::Pen;

use super::page::{Page, sheet_items};

/// Room for a strip's heading.
pub const HEADING: f64 = 16.0;
/// Between strips, at least.
const GAP: f64 = 26.0;
/// Between strips, at most, where a sheet has room to spare.
pub const WIDE_GAP: f64 = 110.0;
/// Between columns of strips.
const BETWEEN: f64 = 50.0;

/// A strip and how it was laid out by itself.
pub struct Ready {
    /// The strip.
    pub strip: Strip,
    /// Its own columns.
    columns: Columns,
    /// Its columns where it is laid out with more of them than its own.
    more: RefCell<BTreeMap<usize, Columns>>,
    height: f64,
}

impl Ready {
    /// Lays out a strip by itself.
    #[must_use]
    pub fn new(strip: Strip) -> Self {
        let block = compose(&strip.schematic, None);
        Self {
            height: f64::from(block.height) + HEADING,
            columns: block.columns,
            more: RefCell::default(),
            strip,
        }
    }

    /// Its columns where it is laid out with so many of them.
    fn columns(&self, count: usize) -> Columns {
        if count <= self.columns.column.len() {
            return self.columns.clone();
        }
        let mut known = self.more.borrow_mut();
        let columns = known.entry(count).or_insert_with(|| {
            let least = Columns {
                column: vec![0; count],
                channel: vec![[0; 3]; count + 1],
            };
            compose(&self.strip.schematic, Some(&least)).columns
        });
        columns.clone()
    }

    fn width(&self) -> f64 {
        f64::from(self.columns.width())
    }
}

/// Strips whose columns are in line.
#[derive(Default)]
struct Run {
    strips: Vec<usize>,
    columns: Columns,
}

/// One column of strips.
#[derive(Default)]
struct Stack {
    runs: Vec<Run>,
    height: f64,
    width: f64,
}

/// The strips of a sheet.
#[derive(Default)]
pub struct Packed {
    stacks: Vec<Stack>,
}

impl Packed {
    fn width(&self) -> f64 {
        let all: f64 = self.stacks.iter().map(|stack| stack.width).sum();
        all + BETWEEN * (self.stacks.len().max(1) - 1) as f64
    }

    /// How much of the sheet's height is in use.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.stacks
            .iter()
            .map(|stack| stack.height)
            .fold(0.0, f64::max)
    }

    /// Whether it is larger than the room that there is.
    #[must_use]
    pub fn exceeds(&self, room: (f64, f64)) -> bool {
        self.width() > room.0 || self.height() > room.1
    }

    /// How many strips stand below each other, at most.
    #[must_use]
    pub fn most(&self) -> usize {
        let count = |stack: &Stack| stack.runs.iter().map(|run| run.strips.len()).sum::<usize>();
        self.stacks.iter().map(count).max().unwrap_or(1).max(1)
    }

    /// How much farther apart strips may stand where so much height is to spare; `ends` where more stands below the last.
    #[must_use]
    pub fn more(&self, spare: f64, ends: bool) -> f64 {
        let gaps = self.most() + usize::from(ends);
        (spare / gaps as f64).clamp(0.0, WIDE_GAP - GAP).floor()
    }

    /// Draws the strips of a sheet, so much farther apart.
    #[must_use]
    pub fn page(&self, strips: &[Ready], more: f64) -> Page {
        let mut page = Page::default();
        let gap = GAP + more;
        let mut x = 0.0;
        for stack in &self.stacks {
            let mut y = 0.0;
            for run in &stack.runs {
                for &index in &run.strips {
                    let mut block = headed(&strips[index].strip, &run.columns);
                    let height = f64::from(block.height);
                    block.shift((x, y));
                    y += height + gap;
                    page.add(block);
                }
            }
            x += stack.width + BETWEEN;
        }
        page
    }
}

/// Packs strips on sheets of this room.
#[must_use]
pub fn pack(strips: &[Ready], room: (f64, f64)) -> Vec<Packed> {
    let mut sheets: Vec<Packed> = Vec::new();
    for (index, one) in strips.iter().enumerate() {
        if !sheets
            .last_mut()
            .is_some_and(|sheet| take(sheet, strips, index, room))
        {
            sheets.push(Packed {
                stacks: vec![Stack {
                    runs: vec![Run {
                        strips: vec![index],
                        columns: one.columns.clone(),
                    }],
                    height: one.height,
                    width: one.width(),
                }],
            });
        }
    }
    sheets
}

/// Adds a strip to a sheet where it finds room.
fn take(sheet: &mut Packed, strips: &[Ready], index: usize, room: (f64, f64)) -> bool {
    let one = &strips[index];
    let whole = sheet.width();
    let Some(stack) = sheet.stacks.last_mut() else {
        return false;
    };
    let left = room.0 - (whole - stack.width);
    if stack.height + GAP + one.height <= room.1 && one.width() <= left {
        stack.height += GAP + one.height;
        // The supply stands for itself; circuits have their columns in line where that fits.
        let alone = one.strip.supply;
        match stack.runs.last_mut() {
            Some(run) if !alone && !strips[run.strips[0]].strip.supply => {
                let all = || run.strips.iter().map(|&one| &strips[one]).chain([one]);
                let count = all().map(|one| one.columns.column.len()).max();
                let count = count.unwrap_or_default();
                let joined = all().fold(Columns::default(), |joined, one| {
                    joined.joined(&one.columns(count))
                });
                if f64::from(joined.width()) <= left {
                    run.columns = joined;
                    run.strips.push(index);
                    stack.width = stack.width.max(f64::from(run.columns.width()));
                    return true;
                }
            }
            _ => {}
        }
        stack.width = stack.width.max(one.width());
        stack.runs.push(Run {
            strips: vec![index],
            columns: one.columns.clone(),
        });
        return true;
    }
    if whole + BETWEEN + one.width() <= room.0 && one.height <= room.1 {
        sheet.stacks.push(Stack {
            runs: vec![Run {
                strips: vec![index],
                columns: one.columns.clone(),
            }],
            height: one.height,
            width: one.width(),
        });
        return true;
    }
    false
}

/// A strip under its heading.
fn headed(strip: &Strip, columns: &Columns) -> Block {
    let mut pen = Pen::default();
    pen.write(
        (0.0, 9.0),
        &strip.heading,
        TEXT,
        true,
        Anchor::Start,
        Colour::GREY,
    );
    let mut block = compose(&strip.schematic, Some(columns));
    block.shift((0.0, HEADING));
    block.height += HEADING as i32;
    block.items.extend(sheet_items(pen));
    block
}
