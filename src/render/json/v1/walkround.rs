//! What `keyoff walkround --format json` prints.

use serde::Serialize;

use super::{Document, Key, Level};

/// The sheet to carry round the vehicle.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WalkRound {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Facts that are not stated, those that settle most first.
    pub first: Vec<Unknown>,
    /// Of these, what is asked of papers, plates and people.
    pub ask: Vec<Unknown>,
    /// Places in the order of the round.
    pub stops: Vec<Stop>,
}

/// A fact that is not stated.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Unknown {
    /// The fact.
    pub fact: String,
    /// What it is about: the ends and colour of a wire, the words of a part; may be empty.
    pub about: String,
    /// What it means.
    pub meaning: String,
    /// How many verdicts it would settle, alone or together with others.
    pub settles: usize,
    /// Of these, how many wait for it alone.
    pub alone: usize,
    /// By which checks.
    pub checks: Vec<String>,
}

/// One place.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Stop {
    /// In the record's words; empty where it does not say.
    pub place: String,
    /// Its zone.
    pub zone: ZoneOfStop,
    /// Facts to look for.
    pub look: Vec<Unknown>,
    /// Ends that are bare and live.
    pub live_ends: Vec<BareEnd>,
    /// What to mend, the worst first.
    pub mend: Vec<ToMend>,
    /// What the record has here.
    pub there: Vec<ThereIs>,
}

/// A zone.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ZoneOfStop {
    /// Outside.
    Exterior,
    /// Under the hood.
    EngineBay,
    /// In the cab or body.
    Cabin,
}

/// A bare end that is live.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BareEnd {
    /// The terminal.
    pub at: String,
    /// Positions of the key in which it is live.
    pub hot_in: Vec<Key>,
}

/// Something to mend.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ToMend {
    /// The check.
    pub check: String,
    /// How bad it is.
    pub level: Level,
    /// What is wrong.
    pub message: String,
    /// What to do.
    pub help: String,
}

/// A part that the record has.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ThereIs {
    /// The part.
    pub part: String,
    /// Wires that the record has on it, of a battery's positive post, a bar, a stud or a ground; null for others.
    pub rings: Option<usize>,
}
