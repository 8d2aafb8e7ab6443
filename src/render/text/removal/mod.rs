//! A removal, in words.

pub mod least;

use super::Grid;
use super::Page;
use super::page::Column;
use super::show::Show;
use super::sides;
use crate::advise::removal::Least;
use crate::advise::removal::PlaceKind;
use crate::advise::removal::Plan;
use crate::check::Level;
use crate::model::Key;
use crate::model::PartId;
use crate::model::WireId;
use crate::phrase;
use crate::quantity::Meters;
use crate::quantity::show::Units;
use crate::render::snippet::Look;
use crate::render::words;
use crate::table::wire;

/// The whole plan, with the minimum beside it where the record allows one.
#[must_use]
pub fn removal(plan: &Plan, least: Option<&Least>, units: Units, look: Look) -> String {
    let mut sheet = Sheet {
        told: Told {
            plan,
            show: Show(units),
        },
        page: Page::new(look),
    };
    sheet.head();
    sheet.rest();
    sheet.least(least);
    sheet.steps();
    let mut page = sheet.page;
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

/// What is told.
#[derive(Clone, Copy, Debug)]
pub struct Told<'p> {
    /// The plan.
    pub plan: &'p Plan,
    /// How quantities are shown.
    pub show: Show,
}

/// Sets a word off from its sentence, by its level; a page without colour gives it back.
pub type Paint<'p> = &'p dyn Fn(Level, &str) -> String;

struct Sheet<'p> {
    told: Told<'p>,
    page: Page,
}

