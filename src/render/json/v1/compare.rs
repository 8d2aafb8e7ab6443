//! What `keyoff compare --format json` prints.

use serde::Serialize;

use super::{Document, Level, Side};

/// Two records held against each other.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Compare {
    /// Number of the format: 1.
    pub format: u32,
    /// The first record.
    pub a: Document,
    /// The second record.
    pub b: Document,
    /// Keys under `vehicle:` that read otherwise.
    pub vehicle: Vec<KeyChange>,
    /// Parts, by name.
    pub parts: Changes,
    /// Wires, by what they join.
    pub wires: Changes,
    /// Situations, by name.
    pub situations: Changes,
    /// Findings.
    pub findings: FindingChanges,
    /// Parts whose draw with the key off differs, the largest difference first.
    pub draws: Vec<DrawChange>,
    /// What each situation takes.
    pub loads: Vec<LoadChange>,
    /// Figures of the first.
    pub before: Side,
    /// Figures of the second.
    pub after: Side,
}

/// What is in one only, and what reads otherwise.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Changes {
    /// Only in the first.
    pub only_a: Vec<String>,
    /// Only in the second.
    pub only_b: Vec<String>,
    /// In both, with keys that read otherwise.
    pub changed: Vec<Changed>,
}

/// A thing that reads otherwise.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Changed {
    /// Its name in the second.
    pub name: String,
    /// Its keys.
    pub keys: Vec<KeyChange>,
}

/// A key that reads otherwise.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct KeyChange {
    /// The key; of one within another, both with a point between.
    pub key: String,
    /// As written in the first; null where it is not there.
    pub a: Option<String>,
    /// As written in the second.
    pub b: Option<String>,
}

/// Findings that came and went.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FindingChanges {
    /// Only in the first.
    pub only_a: Vec<Raised>,
    /// Only in the second.
    pub only_b: Vec<Raised>,
    /// How many are in both.
    pub both: usize,
}

/// A finding in short.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Raised {
    /// The check.
    pub check: String,
    /// How bad it is.
    pub level: Level,
    /// Parts and wires that it is about.
    pub subjects: Vec<String>,
    /// What it says.
    pub message: String,
}

/// A draw with the key off that differs.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DrawChange {
    /// The part.
    pub part: String,
    /// In the first.
    pub a_a: f64,
    /// In the second.
    pub b_a: f64,
}

/// What a situation takes in each; null where a record does not have it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LoadChange {
    /// The situation.
    pub name: String,
    /// In the first.
    pub a: Option<LoadSide>,
    /// In the second.
    pub b: Option<LoadSide>,
}

/// What a situation takes.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LoadSide {
    /// What everything takes together.
    pub load_a: f64,
    /// The same, weighted by duty.
    pub average_a: f64,
    /// What the alternators give; null without one.
    pub alternator_a: Option<f64>,
    /// Current out of the battery that starts the engine; negative where it is charged.
    pub battery_a: f64,
    /// Whether all draws that make it up are stated; else it is at least so much.
    pub whole: bool,
}
