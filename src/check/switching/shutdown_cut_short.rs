//! Something that must run down or write its files first can be cut off sooner.

use crate::check::flow;
use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Fact;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "shutdown-cut-short",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a disconnect, cutoff or key feed cuts off what must run down first",
        page: include_str!("../../../docs/checks/shutdown-cut-short.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut parts: Vec<(PartId, &Part, Fact<Seconds>)> = context
        .parts_of(&[Kind::Load, Kind::Controller])
        .filter_map(|(id, part)| Some((id, part, part.stated("needs-shutdown")?)))
        .collect();
    parts.retain(|(id, ..)| {
        let mut consumers = context.walks.consumers_of(*id);
        consumers.any(|consumer| !consumer.sources.is_empty())
    });
    let unknown = context.parts_of(&[Kind::Load, Kind::Controller]);
    let mut verdicts: Vec<Verdict> = unknown
        .filter(|(_, part)| part.fields.is_unknown("needs-shutdown"))
        .map(|(id, part)| Gap::of([part.missing("needs-shutdown")]).part(id).shown())
        .collect();
    if parts.is_empty() {
        return verdicts;
    }
    let mut solver = Solver::new(context.vehicle);
    let judged = parts
        .into_iter()
        .flat_map(|(id, part, needs)| judge_part(context, &mut solver, id, part, needs));
    verdicts.extend(judged);
    verdicts
}

/// What ends its supply, and how.
struct Cut {
    by: Option<PartId>,
    words: String,
    help: String,
    setting: Setting,
}

fn judge_part(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    id: PartId,
    part: &Part,
    needs: Fact<Seconds>,
) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let supplies: Vec<&Consumer> = context
        .walks
        .consumers_of(id)
        .filter(|consumer| flow::load(context, consumer).is_some())
        .collect();
    let ways: Vec<BranchId> = supplies
        .iter()
        .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back))
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(branch),
            Link::Wire(_) => None,
        })
        .collect();
    let unsure = unsure(context, &ways);
    if !unsure.is_empty() {
        return vec![Gap::of(unsure).part(id).shown()];
    }
    let on = |solution: &Solution| {
        supplies.iter().any(|consumer| {
            let branch = vehicle.branch(consumer.branch);
            (solution.at(branch.from) - solution.at(branch.to)).abs().0 > LIVE
        })
    };
    // As it is at work: with its switches on where it needs them.
    let at_work = [false, true].into_iter().find_map(|all| {
        let mut state = State {
            key: Key::Run,
            engine: Engine::Idle,
            settled: false,
            ..State::parked(vehicle)
        };
        for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
            if all && !unit.momentary {
                *position = unit.on;
            }
        }
        let solution = solver.solve(&state, &Memory::charged(vehicle));
        on(&solution).then_some((state, solution))
    });
    let Some((state, running)) = at_work else {
        return vec![Verdict::NoneShown];
    };
    let mut cuts = Vec::new();
    let after = State {
        key: Key::Off,
        engine: Engine::Stopped,
        elapsed: needs.range.high * 0.999,
        ..state.clone()
    };
    if !on(&solver.solve(&after, &running.memory)) {
        cuts.push(by_the_key(context, part, &ways, needs));
    }
    for (number, unit) in vehicle.switches.iter().enumerate() {
        let own = vehicle.part(unit.part);
        let is_switch = matches!(own.kind, Kind::Disconnect | Kind::Switch);
        if !is_switch || state.positions[number] == 0 && own.kind == Kind::Disconnect {
            continue;
        }
        let mut opened = state.clone();
        let others = (0..unit.positions.len() as u8).filter(|at| *at != state.positions[number]);
        let cut = others.into_iter().any(|at| {
            opened.positions[number] = at;
            !on(&solver.solve(&opened, &running.memory))
        });
        if cut {
            let name = &own.name.value;
            cuts.push(Cut {
                by: Some(unit.part),
                words: format!("{} cuts it off the moment it is opened", words::called(own)),
                help: format!(
                    "feed it from a point ahead of {name}, with a fuse of its own, and say `stays-live: WHY`"
                ),
                setting: Setting {
                    opened: vec![unit.label.clone()],
                    ..Setting::default()
                },
            });
        }
    }
    cuts.extend(by_cutoffs(context, &supplies, &ways));
    if cuts.is_empty() {
        return vec![Verdict::NoneShown];
    }
    cuts.iter()
        .map(|cut| fault(context, id, part, needs, cut).shown())
        .collect()
}

/// Facts without which it cannot be told how long its supply lasts.
fn unsure(context: &Context<'_>, ways: &[BranchId]) -> Vec<String> {
    let mut missing: Vec<String> = ways
        .iter()
        .filter_map(|&branch| {
            let part = context.vehicle.part(context.vehicle.branch(branch).part);
            match part.kind {
                Kind::Feed if part.fields.list("hot-in").is_empty() => Some(part.missing("hot-in")),
                Kind::Feed if matches!(part.fields.get("stays-on"), Some(Value::Unknown(_))) => {
                    Some(part.missing("stays-on"))
                }
                Kind::Delay if part.stated::<Seconds>("keeps-on").is_none() => {
                    Some(part.missing("keeps-on"))
                }
                _ => None,
            }
        })
        .collect();
    missing.sort();
    missing.dedup();
    missing
}

