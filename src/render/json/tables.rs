//! Tables in the shape of format 1.

use super::v1;
use crate::table::TableView;

/// The tables asked for.
#[must_use]
pub fn tables(views: &[TableView]) -> v1::Tables {
    v1::Tables {
        format: v1::FORMAT,
        tables: views
            .iter()
            .map(|view| v1::Table {
                name: view.name.to_owned(),
                title: view.title.to_owned(),
                columns: view.columns.clone(),
                rows: view.rows.clone(),
                sources: view.sources.clone(),
            })
            .collect(),
    }
}
