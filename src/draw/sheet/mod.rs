//! Sheets: blocks in a frame with border fields, title block and legend.

mod frame;
mod legend;
mod pack;
mod page;

use std::collections::BTreeMap;

use crate::draw::compose::{Block, alone, compose};
use crate::draw::drawing::{Drawing, Shape};
use crate::draw::net::Schematic;
use crate::draw::split;
use crate::draw::strip;
use crate::draw::track;
use crate::draw::{Options, measure};
use crate::model::Vehicle;
use frame::{Format, LEAST_SCALE, OVERVIEW};
use pack::{Packed, Ready, pack};
use page::{Page, Spot, remarks, rows};

/// Between blocks.
const GAP: f64 = 30.0;
/// Scales that are tried, the one that is easiest to read first.
const SCALES: [f64; 4] = [1.0, 0.95, 0.9, LEAST_SCALE];

/// Everything on one sheet: what hangs together one below the other, then what stands alone, then what is marked.
#[must_use]
pub fn overview(vehicle: &Vehicle, options: &Options<'_>, schematic: &Schematic) -> Drawing {
    let format = Format::new(vehicle, options, OVERVIEW, &[schematic]);
    let (groups, single) = split::pieces(schematic);
    let mut page = Page::default();
    let mut y = 0.0;
    for group in &groups {
        let mut block = compose(&split::subset(schematic, group), None);
        block.shift((0.0, y));
        y += f64::from(block.height) + GAP;
        page.add(block);
    }
    let width = page.width.max(format.area().0);
    let mut blocks: Vec<Block> = single
        .iter()
        .map(|&device| alone(schematic, device))
        .collect();
    blocks.extend(remarks(&options.marks, (width, f64::INFINITY)));
    let spots = rows(&blocks, y, (width, f64::INFINITY));
    for (mut block, spot) in blocks.into_iter().zip(spots) {
        block.shift(spot.at);
        page.add(block);
    }
    finish(vehicle, &format, vec![page])
}

/// The supply, then each circuit by itself, as many on a sheet as fit; what stands alone and what is marked comes last.
#[must_use]
pub fn strips(vehicle: &Vehicle, options: &Options<'_>, schematic: &Schematic) -> Drawing {
    // The legend says more once it is known what is cut, and then takes a little more of the height.
    let full = Format::new(vehicle, options, VIEW, &[schematic]).area();
    let most = (
        full.0 / LEAST_SCALE,
        (full.1 - 30.0) / LEAST_SCALE - pack::HEADING,
    );
    let mut cut: Vec<strip::Strip> = Vec::new();
    for (index, one) in strip::cut(schematic).into_iter().enumerate() {
        cut.extend(strip::narrow(one, most, &format!("{index}-")));
    }
    let mut shown: Vec<&Schematic> = vec![schematic];
    shown.extend(cut.iter().map(|one| &one.schematic));
    let format = Format::new(vehicle, options, VIEW, &shown);
    let strips: Vec<Ready> = cut.into_iter().map(Ready::new).collect();

    let (_, single) = split::pieces(schematic);
    let mut blocks: Vec<Block> = single
        .iter()
        .map(|&device| alone(schematic, device))
        .collect();
    blocks.extend(remarks(&options.marks, format.area()));
    let mut best: Option<Plan> = None;
    for scale in SCALES {
        let plan = Plan::new(&format, &strips, &blocks, scale);
        if best
            .as_ref()
            .is_none_or(|other| plan.price() < other.price())
        {
            best = Some(plan);
        }
    }
    let pages = best.map_or_else(Vec::new, |plan| plan.pages(&strips, blocks));
    finish(vehicle, &format, pages)
}

/// Room a little smaller than there is: letters reach below the lines that they stand on.
const fn spare(room: (f64, f64)) -> (f64, f64) {
    (room.0 - 4.0, room.1 - 8.0)
}

const VIEW: &str = "circuit by circuit";

/// What stands where, at one scale.
struct Plan {
    sheets: Vec<Packed>,
    /// Places of what stands alone and of the remarks, from the last of these sheets on.
    spots: Vec<Spot>,
    /// Room on a sheet.
    room: (f64, f64),
}

impl Plan {
    fn new(format: &Format<'_>, strips: &[Ready], blocks: &[Block], scale: f64) -> Self {
        let full = format.area();
        let room = spare((full.0 / scale, full.1 / scale));
        let sheets = pack(strips, room);
        let top = sheets.last().map_or(0.0, |sheet| sheet.height() + GAP);
        Self {
            spots: rows(blocks, top, room),
            sheets,
            room,
        }
    }

    fn count(&self) -> usize {
        let more = self.spots.iter().map(|spot| spot.sheet).max().unwrap_or(0);
        self.sheets.len().max(1) + more
    }

