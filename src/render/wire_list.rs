//! The wire list: what is cut, crimped and labelled, in the order of the record.

use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::Zone;
use crate::model::walk::Walks;
use crate::model::walk::is_protection;
use crate::quantity::WireSize;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::read::document::Fields;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::render::json::audit::document;
use crate::render::json::number;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

/// The names of the columns of [`rows`].
const COLUMNS: &[&str] = &[
    "wire",
    "from",
    "from_lands_on",
    "to",
    "to_lands_on",
    "size",
    "length",
    "color",
    "insulation",
    "parallel",
    "fuse",
    "circuit",
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
        document: document(vehicle),
        wires: lines(vehicle, units).collect(),
        totals: totals(vehicle, units),
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
    page.grid(0, grid(vehicle, units));
    page.blank();
    page.line(0, NOTE);
    page.heading("In all, by size and colour");
    page.grid(2, totals_grid(vehicle, units));
    page.into_text()
}

/// What is said under the list.
pub const NOTE: &str = "Length: to cut, as the record states it, one way; nothing is added for bends and ends. What is not \
                        stated is left empty. Fuse: the next one ahead; of a return, \
                        that of its circuit.";

/// The list as a table for people.
#[must_use]
pub fn grid(vehicle: &Vehicle, units: Option<Units>) -> Grid<'static> {
    let rows = lines(vehicle, units).map(|line| {
        let ends = [&line.from_lands_on, &line.to_lands_on].map(String::as_str);
        vec![
            line.wire,
            line.from,
            line.to,
            side_by_side(line.size, line.parallel),
            line.color.unwrap_or_default(),
            line.length.unwrap_or_default(),
            line.insulation.unwrap_or_default(),
            ends.join(" / "),
            if line.fuse.is_empty() && !line.circuit.is_empty() {
                "none".to_owned()
            } else {
                line.fuse.join(", ")
            },
            few(&line.circuit),
        ]
    });
    let columns = [
        Column::Words("Wire"),
        Column::Words("From"),
        Column::Words("To"),
        Column::Words("Size"),
        Column::Words("Colour"),
        Column::Figures("Length"),
        Column::Words("Insulation"),
        Column::Words("Ends on"),
        Column::Words("Fuse"),
        Column::Words("Circuit"),
    ];
    Grid::new(&columns, rows.collect())
}

/// What is to be bought, as a table for people.
#[must_use]
pub fn totals_grid(vehicle: &Vehicle, units: Option<Units>) -> Grid<'static> {
    let columns = [
        Column::Words("Size"),
        Column::Words("Colour"),
        Column::Words("Insulation"),
        Column::Figures("Length"),
        Column::Figures("Pieces"),
        Column::Figures("of no stated length"),
    ];
    let rows = totals(vehicle, units).into_iter().map(|total| {
        let unmeasured = match total.unmeasured {
            0 => String::new(),
            count => count.to_string(),
        };
        vec![
            total.size.unwrap_or_else(|| "not stated".to_owned()),
            total.color.unwrap_or_else(|| "not stated".to_owned()),
            total.insulation.unwrap_or_else(|| "not stated".to_owned()),
            total.length,
            total.pieces.to_string(),
            unmeasured,
        ]
    });
    Grid::new(&columns, rows.collect())
}

/// The first few names, and how many more there are.
fn few(names: &[String]) -> String {
    const MOST: usize = 4;
    match names.len() {
        0..=MOST => names.join(", "),
        count => format!(
            "{} and {} more",
            names[..MOST - 1].join(", "),
            count - MOST + 1
        ),
    }
}

/// The list as rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn rows(vehicle: &Vehicle, units: Option<Units>) -> Vec<Vec<String>> {
    let mut rows = vec![COLUMNS.iter().map(|name| (*name).to_owned()).collect()];
    for line in lines(vehicle, units) {
        rows.push(vec![
            line.wire,
            line.from,
            line.from_lands_on,
            line.to,
            line.to_lands_on,
            line.size.unwrap_or_default(),
            line.length.unwrap_or_default(),
            line.color.unwrap_or_default(),
            line.insulation.unwrap_or_default(),
            line.parallel.to_string(),
            line.fuse.join(" "),
            line.circuit.join(" "),
            line.bundle.unwrap_or_default(),
            line.route.join(" "),
            line.zone,
            line.status,
            line.note.unwrap_or_default(),
        ]);
    }
    rows
}

