//! The frame of a sheet: border fields, title block, legend; and the room that it leaves.

use crate::draw::drawing::{Anchor, BODY, Frame, Item, Point, Sheet, THIN};
use crate::draw::net::Schematic;
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{TEXT, WORDS};
use crate::draw::{Options, measure};
use crate::model::Vehicle;

use super::legend::Legend;
use super::page::{Page, sheet_items};

/// Distance from the paper's edge to the frame: left (for binding), elsewhere.
const MARGIN: (f64, f64) = (60.0, 34.0);
/// The title block.
const TITLE: (f64, f64) = (310.0, 78.0);
/// Between the frame and what is drawn.
const PAD: f64 = 14.0;
/// Border fields along the long and the short side.
const FIELDS: (usize, usize) = (6, 4);
/// Least scale at which the lettering can be read.
pub const LEAST_SCALE: f64 = 0.85;

/// A small vehicle on one sheet is drawn so much larger, at most.
const MOST_SCALE: f64 = 1.35;
/// Name of the view that has one sheet.
pub const OVERVIEW: &str = "overview";

/// What all sheets of a drawing have in common.
pub struct Format<'v> {
    vehicle: &'v Vehicle,
    options: &'v Options<'v>,
    legend: Legend,
    /// Name of the view.
    view: &'v str,
    /// Height of title block and legend.
    foot: f64,
    /// Columns and rows of border fields.
    fields: (usize, usize),
}

impl<'v> Format<'v> {
    /// For a drawing of these schematics.
    #[must_use]
    pub fn new(
        vehicle: &'v Vehicle,
        options: &'v Options<'v>,
        view: &'v str,
        schematics: &[&Schematic],
    ) -> Self {
        let (width, height) = options.sheet_mm();
        let inside = width * 4.0 - MARGIN.0 - MARGIN.1;
        let mut legend = Legend::of(vehicle, options, schematics);
        // Beside the title block, or above it where that takes less of the sheet.
        let beside = legend
            .arrange(inside - TITLE.0, usize::MAX)
            .then(|| legend.height().max(TITLE.1));
        let above = legend
            .arrange(inside, usize::MAX)
            .then(|| legend.height() + TITLE.1);
        let foot = match (beside, above) {
            (Some(beside), above) if above.is_none_or(|above| beside <= above) => {
                legend.arrange(inside - TITLE.0, usize::MAX);
                beside
            }
            _ => TITLE.1 + legend.height(),
        };
        Self {
            vehicle,
            options,
            legend,
            view,
            foot,
            fields: if width >= height {
                FIELDS
            } else {
                (FIELDS.1, FIELDS.0)
            },
        }
    }

    /// The usable area of the paper at full scale.
    #[must_use]
    pub fn area(&self) -> (f64, f64) {
        let (width, height) = self.options.sheet_mm();
        (
            width * 4.0 - MARGIN.0 - MARGIN.1 - 2.0 * PAD,
            height * 4.0 - 2.0 * MARGIN.1 - self.foot - 2.0 * PAD,
        )
    }

    /// The scale at which so much fits on the paper: one at most where there may be further sheets, which are to look alike.
    #[must_use]
    pub fn scale(&self, size: Point) -> f64 {
        let full = self.area();
        let most = if self.view == OVERVIEW {
            MOST_SCALE
        } else {
            1.0
        };
        (full.0 / size.0).min(full.1 / size.1).min(most)
    }

    /// Puts a page on a sheet: on the paper where it fits, made smaller where that is still readable, else on a sheet of its
    /// own size. The frame and its lettering keep their size on paper.
    #[must_use]
    pub fn sheet(&self, page: Page, number: (usize, usize)) -> Sheet {
        let full = self.area();
        let scale = self.scale((page.width, page.height));
        let (used, paper_mm, size) = if scale >= LEAST_SCALE {
            (full, self.options.sheet_mm(), 1.0 / scale)
        } else {
            let used = (page.width.max(full.0), page.height.max(full.1));
            let mm = (
                (used.0 + MARGIN.0 + MARGIN.1 + 2.0 * PAD) / 4.0,
                (used.1 + 2.0 * MARGIN.1 + self.foot + 2.0 * PAD) / 4.0,
            );
            (used, mm, 1.0)
        };
        let frame = Frame {
            x: MARGIN.0,
            y: MARGIN.1,
            width: used.0 + 2.0 * PAD,
            height: used.1 + 2.0 * PAD + self.foot,
        };
        let mut pen = Pen::default();
        self.border(&mut pen, &frame);
        self.title(&mut pen, &frame, number);
        self.legend
            .draw(&mut pen, (frame.x, frame.y + frame.height - self.foot));
        let mut items: Vec<Item> = sheet_items(pen)
            .map(|item| Item {
                shape: item.shape.scaled(size),
                ..item
            })
            .collect();
        let by = ((frame.x + PAD) * size, (frame.y + PAD) * size);
        let mut plan = page.plan;
        plan.shift(by);
        plan.frame = Frame {
            x: frame.x * size,
            y: frame.y * size,
            width: frame.width * size,
            height: (frame.height - self.foot) * size,
        };
        items.extend(page.items.into_iter().map(|item| Item {
            about: item.about,
            shape: item.shape.shifted(by),
        }));
        Sheet {
            describes: format!(
                "Wiring diagram of {}, {}, sheet {} of {}",
                self.vehicle.name, self.view, number.0, number.1
            ),
            width: (frame.width + MARGIN.0 + MARGIN.1) * size,
            height: (frame.height + 2.0 * MARGIN.1) * size,
            paper_mm,
            items,
            plan,
        }
    }

