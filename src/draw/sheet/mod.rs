//! Sheets: blocks in a frame with border fields, title block and legend.

mod frame;
mod legend;
mod page;

use std::collections::BTreeMap;

use crate::draw::compose::{Block, alone, compose};
use crate::draw::drawing::{About, Anchor, Colour, Drawing, Item, Shape};
use crate::draw::net::Schematic;
use crate::draw::pass::graph::Columns;
use crate::draw::split;
use crate::draw::strip;
use crate::draw::symbol::TEXT;
use crate::draw::symbol::pen::Pen;
use crate::draw::{Options, measure};
use crate::model::Vehicle;
use frame::{LEAST_SCALE, area, field, sheet};
use page::{Page, flow, remarks};

/// Between blocks.
const GAP: f64 = 30.0;

/// Everything on one sheet: what hangs together one below the other, then what stands alone, then what is marked.
#[must_use]
pub fn overview(vehicle: &Vehicle, options: &Options<'_>, schematic: &Schematic) -> Drawing {
    let (groups, single) = split::pieces(schematic);
    let mut page = Page::default();
    let mut y = 0.0;
    for group in &groups {
        let mut block = compose(&split::subset(schematic, group), None);
        block.shift((0.0, y));
        y += f64::from(block.height) + GAP;
        page.add(block);
    }
    let (paper_width, _) = area(options);
    let width = page.width.max(paper_width);
    let blocks = single
        .iter()
        .map(|&device| alone(schematic, device))
        .collect();
    y = flow(&mut page, blocks, y, width);
    if !options.marks.is_empty() {
        let mut block = remarks(&options.marks, width);
        block.shift((0.0, y));
        page.add(block);
    }
    finish(vehicle, options, vec![page], "overview")
}

/// The supply, then each circuit by itself, as many on a sheet as fit; what stands alone and what is marked comes last.
#[must_use]
pub fn strips(vehicle: &Vehicle, options: &Options<'_>, schematic: &Schematic) -> Drawing {
    let full = area(options);
    let most = (full.0 / LEAST_SCALE, full.1 / LEAST_SCALE);
    let mut pages: Vec<Page> = Vec::new();
    let mut strips: Vec<strip::Strip> = Vec::new();
    for (index, one) in strip::cut(schematic).into_iter().enumerate() {
        strips.extend(narrow(one, most.0, i32::MAX, &format!("{index}-")));
    }
    let mut shared: Vec<&strip::Strip> = Vec::new();
    let mut tall = 0.0;
    let mut columns = Columns::default();
    for one in &strips {
        let block = compose(&one.schematic, None);
        let height = f64::from(block.height) + HEADING + GAP;
        let wider = columns.joined(&block.columns);
        let fits = tall + height <= most.1 + GAP && f64::from(wider.width()) <= most.0;
        if !shared.is_empty() && !fits {
            pages.push(strip_page(&shared, &columns));
            shared.clear();
            tall = 0.0;
            columns = block.columns;
        } else {
            columns = wider;
        }
        shared.push(one);
        tall += height;
    }
    if !shared.is_empty() {
        pages.push(strip_page(&shared, &columns));
    }
    let (_, single) = split::pieces(schematic);
    let mut blocks: Vec<Block> = single
        .iter()
        .map(|&device| alone(schematic, device))
        .collect();
    if !options.marks.is_empty() {
        blocks.push(remarks(&options.marks, full.0));
    }
    // Under the last strips where there is room, else on sheets of their own.
    let mut y = pages.last().map_or(0.0, |page| page.height + GAP);
    let mut left: Vec<Block> = Vec::new();
    for block in blocks {
        left.push(block);
        let trial = row_height(&left, full.0);
        if y + trial > most.1 && left.len() > 1 {
            let block = left.pop();
            place_rows(&mut pages, std::mem::take(&mut left), y, full.0, most.1);
            y = 0.0;
            pages.push(Page::default());
            left.extend(block);
        }
    }
    place_rows(&mut pages, left, y, full.0, most.1);
    finish(vehicle, options, pages, "circuit by circuit")
}

/// Room for a strip's heading.
const HEADING: f64 = 16.0;

