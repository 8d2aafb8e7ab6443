//! What `keyoff park --format json` prints.

use serde::Serialize;

use super::{Assumed, BatteryDraw, Document, FuseDraw, PartDraw, RunsOn};

/// Standing with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Park {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Likely current out of the battery that starts the engine and those joined to it, settled; of several in series, out of
    /// the one that is empty first.
    pub draw_a: f64,
    /// The least.
    pub draw_low_a: f64,
    /// The most.
    pub draw_high_a: f64,
    /// Facts that would be needed for whole figures.
    pub missing: Vec<String>,
    /// Everything that draws. Largest first.
    pub by_part: Vec<PartDraw>,
    /// What a meter would lose if a fuse were pulled. Largest first.
    pub by_fuse: Vec<FuseDraw>,
    /// Of each battery.
    pub by_battery: Vec<BatteryDraw>,
    /// Capacity over draw, in hours; null where nothing draws or the capacity is not stated.
    pub simple_hours: Option<f64>,
    /// The same in days.
    pub simple_days: Option<f64>,
    /// What is drawn before everything has settled, soonest over first; empty where that is no other than later.
    pub runs_on: Vec<RunsOn>,
    /// What happens from key-off on, until the engine would no longer start.
    pub timeline: Vec<Event>,
    /// When the engine would no longer start, in hours from key-off; null where that is not within 400 days or not known.
    pub ends_h: Option<f64>,
    /// How long it stands at several temperatures, coldest first; empty where a fact for it is not stated.
    pub standing: Vec<StandingAt>,
    /// Whether it starts after a time; null where no time was asked for and the record states none, or where a fact for it is
    /// not stated.
    pub starts: Option<Starts>,
    /// Values that were taken because the record does not give them.
    pub assumed: Vec<Assumed>,
}

/// Something that changes the draw.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Event {
    /// Hours from key-off.
    pub at_h: f64,
    /// Current out of the battery that starts the engine from then on.
    pub draw_a: f64,
    /// What happens.
    pub event: String,
}

/// How long it stands at one temperature.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct StandingAt {
    /// The temperature.
    pub at_c: f64,
    /// Charge that may be used.
    pub usable_ah: f64,
    /// Share of the charge that has to stay; above 1 the engine does not start even from a full battery.
    pub floor: f64,
    /// What sets the floor: `rule`, `cranking` or `freezing`.
    pub floor_by: FloorBy,
    /// The least days: no combination of the inputs gives less.
    pub days_low: f64,
    /// The days with every input at its likely value.
    pub days_likely: f64,
    /// The most days: no combination gives more.
    pub days_high: f64,
    /// Days below which 5 % of random samples of the inputs lie.
    pub days_p5: Option<f64>,
    /// Days below which half of them lie.
    pub days_p50: Option<f64>,
    /// Days below which 95 % of them lie.
    pub days_p95: Option<f64>,
    /// The inputs whose ranges move the likely figure most.
    pub moved_by: Vec<String>,
}

/// What the floor comes from.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum FloorBy {
    /// Half a charge.
    Rule,
    /// Cranking the engine.
    Cranking,
    /// The freezing point of the acid.
    Freezing,
}

/// Whether it starts.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// In every combination of the inputs.
    Yes,
    /// In none.
    No,
    /// It depends on inputs within their ranges, or on one that is not stated.
    Depends,
}

/// The answer to "will it start?".
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Starts {
    /// After so many days.
    pub after_days: f64,
    /// At this temperature.
    pub at_c: f64,
    /// The answer.
    pub verdict: Verdict,
    /// Share of the charge that is left with likely values.
    pub charge_left: f64,
    /// The least that may be left.
    pub charge_left_low: f64,
    /// The most that may be left.
    pub charge_left_high: f64,
    /// Share that has to be left.
    pub floor: f64,
}
