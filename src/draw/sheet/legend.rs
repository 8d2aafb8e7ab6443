//! The legend of a sheet: what is used on it, in words.

use crate::draw::drawing::{Anchor, Colour, Point};
use crate::draw::net::{Heat, RowEnd, Schematic, Symbol};
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{TEXT, WORDS};
use crate::draw::track::rail;
use crate::draw::{Options, View, measure, words};
use crate::model::Vehicle;
use crate::model::Wire;

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
    Rail(Heat),
    Chassis,
    Dot,
    Splice,
    Assumed,
    Ground,
    Return,
    Mark,
    Dead,
}

/// What is used on a drawing, in words.
pub struct Legend {
    entries: Vec<Entry>,
    /// Entries in a column.
    lines: usize,
}

const PICTURE: f64 = 34.0;
/// Between columns.
const BETWEEN: f64 = 16.0;
/// Between lines.
const PITCH: f64 = 14.0;

impl Legend {
    /// Of what these schematics show.
    pub fn of(vehicle: &Vehicle, options: &Options<'_>, schematics: &[&Schematic]) -> Self {
        let mut legend = Self {
            entries: Vec::new(),
            lines: 5,
        };
        let devices = || schematics.iter().flat_map(|one| &one.devices);
        let joints = || schematics.iter().flat_map(|one| &one.joints);
        let shows = |heat: Heat| {
            devices().any(|device| match &device.symbol {
                Symbol::Feed(own) => *own == heat,
                Symbol::Tag { heat: own, .. } => *own == heat,
                _ => false,
            })
        };
        let tracks = options.view == View::Tracks;
        let live = |heat: Heat| {
            let mut pins = devices().flat_map(|device| &device.pins);
            pins.any(|pin| pin.heat == heat)
        };
        for (heat, text) in [
            (Heat::Always, "always hot"),
            (Heat::Ignition, "hot with the key"),
            (Heat::Other, "hot otherwise: switch, engine, shore power"),
            (Heat::Unknown, "hot when: not stated"),
        ] {
            if shows(heat) || tracks && live(heat) {
                let picture = if tracks {
                    Picture::Rail(heat)
                } else {
                    Picture::Heat(heat)
                };
                legend.add(picture, text);
            }
        }
        if devices().any(|device| matches!(device.symbol, Symbol::Tag { .. })) {
            legend.add(Picture::None, "/2.C1   goes on at sheet 2, field C1");
        }
        if tracks {
            legend.add(
                Picture::Return,
                "goes on at the rail or track after the stroke",
            );
            legend.add(Picture::Chassis, "the chassis, with the ground point named");
        } else if joints().any(|joint| joint.splice.is_none() && joint.cables.len() > 1) {
            legend.add(Picture::Dot, "wires joined at one terminal");
        }
        if joints().any(|joint| joint.splice.is_some())
            || devices().any(|device| device.symbol == Symbol::Splice)
        {
            legend.add(Picture::Splice, "splice");
        }
        let ends = || {
            devices()
                .flat_map(|device| &device.leads)
                .flat_map(|lead| &lead.rows)
                .chain(
                    devices()
                        .flat_map(|device| &device.pins)
                        .flat_map(|pin| &pin.ends)
                        .map(|end| &end.row),
                )
                .map(|row| &row.to)
        };
        if !tracks && ends().any(|end| !matches!(end, RowEnd::Point(_))) {
            legend.add(Picture::Ground, "to the chassis, or to the ground named");
        }
        if !tracks && ends().any(|end| matches!(end, RowEnd::Point(_))) {
            legend.add(Picture::Return, "to the terminal named");
        }
        if vehicle.wires.iter().any(|wire| wire.assumed) {
            legend.add(Picture::Assumed, "taken for granted, not in the record");
        }
        if options.situation.is_some() {
            legend.add(Picture::Dead, "thin: not live in the situation shown");
            let words = "V at the terminal, A in the wire, as computed";
            legend.add(Picture::None, words);
        }
        if !options.marks.is_empty() {
            legend.add(Picture::Mark, "marked: see the words with this number");
        }
        let unstated =
            |wire: &Wire| !wire.assumed && (wire.size.is_none() || wire.length.is_none());
        if vehicle.wires.iter().any(unstated) {
            legend.add(Picture::None, "?   not stated in the record");
        }
        let colours: Vec<String> = words::colour_key(vehicle)
            .iter()
            .map(|(code, word)| format!("{code} {word}"))
            .collect();
        for group in colours.chunks(3) {
            legend.add(Picture::None, &group.join(",  "));
        }
        legend
    }

    fn add(&mut self, picture: Picture, words: &str) {
        self.entries.push(Entry {
            picture,
            words: words.to_owned(),
            width: f64::from(measure::width(words, WORDS, false)),
        });
    }

    /// Takes as few lines as fit this width; whether `most` are enough.
    pub fn arrange(&mut self, width: f64, most: usize) -> bool {
        let most = most.min(self.entries.len().max(1));
        for lines in 1..=most {
            self.lines = lines;
            if self.width() <= width {
                // Beside the title block there is height to spare.
                self.lines = lines.max(most.min(5));
                return true;
            }
        }
        false
    }

    /// Height of what was arranged.
    pub fn height(&self) -> f64 {
        PITCH * self.lines as f64 + 8.0
    }

    fn columns(&self) -> impl Iterator<Item = (&[Entry], f64)> {
        self.entries.chunks(self.lines).map(|column| {
            let widest = column.iter().map(|entry| entry.width).fold(0.0, f64::max);
            let picture = if column.iter().all(|entry| entry.picture == Picture::None) {
                0.0
            } else {
                PICTURE
            };
            (column, picture + widest + BETWEEN)
        })
    }

    fn width(&self) -> f64 {
        8.0 + self.columns().map(|column| column.1).sum::<f64>()
    }

    /// Draws it from its top left corner.
    pub fn draw(&self, pen: &mut Pen, corner: Point) {
        let mut x = corner.0 + 8.0;
        for (column, width) in self.columns() {
            let pictures = column.iter().any(|entry| entry.picture != Picture::None);
            for (index, entry) in column.iter().enumerate() {
                let y = corner.1 + 11.0 + PITCH * index as f64;
                picture(pen, entry.picture, (x, y));
                let left = if pictures { x + PICTURE } else { x };
                pen.text((left, y + 3.2), &entry.words, WORDS, false, Anchor::Start);
            }
            x += width;
        }
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
        Picture::Rail(heat) => {
            rail(pen, ((x, y), (x + 26.0, y)), heat);
        }
        Picture::Chassis => {
            let ink = crate::draw::drawing::Ink::solid(3.0);
            pen.line(&[(x, y - 2.0), (x + 26.0, y - 2.0)], ink);
            pen.dot((x + 13.0, y - 2.0), 3.0);
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
