//! Standing draw, by part and by fuse, and the simple days.

use crate::model::{PartId, Setting};
use crate::quantity::{Amps, Interval, Seconds};

/// What is drawn with the key off, as the vehicle is left.
#[derive(Clone, PartialEq, Debug)]
pub struct KeyOff {
    /// Likely current out of the battery that starts the engine.
    pub draw: Amps,
    /// Its range over the ranges of the facts.
    pub range: Interval<Amps>,
    /// Facts that would be needed for a whole figure.
    pub missing: Vec<String>,
    /// Everything that draws, or would if a switch were left so; largest first.
    pub by_part: Vec<Draw>,
    /// What a meter would lose if a fuse were pulled; largest first.
    pub by_fuse: Vec<(PartId, Amps)>,
    /// Capacity over draw, where both are known and something draws.
    pub simple: Option<Seconds>,
    /// Of each battery: draw, and its simple time.
    pub by_battery: Vec<(PartId, Amps, Option<Seconds>)>,
}

/// One part that draws with the key off.
#[derive(Clone, PartialEq, Debug)]
pub struct Draw {
    /// The part; a relay stands for its coil.
    pub part: PartId,
    /// Its current.
    pub current: Amps,
    /// Its range.
    pub range: Interval<Amps>,
    /// Draws with the key off.
    pub ahead_of_ignition: bool,
    /// Only in this setting (a switch left closed, a thing latched); nothing where it draws as left.
    pub only_if: Option<Setting>,
    /// The fuses and breakers that its current runs through, nearest first.
    pub protected_by: Vec<PartId>,
}