impl Told<'_> {
    fn name(&self, part: PartId) -> &str {
        &self.plan.before.vehicle.part(part).name.value
    }

    fn names(&self, parts: &[PartId]) -> String {
        let names: Vec<&str> = parts.iter().map(|&part| self.name(part)).collect();
        words::list(&names)
    }

    fn called(&self, part: PartId) -> String {
        match &self.plan.before.vehicle.part(part).what {
            Some(what) => format!("{} ({what})", self.name(part)),
            None => self.name(part).to_owned(),
        }
    }

    fn ids(&self, wires: &[WireId]) -> String {
        let vehicle = &self.plan.before.vehicle;
        let ids: Vec<&str> = wires
            .iter()
            .map(|&wire| vehicle.wire(wire).id.as_str())
            .collect();
        words::list(&ids)
    }

    /// What comes out.
    #[must_use]
    pub fn what(&self) -> String {
        let out: Vec<String> = self
            .plan
            .remove
            .iter()
            .map(|&part| self.called(part))
            .collect();
        words::list(&out)
    }

    /// What draws more than before, in sentences.
    #[must_use]
    pub fn draws_more(&self) -> Vec<String> {
        let more = self.plan.draws_more.iter();
        let sentences = more.map(|&(part, before, after)| {
            format!(
                "{} draws more with the key off than before: {} instead of {}.",
                self.called(part),
                self.show.one(after),
                self.show.one(before)
            )
        });
        sentences.collect()
    }

    /// What stops working though it stays, in sentences.
    #[must_use]
    pub fn dead(&self, paint: Paint<'_>) -> Vec<String> {
        let mut lines = Vec::new();
        for dead in &self.plan.goes_dead {
            let within = if dead.within.is_empty() {
                String::new()
            } else {
                format!(", {}", dead.within)
            };
            let mut line = format!("{}{within}: {}", self.called(dead.part), dead.why.text());
            if dead.must_work {
                let error = paint(Level::Error, "must work");
                line.push_str(&format!(
                    "; it {error}: the vehicle's own, or wanted by the law"
                ));
            } else {
                line.push_str("; name it too if it is to come out");
            }
            lines.push(words::sentence(&line));
        }
        if self.plan.nothing_charges {
            lines.push(
                "With the engine running nothing charges any more: the vehicle lives on what is in its battery."
                    .to_owned(),
            );
        }
        if !self.plan.not_parked.is_empty() {
            lines.push(format!(
                "{}: no longer with the key off, only in other positions of it.",
                self.names(&self.plan.not_parked)
            ));
        }
        for &source in &self.plan.cut_off {
            lines.push(format!(
                "{}: it no longer reaches the battery that starts the engine.",
                self.called(source)
            ));
        }
        lines
    }

    /// Wires that come out, from end to end.
    #[must_use]
    pub fn out(&self) -> Grid<'static> {
        let vehicle = &self.plan.before.vehicle;
        let mut rows = Vec::new();
        for &id in &self.plan.wires_out {
            let wire = vehicle.wire(id);
            rows.push(vec![
                wire.id.clone(),
                vehicle.terminal(wire.from).label.clone(),
                vehicle.terminal(wire.to).label.clone(),
                wire.size.map_or_else(String::new, wire::label),
                wire.length
                    .as_ref()
                    .map_or_else(String::new, |length| self.show.one(length.likely)),
                wire.color.clone().unwrap_or_default(),
            ]);
        }
        let columns = [
            Column::Words("Wire"),
            Column::Words("From"),
            Column::Words("To"),
            Column::Words("Size"),
            Column::Figures("Length"),
            Column::Words("Colour"),
        ];
        Grid::new(&columns, rows)
    }

    /// How much wire is recovered, in a sentence.
    #[must_use]
    pub fn recovered(&self) -> String {
        let vehicle = &self.plan.before.vehicle;
        let mut known = Meters(0.0);
        let mut unmeasured = 0;
        for &id in &self.plan.wires_out {
            match &vehicle.wire(id).length {
                Some(length) => known += length.likely,
                None => unmeasured += 1,
            }
        }
        let measured = format!("{} of wire", self.show.one(known));
        let unknown = words::plural(unmeasured, "wire", "wires");
        if unmeasured == 0 {
            format!("Recovered: {measured}.")
        } else if unmeasured == self.plan.wires_out.len() {
            format!("Recovered: {unknown} whose length is not stated.")
        } else {
            format!("Recovered: {measured}, and {unknown} whose length is not stated.")
        }
    }

    /// Wires that stay, with what shares them, in sentences.
    #[must_use]
    pub fn stay(&self) -> Vec<String> {
        let mut lines = Vec::new();
        let mut groups: Vec<(Vec<PartId>, Vec<WireId>)> = Vec::new();
        for stays in &self.plan.wires_stay {
            match groups
                .iter_mut()
                .find(|(shared, _)| *shared == stays.shared_with)
            {
                Some((_, wires)) => wires.push(stays.wire),
                None => groups.push((stays.shared_with.clone(), vec![stays.wire])),
            }
        }
        for (shared, wires) in groups {
            lines.push(if shared.is_empty() {
                let them = phrase::verb(wires.len(), "it", "them");
                format!(
                    "{}: kept for what hangs on {them}, though nothing that works draws through {them}.",
                    self.ids(&wires)
                )
            } else {
                format!("{}: shared with {}.", self.ids(&wires), self.names(&shared))
            });
        }
        let vehicle = &self.plan.before.vehicle;
        for place in &self.plan.places {
            let was: Vec<&str> = place
                .terminals
                .iter()
                .map(|&at| vehicle.terminal(at).label.as_str())
                .collect();
            let wires = place.wires.len();
            let how = match place.kind {
                PlaceKind::Joint => "are joined",
                PlaceKind::Ground => phrase::verb(wires, "keeps its ground", "keep their ground"),
                PlaceKind::End => continue,
            };
            lines.push(format!(
                "{} {how} where {} {}: {} in the record.",
                self.ids(&place.wires),
                words::list(&was),
                phrase::verb(was.len(), "was", "were"),
                place.name
            ));
        }
        lines
    }

    /// Ends that are left behind, in sentences.
    #[must_use]
    pub fn left_behind(&self, paint: Paint<'_>) -> Vec<String> {
        let ends: Vec<_> = self
            .plan
            .places
            .iter()
            .filter(|place| place.kind == PlaceKind::End)
            .collect();
        let mut lines = Vec::new();
        for end in ends {
            let live = self.plan.live_ends.iter().any(|live| live.at == end.name);
            if !live {
                lines.push(format!(
                    "{} (of {}): a dead end, to be capped and labelled.",
                    end.name,
                    self.ids(&end.wires)
                ));
            }
        }
        let vehicle = &self.plan.before.vehicle;
        for [gone, at] in &self.plan.unrecorded {
            let live = paint(Level::Warning, "live");
            lines.push(format!(
                "The wire on {} is not in the record, and is {live} as long as it is on {}: take it off there first.",
                vehicle.terminal(*gone).label,
                vehicle.terminal(*at).label
            ));
        }
        for end in &self.plan.live_ends {
            let hot: Vec<&str> = Key::ALL
                .into_iter()
                .zip(end.hot_in)
                .filter(|(_, hot)| *hot)
                .map(|(key, _)| key.text())
                .collect();
            let live = paint(Level::Warning, "live");
            lines.push(format!(
                "{} is {live} with the key in {}: {}.",
                end.at,
                words::list(&hot),
                end.advice
            ));
        }
        lines
    }

    /// What has nothing to do any more, in sentences.
    #[must_use]
    pub fn freed(&self) -> Vec<String> {
        let freed = &self.plan.freed;
        let groups = [
            ("Fuses and breakers", &freed.fuses),
            ("Feeds", &freed.feeds),
            ("Grounds", &freed.grounds),
            ("Others", &freed.others),
        ];
        let full = groups.into_iter().filter(|(_, parts)| !parts.is_empty());
        full.map(|(what, parts)| format!("{what}: {}.", self.names(parts)))
            .collect()
    }
}

