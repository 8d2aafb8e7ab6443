//! CSV texts that are compiled in: rows as typed records, and the citation of a row.

use std::borrow::Cow;
use std::sync::LazyLock;

use csv::StringRecord;
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// A publication, or the admission that there is none.
#[derive(Clone, PartialEq, Eq, Debug, Deserialize)]
pub struct Source {
    /// The id that rows of tables name.
    pub id: String,
    /// Title as it is cited.
    pub title: String,
    /// Table, paragraph or section within it; may be empty.
    pub table: String,
    /// Who publishes it.
    pub publisher: String,
    /// Whether it was read, or is known from memory.
    pub basis: Basis,
}

/// How a row came to be known.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Basis {
    /// Seen in the source.
    Read,
    /// Computed from rows that were read.
    Derived,
    /// From memory: to be checked before it is relied on.
    Memory,
}

static SOURCES: LazyLock<Vec<Source>> = LazyLock::new(|| rows(include_str!("sources.csv")));

/// Every publication that a table of this program names.
#[must_use]
pub fn sources() -> &'static [Source] {
    &SOURCES
}

/// Id of the source that stands for "none": what everybody in the trade does.
const PRACTICE: &str = "practice";

/// A citation: title, table and row, with `(from memory)` where it was not read.
pub(super) fn cite(source: &str, row: &str, basis: Basis) -> String {
    let Some(found) = SOURCES.iter().find(|one| one.id == source) else {
        return format!("unknown source {source}");
    };
    if source == PRACTICE {
        return found.title.clone();
    }
    let mut text = found.title.clone();
    for more in [found.table.as_str(), row] {
        if more.starts_with('(') && more.ends_with(')') {
            text.push_str(more);
        } else if !more.is_empty() {
            text.push_str(", ");
            text.push_str(more);
        }
    }
    if basis == Basis::Memory || found.basis == Basis::Memory {
        text.push_str(" (from memory)");
    } else if basis == Basis::Derived {
        text.push_str(" (derived)");
    }
    text
}

/// The rows of a CSV text. A row of the wrong shape is left out; tests show that there is none.
pub(super) fn rows<R: DeserializeOwned>(text: &str) -> Vec<R> {
    let mut lines = lines(text);
    let Some(columns) = lines.next() else {
        return Vec::new();
    };
    lines
        .filter(|line| line.len() == columns.len())
        .filter_map(|line| line.deserialize(Some(&columns)).ok())
        .collect()
}

/// The lines of a CSV text, cell by cell: a cell in quotes may have commas, line ends and doubled quotes in it. A reader for
/// any CSV builds a machine first, which for thirty small tables takes longer than all else before the record is read.
fn lines(text: &str) -> impl Iterator<Item = StringRecord> {
    let mut rest = text;
    std::iter::from_fn(move || {
        rest = rest.trim_start_matches(['\r', '\n']);
        if rest.is_empty() {
            return None;
        }
        let mut line = StringRecord::new();
        loop {
            let (cell, after) = cell(rest);
            line.push_field(&cell);
            match after.strip_prefix(',') {
                Some(more) => rest = more,
                None => {
                    rest = after;
                    return Some(line);
                }
            }
        }
    })
}

/// The cell that a text starts with, and what stands after it.
fn cell(text: &str) -> (Cow<'_, str>, &str) {
    let Some(quoted) = text.strip_prefix('"') else {
        let end = text.find([',', '\r', '\n']).unwrap_or(text.len());
        let (cell, after) = text.split_at(end);
        return (Cow::Borrowed(cell), after);
    };
    let mut cell = String::new();
    let mut rest = quoted;
    while let Some((piece, after)) = rest.split_once('"') {
        cell.push_str(piece);
        match after.strip_prefix('"') {
            Some(more) => {
                cell.push('"');
                rest = more;
            }
            None => return (Cow::Owned(cell), after),
        }
    }
    cell.push_str(rest);
    (Cow::Owned(cell), "")
}

/// The columns and cells of a CSV text, as they stand.
pub(super) fn cells(text: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut lines = lines(text).map(|line| line.iter().map(str::to_owned).collect());
    let columns: Vec<String> = lines.next().unwrap_or_default();
    let rows = lines.filter(|line: &Vec<String>| line.len() == columns.len());
    let rows = rows.collect();
    (columns, rows)
}

/// Value of a rising list of points at `x`, by straight lines; the end points hold beyond the ends.
pub(super) fn interpolate(points: &[(f64, f64)], x: f64) -> Option<f64> {
    let first = points.first()?;
    let last = points.last()?;
    if x <= first.0 {
        return Some(first.1);
    }
    if x >= last.0 {
        return Some(last.1);
    }
    points
        .windows(2)
        .find(|pair| x <= pair[1].0)
        .map(|pair| between(pair[0], pair[1], x))
}

