//! Pins of a plug that are live when it is pulled out.

use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::model::Key;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::SwitchUnit;
use crate::model::TerminalId;
use crate::read::document::Kind;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "live-when-detached",
        level: Level::Warning,
        harm: Harm::Fire,
        summary: "with the key off, open pins of a plug are live when it is pulled out",
        page: include_str!("../../../docs/checks/live-when-detached.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut solver: Option<Solver<'_>> = None;
    context
        .parts_of(&[Kind::Connector])
        .filter_map(|(id, part)| {
            let detach = part.fields.text("detach")?;
            let solver = solver.get_or_insert_with(|| Solver::new(context.vehicle));
            Some(judge_plug(context, solver, id, part, &detach.value))
        })
        .collect()
}

/// A pin that is live, and whether a fuse stands ahead of it.
struct Hot {
    at: TerminalId,
    fused: bool,
}

fn judge_plug(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    id: PartId,
    part: &Part,
    group: &str,
) -> Verdict {
    let vehicle = context.vehicle;
    let mut hot: Vec<Hot> = Vec::new();
    for on in [false, true] {
        let mut state = State::parked(vehicle);
        state.detached.insert(group.to_owned());
        for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
            if on && !unit.disconnect && !unit.momentary {
                *position = unit.on;
            }
        }
        let solution = solver.solve(&state, &Memory::charged(vehicle));
        if let Some(trouble) = &solution.trouble {
            return Gap::of([format!("{}: {trouble}", part.name.value)])
                .part(id)
                .shown();
        }
        for &at in &part.terminals {
            let known = hot.iter().any(|pin| pin.at == at);
            if !known && !context.landing(at).is_empty() && is_fed(context, &solution, at) {
                let ahead = context.walks.protections_ahead(vehicle, at);
                hot.push(Hot {
                    at,
                    fused: ahead.iter().all(|(_, parts)| !parts.is_empty()),
                });
            }
        }
    }
    if hot.is_empty() || part.fields.flag("cover") {
        return Verdict::NoneShown;
    }
    if part.fields.get("cover").is_none() {
        return Gap::of([part.missing("cover")]).part(id).shown();
    }
    let pins: Vec<&str> = hot
        .iter()
        .map(|pin| vehicle.terminal(pin.at).label.as_str())
        .collect();
    let verb = if pins.len() == 1 { "is" } else { "are" };
    let mut state = State::parked(vehicle);
    state.detached.insert(group.to_owned());
    let setting = Setting {
        key: Some(Key::Off),
        also: Some(format!("with {group} unplugged")),
        ..Setting::default()
    };
    let base = Base { state, setting };
    let free = |_, unit: &SwitchUnit| !unit.disconnect && !unit.momentary;
    let shows = search(vehicle, &[base], free, |state| {
        let solution = solver.solve(state, &Memory::charged(vehicle));
        let live = hot.iter().filter(|pin| is_fed(context, &solution, pin.at));
        let live = live.count();
        (live > 0).then_some(live as f64)
    });
    let [setting, worst] = shows.map_or_else(Default::default, |shows| {
        [shows.first.setting, shows.worst.setting]
    });
    let fused = hot.iter().all(|pin| pin.fused);
    let fuse = if fused {
        ""
    } else {
        ", with no fuse ahead of it"
    };
    let finding = Finding::new(
        part.name.at,
        format!(
            "{} {verb} live with the key off and {group} unplugged{}, and {} has no cover{fuse}",
            words::list(&pins, 6),
            words::left(&worst),
            words::called(part)
        ),
    )
    .label("open and live")
    .part(id)
    .setting(setting)
    .worst(worst)
    .source("33 CFR 183.445(b) by analogy; a code of practice for conversions asks that unused connectors are insulated (read)")
    .help("feed it through a relay that the key holds in, or give the plug a cover (`cover: true`), and keep the live side in sockets, not pins");
    if fused {
        finding.shown()
    } else {
        finding.level(Level::Error).shown()
    }
}

