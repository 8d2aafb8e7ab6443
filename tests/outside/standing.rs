//! Sums that everybody in the trade checks by hand.

use keyoff::quantity::AmpHours;
use keyoff::quantity::Amps;

/// Common practice, no source: 54 Ah drawn at 0.2 A last 270 hours, 11.25 days.
#[test]
fn fifty_four_ampere_hours_at_two_tenths() {
    let time = AmpHours(54.0) / Amps(0.2);
    assert!((time.hours() - 270.0).abs() < 1e-9);
    assert!((time.days() - 11.25).abs() < 1e-9);
}

/// Arithmetic printed in a service text: 0.05 A from 60 Ah is 50 days.
#[test]
fn fifty_milliampere_from_sixty_ampere_hours() {
    assert!(((AmpHours(60.0) / Amps(0.05)).days() - 50.0).abs() < 1e-9);
}
