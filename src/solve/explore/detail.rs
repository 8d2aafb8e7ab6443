//! What is live and what works in each position of the key, with the setting that makes it so.

use super::Pass;
use super::best::Least;
use super::best::Spot;
use super::setups::Setup;
use crate::model::BranchId;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::solve::Does;
use crate::solve::Memory;
use crate::solve::State;

/// What was seen in one position of the key.
pub(super) struct KeySeen {
    pub setup: Setup,
    /// By terminal.
    pub live: Vec<Least>,
    /// By branch.
    pub works: Vec<Works>,
}

/// The smallest settings in which a branch does something.
#[derive(Clone, Default)]
pub(super) struct Works {
    by: [Least; Does::ALL.len()],
}

impl Works {
    pub(super) fn see(&mut self, does: Does, cost: u32, spot: impl FnOnce() -> Spot) {
        self.by[does as usize].see(cost, spot);
    }
}

impl KeySeen {
    pub(super) fn new(setup: Setup, terminals: usize, branches: usize) -> Self {
        Self {
            setup,
            live: vec![Least::default(); terminals],
            works: vec![Works::default(); branches],
        }
    }
}

/// Every position of the key that was explored, and what was seen in it.
pub struct Detail {
    passes: Vec<Pass>,
    keys: Vec<KeySeen>,
}

impl std::fmt::Debug for Detail {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Detail")
            .field("passes", &self.passes.len())
            .finish_non_exhaustive()
    }
}

/// A position of the key, and what goes with it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct AtKey {
    /// The key.
    pub key: Key,
    /// The engine.
    pub engine: Engine,
    /// On shore power.
    pub shore: bool,
    /// With the key off: modules have settled and timed feeds have ended.
    pub settled: bool,
}

/// A setting in which something was seen.
#[derive(Clone, Debug)]
pub struct Found {
    /// For people.
    pub setting: Setting,
    /// To be solved again.
    pub state: State,
    /// From this.
    pub memory: Memory,
}

impl Detail {
    pub(super) const fn new(passes: Vec<Pass>, keys: Vec<KeySeen>) -> Self {
        Self { passes, keys }
    }

    /// The positions of the key, in the order in which they were looked at: off first.
    #[must_use]
    pub fn keys(&self) -> Vec<AtKey> {
        let of = |seen: &KeySeen| AtKey {
            key: seen.setup.key,
            engine: seen.setup.engine,
            shore: seen.setup.shore,
            settled: seen.setup.settled,
        };
        self.keys.iter().map(of).collect()
    }

    /// The smallest setting in which a terminal is live; `key` counts [`Detail::keys`].
    #[must_use]
    pub fn live(&self, vehicle: &Vehicle, key: usize, terminal: TerminalId) -> Option<Found> {
        let spot = self.keys.get(key)?.live.get(terminal.index())?.spot()?;
        Some(self.found(vehicle, spot))
    }

    /// The smallest setting in which a branch does this.
    #[must_use]
    pub fn works(
        &self,
        vehicle: &Vehicle,
        key: usize,
        branch: BranchId,
        does: Does,
    ) -> Option<Found> {
        let works = self.keys.get(key)?.works.get(branch.index())?;
        let spot = works.by[does as usize].spot()?;
        Some(self.found(vehicle, spot))
    }

    fn found(&self, vehicle: &Vehicle, spot: &Spot) -> Found {
        let pass = &self.passes[spot.pass as usize];
        Found {
            setting: pass.tell(vehicle, spot),
            state: pass.state_at(spot),
            memory: pass.memory(vehicle),
        }
    }
}
