//! A vehicle whose switches bear on one another, written as a record.

use std::fmt::Write as _;

/// Switches of [`vehicle`].
pub const SWITCHES: usize = 12;

/// A vehicle of sixty parts in which twelve switches bear on one another: each has a relay, its lamp and a diode to a pilot
/// lamp that they share, and every second relay gets its contact's supply from the one before.
#[must_use]
pub fn vehicle() -> String {
    let mut parts = String::new();
    let mut wires = String::new();
    for at in 0..SWITCHES {
        let _ = write!(
            parts,
            "  S{at}: {{kind: switch, rating: 20 A, left: open}}
  K{at}: {{kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}}
  L{at}: {{kind: load, type: led, draw: {} A}}
  D{at}: {{kind: diode, rating: 3 A}}
",
            1 + at % 4
        );
        let supply = if at % 2 == 1 {
            format!("K{}.87", at - 1)
        } else {
            "BAR".to_owned()
        };
        let _ = write!(
            wires,
            "  - {{run: [RUN, S{at}, K{at}.86], size: 16 AWG, lengths: [50 cm, 1 m], insulation: gxl}}
  - {{from: K{at}.85, to: GB, size: 16 AWG, length: 30 cm, insulation: gxl}}
  - {{from: {supply}, to: K{at}.30, size: 12 AWG, length: 30 cm, insulation: gxl}}
  - {{from: K{at}.87, to: L{at}, size: 14 AWG, length: 2 m, insulation: gxl}}
  - {{from: L{at}, to: GB, size: 14 AWG, length: 1 m, insulation: gxl}}
  - {{from: S{at}, to: D{at}, size: 18 AWG, length: 30 cm, insulation: gxl}}
  - {{from: D{at}, to: PILOT, size: 18 AWG, length: 1 m, insulation: gxl}}
"
        );
    }
    format!(
        "keyoff: 1
vehicle:
  name: Twelve switches that bear on one another
  system: 12 V
  climate: {{parked: -10 C, engine-bay: 60 C, cabin: 25 C, exterior: 20 C}}
  engine: {{cranking: 220 A}}
  own-load: {{off: 15 mA, run: 25 A}}
parts:
  B1: {{kind: battery, chemistry: agm, capacity: 120 Ah, cold-cranking: 1000 A}}
  ALT: {{kind: alternator, rated: 180 A, at-idle: 90 A}}
  RUN: {{kind: feed, hot-in: [run], limit: 20 A, rating: 20 A, from: M1.out}}
  F1: {{kind: fuse, rating: 60 A, form: bolt-down}}
  BAR: {{kind: busbar, limit: 100 A}}
  GB: {{kind: busbar, limit: 100 A}}
  M1: {{kind: disconnect, rating: 300 A}}
  PILOT: {{kind: load, type: led, draw: 100 mA}}
  F2: {{kind: fuse, rating: 10 A, form: blade}}
  S99: {{kind: switch, rating: 10 A, left: open}}
  BEACON: {{kind: load, type: led, draw: 2 A}}
  RADIO: {{kind: load, type: electronics, draw: 1 A, parked: 5 mA}}
{parts}wires:
  - {{from: B1, to: M1, size: 2 AWG, length: 50 cm, insulation: sgx}}
  - {{run: [M1, F1, BAR], size: 4 AWG, lengths: [15 cm, 1 m], insulation: sgx}}
  - {{run: [BAR, F2, S99, BEACON], size: 14 AWG, lengths: [15 cm, 1 m, 2 m], insulation: gxl}}
  - {{from: F2, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}}
  - {{from: GB, to: chassis, size: 4 AWG, length: 40 cm, insulation: sgx}}
{wires}"
    )
}
