//! Findings as a table for a spreadsheet (RFC 4180).

use std::borrow::Cow;

use crate::check::Report;
use crate::model::Vehicle;
use crate::render::json::number;
use crate::render::words;
use crate::source::Text;

/// The names of the columns of [`audit`].
const COLUMNS: &[&str] = &[
    "file",
    "line",
    "column",
    "check",
    "level",
    "harm",
    "parts",
    "wires",
    "message",
    "help",
    "value",
    "value_unit",
    "limit",
    "limit_unit",
    "source",
    "setting",
    "accepted",
    "missing",
];

/// The names of the columns of [`audit`].
///
/// # Errors
/// As [`table`].
pub fn head() -> Result<String, csv::Error> {
    table(&[COLUMNS.iter().map(|name| (*name).to_owned()).collect()])
}

/// The findings of one record, then what could not be judged: that has no level, and its `missing` is filled in.
///
/// # Errors
/// As [`table`].
pub fn audit(vehicle: &Vehicle, report: &Report) -> Result<String, csv::Error> {
    let mut rows = findings(vehicle, report);
    rows.extend(gaps(vehicle, report));
    table(&rows)
}

/// Rows as text. A cell that a spreadsheet would take for a formula gets an apostrophe before it, which makes it words there.
///
/// # Errors
/// None on memory: the writer can say no on other outputs.
pub fn table(rows: &[Vec<String>]) -> Result<String, csv::Error> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    for row in rows {
        writer.write_record(row.iter().map(|cell| harmless(cell).into_owned()))?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// A cell that nothing runs. A plain number with its sign stays one.
fn harmless(cell: &str) -> Cow<'_, str> {
    // Some spreadsheets pass over blanks, and take the wide forms of the signs too.
    let starts = cell.trim_start().starts_with([
        '=', '+', '-', '@', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}', '|', '%',
    ]);
    let breaks = cell.starts_with(['\t', '\r', '\n']);
    // A stroke alone stands for nothing to say.
    if (starts || breaks) && cell != "-" && cell.parse::<f64>().is_err() {
        Cow::Owned(format!("'{cell}"))
    } else {
        Cow::Borrowed(cell)
    }
}

fn findings(vehicle: &Vehicle, report: &Report) -> Vec<Vec<String>> {
    let sources = &vehicle.document.sources;
    let mut rows = Vec::new();
    for reported in &report.findings {
        let finding = &reported.finding;
        let at = sources.position(finding.at);
        let amount = |measure: Option<crate::check::Measure>| {
            measure.map_or_else(String::new, |measure| number(measure.amount).to_string())
        };
        let unit = |measure: Option<crate::check::Measure>| {
            measure.map_or_else(String::new, |measure| measure.unit.to_owned())
        };
        rows.push(vec![
            sources
                .get(finding.at.file)
                .map_or("", Text::name)
                .to_owned(),
            at.line.to_string(),
            at.column.to_string(),
            reported.check.name.to_owned(),
            words::level(reported.level).to_owned(),
            words::harm(reported.check.harm).to_owned(),
            words::subjects(vehicle, &finding.parts, &[]).join(" "),
            words::subjects(vehicle, &[], &finding.wires).join(" "),
            finding.message.clone(),
            finding.help.clone(),
            amount(finding.value),
            unit(finding.value),
            amount(finding.limit),
            unit(finding.limit),
            finding.source.clone(),
            words::setting(&finding.setting).unwrap_or_default(),
            reported
                .accepted
                .as_ref()
                .map_or_else(String::new, |accepted| accepted.because.clone()),
            String::new(),
        ]);
    }
    rows
}

fn gaps(vehicle: &Vehicle, report: &Report) -> Vec<Vec<String>> {
    let mut rows = Vec::new();
    for (meta, gap) in &report.gaps {
        let mut row = vec![String::new(); COLUMNS.len()];
        row[0] = words::path(&vehicle.document.sources).to_owned();
        row[3] = meta.name.to_owned();
        row[5] = words::harm(meta.harm).to_owned();
        row[6] = words::subjects(vehicle, &gap.parts, &[]).join(" ");
        row[7] = words::subjects(vehicle, &[], &gap.wires).join(" ");
        row[COLUMNS.len() - 1] = gap.missing.join(" ");
        rows.push(row);
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_is_a_formula() {
        for bad in [
            "=1+1",
            "+A1",
            "-A1",
            "@SUM(A1)",
            " =1",
            "\t=1",
            "\u{ff1d}1",
            "|calc",
            "%0",
            "-10 C",
        ] {
            let text = table(&[vec![bad.to_owned()]]).unwrap();
            let cell = text.trim_end_matches("\r\n").trim_matches('"');
            assert_eq!(cell, format!("'{bad}"));
        }
        for good in ["-10.5", "+3", "B1.+", "12 V", "", "a=b"] {
            assert_eq!(harmless(good), good);
        }
    }

    #[test]
    fn an_audit_as_a_table() {
        let (vehicle, _, report) = crate::render::fixture::audit();
        let text = head().unwrap() + &audit(&vehicle, &report).unwrap();
        let widths: Vec<usize> = csv::Reader::from_reader(text.as_bytes())
            .records()
            .map(|row| row.unwrap().len())
            .collect();
        assert_eq!(widths, [COLUMNS.len(); 5]);
        insta::assert_snapshot!(text.replace("\r\n", "\n"));
    }
}
