//! A controller's pulsed output drives a relay coil.

use super::driven;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::element::CoilRole;
use crate::read::document::Value;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "pulsed-output-drives-coil",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a controller's pulsed output drives a relay coil",
        page: include_str!("../../../docs/checks/pulsed-output-drives-coil.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    driven::coils(context)
        .into_iter()
        .filter(|driven| {
            // The set and reset coils of a latching relay need one pulse only.
            let branches = &context.vehicle.part(driven.relay).branches;
            branches.iter().any(|&branch| {
                matches!(
                    context.vehicle.branch(branch).element,
                    Element::Coil {
                        role: CoilRole::Hold,
                        ..
                    }
                )
            })
        })
        .map(|driven| {
            let relay = context.vehicle.part(driven.relay);
            let controller = context.vehicle.part(driven.controller);
            let output = &context.vehicle.branch(driven.output).name;
            let (name, driver) = (&relay.name.value, &controller.name.value);
            let fields = controller
                .fields
                .map("outputs")
                .and_then(|outputs| outputs.map(output));
            let Some((fields, stated)) =
                fields.and_then(|fields| Some((fields, fields.get("pulsed")?)))
            else {
                return Gap::of([format!("{driver}.{output}.pulsed")])
                    .part(driven.controller)
                    .shown();
            };
            if !fields.flag("pulsed") {
                return Verdict::NoneShown;
            }
            Finding::new(
                Value::at(stated),
                format!(
                    "output {output} of {driver} gives pulses, and the coil of {} hangs on it",
                    words::called(relay)
                ),
            )
            .label("a coil needs a steady voltage")
            .part(driven.controller)
            .part(driven.relay)
            .also(relay.name.at, "chatters, or does not pull in at all")
            .help(format!(
                "set {output} to steady in the controller, or drive {name} from an output that is"
            ))
            .source("`pulsed` of the record; common practice, no source")
            .shown()
        })
        .collect()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run], pulsed: true}}}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
",
        "K1",
    )],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.1 A, parked: 1 mA, outputs: {OUT1: {limit: 8 A, hot-in: [run], pulsed: false}}}
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
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {run: [B1, F1, C1.+], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: C1.OUT1, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
",
        "C1.OUT1.pulsed",
    )],
};
