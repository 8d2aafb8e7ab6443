//! A controller that loses its supply each time the engine is cranked.

use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::read::document::Kind;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "drops-out-in-start",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a controller is on in run and loses its supply while the engine is cranked",
        page: include_str!("../../../docs/checks/drops-out-in-start.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let controllers: Vec<(PartId, &Part)> = context
        .parts_of(&[Kind::Controller])
        .filter(|&(id, _)| context.is_added(id))
        .collect();
    if controllers.is_empty() {
        return Vec::new();
    }
    let states = states(context);
    controllers
        .into_iter()
        .filter_map(|(id, part)| judge_controller(context, id, part, &states))
        .collect()
}

/// Run with the engine stopped and start, with everything as it is left and with everything on.
fn states(context: &Context<'_>) -> Vec<[Solution; 2]> {
    let vehicle = context.vehicle;
    let mut solver = Solver::new(vehicle);
    [false, true]
        .into_iter()
        .map(|on| {
            [Key::Run, Key::Start].map(|key| {
                let mut state = State {
                    key,
                    ..State::parked(vehicle)
                };
                if on {
                    for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
                        *position = unit.on;
                    }
                }
                solver.solve(&state, &Memory::charged(vehicle))
            })
        })
        .collect()
}

fn judge_controller(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    states: &[[Solution; 2]],
) -> Option<Verdict> {
    let supplies: Vec<BranchId> = part
        .branches
        .iter()
        .copied()
        .filter(|&branch| matches!(context.vehicle.branch(branch).element, Element::Load(_)))
        .collect();
    let has = |solution: &Solution| {
        supplies.iter().any(|&supply| {
            let branch = context.vehicle.branch(supply);
            (solution.at(branch.from) - solution.at(branch.to)).abs().0 > LIVE
        })
    };
    if !states.iter().any(|[run, _]| has(run)) {
        // It is on at other times only, or never.
        return None;
    }
    let unsure = super::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Some(Gap::of(unsure).part(id).shown());
    }
    if states.iter().all(|[run, start]| !has(run) || has(start)) {
        return Some(Verdict::NoneShown);
    }
    let vehicle = context.vehicle;
    let base = Base {
        state: State {
            key: Key::Start,
            ..State::parked(vehicle)
        },
        setting: Setting {
            key: Some(Key::Start),
            ..Setting::default()
        },
    };
    let mut solver = Solver::new(vehicle);
    let shows = search(
        vehicle,
        &[base],
        |_, _| true,
        |start| {
            let run = State {
                key: Key::Run,
                ..start.clone()
            };
            let [run, start] =
                [&run, start].map(|state| solver.solve(state, &Memory::charged(vehicle)));
            (has(&run) && !has(&start)).then_some(1.0)
        },
    );
    let setting = shows.map(|shows| shows.first.setting).unwrap_or_default();
    let name = &part.name.value;
    let mut finding = Finding::new(
        part.name.at,
        format!(
            "{} is on with the key in run{} and has no supply while the engine is cranked: it begins anew at every start",
            words::called(part),
            words::when(&setting)
        ),
    )
    .label("goes off in start")
    .part(id)
    .setting(setting)
    .source("the network solved with the key in run and in start, everything as it is left and everything on")
    .help(format!(
        "feed {name} from a terminal that is live in run and start (15), or from one that comes on only once the engine runs"
    ));
    let feeds: Vec<PartId> = context
        .walks
        .consumers_of(id)
        .flat_map(|consumer| &consumer.feed)
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(context.vehicle.branch(branch)),
            Link::Wire(_) => None,
        })
        .filter(|branch| match &branch.element {
            Element::Contact {
                control: Control::Hot { hot, .. },
                ..
            } => !hot.live(Key::Start, Engine::Stopped, false),
            _ => false,
        })
        .map(|branch| branch.part)
        .collect();
    for feed in feeds {
        let part = context.vehicle.part(feed);
        let at = if part.fields.get("hot-in").is_some() {
            part.at("hot-in")
        } else {
            part.name.at
        };
        finding = finding.also(at, "not live in start").part(feed);
    }
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {from: ACC, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "C1",
        ),
        // Through a relay that a run feed holds in.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "C1",
        ),
        // As it is left it stays on; by the switch it can be laid on a feed that goes off.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  IGN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A}
  ACC: {kind: feed, hot-in: [accessory, run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, positions: {standing: [[B, C]], driving: [[A, C]]}, left: driving}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {from: IGN, to: S1.A, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: ACC, to: S1.B, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: S1.C, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "C1",
        ),
        // Its supply stays, and its return is taken away.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {run: [B1, F1, C1.+], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: C1.-, to: K1.30, size: 16 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "C1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  IGN: {kind: feed, hot-in: [run, start], rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {from: IGN, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
        // Terminal 15 of the key stays on while cranking.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  KEY: {kind: key-switch, rating: 30 A}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {run: [B1, F1, KEY.30], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: KEY.15, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  C1: {kind: controller, type: electronics, draw: 0.5 A}
wires:
  - {from: TAP, to: C1.+, size: 16 AWG, length: 1 m, insulation: gxl}
",
        "TAP.hot-in",
    )],
};
