//! The fuse chart: every fuse, breaker, fusible link and feed, and what it feeds; what hangs inside the lid of a fuse box.

use crate::draw::flow;
use crate::draw::net::Heat;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::model::walk::Walks;
use crate::model::walk::is_protection;
use crate::render::json::audit::document;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;

/// The chart in the shape of format 1.
#[must_use]
pub fn data(vehicle: &Vehicle) -> v1::FuseChart {
    let walks = Walks::new(vehicle);
    let heat = flow::heat(vehicle);
    v1::FuseChart {
        format: v1::FORMAT,
        document: document(vehicle),
        fuses: vehicle
            .part_ids()
            .filter(|part| is_protection(vehicle, *part))
            .map(|part| line(vehicle, &walks, &heat, part))
            .collect(),
    }
}

/// The chart for people.
#[must_use]
pub fn text(vehicle: &Vehicle, look: Look) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(0, &format!("{name}: fuses and what they feed"));
    page.blank();
    page.grid(0, grid(vehicle));
    page.into_text()
}

/// The chart as a table for people.
#[must_use]
pub fn grid(vehicle: &Vehicle) -> Grid<'static> {
    let rows = data(vehicle).fuses.into_iter().map(|line| {
        let mut feeds = line.feeds;
        if !line.then.is_empty() {
            feeds.push(format!("then {}", line.then.join(", ")));
        }
        let rating = [line.rating, line.form].into_iter().flatten();
        vec![
            line.fuse,
            rating.collect::<Vec<_>>().join(", "),
            line.place.unwrap_or_default(),
            line.what.unwrap_or_default(),
            line.hot,
            feeds.join(", "),
        ]
    });
    let columns = [
        Column::Words("Fuse"),
        Column::Words("Rating"),
        Column::Words("Place"),
        Column::Words("What it is"),
        Column::Words("Hot"),
        Column::Words("Feeds"),
    ];
    Grid::new(&columns, rows.collect())
}

/// The chart as rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn rows(vehicle: &Vehicle) -> Vec<Vec<String>> {
    let columns = [
        "fuse", "kind", "rating", "form", "place", "what", "hot", "feeds", "then",
    ];
    let mut rows = vec![columns.iter().map(|name| (*name).to_owned()).collect()];
    for line in data(vehicle).fuses {
        rows.push(vec![
            line.fuse,
            line.kind,
            line.rating.unwrap_or_default(),
            line.form.unwrap_or_default(),
            line.place.unwrap_or_default(),
            line.what.unwrap_or_default(),
            line.hot,
            line.feeds.join(" "),
            line.then.join(" "),
        ]);
    }
    rows
}

fn line(vehicle: &Vehicle, walks: &Walks, heat: &[Heat], id: PartId) -> v1::FuseLine {
    let part = vehicle.part(id);
    let name = |part: PartId| vehicle.part(part).name.value.clone();
    let mut feeds: Vec<PartId> = Vec::new();
    let mut then: Vec<PartId> = Vec::new();
    for branch in &part.branches {
        let behind = walks.downstream(vehicle, *branch);
        feeds.extend(behind.consumers.iter().map(|&at| walks.consumers[at].part));
        then.extend(behind.next.iter().map(|&next| vehicle.branch(next).part));
    }
    for list in [&mut feeds, &mut then] {
        list.sort_unstable();
        list.dedup();
    }
    v1::FuseLine {
        fuse: part.name.value.clone(),
        kind: part.kind.text().to_owned(),
        rating: written(part, "rating"),
        form: part.fields.text("form").map(|form| form.value.clone()),
        place: part.place.clone(),
        what: part.what.clone(),
        hot: hot(vehicle, heat, part).to_owned(),
        feeds: feeds.into_iter().map(name).collect(),
        then: then.into_iter().map(name).collect(),
    }
}

/// When it has voltage, as far as that needs no switch or relay to be worked.
fn hot(vehicle: &Vehicle, heat: &[Heat], part: &Part) -> &'static str {
    let terminals = part
        .terminals
        .iter()
        .filter(|&&at| vehicle.terminal(at).part.is_some());
    let classes: Vec<Heat> = terminals.map(|at| heat[at.index()]).collect();
    if classes.contains(&Heat::Always) {
        "always"
    } else if classes.contains(&Heat::Ignition) {
        "with the key"
    } else if classes.contains(&Heat::Unknown) {
        "not stated"
    } else {
        "behind a switch or relay, or from elsewhere"
    }
}

/// A quantity as it is written; nothing where it is left out or `unknown`.
fn written(part: &Part, key: &str) -> Option<String> {
    part.fields
        .quantity(key)
        .map(|quantity| quantity.text.clone())
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::model;
    use crate::read;
    use crate::read::Limits;

    #[test]
    fn a_main_fuse_names_the_fuses_behind_it_and_they_what_they_feed() {
        let text = "\
keyoff: 1
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah}
  FMAIN: {kind: fuse, rating: 60 A, form: bolt-down, place: beside the battery}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 15 A}
  F2: {kind: breaker}
  K1: {kind: relay, coil: 90 ohm}
  LAMP: {kind: load, type: led, draw: 4 A}
  PUMP: {kind: load, type: motor, draw: 4 A}
wires:
  - {run: [B1, FMAIN, BAR, F1, K1.30], size: 10 AWG}
  - {from: F1, to: K1.86, size: 18 AWG}
  - {from: K1.87, to: LAMP, size: 14 AWG}
  - {run: [BAR, F2, PUMP], size: 14 AWG}
";
        let mut none = |name: &str| Err(name.to_owned());
        let document = read::read("t", text.as_bytes(), &mut none, &Limits::default()).unwrap();
        let vehicle = model::build(Arc::new(document));
        assert_eq!(
            csv_of(&rows(&vehicle)),
            "fuse,kind,rating,form,place,what,hot,feeds,then\r\n\
             FMAIN,fuse,60 A,bolt-down,beside the battery,,always,,F1 F2\r\n\
             F1,fuse,15 A,,,,always,K1 LAMP,\r\n\
             F2,breaker,,,,,always,PUMP,\r\n"
        );
    }

    fn csv_of(rows: &[Vec<String>]) -> String {
        crate::render::csv::table(rows).unwrap()
    }
}
