//! What `keyoff audit --summary FILE.jsonl` writes, one line a vehicle.

use serde::Serialize;

use super::{Document, Harm, Level, NoStart, Place, Summary};

/// One vehicle of many. What could not be had because the record could not be read is null.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FleetRow {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// The worst level among its findings that the record does not accept.
    pub verdict: FleetVerdict,
    /// How many of what.
    pub summary: Option<Summary>,
    /// Likely current out of the battery that starts the engine with the key off.
    pub draw_a: Option<f64>,
    /// Facts that would be needed for the whole draw; it is without them.
    pub draw_lacks: Vec<String>,
    /// Capacity over draw, in days; null where nothing draws or the capacity is not stated.
    pub simple_days: Option<f64>,
    /// How long the engine would still start; null where nothing draws or a fact for it is not stated.
    pub days_to_no_start: Option<NoStart>,
    /// The worst finding that the record does not accept.
    pub worst: Option<Worst>,
    /// Why the record could not be used; null where it was audited.
    pub unreadable: Option<FirstFault>,
}

/// What an audit came to in one word.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum FleetVerdict {
    /// The record could not be used: nothing was audited.
    Unreadable,
    /// Errors.
    Error,
    /// Warnings at worst.
    Warning,
    /// Notes at worst.
    Note,
    /// Nothing was found by these inputs.
    Nothing,
}

/// The worst finding of a vehicle.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Worst {
    /// The check that shows it.
    pub check: String,
    /// How bad it is.
    pub level: Level,
    /// What it can do.
    pub harm: Harm,
    /// What is wrong.
    pub message: String,
    /// The words at fault.
    pub at: Place,
}

/// The first reason why a record could not be used.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FirstFault {
    /// What is wrong.
    pub message: String,
    /// The words at fault; null where the file itself could not be had.
    pub at: Option<Place>,
    /// How many faults there are in all.
    pub faults: usize,
}
