//! What `keyoff hot`, `keyoff trace` and `keyoff matrix` print with `--format json`.

use serde::Serialize;

use super::Document;
use super::Explored;
use super::Key;
use super::Setting;

/// What is live with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Hot {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Wires, then studs, busbars, splices and wire ends; those without protection first.
    pub hot: Vec<HotLine>,
    /// How many settings of the switches were looked at.
    pub explored: Explored,
}

/// A conductor that is live with the key off.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HotLine {
    /// The wire; null for a point.
    pub wire: Option<String>,
    /// The stud, busbar, splice or wire end; null for a wire.
    pub point: Option<String>,
    /// Where a wire starts.
    pub from: Option<String>,
    /// Where it ends.
    pub to: Option<String>,
    /// Size of a wire; null where it is not stated, as all of the following.
    pub size: Option<String>,
    /// Length of a wire in metre.
    pub length_m: Option<f64>,
    /// Insulation as written.
    pub insulation: Option<String>,
    /// Words of `route`.
    pub route: Vec<String>,
    /// The bundle it lies in.
    pub bundle: Option<String>,
    /// Where it runs or sits.
    pub zone: String,
    /// When it is live: `always`, `just off` (for a time after the key is turned off), or `shore` (on shore power).
    pub when: HotWhen,
    /// The smallest setting; null where it is live as the vehicle is left.
    pub setting: Option<Setting>,
    /// Its voltage in it.
    pub voltage_v: f64,
    /// What flows through a wire as the vehicle is left; positive from its `from` to its `to`.
    pub parked_a: Option<f64>,
    /// By which ways it is live.
    pub routes: Vec<RouteLine>,
}

/// When something is live with the key off.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum HotWhen {
    /// Settled, on its own batteries.
    Always,
    /// For a time after the key is turned off.
    JustOff,
    /// On shore power.
    Shore,
}

/// A way from a source.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct RouteLine {
    /// The source.
    pub source: String,
    /// Wires and parts that it runs over, from the source on.
    pub way: Vec<String>,
    /// Protections on it, nearest to the source first; empty where there is none.
    pub protected_by: Vec<String>,
    /// Users of current that it runs through.
    pub through: Vec<String>,
}

/// When a point is live, from where, and what makes it dead.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Trace {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// The point as it was asked for.
    pub point: String,
    /// Its terminals: of a wire its two ends, of a part all of its own.
    pub terminals: Vec<TraceLine>,
    /// How many settings of the switches were looked at.
    pub explored: Explored,
}

/// One terminal.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TraceLine {
    /// The terminal.
    pub at: String,
    /// In each position of the key.
    pub keys: Vec<TraceKey>,
    /// What makes it dead; null where no setting makes it live.
    pub dead: Option<DeadBy>,
}

/// A terminal in one position of the key.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct TraceKey {
    /// What the position is called.
    pub name: String,
    /// The key.
    pub key: Key,
    /// Whether some setting makes it live.
    pub live: bool,
    /// The smallest such setting; null where it is live as everything is left, and where it is not live.
    pub setting: Option<Setting>,
    /// Its voltage in it.
    pub voltage_v: Option<f64>,
    /// By which ways.
    pub routes: Vec<RouteLine>,
}

/// What makes a terminal dead.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DeadBy {
    /// Pull, open or unplug all of these.
    pub open: Vec<String>,
    /// And take these sources off, since nothing that opens stands between them and the point.
    pub take_off: Vec<String>,
    /// With all of that, every setting was solved again and none makes it live.
    pub shown: bool,
    /// Users of current through which it stays live all the same.
    pub still_through: Vec<String>,
    /// Settings looked at for it.
    pub settings: u64,
}

/// Parts against states.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Matrix {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Positions of the key, then the situations.
    pub columns: Vec<MatrixColumn>,
    /// A row for each part that does anything, or each of its outputs and supplies.
    pub parts: Vec<MatrixRow>,
    /// How many settings of the switches were looked at.
    pub explored: Explored,
}

/// A state.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MatrixColumn {
    /// What it is called.
    pub name: String,
    /// Position of the key; null for a situation.
    pub key: Option<Key>,
}

/// A part.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MatrixRow {
    /// The part, with its output or supply where it has several.
    pub part: String,
    /// What it does in each column.
    pub cells: Vec<MatrixCell>,
}

/// What a part does in a state.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct MatrixCell {
    /// In a word.
    pub does: DoesWord,
    /// The smallest setting of the switches in which it does; null where it does as everything is left, and in situations.
    pub setting: Option<Setting>,
    /// Its current; null for positions of the key.
    pub current_a: Option<f64>,
}

/// What a part does.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum DoesWord {
    /// It works.
    On,
    /// It draws what it draws when parked.
    Asleep,
    /// It is on because of what was before.
    Latched,
    /// It has a voltage, but less than it needs.
    Weak,
    /// A relay that pulls in and lets go again and again.
    Chatters,
    /// It is off.
    Off,
    /// It cannot be judged: it is live and its draw is not stated, or not every setting was looked at.
    Unknown,
}