/// Splits a strip that is too wide for the paper where the fewest wires have to be cut. `before` is the width of what it was
/// cut from: where cutting gains nothing, because one symbol alone is that wide, there is an end of it.
fn narrow(one: strip::Strip, most: f64, before: i32, path: &str) -> Vec<strip::Strip> {
    let block = compose(&one.schematic, None);
    let columns = block.columns.column.len();
    if f64::from(block.width) <= most || columns < 3 || block.width >= before {
        return vec![one];
    }
    // The column whose left edge is nearest to the middle.
    let mut x = 0;
    let mut best = (i32::MAX, 1);
    for column in 0..columns {
        x += block.columns.channel[column].iter().sum::<i32>();
        let off = (2 * x - block.width).abs();
        if column > 0 && off < best.0 {
            best = (off, column);
        }
        x += block.columns.column[column];
    }
    let mut group: Vec<Option<usize>> = block
        .layers
        .iter()
        .map(|&layer| Some(usize::from(layer >= best.1)))
        .collect();
    strip::keep_tags(&one.schematic, &mut group);
    let halves = strip::pieces(&one.schematic, &group, &[0, 1], path);
    halves
        .into_iter()
        .enumerate()
        .flat_map(|(index, schematic)| {
            let heading = if index == 0 {
                one.heading.clone()
            } else {
                format!("{}, continued", one.heading)
            };
            narrow(
                strip::Strip { heading, schematic },
                most,
                block.width,
                &format!("{path}{index}-"),
            )
        })
        .collect()
}

/// Strips one below the other, their columns in line.
fn strip_page(strips: &[&strip::Strip], columns: &Columns) -> Page {
    let mut page = Page::default();
    let mut y = 0.0;
    for one in strips {
        let mut pen = Pen::default();
        pen.write(
            (0.0, 9.0),
            &one.heading,
            TEXT,
            true,
            Anchor::Start,
            Colour::GREY,
        );
        let mut block = compose(&one.schematic, Some(columns));
        block.shift((0.0, HEADING));
        block.items.extend(pen.shapes.into_iter().map(|shape| Item {
            about: About::Sheet,
            shape,
        }));
        let height = f64::from(block.height);
        block.shift((0.0, y));
        y += height + HEADING + GAP;
        page.add(block);
    }
    page
}

fn row_height(blocks: &[Block], width: f64) -> f64 {
    let mut page = Page::default();
    flow(&mut page, blocks.to_vec(), 0.0, width)
}

fn place_rows(pages: &mut Vec<Page>, blocks: Vec<Block>, top: f64, width: f64, most: f64) {
    if blocks.is_empty() {
        return;
    }
    let fits = top + row_height(&blocks, width) - GAP <= most;
    let top = if fits { top } else { 0.0 };
    if !fits || pages.is_empty() {
        pages.push(Page::default());
    }
    if let Some(page) = pages.last_mut() {
        flow(page, blocks, top, width);
    }
}

/// Puts pages on sheets.
#[must_use]
pub fn finish(vehicle: &Vehicle, options: &Options<'_>, pages: Vec<Page>, view: &str) -> Drawing {
    let count = pages.len();
    let sheets = pages
        .into_iter()
        .enumerate()
        .map(|(index, page)| sheet(vehicle, options, page, view, (index + 1, count)))
        .collect();
    let mut drawing = Drawing {
        title: vehicle.name.clone(),
        sheets,
    };
    refer(&mut drawing);
    drawing
}

/// Puts sheets and fields where texts refer to places.
fn refer(drawing: &mut Drawing) {
    let mut places: BTreeMap<String, String> = BTreeMap::new();
    for (index, sheet) in drawing.sheets.iter().enumerate() {
        for (name, at) in &sheet.plan.anchors {
            let place = format!("{}.{}", index + 1, field(&sheet.plan.frame, *at));
            places.insert(name.clone(), place);
        }
    }
    for item in drawing.sheets.iter_mut().flat_map(|sheet| &mut sheet.items) {
        if let Shape::Text { text, .. } = &mut item.shape {
            let place = |name: &str| {
                Some(
                    places
                        .get(name)
                        .map_or_else(|| "?".to_owned(), Clone::clone),
                )
            };
            *text = measure::resolve(text, place);
        }
    }
}
