//! A hunt in words: what to do next first, then what it rests on.

use crate::advise::hunt::Hunt;
use crate::advise::hunt::Line;
use crate::advise::hunt::Located;
use crate::advise::hunt::Of;
use crate::advise::hunt::left;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::render::snippet::Look;
use crate::render::text::Grid;
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

/// So many places are named.
const MOST_PLACES: usize = 12;

/// One turn of a hunt in which somebody is asked what the meter shows.
#[must_use]
pub fn turn(of: &Hunt, look: Look) -> String {
    let mut page = Page::new(look);
    page.heading("Next");
    page.line(2, &words::sentence(&of.say));
    for words in &of.heed {
        page.marked(2, "-", 4, &words::sentence(words));
    }
    page.line(
        2,
        &format!(
            "What does the meter show? A value is written as {}; a whole entry in braces is written as it is; an empty line ends.",
            of.asked()
        ),
    );
    page.into_text()
}

/// What is told.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// The hunt.
    pub of: &'a Hunt,
    /// How quantities are shown.
    pub show: Show,
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
        for sentence in self.then() {
            page.line(2, &sentence);
        }
        for words in self.heed() {
            page.marked(2, "-", 4, &words);
        }
    }

    /// What to write down after the next step, and how far it is from there, in sentences.
    #[must_use]
    pub fn then(&self) -> Vec<String> {
        let mut sentences = Vec::new();
        if let Some(line) = &self.of.again {
            sentences.push(format!(
                "Then add this under `readings:` with what the meter shows: {line}"
            ));
        }
        if let Some(next) = &self.of.next {
            sentences.push(format!(
                "Then add this under `readings:` with what the meter shows: {}",
                next.line
            ));
            if next.share < 1.0 {
                sentences.push(format!("Left after that: {}.", left(next.work)));
            }
        }
        sentences
    }

    /// What the next step asks of the meter and of whoever holds it, in sentences.
    #[must_use]
    pub fn heed(&self) -> Vec<String> {
        let heed = self.of.heed.iter().map(|words| words::sentence(words));
        let first = self.of.use_first.iter();
        let first = first.filter(|words| !self.of.say.contains(words.as_str()));
        let first =
            first.map(|words| words::sentence(&format!("Before a reading of the total: {words}")));
        heed.chain(first).collect()
    }

    fn balance(&self, page: &mut Page) {
        let Some(drawn) = self.drawn() else {
            return;
        };
        page.heading("What is drawn");
        page.line(2, &drawn);
        for trouble in &self.of.troubles {
            page.marked(2, "!", 4, &words::sentence(&trouble.message));
        }
    }

    /// What was measured against what the record explains, in a sentence.
    #[must_use]
    pub fn drawn(&self) -> Option<String> {
        let balance = self.of.balance.as_ref()?;
        let out = if balance.out.is_empty() {
            String::new()
        } else {
            format!(" with {} out", self.names(&balance.out))
        };
        let left = balance.unexplained();
        let shown = self.show.one(left.abs());
        let left = if left.0 < 0.0 {
            format!("{shown} less than that is drawn")
        } else {
            format!("{shown} unexplained")
        };
        Some(format!(
            "{} measured (reading {}{out}), {} explained by the record ({} to {}), {left}.",
            self.show.one(balance.measured),
            balance.reading,
            self.show.one(balance.explained),
            self.show.one(balance.explained_range.low),
            self.show.one(balance.explained_range.high),
        ))
    }

    fn suspects(&self, page: &mut Page) {
        if self.of.suspects.is_empty() {
            return;
        }
        page.heading("Where it can be");
        page.grid(2, self.places());
        let more = self.of.suspects.len().saturating_sub(MOST_PLACES);
        if more > 0 {
            page.line(2, &format!("and {more} more."));
        }
        if let Some(sentence) = self.unproven() {
            page.line(2, &sentence);
        }
    }

    /// Where an unknown draw can be, the likeliest first.
    #[must_use]
    pub fn places(&self) -> Grid<'static> {
        let rows = self.of.suspects.iter().take(MOST_PLACES).map(|suspect| {
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
                suspect.share.map_or("found".to_owned(), |share| {
                    format!("{:.0} %", share * 100.0)
                }),
                format!(
                    "{} to {}",
                    self.show.one(suspect.current.low),
                    self.show.one(suspect.current.high)
                ),
                what,
            ]
        });
        let columns = [
            Column::Words("Behind"),
            Column::Figures("Suspicion"),
            Column::Figures("Draws"),
            Column::Words("What it is"),
        ];
        Grid::new(&columns, rows.collect())
    }

    /// Fuses that readings of nothing do not clear, in a sentence.
    #[must_use]
    pub fn unproven(&self) -> Option<String> {
        let zeros = self.of.unproven.iter();
        let zeros: Vec<String> = zeros
            .map(|(fuse, floor)| {
                format!("{} (less than {})", self.name(*fuse), self.show.one(*floor))
            })
            .collect();
        (!zeros.is_empty()).then(|| {
            format!(
                "Nothing showed across {}: that does not clear {}.",
                words::list(&zeros),
                if zeros.len() == 1 { "it" } else { "them" }
            )
        })
    }

    /// Where it was found.
    #[must_use]
    pub fn found(&self, one: &Located) -> String {
        one.fuse.map_or_else(
            || "Found past all fuses".to_owned(),
            |fuse| format!("Found behind {}", self.name(fuse)),
        )
    }

    fn located(&self, one: &Located, page: &mut Page) {
        page.heading(&self.found(one));
        page.line(2, &self.more(one));
        page.grid(2, self.candidates(one));
        for sentence in self.follow(one) {
            page.line(2, &sentence);
        }
        for words in &one.past {
            page.marked(2, "-", 4, &words::sentence(words));
        }
        page.line(2, &expected(one));
    }

    /// How much more is drawn there than the record explains, in a sentence.
    #[must_use]
    pub fn more(&self, one: &Located) -> String {
        format!(
            "{} more than the record explains ({} to {}).",
            self.show.one(one.current),
            self.show.one(one.range.low),
            self.show.one(one.range.high)
        )
    }

    /// The parts there, by how well they match.
    #[must_use]
    pub fn candidates(&self, one: &Located) -> Grid<'static> {
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
        let columns = [
            Column::Words("Part"),
            Column::Words("If"),
            Column::Figures("Draws"),
            Column::Words("Fits"),
            Column::Words("Where"),
        ];
        Grid::new(&columns, rows.collect())
    }

    /// Wires to follow, and what typically draws so much, in sentences.
    #[must_use]
    pub fn follow(&self, one: &Located) -> Vec<String> {
        let mut sentences = Vec::new();
        if !one.wires.is_empty() {
            let wires: Vec<String> = one.wires.iter().map(|&wire| self.wire(wire)).collect();
            sentences.push(format!("Wires to follow: {}.", wires.join("; ")));
        }
        if !one.like.is_empty() {
            sentences.push(format!("So much is typical of: {}.", one.like.join("; ")));
        }
        sentences
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
        page.grid(2, self.lines());
    }

    /// What the record makes of every reading.
    #[must_use]
    pub fn lines(&self) -> Grid<'static> {
        let rows = self.of.readings.iter().map(|line| self.reading(line));
        let columns = [
            Column::Figures("No."),
            Column::Words("Of"),
            Column::Words("Out"),
            Column::Figures("Current"),
            Column::Figures("Between"),
            Column::Figures("Explained"),
            Column::Words("Not used"),
        ];
        Grid::new(&columns, rows.collect())
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
                // What a meter's digits leave open below nothing is nothing.
                self.show.one(if line.likely >= Amps::ZERO {
                    line.current.low.max(Amps::ZERO)
                } else {
                    line.current.low
                }),
                self.show.one(line.current.high)
            )),
            shown(self.show.one(line.explained)),
            line.unused.clone().unwrap_or_default(),
        ]
    }
}

