//! The answer for one state.

use super::state::Memory;
use crate::model::{BranchId, PartId, TerminalId, WireId};
use crate::quantity::{Amps, Volts};

/// Voltages and currents of one state at rest.
#[derive(Clone, PartialEq, Debug)]
pub struct Solution {
    /// Of each terminal against the chassis. What no source reaches is 0 V.
    pub volts: Vec<Volts>,
    /// Whether any source reaches each terminal, through whatever conducts in this state, a load too: its voltage is above
    /// [`super::LIVE`].
    pub live: Vec<bool>,
    /// Of each wire, positive from its `from` to its `to`.
    pub wire_amps: Vec<Amps>,
    /// Of each branch, positive from its `from` to its `to`. Of a converter: what it gives at `to`.
    pub branch_amps: Vec<Amps>,
    /// Of each converter: what it takes at its `from`; the difference flows through its return.
    pub inputs: Vec<(BranchId, Amps)>,
    /// Whether each branch conducts at all (an open contact does not).
    pub closed: Vec<bool>,
    /// Relays, cutoffs and isolators at rest: in or closed.
    pub memory: Memory,
    /// Parts that find no rest, each loop once; empty when all came to rest.
    pub chatter: Vec<Vec<PartId>>,
    /// How the sources ended up.
    pub ways: Vec<(BranchId, Way)>,
    /// Coils whose suppression diode would short the supply past them, each with the current that it would take: the rest
    /// stands as if the diode were gone, since it, or a fuse ahead of it, does not last.
    pub burnt: Vec<(BranchId, Amps)>,
    /// Why the numbers are not to be trusted, if so (no convergence).
    pub trouble: Option<String>,
}

/// What a source does.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// A battery behind its internal resistance.
    Free,
    /// A battery that takes its charge limit.
    ChargeLimit,
    /// An alternator, charger or converter that holds its voltage.
    Holding,
    /// One that gives its limit.
    AtLimit,
    /// One that gives nothing.
    Off,
}

impl Solution {
    /// Voltage of a terminal against the chassis.
    #[must_use]
    pub fn at(&self, terminal: TerminalId) -> Volts {
        self.volts[terminal.index()]
    }
    /// Current of a wire.
    #[must_use]
    pub fn wire(&self, wire: WireId) -> Amps {
        self.wire_amps[wire.index()]
    }
    /// Current of a branch.
    #[must_use]
    pub fn branch(&self, branch: BranchId) -> Amps {
        self.branch_amps[branch.index()]
    }
}
