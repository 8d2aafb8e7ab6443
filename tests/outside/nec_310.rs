//! NFPA 70 (NEC), 2023: table 310.16 and table 310.15(C)(1), read in two published copies that agree.

use keyoff::quantity::Celsius;
use keyoff::quantity::Volts;
use keyoff::quantity::WireSize;
use keyoff::table::ampacity::BundleScheme;
use keyoff::table::ampacity::Scheme;
use keyoff::table::ampacity::ampacity;
use keyoff::table::ampacity::bundle_factor;

/// Copper, ampere at 60, 75 and 90 C. Older editions print 20 A for 14 AWG and 25 A for 12 AWG at 60 C.
const TABLE: [(i8, [f64; 3]); 13] = [
    (14, [15.0, 20.0, 25.0]),
    (12, [20.0, 25.0, 30.0]),
    (10, [30.0, 35.0, 40.0]),
    (8, [40.0, 50.0, 55.0]),
    (6, [55.0, 65.0, 75.0]),
    (4, [70.0, 85.0, 95.0]),
    (3, [85.0, 100.0, 115.0]),
    (2, [95.0, 115.0, 130.0]),
    (1, [110.0, 130.0, 145.0]),
    (0, [125.0, 150.0, 170.0]),
    (-1, [145.0, 175.0, 195.0]),
    (-2, [165.0, 200.0, 225.0]),
    (-3, [195.0, 230.0, 260.0]),
];

#[test]
fn table_310_16_copper() {
    for (awg, cells) in TABLE {
        for (class, expected) in [60.0, 75.0, 90.0].into_iter().zip(cells) {
            let found = ampacity(WireSize::Awg(awg), Celsius(class), false, Scheme::Nec31016);
            assert_eq!(found.unwrap().value.0, expected, "{awg} at {class}");
        }
    }
    for (awg, expected) in [(18, 14.0), (16, 18.0)] {
        let found = ampacity(WireSize::Awg(awg), Celsius(90.0), false, Scheme::Nec31016);
        assert_eq!(found.unwrap().value.0, expected, "{awg} at 90");
    }
}

/// Correction for 46 to 50 C ambient: 0.58, 0.75, 0.82 at 60, 75, 90 C.
#[test]
fn correction_for_fifty_degrees() {
    for (class, factor) in [(60.0, 0.58), (75.0, 0.75), (90.0, 0.82)] {
        let of = |hot| {
            ampacity(WireSize::Awg(6), Celsius(class), hot, Scheme::Nec31016)
                .unwrap()
                .value
                .0
        };
        assert!((of(true) / of(false) - factor).abs() < 1e-12);
    }
}

/// More than three conductors: 4-6 0.8, 7-9 0.7, 10-20 0.5, 21-30 0.45, 31-40 0.4, 41 and more 0.35.
#[test]
fn table_310_15_c_1() {
    for (count, factor) in [
        (3, 1.0),
        (4, 0.8),
        (6, 0.8),
        (7, 0.7),
        (9, 0.7),
        (10, 0.5),
        (20, 0.5),
        (21, 0.45),
        (30, 0.45),
        (31, 0.4),
        (40, 0.4),
        (41, 0.35),
    ] {
        let found = bundle_factor(count, Volts(12.0), BundleScheme::Nec31015);
        assert_eq!(found.value.0, factor, "{count} conductors");
    }
}
