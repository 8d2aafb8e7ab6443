//! The checks: their list, and the page of one.

use crate::check::Meta;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::render::words;

/// All checks in one table.
#[must_use]
pub fn list(checks: &[&Meta], look: Look) -> String {
    let mut page = Page::new(look);
    let rows = checks
        .iter()
        .map(|check| {
            vec![
                check.name.to_owned(),
                words::level(check.level).to_owned(),
                words::harm(check.harm).to_owned(),
                check.summary.to_owned(),
            ]
        })
        .collect();
    page.table(
        0,
        &[
            Column::Words("Check"),
            Column::Words("Level"),
            Column::Words("Harm"),
            Column::Words("What it looks for"),
        ],
        rows,
    );
    page.blank();
    page.line(
        0,
        "`keyoff explain NAME` tells how each is decided, with its source and an example.",
    );
    page.into_text()
}

/// The page of a check, as it stands in the book, and what its tables hold that was not read in a publication.
#[must_use]
pub fn page(check: &Meta) -> String {
    check.explained()
}
