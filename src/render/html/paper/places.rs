//! The walk round the vehicle, by place and not by circuit.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::frame;
use super::form;
use crate::advise::walkround::Round;
use crate::check::Level;
use crate::check::Reported;
use crate::model::PartId;
use crate::model::Status;
use crate::model::Vehicle;
use crate::render::text::Grid;
use crate::render::text::page::Column;
use crate::render::text::walkround;
use crate::render::words;

/// Before going round, stop by stop, everywhere: boxes to tick, then every part there with room to write.
pub(super) fn round(of: &Material<'_>, round: &Round) -> Markup {
    let vehicle = of.told.vehicle;
    let plain = |_: Level, words: &str| words.to_owned();
    html! {
        h3 { "Before going round" }
        (form::boxes(walkround::before_lines(round)))
        @for stop in &round.stops {
            @let place = walkround::place(stop);
            @let parts: Vec<PartId> = stop.there.iter().map(|there| there.part).collect();
            h3 { (place) }
            (form::boxes(walkround::stop_lines(vehicle, stop, &plain)))
            (frame::table_to_fill_in(&format!("Parts: {place}"), grid(of, &parts), &["Seen", "Remarks, photo"]))
        }
        h3 { "Everywhere" }
        (form::boxes(walkround::everywhere(vehicle)))
    }
}

fn grid(of: &Material<'_>, parts: &[PartId]) -> Grid<'static> {
    let vehicle = of.told.vehicle;
    let rows = parts.iter().map(|&id| {
        let part = vehicle.part(id);
        let found = part.fields.text("found").map(|found| found.value.clone());
        let about = |one: &&Reported| one.finding.parts.first() == Some(&id);
        let numbers = of.open().filter(|(_, one)| about(one));
        let numbers: Vec<String> = numbers.map(|(number, _)| format!("!{number}")).collect();
        vec![
            part.name.value.clone(),
            what(vehicle, id),
            status(part.status).to_owned(),
            found.unwrap_or_default(),
            numbers.join(", "),
        ]
    });
    let columns = [
        Column::Words("Part"),
        Column::Words("What it is"),
        Column::Words("Whose"),
        Column::Words("Found"),
        Column::Words("Findings"),
    ];
    Grid::new(&columns, rows.collect())
}

/// Its kind, and its words where it has any.
pub(super) fn what(vehicle: &Vehicle, id: PartId) -> String {
    let part = vehicle.part(id);
    let kind = part.kind.text().replace('-', " ");
    part.what
        .as_ref()
        .map_or_else(|| kind.clone(), |what| format!("{kind}: {what}"))
}

/// Whose a part is, or what became of it.
pub(super) const fn status(status: Status) -> &'static str {
    match status {
        Status::Factory => "factory",
        Status::Added => "added",
        Status::Planned => "planned",
        Status::Abandoned => "abandoned",
        Status::Unknown => "not known",
    }
}

/// What nobody knows, and what was left behind.
pub(super) fn leftovers(of: &Material<'_>) -> Markup {
    let vehicle = of.told.vehicle;
    let left = |status: Status| matches!(status, Status::Abandoned | Status::Unknown);
    let parts = vehicle.part_ids().filter(|&id| {
        let part = vehicle.part(id);
        left(part.status) || part.kind == crate::read::document::Kind::Stub
    });
    let mut rows: Vec<Vec<String>> = parts
        .map(|id| {
            let part = vehicle.part(id);
            let place = part
                .place
                .clone()
                .unwrap_or_else(|| "place not named".to_owned());
            vec![
                part.name.value.clone(),
                what(vehicle, id),
                status(part.status).to_owned(),
                place,
            ]
        })
        .collect();
    for wire in vehicle
        .wires
        .iter()
        .filter(|wire| !wire.assumed && left(wire.status))
    {
        let ends = [wire.from, wire.to].map(|end| vehicle.terminal(end).label.as_str());
        rows.push(vec![
            wire.id.clone(),
            format!("wire from {} to {}", ends[0], ends[1]),
            status(wire.status).to_owned(),
            String::new(),
        ]);
    }
    let columns = [
        Column::Words("Name"),
        Column::Words("What it is"),
        Column::Words("Whose"),
        Column::Words("Where"),
    ];
    let none = rows.is_empty();
    html! {
        @if none {
            p { "The record names nothing abandoned, unknown or ending in the open." }
        }
        (frame::table_to_fill_in("Parts and wires", Grid::new(&columns, rows), &["Decided"]))
    }
}

/// Everything that was found, in one table with room for what was done about it.
pub(super) fn findings(of: &Material<'_>, blanks: &[&str]) -> Markup {
    let sources = &of.told.vehicle.document.sources;
    let said = |words: &str| {
        let sentence = words::sentence(words).replace('`', "\"");
        frame::capital(of.told.vehicle, &sentence)
    };
    let rows = of.open().map(|(number, one)| {
        vec![
            format!("!{number}"),
            words::level(one.level).to_owned(),
            words::harm_heading(one.check.harm).to_lowercase(),
            said(&one.finding.message),
            said(&one.finding.help),
            words::line_of_record(sources, one.finding.at),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    let columns = [
        Column::Words("No."),
        Column::Words("Level"),
        Column::Words("What can come of it"),
        Column::Words("Found"),
        Column::Words("What to do"),
        Column::Words("Record"),
    ];
    let none = rows.is_empty();
    html! {
        @if none {
            p { "No fault is shown by what the record states. That is no approval: see what could not be judged." }
        }
        (frame::table_to_fill_in("Findings, the worst first", Grid::new(&columns, rows), blanks))
    }
}
