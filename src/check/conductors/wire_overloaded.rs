//! More current through a wire than it carries.

use crate::analyze::conductor::Conductor;
use crate::check::carries::carries;
use crate::check::carries::heats;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::sizing;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::table::ampacity;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "wire-overloaded",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "more current can flow through a wire than it carries",
        page: include_str!("../../../docs/checks/wire-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .wires()
        .filter(|&(id, wire)| !context.walks.is_cranking(id) && !wire.is_resistor())
        .filter_map(|(id, wire)| judge_wire(context, id, wire))
        .collect()
}

fn judge_wire(context: &Context<'_>, id: WireId, wire: &Wire) -> Option<Verdict> {
    let flow = flow::in_wire(context, id);
    // No current is ever seen in it and nothing is unknown about what it leads to: any size does.
    if flow.amps.0 <= 1e-3 && flow.missing.is_empty() {
        return None;
    }
    let carries = match carries(context, id) {
        Ok(carries) => carries,
        Err(missing) => return Some(Gap::of(missing.clone()).wire(id).shown()),
    };
    match weigh(flow.range, carries.amps) {
        Weighed::Above => {}
        Weighed::Within if flow.missing.is_empty() => return Some(Verdict::NoneShown),
        Weighed::Within => return Some(Gap::of(flow.missing).wire(id).shown()),
        Weighed::Depends => {
            let mut missing = carries.missing.clone();
            missing.extend(flow.wanted());
            if missing.is_empty() {
                missing.push(format!("{}.insulation", wire.id));
            }
            return Some(Gap::of(missing).wire(id).shown());
        }
    }
    let consumers: Vec<&Consumer> = context.walks.through_wire(id).collect();
    let takers = flow::takers(context, &consumers, flow.amps, |solution| solution.wire(id));
    let by = match takers.words(context, 4) {
        none if none.is_empty() => none,
        words => format!(": {words}"),
    };
    let most = carries.amps.high;
    let larger = sizing::size_for(context, id, |amps| amps >= flow.range.high);
    let help = match larger {
        Some(size) => format!(
            "run {} in {size} or thicker, and look at the fuse ahead of it",
            wire.id
        ),
        None => format!(
            "split what hangs on {} over several wires, each with its own fuse",
            wire.id
        ),
    };
    let finding = Finding::new(
        context.wire_at(id, "size"),
        format!(
            "{} can flow through {} ({}), which carries {}{by}",
            words::show(flow.amps),
            wire.id,
            carries.named,
            words::show(most)
        ),
    )
    .label(format!("carries {}", words::show(most)))
    .wire(id)
    .measured(flow.amps, most, carries.source.clone())
    .setting(flow.showing(most))
    .worst(flow.setting)
    .help(help)
    .step(
        format!(
            "{}: {} carries {}; {} as solved in the worst setting",
            wire.id,
            carries.named,
            words::show(most),
            words::show(flow.amps)
        ),
        carries.source.clone(),
    );
    let finding = match heats(context, id) {
        Ok(heats) => heat(finding, &heats.best, flow.amps),
        Err(_) => finding,
    };
    Some(takers.point(context, finding).shown())
}

/// How warm it gets for long, by its ampacity point.
fn heat(finding: Finding, conductor: &Conductor, amps: Amps) -> Finding {
    let table = ampacity::table_ambient();
    finding.step(
        format!(
            "{:.0} C around it + ({:.0} C - {:.0} C) x ({} / {})^2 = {:.0} C if it lasts, {:.0} C is the class",
            conductor.ambient.0,
            conductor.class.0,
            table.value.0,
            words::show(amps),
            words::show(conductor.carries),
            conductor.steady(amps).0,
            conductor.class.0
        ),
        format!("rise with the square of the current from the ampacity point; {}", table.source),
    )
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // 16 AWG with 105 C insulation carries 25 A: 33 CFR 183.425, Table 5.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led, draw: 28 A}
wires:
  - {id: thin, from: RUN, to: HEAT, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "thin",
        ),
        // Two circuits share one thin return.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  G1: {kind: stud}
  LEFT: {kind: load, type: led, draw: 9 A}
  RIGHT: {kind: load, type: led, draw: 9 A}
wires:
  - {from: RUN, to: LEFT, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: RUN, to: RIGHT, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: LEFT, to: G1, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: RIGHT, to: G1, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {id: home, from: G1, to: chassis, size: 18 AWG, length: 1 m, insulation: 60 C}
",
            "home",
        ),
        // What charges the second battery is no load.
        (
            "
vehicle: {name: a plain truck, system: 12 V}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 150 A, at-idle: 80 A}
  F1: {kind: fuse, rating: 100 A, form: bolt-down}
  F2: {kind: fuse, rating: 100 A, form: bolt-down}
  SOL: {kind: isolator, style: relay, rating: 100 A, opens: 12.8 V, closes: 13.3 V}
  AUX: {kind: battery, chemistry: lfp, capacity: 200 Ah, charge: 30 %}
wires:
  - {run: [B1, F1, SOL.a], size: 4 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {id: thin, from: SOL.b, to: F2, size: 14 AWG, length: 1 m, insulation: 60 C}
  - {from: F2.out, to: AUX, size: 4 AWG, length: 10 cm, insulation: gxl}
",
            "thin",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led, draw: 25 A}
wires:
  - {from: RUN, to: HEAT, size: 16 AWG, length: 1 m, insulation: 105 C}
",
        // Insulation not stated, and enough even with the poorest.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led, draw: 9 A}
wires:
  - {from: RUN, to: HEAT, size: 16 AWG, length: 1 m}
",
        // Neither a resistor nor a cable for cranking is asked.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  KEY: {kind: feed, hot-in: [start], rating: 400 A, limit: 400 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  STARTER: {kind: load, type: starter, draw: 250 A, duty: 1 %}
  FAN: {kind: load, type: motor, draw: 8 A}
  S1: {kind: switch, rating: 20 A}
wires:
  - {from: KEY, to: STARTER, size: 2 AWG, length: 1 m, insulation: sgx}
  - {from: RUN, to: S1, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: S1, to: FAN, resistance: 0.8 ohm}
",
    ],
    cannot: &[
        // Exact by day, a range in the mode that takes most.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led, draw: 10 A, modes: {high: 20..30 A}}
wires:
  - {id: thin, from: RUN, to: HEAT, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "HEAT.modes",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led, draw: 20 A}
wires:
  - {from: RUN, to: HEAT, size: 16 AWG, length: 1 m}
",
            "w1.insulation",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 60 A, limit: 60 A}
  HEAT: {kind: load, type: led}
wires:
  - {from: RUN, to: HEAT, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "HEAT.draw",
        ),
    ],
};