    /// How many sheets there are, and on how many something is too large for this scale and has to stand alone.
    fn price(&self) -> (usize, usize) {
        let over = self.sheets.iter().filter(|sheet| sheet.exceeds(self.room));
        (self.count(), over.count())
    }

    fn pages(&self, strips: &[Ready], blocks: Vec<Block>) -> Vec<Page> {
        let last = self.sheets.len().saturating_sub(1);
        // What stands below the strips of the last sheet moves down with them.
        let below = blocks.iter().zip(&self.spots);
        let below = below.filter(|(_, spot)| spot.sheet == 0);
        let bottom = below
            .map(|(block, spot)| spot.at.1 + f64::from(block.height))
            .fold(0.0, f64::max);
        let mut down = 0.0;
        let mut pages: Vec<Page> = Vec::new();
        for (index, sheet) in self.sheets.iter().enumerate() {
            let shared = index == last && bottom > 0.0;
            let used = if shared { bottom } else { sheet.height() };
            let more = sheet.more(self.room.1 - used, shared);
            if shared {
                down = more * sheet.most() as f64;
            }
            pages.push(sheet.page(strips, more));
        }
        pages.resize_with(self.count(), Page::default);
        for (mut block, spot) in blocks.into_iter().zip(&self.spots) {
            let down = if spot.sheet == 0 { down } else { 0.0 };
            block.shift((spot.at.0, spot.at.1 + down));
            pages[last + spot.sheet].add(block);
        }
        pages
    }
}

/// Current tracks, side by side, in bands from top to bottom of each sheet.
#[must_use]
pub fn tracks(vehicle: &Vehicle, options: &Options<'_>, schematic: &Schematic) -> Drawing {
    let format = Format::new(vehicle, options, "current tracks", &[schematic]);
    let full = format.area();
    let mut best: Option<(usize, Vec<Block>, Vec<Spot>, f64)> = None;
    for (scale, whole) in SCALES
        .into_iter()
        .flat_map(|one| [(one, true), (one, false)])
    {
        let room = spare((full.0 / scale, full.1 / scale));
        let mut blocks = track::bands(vehicle, options, room, whole);
        blocks.extend(remarks(&options.marks, full));
        // Every band has a row for itself, however narrow it is.
        for block in &mut blocks {
            block.width = block.width.max(room.0 as i32);
        }
        let spots = rows(&blocks, 0.0, room);
        let count = spots.last().map_or(1, |spot| spot.sheet + 1);
        if best.as_ref().is_none_or(|other| count < other.0) {
            best = Some((count, blocks, spots, room.1));
        }
    }
    let (count, blocks, mut spots, high) = best.unwrap_or_default();
    farther_apart(&blocks, &mut spots, high);
    let mut pages: Vec<Page> = Vec::new();
    pages.resize_with(count, Page::default);
    for (mut block, spot) in blocks.into_iter().zip(spots) {
        block.shift(spot.at);
        pages[spot.sheet].add(block);
    }
    finish(vehicle, &format, pages)
}

/// Moves rows that share a sheet farther apart where it has height to spare.
fn farther_apart(blocks: &[Block], spots: &mut [Spot], high: f64) {
    let mut from = 0;
    while from < spots.len() {
        let sheet = spots[from].sheet;
        let count = spots[from..]
            .iter()
            .take_while(|spot| spot.sheet == sheet)
            .count();
        let last = from + count - 1;
        let bottom = spots[last].at.1 + f64::from(blocks[last].height);
        let more = ((high - bottom) / count as f64)
            .clamp(0.0, pack::WIDE_GAP)
            .floor();
        for (row, spot) in spots[from..=last].iter_mut().enumerate() {
            spot.at.1 += more * row as f64;
        }
        from += count;
    }
}

/// Puts pages on sheets.
fn finish(vehicle: &Vehicle, format: &Format<'_>, pages: Vec<Page>) -> Drawing {
    let count = pages.len();
    let sheets = pages
        .into_iter()
        .enumerate()
        .map(|(index, page)| format.sheet(page, (index + 1, count)))
        .collect();
    let mut drawing = Drawing {
        title: vehicle.name.clone(),
        sheets,
    };
    refer(&mut drawing, format);
    drawing
}

/// Puts sheets and fields where texts refer to places.
fn refer(drawing: &mut Drawing, format: &Format<'_>) {
    let mut places: BTreeMap<String, String> = BTreeMap::new();
    for (index, sheet) in drawing.sheets.iter().enumerate() {
        for (name, at) in &sheet.plan.anchors {
            let place = format!("{}.{}", index + 1, format.field(&sheet.plan.frame, *at));
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