/// The straight line through two points, at `x`.
pub(super) fn between(a: (f64, f64), b: (f64, f64), x: f64) -> f64 {
    if x == a.0 {
        a.1
    } else if x == b.0 {
        b.1
    } else {
        a.1 + (b.1 - a.1) * (x - a.0) / (b.0 - a.0)
    }
}

#[cfg(test)]
pub(super) mod shape {
    //! What every table of every file must satisfy.

    use super::{Basis, rows, sources};
    use serde::Deserialize;
    use serde::de::DeserializeOwned;

    #[derive(Deserialize)]
    struct Cited {
        source: String,
        #[allow(dead_code, reason = "read to show that it is one of the three words")]
        basis: Basis,
    }

    /// Every row reads as `R`, is not there twice, and names a source that is listed.
    pub fn check<R: DeserializeOwned>(text: &str) -> usize {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let lines: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        for (at, row) in csv::Reader::from_reader(text.as_bytes())
            .deserialize::<R>()
            .enumerate()
        {
            if let Err(fault) = row {
                panic!("row {}: {fault}", at + 2);
            }
        }
        for (at, line) in lines.iter().enumerate() {
            assert!(
                !lines[..at].contains(line),
                "row {} is there twice: {line:?}",
                at + 2
            );
            for cell in line {
                assert_eq!(cell, cell.trim(), "row {}", at + 2);
            }
        }
        let cited: Vec<Cited> = rows(text);
        assert_eq!(cited.len(), lines.len(), "a row without source and basis");
        for row in cited {
            assert!(
                sources().iter().any(|one| one.id == row.source),
                "source {} is not listed",
                row.source
            );
        }
        assert!(!lines.is_empty());
        lines.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every table, and what is hard, as a reader of any CSV reads it.
    #[test]
    fn lines_are_those_of_a_reader_of_any_csv() {
        let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/table");
        let mut texts: Vec<String> = std::fs::read_dir(here)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "csv"))
            .map(|path| std::fs::read_to_string(path).unwrap())
            .collect();
        assert!(texts.len() > 20);
        texts.push("a,b\r\n\"1,\"\"2\"\"\",\r\n\r\n,\"3\n4\"".to_owned());
        for text in texts {
            let mut reader = csv::ReaderBuilder::new()
                .has_headers(false)
                .from_reader(text.as_bytes());
            let wanted: Vec<StringRecord> = reader.records().map(Result::unwrap).collect();
            let found: Vec<StringRecord> = lines(&text).collect();
            assert_eq!(found, wanted);
        }
    }

    #[test]
    fn sources_read_whole_and_are_unique() {
        let text = include_str!("sources.csv");
        let (_, lines) = cells(text);
        assert_eq!(lines.len(), sources().len());
        for (at, one) in sources().iter().enumerate() {
            assert!(sources()[..at].iter().all(|other| other.id != one.id));
            assert!(!one.title.is_empty() && !one.publisher.is_empty());
        }
    }

    #[test]
    fn every_source_is_named_by_a_row() {
        let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/table");
        let mut named = std::collections::BTreeSet::new();
        for entry in std::fs::read_dir(here).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|ending| ending != "csv")
                || path.ends_with("sources.csv")
            {
                continue;
            }
            let (columns, lines) = cells(&std::fs::read_to_string(&path).unwrap());
            let at = columns
                .iter()
                .position(|column| column == "source")
                .unwrap();
            named.extend(lines.into_iter().map(|line| line[at].clone()));
        }
        // The formula of ASTM B258 makes rows in the code.
        assert!(named.contains("astm-b258"));
        for one in sources() {
            assert!(named.contains(&one.id), "{} is cited nowhere", one.id);
        }
    }

    #[test]
    fn a_citation_says_what_was_not_read() {
        assert_eq!(
            cite("33-cfr-183-425", "12 AWG at 105 C", Basis::Read),
            "33 CFR 183.425, Table 5, 12 AWG at 105 C"
        );
        assert_eq!(
            cite("33-cfr-183-455-c", "(1)", Basis::Read),
            "33 CFR 183.455(c)(1)"
        );
        assert!(cite("iso-6722", "3 mm2", Basis::Memory).ends_with("(from memory)"));
        assert_eq!(
            cite("practice", "closed contact", Basis::Memory),
            "common practice, no source"
        );
    }

    #[test]
    fn between_points_a_straight_line_and_beyond_them_the_ends() {
        let points = [(0.0, 1.0), (10.0, 3.0), (20.0, 3.0)];
        assert_eq!(interpolate(&points, 5.0), Some(2.0));
        assert_eq!(interpolate(&points, -1.0), Some(1.0));
        assert_eq!(interpolate(&points, 99.0), Some(3.0));
        assert_eq!(interpolate(&[], 1.0), None);
    }
}
