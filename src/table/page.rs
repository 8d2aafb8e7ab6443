//! The tables as a page of the book.

use super::TableView;
use super::all;
use super::sources;

const OPENING: &str = "# Published values

Every number of this program that comes from a book, and the book. `keyoff tables NAME` prints one of these tables. A value
that stands in for a fact of the record is listed under \"assumed\" in the output, with its source. `(from memory)` marks
what was not read in its source and is to be checked before it is relied on; `(derived)` what was computed from rows that
were read; `common practice, no source` what everybody in the trade does and nobody has published. AWG numbers: 0 is 1/0,
-3 is 4/0.
";

/// The page as it stands in `docs/tables.md`.
#[must_use]
pub fn page() -> String {
    let mut text = OPENING.to_owned();
    for view in all() {
        section(&mut text, &view);
    }
    text.push_str("\n## Publications\n\n");
    line(
        &mut text,
        &["title", "table", "publisher"].map(str::to_owned),
    );
    line(&mut text, &["---"; 3].map(str::to_owned));
    for one in sources() {
        line(
            &mut text,
            &[one.title.clone(), one.table.clone(), one.publisher.clone()],
        );
    }
    text
}

fn section(text: &mut String, view: &TableView) {
    text.push_str(&format!("\n## {}\n\n{}.\n\n", view.name, view.title));
    line(text, &view.columns);
    line(text, &vec!["---".to_owned(); view.columns.len()]);
    for row in &view.rows {
        line(text, row);
    }
    text.push_str("\nSources:\n\n");
    for (at, source) in view.sources.iter().enumerate() {
        text.push_str(&format!("{}. {source}\n", at + 1));
    }
}

fn line(text: &mut String, cells: &[String]) {
    for cell in cells {
        text.push_str("| ");
        text.push_str(&cell.replace('|', "\\|"));
        text.push(' ');
    }
    text.push_str("|\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `REWRITE=1` writes it anew.
    #[test]
    fn the_page_of_the_book_is_current() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/tables.md");
        if std::env::var_os("REWRITE").is_some() {
            std::fs::write(&path, page()).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            kept == page(),
            "docs/tables.md is not that of src/table: run this test with REWRITE=1"
        );
    }
}
