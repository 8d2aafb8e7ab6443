//! ASTM B258: standard nominal diameters and areas of AWG sizes. The formula was read; the rows are its printed values
//! (from memory, checked against the circular mils of NEC chapter 9 table 8).

use keyoff::quantity::WireSize;
use keyoff::table::wire;

use crate::close;

/// Area in mm2 to four figures. Tolerance 0.05 %.
#[test]
fn areas() {
    for (awg, area) in [
        (-3, 107.2),
        (-2, 85.03),
        (-1, 67.43),
        (0, 53.48),
        (1, 42.41),
        (2, 33.63),
        (4, 21.15),
        (6, 13.30),
        (8, 8.366),
        (10, 5.261),
        (12, 3.309),
        (14, 2.081),
        (16, 1.309),
        (18, 0.8230),
        (20, 0.5176),
        (22, 0.3255),
        (24, 0.2047),
        (36, 0.01267),
    ] {
        let found = wire::area(WireSize::Awg(awg)).unwrap().value.0;
        close(&format!("{awg} AWG"), found, area, 0.0005);
    }
}

/// The definition: 4/0 is 0.46 in thick, 36 AWG 0.005 in.
#[test]
fn the_two_ends_of_the_definition() {
    for (awg, inches) in [(-3, 0.46_f64), (36, 0.005)] {
        let area = wire::area(WireSize::Awg(awg)).unwrap().value.0;
        let expected = std::f64::consts::FRAC_PI_4 * (inches * 25.4).powi(2);
        close(&format!("{awg} AWG"), area, expected, 1e-9);
    }
}
