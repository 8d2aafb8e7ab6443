//! What `keyoff audit --format json` prints.

use serde::Serialize;

use super::{Document, LabelledPlace, Place};

/// The audit of one record. Arrays are in a stable order: findings with the worst first.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Audit {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// How many of what.
    pub summary: Summary,
    /// Faults shown, by harm, then level, then place in the record, then check.
    pub findings: Vec<Finding>,
    /// What could not be judged, because a fact is not stated.
    pub not_checked: Vec<NotChecked>,
    /// Values that were taken because the record does not give them.
    pub assumed: Vec<Assumed>,
    /// What is drawn with the key off.
    pub key_off: KeyOff,
    /// Every situation, solved.
    pub situations: Vec<Situation>,
    /// How many settings of the switches were looked at.
    pub explored: Explored,
}

/// Counts. What the record accepts counts under `accepted` only.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Summary {
    /// Findings of level error.
    pub errors: usize,
    /// Findings of level warning.
    pub warnings: usize,
    /// Findings of level note.
    pub notes: usize,
    /// Findings that the record accepts.
    pub accepted: usize,
    /// Subjects that got a verdict: a fault is shown, or none is shown by these inputs.
    pub checked: usize,
    /// Subjects that could not be judged.
    pub not_checked: usize,
}

/// One fault.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Finding {
    /// The check that shows it; `keyoff explain NAME` says what it looks for.
    pub check: String,
    /// How bad it is.
    pub level: Level,
    /// What it can do.
    pub harm: Harm,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Parts that it is about, the one at fault first.
    pub parts: Vec<String>,
    /// Wires that it is about, the one at fault first.
    pub wires: Vec<String>,
    /// The smallest setting that shows it; null where it shows as the vehicle is left, or in every setting.
    pub setting: Option<Setting>,
    /// The setting in which `value` was found, where that is another than `setting`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub worst_setting: Option<Setting>,
    /// What was found.
    pub value: Option<Amount>,
    /// What it may be.
    pub limit: Option<Amount>,
    /// Book, table and row of the limit.
    pub source: String,
    /// The arithmetic, step by step.
    pub why: Vec<Step>,
    /// The words at fault.
    pub at: Place,
    /// Further places.
    pub also: Vec<LabelledPlace>,
    /// Why the record wants it so; null where it does not say so.
    pub accepted: Option<String>,
}

/// How bad a finding is.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// Can burn, strand or break the law.
    Error,
    /// Will annoy or wear out.
    Warning,
    /// Worth knowing.
    Note,
}

/// What a finding can do.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Harm {
    /// Can burn.
    Fire,
    /// Leaves somebody stranded, or breaks the law.
    Stranded,
    /// Damages equipment.
    Damage,
    /// Annoys.
    Nuisance,
    /// The record is lacking.
    Record,
}

/// Position of the key.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Key {
    /// Off and out.
    Off,
    /// Accessory.
    Accessory,
    /// Run.
    Run,
    /// Start: held while cranking.
    Start,
}

/// A setting of the vehicle.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Setting {
    /// Position of the key; null where it does not matter.
    pub key: Option<Key>,
    /// Switches that have to be closed.
    pub closed: Vec<String>,
    /// Switches that have to be open.
    pub opened: Vec<String>,
    /// The situation in which it was seen.
    pub situation: Option<String>,
    /// What else has to be so, in words.
    pub also: Option<String>,
}

/// A number with its unit.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Amount {
    /// The number.
    pub amount: f64,
    /// Its unit.
    pub unit: String,
}

/// One step of the arithmetic.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Step {
    /// What is computed, with its numbers.
    pub step: String,
    /// Where they are from.
    pub source: String,
}

/// Something that could not be judged.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NotChecked {
    /// The check.
    pub check: String,
    /// Parts that it is about.
    pub parts: Vec<String>,
    /// Wires that it is about.
    pub wires: Vec<String>,
    /// Facts that are not stated, as `w3.length`.
    pub missing: Vec<String>,
}

/// A value that was taken because the record does not give it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Assumed {
    /// What it is.
    pub what: String,
    /// The part or wire that lacks the fact.
    pub subject: String,
    /// The key that would state it.
    pub key: String,
    /// What was taken.
    pub amount: f64,
    /// The least that it may be.
    pub low: f64,
    /// The most that it may be.
    pub high: f64,
    /// Its unit.
    pub unit: String,
    /// Where it is published, or `common practice, no source`.
    pub source: String,
}

/// What is drawn with the key off, as the vehicle is left, after everything has settled.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct KeyOff {
    /// Likely current out of the battery that starts the engine and those that are joined to it; of several in series, out of
    /// the one that is empty first.
    pub draw_a: f64,
    /// The least.
    pub draw_low_a: f64,
    /// The most.
    pub draw_high_a: f64,
    /// Facts that would be needed for a whole figure; the draw is without them.
    pub missing: Vec<String>,
    /// Everything that draws: loads, controllers, coils, cutoffs, delays. Largest first.
    pub by_part: Vec<PartDraw>,
    /// What a meter would lose if a fuse were pulled. Largest first.
    pub by_fuse: Vec<FuseDraw>,
    /// Capacity over draw, in hours; null where nothing draws or the capacity is not stated.
    pub simple_hours: Option<f64>,
    /// The same in days.
    pub simple_days: Option<f64>,
    /// Of each battery.
    pub by_battery: Vec<BatteryDraw>,
    /// How long the engine would still start; null where nothing draws or a fact for it is not stated.
    pub days_to_no_start: Option<NoStart>,
    /// What is drawn out of the battery that starts the engine before everything has settled, soonest over first; empty where
    /// that is no other than later. `days_to_no_start` is reckoned with it.
    pub runs_on: Vec<RunsOn>,
}

