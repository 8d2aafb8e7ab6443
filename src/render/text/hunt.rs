//! A hunt in words: what to do next first, then what it rests on.

use crate::advise::hunt::Hunt;
use crate::advise::hunt::Line;
use crate::advise::hunt::Located;
use crate::advise::hunt::Of;
use crate::advise::hunt::left;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::assumed;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

/// The whole page.
#[must_use]
pub fn hunt(vehicle: &Vehicle, of: &Hunt, show: Show, look: Look) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!(
            "{name} ({}), {}",
            words::path(&vehicle.document.sources),
            show.one(vehicle.system.likely)
        ),
    );
    let told = Told { vehicle, of, show };
    told.next(&mut page);
    told.balance(&mut page);
    told.suspects(&mut page);
    for one in &of.located {
        told.located(one, &mut page);
    }
    told.readings(&mut page);
    assumed::write(&mut page, show, of.assumed.iter());
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

struct Told<'a> {
    vehicle: &'a Vehicle,
    of: &'a Hunt,
    show: Show,
}

impl Told<'_> {
    fn name(&self, part: PartId) -> &str {
        &self.vehicle.part(part).name.value
    }

    fn names(&self, parts: &[PartId]) -> String {
        let names: Vec<&str> = parts.iter().map(|&part| self.name(part)).collect();
        names.join(", ")
    }

    fn next(&self, page: &mut Page) {
        page.heading("Next");
        page.line(2, &words::sentence(&self.of.say));
        if let Some(next) = &self.of.next {
            page.line(
                2,
                &format!(
                    "Then add this under `readings:` with what the meter shows: {}",
                    next.line
                ),
            );
            if next.share < 1.0 {
                page.line(2, &format!("Left after that: {}.", left(next.work)));
            }
        }
        for words in &self.of.heed {
            page.marked(2, "-", 4, &words::sentence(words));
        }
        let mut used: Vec<&String> = self.of.use_first.iter().collect();
        used.retain(|words| !self.of.say.contains(words.as_str()));
        for words in used {
            page.marked(
                2,
                "-",
                4,
                &words::sentence(&format!("Before a reading of the total: {words}")),
            );
        }
    }

    fn balance(&self, page: &mut Page) {
        let Some(balance) = &self.of.balance else {
            return;
        };
        page.heading("What is drawn");
        let out = if balance.out.is_empty() {
            String::new()
        } else {
            format!(" with {} out", self.names(&balance.out))
        };
        page.line(
            2,
            &format!(
                "{} measured (reading {}{out}), {} explained by the record ({} to {}), {} unexplained.",
                self.show.one(balance.measured),
                balance.reading,
                self.show.one(balance.explained),
                self.show.one(balance.explained_range.low),
                self.show.one(balance.explained_range.high),
                self.show.signed(balance.unexplained()).trim_start_matches('+')
            ),
        );
        for trouble in &self.of.troubles {
            page.marked(2, "!", 4, &words::sentence(&trouble.message));
        }
    }

    fn suspects(&self, page: &mut Page) {
        if self.of.suspects.is_empty() {
            return;
        }
        const MOST: usize = 12;
        page.heading("Where it can be");
        let rows = self.of.suspects.iter().take(MOST).map(|suspect| {
            let what = suspect.fuse.map_or_else(String::new, |fuse| {
                let part = self.vehicle.part(fuse);
                let words = [part.what.clone(), part.place.clone()];
                words.into_iter().flatten().collect::<Vec<_>>().join(", ")
            });
            vec![
                suspect
                    .fuse
                    .map_or("past all fuses", |fuse| self.name(fuse))
                    .to_owned(),
                if suspect.found {
                    "found".to_owned()
                } else {
                    format!("{:.0} %", suspect.probability * 100.0)
                },
                format!(
                    "{} to {}",
                    self.show.one(suspect.current.low),
                    self.show.one(suspect.current.high)
                ),
                what,
            ]
        });
        page.table(
            2,
            &[
                Column::Words("Behind"),
                Column::Figures("How likely"),
                Column::Figures("Draws"),
                Column::Words("What it is"),
            ],
            rows.collect(),
        );
        let more = self.of.suspects.len().saturating_sub(MOST);
        if more > 0 {
            page.line(2, &format!("and {more} more."));
        }
        if !self.of.unproven.is_empty() {
            let zeros: Vec<String> = self
                .of
                .unproven
                .iter()
                .map(|(fuse, floor)| {
                    format!("{} (less than {})", self.name(*fuse), self.show.one(*floor))
                })
                .collect();
            page.line(
                2,
                &format!(
                    "Nothing showed across {}: that does not clear {}.",
                    words::list(&zeros),
                    if zeros.len() == 1 { "it" } else { "them" }
                ),
            );
        }
    }

    fn located(&self, one: &Located, page: &mut Page) {
        page.heading(&one.fuse.map_or_else(
            || "Found past all fuses".to_owned(),
            |fuse| format!("Found behind {}", self.name(fuse)),
        ));
        page.line(
            2,
            &format!(
                "{} more than the record explains ({} to {}).",
                self.show.one(one.current),
                self.show.one(one.range.low),
                self.show.one(one.range.high)
            ),
        );
        let rows = one.parts.iter().map(|candidate| {
            let part = self.vehicle.part(candidate.part);
            vec![
                part.name.value.clone(),
                candidate.how.text().to_owned(),
                candidate
                    .possible
                    .map_or_else(|| "not stated".to_owned(), |amps| self.show.one(amps)),
                match candidate.match_ {
                    well if well >= 0.6 => "well",
                    some if some >= 0.2 => "hardly",
                    _ => "not",
                }
                .to_owned(),
                part.place.clone().unwrap_or_default(),
            ]
        });
        page.table(
            2,
            &[
                Column::Words("Part"),
                Column::Words("If"),
                Column::Figures("Draws"),
                Column::Words("Fits"),
                Column::Words("Where"),
            ],
            rows.collect(),
        );
        if !one.wires.is_empty() {
            let wires: Vec<String> = one.wires.iter().map(|&wire| self.wire(wire)).collect();
            page.line(2, &format!("Wires to follow: {}.", wires.join("; ")));
        }
        if !one.like.is_empty() {
            page.line(
                2,
                &format!("So much is typical of: {}.", one.like.join("; ")),
            );
        }
        for words in &one.past {
            page.marked(2, "-", 4, &words::sentence(words));
        }
        let mut expect = one.expect.clone();
        if let Some(first) = expect.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        page.line(2, &words::sentence(&expect));
    }

    fn wire(&self, wire: WireId) -> String {
        let wire = self.vehicle.wire(wire);
        let label = |at| &self.vehicle.terminal(at).label;
        let color = wire
            .color
            .as_ref()
            .map_or_else(String::new, |color| format!(" ({color})"));
        format!(
            "{}{color} {} to {}",
            wire.id,
            label(wire.from),
            label(wire.to)
        )
    }

    fn readings(&self, page: &mut Page) {
        if self.of.readings.is_empty() {
            return;
        }
        page.heading("Readings");
        let rows = self.of.readings.iter().map(|line| self.reading(line));
        page.table(
            2,
            &[
                Column::Figures("No."),
                Column::Words("Of"),
                Column::Words("Out"),
                Column::Figures("Current"),
                Column::Figures("Between"),
                Column::Figures("Explained"),
                Column::Words("Not used"),
            ],
            rows.collect(),
        );
    }

    fn reading(&self, line: &Line) -> Vec<String> {
        let current = line.of != Of::Other;
        let shown = |words: String| if current { words } else { String::new() };
        vec![
            line.number.to_string(),
            match line.of {
                Of::Total => "the whole".to_owned(),
                Of::Across(fuse) => format!("mV across {}", self.name(fuse)),
                Of::Wire(fuse) => format!("wire of {}", self.name(fuse)),
                Of::Other => "other".to_owned(),
            },
            self.names(&line.out),
            shown(self.show.one(line.likely)),
            shown(format!(
                "{} to {}",
                self.show.one(line.current.low),
                self.show.one(line.current.high)
            )),
            shown(self.show.one(line.explained)),
            line.unused.clone().unwrap_or_default(),
        ]
    }
}
