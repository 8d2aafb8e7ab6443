//! Key, engine, switches, and the situations a record names.

use std::collections::BTreeSet;

use super::fact::Fact;
use super::vehicle::PartId;
use crate::quantity::{Celsius, Fraction, Rpm, Seconds};
use crate::source::Span;

/// Position of the key.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
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

impl Key {
    /// All four.
    pub const ALL: [Self; 4] = [Self::Off, Self::Accessory, Self::Run, Self::Start];

    /// As written in a record.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Off => "off",
            Self::Accessory => "accessory",
            Self::Run => "run",
            Self::Start => "start",
        }
    }
}

/// What the engine does.
#[derive(Clone, Copy, PartialEq, PartialOrd, Debug)]
pub enum Engine {
    /// Not running.
    Stopped,
    /// At idle.
    Idle,
    /// At road or work speed.
    Cruise,
    /// At this speed.
    Speed(Rpm),
}

impl Engine {
    /// Whether it runs.
    #[must_use]
    pub fn runs(self) -> bool {
        match self {
            Self::Stopped => false,
            Self::Idle | Self::Cruise => true,
            Self::Speed(rpm) => rpm.0 > 0.0,
        }
    }
}

/// Something with positions that a person sets: a switch, a disconnect, a driver-switched feed or output.
#[derive(Clone, PartialEq, Debug)]
pub struct SwitchUnit {
    /// The part.
    pub part: PartId,
    /// As output names it: `S1`, or `C1.OUT2`.
    pub label: String,
    /// Names of its positions; of a plain switch `open` and `closed`, in that order.
    pub positions: Vec<String>,
    /// How it is found when parked; `open` where not stated (a disconnect: `closed`).
    pub left: u8,
    /// Whether the record states `left`.
    pub left_stated: bool,
    /// Position taken in `all on`; of several that conduct, each is explored.
    pub on: u8,
    /// Springs back: never left closed.
    pub momentary: bool,
    /// A disconnect.
    pub disconnect: bool,
}

/// One situation to solve.
#[derive(Clone, PartialEq, Debug)]
pub struct Situation {
    /// Its name.
    pub name: String,
    /// Key position.
    pub key: Key,
    /// Engine.
    pub engine: Engine,
    /// Position of each of the vehicle's switches, in their order.
    pub positions: Vec<u8>,
    /// Modes of parts.
    pub modes: Vec<(PartId, String)>,
    /// Duty of parts in this situation.
    pub duty: Vec<(PartId, Fact<Fraction>)>,
    /// Temperature around, instead of the climate's.
    pub ambient: Option<Fact<Celsius>>,
    /// How long it lasts.
    pub lasts: Option<Fact<Seconds>>,
    /// Shore power connected.
    pub shore: bool,
    /// `detach` groups that are unplugged.
    pub detached: BTreeSet<String>,
    /// Its entry in the record; nothing for the two that are always there.
    pub at: Option<Span>,
    /// Phases of a shift, in order: whole situations of their own, what they do not state taken from this one. Empty where it
    /// is the same all the time.
    pub phases: Vec<Situation>,
}

/// The smallest setting that shows a finding; empty where it shows as the vehicle is left or in every setting.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Setting {
    /// Key position, where it matters.
    pub key: Option<Key>,
    /// Switches that have to be closed, by their labels.
    pub closed: Vec<String>,
    /// Switches that have to be open, by their labels.
    pub opened: Vec<String>,
    /// Name of the situation in which it was seen, where one was given.
    pub situation: Option<String>,
    /// Words for what else has to be so: `after the engine ran with everything on`.
    pub also: Option<String>,
}
