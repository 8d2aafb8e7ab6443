//! FAA AC 43.13-1B, chapter 11 (read page by page in a mirror).

use keyoff::quantity::Celsius;
use keyoff::quantity::WireSize;
use keyoff::table::ampacity::Scheme;
use keyoff::table::ampacity::ampacity;
use keyoff::table::copper;

use crate::close;

/// Table 11-3, page 11-15: wire and circuit protector chart, fuse and breaker in ampere.
#[test]
fn table_11_3() {
    for (awg, fuse, breaker) in [
        (22, 5.0, Some(5.0)),
        (20, 5.0, Some(7.5)),
        (18, 10.0, Some(10.0)),
        (16, 10.0, Some(15.0)),
        (14, 15.0, Some(20.0)),
        (12, 20.0, Some(30.0)),
        (10, 30.0, Some(40.0)),
        (8, 50.0, Some(50.0)),
        (6, 70.0, Some(80.0)),
        (4, 70.0, Some(100.0)),
        (2, 100.0, Some(125.0)),
        (1, 150.0, None),
        (0, 150.0, None),
    ] {
        let found = ampacity(WireSize::Awg(awg), Celsius(105.0), false, Scheme::Faa4313).unwrap();
        assert_eq!(found.value.0, fuse, "{awg} AWG fuse");
        assert_eq!(found.high.0, breaker.unwrap_or(fuse), "{awg} AWG breaker");
    }
}

/// Paragraph 11-66, page 11-22: resistance goes with 234.5 C and the temperature. Against the coefficient of IEC 60028,
/// between 20 and 105 C, to 0.1 %.
#[test]
fn the_line_of_resistance() {
    assert_eq!(copper::zero_resistance().value, 234.5);
    for celsius in [20.0, 50.0, 75.0, 105.0] {
        let expected = (234.5 + celsius) / (234.5 + 20.0);
        let found = keyoff::table::wire::at_temperature(1.0, Celsius(celsius));
        close(&format!("{celsius} C"), found, expected, 0.001);
    }
}
