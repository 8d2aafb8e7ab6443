//! Vehicles designed at random, each as a careful fitter would: fuses by load, wires by fuse and by drop, sources by the
//! whole. By construction nothing about them is worth a warning.

use std::fmt::Write as _;

use crate::random_vehicle::Dice;

/// 33 CFR 183.425, Table 5, 105 C insulation: size, ampacity in ampere, ohm per metre (at 20 C, with some to spare).
const WIRES: &[(&str, f64, f64)] = &[
    ("16 AWG", 25.0, 0.0142),
    ("14 AWG", 35.0, 0.0089),
    ("12 AWG", 45.0, 0.0056),
    ("10 AWG", 60.0, 0.0036),
    ("8 AWG", 80.0, 0.0023),
    ("6 AWG", 120.0, 0.0014),
    ("4 AWG", 160.0, 0.0009),
];
const FUSES: &[f64] = &[3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0];

/// One designed circuit.
struct Circuit {
    fuse: f64,
    wire: &'static str,
    draw: f64,
}

/// A fuse that carries the load in the heat, and a wire that carries the fuse and loses little.
fn design(draw: f64, meters: f64) -> Circuit {
    let fuse = FUSES
        .iter()
        .copied()
        .find(|fuse| fuse * 0.68 >= draw)
        .unwrap_or(30.0);
    let wire = WIRES
        .iter()
        .find(|(_, amps, ohms)| *amps >= fuse * 1.25 && draw * meters * ohms <= 0.55)
        .map_or("4 AWG", |(size, _, _)| size);
    Circuit { fuse, wire, draw }
}

/// The record.
pub fn record(seed: u64) -> String {
    let mut dice = Dice::new(seed ^ 0x50F7);
    let mut parts = String::new();
    let mut wires = String::new();
    let mut total = 0.0;
    for number in 0..1 + dice.below(7) {
        let draw = (5 + dice.below(120)) as f64 / 10.0;
        let meters = (10 + dice.below(60)) as f64 / 10.0;
        let circuit = design(draw, meters + 1.0);
        total += draw;
        let kind = dice.one(&["led", "heater", "electronics", "motor"]);
        let kind = match kind {
            "electronics" => format!("electronics, parked: 0 mA, max-fuse: {} A", circuit.fuse),
            "motor" => "motor, inrush: 3x for 100 ms".to_owned(),
            other => other.to_owned(),
        };
        let _ = writeln!(
            parts,
            "  L{number}: {{kind: load, type: {kind}, draw: {} A, zone: exterior}}\n  F{number}: {{kind: fuse, rating: {} A, form: blade}}",
            circuit.draw, circuit.fuse
        );
        let wire = circuit.wire;
        let back = dice.one(&["chassis", "GB"]);
        match dice.below(3) {
            // Straight from a feed that goes dead with the key, behind a switch.
            0 => {
                let _ = writeln!(
                    parts,
                    "  R{number}: {{kind: feed, hot-in: [run], limit: 40 A, rating: 40 A}}\n  S{number}: {{kind: switch, rating: 30 A, left: open}}"
                );
                let _ = writeln!(
                    wires,
                    "  - {{from: R{number}, to: F{number}, size: 6 AWG, length: 20 cm, insulation: gxl, route: loom}}\n  - {{run: [F{number}, S{number}, L{number}], size: {wire}, lengths: [50 cm, {meters} m], insulation: gxl, route: [loom, grommet]}}"
                );
            }
            // From the battery over a relay that the key holds in.
            1 => {
                let _ = writeln!(
                    parts,
                    "  R{number}: {{kind: feed, hot-in: [run], limit: 5 A, rating: 5 A}}\n  K{number}: {{kind: relay, coil: 90 ohm, contact: 40 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor, duty: continuous}}"
                );
                let _ = writeln!(
                    wires,
                    "  - {{run: [B1, F{number}, K{number}.30], size: {wire}, lengths: [15 cm, 50 cm], insulation: gxl, route: loom}}\n  - {{from: K{number}.87, to: L{number}, size: {wire}, length: {meters} m, insulation: gxl, route: [loom, grommet]}}\n  - {{from: R{number}, to: K{number}.86, size: 16 AWG, length: 1 m, insulation: gxl, route: loom}}\n  - {{from: K{number}.85, to: chassis, size: 16 AWG, length: 30 cm, insulation: gxl}}"
                );
            }
            // Always live and meant to be, on a button.
            _ => {
                let _ = writeln!(
                    parts,
                    "  S{number}: {{kind: switch, rating: 30 A, momentary: true}}"
                );
                let _ = writeln!(
                    wires,
                    "  - {{run: [B1, F{number}, S{number}, L{number}], size: {wire}, lengths: [12 cm, 50 cm, {meters} m], insulation: gxl, route: [loom, grommet]}}"
                );
            }
        }
        let _ = writeln!(
            wires,
            "  - {{from: L{number}, to: {back}, size: {wire}, length: 50 cm, insulation: gxl, route: loom}}"
        );
    }
    let _ = writeln!(
        wires,
        "  - {{from: GB, to: chassis, size: 4 AWG, length: 30 cm, insulation: sgx, route: loom}}\n  - {{from: SPARE, to: GB, size: 16 AWG, length: 30 cm, insulation: gxl}}"
    );
    let idle = 40.0 + 1.3 * total;
    format!(
        "keyoff: 1
vehicle:
  name: designed at random
  system: 12 V
  climate: {{parked: 0 C, engine-bay: 60 C, cabin: 25 C, exterior: 20 C}}
  engine: {{cranking: 200 A}}
  own-load: {{off: 12 mA, run: 20 A}}
  stands: 7 days
parts:
  B1: {{kind: battery, chemistry: agm, capacity: 100 Ah, cold-cranking: 900 A, age: 1 year, zone: exterior}}
  ALT: {{kind: alternator, rated: {:.0} A, at-idle: {idle:.0} A, zone: engine-bay}}
  GB: {{kind: busbar, limit: 150 A, resistance: 0.2 mohm, zone: exterior}}
  SPARE: {{kind: stub, end: capped, status: planned}}
{parts}wires:
{wires}",
        2.0 * idle
    )
}
