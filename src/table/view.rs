//! The tables as they are printed by `keyoff tables`.

use super::sheet::Basis;
use super::sheet::cells;
use super::sheet::cite;
use super::wire;

/// A table for printing: cells as text, sources numbered from 1 in the last column.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct TableView {
    /// Its name on the command line.
    pub name: &'static str,
    /// What it holds.
    pub title: &'static str,
    /// Column headings with their units; the last is `source`.
    pub columns: Vec<String>,
    /// One row after the other, as many cells as columns.
    pub rows: Vec<Vec<String>>,
    /// The sources by number.
    pub sources: Vec<String>,
}

impl TableView {
    /// Its sources that were not read in a publication: from memory, derived, or common practice.
    pub fn not_read(&self) -> impl Iterator<Item = &str> {
        let says = ["(from memory)", "(derived)", "no source"];
        let sources = self.sources.iter().map(String::as_str);
        sources.filter(move |source| says.iter().any(|says| source.contains(says)))
    }
}

/// A file as a view: the columns `source` and `basis` become one number.
fn view(name: &'static str, title: &'static str, text: &str) -> TableView {
    let (columns, lines) = cells(text);
    let place = |name: &str| columns.iter().position(|column| column == name);
    let (source, basis, locator) = (place("source"), place("basis"), place("row"));
    let hidden = |at: usize| Some(at) == source || Some(at) == basis || Some(at) == locator;
    let mut sources: Vec<String> = Vec::new();
    let rows = lines
        .iter()
        .map(|line| {
            let cell =
                |at: Option<usize>| at.and_then(|at| line.get(at)).map_or("", String::as_str);
            let basis = match cell(basis) {
                "read" => Basis::Read,
                "derived" => Basis::Derived,
                _ => Basis::Memory,
            };
            let number = numbered(&mut sources, cite(cell(source), cell(locator), basis));
            let shown = line.iter().enumerate().filter(|(at, _)| !hidden(*at));
            shown
                .map(|(_, text)| text.clone())
                .chain([number])
                .collect()
        })
        .collect();
    let shown = columns.iter().enumerate().filter(|(at, _)| !hidden(*at));
    TableView {
        name,
        title,
        columns: shown
            .map(|(_, column)| column.clone())
            .chain(["source".to_owned()])
            .collect(),
        rows,
        sources,
    }
}

/// Number of a source in the list, put there if it is new.
fn numbered(sources: &mut Vec<String>, text: String) -> String {
    let at = sources
        .iter()
        .position(|one| *one == text)
        .unwrap_or_else(|| {
            sources.push(text);
            sources.len() - 1
        });
    (at + 1).to_string()
}

/// Sizes, of which those of ASTM B258 follow from a formula and stand in no file.
fn sizes() -> TableView {
    let mut sources = Vec::new();
    let mut rows = Vec::new();
    for size in wire::listed_sizes() {
        let (Some(area), Some(r20)) = (wire::area(size), wire::r20(size)) else {
            continue;
        };
        // Each row cites its own size; the printed list names the publication once.
        let without_size = r20.source.replace(&format!(", {}", wire::label(size)), "");
        rows.push(vec![
            wire::label(size),
            format!("{:.4}", area.value.0),
            format!("{:.3}", r20.value * 1000.0),
            numbered(&mut sources, without_size),
        ]);
    }
    TableView {
        name: "wire",
        title: "Conductor sizes: copper area, and resistance of one conductor at 20 C",
        columns: ["size", "area_mm2", "r20_mohm_per_m", "source"]
            .map(str::to_owned)
            .to_vec(),
        rows,
        sources,
    }
}

/// Every table, in the order of the printed list.
#[must_use]
pub fn all() -> Vec<TableView> {
    let mut views = vec![view(
        "rules",
        "Where published rules differ: the choices for `rules:` in a record",
        include_str!("rules.csv"),
    )];
    views.push(sizes());
    for (name, title, text) in FILES {
        views.push(view(name, title, text));
    }
    views
}

