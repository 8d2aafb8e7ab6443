//! A removal, in words.

use super::Page;
use super::page::Column;
use super::show::Show;
use super::sides;
use crate::advise::removal::PlaceKind;
use crate::advise::removal::Plan;
use crate::check::Level;
use crate::model::Key;
use crate::model::PartId;
use crate::model::WireId;
use crate::quantity::Meters;
use crate::quantity::show::Units;
use crate::render::snippet::Look;
use crate::render::words;
use crate::table::wire;

/// The whole plan.
#[must_use]
pub fn removal(plan: &Plan, units: Units, look: Look) -> String {
    let mut sheet = Sheet {
        plan,
        show: Show(units),
        page: Page::new(look),
    };
    sheet.head();
    sheet.dead();
    sheet.out();
    sheet.stay();
    sheet.left_behind();
    sheet.freed();
    sheet.steps();
    let mut page = sheet.page;
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

struct Sheet<'p> {
    plan: &'p Plan,
    show: Show,
    page: Page,
}

impl Sheet<'_> {
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

    fn head(&mut self) {
        let vehicle = &self.plan.before.vehicle;
        let name = self.page.strong(&vehicle.name);
        let path = words::path(&vehicle.document.sources).to_owned();
        let out: Vec<String> = self
            .plan
            .remove
            .iter()
            .map(|&part| self.called(part))
            .collect();
        self.page.line(0, &format!("{name} ({path})"));
        self.page
            .line(0, &format!("What comes out: {}", words::list(&out)));
        self.page.heading("Before and after");
        let sides = [&self.plan.before, &self.plan.after];
        sides::table(&mut self.page, self.show, ["before", "after"], sides);
        for &(part, before, after) in &self.plan.draws_more {
            let line = format!(
                "{} draws more with the key off than before: {} instead of {}.",
                self.called(part),
                self.show.one(after),
                self.show.one(before)
            );
            self.page.line(2, &line);
        }
    }

    fn dead(&mut self) {
        if self.plan.goes_dead.is_empty() && self.plan.cut_off.is_empty() {
            return;
        }
        self.page.heading("Will stop working, though it stays");
        for dead in &self.plan.goes_dead {
            let within = if dead.within.is_empty() {
                String::new()
            } else {
                format!(", {}", dead.within)
            };
            let mut line = format!("{}{within}: {}", self.called(dead.part), dead.why.text());
            if dead.must_work {
                let error = self.page.level(Level::Error, "must work");
                line.push_str(&format!(
                    "; it {error}: the vehicle's own, or wanted by the law"
                ));
            } else {
                line.push_str("; name it too if it is to come out");
            }
            self.page.item(2, 4, &words::sentence(&line));
        }
        for &source in &self.plan.cut_off {
            let line = format!(
                "{}: it no longer reaches the battery that starts the engine.",
                self.called(source)
            );
            self.page.item(2, 4, &line);
        }
    }

    fn out(&mut self) {
        self.page.heading("Wires that come out, from end to end");
        if self.plan.wires_out.is_empty() {
            self.page.line(2, "None.");
            return;
        }
        let vehicle = &self.plan.before.vehicle;
        let mut known = Meters(0.0);
        let mut unmeasured = 0;
        let mut rows = Vec::new();
        for &id in &self.plan.wires_out {
            let wire = vehicle.wire(id);
            match &wire.length {
                Some(length) => known += length.likely,
                None => unmeasured += 1,
            }
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
        self.page.table(2, &columns, rows);
        let mut line = format!("Recovered: {} of wire", self.show.one(known));
        if unmeasured > 0 {
            line.push_str(&format!(
                ", and {} whose length is not stated",
                words::plural(unmeasured, "wire", "wires")
            ));
        }
        self.page.line(2, &words::sentence(&line));
    }

    fn stay(&mut self) {
        if self.plan.wires_stay.is_empty() {
            return;
        }
        self.page.heading("Wires that stay");
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
            let line = if shared.is_empty() {
                format!("{}: not only for what goes.", self.ids(&wires))
            } else {
                format!("{}: shared with {}.", self.ids(&wires), self.names(&shared))
            };
            self.page.item(2, 4, &line);
        }
        let vehicle = &self.plan.before.vehicle;
        let mut lines = Vec::new();
        for place in &self.plan.places {
            let was: Vec<&str> = place
                .terminals
                .iter()
                .map(|&at| vehicle.terminal(at).label.as_str())
                .collect();
            let how = match place.kind {
                PlaceKind::Joint => "are joined",
                PlaceKind::Ground => "keep their ground",
                PlaceKind::End => continue,
            };
            lines.push(format!(
                "{} {how} where {} was: {} in the record.",
                self.ids(&place.wires),
                words::list(&was),
                place.name
            ));
        }
        for line in lines {
            self.page.item(2, 4, &line);
        }
    }

    fn left_behind(&mut self) {
        self.page.heading("Left behind");
        let ends: Vec<_> = self
            .plan
            .places
            .iter()
            .filter(|place| place.kind == PlaceKind::End)
            .collect();
        if ends.is_empty() && self.plan.live_ends.is_empty() {
            self.page.line(
                2,
                "No end of a wire, and nothing live that was not so before.",
            );
            return;
        }
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
        for end in &self.plan.live_ends {
            let hot: Vec<&str> = Key::ALL
                .into_iter()
                .zip(end.hot_in)
                .filter(|(_, hot)| *hot)
                .map(|(key, _)| key.text())
                .collect();
            let live = self.page.level(Level::Warning, "live");
            lines.push(format!(
                "{} is {live} with the key in {}: {}.",
                end.at,
                words::list(&hot),
                end.advice
            ));
        }
        for line in lines {
            self.page.item(2, 4, &line);
        }
    }

    fn freed(&mut self) {
        let freed = &self.plan.freed;
        let groups = [
            ("Fuses and breakers", &freed.fuses),
            ("Feeds", &freed.feeds),
            ("Grounds", &freed.grounds),
            ("Others", &freed.others),
        ];
        if groups.iter().all(|(_, parts)| parts.is_empty()) {
            return;
        }
        self.page.heading("Has nothing to do any more");
        for (what, parts) in groups {
            if !parts.is_empty() {
                let line = format!("{what}: {}.", self.names(parts));
                self.page.item(2, 4, &line);
            }
        }
        self.page.line(
            2,
            "They stay in the record without their wires; name them too where they are to come out.",
        );
    }

    fn steps(&mut self) {
        self.page.heading("Order of work");
        for (number, step) in self.plan.steps.iter().enumerate() {
            let mark = format!("{}.", number + 1);
            let name = self.page.strong(&step.name);
            self.page.marked(2, &mark, 6, &name);
            for line in &step.lines {
                self.page.marked(6, "[ ]", 10, line);
            }
        }
    }
}
