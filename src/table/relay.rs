//! Relays whose papers are not at hand.

use super::Cited;
use super::figure::figures;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Ohms;
use crate::quantity::Volts;

figures! { "relay.csv";
    /// Coil of a mini relay of a 12 V system, at 20 C.
    mini_coil_12v: Ohms = "coil-resistance", "ohm";
    /// Coil of a continuous-duty solenoid of a 12 V system, at 20 C.
    heavy_coil_12v: Ohms = "heavy-coil-resistance", "ohm";
    /// Coil of an intermittent-duty solenoid of a 12 V system, at 20 C.
    intermittent_coil_12v: Ohms = "intermittent-coil-resistance", "ohm";
    /// Contact rating above which a relay is taken for a solenoid.
    heavy_from: Amps = "heavy-from", "A";
    /// Voltage that a relay needs to pull in, as a share of nominal.
    pull_in: Fraction = "pull-in", "1";
    /// Voltage at which a relay has let go at the latest, as a share of nominal.
    drop_out: Fraction = "drop-out", "1";
    /// Closed contact of a mini relay.
    mini_contact: Ohms = "contact-resistance", "ohm";
    /// Closed contact of a solenoid.
    heavy_contact: Ohms = "heavy-contact-resistance", "ohm";
    /// What a contact may close onto over what it may carry.
    make_multiple: f64 = "make-multiple", "1";
}

fn is_heavy(contact: Option<Amps>) -> bool {
    contact.is_some_and(|rating| rating > heavy_from().value)
}

/// Coil resistance at 20 C, by system voltage (the same power, so four times the resistance at 24 V) and by the rating of
/// the contact: above 70 A a solenoid; a mini relay where the rating is not known.
#[must_use]
pub fn coil_resistance(system: Volts, contact: Option<Amps>) -> Cited<Ohms> {
    let coil = if is_heavy(contact) {
        heavy_coil_12v()
    } else {
        mini_coil_12v()
    };
    at_system(coil, system)
}

/// Coil resistance at 20 C of a solenoid for intermittent duty.
#[must_use]
pub fn intermittent_coil_resistance(system: Volts) -> Cited<Ohms> {
    at_system(intermittent_coil_12v(), system)
}

fn at_system(coil: Cited<Ohms>, system: Volts) -> Cited<Ohms> {
    coil.map(|ohms| ohms * (system.0 / 12.0).powi(2))
}

/// Closed resistance of a contact by its rating.
#[must_use]
pub fn contact_resistance(contact: Option<Amps>) -> Cited<Ohms> {
    if is_heavy(contact) {
        heavy_contact()
    } else {
        mini_contact()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_relay_lets_go_below_where_it_pulls_in() {
        assert!(drop_out().high < pull_in().low);
    }

    #[test]
    fn coils_follow_system_and_size() {
        assert_eq!(coil_resistance(Volts(12.0), None).value.0, 85.0);
        assert_eq!(
            coil_resistance(Volts(24.0), Some(Amps(20.0))).value.0,
            340.0
        );
        assert_eq!(
            coil_resistance(Volts(12.0), Some(Amps(200.0))).value.0,
            15.0
        );
        assert!(contact_resistance(Some(Amps(200.0))).value < contact_resistance(None).value);
    }
}
