//! Wires that end under a device: at ground, or at a point that is drawn elsewhere. Also the points where such wires land.

use super::pen::Pen;
use super::{Figure, LIMIT, PIN, WORDS, Words, up};
use crate::draw::drawing::{Anchor, BODY, Colour, Frame, Ink, LEAD};
use crate::draw::measure;
use crate::draw::net::{Device, Lead, Paint, Row, RowEnd, Symbol};

/// Distance between rows.
const PITCH: i32 = 14;
/// From the spine to the end of a row's line.
const STUB: f64 = 12.0;

/// Room that leads take under a device.
#[derive(Clone, Copy, Debug, Default)]
pub struct Room {
    /// To the right of the spine.
    pub width: i32,
    /// Down from the top.
    pub height: i32,
}

/// Whether all that goes down is one wire to ground: then the symbol hangs under the lead.
fn plain(leads: &[Lead]) -> Option<&Row> {
    match leads {
        [Lead { rows, .. }] => match rows.as_slice() {
            [row] if !matches!(row.to, RowEnd::Point(_)) => Some(row),
            _ => None,
        },
        _ => None,
    }
}

/// Words of a plain lead: the ground point's name, then the wire.
fn plain_words(row: &Row) -> (String, String) {
    match &row.to {
        RowEnd::Ground(Some(name)) => (name.clone(), row.text.clone()),
        _ => (String::new(), row.text.clone()),
    }
}

/// Room for the leads of a device.
pub fn room(leads: &[Lead]) -> Room {
    if let Some(row) = plain(leads) {
        let (name, text) = plain_words(row);
        let words = measure::width(&text, WORDS, false).max(measure::width(&name, WORDS, true));
        return Room {
            width: if words == 0 { 12 } else { 14 + words },
            height: if name.is_empty() { 20 } else { 24 },
        };
    }
    let named = leads.len() > 1;
    let rows: i32 = leads.iter().map(|lead| lead.rows.len() as i32).sum();
    let widest = leads
        .iter()
        .flat_map(|lead| lead.rows.iter().map(move |row| (lead, row)))
        .map(|(lead, row)| {
            let (end, text) = row_words(lead, row, named);
            STUB as i32
                + match row.to {
                    RowEnd::Ground(_) | RowEnd::Assumed => 10,
                    RowEnd::Point(_) => 0,
                }
                + if end.is_empty() {
                    0
                } else {
                    measure::width(&end, WORDS, true) + 10
                }
                + measure::width(&text, WORDS, false)
                + 4
        })
        .max()
        .unwrap_or(0);
    Room {
        width: widest + 8 * (leads.len() as i32 - 1).max(0),
        height: if rows == 0 { 0 } else { 6 + PITCH * rows },
    }
}

fn row_words(lead: &Lead, row: &Row, named: bool) -> (String, String) {
    let end = match &row.to {
        RowEnd::Ground(Some(name)) => name.clone(),
        RowEnd::Point(name) => name.clone(),
        RowEnd::Ground(None) | RowEnd::Assumed => String::new(),
    };
    let text = if named && !lead.name.is_empty() {
        format!("{}: {}", lead.name, row.text)
    } else {
        row.text.clone()
    };
    (end, text)
}

/// A line in the paint of a wire: a dark edge with the colour inside, so that yellow and white show on paper.
pub fn paint(pen: &mut Pen, points: &[(f64, f64)], paint: &Paint) {
    if paint.assumed {
        pen.line(
            points,
            Ink {
                dash: Some((3.0, 2.0)),
                ..LEAD
            },
        );
        return;
    }
    for ink in inks(paint) {
        pen.line(points, ink);
    }
}

/// The lines that make up a wire, the widest first.
#[must_use]
pub fn inks(paint: &Paint) -> Vec<Ink> {
    if paint.dead {
        return vec![Ink::solid(0.9).coloured(Colour(130, 130, 130))];
    }
    let edge = Ink::solid(paint.width + 1.4);
    match paint.colours.as_slice() {
        [] => vec![Ink::solid(paint.width)],
        [one] if *one == Colour::BLACK => vec![Ink::solid(paint.width + 0.6)],
        [one] => vec![edge, Ink::solid(paint.width).coloured(*one)],
        [one, stripe, ..] => vec![
            edge,
            Ink::solid(paint.width).coloured(*one),
            Ink {
                width: paint.width * 0.6,
                colour: *stripe,
                dash: Some((7.0, 7.0)),
            },
        ],
    }
}

/// Width of the end of a wire: a ground symbol with the name of the ground point, or a terminal's name in a box.
#[must_use]
pub fn end_width(to: &RowEnd) -> i32 {
    match to {
        RowEnd::Ground(Some(name)) => 14 + measure::width(name, WORDS, true),
        RowEnd::Ground(None) | RowEnd::Assumed => 10,
        RowEnd::Point(name) => 8 + measure::width(name, WORDS, true),
    }
}

