//! What `keyoff budget --format json` prints.

use serde::Serialize;

use super::{Assumed, Document, Situation};

/// The load on the charging system in every situation.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Budget {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Every situation.
    pub situations: Vec<BudgetRow>,
    /// Situations with phases, followed from their start.
    pub shifts: Vec<Shift>,
    /// The load analysis over `all on`.
    pub analysis: Analysis,
    /// Values that were taken because the record does not give them.
    pub assumed: Vec<Assumed>,
}

/// One situation against the charging system.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BudgetRow {
    /// As in an audit.
    #[serde(flatten)]
    pub situation: Situation,
    /// What runs all the time: everything with a duty of 100 %.
    pub continuous_a: f64,
    /// The least that this is over the ranges of the draws.
    pub continuous_low_a: f64,
    /// The most.
    pub continuous_high_a: f64,
    /// The current when everything is on and the part with the largest inrush starts.
    pub peak_a: f64,
    /// The part that makes the peak; null where none does.
    pub peak_by: Option<String>,
    /// The least that the alternators can give at this speed; null where that is not stated.
    pub alternator_low_a: Option<f64>,
    /// The most.
    pub alternator_high_a: Option<f64>,
    /// What the alternators can give less the duty-weighted load: negative is a deficit that the battery gives. Null where
    /// the output is not stated.
    pub surplus_a: Option<f64>,
    /// Hours until the battery that starts the engine is down to its floor; null where it is not being drained, or a fact for
    /// it is not stated.
    pub hours_to_floor: Option<f64>,
    /// Hours of cruise that put back what was taken; null where nothing was, or a fact for it is not stated.
    pub cruise_hours_to_recover: Option<f64>,
    /// Power of everything that takes current, by part.
    pub power: Vec<Power>,
    /// Current and power through each feed.
    pub by_feed: Vec<Power>,
    /// Current and power through each fuse, breaker and fusible link.
    pub by_fuse: Vec<Power>,
}

/// Current and power of one part.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Power {
    /// The part.
    pub part: String,
    /// Its current.
    pub current_a: f64,
    /// Current times the voltage across it; of a feed or fuse, times the voltage behind it.
    pub power_w: f64,
}

/// The charge of the battery that starts the engine over a situation with phases.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Shift {
    /// The situation.
    pub name: String,
    /// Charge at the start and at the end of each phase.
    pub charge: Vec<ChargeAt>,
    /// The phases, in the order passed through.
    pub phases: Vec<Phase>,
    /// Hours from the start at which the floor was reached: 0 where the shift starts below it, null where it was not.
    pub reaches_floor_h: Option<f64>,
    /// Draws that are not stated, and so not in it.
    pub missing: Vec<String>,
}

/// A charge at a time.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ChargeAt {
    /// Hours from the start.
    pub at_h: f64,
    /// Share of a full charge.
    pub charge: f64,
}

/// One phase of a shift.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Phase {
    /// Its name.
    pub name: String,
    /// Net current into the battery that starts the engine.
    pub into_battery_a: f64,
}

/// The load analysis that public emergency-vehicle standards ask for: an analysis, not a certificate.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Analysis {
    /// Nameplate output of all alternators together; null where it is not stated.
    pub nameplate_a: Option<f64>,
    /// The least of their output at hot idle; null where it is not stated.
    pub idle_low_a: Option<f64>,
    /// The most.
    pub idle_high_a: Option<f64>,
    /// The vehicle's own load, and what the record says is required.
    pub minimum_continuous_a: f64,
    /// Everything with a duty of 100 %.
    pub total_continuous_a: f64,
    /// Each load that runs part of the time.
    pub intermittent: Vec<Intermittent>,
    /// Share of the reserve capacity that ten minutes of the minimum continuous load take with the engine stopped; null where
    /// a fact for it is not stated.
    pub reserve_share: Option<f64>,
    /// What to switch off, in this order, until the rest is carried at idle.
    pub shed: Vec<Shed>,
    /// Draws that are not stated, and so not in it.
    pub missing: Vec<String>,
}

/// A load that runs part of the time.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Intermittent {
    /// The part.
    pub part: String,
    /// Its current.
    pub current_a: f64,
    /// Share of the time that it runs.
    pub duty: f64,
}

/// Something to switch off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Shed {
    /// The part.
    pub part: String,
    /// What that saves.
    pub current_a: f64,
}
