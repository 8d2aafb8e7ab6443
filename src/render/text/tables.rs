//! Published values: the list of tables, and one of them with its sources.

use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::page::Column;
use crate::table::TableView;

/// All tables by name.
#[must_use]
pub fn list(views: &[TableView], look: Look) -> String {
    let mut page = Page::new(look);
    let rows = views
        .iter()
        .map(|view| vec![view.name.to_owned(), view.title.to_owned()])
        .collect();
    let columns = [Column::Words("Table"), Column::Words("What it holds")];
    page.table(0, &columns, rows);
    page.blank();
    page.line(0, "`keyoff tables NAME` prints one with its sources.");
    page.into_text()
}

/// One table with its sources below it.
#[must_use]
pub fn one(view: &TableView, look: Look) -> String {
    let mut page = Page::new(look);
    let title = page.strong(view.title);
    page.line(0, &title);
    page.blank();
    let columns: Vec<Column<'_>> = view
        .columns
        .iter()
        .enumerate()
        .map(|(at, name)| {
            if figures(view, at) {
                Column::Figures(name)
            } else {
                Column::Words(name)
            }
        })
        .collect();
    page.table(0, &columns, view.rows.clone());
    page.heading("Sources");
    for (at, source) in view.sources.iter().enumerate() {
        page.marked(2, &format!("{}", at + 1), 6, source);
    }
    page.into_text()
}

/// Whether a column holds nothing but figures.
fn figures(view: &TableView, column: usize) -> bool {
    let mut cells = view
        .rows
        .iter()
        .filter_map(|row| row.get(column))
        .filter(|cell| !cell.is_empty())
        .peekable();
    cells.peek().is_some() && cells.all(|cell| cell.parse::<f64>().is_ok())
}
