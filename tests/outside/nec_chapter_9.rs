//! NFPA 70 (NEC), chapter 9 table 8: conductor properties.

use keyoff::quantity::Celsius;
use keyoff::quantity::WireSize;
use keyoff::table::wire;

use crate::close;

/// Table 8, stranded uncoated copper, ohm per 1000 ft at 75 C (read in two published copies that agree).
const STRANDED: [(i8, f64); 15] = [
    (18, 7.95),
    (16, 4.99),
    (14, 3.14),
    (12, 1.98),
    (10, 1.24),
    (8, 0.778),
    (6, 0.491),
    (4, 0.308),
    (3, 0.245),
    (2, 0.194),
    (1, 0.154),
    (0, 0.122),
    (-1, 0.0967),
    (-2, 0.0766),
    (-3, 0.0608),
];

/// Tolerance 1 %: the table prints three figures.
#[test]
fn resistance_of_stranded_copper_at_75_c() {
    for (awg, per_kilofoot) in STRANDED {
        let r20 = wire::r20(WireSize::Awg(awg)).unwrap().value;
        let at_75 = wire::at_temperature(r20, Celsius(75.0));
        close(&format!("{awg} AWG"), at_75 * 304.8, per_kilofoot, 0.01);
    }
}

/// Table 8, area in circular mils (read). One circular mil is 5.067075e-4 mm2. Tolerance 0.3 %: the table rounds.
#[test]
fn area_in_circular_mils() {
    for (awg, mils) in [
        (18, 1620.0),
        (14, 4110.0),
        (12, 6530.0),
        (10, 10380.0),
        (8, 16510.0),
        (4, 41740.0),
        (0, 105_600.0),
        (-3, 211_600.0),
    ] {
        let area = wire::area(WireSize::Awg(awg)).unwrap().value.0;
        close(&format!("{awg} AWG"), area / 5.067_075e-4, mils, 0.003);
    }
}

/// Table 8 of the sizes beyond both ends of an honest range: the coated rows (read) lie above the uncoated ones by up to
/// 6 %, which is what tinned wire may add to the figures here.
#[test]
fn tinned_copper_is_above_the_figures_here() {
    for (awg, coated) in [(18, 8.45), (10, 1.29), (-3, 0.0626)] {
        let r20 = wire::r20(WireSize::Awg(awg)).unwrap().value;
        let at_75 = wire::at_temperature(r20, Celsius(75.0)) * 304.8;
        let ratio: f64 = coated / at_75;
        assert!((1.02..1.07).contains(&ratio), "{awg} AWG: {ratio}");
    }
}
