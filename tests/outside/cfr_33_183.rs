//! 33 CFR 183, subpart I (United States Coast Guard).

use keyoff::quantity::Celsius;
use keyoff::quantity::Volts;
use keyoff::quantity::WireSize;
use keyoff::table::ampacity::BundleScheme;
use keyoff::table::ampacity::Scheme;
use keyoff::table::ampacity::ampacity;
use keyoff::table::ampacity::bundle_factor;
use keyoff::table::rules;

const CLASSES: [f64; 7] = [60.0, 75.0, 80.0, 90.0, 105.0, 125.0, 200.0];

/// 33 CFR 183.425, Table 5, every cell (read): AWG number, then ampere in the columns 60, 75, 80, 90, 105, 125, 200 C.
const TABLE_5: [(i8, [f64; 7]); 15] = [
    (18, [10.0, 10.0, 15.0, 20.0, 20.0, 25.0, 25.0]),
    (16, [15.0, 15.0, 20.0, 25.0, 25.0, 30.0, 35.0]),
    (14, [20.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0]),
    (12, [25.0, 25.0, 35.0, 40.0, 45.0, 50.0, 55.0]),
    (10, [40.0, 40.0, 50.0, 55.0, 60.0, 70.0, 70.0]),
    (8, [55.0, 65.0, 70.0, 70.0, 80.0, 90.0, 100.0]),
    (6, [80.0, 95.0, 100.0, 100.0, 120.0, 125.0, 135.0]),
    (4, [105.0, 125.0, 130.0, 135.0, 160.0, 170.0, 180.0]),
    (3, [120.0, 145.0, 150.0, 155.0, 180.0, 195.0, 210.0]),
    (2, [140.0, 170.0, 175.0, 180.0, 210.0, 225.0, 240.0]),
    (1, [165.0, 195.0, 210.0, 210.0, 245.0, 265.0, 280.0]),
    (0, [195.0, 230.0, 245.0, 245.0, 285.0, 305.0, 325.0]),
    (-1, [225.0, 265.0, 285.0, 285.0, 330.0, 355.0, 370.0]),
    (-2, [260.0, 310.0, 330.0, 330.0, 385.0, 410.0, 430.0]),
    (-3, [300.0, 360.0, 385.0, 385.0, 445.0, 475.0, 510.0]),
];

#[test]
fn table_5_cell_by_cell() {
    for (awg, cells) in TABLE_5 {
        for (class, expected) in CLASSES.into_iter().zip(cells) {
            let found = ampacity(WireSize::Awg(awg), Celsius(class), false, Scheme::Cfr183);
            let found = found.unwrap_or_else(|| panic!("no cell {awg} at {class}"));
            assert_eq!(found.value.0, expected, "{awg} at {class}");
            assert!(found.source.starts_with("33 CFR 183.425, Table 5"));
        }
    }
}

/// Note 1 of Table 5: factor in an engine space. Only that of 105 C was read there; those of 60, 75 and 90 C equal the
/// 50 C row of the correction table of the NEC (read); 80, 125 and 200 C are from memory.
#[test]
fn note_1_engine_space() {
    let factors = [0.58, 0.75, 0.78, 0.82, 0.85, 0.89, 1.00];
    for (class, factor) in CLASSES.into_iter().zip(factors) {
        let of = |engine| {
            ampacity(WireSize::Awg(10), Celsius(class), engine, Scheme::Cfr183)
                .unwrap()
                .value
                .0
        };
        assert!((of(true) / of(false) - factor).abs() < 1e-12, "{class}");
    }
}

/// The published guideline to 183.435 and the chart of a UL 1426 cable (read): 10 AWG at 105 C carries 60 A, 42 A of three
/// conductors, 36 A of four to six, 30 A of seven to twenty-four; in an engine space 51, 35.7, 30.6 and 25.5 A.
#[test]
fn bundles_of_ten_awg() {
    let rows = [
        (1, 60.0, 51.0),
        (3, 42.0, 35.7),
        (5, 36.0, 30.6),
        (20, 30.0, 25.5),
    ];
    for (count, outside, engine) in rows {
        let factor = bundle_factor(count, Volts(12.0), BundleScheme::BoatCable)
            .value
            .0;
        let of = |engine| {
            ampacity(WireSize::Awg(10), Celsius(105.0), engine, Scheme::Cfr183)
                .unwrap()
                .value
                .0
        };
        assert!((of(false) * factor - outside).abs() < 1e-9, "{count}");
        assert!((of(true) * factor - engine).abs() < 1e-9, "{count}");
    }
}

/// 183.435(b) (read): the factors bind on circuits of 50 V or more.
#[test]
fn the_law_binds_bundles_only_from_fifty_volts() {
    let law = |volts| bundle_factor(3, Volts(volts), BundleScheme::Cfr183).value.0;
    assert_eq!(law(49.0), 1.0);
    assert_eq!(law(50.0), 0.7);
}

/// 183.455(b)(1) and (2) (read): 7 in, or 40 in in a sheath or enclosure; (c)(1): 150 % under 50 V.
#[test]
fn distance_and_rating_of_overcurrent_devices() {
    let value = |rule, name| rules::choice(rule, name).unwrap().value;
    assert!((value("protection-distance", "7-in") - 7.0 * 0.0254).abs() < 1e-12);
    assert!((value("protection-distance", "40-in-sheathed") - 40.0 * 0.0254).abs() < 1e-12);
    assert_eq!(value("fuse-to-wire", "150-percent"), 1.5);
}
