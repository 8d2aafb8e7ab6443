//! Rows for a spreadsheet (RFC 4180).

use crate::render::csv::table;
use crate::render::json::v1::FleetRow;

const COLUMNS: &[&str] = &[
    "file",
    "name",
    "verdict",
    "errors",
    "warnings",
    "notes",
    "accepted",
    "checked",
    "not_checked",
    "draw_a",
    "draw_lacks",
    "simple_days",
    "start_at_c",
    "start_days_low",
    "start_days_likely",
    "start_days_high",
    "worst_check",
    "worst_harm",
    "worst_line",
    "worst_message",
    "unreadable",
];

/// The names of the columns.
///
/// # Errors
/// None on memory: the writer can say no on other outputs.
pub fn head() -> Result<String, csv::Error> {
    table(&[COLUMNS.iter().map(|name| (*name).to_owned()).collect()])
}

/// One vehicle.
///
/// # Errors
/// None on memory: the writer can say no on other outputs.
pub fn row(row: &FleetRow) -> Result<String, csv::Error> {
    let count = |of: fn(&crate::render::json::v1::Summary) -> usize| {
        row.summary
            .as_ref()
            .map_or_else(String::new, |summary| of(summary).to_string())
    };
    let figure = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let start = row.days_to_no_start.as_ref();
    let worst = row.worst.as_ref();
    table(&[vec![
        row.document.path.clone(),
        row.document.name.clone().unwrap_or_default(),
        super::verdict(row.verdict).to_owned(),
        count(|summary| summary.errors),
        count(|summary| summary.warnings),
        count(|summary| summary.notes),
        count(|summary| summary.accepted),
        count(|summary| summary.checked),
        count(|summary| summary.not_checked),
        figure(row.draw_a),
        row.draw_lacks.join(" "),
        figure(row.simple_days),
        figure(start.map(|start| start.at_c)),
        figure(start.map(|start| start.low)),
        figure(start.map(|start| start.likely)),
        figure(start.map(|start| start.high)),
        worst.map_or_else(String::new, |worst| worst.check.clone()),
        worst.map_or_else(String::new, |worst| super::harm(worst.harm).to_owned()),
        worst.map_or_else(String::new, |worst| worst.at.line.to_string()),
        worst.map_or_else(String::new, |worst| worst.message.clone()),
        row.unreadable
            .as_ref()
            .map_or_else(String::new, super::fault),
    ]])
}
