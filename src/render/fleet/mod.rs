//! Many vehicles: one row each, as words, as a table, as data and as a page to sort.
//!
//! A row is made of one audit and needs no other: rows can be made at the same time and written one by one.

mod html;
mod table;
mod text;

pub use html::{foot as html_foot, head as html_head, row as html_row};
pub use table::{head as csv_head, row as csv_row};
pub use text::{Sum, foot as text_foot, head as text_head, row as text_row};

use crate::Audit;
use crate::analyze::park::park;
use crate::check::Level;
use crate::render::json::audit as shape;
use crate::render::json::v1;
use crate::render::json::v1::FleetVerdict;
use crate::source::Problem;
use crate::source::Sources;

/// The row of an audited vehicle.
#[must_use]
pub fn audited(audit: &Audit) -> v1::FleetRow {
    let vehicle = &audit.vehicle;
    let sources = &vehicle.document.sources;
    let parked = park(vehicle, &audit.solved.key_off);
    let key_off = shape::key_off(vehicle, &audit.solved.key_off, &parked);
    let open = || {
        audit
            .report
            .findings
            .iter()
            .filter(|one| one.accepted.is_none())
    };
    let level = open().map(|one| one.level).max();
    // Findings stand in the order of harm: the first of the worst level is the one to name.
    let worst = level.and_then(|level| open().find(|one| one.level == level));
    v1::FleetRow {
        format: v1::FORMAT,
        document: shape::document(vehicle),
        verdict: match level {
            Some(Level::Error) => FleetVerdict::Error,
            Some(Level::Warning) => FleetVerdict::Warning,
            Some(Level::Note) => FleetVerdict::Note,
            None => FleetVerdict::Nothing,
        },
        summary: Some(shape::summary(&audit.report)),
        draw_a: Some(key_off.draw_a),
        draw_lacks: key_off.missing,
        simple_days: key_off.simple_days,
        days_to_no_start: key_off.days_to_no_start,
        worst: worst.map(|one| v1::Worst {
            check: one.check.name.to_owned(),
            level: shape::level(one.level),
            harm: shape::harm(one.check.harm),
            message: one.finding.message.clone(),
            at: shape::place(sources, one.finding.at),
        }),
        unreadable: None,
    }
}

/// The row of a record that could not be read.
#[must_use]
pub fn unreadable(path: &str, sources: &Sources, problems: &[Problem]) -> v1::FleetRow {
    let first = problems.first();
    unused(
        path,
        v1::FirstFault {
            message: first.map_or_else(String::new, |first| first.message.clone()),
            at: first.map(|first| shape::place(sources, first.at)),
            faults: problems.len(),
        },
    )
}

/// The row of a file that could not be had.
#[must_use]
pub fn unavailable(path: &str, message: &str) -> v1::FleetRow {
    unused(
        path,
        v1::FirstFault {
            message: message.to_owned(),
            at: None,
            faults: 1,
        },
    )
}

fn unused(path: &str, fault: v1::FirstFault) -> v1::FleetRow {
    v1::FleetRow {
        format: v1::FORMAT,
        document: v1::Document {
            path: path.to_owned(),
            name: None,
        },
        verdict: FleetVerdict::Unreadable,
        summary: None,
        draw_a: None,
        draw_lacks: Vec::new(),
        simple_days: None,
        days_to_no_start: None,
        worst: None,
        unreadable: Some(fault),
    }
}

/// The verdict in one word.
const fn verdict(verdict: FleetVerdict) -> &'static str {
    match verdict {
        FleetVerdict::Unreadable => "unreadable",
        FleetVerdict::Error => "error",
        FleetVerdict::Warning => "warning",
        FleetVerdict::Note => "note",
        FleetVerdict::Nothing => "nothing",
    }
}

/// The harm in one word.
const fn harm(harm: v1::Harm) -> &'static str {
    match harm {
        v1::Harm::Fire => "fire",
        v1::Harm::Stranded => "stranded",
        v1::Harm::Damage => "damage",
        v1::Harm::Nuisance => "nuisance",
        v1::Harm::Record => "record",
    }
}

/// Why a record could not be used, in one line.
fn fault(fault: &v1::FirstFault) -> String {
    let place = fault
        .at
        .as_ref()
        .map_or_else(String::new, |at| match &at.file {
            Some(file) => format!("{file}, line {}: ", at.line),
            None => format!("line {}: ", at.line),
        });
    let more = match fault.faults {
        0 | 1 => String::new(),
        faults => format!(", and {} more", faults - 1),
    };
    format!("{place}{}{more}", fault.message)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::fixture;
    use crate::render::json;
    use crate::render::snippet::Look;

    fn rows() -> Vec<v1::FleetRow> {
        let (vehicle, solved, report) = fixture::audit();
        let audit = Audit {
            vehicle,
            solved,
            report,
        };
        vec![
            audited(&audit),
            unavailable("lost, <b>.yaml", "there is no file `lost, <b>.yaml`"),
        ]
    }

    #[test]
    fn rows_in_every_form() {
        let rows = rows();
        let mut sum = Sum::default();
        let mut text = text_head(Look::default());
        let mut lines = String::new();
        let mut table = csv_head().unwrap();
        let mut page = html_head("Trucks & vans");
        for row in &rows {
            sum.add(row);
            text += &text_row(row, Look::default(), crate::quantity::Units::Metric);
            lines += &json::line(row).unwrap();
            table += &csv_row(row).unwrap();
            page += &html_row(row);
        }
        text += &text_foot(&sum, Look::default());
        page += &html_foot();
        insta::assert_snapshot!("fleet_text", text);
        insta::assert_snapshot!("fleet_lines", lines);
        insta::assert_snapshot!("fleet_table", table.replace("\r\n", "\n"));
        let shown = page.split("<tbody>").nth(1).unwrap();
        insta::assert_snapshot!("fleet_page", shown.split("<script>").next().unwrap());
        assert!(page.contains("Trucks &amp; vans") && !page.contains("lost, <b>"));
        assert!(!page.contains("http"), "the page fetches nothing");
    }

    /// Where there is no room for columns each record takes its own lines, and what kept it from being used is told in one.
    #[test]
    fn rows_on_a_narrow_screen() {
        let narrow = Look {
            width: 70,
            colour: false,
        };
        let text =
            "keyoff: 1\nparts:\n  B1: {kind: batery}\n  F1: {kind: fuze}\n  L1: {kind: laod}\n";
        let none = &mut |_: &str| Err(String::new());
        let limits = crate::read::Limits::default();
        let fault = crate::read::read("yard/truck.yaml", text.as_bytes(), none, &limits);
        let fault = fault.unwrap_err();
        let row = unreadable("yard/truck.yaml", &fault.sources, &fault.problems);
        let shown = text_row(&row, narrow, crate::quantity::Units::Metric);
        let shown: Vec<&str> = shown.lines().map(str::trim).collect();
        assert_eq!(shown[0], "yard/truck.yaml");
        assert_eq!(
            shown[1..].join(" "),
            "cannot be used: line 3: there is no kind of part called `batery`, and 2 more"
        );
        let [row, _] = &rows()[..] else { panic!() };
        let shown = text_row(row, narrow, crate::quantity::Units::Metric);
        let shown: Vec<&str> = shown.lines().map(str::trim).collect();
        assert_eq!(
            shown[1..].join(" "),
            "1 error, 1 warning, 0 notes, 2 not judged; 182 mA + with the key off; starts for: 6.3 days"
        );
    }
}