/// The end of a wire that comes along a level line, on the right of `at` or on its left.
pub fn end(pen: &mut Pen, to: &RowEnd, at: (f64, f64), right: bool) {
    let turn = if right { 1.0 } else { -1.0 };
    match to {
        RowEnd::Ground(_) | RowEnd::Assumed => {
            let mut symbol = Pen::default();
            symbol.ground_right(at);
            if !right {
                symbol = symbol.mirrored(at.0);
            }
            pen.shapes.append(&mut symbol.shapes);
            if let RowEnd::Ground(Some(name)) = to {
                let anchor = if right { Anchor::Start } else { Anchor::End };
                pen.text((at.0 + 11.0 * turn, at.1 + 3.2), name, WORDS, true, anchor);
            }
        }
        RowEnd::Point(name) => {
            let width = f64::from(measure::width(name, WORDS, true)) + 6.0;
            let left = if right { at.0 } else { at.0 - width };
            pen.frame((left, at.1 - 6.0), width, 12.0, LEAD, Some(Colour::WHITE));
            let words = (left + 3.0, at.1 + 3.2);
            pen.text(words, name, WORDS, true, Anchor::Start);
        }
    }
}

/// Draws the leads from `(x, y)` down. `tops` gives the height at which each lead leaves the symbol, where they differ.
pub fn draw(pen: &mut Pen, leads: &[Lead], x: f64, y: f64) -> Vec<(String, Frame)> {
    let mut labels = Vec::new();
    if let Some(row) = plain(leads) {
        paint(pen, &[(x, y), (x, y + 10.0)], &row.paint);
        pen.ground((x, y + 10.0));
        let (name, text) = plain_words(row);
        pen.text((x + 12.0, y + 11.0), &text, WORDS, false, Anchor::Start);
        pen.text((x + 12.0, y + 21.0), &name, WORDS, true, Anchor::Start);
        if !text.is_empty() {
            labels.push((
                row.wire.clone(),
                Frame {
                    x: x + 12.0,
                    y: y + 3.0,
                    width: f64::from(measure::width(&text, WORDS, false)),
                    height: 10.0,
                },
            ));
        }
        return labels;
    }
    let named = leads.len() > 1;
    let mut row_y = y + 10.0;
    for (index, lead) in leads.iter().enumerate() {
        let spine = x + 8.0 * (leads.len() - 1 - index) as f64;
        let Some(rows) = (!lead.rows.is_empty()).then_some(&lead.rows) else {
            continue;
        };
        let last = row_y + f64::from(PITCH) * (rows.len() - 1) as f64;
        pen.lead((spine, y), (spine, last));
        for (number, row) in rows.iter().enumerate() {
            let end_x = x + 8.0 * (leads.len() - 1) as f64 + STUB;
            paint(pen, &[(spine, row_y), (end_x, row_y)], &row.paint);
            if number + 1 < rows.len() {
                pen.dot((spine, row_y), 2.2);
            }
            let (end, text) = row_words(lead, row, named);
            let mut at = end_x;
            match row.to {
                RowEnd::Ground(_) | RowEnd::Assumed => {
                    pen.ground_right((at, row_y));
                    at += 9.0;
                    pen.text((at, row_y + 3.2), &end, WORDS, true, Anchor::Start);
                    if !end.is_empty() {
                        at += f64::from(measure::width(&end, WORDS, true)) + 4.0;
                    }
                }
                RowEnd::Point(_) => {
                    let width = f64::from(measure::width(&end, WORDS, true)) + 6.0;
                    pen.frame((at, row_y - 6.0), width, 12.0, LEAD, Some(Colour::WHITE));
                    pen.text((at + 3.0, row_y + 3.2), &end, WORDS, true, Anchor::Start);
                    at += width + 4.0;
                }
            }
            pen.text((at, row_y + 3.2), &text, WORDS, false, Anchor::Start);
            labels.push((
                row.wire.clone(),
                Frame {
                    x: at,
                    y: row_y - 5.0,
                    width: f64::from(measure::width(&text, WORDS, false)),
                    height: 10.0,
                },
            ));
            row_y += f64::from(PITCH);
        }
    }
    labels
}

