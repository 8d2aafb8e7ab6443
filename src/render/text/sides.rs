//! Two vehicles held against each other, in figures.

use crate::Audit;
use crate::analyze::park::park;
use crate::quantity::show::digits;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words::Count;

/// The table of both; `names` stand over the columns.
pub fn table(page: &mut Page, show: Show, names: [&str; 2], sides: [&Audit; 2]) {
    page.grid(2, grid(show, names, sides));
    for line in not_whole(names, sides) {
        page.line(2, &line);
    }
}

/// The same as a table by itself.
#[must_use]
pub fn grid<'n>(show: Show, names: [&'n str; 2], sides: [&Audit; 2]) -> Grid<'n> {
    let columns = [
        Column::Words(""),
        Column::Figures(names[0]),
        Column::Figures(names[1]),
    ];
    let at = sides.map(|audit| show.one(audit.vehicle.climate.parked.likely));
    let at = if at[0] == at[1] {
        at[0].clone()
    } else {
        at.join(" and ")
    };
    let each = sides.map(|audit| figures(audit, show, &at));
    let [one, other] = each;
    let rows = one
        .into_iter()
        .zip(other)
        .map(|((what, one), (_, other))| vec![what, one, other]);
    Grid::new(&columns, rows.collect())
}

/// Which of the two draws is not whole, and for want of what, in sentences.
#[must_use]
pub fn not_whole(names: [&str; 2], sides: [&Audit; 2]) -> Vec<String> {
    let both = names.into_iter().zip(sides);
    let lacking = both.filter(|(_, audit)| !audit.solved.key_off.missing.is_empty());
    let sentences = lacking.map(|(name, audit)| {
        let missing = audit.solved.key_off.missing.join(", ");
        format!("The draw {name} is not whole, for want of: {missing}.")
    });
    sentences.collect()
}

fn figures(audit: &Audit, show: Show, at: &str) -> Vec<(String, String)> {
    let key_off = &audit.solved.key_off;
    let parked = park(&audit.vehicle, key_off);
    let count = Count::of(&audit.report);
    let unknown = || "not known".to_owned();
    let range = show.range(key_off.range);
    let here = parked.starter().and_then(|bank| bank.here.as_ref());
    let mut rows = vec![
        ("Draw with the key off".to_owned(), show.one(key_off.draw)),
        (
            "its range".to_owned(),
            if range.is_empty() {
                show.one(key_off.draw)
            } else {
                range
            },
        ),
        (
            "Simple sum, down to an empty battery".to_owned(),
            key_off.simple.map_or_else(unknown, |time| show.one(time)),
        ),
        (
            format!("Days until it no longer starts, at {at}"),
            here.map_or_else(unknown, |here| {
                format!(
                    "{} ({} to {})",
                    digits(here.days.likely, 3),
                    digits(here.days.low, 3),
                    digits(here.days.high, 3)
                )
            }),
        ),
    ];
    let counts = [
        ("Errors", count.errors),
        ("Warnings", count.warnings),
        ("Notes", count.notes),
        ("Could not be judged", audit.report.gaps.len()),
    ];
    rows.extend(counts.map(|(what, count)| (what.to_owned(), count.to_string())));
    rows
}
