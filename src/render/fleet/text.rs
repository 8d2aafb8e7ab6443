//! Rows as lines of words: figures first, in columns of a fixed width, so that a line can be printed before the next is known.

use crate::check::Level;
use crate::quantity::Amps;
use crate::quantity::Units;
use crate::quantity::show;
use crate::render::json::v1::FleetRow;
use crate::render::json::v1::FleetVerdict;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::words;

/// What all rows come to.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Sum {
    /// Vehicles by verdict: unreadable, error, warning, note, nothing.
    by_verdict: [usize; 5],
    /// Vehicles of which some draw is not stated.
    lacking: usize,
}

impl Sum {
    /// Counts one more.
    pub fn add(&mut self, row: &FleetRow) {
        self.by_verdict[place(row.verdict)] += 1;
        self.lacking += usize::from(!row.draw_lacks.is_empty());
    }

    /// How many there are.
    #[must_use]
    pub fn vehicles(&self) -> usize {
        self.by_verdict.iter().sum()
    }
}

const fn place(verdict: FleetVerdict) -> usize {
    match verdict {
        FleetVerdict::Unreadable => 0,
        FleetVerdict::Error => 1,
        FleetVerdict::Warning => 2,
        FleetVerdict::Note => 3,
        FleetVerdict::Nothing => 4,
    }
}

/// Narrower than this, a vehicle takes a line for its path and a line or two for its figures.
const COLUMNS: usize = 72;

/// Names of the columns; none where there is no room for columns.
#[must_use]
pub fn head(look: Look) -> String {
    if look.width < COLUMNS {
        return String::new();
    }
    let head = Page::new(look).strong(&format!(
        "{:>6} {:>8} {:>5} {:>10}  {:<9} {:<12} Record",
        "Errors", "Warnings", "Notes", "Not judged", "Key off", "Still starts"
    ));
    format!("{head}\n")
}

/// One vehicle.
#[must_use]
pub fn row(row: &FleetRow, look: Look, units: Units) -> String {
    let mut page = Page::new(look);
    let path = &row.document.path;
    let Some(summary) = &row.summary else {
        let why = row
            .unreadable
            .as_ref()
            .map_or_else(String::new, super::fault);
        if look.width < COLUMNS {
            let mark = page.level(Level::Error, "cannot be used");
            page.line(0, path);
            page.line(2, &format!("{mark}: {why}"));
            return page.into_text();
        }
        let mark = page.level(
            Level::Error,
            &format!("{:>6} {:<47}", "-", "cannot be used"),
        );
        return format!("{mark} {path}: {why}\n");
    };
    let counted = |count: usize, width: usize, level: Level| {
        let shown = format!("{count:>width$}");
        if count > 0 {
            page.level(level, &shown)
        } else {
            shown
        }
    };
    let mut draw = row
        .draw_a
        .map_or_else(String::new, |draw| show::show(Amps(draw), units));
    if !row.draw_lacks.is_empty() {
        draw += " +";
    }
    let days = row.days_to_no_start.as_ref().map_or_else(
        || match row.draw_a {
            Some(draw) if draw == 0.0 && row.draw_lacks.is_empty() => "no draw".to_owned(),
            _ => "not known".to_owned(),
        },
        |start| format!("{} days", show::digits(start.likely, 2)),
    );
    if look.width < COLUMNS {
        let level = |count: usize, one: &str, level: Level| {
            let shown = words::plural(count, one, &format!("{one}s"));
            if count > 0 {
                page.level(level, &shown)
            } else {
                shown
            }
        };
        let figures = format!(
            "{}, {}, {}, {} not judged; {draw} with the key off; starts for: {days}",
            level(summary.errors, "error", Level::Error),
            level(summary.warnings, "warning", Level::Warning),
            level(summary.notes, "note", Level::Note),
            summary.not_checked,
        );
        page.line(0, path);
        page.line(2, &figures);
        return page.into_text();
    }
    let figures = format!(
        "{} {} {} {:>10}  {draw:<9} {days:<12}",
        counted(summary.errors, 6, Level::Error),
        counted(summary.warnings, 8, Level::Warning),
        counted(summary.notes, 5, Level::Note),
        summary.not_checked,
    );
    // The figures take 56 columns; the name is left out where it does not fit beside the path, which is what one needs.
    let name = row
        .document
        .name
        .as_deref()
        .filter(|name| 58 + path.chars().count() + name.chars().count() < look.width)
        .map_or_else(String::new, |name| format!(": {name}"));
    format!("{figures} {path}{name}\n")
}

/// What they come to.
#[must_use]
pub fn foot(sum: &Sum, look: Look) -> String {
    let mut page = Page::new(look);
    let [unreadable, error, warning, note, nothing] = sum.by_verdict;
    let mut parts = Vec::new();
    for (count, what) in [
        (error, "with errors"),
        (warning, "with warnings at worst"),
        (note, "with notes at worst"),
        (nothing, "without findings"),
        (unreadable, "that could not be used"),
    ] {
        if count > 0 {
            parts.push(format!("{count} {what}"));
        }
    }
    page.line(
        0,
        &format!(
            "{}: {}.",
            words::plural(sum.vehicles(), "record", "records"),
            words::list(&parts)
        ),
    );
    if sum.lacking > 0 {
        page.line(0, "+: a draw is not stated; it is more than this.");
    }
    format!("\n{}", page.into_text())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::json::v1::FleetVerdict;

    #[test]
    fn the_columns_go_where_there_is_no_room_for_them() {
        let narrow = Look {
            width: 40,
            colour: false,
        };
        assert_eq!(head(narrow), "");
        assert!(head(Look::default()).starts_with("Errors"));
        let mut sum = Sum::default();
        assert_eq!(sum.vehicles(), 0);
        sum.by_verdict[place(FleetVerdict::Error)] = 1;
        assert!(foot(&sum, narrow).lines().all(|line| line.len() <= 40));
    }
}
