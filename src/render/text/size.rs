//! Fuse and wire for a load, in words.

use super::Page;
use super::page::Column;
use crate::advise::size::Sized;
use crate::quantity::Units;
use crate::quantity::show::show;
use crate::render::json;
use crate::render::snippet::Look;
use crate::table::wire;

/// The answer, what decided it, and every size; with `why` the sum as well.
#[must_use]
pub fn size(sized: &Sized, why: bool, units: Units, look: Look) -> String {
    let need = &sized.need;
    let mut page = Page::new(look);
    let back = if need.back.0 > 0.0 {
        format!("and {} back", show(need.back, units))
    } else {
        "and back by the chassis".to_owned()
    };
    page.line(
        0,
        &format!(
            "{} at {}, {} out {back}, {:.0} C insulation, {} around the wire",
            show(need.draw, units),
            show(need.system, units),
            show(need.out, units),
            need.class.0,
            show(need.ambient, units)
        ),
    );
    page.blank();
    match sized.fuse {
        Some((form, rating)) => {
            let words = page.strong(&format!("{}, {}", show(rating, units), form.name()));
            page.line(0, &format!("Fuse: {words}"));
        }
        None => page.line(
            0,
            "Fuse: none that is made is large enough; split the load.",
        ),
    }
    match sized.chosen {
        Some(at) => {
            let row = &sized.table[at];
            let by = sized.decided_by.map_or("", |by| by.name());
            let words = page.strong(&wire::label(row.size));
            page.line(
                0,
                &format!(
                    "Wire: {words}, which carries {} and drops {} ({:.1} %); decided by the {by}",
                    show(row.ampacity, units),
                    show(row.drop, units),
                    row.drop.0 / need.system.0 * 100.0
                ),
            );
            if let Some(thinner) = at.checked_sub(1).map(|at| &sized.table[at]) {
                page.line(
                    0,
                    &format!(
                        "The next cheaper, {}, would drop {} more, and: {}.",
                        wire::label(thinner.size),
                        show(thinner.drop - row.drop, units),
                        json::size::why(thinner)
                    ),
                );
            }
        }
        None => page.line(0, "Wire: no size in the table fits; split the load."),
    }
    page.heading("Every size");
    let rows = sized.table.iter().map(|row| {
        vec![
            wire::label(row.size),
            show(row.ampacity, units),
            if row.drop.0 < need.system.0 {
                show(row.drop, units)
            } else {
                "all of it".to_owned()
            },
            json::size::why(row),
        ]
    });
    page.table(
        2,
        &[
            Column::Words("Size"),
            Column::Words("Carries"),
            Column::Words("Drops"),
            Column::Words("Why"),
        ],
        rows.collect(),
    );
    if why {
        page.heading("The sum");
        for step in &sized.why {
            page.item(2, 4, &format!("{} ({})", step.step, step.source));
        }
    }
    page.into_text()
}
