//! A coil without suppression on a controller's electronic output.

use super::driven;
use crate::check::prelude::*;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-unsuppressed",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a coil without suppression on a controller's electronic output",
        page: include_str!("../../../docs/checks/coil-unsuppressed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    driven::coils(context)
        .into_iter()
        .map(|driven| {
            let relay = context.vehicle.part(driven.relay);
            let Some(stated) = relay.fields.text("suppression") else {
                let missing = relay.missing("suppression");
                return Gap::of([missing]).part(driven.relay).shown();
            };
            if stated.value != "none" {
                return Verdict::NoneShown;
            }
            let controller = context.vehicle.part(driven.controller);
            let output = &context.vehicle.branch(driven.output).name;
            let (name, driver) = (&relay.name.value, &controller.name.value);
            Finding::new(
                relay.at("suppression"),
                format!(
                    "the coil of {} has nothing that takes up its kick, and output {output} of {driver} switches it",
                    words::called(relay)
                ),
            )
            .label("each switching off sends a spike into the output")
            .part(driven.relay)
            .part(driven.controller)
            .also(
                controller.name.at,
                format!("its output {output} gets the spike"),
            )
            .help(format!(
                "fit a relay with a resistor or diode across its coil in place of {name}, or add one at the coil's terminals"
            ))
            .source("`suppression` of the record; common practice, no source")
            .shown()
        })
        .collect()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}}}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: none}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
",
        "K1",
    ),
        // Two relays on one output, one of them over a switch, and its other coil on another output.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}, OUT2: {limit: 8 A, hot-in: [accessory]}}}
  S1: {kind: switch, momentary: true, rating: 5 A}
  K1: {kind: relay, latching: true, coil: 90 ohm, contact: 30 A, suppression: none}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: none}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [C1.OUT1, S1, K1.set], size: 18 AWG, lengths: [2 m, 1 m], insulation: gxl}
  - {from: C1.OUT2, to: K1.reset, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: C1.OUT1, to: K2.86, size: 18 AWG, length: 2 m, insulation: gxl}
",
            "K2",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}}}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run]}}}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
",
        "K1.suppression",
    )],
};
