//! What checks look at.

use crate::analyze::Solved;
use crate::model::Vehicle;

/// The vehicle and everything that was solved and summed up about it.
pub struct Context<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// States and sums.
    pub solved: &'a Solved,
}
