//! What is taken for a vehicle of which the record says nothing.

use super::figure::figures;
use crate::quantity::AmpHours;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Ohms;
use crate::quantity::Volts;

figures! { "vehicle.csv";
    /// Nominal voltage of the system.
    system: Volts = "system", "V";
    /// Temperature where it stands.
    parked: Celsius = "parked", "C";
    /// Temperature of the engine bay at work.
    engine_bay: Celsius = "engine-bay", "C";
    /// Temperature of the cabin at work.
    cabin: Celsius = "cabin", "C";
    /// Temperature outside on the body at work.
    exterior: Celsius = "exterior", "C";
    /// State of charge of a battery as it is parked.
    charge: Fraction = "charge", "1";
    /// Capacity of a 12 V battery of which nothing is stated; only its resistance is reckoned from it.
    unknown_capacity: AmpHours = "unknown-capacity", "Ah";
    /// Resistance of a fusible link with its joints.
    link: Ohms = "link-resistance", "ohm";
    /// Rating of a fuse or breaker of which none is stated; only its resistance is reckoned from it.
    unknown_fuse: Amps = "unknown-fuse", "A";
    /// Output of a converter of which none is stated.
    converter_output: Volts = "converter-output", "V";
}
