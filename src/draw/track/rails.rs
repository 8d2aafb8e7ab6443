//! Rails over the tracks, the chassis under them.

use crate::draw::drawing::{About, Anchor, BODY, Colour, Ink, Point};
use crate::draw::measure;
use crate::draw::net::Heat;
use crate::draw::symbol::pen::Pen;
use crate::draw::symbol::{TEXT, WORDS, marks};
use crate::draw::words;
use crate::read::document::Kind;

use super::forest::Rail;
use super::lay::{HEAD, LINE, rail_name};
use super::paint::{Painter, real};

impl Painter<'_> {
    /// The rail over its tracks, its name above.
    pub(super) fn rail(&mut self, rail: &Rail, xs: &[i32], continued: bool) {
        let (Some(&first), Some(&last)) = (xs.first(), xs.last()) else {
            return;
        };
        let y = HEAD - 8;
        let (left, right) = (first - 14, last + 14);
        let mut pen = Pen::default();
        for &x in xs {
            pen.lead(real(x, y), real(x, HEAD));
        }
        let line = (real(left, y), real(right, y));
        if rail.at.is_some_and(|end| self.supplied(end)) {
            line_of(&mut pen, line, rail.heat);
        } else {
            pen.line(&[line.0, line.1], Ink::solid(3.0));
        }
        let part = rail
            .at
            .and_then(|end| self.gatherer.vehicle.terminal(end).part);
        let name = rail_name(self.gatherer, rail);
        let what = match (rail.at, part) {
            (Some(_), Some(part)) if self.gatherer.vehicle.part(part).kind == Kind::Feed => {
                words::notes(self.gatherer.vehicle, part, self.gatherer.units).join(", ")
            }
            (Some(end), _) if !self.supplied(end) => "return".to_owned(),
            (Some(_), _) => hot(rail.heat).to_owned(),
            (None, _) => String::new(),
        };
        let what = if continued {
            vec!["continued".to_owned()]
        } else {
            measure::even(&what, WORDS, (right - left).max(110), 3)
        };
        let top = y - 7 - LINE * (what.len() as i32);
        pen.text(real(left, top), &name, TEXT, true, Anchor::Start);
        for (index, line) in what.iter().enumerate() {
            let at = real(left, top + LINE * (index as i32 + 1));
            pen.text(at, line, WORDS, false, Anchor::Start);
        }
        let marks = part.map_or_else(String::new, |part| marks(&self.gatherer.numbers(part)));
        let after = left + measure::width(&name, TEXT, true) + 6;
        pen.write(
            real(after, top),
            &marks,
            TEXT,
            true,
            Anchor::Start,
            Colour::MARK,
        );
        let about = part.map_or(About::Sheet, |part| About::Part(self.part_name(part)));
        self.put(pen, &about);
        if let Some(end) = rail.at {
            let label = self.label(end);
            for &x in xs {
                self.block
                    .plan
                    .terminals
                    .push((label.clone(), real(x, HEAD)));
            }
        }
        // A bar, splice or feed is drawn as its rail.
        if let Some(part) = part
            && self.gatherer.vehicle.part(part).terminals.len() == 1
            && !continued
        {
            self.name_once(part, left, y);
        }
    }

    /// The chassis under everything, and the numbers of the tracks.
    pub(super) fn chassis(&mut self) {
        let y = self.bottom;
        let mut pen = Pen::default();
        if let (Some(&first), Some(&last)) =
            (self.grounded.iter().min(), self.grounded.iter().max())
        {
            pen.line(&[real(first - 14, y), real(last + 14, y)], Ink::solid(3.0));
            for &x in &self.grounded {
                pen.dot(real(x, y), 3.0);
            }
            pen.lead(real(first - 8, y), real(first - 8, y + 8));
            pen.ground(real(first - 8, y + 8));
        }
        for &(number, x) in &self.tracks {
            let text = number.to_string();
            pen.text(real(x, y + 30), &text, WORDS, true, Anchor::Middle);
        }
        self.put(pen, &About::Sheet);
    }
}

const fn hot(heat: Heat) -> &'static str {
    match heat {
        Heat::Always => "always hot",
        Heat::Ignition => "hot with the key",
        Heat::Other => "hot otherwise",
        Heat::Unknown => "hot when: not stated",
    }
}

/// A rail from end to end; its filling shows when it is live.
pub fn line_of(pen: &mut Pen, (from, to): (Point, Point), heat: Heat) {
    pen.line(&[from, to], Ink::solid(5.0));
    if heat == Heat::Always {
        return;
    }
    let inner = [(from.0 + 1.0, from.1), (to.0 - 1.0, to.1)];
    pen.line(&inner, Ink::solid(2.6).coloured(Colour::WHITE));
    if heat != Heat::Ignition {
        let x = from.0 + 5.0;
        pen.line(&[(x, from.1 - 2.5), (x, from.1 + 2.5)], BODY);
    }
}
