//! From the record to a vehicle: a petgraph graph of terminals, with wires and the insides of parts as its edges.
//!
//! Everything keeps its identity and its place in the source. What the record leaves out is filled from published
//! defaults where there is one ([`default`]), and stays absent where there is none.

pub mod default;
pub mod element;
pub mod fact;
pub mod part;
pub mod situation;
pub mod vehicle;
pub mod walk;

mod build;
mod kind;
mod situations;
#[cfg(test)]
pub(crate) mod testing;
mod whole;
mod wiring;

pub use build::{build, build_with};
pub use element::{Branch, Control, Element, Law};
pub use fact::{Assumed, AssumedId, Basis, Fact};
pub use part::{Part, Status, StaysLive, Zone};
pub use situation::{Engine, Key, Setting, Situation, SwitchUnit};
pub use vehicle::{
    Battery, BranchId, Climate, Link, PartId, Terminal, TerminalId, Vehicle, Wire, WireId,
};