/// A point where returns land: its name, then a bar with a row for each wire; a ground point has its symbol underneath.
pub fn home(device: &Device) -> Figure {
    let words = Words::of(device, LIMIT + 40);
    let mut pen = Pen::default();
    let top = f64::from(words.height + 4);
    words.beside(&mut pen, 2.0, 2.0);
    let x = 12.0;
    let rows: Vec<&Row> = device.leads.iter().flat_map(|lead| &lead.rows).collect();
    let foot = top + 6.0 + f64::from(PITCH) * (rows.len().max(1) - 1) as f64 + 6.0;
    match device.symbol {
        Symbol::GroundPoint => {
            pen.line(&[(x, top), (x, foot + 2.0)], BODY);
            pen.ground((x, foot + 2.0));
        }
        _ => pen.line(&[(x, top), (x, foot)], Ink::solid(4.0)),
    }
    let mut labels = Vec::new();
    let mut widest = words.width;
    let mut y = top + 6.0;
    for row in rows {
        let end_x = x + STUB;
        paint(&mut pen, &[(x, y), (end_x, y)], &row.paint);
        let mut at = end_x;
        match &row.to {
            RowEnd::Point(name) => {
                let width = f64::from(measure::width(name, WORDS, true)) + 6.0;
                pen.frame((at, y - 6.0), width, 12.0, LEAD, Some(Colour::WHITE));
                pen.text((at + 3.0, y + 3.2), name, WORDS, true, Anchor::Start);
                at += width + 4.0;
            }
            RowEnd::Ground(name) => {
                pen.ground_right((at, y));
                at += 9.0;
                if let Some(name) = name {
                    pen.text((at, y + 3.2), name, WORDS, true, Anchor::Start);
                    at += f64::from(measure::width(name, WORDS, true)) + 4.0;
                }
            }
            RowEnd::Assumed => {
                pen.ground_right((at, y));
                at += 9.0;
            }
        }
        pen.text((at, y + 3.2), &row.text, WORDS, false, Anchor::Start);
        let width = measure::width(&row.text, WORDS, false);
        labels.push((
            row.wire.clone(),
            Frame {
                x: at,
                y: y - 5.0,
                width: f64::from(width),
                height: 10.0,
            },
        ));
        widest = widest.max(at as i32 + width);
        y += f64::from(PITCH);
    }
    Figure {
        width: up(widest + 6, 20),
        height: up(foot as i32 + 14, 10),
        ports: vec![Vec::new(); device.pins.len()],
        reach: vec![0; device.pins.len()],
        open: false,
        shapes: pen.shapes,
        labels,
        anchors: Vec::new(),
    }
}

/// Rows of a list in one column, at most.
const ROWS: usize = 30;

/// Wires that go on elsewhere, one below the other on one terminal at the left; many of them in columns.
pub fn list(device: &Device) -> Figure {
    let mut pen = Pen::default();
    let rows: Vec<&Row> = device.leads.iter().flat_map(|lead| &lead.rows).collect();
    let columns = rows.len().div_ceil(ROWS).max(1);
    let per_column = rows.len().div_ceil(columns).max(1);
    let (first, top) = (10.0, 20.0);
    let mut labels = Vec::new();
    let mut anchors = Vec::new();
    let mut x = first;
    let mut last = first;
    for column in rows.chunks(per_column) {
        let foot = top + f64::from(PITCH) * (column.len() - 1) as f64;
        let head = if columns > 1 { top - 10.0 } else { top };
        if foot > head {
            pen.lead((x, head), (x, foot));
        }
        if rows.len() > 1 {
            pen.dot((x, if x > first { head } else { top }), 2.6);
        }
        let mut widest = 0.0_f64;
        for (index, row) in column.iter().enumerate() {
            let y = top + f64::from(PITCH) * index as f64;
            let mut at = x + STUB;
            paint(&mut pen, &[(x, y), (at, y)], &row.paint);
            if let RowEnd::Point(name) = &row.to {
                end(&mut pen, &row.to, (at, y), true);
                at += f64::from(measure::width(name, WORDS, true)) + 10.0;
            }
            pen.text((at, y + 3.2), &row.text, WORDS, false, Anchor::Start);
            let width = f64::from(measure::width(&row.text, WORDS, false));
            labels.push((
                row.wire.clone(),
                Frame {
                    x: at,
                    y: y - 5.0,
                    width,
                    height: 10.0,
                },
            ));
            // All of them are found where the list begins.
            anchors.push((row.anchor.clone(), (first, top)));
            widest = widest.max(at + width);
        }
        last = x;
        x = (widest + 24.0).ceil();
    }
    if last > first {
        pen.lead((first, top - 10.0), (last, top - 10.0));
    }
    let foot = top as i32 + PITCH * (per_column as i32 - 1);
    Figure {
        width: up((x - 20.0) as i32, 20),
        height: up(foot + 10, 10).max(40),
        ports: vec![vec![20]; device.pins.len()],
        reach: vec![10; device.pins.len()],
        open: false,
        shapes: pen.shapes,
        labels,
        anchors,
    }
}

/// Name of a terminal under a symbol, left of its lead.
pub fn name(pen: &mut Pen, text: &str, x: f64, y: f64) {
    pen.text((x - 3.0, y), text, PIN, false, Anchor::End);
}
