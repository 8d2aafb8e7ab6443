//! The wire list: what is cut, crimped and labelled, in the order of the record.

use crate::model::Status;
use crate::model::Vehicle;
use crate::model::Wire;
use crate::model::Zone;
use crate::quantity::WireSize;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::read::document::Fields;
use crate::read::document::Value;
use crate::render::json::number;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

/// The names of the columns of [`rows`].
const COLUMNS: &[&str] = &[
    "wire",
    "from",
    "to",
    "size",
    "length",
    "color",
    "insulation",
    "parallel",
    "bundle",
    "route",
    "zone",
    "status",
    "note",
];

/// The list in the shape of format 1; lengths as they are written where no units are asked for.
#[must_use]
pub fn data(vehicle: &Vehicle, units: Option<Units>) -> v1::WireList {
    v1::WireList {
        format: v1::FORMAT,
        document: v1::Document {
            path: words::path(&vehicle.document.sources).to_owned(),
            name: Some(vehicle.name.clone()),
        },
        wires: recorded(vehicle)
            .map(|wire| line(vehicle, wire, units))
            .collect(),
    }
}

/// The list for people.
#[must_use]
pub fn text(vehicle: &Vehicle, units: Option<Units>, look: Look) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    let count = words::plural(recorded(vehicle).count(), "wire", "wires");
    page.line(0, &format!("{name}: {count}"));
    page.blank();
    let rows = recorded(vehicle)
        .map(|wire| {
            let line = line(vehicle, wire, units);
            vec![
                line.wire,
                line.from,
                line.to,
                side_by_side(line.size, line.parallel),
                line.length.unwrap_or_default(),
                line.color.unwrap_or_default(),
                line.insulation.unwrap_or_default(),
                line.bundle.unwrap_or_default(),
                line.route.join(", "),
            ]
        })
        .collect();
    page.table(
        0,
        &[
            Column::Words("Wire"),
            Column::Words("From"),
            Column::Words("To"),
            Column::Words("Size"),
            Column::Figures("Length"),
            Column::Words("Colour"),
            Column::Words("Insulation"),
            Column::Words("Bundle"),
            Column::Words("Route"),
        ],
        rows,
    );
    page.blank();
    page.line(0, "A length is one way. What is not stated is left empty.");
    page.into_text()
}

/// The list as rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn rows(vehicle: &Vehicle, units: Option<Units>) -> Vec<Vec<String>> {
    let mut rows = vec![COLUMNS.iter().map(|name| (*name).to_owned()).collect()];
    for wire in recorded(vehicle) {
        let line = line(vehicle, wire, units);
        rows.push(vec![
            line.wire,
            line.from,
            line.to,
            line.size.unwrap_or_default(),
            line.length.unwrap_or_default(),
            line.color.unwrap_or_default(),
            line.insulation.unwrap_or_default(),
            line.parallel.to_string(),
            line.bundle.unwrap_or_default(),
            line.route.join(" "),
            line.zone,
            line.status,
            line.note.unwrap_or_default(),
        ]);
    }
    rows
}

/// Two labels a wire, one for each end: what is printed on the sleeve, as rows of a spreadsheet.
#[must_use]
pub fn labels(vehicle: &Vehicle) -> Vec<Vec<String>> {
    let mut rows = vec![vec![
        "wire".to_owned(),
        "end".to_owned(),
        "label".to_owned(),
    ]];
    for wire in recorded(vehicle) {
        let (from, to) = ends(vehicle, wire);
        for (here, there) in [(&from, &to), (&to, &from)] {
            rows.push(vec![
                wire.id.clone(),
                here.clone(),
                format!("{}  {here} > {there}", wire.id),
            ]);
        }
    }
    rows
}

/// Wires of the record, not those that are taken for granted.
fn recorded(vehicle: &Vehicle) -> impl Iterator<Item = &Wire> {
    vehicle.wires.iter().filter(|wire| !wire.assumed)
}

fn line(vehicle: &Vehicle, wire: &Wire, units: Option<Units>) -> v1::WireLine {
    let (from, to) = ends(vehicle, wire);
    v1::WireLine {
        wire: wire.id.clone(),
        from,
        to,
        size: wire.size.map(size),
        length: match (units, wire.length) {
            (Some(units), Some(length)) => Some(show::range(length.range, units)),
            _ => written(vehicle, &wire.fields, "length"),
        },
        length_m: wire.length.map(|length| number(length.likely.0)),
        color: wire.color.clone(),
        insulation: written(vehicle, &wire.fields, "insulation"),
        parallel: wire.parallel,
        bundle: wire.bundle.clone(),
        route: wire.route.clone(),
        zone: zone(wire.zone).to_owned(),
        status: status(wire.status).to_owned(),
        note: wire.fields.text("note").map(|note| note.value.clone()),
    }
}

fn ends(vehicle: &Vehicle, wire: &Wire) -> (String, String) {
    let label = |terminal| vehicle.terminal(terminal).label.clone();
    (label(wire.from), label(wire.to))
}

/// As it is written in the record; nothing where it is left out or `unknown`.
fn written(vehicle: &Vehicle, fields: &Fields, key: &str) -> Option<String> {
    match fields.get(key) {
        None | Some(Value::Unknown(_)) => None,
        Some(Value::Quantity(quantity)) => Some(quantity.text.clone()),
        Some(Value::Text(text)) => Some(text.value.clone()),
        Some(value) => Some(vehicle.document.sources.slice(value.at()).to_owned()),
    }
}

fn side_by_side(size: Option<String>, parallel: u32) -> String {
    match (size, parallel) {
        (None, _) => String::new(),
        (Some(size), 0 | 1) => size,
        (Some(size), count) => format!("{count} x {size}"),
    }
}

/// A conductor size as a record writes it.
fn size(size: WireSize) -> String {
    let number = |number: i8| {
        if number <= 0 {
            format!("{}/0", 1 - i32::from(number))
        } else {
            number.to_string()
        }
    };
    match size {
        WireSize::Awg(gauge) => format!("{} AWG", number(gauge)),
        WireSize::Sae(gauge) => format!("{} SAE", number(gauge)),
        WireSize::Iso(area) => format!("{area} mm2"),
    }
}

const fn zone(zone: Zone) -> &'static str {
    match zone {
        Zone::EngineBay => "engine-bay",
        Zone::Cabin => "cabin",
        Zone::Exterior => "exterior",
    }
}

const fn status(status: Status) -> &'static str {
    match status {
        Status::Factory => "factory",
        Status::Added => "added",
        Status::Planned => "planned",
        Status::Abandoned => "abandoned",
        Status::Unknown => "unknown",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_as_a_record_writes_them() {
        assert_eq!(size(WireSize::Awg(12)), "12 AWG");
        assert_eq!(size(WireSize::Awg(-1)), "2/0 AWG");
        assert_eq!(size(WireSize::Sae(0)), "1/0 SAE");
        assert_eq!(size(WireSize::Iso(2.5)), "2.5 mm2");
        assert_eq!(side_by_side(Some("12 AWG".into()), 2), "2 x 12 AWG");
    }
}
