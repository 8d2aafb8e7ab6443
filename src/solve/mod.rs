//! The nonlinear DC network of a vehicle in one state, brought to rest.

pub mod solution;
pub mod state;

pub use solution::{Solution, Way};
pub use state::{Memory, State};
