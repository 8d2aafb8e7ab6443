//! What `keyoff hunt --format json` prints.

use serde::Serialize;

use super::{Assumed, Document};

/// Where an unknown draw is.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Hunt {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// How far the hunt is.
    pub stage: HuntStage,
    /// What to do next and why, in one sentence.
    pub say: String,
    /// What that asks of the meter and of whoever holds it.
    pub heed: Vec<String>,
    /// The whole current; null where no reading of it can be used.
    pub measured_a: Option<f64>,
    /// Number of the reading that it is from.
    pub measured_in: Option<usize>,
    /// What the record explains of it, the vehicle's own draw included.
    pub explained_a: Option<f64>,
    /// The least that it explains.
    pub explained_low_a: Option<f64>,
    /// The most that it explains.
    pub explained_high_a: Option<f64>,
    /// What is left over.
    pub unexplained_a: Option<f64>,
    /// The readings, in the order of the record.
    pub readings: Vec<HuntReading>,
    /// Places with more than a trace of suspicion, the likeliest first.
    pub suspects: Vec<HuntSuspect>,
    /// How likely it is that nothing unknown is drawn beyond what was found.
    pub nothing_more: f64,
    /// The next handling and reading; null where there is none to take.
    pub next: Option<HuntNext>,
    /// What was found, the largest; null where nothing was.
    pub located: Option<HuntLocated>,
    /// What else was found.
    pub also_located: Vec<HuntLocated>,
    /// Readings that cannot be used or reconciled.
    pub problems: Vec<HuntProblem>,
    /// Fuses across which nothing showed and behind which the draw can hide all the same.
    pub unproven: Vec<HuntUnproven>,
    /// What has to be used once before measuring, so that what holds itself in is in.
    pub use_first: Vec<String>,
    /// Values that were taken because the record does not give them.
    pub assumed: Vec<Assumed>,
}

/// How far a hunt is.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum HuntStage {
    /// There is no reading of the whole current that can be used.
    NotMeasured,
    /// The last reading was taken with something awake.
    Awake,
    /// The last reading contradicts another.
    Contradicted,
    /// The record explains all that the meter shows.
    Explained,
    /// The meter shows less than the record says is drawn.
    Less,
    /// Somewhere behind several fuses, or past them.
    Hunting,
    /// At one place.
    Located,
}

/// A reading as the hunt sees it.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntReading {
    /// Its number in the record, from 1.
    pub reading: usize,
    /// The fuse whose current it is; null for the whole current and for what the hunt does not use.
    pub fuse: Option<String>,
    /// Fuses that were out.
    pub out: Vec<String>,
    /// The current that was shown, or that follows from the fuse's likely resistance; null where it is none.
    pub current_a: Option<f64>,
    /// Between this…
    pub low_a: Option<f64>,
    /// …and this it lay.
    pub high_a: Option<f64>,
    /// What the record explains of it.
    pub explained_a: Option<f64>,
    /// Why it is not used; null where it is.
    pub unused: Option<String>,
}

/// A place where the draw can be.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntSuspect {
    /// The fuse that it is behind, with no further fuse between; null for what flows past all fuses.
    pub fuse: Option<String>,
    /// How likely an unknown draw is there; there may be two at once, so that these may add up to more than one.
    pub probability: f64,
    /// Its share of the suspicion: these add up to one over all places; null where it is found.
    pub share: Option<f64>,
    /// What it draws beyond what the record explains, if it is there.
    pub current_a: Between,
    /// Nothing else fits the readings.
    pub found: bool,
}

/// Two ends.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Between {
    /// The least.
    pub low: f64,
    /// The most.
    pub high: f64,
}

/// The next step.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntNext {
    /// Fuses to put back first.
    pub refit: Vec<String>,
    /// Fuses to pull, all before the one reading.
    pub pull: Vec<String>,
    /// The fuse to read across; null for the whole current.
    pub across: Option<String>,
    /// How long to wait before the reading; null where nothing is likely to have woken.
    pub wait_min: Option<f64>,
    /// Share of the suspicion on what goes dark, or behind the fuse that is read across.
    pub share: f64,
    /// What the meter should show, as a current, if the draw is not there.
    pub elsewhere_a: f64,
    /// What it should show if it is.
    pub there_a: f64,
    /// Fuses still to be handled on average, this step included.
    pub expected_pulls: f64,
    /// Readings still to be taken on average.
    pub expected_readings: f64,
    /// Work on average: one for each fuse handled, one for each reading, one for each minute of waiting.
    pub expected_work: f64,
    /// The line to add under `readings:`, its value left open.
    pub line: String,
}

/// Something found.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntLocated {
    /// The fuse; null for what flows past all fuses.
    pub fuse: Option<String>,
    /// What is drawn there beyond what the record explains.
    pub current_a: f64,
    /// The least.
    pub low_a: f64,
    /// The most.
    pub high_a: f64,
    /// Parts that it can be, the best match first.
    pub parts: Vec<HuntPart>,
    /// Wires to follow, nearest to the fuse first.
    pub wires: Vec<String>,
    /// Generic equipment that draws about so much.
    pub like: Vec<String>,
    /// What the meter should show when the suspect is unplugged.
    pub expect: String,
    /// What can flow past all fuses, where it does.
    pub past: Vec<String>,
}

/// A part that a draw can be.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntPart {
    /// The part; a relay stands for its coil.
    pub part: String,
    /// How it would come to draw it.
    pub how: String,
    /// What it would draw beyond what the record explains; null where the record does not say.
    pub possible_a: Option<f64>,
    /// How well that matches, from 0 to 1.
    #[serde(rename = "match")]
    pub match_: f64,
}

/// A reading that cannot be used or reconciled.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntProblem {
    /// Its number in the record, from 1.
    pub reading: usize,
    /// The reading that it cannot be reconciled with.
    pub against: Option<usize>,
    /// `woken`, `not-settled` or `contradicts`.
    pub kind: HuntProblemKind,
    /// One sentence.
    pub message: String,
}

/// Kinds of problems.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum HuntProblemKind {
    /// It rose with no more fuses in.
    Woken,
    /// Later less was drawn with no fewer fuses in.
    NotSettled,
    /// It cannot be, beside another reading.
    Contradicts,
}

/// A zero that clears nothing.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HuntUnproven {
    /// The fuse.
    pub fuse: String,
    /// The least current that would have shown for sure.
    pub floor_a: f64,
}