/// What the meter shows when the suspect is unplugged, in a sentence.
#[must_use]
pub fn expected(one: &Located) -> String {
    let mut expect = one.expect.clone();
    if let Some(first) = expect.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    words::sentence(&expect)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::analyze;
    use crate::model::testing::vehicle;
    use crate::quantity::show::Units;
    use crate::render::json;

    const TRUCK: &str = "vehicle: {system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  SP: {kind: busbar}
  A1: {kind: fuse, rating: 15 A, form: blade}
  A2: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, left: open}
  LAMP: {kind: load, type: led, draw: 1.5 A}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 6 mA, place: under the dash}
  CAMERA: {kind: load, type: electronics}
wires:
  - {id: main, run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {id: a1, run: [SP, A1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {id: a2, run: [SP, A2, TRACKER], size: 18 AWG, color: blue, lengths: [10 cm, 1 m]}
  - {id: a3, run: [A2, CAMERA], size: 18 AWG, lengths: [1 m]}
readings:
";

    fn hunted(readings: &str) -> (Vehicle, Hunt) {
        let vehicle = vehicle(&format!("{TRUCK}{readings}"));
        let solved = analyze(&vehicle);
        let hunt = crate::advise::hunt::hunt(&vehicle, &solved);
        (vehicle, hunt)
    }

    /// The page as one line, so that a sentence is found wherever it wraps.
    fn page(vehicle: &Vehicle, of: &Hunt) -> String {
        let page = super::hunt(vehicle, of, Show(Units::Metric), Look::default());
        page.split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// 110 mA less 26 mA with A2 out are 84 mA: 90 mA of the tracker awake less the 6 mA that it may draw.
    #[test]
    fn what_was_found_is_told_with_its_parts_and_wires() {
        let (vehicle, hunt) = hunted(
            "  - {after: 40 min, current: 110 mA}
  - {where: a1.1, current: -0 mA}
  - {where: battery negative, pulled: A2, current: 20 mA}",
        );
        let page = page(&vehicle, &hunt);
        for words in [
            "Unplug TRACKER behind A2, where 84",
            "110 mA measured (reading 1), 26 mA explained by the record",
            "Found behind A2",
            "TRACKER it is on 84 mA well under the dash",
            "CAMERA its draw is not stated not stated hardly",
            "Wires to follow: a2.2 (blue) A2.out to TRACKER.+; a3 A2.out to CAMERA.+.",
            "Put A2 back and wait; with everything in the meter shows 110 mA, and when TRACKER is unplugged",
            "2 wire of A1 0 A",
        ] {
            assert!(page.contains(words), "{words}\n{page}");
        }
        let json = serde_json::to_value(json::hunt::hunt(&vehicle, &hunt)).unwrap();
        assert_eq!(json["stage"], "located");
        let found = &json["located"];
        assert_eq!(found["fuse"], "A2");
        let current = found["current_a"].as_f64().unwrap();
        assert!((current - 0.084).abs() < 0.003, "{current}");
        assert_eq!(found["parts"][0]["part"], "TRACKER");
        assert_eq!(found["parts"][1]["possible_a"], serde_json::Value::Null);
        assert_eq!(found["wires"], serde_json::json!(["a2.2", "a3"]));
        assert_eq!(json["readings"][1]["fuse"], "A1");
    }

    #[test]
    fn what_was_never_measured_with_a_fuse_in_is_told() {
        let (vehicle, hunt) = hunted("  - {after: 40 min, pulled: A2, current: 150 mA}");
        let page = page(&vehicle, &hunt);
        assert!(
            page.contains("150 mA measured (reading 1 with A2 out), 20 mA explained"),
            "{page}"
        );
    }

    #[test]
    fn a_module_that_woke_is_told_with_both_readings() {
        let (vehicle, hunt) = hunted(
            "  - {after: 40 min, current: 110 mA}
  - {pulled: A2, current: 26 mA}
  - {refitted: A2, pulled: A1, current: 1.3 A}",
        );
        let page = page(&vehicle, &hunt);
        assert!(
            page.contains("! reading 3 is higher than reading 1")
                || page.contains("! Reading 3 is higher than reading 1"),
            "{page}"
        );
        let json = serde_json::to_value(json::hunt::hunt(&vehicle, &hunt)).unwrap();
        assert_eq!(json["stage"], "awake");
        let problem = &json["problems"][0];
        assert_eq!(problem["reading"], 3);
        assert_eq!(problem["against"], 1);
        assert_eq!(problem["kind"], "woken");
    }

    /// 0.3 mV over 2.2 mohm and less leave more open than the 80 mA that are looked for.
    #[test]
    fn a_fuse_that_a_zero_does_not_clear_is_told() {
        let (vehicle, hunt) = hunted(
            "  - {after: 40 min, current: 110 mA}
  - {across: FM, drop: 0.0 mV}",
        );
        let page = page(&vehicle, &hunt);
        assert!(
            page.contains("Nothing showed across FM (less than"),
            "{page}"
        );
        assert!(page.contains("that does not clear it."), "{page}");
    }
}
