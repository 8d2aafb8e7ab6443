//! What `keyoff size --format json` prints.

use serde::Serialize;

/// Fuse and wire for a load.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Size {
    /// Number of the format: 1.
    pub format: u32,
    /// Running current in ampere.
    pub draw_a: f64,
    /// Wire from the fuse to the load, in metre.
    pub out_m: f64,
    /// Return wire, in metre; 0 where the chassis is the return.
    pub back_m: f64,
    /// Nominal voltage.
    pub system_v: f64,
    /// The fuse; null where none that is made is large enough.
    pub fuse: Option<SizedFuse>,
    /// The thinnest wire that fits; null where none does.
    pub wire: Option<SizedWire>,
    /// The next thinner size, and what it would cost; null where there is none.
    pub next_thinner: Option<SizedRow>,
    /// Every size, thinnest first.
    pub table: Vec<SizedRow>,
    /// The sum.
    pub why: Vec<SizedStep>,
    /// Documents that it rests on.
    pub sources: Vec<String>,
}

/// A fuse.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SizedFuse {
    /// Rating in ampere.
    pub rating_a: f64,
    /// Form as a record writes it.
    pub form: String,
}

/// The wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SizedWire {
    /// As a record writes it.
    pub size: String,
    /// What it carries in its place, in ampere.
    pub ampacity_a: f64,
    /// Drop out and back, in volt.
    pub drop_v: f64,
    /// Drop out and back over nominal voltage, in per cent.
    pub drop_percent: f64,
    /// `ampacity`, `drop`, `short` or `fuse`.
    pub decided_by: String,
}

/// One size.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SizedRow {
    /// As a record writes it.
    pub size: String,
    /// Whether it fits.
    pub fits: bool,
    /// What it carries in its place, in ampere.
    pub ampacity_a: f64,
    /// Drop out and back at the full draw, in volt; where it is no less than the supply, so much never flows.
    pub drop_v: f64,
    /// Why it does not fit, or `fits`.
    pub why: String,
}

/// One step of the sum.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct SizedStep {
    /// With numbers filled in.
    pub step: String,
    /// Where its numbers are from.
    pub source: String,
}
