//! A sound vehicle of any size, written as a record: bars of six circuits of four makes, all of them within their
//! fuses and wires. Used by the speed measurements and by the corpus tests.

use std::fmt::Write as _;

/// Circuits on one bar.
const ON_ONE_BAR: usize = 6;

/// The record of a vehicle with so many added circuits. The same number gives the same text.
#[must_use]
pub fn vehicle(circuits: usize) -> String {
    let mut parts = String::new();
    let mut wires = String::new();
    let mut load = 0.0;
    for bar in 0..circuits.div_ceil(ON_ONE_BAR) {
        one_bar(&mut parts, &mut wires, bar);
        for circuit in bar * ON_ONE_BAR..circuits.min((bar + 1) * ON_ONE_BAR) {
            load += one_circuit(&mut parts, &mut wires, bar, circuit);
        }
    }
    // The sources grow with the vehicle, so that every size is sound: room for the loads and 25 A of its own.
    let idle = 60.0 + 1.3 * load;
    let batteries = circuits.div_ceil(400);
    format!(
        "keyoff: 1
vehicle:
  name: Generated vehicle with {circuits} circuits
  system: 12 V
  climate: {{parked: -10 C, engine-bay: 60 C, cabin: 25 C, exterior: 20 C}}
  engine: {{cranking: 220 A}}
  own-load: {{off: 15 mA, run: 25 A}}
  stands: 14 days
parts:
  B1: {{kind: battery, chemistry: agm, capacity: 120 Ah, cold-cranking: 1000 A, age: 1 year, in-parallel: {batteries}, zone: exterior}}
  ALT: {{kind: alternator, rated: {rated:.0} A, at-idle: {idle:.0} A, zone: engine-bay}}
{parts}wires:
{wires}",
        rated = 2.0 * idle,
    )
}

/// A fused bar beside the battery, a run feed for its coils, a ground bar.
fn one_bar(parts: &mut String, wires: &mut String, bar: usize) {
    let _ = write!(
        parts,
        "  FB{bar}: {{kind: fuse, rating: 80 A, form: bolt-down, zone: exterior}}
  BAR{bar}: {{kind: busbar, limit: 100 A, resistance: 0.2 mohm}}
  RUN{bar}: {{kind: feed, hot-in: [run], limit: 40 A, rating: 40 A, battery: B1}}
  GB{bar}: {{kind: busbar, limit: 200 A, resistance: 0.2 mohm, zone: exterior}}
"
    );
    let _ = write!(
        wires,
        "  - {{run: [B1, FB{bar}, BAR{bar}], size: 4 AWG, lengths: [15 cm, 1.5 m], insulation: sgx, zone: exterior, route: loom}}
  - {{from: GB{bar}, to: chassis, size: 4 AWG, length: 60 cm, insulation: sgx, zone: exterior, route: loom}}
"
    );
}

/// One circuit; gives its current in ampere.
fn one_circuit(parts: &mut String, wires: &mut String, bar: usize, circuit: usize) -> f64 {
    let (kind, draw) = match circuit % 4 {
        0 => ("type: led, draw: 2 A", 2.0),
        1 => ("type: filament, draw: 1.5 A, inrush: 8x for 10 ms", 1.5),
        2 => ("type: heater, draw: 20 W", 1.5),
        _ => ("type: motor, draw: 1.8 A, inrush: 3x for 100 ms", 1.8),
    };
    let length = 2.0 + (circuit % 7) as f64 * 0.5;
    let _ = writeln!(
        parts,
        "  L{circuit}: {{kind: load, {kind}, zone: exterior}}"
    );
    let _ = writeln!(
        parts,
        "  S{circuit}: {{kind: switch, rating: 20 A, left: open}}"
    );
    if circuit.is_multiple_of(2) {
        let _ = write!(
            parts,
            "  F{circuit}: {{kind: fuse, rating: 5 A, form: blade}}
  K{circuit}: {{kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor, duty: continuous}}
"
        );
        let _ = write!(
            wires,
            "  - {{run: [BAR{bar}, F{circuit}, K{circuit}.30], size: 16 AWG, lengths: [10 cm, 30 cm], insulation: gxl, route: loom}}
  - {{from: K{circuit}.87, to: L{circuit}, size: 16 AWG, length: {length} m, insulation: gxl, zone: exterior, route: loom}}
  - {{run: [RUN{bar}, S{circuit}, K{circuit}.86], size: 14 AWG, lengths: [50 cm, 50 cm], insulation: gxl, route: loom}}
  - {{from: K{circuit}.85, to: chassis, size: 14 AWG, length: 30 cm, insulation: gxl, route: loom}}
  - {{from: L{circuit}, to: GB{bar}, size: 16 AWG, length: 1 m, insulation: gxl, zone: exterior, route: loom}}
"
        );
    } else {
        let _ = writeln!(
            parts,
            "  F{circuit}: {{kind: fuse, rating: 5 A, form: blade-mini}}"
        );
        let _ = write!(
            wires,
            "  - {{run: [RUN{bar}, F{circuit}, S{circuit}, L{circuit}], size: 14 AWG, lengths: [15 cm, 50 cm, {length} m], insulation: gxl, route: loom}}
  - {{from: L{circuit}, to: GB{bar}, size: 14 AWG, length: 1 m, insulation: gxl, zone: exterior, route: loom}}
"
        );
    }
    draw
}