/// What is said under the parts that have nothing to do any more.
pub const FREED: &str = "They stay in the record, without the wires that come out; name them too where they are to come out.";

/// What is said where no end is left behind.
pub const NOTHING_LEFT: &str = "No end of a wire, and nothing live that was not so before.";

impl Sheet<'_> {
    fn head(&mut self) {
        let plan = self.told.plan;
        let vehicle = &plan.before.vehicle;
        let name = self.page.strong(&vehicle.name);
        let path = words::path(&vehicle.document.sources);
        self.page.line(0, &format!("{name} ({path})"));
        self.page
            .line(0, &format!("What comes out: {}", self.told.what()));
        self.page.heading("Before and after");
        let sides = [&plan.before, &plan.after];
        sides::table(&mut self.page, self.told.show, ["before", "after"], sides);
        for line in self.told.draws_more() {
            self.page.line(2, &line);
        }
    }

    /// Sentences under a heading; nothing where there are none.
    fn section(&mut self, heading: &str, lines: &[String]) {
        if lines.is_empty() {
            return;
        }
        self.page.heading(heading);
        for line in lines {
            self.page.item(2, 4, line);
        }
    }

    fn rest(&mut self) {
        let paint = |level: Level, words: &str| self.page.level(level, words);
        let dead = self.told.dead(&paint);
        let left_behind = self.told.left_behind(&paint);
        self.section("Will stop working, though it stays", &dead);
        self.page.heading("Wires that come out, from end to end");
        if self.told.plan.wires_out.is_empty() {
            self.page.line(2, "None.");
        } else {
            self.page.grid(2, self.told.out());
            self.page.line(2, &self.told.recovered());
        }
        self.section("Wires that stay", &self.told.stay());
        self.page.heading("Left behind");
        if left_behind.is_empty() {
            self.page.line(2, NOTHING_LEFT);
        }
        for line in left_behind {
            self.page.item(2, 4, &line);
        }
        let freed = self.told.freed();
        self.section("Has nothing to do any more", &freed);
        if !freed.is_empty() {
            self.page.line(2, FREED);
        }
    }

    fn steps(&mut self) {
        self.page.heading("Order of work");
        for (number, step) in self.told.plan.steps.iter().enumerate() {
            let mark = format!("{}.", number + 1);
            let name = self.page.strong(&step.name);
            self.page.marked(2, &mark, 6, &name);
            for line in &step.lines {
                self.page.marked(6, "[ ]", 10, line);
            }
        }
    }
}

#[cfg(test)]
mod tests;
