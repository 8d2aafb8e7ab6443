//! Two records held against each other, in words.

use super::Grid;
use super::Page;
use super::page::Column;
use super::show::Show;
use super::sides;
use crate::Audit;
use crate::advise::compare::Changes;
use crate::advise::compare::Difference;
use crate::advise::compare::KeyChange;
use crate::advise::compare::Raised;
use crate::quantity::show::Units;
use crate::render::snippet::Look;
use crate::render::words;

/// The whole difference.
#[must_use]
pub fn compare(
    before: &Audit,
    after: &Audit,
    difference: &Difference,
    units: Units,
    look: Look,
) -> String {
    let show = Show(units);
    let mut page = Page::new(look);
    for (letter, audit) in [("A", before), ("B", after)] {
        let name = page.strong(&audit.vehicle.name);
        let path = words::path(&audit.vehicle.document.sources);
        page.line(0, &format!("{letter}: {name} ({path})"));
    }
    page.heading("In figures");
    sides::table(&mut page, show, ["A", "B"], [before, after]);
    draws(&mut page, show, difference);
    loads(&mut page, show, difference);
    findings(
        &mut page,
        "Findings that are gone",
        &difference.findings_gone,
    );
    findings(&mut page, "Findings that are new", &difference.findings_new);
    if difference.findings_kept > 0 {
        page.blank();
        let kept = words::plural(difference.findings_kept, "finding is", "findings are");
        page.line(0, &format!("{kept} in both."));
    }
    if !difference.vehicle.is_empty() {
        page.heading("The vehicle");
        for change in &difference.vehicle {
            page.item(2, 4, &words::sentence(&reads(change)));
        }
    }
    changes(&mut page, "Parts", &difference.parts);
    changes(&mut page, "Wires", &difference.wires);
    changes(&mut page, "Situations", &difference.situations);
    page.blank();
    page.line(0, words::ADVICE);
    page.into_text()
}

fn draws(page: &mut Page, show: Show, difference: &Difference) {
    if difference.draws.is_empty() {
        return;
    }
    page.heading("What draws otherwise with the key off");
    page.grid(2, draws_grid(show, difference));
}

/// What draws otherwise with the key off.
#[must_use]
pub fn draws_grid(show: Show, difference: &Difference) -> Grid<'static> {
    let rows = difference.draws.iter().map(|moved| {
        vec![
            moved.part.clone(),
            show.one(moved.before),
            show.one(moved.after),
        ]
    });
    let columns = [
        Column::Words("Part"),
        Column::Figures("A"),
        Column::Figures("B"),
    ];
    Grid::new(&columns, rows.collect())
}

fn loads(page: &mut Page, show: Show, difference: &Difference) {
    page.heading("Load by situation");
    page.grid(2, loads_grid(show, difference));
    page.line(2, LOADS);
}

/// What is said under the loads.
pub const LOADS: &str = "Takes: everything together, by duty. Into battery: of the one that starts the engine, a minus is out of it. \
                         +: not whole, as a draw is not stated.";

/// Load by situation.
#[must_use]
pub fn loads_grid(show: Show, difference: &Difference) -> Grid<'static> {
    let rows = difference.loads.iter().map(|load| {
        let cells = load.sides.iter().flat_map(|side| match side {
            Some(side) => {
                let plus = if side.whole { "" } else { " +" };
                let takes = show.one(side.average);
                [format!("{takes}{plus}"), show.signed(-side.battery)]
            }
            None => ["not there".to_owned(), String::new()],
        });
        std::iter::once(load.name.clone()).chain(cells).collect()
    });
    let columns = [
        Column::Words("Situation"),
        Column::Figures("A takes"),
        Column::Figures("into battery"),
        Column::Figures("B takes"),
        Column::Figures("into battery"),
    ];
    Grid::new(&columns, rows.collect())
}

fn findings(page: &mut Page, heading: &str, list: &[Raised]) {
    if list.is_empty() {
        return;
    }
    page.heading(heading);
    for raised in list {
        let level = page.level(raised.level, words::level(raised.level));
        let line = format!("{} [{}]", words::sentence(&raised.message), raised.check);
        page.marked(2, &level, 11, &line);
    }
}

fn changes(page: &mut Page, heading: &str, changes: &Changes) {
    if changes.is_empty() {
        return;
    }
    page.heading(heading);
    for line in changed(changes) {
        page.item(2, 4, &line);
    }
}

/// What is only on one side, and what differs, in sentences.
#[must_use]
pub fn changed(changes: &Changes) -> Vec<String> {
    let mut lines = Vec::new();
    for (what, names) in [("Only in A", &changes.gone), ("Only in B", &changes.new)] {
        if !names.is_empty() {
            lines.push(format!("{what}: {}.", names.join(", ")));
        }
    }
    for changed in &changes.changed {
        let keys: Vec<String> = changed.keys.iter().map(reads).collect();
        lines.push(format!("{}: {}.", changed.name, keys.join("; ")));
    }
    lines
}

/// `rating 15 A instead of 10 A`.
#[must_use]
pub fn reads(change: &KeyChange) -> String {
    match (&change.before, &change.after) {
        (Some(before), Some(after)) => format!("{} {after} instead of {before}", change.key),
        (None, Some(after)) => format!("{} {after}, new", change.key),
        (Some(before), None) => format!("{} {before} is gone", change.key),
        (None, None) => change.key.clone(),
    }
}
