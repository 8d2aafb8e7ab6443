//! Something that moves and can hurt comes on without the switch that is to guard it.

use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Branch;
use crate::model::Control;
use crate::model::Element;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::model::walk::Consumer;
use crate::read::document::Kind;
use crate::solve::Explored;
use crate::solve::Solver;
use crate::solve::explore;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "motion-without-interlock",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a hoist, crane or other moving part can be set going without an interlock",
        page: include_str!("../../../docs/checks/motion-without-interlock.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// As many combinations of one group as the exploration of the whole vehicle looks at.
const SETTINGS: usize = 4096;

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let moving: Vec<(PartId, &Part)> = context
        .parts_of(&[Kind::Load, Kind::Controller])
        .filter(|&(id, part)| part.fields.flag("moves") && context.is_added(id))
        .collect();
    if moving.is_empty() {
        return Vec::new();
    }
    // With every interlock open: what still comes on is not guarded. Without any, all of that was looked at already.
    let known = &context.solved.explored;
    let opened = opened(context.vehicle);
    let explored = match &opened {
        None if known.complete => known,
        None => &explore(&mut Solver::new(context.vehicle), SETTINGS),
        Some(open) => &explore(&mut Solver::new(open), SETTINGS),
    };
    moving
        .into_iter()
        .flat_map(|(id, part)| judge_part(context, id, part, explored))
        .collect()
}

/// The vehicle with its interlocks open for good; nothing where it has none.
fn opened(vehicle: &Vehicle) -> Option<Vehicle> {
    let is_interlock = |branch: &Branch| {
        let guards = vehicle.part(branch.part).fields.flag("interlock");
        let switched = matches!(
            branch.element,
            Element::Contact {
                control: Control::Switch { .. },
                ..
            }
        );
        guards && switched
    };
    if !vehicle.branches.iter().any(is_interlock) {
        return None;
    }
    let mut open = vehicle.clone();
    for branch in &mut open.branches {
        if is_interlock(branch)
            && let Element::Contact {
                control: Control::Switch { closed_in, .. },
                ..
            } = &mut branch.element
        {
            closed_in.clear();
        }
    }
    Some(open)
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part, explored: &Explored) -> Vec<Verdict> {
    let cannot = |missing: Vec<String>| vec![Gap::of(missing).part(id).shown()];
    let supplies: Vec<&Consumer> = context
        .walks
        .consumers_of(id)
        .filter(|consumer| flow::load(context, consumer).is_some())
        .collect();
    let unknown: Vec<String> = supplies
        .iter()
        .filter(|consumer| {
            flow::load(context, consumer)
                .is_some_and(|load| load.law.is_none() && load.modes.is_empty())
        })
        .map(|consumer| flow::draw_of(context, consumer))
        .collect();
    if !unknown.is_empty() {
        return cannot(unknown);
    }
    let uses = || {
        supplies
            .iter()
            .filter_map(|consumer| explored.uses.get(consumer.branch.index()))
    };
    let Some(ever) = uses().find_map(|uses| uses.ever.as_ref()) else {
        return if explored.complete {
            vec![Verdict::NoneShown]
        } else {
            cannot(vec![context.not_explored()])
        };
    };
    let off = uses().find_map(|uses| uses.key_off.as_ref());
    // Two switches in series behind a feed that is dead with the key off guard it as well. A master is closed all day long.
    let is_master = |label: &String| {
        let mut units = context.vehicle.switches.iter();
        units.any(|unit| unit.disconnect && unit.label == *label)
    };
    let moved = ever.closed.iter().chain(&ever.opened);
    let guarded = moved.filter(|&label| !is_master(label)).count() >= 2;
    if off.is_none() && guarded {
        return vec![Verdict::NoneShown];
    }
    let unsure = unsure_feeds(context, &supplies);
    if !unsure.is_empty() {
        return cannot(unsure);
    }
    vec![fault(context, id, part, off.unwrap_or(ever), off.is_some()).shown()]
}

