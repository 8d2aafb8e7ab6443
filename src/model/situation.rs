//! Key, engine, switches, and the situations a record names.

use std::collections::BTreeSet;
use std::sync::Arc;

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
    /// Springs back to the position it is left in.
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

impl From<Arc<Setting>> for Setting {
    /// One of its own, of one that others share.
    fn from(shared: Arc<Setting>) -> Self {
        Arc::unwrap_or_clone(shared)
    }
}

impl Setting {
    /// Whether it names a switch: alone, or with its position.
    #[must_use]
    pub fn moves(&self, unit: &SwitchUnit) -> bool {
        let mut names = self.closed.iter().chain(&self.opened);
        names.any(|name| {
            let rest = name.strip_prefix(unit.label.as_str());
            rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(" ("))
        })
    }

    /// Names a switch that is not as it is left.
    pub fn switch(&mut self, unit: &SwitchUnit, position: u8) {
        if unit.positions.len() > 2 {
            let name = unit.positions.get(position as usize);
            let name = name.map_or("another position", String::as_str);
            self.closed.push(format!("{} ({name})", unit.label));
        } else if position == unit.on {
            self.closed.push(unit.label.clone());
        } else {
            self.opened.push(unit.label.clone());
        }
    }

    /// Adds words on what else has to be so.
    pub fn add(&mut self, words: &str) {
        match &mut self.also {
            Some(already) => {
                already.push_str(", ");
                already.push_str(words);
            }
            None => self.also = Some(words.to_owned()),
        }
    }

    /// Whether everything that another setting asks for is so in this one.
    #[must_use]
    pub fn includes(&self, other: &Self) -> bool {
        let all = |own: &[String], other: &[String]| other.iter().all(|one| own.contains(one));
        let also = other.also.is_none() || other.also == self.also;
        other.key.is_none_or(|key| self.key == Some(key))
            && all(&self.closed, &other.closed)
            && all(&self.opened, &other.opened)
            && other.situation == self.situation
            && also
    }

    /// How many things a person has to do to come to it.
    #[must_use]
    pub fn changes(&self) -> usize {
        let key = self.key.is_some_and(|key| key != Key::Off);
        let also = self.also.iter().flat_map(|also| also.split(", ")).count();
        let situation = usize::from(self.situation.is_some());
        usize::from(key) + self.closed.len() + self.opened.len() + also + situation
    }
}
