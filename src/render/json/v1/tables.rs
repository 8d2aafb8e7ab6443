//! What `keyoff tables --format json` prints.

use serde::Serialize;

/// Published values in use.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Tables {
    /// Number of the format: 1.
    pub format: u32,
    /// The tables asked for.
    pub tables: Vec<Table>,
}

/// One table.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Table {
    /// Its name.
    pub name: String,
    /// What it holds.
    pub title: String,
    /// Headings of its columns, with their units.
    pub columns: Vec<String>,
    /// Its rows, with as many cells as there are columns.
    pub rows: Vec<Vec<String>>,
    /// Where its values are published.
    pub sources: Vec<String>,
}
