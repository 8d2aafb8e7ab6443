//! The frame of a sheet: border fields and title block.

use super::legend::{legend, legend_strip, legend_width};
use super::page::Page;
use crate::draw::drawing::{About, Anchor, Frame, Item, Point, Sheet, THIN};
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{TEXT, WORDS};
use crate::draw::{Options, measure};
use crate::model::Vehicle;

/// Distance from the paper's edge to the frame: left (for binding), elsewhere.
const MARGIN: (f64, f64) = (60.0, 34.0);

/// Height of the strip with title and legend.
pub(super) const TITLE: f64 = 62.0;

/// Between the frame and what is drawn.
const PAD: f64 = 14.0;

/// Border fields.
const FIELDS: (usize, usize) = (6, 4);

/// The usable area of the paper at full scale.
#[must_use]
pub fn area(options: &Options<'_>) -> (f64, f64) {
    let (width, height) = options.paper.size_mm();
    (
        width * 4.0 - MARGIN.0 - MARGIN.1 - 2.0 * PAD,
        height * 4.0 - 2.0 * MARGIN.1 - TITLE - 2.0 * PAD,
    )
}

/// Least scale at which the lettering can be read.
pub(super) const LEAST_SCALE: f64 = 0.85;

pub(super) fn sheet(
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

pub(super) fn border(pen: &mut Pen, frame: &Frame) {
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

pub(super) fn title(
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