/// Its supply ends with the key, or too soon after it.
fn by_the_key(context: &Context<'_>, part: &Part, ways: &[BranchId], needs: Fact<Seconds>) -> Cut {
    let vehicle = context.vehicle;
    let ends = ways.iter().find_map(|&branch| {
        let id = vehicle.branch(branch).part;
        let kind = vehicle.part(id).kind;
        matches!(
            kind,
            Kind::Feed | Kind::KeySwitch | Kind::Delay | Kind::Relay
        )
        .then_some(id)
    });
    let name = &part.name.value;
    let lasts = ends.and_then(|id| {
        let by = vehicle.part(id);
        let lasts: Option<Fact<Seconds>> = by.stated("keeps-on").or_else(|| by.stated("stays-on"));
        Some((by, lasts?))
    });
    let words = match (lasts, ends) {
        (Some((by, lasts)), _) => format!(
            "{} keeps it on for {} only",
            words::called(by),
            words::range(lasts.range)
        ),
        (None, Some(id)) => format!("{} goes dead with the key", words::called(vehicle.part(id))),
        (None, None) => "its supply goes dead with the key".to_owned(),
    };
    Cut {
        by: ends,
        words,
        help: format!(
            "feed {name} from what is live at all times, or through a delay that keeps on for more than {}",
            words::range(needs.range)
        ),
        setting: Setting {
            key: Some(Key::Off),
            ..Setting::default()
        },
    }
}

/// Cutoffs on its only way: they open when the voltage says so, not when it has finished.
fn by_cutoffs(context: &Context<'_>, supplies: &[&Consumer], ways: &[BranchId]) -> Vec<Cut> {
    let vehicle = context.vehicle;
    let mut cuts: Vec<Cut> = Vec::new();
    for &branch in ways {
        let id = vehicle.branch(branch).part;
        let cutoff = vehicle.part(id);
        let is_contact = matches!(vehicle.branch(branch).element, Element::Contact { .. });
        if cutoff.kind != Kind::Cutoff || !is_contact || cuts.iter().any(|cut| cut.by == Some(id)) {
            continue;
        }
        let past = supplies.iter().any(|consumer| {
            let from = vehicle.branch(consumer.branch).from;
            context.walks.fed_apart_from(vehicle, from, &[branch])
        });
        if past {
            continue;
        }
        cuts.push(Cut {
            by: Some(id),
            words: format!(
                "{} opens when the battery is low, finished or not",
                words::called(cutoff)
            ),
            help: format!(
                "let {} tell it to shut down before it opens, or feed it from a point ahead of {}",
                cutoff.name.value, cutoff.name.value
            ),
            setting: Setting::default(),
        });
    }
    cuts
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    needs: Fact<Seconds>,
    cut: &Cut,
) -> Finding {
    let finding = Finding::new(
        part.at("needs-shutdown"),
        format!(
            "{} needs {} to run down, and {}",
            words::called(part),
            words::range(needs.range),
            cut.words
        ),
    )
    .label("can be cut off sooner")
    .part(id)
    .setting(cut.setting.clone())
    .source("`needs-shutdown` of the record, and the network solved with its supply taken away")
    .help(cut.help.clone());
    match cut.by {
        Some(by) => finding
            .also(context.vehicle.part(by).name.at, "cuts it off")
            .part(by),
        None => finding,
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A heater behind the master switch.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 20 A, form: blade}
  HEATER: {kind: load, type: electronics, draw: 2 A, parked: 3 mA, needs-shutdown: 3 min, stays-live: runs down}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, HEATER], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "HEATER",
        ),
        // On a feed that goes dead with the key.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {from: RUN, to: TABLET, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "TABLET",
        ),
        // A delay that is too short.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, keeps-on: 1 min, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "T1",
        ),
        // A cutoff.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LVD: {kind: cutoff, opens: 12 V, closes: 12.8 V, draw: 3 mA}
  RECORDER: {kind: load, type: electronics, draw: 1 A, needs-shutdown: 30 s}
wires:
  - {run: [B1, F1, LVD, RECORDER], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        // Its own switch, which is on at work.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, S1, PC], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "S1",
        ),
        // The output of a controller goes off with the key.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  BOX: {kind: controller, draw: 0.2 A, outputs: {OUT1: {limit: 5 A, hot-in: run}}}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, BOX.+], size: 14 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: BOX.OUT1, to: PC, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "PC",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, keeps-on: 10 min, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // Its memory supply stays on; the key only tells it to shut down.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, needs-shutdown: 10 s, supplies: {memory: {draw: 5 mA}, main: {draw: 2 A}}}
wires:
  - {run: [B1, F1, RADIO.memory], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: RUN, to: RADIO.main, size: 16 AWG, length: 1 m, insulation: gxl}
",
        // Behind a button that springs back it is never at work by itself.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A, momentary: true}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, S1, PC], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // A disconnect that is open all the time, ahead of something else, cuts nothing off.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  M2: {kind: disconnect, rating: 100 A, left: open}
  LAMP: {kind: load, type: led, draw: 3 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, PC], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [F1, M2, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // The cutoff is bridged: it opens and nothing happens.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: cutoff, opens: 11.9 V, closes: 12.8 V, draw: 5 mA, rating: 20 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {run: [B1, F1, CUT.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CUT.out, to: PC, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: PC, size: 14 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  T1: {kind: delay, draw: 3 mA}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {run: [B1, F1, T1, TABLET], size: 14 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "T1.keeps-on",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  TABLET: {kind: load, type: electronics, draw: 2 A, needs-shutdown: 2 min}
wires:
  - {from: TAP, to: TABLET, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "TAP.hot-in",
        ),
        // For how long the feed stays on is said to be unknown.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ACC: {kind: feed, hot-in: [accessory, run], stays-on: unknown, rating: 10 A, limit: 10 A}
  PC: {kind: load, type: electronics, draw: 3 A, needs-shutdown: 3 min}
wires:
  - {from: ACC, to: PC, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "ACC.stays-on",
        ),
    ],
};
