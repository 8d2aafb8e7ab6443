//! What `keyoff explain --format json` prints.

use serde::Serialize;

use super::{Harm, Level};

/// Checks, in the order of the checks page.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Checks {
    /// Number of the format: 1.
    pub format: u32,
    /// The checks asked for.
    pub checks: Vec<Check>,
}

/// One check.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Check {
    /// Its name.
    pub name: String,
    /// Its usual level.
    pub level: Level,
    /// What it can do.
    pub harm: Harm,
    /// What it looks for, one line.
    pub summary: String,
    /// Its page, in Markdown.
    pub page: String,
}