    /// The field of the border that a point lies in, such as `B2`. `frame` is the area that drawing may use.
    #[must_use]
    pub fn field(&self, frame: &Frame, at: Point) -> String {
        let column = ((at.0 - frame.x) / frame.width * self.fields.0 as f64) as usize;
        let row = ((at.1 - frame.y) / frame.height * self.fields.1 as f64) as usize;
        let letter = char::from(b'A' + row.min(self.fields.1 - 1) as u8);
        format!("{letter}{}", column.min(self.fields.0 - 1) + 1)
    }

    fn border(&self, pen: &mut Pen, frame: &Frame) {
        pen.frame((frame.x, frame.y), frame.width, frame.height, BODY, None);
        let drawn = frame.height - self.foot;
        let (right, bottom) = (frame.x + frame.width, frame.y + frame.height);
        for column in 0..self.fields.0 {
            let step = frame.width / self.fields.0 as f64;
            let x = frame.x + step * column as f64;
            let middle = x + step / 2.0;
            let name = (column + 1).to_string();
            if column > 0 {
                pen.line(&[(x, frame.y - 8.0), (x, frame.y)], THIN);
                pen.line(&[(x, bottom), (x, bottom + 8.0)], THIN);
            }
            pen.text((middle, frame.y - 4.0), &name, WORDS, false, Anchor::Middle);
            pen.text((middle, bottom + 10.0), &name, WORDS, false, Anchor::Middle);
        }
        for row in 0..self.fields.1 {
            let step = drawn / self.fields.1 as f64;
            let y = frame.y + step * row as f64;
            let name = char::from(b'A' + row as u8).to_string();
            if row > 0 {
                pen.line(&[(frame.x - 8.0, y), (frame.x, y)], THIN);
                pen.line(&[(right, y), (right + 8.0, y)], THIN);
            }
            let middle = y + step / 2.0 + 3.0;
            pen.text((frame.x - 8.0, middle), &name, WORDS, false, Anchor::Middle);
            pen.text((right + 8.0, middle), &name, WORDS, false, Anchor::Middle);
        }
    }

    fn title(&self, pen: &mut Pen, frame: &Frame, number: (usize, usize)) {
        let foot = frame.y + frame.height - self.foot;
        let (right, bottom) = (frame.x + frame.width, frame.y + frame.height);
        let (left, top) = (right - TITLE.0, bottom - TITLE.1);
        pen.line(&[(frame.x, foot), (right, foot)], BODY);
        if top > foot {
            pen.line(&[(left, top), (right, top)], THIN);
        }
        pen.line(&[(left, top), (left, bottom)], THIN);
        let room = TITLE.0 as i32 - 76;
        let text = (left + 8.0, right - 8.0);
        if measure::width(&self.vehicle.name, 13.0, true) <= room {
            let name = &self.vehicle.name;
            pen.text((text.0, top + 16.0), name, 13.0, true, Anchor::Start);
        } else {
            // Bold letters are wider than the plain ones that are measured here.
            let lines = measure::wrap(&self.vehicle.name, TEXT, room * 9 / 10, 2);
            for (index, line) in lines.iter().enumerate() {
                let y = top + 11.0 + 10.0 * index as f64;
                pen.text((text.0, y), line, TEXT, true, Anchor::Start);
            }
        }
        let page = format!("{} / {}", number.0, number.1);
        pen.text((text.1, top + 16.0), &page, 13.0, true, Anchor::End);
        let mut what = format!("Wiring diagram, {}", self.view);
        if let Some(shown) = &self.options.situation {
            what = format!("{what}; shown: {}", shown.name);
        }
        let what = measure::wrap(&what, TEXT, TITLE.0 as i32 - 16, 1);
        let what = what.first().map_or("", String::as_str);
        pen.text((text.0, top + 33.0), what, TEXT, false, Anchor::Start);
        for (y, caution) in [
            (44.0, "Drawn from the record, not from the vehicle."),
            (
                54.0,
                "Disconnect the battery before work; check what you find.",
            ),
        ] {
            pen.text((text.0, top + y), caution, WORDS, false, Anchor::Start);
        }
        // To be filled in by hand: a record carries no date.
        pen.line(&[(left, top + 60.0), (right, top + 60.0)], THIN);
        for (x, word) in [(0.0, "Date"), (100.0, "Checked")] {
            if x > 0.0 {
                pen.line(&[(left + x, top + 60.0), (left + x, bottom)], THIN);
            }
            let at = (left + x + 8.0, bottom - 6.0);
            pen.text(at, word, WORDS, false, Anchor::Start);
        }
    }
}
