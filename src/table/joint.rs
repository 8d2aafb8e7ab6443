//! What joins and small devices are taken for where the record does not say. Most have no published source and say so.

use super::Cited;
use super::figure::figures;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Ohms;
use crate::quantity::Volts;

figures! { "joint.csv";
    /// Closed resistance of a small switch.
    small_switch: Ohms = "switch-resistance", "ohm";
    /// Voltage drop of a closed switch at its rated current.
    switch_drop: Volts = "switch-drop", "V";
    /// What a switch may close onto over what it may carry.
    switch_make_multiple: f64 = "switch-make-multiple", "1";
    /// Closed resistance of a key switch.
    small_key_switch: Ohms = "key-switch-resistance", "ohm";
    /// One mated pair of connector pins.
    pin: Ohms = "pin-resistance", "ohm";
    /// A crimped splice.
    splice: Ohms = "splice-resistance", "ohm";
    /// A stud or a bus bar, from one ring terminal to another.
    stud: Ohms = "stud-resistance", "ohm";
    /// A clean ground point, from its ring terminal into the chassis.
    ground: Ohms = "ground-resistance", "ohm";
    /// The vehicle's metal between a short and the place where the battery is grounded.
    chassis_return: Ohms = "chassis-return", "ohm";
    /// A closed master battery switch.
    disconnect: Ohms = "disconnect-resistance", "ohm";
    /// The vehicle's own wiring behind a small feed.
    small_feed: Ohms = "feed-resistance", "ohm";
    /// Voltage drop of the vehicle's own wiring behind a feed at its rated current.
    feed_drop: Volts = "feed-drop", "V";
    /// Voltage drop of a breaker at its rated current.
    breaker_drop: Volts = "breaker-drop", "V";
    /// Forward drop of a diode.
    diode_drop: Volts = "diode-drop", "V";
    /// Resistance of a diode above its forward drop.
    diode_resistance: Ohms = "diode-resistance", "ohm";
    /// A closed isolator of relay style.
    isolator: Ohms = "isolator-resistance", "ohm";
    /// Forward drop of an isolator of diode style.
    isolator_diode_drop: Volts = "isolator-diode-drop", "V";
    /// An isolator of electronic style that conducts.
    isolator_electronic: Ohms = "isolator-electronic-resistance", "ohm";
    /// Voltage of a 12 V system at which a voltage-sensing isolator closes.
    isolator_closes_12v: Volts = "isolator-closes", "V";
    /// Voltage of a 12 V system at which a voltage-sensing isolator opens.
    isolator_opens_12v: Volts = "isolator-opens", "V";
    /// Voltage of a 12 V system at which a low-voltage cutoff opens.
    cutoff_opens_12v: Volts = "cutoff-opens", "V";
    /// Voltage of a 12 V system at which a low-voltage cutoff closes.
    cutoff_closes_12v: Volts = "cutoff-closes", "V";
    /// What a low-voltage cutoff draws itself.
    cutoff_draw: Amps = "cutoff-draw", "A";
    /// A closed low-voltage cutoff.
    cutoff: Ohms = "cutoff-resistance", "ohm";
    /// What a delay draws itself.
    delay_draw: Amps = "delay-draw", "A";
    /// The closed contact of a delay.
    delay: Ohms = "delay-resistance", "ohm";
    /// An output of a controller that is on.
    output: Ohms = "output-resistance", "ohm";
    /// Power out over power in of a converter.
    converter_efficiency: Fraction = "converter-efficiency", "1";
    /// What a converter draws with nothing connected.
    converter_standby: Amps = "converter-standby", "A";
}

/// Closed resistance of a switch: what is made for more than some ten ampere drops no more at its rating than a small one.
#[must_use]
pub fn switch(rating: Option<Amps>) -> Cited<Ohms> {
    by_rating(small_switch(), switch_drop(), rating)
}

/// The same of a key switch.
#[must_use]
pub fn key_switch(rating: Option<Amps>) -> Cited<Ohms> {
    by_rating(small_key_switch(), switch_drop(), rating)
}

/// The vehicle's own wiring behind a feed: the wires of a large one are thicker.
#[must_use]
pub fn feed(rating: Option<Amps>) -> Cited<Ohms> {
    by_rating(small_feed(), feed_drop(), rating)
}

/// The resistance of small ones, and no more than makes this drop at the rating.
fn by_rating(small: Cited<Ohms>, drop: Cited<Volts>, rating: Option<Amps>) -> Cited<Ohms> {
    let Some(rating) = rating.filter(|rating| rating.0 > 0.0) else {
        return small;
    };
    Cited {
        value: small.value.min(drop.value / rating),
        low: small.low.min(drop.low / rating),
        high: small.high.min(drop.high / rating),
        source: small.source,
    }
}

/// Resistance of a breaker of this rating: its drop at rated current over that current. Nothing for a rating of zero.
#[must_use]
pub fn breaker(rating: Amps) -> Option<Cited<Ohms>> {
    (rating.0 > 0.0).then(|| breaker_drop().map(|drop| drop / rating))
}

/// Voltage at which a voltage-sensing isolator of this system closes.
#[must_use]
pub fn isolator_closes(system: Volts) -> Cited<Volts> {
    isolator_closes_12v().map(|volts| volts * (system.0 / 12.0))
}

/// Voltage at which a voltage-sensing isolator of this system opens.
#[must_use]
pub fn isolator_opens(system: Volts) -> Cited<Volts> {
    isolator_opens_12v().map(|volts| volts * (system.0 / 12.0))
}

/// Voltage at which a low-voltage cutoff of this system opens.
#[must_use]
pub fn cutoff_opens(system: Volts) -> Cited<Volts> {
    cutoff_opens_12v().map(|volts| volts * (system.0 / 12.0))
}

/// Voltage at which a low-voltage cutoff of this system closes.
#[must_use]
pub fn cutoff_closes(system: Volts) -> Cited<Volts> {
    cutoff_closes_12v().map(|volts| volts * (system.0 / 12.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn things_that_sense_voltage_close_above_where_they_open() {
        assert!(isolator_closes(Volts(12.0)).value > isolator_opens(Volts(12.0)).value);
        assert!(cutoff_closes(Volts(24.0)).value > cutoff_opens(Volts(24.0)).value);
        assert_eq!(cutoff_opens(Volts(24.0)).value.0, 23.6);
    }

    #[test]
    fn a_larger_breaker_has_less_resistance() {
        assert_eq!(breaker(Amps(30.0)).unwrap().value.0, 0.005);
        assert!(breaker(Amps(0.0)).is_none());
    }
}
