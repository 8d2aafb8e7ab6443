//! IEC 60364-5-54 and IEC 60949: adiabatic heating of copper.

use keyoff::quantity::Amps;
use keyoff::quantity::Celsius;
use keyoff::quantity::SquareMm;
use keyoff::table::adiabatic;

use crate::close;

/// k in A s^0.5 / mm2: 115 for PVC 70 to 160 C and 143 for XLPE 90 to 250 C (read in three pages that agree); 143 and
/// 176 from 30 C for a separate conductor (from memory). Tolerance 0.3 %: the standard prints whole numbers.
#[test]
fn factor_k() {
    for (start, end, expected) in [
        (70.0, 160.0, 115.0),
        (90.0, 250.0, 143.0),
        (30.0, 160.0, 143.0),
        (30.0, 250.0, 176.0),
    ] {
        let found = adiabatic::k(Celsius(start), Celsius(end)).unwrap();
        close(&format!("{start} to {end} C"), found, expected, 0.003);
    }
}

/// A worked sum of the trade: 18 AWG PVC at 88 A with k 115 reaches its limit in 1.2 s. Tolerance 5 %: two figures.
#[test]
fn eighteen_awg_at_eighty_eight_ampere() {
    let found = adiabatic::time(SquareMm(0.823), Celsius(70.0), Celsius(160.0), Amps(88.0));
    close("18 AWG", found.unwrap().0, 1.2, 0.05);
}

#[test]
fn final_temperatures() {
    let of = |class| {
        adiabatic::final_temperature(Celsius(class))
            .unwrap()
            .value
            .0
    };
    assert_eq!((of(80.0), of(105.0), of(125.0)), (160.0, 160.0, 250.0));
}