/// What is to be bought, as rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn totals_rows(vehicle: &Vehicle, units: Option<Units>) -> Vec<Vec<String>> {
    let columns = [
        "size",
        "color",
        "insulation",
        "length",
        "length_m",
        "pieces",
        "unmeasured",
    ];
    let mut rows = vec![columns.iter().map(|name| (*name).to_owned()).collect()];
    for total in totals(vehicle, units) {
        rows.push(vec![
            total.size.unwrap_or_default(),
            total.color.unwrap_or_default(),
            total.insulation.unwrap_or_default(),
            total.length,
            total.length_m.to_string(),
            total.pieces.to_string(),
            total.unmeasured.to_string(),
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

/// Every wire with its fuses and circuits, which are found once for all.
fn lines(vehicle: &Vehicle, units: Option<Units>) -> impl Iterator<Item = v1::WireLine> {
    let circuits = Circuits::of(vehicle);
    let ids = vehicle.wire_ids();
    ids.filter(|id| !vehicle.wire(*id).assumed)
        .map(move |id| line(vehicle, &circuits, id, units))
}

/// What each wire belongs to.
struct Circuits {
    fuses: Vec<Vec<PartId>>,
    users: Vec<Vec<PartId>>,
}

impl Circuits {
    fn of(vehicle: &Vehicle) -> Self {
        let walks = Walks::new(vehicle);
        let mut fuses: Vec<Vec<PartId>> = vec![Vec::new(); vehicle.wires.len()];
        for part in vehicle
            .part_ids()
            .filter(|&part| is_protection(vehicle, part))
        {
            for &branch in &vehicle.part(part).branches {
                for behind in walks.downstream(vehicle, branch).wires {
                    let of = &mut fuses[behind.wire.index()];
                    if !of.contains(&part) {
                        of.push(part);
                    }
                }
            }
        }
        let users = vehicle.wire_ids().map(|wire| {
            let mut parts: Vec<PartId> = walks.through_wire(wire).map(|user| user.part).collect();
            parts.sort_unstable();
            parts.dedup();
            parts
        });
        Self {
            fuses,
            users: users.collect(),
        }
    }
}

/// Lengths added up by size, colour and insulation, in the order in which they are met.
fn totals(vehicle: &Vehicle, units: Option<Units>) -> Vec<v1::WireTotal> {
    let mut totals: Vec<(v1::WireTotal, f64)> = Vec::new();
    for wire in recorded(vehicle) {
        let of = v1::WireTotal {
            size: wire.size.map(size),
            color: wire.color.clone(),
            insulation: written(vehicle, &wire.fields, "insulation"),
            length: String::new(),
            length_m: 0.0,
            pieces: 0,
            unmeasured: 0,
        };
        let alike = |one: &v1::WireTotal| {
            one.size == of.size && one.color == of.color && one.insulation == of.insulation
        };
        let at = totals
            .iter()
            .position(|(one, _)| alike(one))
            .unwrap_or_else(|| {
                totals.push((of, 0.0));
                totals.len() - 1
            });
        let (total, meters) = &mut totals[at];
        let pieces = wire.parallel.max(1);
        total.pieces += pieces;
        match wire.length {
            Some(length) => *meters += length.likely.0 * f64::from(pieces),
            None => total.unmeasured += pieces,
        }
    }
    let finished = totals.into_iter().map(|(mut total, meters)| {
        total.length = to_buy(meters, units.unwrap_or_default());
        total.length_m = number(meters);
        total
    });
    finished.collect()
}

/// Rounded up, never down: what is cut must be there.
fn to_buy(meters: f64, units: Units) -> String {
    // What adding up leaves behind the last digit is no further centimetre.
    let up = |value: f64, steps: f64| (value * steps - 1e-6).max(0.0).ceil() / steps;
    match units {
        Units::Metric => format!("{:.2} m", up(meters, 100.0)),
        Units::Us => format!("{:.1} ft", up(meters / 0.3048, 10.0)),
    }
}

fn line(vehicle: &Vehicle, circuits: &Circuits, id: WireId, units: Option<Units>) -> v1::WireLine {
    let wire = vehicle.wire(id);
    let (from, to) = ends(vehicle, wire);
    let names = |parts: &[PartId]| {
        let names = parts
            .iter()
            .map(|&part| vehicle.part(part).name.value.clone());
        names.collect::<Vec<_>>()
    };
    v1::WireLine {
        wire: wire.id.clone(),
        from,
        from_lands_on: lands_on(vehicle, wire.from),
        to,
        to_lands_on: lands_on(vehicle, wire.to),
        fuse: names(&circuits.fuses[id.index()]),
        circuit: names(&circuits.users[id.index()]),
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

/// What a wire end has to fit: the kind of part, and its form or type where the record gives one.
fn lands_on(vehicle: &Vehicle, terminal: TerminalId) -> String {
    let Some(part) = vehicle.terminal(terminal).part else {
        return "chassis".to_owned();
    };
    let part = vehicle.part(part);
    let kind = part.kind.text().replace('-', " ");
    let more = match part.kind {
        Kind::Fuse | Kind::Breaker | Kind::FusibleLink => part.fields.text("form"),
        Kind::Load | Kind::Controller => part.fields.text("type"),
        Kind::Splice => part.fields.text("tap"),
        Kind::Stub => part.fields.text("end"),
        _ => None,
    };
    match more {
        Some(more) if part.kind == Kind::Load => match more.value.as_str() {
            lamp @ ("led" | "filament") => format!("{lamp} load"),
            named => named.to_owned(),
        },
        Some(more) => format!("{} {kind}", more.value),
        None => kind,
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
    fn what_is_to_be_bought_is_rounded_up() {
        assert_eq!(to_buy(0.1 + 0.2, Units::Metric), "0.30 m");
        assert_eq!(to_buy(2.1501, Units::Metric), "2.16 m");
        assert_eq!(to_buy(3.048, Units::Us), "10.0 ft");
        assert_eq!(to_buy(0.0, Units::Us), "0.0 ft");
    }

    #[test]
    fn a_wire_says_its_fuse_its_circuit_and_what_it_lands_on() {
        let text = "\
keyoff: 1
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  S1: {kind: switch}
  LAMP: {kind: load, type: led, draw: 4 A}
  HORN: {kind: load, type: motor, draw: 4 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 2 m], color: red}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 50 cm, color: black}
  - {from: B1, to: HORN, size: 14 AWG, parallel: 2, length: unknown, color: red}
";
        let mut none = |name: &str| Err(name.to_owned());
        let limits = crate::read::Limits::default();
        let document = crate::read::read("t", text.as_bytes(), &mut none, &limits).unwrap();
        let vehicle = crate::model::build(std::sync::Arc::new(document));
        let list = data(&vehicle, None);
        let said: Vec<String> = list
            .wires
            .iter()
            .map(|wire| {
                format!(
                    "{}: {} [{}] {} > {}",
                    wire.wire,
                    wire.fuse.join(","),
                    wire.circuit.join(","),
                    wire.from_lands_on,
                    wire.to_lands_on
                )
            })
            .collect();
        assert_eq!(
            said,
            [
                "w1:  [LAMP] battery > blade fuse",
                "w2: F1 [LAMP] blade fuse > switch",
                "w3: F1 [LAMP] switch > led load",
                "w4: F1 [LAMP] led load > chassis",
                "w5:  [HORN] battery > motor",
            ]
        );
        let totals: Vec<_> = list
            .totals
            .iter()
            .map(|total| (total.length_m, total.pieces, total.unmeasured))
            .collect();
        assert_eq!(totals, [(3.1, 5, 2), (0.5, 1, 0)]);
    }

    #[test]
    fn sizes_read_as_a_record_writes_them() {
        assert_eq!(size(WireSize::Awg(12)), "12 AWG");
        assert_eq!(size(WireSize::Awg(-1)), "2/0 AWG");
        assert_eq!(size(WireSize::Sae(0)), "1/0 SAE");
        assert_eq!(size(WireSize::Iso(2.5)), "2.5 mm2");
        assert_eq!(side_by_side(Some("12 AWG".into()), 2), "2 x 12 AWG");
    }
}
