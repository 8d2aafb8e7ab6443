//! Six published relay datasheets (read; makers left out).

use keyoff::quantity::Amps;
use keyoff::quantity::Volts;
use keyoff::table::relay;

/// Coil in ohm of mini relays: 12 V 80, 90, 88, 75; 24 V 320, 400.
#[test]
fn coils_of_mini_relays() {
    for (system, ohms) in [
        (12.0, 80.0),
        (12.0, 90.0),
        (12.0, 88.0),
        (12.0, 75.0),
        (24.0, 320.0),
        (24.0, 400.0),
    ] {
        let range = relay::coil_resistance(Volts(system), Some(Amps(40.0)));
        assert!(
            range.low.0 <= ohms && ohms <= range.high.0,
            "{ohms} ohm at {system} V"
        );
    }
}

/// Most that is needed to pull in, of 12 V: 8.4, 6.9, 9.0, 8.0, 7.2 V; lets go at 1.2 V, one at 0.5 V.
#[test]
fn pull_in_and_drop_out() {
    let pull = relay::pull_in();
    for volts in [8.4, 6.9, 9.0, 8.0, 7.2] {
        let share: f64 = volts / 12.0;
        assert!(
            pull.low.0 - 1e-9 <= share && share <= pull.high.0 + 1e-9,
            "{volts} V"
        );
    }
    let drop = relay::drop_out();
    for volts in [1.2, 0.5] {
        let share: f64 = volts / 12.0;
        assert!(
            drop.low.0 - 1e-9 <= share && share <= drop.high.0 + 1e-9,
            "{volts} V"
        );
    }
}

/// Contact, typical: 2, 6, 5, 3, 3 mohm; make limit over lasting current: 100 of 45 A, 150 of 40 A, 120 of 25 A.
#[test]
fn contacts() {
    let contact = relay::contact_resistance(Some(Amps(40.0)));
    for milliohm in [2.0, 6.0, 5.0, 3.0] {
        assert!(contact.low.0 <= milliohm / 1000.0 && milliohm / 1000.0 <= contact.high.0);
    }
    let make = relay::make_multiple();
    for (most, lasting) in [(100.0, 45.0), (150.0, 40.0), (120.0, 25.0)] {
        let multiple: f64 = most / lasting;
        assert!(
            make.low - 0.03 <= multiple && multiple <= make.high,
            "{multiple}"
        );
    }
}

/// Sheets of 40 A relays print 150 mA at 12 V and 75 mA at 24 V: what a coil held with the key off draws. Within 10 %.
#[test]
fn a_coil_draws_what_the_sheet_prints() {
    for (volts, milliamps) in [(12.0, 150.0), (24.0, 75.0)] {
        let ohms = relay::coil_resistance(Volts(volts), None).value.0;
        crate::close(
            &format!("{volts} V"),
            volts / ohms * 1000.0,
            milliamps,
            0.10,
        );
    }
}
