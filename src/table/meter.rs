//! What a meter can tell, and what is taken for a vehicle on which one is used.

use super::figure::figures;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::quantity::Volts;

figures! { "meter.csv";
    /// Accuracy of a current that a meter shows, as a share of the reading.
    current_accuracy: Fraction = "current-accuracy", "1";
    /// Accuracy of a voltage that a meter shows, as a share of the reading.
    voltage_accuracy: Fraction = "voltage-accuracy", "1";
    /// Last digits to either side of what a meter shows.
    counts: f64 = "counts", "1";
    /// Time from key-off, or from a fuse put back, until modules sleep.
    settled: Seconds = "settled", "s";
    /// Last digit of an ordinary meter on its millivolt range.
    millivolt_digit: Volts = "millivolt-digit", "V";
    /// How likely it is that pulling a fuse wakes a module.
    pull_wakes: Fraction = "pull-wakes", "1";
    /// How likely it is that putting a fuse back wakes a module.
    refit_wakes: Fraction = "refit-wakes", "1";
    /// What a vehicle draws itself with the key off, where nothing is stated.
    own_off: Amps = "own-off", "A";
}
