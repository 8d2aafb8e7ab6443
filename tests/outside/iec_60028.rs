//! IEC 60028 (annealed copper) and IEC 60228 (maximum resistance of conductors, correction table).

use keyoff::quantity::Celsius;
use keyoff::quantity::WireSize;
use keyoff::table::copper;
use keyoff::table::wire;

use crate::close;

/// 17.241 ohm mm2 per km at 20 C (read); 0.00393 per kelvin.
#[test]
fn annealed_copper() {
    assert_eq!(copper::resistivity().value * 1e9, 17.241);
    assert_eq!(wire::TEMPERATURE_COEFFICIENT.value, 0.00393);
}

/// IEC 60228 correction table (read): R20 over Rt. Its coefficient is 0.004, so it differs by up to 0.7 % at 100 C.
#[test]
fn correction_table() {
    for (celsius, share) in [
        (5.0, 1.064),
        (10.0, 1.042),
        (20.0, 1.000),
        (30.0, 0.962),
        (50.0, 0.893),
        (75.0, 0.820),
        (85.0, 0.794),
        (100.0, 0.758),
    ] {
        let found = 1.0 / wire::at_temperature(1.0, Celsius(celsius));
        close(&format!("{celsius} C"), found, share, 0.007);
    }
}

/// IEC 60228, class 1-2 and class 5, plain copper, maximum mohm per metre at 20 C (read in four tables that agree).
const CLASSES: [(f64, f64, f64); 8] = [
    (0.5, 36.0, 39.0),
    (0.75, 24.5, 26.0),
    (1.0, 18.1, 19.5),
    (1.5, 12.1, 13.3),
    (2.5, 7.41, 7.98),
    (4.0, 4.61, 4.95),
    (6.0, 3.08, 3.30),
    (16.0, 1.15, 1.21),
];

/// A vehicle cable (another standard) lies between the classes of building cable of its nominal area, within 3 %.
#[test]
fn vehicle_cables_lie_between_the_classes() {
    for (nominal, stiff, flexible) in CLASSES {
        let found = wire::r20(WireSize::Iso(nominal)).unwrap().value * 1000.0;
        assert!(
            stiff * 0.97 <= found && found <= flexible * 1.03,
            "{nominal} mm2: {found} between {stiff} and {flexible}"
        );
    }
}

/// A size that is in no list is taken as ideal copper and a tenth: never below class 1-2 of its area. 150 mm2 (read): 0.124.
#[test]
fn an_unlisted_size_is_on_the_high_side() {
    let found = wire::r20(WireSize::Iso(150.0)).unwrap().value * 1000.0;
    assert!((0.124..=0.132).contains(&found), "{found}");
}
