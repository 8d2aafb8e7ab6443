//! The legend of a sheet: what is used on it, in words.

use super::frame::TITLE;
use super::page::Page;
use crate::draw::drawing::{Anchor, Colour, Frame, Point};
use crate::draw::net::Heat;
use crate::draw::symbol::TEXT;
use crate::draw::symbol::pen::Pen;
use crate::draw::{Options, measure, words};
use crate::model::Vehicle;

/// One entry of the legend: a picture and words.
pub(super) struct Entry {
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

pub(super) fn legend(vehicle: &Vehicle, options: &Options<'_>, page: &Page) -> Vec<Entry> {
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

pub(super) fn legend_width(entries: &[Entry]) -> f64 {
    entries
        .chunks(LINES)
        .map(|column| PICTURE + 16.0 + column.iter().map(|entry| entry.width).fold(0.0, f64::max))
        .sum()
}

pub(super) fn legend_strip(pen: &mut Pen, entries: &[Entry], frame: &Frame) {
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