/// Whether a source feeds a terminal over conductors, not through a load alone.
fn is_fed(context: &Context<'_>, solution: &Solution, at: TerminalId) -> bool {
    if solution.at(at).0.abs() <= LIVE {
        return false;
    }
    let closed = |branch| super::conductor(context, branch) && solution.closed[branch.index()];
    let joined = super::joined(context, at, closed);
    context
        .walks
        .sources
        .iter()
        .any(|source| joined.contains(&source.plus))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: plow, cover: false}
  F1: {kind: fuse, rating: 30 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, X1.4, LAMP], size: 8 AWG, lengths: [10 cm, 3 m, 3 m], insulation: gxl}
",
            "X1",
        ),
        // Only where the switch is left on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: plow, cover: false}
  F1: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch, rating: 20 A, left: open}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, S1, X1.4, LAMP], size: 8 AWG, lengths: [10 cm, 1 m, 3 m, 3 m], insulation: gxl}
",
            "X1",
        ),
        // From the battery's post, with neither fuse nor cover.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  P1: {kind: connector, pins: [1], detach: trailer, cover: false}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: P1.1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: P1.1, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "P1",
        ),
        // From the point between two batteries in series, at the post of the upper one.
        (
            "
vehicle: {name: a 24 V truck, system: 24 V}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, voltage: 12 V}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, voltage: 12 V}
  F1: {kind: fuse, rating: 10 A, form: blade}
  P1: {kind: connector, pins: [1], detach: trailer, cover: false}
  LAMP: {kind: load, type: led, draw: 2 A, rated-voltage: 13.5 V}
wires:
  - {from: B1, to: B2.-, size: 2 AWG, length: 30 cm, insulation: gxl}
  - {run: [B2.-, F1, P1.1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m, 2 m], insulation: gxl}
",
            "P1",
        ),
        // Both pins, by switches that can be left on; a button would do it alone, but nobody can leave it held.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  SP: {kind: stud}
  TEST: {kind: switch, rating: 20 A, momentary: true, left: rest, positions: {rest: [], held: [[A, L], [A, R]]}}
  S1: {kind: switch, rating: 20 A, left: open}
  S2: {kind: switch, rating: 20 A, left: open}
  X1: {kind: connector, pins: {4: 40 A, 5: 40 A}, detach: plow, cover: false}
  LEFT: {kind: load, type: led, draw: 5 A}
  RIGHT: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, SP], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [SP, S1, X1.4, LEFT], size: 12 AWG, lengths: [1 m, 3 m, 3 m], insulation: gxl}
  - {run: [SP, S2, X1.5, RIGHT], size: 12 AWG, lengths: [1 m, 3 m, 3 m], insulation: gxl}
  - {from: SP, to: TEST.A, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: TEST.L, to: X1.4, size: 12 AWG, length: 3 m, insulation: gxl}
  - {from: TEST.R, to: X1.5, size: 12 AWG, length: 3 m, insulation: gxl}
",
            "X1",
        ),
    ],
    quiet: &[
        // Behind the key.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  X1: {kind: connector, pins: {4: 40 A}, detach: plow, cover: false}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [RUN, X1.4, LAMP], size: 8 AWG, lengths: [3 m, 3 m], insulation: gxl}
",
        // Behind a button, and behind a disconnect that is left open. The pilot lamp across the button is no feed.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  BTN: {kind: switch, rating: 20 A, momentary: true}
  PILOT: {kind: load, type: led, draw: 20 mA, indicates: BTN}
  MASTER: {kind: disconnect, rating: 100 A, left: open}
  X1: {kind: connector, pins: {4: 40 A, 5: 40 A}, detach: plow, cover: false}
  PUMP: {kind: load, type: motor, draw: 5 A}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, BTN, X1.4, PUMP], size: 12 AWG, lengths: [10 cm, 1 m, 3 m, 3 m], insulation: gxl}
  - {from: F1, to: PILOT, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT, to: X1.4, size: 16 AWG, length: 3 m, insulation: gxl}
  - {run: [B1, F2, MASTER, X1.5, LAMP], size: 12 AWG, lengths: [10 cm, 1 m, 3 m, 3 m], insulation: gxl}
",
        // Covered.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: plow, cover: true}
  F1: {kind: fuse, rating: 30 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, X1.4, LAMP], size: 8 AWG, lengths: [10 cm, 3 m, 3 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: plow}
  F1: {kind: fuse, rating: 30 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {run: [B1, F1, X1.4, LAMP], size: 8 AWG, lengths: [10 cm, 3 m, 3 m], insulation: gxl}
",
        "X1.cover",
    )],
};
