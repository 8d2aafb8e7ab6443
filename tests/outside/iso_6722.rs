//! ISO 6722-1 / ISO 19642: maximum resistance at 20 C of vehicle cables, mohm per metre (from memory).

use keyoff::quantity::WireSize;
use keyoff::table::wire;

#[test]
fn maximum_resistance_from_memory() {
    for (nominal, most) in [
        (0.35, 54.4),
        (0.5, 37.1),
        (0.75, 24.7),
        (1.0, 18.5),
        (1.5, 12.7),
        (2.5, 7.6),
        (4.0, 4.71),
        (6.0, 3.14),
        (10.0, 1.82),
        (16.0, 1.16),
        (25.0, 0.743),
        (35.0, 0.527),
        (50.0, 0.368),
        (70.0, 0.259),
        (95.0, 0.196),
    ] {
        let found = wire::r20(WireSize::Iso(nominal)).unwrap();
        assert!((found.value * 1000.0 - most).abs() < 1e-9, "{nominal} mm2");
        assert!(found.source.ends_with("(from memory)"));
    }
}
