//! Battery industry table, service tables, SAE J537, and the reserve pairs of a battery monitor manual.

use keyoff::quantity::Amps;
use keyoff::quantity::Celsius;
use keyoff::quantity::Fraction;
use keyoff::quantity::Seconds;
use keyoff::table::battery;
use keyoff::table::battery::Chemistry;

use crate::close;

/// Battery industry table of rest voltage and specific gravity at 26.7 C (read in two mirrors).
#[test]
fn rest_voltage_of_flooded_batteries() {
    for (charge, volts) in [
        (1.0, 12.65),
        (0.75, 12.45),
        (0.5, 12.24),
        (0.25, 12.06),
        (0.0, 11.89),
    ] {
        let found = battery::rest_voltage(Chemistry::Flooded, Fraction(charge))
            .value
            .0;
        assert_eq!(found, volts, "{charge}");
    }
}

/// A vehicle service table of AGM batteries (read): bands by charge.
#[test]
fn rest_voltage_of_agm_batteries() {
    for (charge, low, high) in [
        (1.0, 12.8, 13.2),
        (0.75, 12.6, 12.8),
        (0.5, 12.3, 12.6),
        (0.25, 12.0, 12.3),
        (0.0, 11.5, 12.0),
    ] {
        let found = battery::rest_voltage(Chemistry::Agm, Fraction(charge));
        assert_eq!((found.low.0, found.high.0), (low, high), "{charge}");
    }
}

/// SAE J537 (read as a definition): the cold cranking current holds 7.2 V at -18 C. A battery of 600 A behind the
/// resistance here gives just that at its cold cranking current.
#[test]
fn cold_cranking_holds_seven_point_two_volts() {
    let ohms = battery::internal_resistance(Amps(600.0), Celsius(-18.0))
        .unwrap()
        .value
        .0;
    close("volts", 12.6 - 600.0 * ohms, 7.2, 1e-9);
}

/// A battery monitor manual (read): pairs of 20-hour capacity in ampere-hour and reserve minutes, with the exponent that
/// it prints. t = H (C / (I H))^k at 25 A gives the minutes back within 3 %: the exponents have two decimals.
#[test]
fn peukert_pairs() {
    for (capacity, minutes, exponent) in [
        (85.0, 135.0, 1.23),
        (130.0, 225.0, 1.24),
        (216.0, 450.0, 1.17),
        (70.0, 130.0, 1.13),
        (86.0, 167.0, 1.12),
        (95.0, 188.0, 1.12),
        (180.0, 388.0, 1.11),
    ] {
        let hours: f64 = 20.0 * (capacity / (25.0 * 20.0_f64)).powf(exponent);
        close(&format!("{capacity} Ah"), hours * 60.0, minutes, 0.03);
        let chemistry = if exponent < 1.15 {
            Chemistry::Gel
        } else {
            Chemistry::Flooded
        };
        let range = battery::peukert(chemistry);
        assert!(
            range.low <= exponent && exponent <= range.high,
            "{exponent}"
        );
    }
}

/// The same pairs: capacity from reserve minutes lies within the range that is given for it (12 V flooded and gel).
#[test]
fn capacity_from_reserve() {
    for (capacity, minutes) in [(85.0, 135.0), (105.0, 160.0), (130.0, 225.0), (86.0, 167.0)] {
        let found = battery::capacity_from_reserve(Seconds(minutes * 60.0));
        assert!(
            found.low.0 <= capacity && capacity <= found.high.0,
            "{capacity} Ah"
        );
    }
}
