//! The sums: what the solved states mean for a person.

pub mod balance;
pub mod key_off;

pub use crate::solve::explored::{Explored, Extreme, Seen};
pub use balance::{Balance, Flow};
pub use key_off::{Draw, KeyOff};

use crate::model::Situation;
use crate::solve::Solution;

/// Every state that was solved, and the sums over them.
#[derive(Clone, Debug)]
pub struct Solved {
    /// `parked`, solved from everything out.
    pub parked_out: Solution,
    /// `parked`, reached from the engine running with everything on; differs where something stays latched.
    pub parked_in: Solution,
    /// Every situation of the vehicle, in its order, with its solution.
    pub situations: Vec<(Situation, Solution)>,
    /// What was seen over all explored settings.
    pub explored: Explored,
    /// The key-off sums.
    pub key_off: KeyOff,
}
