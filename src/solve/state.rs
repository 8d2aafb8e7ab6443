//! A setting of the vehicle, and what holds itself.

use std::collections::BTreeSet;

use crate::model::{BranchId, Engine, Key, PartId, Situation, Vehicle};
use crate::quantity::{Seconds, Volts};
use crate::read::document::Kind;

/// Everything that a person or the surroundings decide. Relays, cutoffs, delays and controllers are consequences.
#[derive(Clone, PartialEq, Debug)]
pub struct State {
    /// Key position.
    pub key: Key,
    /// Engine.
    pub engine: Engine,
    /// Position of each of the vehicle's switches, in their order.
    pub positions: Vec<u8>,
    /// Modes of parts.
    pub modes: Vec<(PartId, String)>,
    /// Shore power connected.
    pub shore: bool,
    /// `detach` groups that are unplugged.
    pub detached: BTreeSet<String>,
    /// Modules have settled and timed feeds have ended (only matters with the key off).
    pub settled: bool,
    /// Time since the key went off; what lasts longer than this still goes on. Only matters with the key off and where not
    /// `settled`.
    pub elapsed: Seconds,
    /// Rest voltages of batteries, by their branch, instead of those of the record: a battery that has stood has less.
    pub rest: Vec<(BranchId, Volts)>,
}

impl State {
    /// The state of a situation; settled where the key is off.
    #[must_use]
    pub fn of(situation: &Situation) -> Self {
        Self {
            key: situation.key,
            engine: situation.engine,
            positions: situation.positions.clone(),
            modes: situation.modes.clone(),
            shore: situation.shore,
            detached: situation.detached.clone(),
            settled: situation.key == Key::Off,
            elapsed: Seconds::ZERO,
            rest: Vec::new(),
        }
    }

    /// Key off, engine stopped, everything as it is left, settled.
    #[must_use]
    pub fn parked(vehicle: &Vehicle) -> Self {
        Self {
            key: Key::Off,
            engine: Engine::Stopped,
            positions: vehicle.switches.iter().map(|unit| unit.left).collect(),
            modes: Vec::new(),
            shore: false,
            detached: BTreeSet::new(),
            settled: true,
            elapsed: Seconds::ZERO,
            rest: Vec::new(),
        }
    }

    /// Key on, engine at idle, everything on: what a person comes from who leaves the vehicle.
    #[must_use]
    pub fn running(vehicle: &Vehicle) -> Self {
        Self {
            key: Key::Run,
            engine: Engine::Idle,
            positions: vehicle.switches.iter().map(|unit| unit.on).collect(),
            settled: false,
            ..Self::parked(vehicle)
        }
    }

    /// Parked, the key just turned off: nothing has settled.
    #[must_use]
    pub fn just_off(vehicle: &Vehicle) -> Self {
        Self {
            settled: false,
            ..Self::parked(vehicle)
        }
    }
}

/// Where parts that remember start from: one entry a part, `true` for in (or closed).
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub struct Memory(pub Vec<bool>);

impl Memory {
    /// Everything out.
    #[must_use]
    pub fn all_out(vehicle: &Vehicle) -> Self {
        Self(vec![false; vehicle.parts.len()])
    }

    /// Everything out, but cutoffs closed: what a vehicle with charged batteries starts from, also where the record has
    /// nothing that charges.
    #[must_use]
    pub fn charged(vehicle: &Vehicle) -> Self {
        let closed = |part: &crate::model::Part| part.kind == Kind::Cutoff;
        Self(vehicle.parts.iter().map(closed).collect())
    }

    /// Everything in.
    #[must_use]
    pub fn all_in(vehicle: &Vehicle) -> Self {
        Self(vec![true; vehicle.parts.len()])
    }
}
