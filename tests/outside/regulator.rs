//! A vehicle service specification of the charging system (read).

use keyoff::quantity::Celsius;
use keyoff::quantity::Volts;
use keyoff::table::alternator;

/// Regulated voltage: -20 C 14.0 to 15.1 V, 20 C 13.7 to 14.6, 60 C 13.2 to 14.3, 80 C 12.9 to 14.1.
#[test]
fn regulated_voltage() {
    for (celsius, low, high) in [
        (-20.0, 14.0, 15.1),
        (20.0, 13.7, 14.6),
        (60.0, 13.2, 14.3),
        (80.0, 12.9, 14.1),
    ] {
        let found = alternator::volts(Volts(12.0), Celsius(celsius));
        assert_eq!((found.low.0, found.high.0), (low, high), "{celsius} C");
    }
}

/// A marine engine manual (read), a 50 A unit hot: 41 A at 2500 rpm, 48 A at 5000 rpm; cold 24 A where hot 16 A, cold
/// 50 A where hot 41 A.
#[test]
fn a_hot_alternator_gives_less() {
    let cruise = alternator::cruise_share();
    assert_eq!((cruise.low.0, cruise.high.0), (41.0 / 50.0, 48.0 / 50.0));
    let hot = alternator::hot_share();
    assert!((hot.low.0 - 16.0 / 24.0).abs() < 0.005 && (hot.high.0 - 41.0 / 50.0).abs() < 0.005);
}