/// Feeds on its way, and on that of the relays that switch it, of which the record does not say when they are live.
fn unsure_feeds(context: &Context<'_>, supplies: &[&Consumer]) -> Vec<String> {
    let vehicle = context.vehicle;
    let on_way = |consumer: &Consumer| -> Vec<PartId> {
        let links = consumer.feed.iter().chain(&consumer.back);
        links
            .filter_map(|link| match *link {
                Link::Branch(branch) => Some(vehicle.branch(branch).part),
                Link::Wire(_) => None,
            })
            .collect()
    };
    let mut parts: Vec<PartId> = supplies.iter().flat_map(|one| on_way(one)).collect();
    let relays: Vec<PartId> = parts
        .iter()
        .copied()
        .filter(|&id| vehicle.part(id).kind == Kind::Relay)
        .collect();
    for relay in relays {
        parts.extend(context.walks.consumers_of(relay).flat_map(&on_way));
    }
    parts.sort_unstable();
    parts.dedup();
    parts
        .into_iter()
        .map(|id| vehicle.part(id))
        .filter(|part| part.kind == Kind::Feed && part.fields.list("hot-in").is_empty())
        .map(|feed| feed.missing("hot-in"))
        .collect()
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    setting: &Setting,
    key_off: bool,
) -> Finding {
    let name = &part.name.value;
    let key = match setting.key {
        _ if key_off => " with the key off".to_owned(),
        Some(Key::Off) | None => String::new(),
        Some(key) => format!(" with the key in {}", key.text()),
    };
    let when = words::when(setting);
    let by = if when.is_empty() {
        ", with no switch at all".to_owned()
    } else {
        when
    };
    let guards: Vec<&str> = context
        .parts_of(&[Kind::Switch])
        .filter(|(_, part)| part.fields.flag("interlock"))
        .map(|(_, part)| part.name.value.as_str())
        .collect();
    let without = if guards.is_empty() {
        "no interlock is in the record".to_owned()
    } else {
        format!("{} does not stop it", words::list(&guards, 3))
    };
    Finding::new(
        part.at("moves"),
        format!(
            "{} is set going{key}{by}: {without}",
            words::called(part)
        ),
    )
    .label("moves, and nothing guards it")
    .part(id)
    .setting(setting.clone())
    .source("common practice, no source; the network solved in every setting with all interlocks open")
    .help(format!(
        "put a switch that closes only when the vehicle stands secured (parking brake, cab enable, PTO) into the control wire of {name} and mark it `interlock: true`; or feed its control from something that is dead with the key off, behind two switches in series"
    ))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // One button, live at all times. A lamp on it moves nothing.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  S1: {kind: switch, momentary: true, rating: 60 A}
  HOIST: {kind: load, type: motor, draw: 40 A, duty: 5 %, moves: true}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, HOIST], size: 6 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {from: S1, to: LAMP, size: 6 AWG, length: 1 m, insulation: gxl}
",
            "HOIST",
        ),
        // The interlock is passed by.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SAFE: {kind: switch, rating: 10 A, interlock: true}
  S1: {kind: switch, momentary: true, rating: 10 A}
  S2: {kind: switch, momentary: true, rating: 10 A}
  K1: {kind: relay, coil: 15 ohm, contact: 100 A, pull-in: 8 V, drop-out: 2 V}
  HOIST: {kind: load, type: motor, draw: 40 A, duty: 5 %, moves: true}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: HOIST, size: 6 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, SAFE, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
  - {run: [RUN, S2, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "HOIST",
        ),
        // On a feed, with no switch at all.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  HOIST: {kind: load, type: motor, draw: 5 A, moves: true}
wires:
  - {from: RUN, to: HOIST, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "HOIST",
        ),
        // A master that is open overnight is no guard: in use there is one button.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  MASTER: {kind: disconnect, rating: 100 A, left: open}
  S1: {kind: switch, momentary: true, rating: 10 A}
  GATE: {kind: load, type: motor, draw: 5 A, moves: true}
wires:
  - {run: [RUN, MASTER, S1, GATE], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
",
            "GATE",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: blade-maxi}
  SAFE: {kind: switch, rating: 10 A, interlock: true}
  S1: {kind: switch, momentary: true, rating: 10 A}
  K1: {kind: relay, coil: 15 ohm, contact: 100 A, pull-in: 8 V, drop-out: 2 V}
  HOIST: {kind: load, type: motor, draw: 40 A, duty: 5 %, moves: true}
wires:
  - {run: [B1, F1, K1.30], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: HOIST, size: 6 AWG, length: 1 m, insulation: gxl}
  - {run: [F1, SAFE, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
",
        // Two switches in series behind the key.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, momentary: true, rating: 10 A}
  GATE: {kind: load, type: motor, draw: 5 A, duty: 5 %, moves: true}
wires:
  - {run: [RUN, S1, S2, GATE], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
",
        // One that has to be opened, for it holds a relay in, and one that has to be closed.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: closed}
  S2: {kind: switch, momentary: true, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  GATE: {kind: load, type: motor, draw: 5 A, duty: 5 %, moves: true}
wires:
  - {run: [RUN, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [K1.87a, S2, GATE], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, momentary: true, rating: 10 A}
  GATE: {kind: load, type: motor, draw: 5 A, duty: 5 %, moves: true}
wires:
  - {run: [TAP, S1, S2, GATE], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
",
            "TAP.hot-in",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S2: {kind: switch, momentary: true, rating: 10 A}
  GATE: {kind: load, type: motor, moves: true}
wires:
  - {run: [RUN, S2, GATE], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "GATE.draw",
        ),
        // The same feed behind the coil of a relay.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  TAP: {kind: feed, rating: 10 A, limit: 10 A}
  S1: {kind: switch, momentary: true, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  GATE: {kind: load, type: motor, draw: 5 A, duty: 5 %, moves: true}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: GATE, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [TAP, S1, K1.86], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "TAP.hot-in",
        ),
    ],
};
