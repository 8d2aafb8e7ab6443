//! Sheets: blocks in a frame with border fields, title block and legend.

use std::collections::BTreeMap;

use super::compose::{Block, alone, compose};
use super::drawing::{
    About, Anchor, Colour, Drawing, Frame, Item, Plan, Point, Shape, Sheet, THIN,
};
use super::net::{Heat, Schematic, Symbol};
use super::pass::graph::Columns;
use super::split;
use super::strip;
use super::symbol::pen::Pen;
use super::symbol::{TEXT, WORDS};
use super::{Mark, Options, measure, words};
use crate::model::Vehicle;

/// Distance from the paper's edge to the frame: left (for binding), elsewhere.
const MARGIN: (f64, f64) = (60.0, 34.0);
/// Height of the strip with title and legend.
const TITLE: f64 = 62.0;
/// Between blocks.
const GAP: f64 = 30.0;
/// Between the frame and what is drawn.
const PAD: f64 = 14.0;
/// Border fields.
const FIELDS: (usize, usize) = (6, 4);

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
        strips.extend(narrow(one, most.0, &format!("{index}-")));
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

/// Splits a strip that is too wide for the paper where the fewest wires have to be cut.
fn narrow(one: strip::Strip, most: f64, path: &str) -> Vec<strip::Strip> {
    let block = compose(&one.schematic, None);
    let columns = block.columns.column.len();
    if f64::from(block.width) <= most || columns < 3 {
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

/// The usable area of the paper at full scale.
#[must_use]
pub fn area(options: &Options<'_>) -> (f64, f64) {
    let (width, height) = options.paper.size_mm();
    (
        width * 4.0 - MARGIN.0 - MARGIN.1 - 2.0 * PAD,
        height * 4.0 - 2.0 * MARGIN.1 - TITLE - 2.0 * PAD,
    )
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

/// Least scale at which the lettering can be read.
const LEAST_SCALE: f64 = 0.85;

fn sheet(
    vehicle: &Vehicle,
    options: &Options<'_>,
    page: Page,
    view: &str,
    number: (usize, usize),
) -> Sheet {
    let legend = legend(vehicle, options, &page);
    let full = area(options);
    let paper = options.paper.size_mm();
    let least = legend_width(&legend) + 330.0;
    let needed = (page.width.max(least), page.height);
    // On the paper where it fits, made smaller where that is still readable; else on a sheet of its own size.
    let scale = (full.0 / needed.0).min(full.1 / needed.1).min(1.0);
    let (used, paper_mm) = if scale >= LEAST_SCALE {
        ((full.0 / scale, full.1 / scale), paper)
    } else {
        let used = (needed.0.max(full.0), needed.1.max(full.1));
        let mm = (
            (used.0 + MARGIN.0 + MARGIN.1 + 2.0 * PAD) / 4.0,
            (used.1 + 2.0 * MARGIN.1 + TITLE + 2.0 * PAD) / 4.0,
        );
        (used, mm)
    };
    let width = used.0 + MARGIN.0 + MARGIN.1 + 2.0 * PAD;
    let height = used.1 + 2.0 * MARGIN.1 + TITLE + 2.0 * PAD;
    let frame = Frame {
        x: MARGIN.0,
        y: MARGIN.1,
        width: width - MARGIN.0 - MARGIN.1,
        height: height - 2.0 * MARGIN.1,
    };
    let mut pen = Pen::default();
    border(&mut pen, &frame);
    title(&mut pen, vehicle, options, &frame, view, number);
    legend_strip(&mut pen, &legend, &frame);
    let mut items: Vec<Item> = pen
        .shapes
        .into_iter()
        .map(|shape| Item {
            about: About::Sheet,
            shape,
        })
        .collect();
    let by = (frame.x + PAD, frame.y + PAD);
    let mut plan = page.plan;
    plan.shift(by);
    plan.frame = Frame {
        height: frame.height - TITLE,
        ..frame
    };
    items.extend(page.items.into_iter().map(|item| Item {
        about: item.about,
        shape: item.shape.shifted(by),
    }));
    Sheet {
        describes: format!(
            "Wiring diagram of {}, {view}, sheet {} of {}",
            vehicle.name, number.0, number.1
        ),
        width,
        height,
        paper_mm,
        items,
        plan,
    }
}

/// The field of the border that a point lies in, such as `B2`.
#[must_use]
pub fn field(frame: &Frame, at: Point) -> String {
    let column = ((at.0 - frame.x) / frame.width * FIELDS.0 as f64) as usize;
    let row = ((at.1 - frame.y) / frame.height * FIELDS.1 as f64) as usize;
    let letter = char::from(b'A' + row.min(FIELDS.1 - 1) as u8);
    format!("{letter}{}", column.min(FIELDS.0 - 1) + 1)
}

fn border(pen: &mut Pen, frame: &Frame) {
    pen.frame(
        (frame.x, frame.y),
        frame.width,
        frame.height,
        crate::draw::drawing::BODY,
        None,
    );
    let drawn = frame.height - TITLE;
    let (right, bottom) = (frame.x + frame.width, frame.y + frame.height);
    for column in 0..FIELDS.0 {
        let step = frame.width / FIELDS.0 as f64;
        let x = frame.x + step * column as f64;
        let middle = x + step / 2.0;
        let name = (column + 1).to_string();
        if column > 0 {
            pen.line(&[(x, frame.y - 8.0), (x, frame.y)], THIN);
            pen.line(&[(x, bottom), (x, bottom + 8.0)], THIN);
        }
        pen.text((middle, frame.y - 4.0), &name, 8.0, false, Anchor::Middle);
        pen.text((middle, bottom + 10.0), &name, 8.0, false, Anchor::Middle);
    }
    for row in 0..FIELDS.1 {
        let step = drawn / FIELDS.1 as f64;
        let y = frame.y + step * row as f64;
        let name = char::from(b'A' + row as u8).to_string();
        if row > 0 {
            pen.line(&[(frame.x - 8.0, y), (frame.x, y)], THIN);
            pen.line(&[(right, y), (right + 8.0, y)], THIN);
        }
        let middle = y + step / 2.0 + 3.0;
        pen.text((frame.x - 8.0, middle), &name, 8.0, false, Anchor::Middle);
        pen.text((right + 8.0, middle), &name, 8.0, false, Anchor::Middle);
    }
}

fn title(
    pen: &mut Pen,
    vehicle: &Vehicle,
    options: &Options<'_>,
    frame: &Frame,
    view: &str,
    number: (usize, usize),
) {
    let top = frame.y + frame.height - TITLE;
    let right = frame.x + frame.width;
    let left = right - 300.0;
    pen.line(&[(frame.x, top), (right, top)], crate::draw::drawing::BODY);
    pen.line(&[(left, top), (left, top + TITLE)], THIN);
    let name = measure::wrap(&vehicle.name, 13.0, 215, 1);
    let name = name.first().map_or("", String::as_str);
    pen.text((left + 8.0, top + 16.0), name, 13.0, true, Anchor::Start);
    let mut what = format!("Wiring diagram, {view}");
    if let Some(shown) = &options.situation {
        what = format!("{what}; shown: {}", shown.name);
    }
    let what = measure::wrap(&what, TEXT, 284, 1);
    let what = what.first().map_or("", String::as_str);
    pen.text((left + 8.0, top + 31.0), what, TEXT, false, Anchor::Start);
    pen.text(
        (left + 8.0, top + 44.0),
        "Drawn from the record, not from the vehicle.",
        WORDS,
        false,
        Anchor::Start,
    );
    pen.text(
        (left + 8.0, top + 55.0),
        "Disconnect the battery before work; check what you find.",
        WORDS,
        false,
        Anchor::Start,
    );
    pen.text(
        (right - 8.0, top + 16.0),
        &format!("{} / {}", number.0, number.1),
        13.0,
        true,
        Anchor::End,
    );
}

/// One entry of the legend: a picture and words.
struct Entry {
    picture: Picture,
    words: String,
    width: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Picture {
    None,
    Heat(Heat),
    Dot,
    Splice,
    Assumed,
    Ground,
    Return,
    Mark,
    Dead,
}

fn legend(vehicle: &Vehicle, options: &Options<'_>, page: &Page) -> Vec<Entry> {
    let mut entries = Vec::new();
    let mut add = |picture: Picture, words: &str| {
        entries.push(Entry {
            picture,
            words: words.to_owned(),
            width: f64::from(measure::width(words, 8.0, false)),
        });
    };
    let heats: Vec<Heat> = vehicle
        .parts
        .iter()
        .filter(|part| part.kind == crate::read::document::Kind::Feed)
        .map(|part| words::heat(&part.fields))
        .collect();
    let tagged: Vec<Heat> = page.plan.tags.iter().filter_map(|tag| tag.heat).collect();
    for (heat, text) in [
        (Heat::Always, "always hot"),
        (Heat::Ignition, "hot with the key"),
        (
            Heat::Other,
            "hot otherwise: behind a switch, engine, shore power",
        ),
        (Heat::Unknown, "hot when: not stated"),
    ] {
        if heats.contains(&heat) || tagged.contains(&heat) {
            add(Picture::Heat(heat), text);
        }
    }
    if !tagged.is_empty() {
        add(Picture::None, "/2.C1   goes on at sheet 2, field C1");
    }
    if !page.plan.dots.is_empty() {
        add(Picture::Dot, "wires joined at one terminal");
    }
    if vehicle
        .parts
        .iter()
        .any(|part| part.kind == crate::read::document::Kind::Splice)
    {
        add(Picture::Splice, "splice");
    }
    add(
        Picture::Ground,
        "to the chassis, or to the ground point named",
    );
    add(Picture::Return, "to the point named");
    if vehicle.wires.iter().any(|wire| wire.assumed) {
        add(Picture::Assumed, "taken for granted, not in the record");
    }
    if options.situation.is_some() {
        add(Picture::Dead, "thin: not live in the situation shown");
        add(
            Picture::None,
            "V at the terminal, A in the wire, as computed",
        );
    }
    if !options.marks.is_empty() {
        add(Picture::Mark, "marked: see the words with this number");
    }
    if vehicle
        .wires
        .iter()
        .any(|wire| !wire.assumed && (wire.size.is_none() || wire.length.is_none()))
    {
        add(Picture::None, "?   not stated in the record");
    }
    let colours: Vec<String> = words::colour_key(vehicle)
        .iter()
        .map(|(code, word)| format!("{code} {word}"))
        .collect();
    for group in colours.chunks(3) {
        add(Picture::None, &group.join(",  "));
    }
    entries
}

/// Entries in a column of the legend.
const LINES: usize = 4;
const PICTURE: f64 = 34.0;

fn legend_width(entries: &[Entry]) -> f64 {
    entries
        .chunks(LINES)
        .map(|column| PICTURE + 16.0 + column.iter().map(|entry| entry.width).fold(0.0, f64::max))
        .sum()
}

fn legend_strip(pen: &mut Pen, entries: &[Entry], frame: &Frame) {
    let top = frame.y + frame.height - TITLE;
    let mut x = frame.x + 8.0;
    for column in entries.chunks(LINES) {
        for (index, entry) in column.iter().enumerate() {
            let y = top + 10.0 + 14.0 * index as f64;
            picture(pen, entry.picture, (x, y));
            pen.text(
                (x + PICTURE, y + 3.0),
                &entry.words,
                8.0,
                false,
                Anchor::Start,
            );
        }
        x += PICTURE + 16.0 + column.iter().map(|entry| entry.width).fold(0.0, f64::max);
    }
}

fn picture(pen: &mut Pen, picture: Picture, at: Point) {
    let (x, y) = at;
    let lead = crate::draw::drawing::LEAD;
    match picture {
        Picture::None => {}
        Picture::Heat(heat) => {
            let corners = [
                (x, y - 5.0),
                (x + 20.0, y - 5.0),
                (x + 26.0, y),
                (x + 20.0, y + 5.0),
                (x, y + 5.0),
            ];
            let fill = if heat == Heat::Always {
                Colour::BLACK
            } else {
                Colour::WHITE
            };
            pen.area(&corners, Some(lead), Some(fill));
            if heat == Heat::Other {
                pen.line(&[(x + 4.0, y - 5.0), (x + 4.0, y + 5.0)], lead);
            }
        }
        Picture::Dot | Picture::Splice => {
            pen.line(&[(x, y), (x + 26.0, y)], lead);
            pen.line(&[(x + 13.0, y), (x + 13.0, y + 5.0)], lead);
            pen.dot(
                (x + 13.0, y),
                if picture == Picture::Dot { 2.4 } else { 3.4 },
            );
        }
        Picture::Assumed => pen.line(
            &[(x, y), (x + 26.0, y)],
            crate::draw::drawing::Ink {
                dash: Some((3.0, 2.0)),
                ..lead
            },
        ),
        Picture::Dead => pen.line(
            &[(x, y), (x + 26.0, y)],
            crate::draw::drawing::Ink::solid(0.9).coloured(Colour(130, 130, 130)),
        ),
        Picture::Ground => {
            pen.line(&[(x + 4.0, y), (x + 14.0, y)], lead);
            pen.ground_right((x + 14.0, y));
        }
        Picture::Return => {
            pen.line(&[(x, y), (x + 8.0, y)], lead);
            pen.frame((x + 8.0, y - 4.5), 18.0, 9.0, lead, Some(Colour::WHITE));
        }
        Picture::Mark => pen.write(
            (x + 6.0, y + 3.5),
            "!1",
            TEXT,
            true,
            Anchor::Start,
            Colour::MARK,
        ),
    }
}

/// Whether a symbol stands for a part that is drawn beside the nets.
#[must_use]
pub const fn is_foot(symbol: &Symbol) -> bool {
    matches!(symbol, Symbol::Home | Symbol::GroundPoint)
}