macro_rules! files {
    ($($name:literal $file:literal $title:literal;)*) => {
        /// Files that are printed as they stand.
        const FILES: &[(&str, &str, &str)] = &[$(($name, $title, include_str!($file)),)*];
    };
}

files! {
    "copper" "copper.csv" "Copper and the sizes of round wire";
    "ampacity" "ampacity.csv" "Lasting current of one conductor by insulation class at 30 C ambient";
    "engine-space" "engine_space.csv" "Factor on ampacity in an engine space (50 C)";
    "protector" "protector.csv" "Aircraft wire and protector chart, for sizes under 18 AWG";
    "bundle" "bundle.csv" "Factor on ampacity for conductors that lie together";
    "insulation" "insulation.csv" "Temperature class of insulation codes";
    "fuse" "fuse.csv" "Figures of fuses";
    "fuse-rating" "fuse_rating.csv" "Ratings in which fuses are made";
    "fuse-resistance" "fuse_resistance.csv" "Cold resistance of fuses";
    "fuse-temperature" "fuse_temperature.csv" "Share of its rating that a fuse keeps when warm";
    "fuse-time" "fuse_time.csv" "Limits of the opening time of fuses";
    "breaker-time" "breaker_time.csv" "Limits of the trip time of breakers";
    "adiabatic" "adiabatic.csv" "Temperature that insulation stands for a moment";
    "heating" "heating.csv" "For how long a fault counts as a moment";
    "relay" "relay.csv" "Relays: coil, contact, pull-in and drop-out";
    "joint" "joint.csv" "Joints and small devices";
    "vehicle" "vehicle.csv" "A vehicle of which the record says nothing";
    "meter" "meter.csv" "What a meter can tell, and how a parked vehicle answers to it";
    "load" "load.csv" "How loads follow their voltage";
    "inrush" "inrush.csv" "Current at switch-on by type of load";
    "typical" "typical.csv" "Generic loads for `typical:` in a record (current at 12 V)";
    "alternator" "alternator.csv" "Share of its rating that an alternator gives";
    "regulator" "regulator.csv" "Voltage held by a regulator of a 12 V system";
    "battery" "battery.csv" "Figures of batteries";
    "rest-voltage" "rest_voltage.csv" "Rest voltage of a 12 V battery by charge";
    "gravity" "gravity.csv" "Specific gravity of the acid by charge";
    "freezing" "freezing.csv" "Freezing point of the acid by specific gravity";
    "capacity" "capacity_temperature.csv" "Capacity at the 20-hour rate by temperature";
    "cranking" "cranking.csv" "Cranking power available and required by temperature, over that at 27 C";
    "self-discharge" "self_discharge.csv" "Share of its capacity that a battery loses by itself in 30 days";
    "peukert" "peukert.csv" "Exponent of Peukert's law";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_table_can_be_printed() {
        let mut names = Vec::new();
        for view in all() {
            assert!(!names.contains(&view.name), "{}", view.name);
            names.push(view.name);
            assert!(!view.rows.is_empty(), "{}", view.name);
            assert_eq!(view.columns.last().map(String::as_str), Some("source"));
            for row in &view.rows {
                assert_eq!(row.len(), view.columns.len(), "{}", view.name);
                let number: usize = row.last().unwrap().parse().unwrap();
                assert!((1..=view.sources.len()).contains(&number), "{}", view.name);
            }
            assert!(
                view.sources
                    .iter()
                    .all(|text| !text.starts_with("unknown source"))
            );
        }
    }

    #[test]
    fn every_file_of_rows_is_printed() {
        let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/table");
        let text = std::fs::read_to_string(here.join("view.rs")).unwrap();
        let mut seen = 0;
        for entry in std::fs::read_dir(here).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            if name.ends_with(".csv")
                && !["sources.csv", "sae.csv", "iso.csv"].contains(&name.as_str())
            {
                assert!(
                    text.contains(&format!("\"{name}\"")),
                    "{name} is not printed"
                );
                seen += 1;
            }
        }
        assert!(seen > 20);
    }
}