/// A stretch after the key goes off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RunsOn {
    /// When it is over, in hours since the key went off.
    pub until_h: f64,
    /// Likely current meanwhile.
    pub draw_a: f64,
}

/// What one part draws with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PartDraw {
    /// The part; a relay stands for its coil, `own-load` for the vehicle's own equipment.
    pub part: String,
    /// Its likely current.
    pub current_a: f64,
    /// The least.
    pub current_low_a: f64,
    /// The most.
    pub current_high_a: f64,
    /// It is fed ahead of the ignition feed: it can draw with the key off.
    pub ahead_of_ignition: bool,
    /// Only in this setting; null where it draws as the vehicle is left.
    pub only_if: Option<Setting>,
    /// Fuses and breakers that its current runs through, nearest first.
    pub protected_by: Vec<String>,
}

/// What one fuse carries with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FuseDraw {
    /// The fuse or breaker.
    pub fuse: String,
    /// What a meter would lose if it were pulled.
    pub current_a: f64,
}

/// What is drawn from one battery with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BatteryDraw {
    /// The battery.
    pub battery: String,
    /// Current out of it.
    pub draw_a: f64,
    /// Capacity over draw, in hours.
    pub simple_hours: Option<f64>,
    /// The same in days.
    pub simple_days: Option<f64>,
    /// How long it would hold out; null where it gives nothing or a fact for it is not stated.
    pub days_to_no_start: Option<NoStart>,
}

/// How long the engine would still start.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NoStart {
    /// At this temperature.
    pub at_c: f64,
    /// The least days.
    pub low: f64,
    /// The likely days.
    pub likely: f64,
    /// The most days.
    pub high: f64,
}

/// One situation, solved.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Situation {
    /// Its name; `parked` and `all on` are always there.
    pub name: String,
    /// Of a situation with phases: the one in which the alternator has least left, which the figures are of; but `average_a` is
    /// that over all of it. Null where it has no phases.
    pub worst_phase: Option<String>,
    /// Position of the key.
    pub key: Key,
    /// `stopped`, `idle`, `cruise`, or a speed as `1400 rpm`.
    pub engine: String,
    /// Current of the alternators; 0 without one.
    pub alternator_a: f64,
    /// The most that they give at this engine speed; null without one, or where their output is not stated.
    pub alternator_limit_a: Option<f64>,
    /// Current of the battery that starts the engine, positive when it gives; 0 without one.
    pub battery_a: f64,
    /// Of each battery.
    pub batteries: Vec<BatteryCurrent>,
    /// What everything takes together, what stands behind a converter by the converter's input.
    pub load_a: f64,
    /// The same, weighted by duty.
    pub average_a: f64,
    /// Voltages against the chassis of every terminal; 0 where no source reaches it.
    pub terminals: Vec<TerminalVoltage>,
    /// Everything that takes current.
    pub parts: Vec<PartCurrent>,
    /// Every wire of the record.
    pub wires: Vec<WireCurrent>,
    /// Draws of what is supplied here that are not stated: the sums are without them, and so at least so much.
    pub missing: Vec<String>,
    /// Why the figures of this situation are not to be relied on; null where nothing speaks against them.
    pub trouble: Option<String>,
}

/// Current of one battery.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BatteryCurrent {
    /// The battery.
    pub battery: String,
    /// Positive when it gives.
    pub current_a: f64,
    /// Between its posts.
    pub voltage_v: f64,
}

/// Voltage of one terminal.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TerminalVoltage {
    /// The terminal.
    pub at: String,
    /// Against the chassis.
    pub voltage_v: f64,
}

/// Current of one part.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PartCurrent {
    /// The part.
    pub part: String,
    /// Its current.
    pub current_a: f64,
    /// Across it.
    pub voltage_v: f64,
}

/// Current of one wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireCurrent {
    /// The wire.
    pub wire: String,
    /// Positive from its `from` to its `to`.
    pub current_a: f64,
    /// Lost along it.
    pub drop_v: f64,
    /// What it carries by the table in use; null where its size or insulation is not stated.
    pub ampacity_a: Option<f64>,
}

/// How many settings of the switches were looked at.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Explored {
    /// Settings looked at.
    pub settings: u64,
    /// Of how many.
    pub of: u64,
    /// Whether all were.
    pub complete: bool,
    /// Whether each circuit was looked at between the ends of what the others can do. False in a vehicle so large that many
    /// circuits were looked at at once: what is live and what switches what is exact all the same, the worst current of one
    /// circuit can be off by what the wires lose that it shares with others.
    pub exact: bool,
}
