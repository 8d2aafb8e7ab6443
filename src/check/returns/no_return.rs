//! Current that reaches a part has no way home.

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "no-return",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "current that reaches a part has no way home",
        page: include_str!("../../../docs/checks/no-return.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .walks
        .consumers
        .iter()
        .filter(|consumer| {
            context.vehicle.own_load != Some(consumer.part) && !consumer.sources.is_empty()
        })
        .map(|consumer| judge_one(context, consumer))
        .collect()
}

fn judge_one(context: &Context<'_>, consumer: &Consumer) -> Verdict {
    let vehicle = context.vehicle;
    let branch = vehicle.branch(consumer.branch);
    // The foot of a converter is home to what it feeds, and needs a way home of its own.
    let (back, comes_home) = match branch.element {
        Element::Converter { back, .. } => (back, false),
        _ => (branch.to, consumer.comes_home),
    };
    if comes_home {
        return Verdict::NoneShown;
    }
    // Fed at both ends, as a lamp between two feeds is: which is its return is another question.
    let start = if context.walks.fed(back) && !context.walks.fed(branch.from) {
        branch.from
    } else {
        back
    };
    // What runs through it into another circuit is one fault with it, told as a sneak path.
    let both = context.walks.fed(back) && context.walks.fed(branch.from);
    let adrift = &context.solved.explored.adrift;
    if both && adrift.iter().any(|one| one.branch == consumer.branch) {
        return Verdict::NoneShown;
    }
    let dead = dead_end(context, consumer, start);
    if dead.home || in_series(context, consumer, &dead.reached) {
        return Verdict::NoneShown;
    }
    if !dead.pins.is_empty() {
        return Gap::of(dead.pins).part(consumer.part).shown();
    }
    let part = vehicle.part(consumer.part);
    let coil = matches!(branch.element, Element::Coil { .. });
    let what = if coil {
        format!("the coil of {}", part.name.value)
    } else {
        words::called(part)
    };
    let at = &vehicle.terminal(start).label;
    let leads = match dead.last.filter(|&last| last != start) {
        Some(last) => format!(": it ends at {}", vehicle.terminal(last).label),
        None => String::new(),
    };
    // `from: L1` is its return: a wire written that way round feeds what it was meant to be fed by.
    let turned = context
        .landing(back)
        .into_iter()
        .find(|&wire| start == branch.from && vehicle.wire(wire).from == back && !coil);
    let help = match (turned, dead.diode) {
        (Some(wire), _) => format!(
            "{} is written `from: {}`, which is its return {}: if it is meant to feed it, turn the wire round, `to: {}`",
            vehicle.wire(wire).id,
            part.name.value,
            vehicle.terminal(back).label,
            part.name.value
        ),
        (None, Some(diode)) => format!(
            "turn {} round: it lets current through from its `in` to its `out` only",
            context.name(diode)
        ),
        (None, None) => "record the wire that brings its return to the chassis or the battery; without one it finds a way through something else".to_owned(),
    };
    let mut finding = Finding::new(
        part.name.at,
        format!("{what} has no way home from {at}{leads}"),
    )
    .label("fed, but with no return")
    .part(consumer.part)
    .source("the record itself")
    .help(help);
    if let Some(last) = dead.last
        && let Some(owner) = vehicle.terminal(last).part
        && owner != consumer.part
    {
        finding = finding
            .part(owner)
            .also(vehicle.part(owner).name.at, "the return ends here");
    }
    finding.shown()
}

struct DeadEnd {
    /// The terminal farthest along, or the `+` that it leads to.
    last: Option<TerminalId>,
    /// Open sides of connector pins on the way.
    pins: Vec<String>,
    /// It is the chassis, or the foot of what feeds it: the upper battery of two in series has one of its own.
    home: bool,
    /// A diode that stands against it, with a way home behind.
    diode: Option<PartId>,
    /// All terminals on the way.
    reached: BTreeSet<TerminalId>,
}

/// Whether a return ends at another load that has no feed of its own, both made for less than the vehicle's voltage: two lamps of
/// 12 V in a row on 24 V are meant so.
fn in_series(context: &Context<'_>, consumer: &Consumer, reached: &BTreeSet<TerminalId>) -> bool {
    let vehicle = context.vehicle;
    let for_less = |one: &Consumer| match &vehicle.branch(one.branch).element {
        Element::Load(load) => load.rated.likely.0 < 0.7 * vehicle.system.likely.0,
        _ => false,
    };
    let mut others = context.walks.consumers.iter();
    for_less(consumer)
        && others.any(|other| {
            let end = vehicle.branch(other.branch).from;
            let follows = other.sources.is_empty() && other.comes_home && reached.contains(&end);
            follows && for_less(other)
        })
}

/// Where a return leads to.
fn dead_end(context: &Context<'_>, consumer: &Consumer, start: TerminalId) -> DeadEnd {
    let vehicle = context.vehicle;
    let mut found = DeadEnd {
        last: Some(start),
        pins: Vec::new(),
        home: false,
        diode: None,
        reached: BTreeSet::from([start]),
    };
    let is_foot = |at: TerminalId| {
        let mut sources = consumer.sources.iter();
        sources.any(|&source| {
            let source = &context.walks.sources[source];
            source.minus == at && source.branch != consumer.branch
        })
    };
    let is_plus = |at: TerminalId| {
        let mut sources = consumer.sources.iter();
        sources.any(|&source| context.walks.sources[source].plus == at)
    };
    let mut plus = None;
    let mut next = std::collections::VecDeque::from([start]);
    while let Some(at) = next.pop_front() {
        found.last = Some(at);
        if at == TerminalId::CHASSIS || is_foot(at) {
            found.home = true;
            return found;
        }
        // Beyond a `+` lies the whole vehicle: only a battery that stands on it is of concern.
        let at_plus = is_plus(at);
        if at_plus {
            plus = plus.or(Some(at));
        }
        let owner = vehicle
            .terminal(at)
            .part
            .map(|owner| vehicle.part(owner).kind);
        if owner == Some(Kind::Connector) && context.landing(at).is_empty() {
            found.pins.push(vehicle.terminal(at).label.clone());
        }
        let mut ends: Vec<TerminalId> = vehicle
            .graph
            .edges(at.node())
            .filter(|edge| match *edge.weight() {
                Link::Wire(_) => true,
                Link::Branch(id) => {
                    let branch = vehicle.branch(id);
                    match branch.element {
                        Element::Joint(_) | Element::Contact { .. } => true,
                        // What is the wrong way round lets nothing home.
                        Element::Diode { .. } if branch.from != at => {
                            if context.walks.comes_home(branch.from) {
                                found.diode = Some(branch.part);
                            }
                            false
                        }
                        Element::Diode { .. } => true,
                        _ => false,
                    }
                }
            })
            // Seen from one of its ends, an edge leads to the other.
            .filter_map(|edge| u32::try_from(edge.target().index()).ok().map(TerminalId))
            .collect();
        ends.sort_unstable();
        for end in ends {
            if (!at_plus || is_foot(end)) && found.reached.insert(end) {
                next.push_back(end);
            }
        }
    }
    found.last = plus.or(found.last);
    found
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // The stud on the tilting body is not joined to the chassis.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "LAMP",
        ),
        // What it feeds comes home to the foot of the converter, and that has no way home of its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CAM, to: CONV.-, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "CONV",
        ),
        // A lamp between two feeds, of which one ends in a plug; two that share what one needs; a wire written the wrong way round; and a diode that is.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  BATT: {kind: feed, hot-in: always, rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  L1: {kind: load, type: filament, draw: 2 A, rated-voltage: 12 V}
  L2: {kind: load, type: filament, draw: 2 A, rated-voltage: 12 V}
  DOME: {kind: load, type: led, draw: 1 A}
  SIGN: {kind: load, type: led, draw: 1 A}
  D1: {kind: diode, rating: 5 A}
  X1: {kind: connector, pins: {1: 10 A}, detach: plow}
wires:
  - {from: RUN, to: X1.1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: BATT, to: LAMP.-, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: L1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: L1, to: L2, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: DOME, to: BATT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: SIGN, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: SIGN, to: D1.out, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: D1.in, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "LAMP",
        ),
    ],
    quiet: &[
        // A lamp between two circuits, through which one feeds the other: that is one fault, told as a sneak path.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  LEFT: {kind: load, type: filament, draw: 2 A}
  RIGHT: {kind: load, type: filament, draw: 2 A}
  PILOT: {kind: load, type: filament, draw: 0.2 A}
wires:
  - {run: [RUN, S1, LEFT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {run: [RUN, S2, RIGHT], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
  - {from: S1.out, to: PILOT, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: PILOT.-, to: S2.out, size: 14 AWG, length: 1 m, insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  SPARE: {kind: load, type: led, draw: 2 A, what: not fed yet}
  BODY: {kind: stud}
  LID: {kind: stud}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: BODY, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: BODY, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: SPARE, to: LID, size: 14 AWG, length: 2 m, insulation: gxl}
",
        // The same, with a way to the chassis by a diode.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  D1: {kind: diode, rating: 10 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CAM, to: CONV.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [CONV.-, D1, chassis], size: 14 AWG, lengths: [50 cm, 50 cm], insulation: gxl}
",
        // Across the upper of two batteries in series: the foot of that one is its way home.
        "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: LAMP, to: BUP.-, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Two lamps of 12 V in a row on 24 V.
        "
vehicle: {name: tipper, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LEFT: {kind: load, type: filament, draw: 2 A, rated-voltage: 12 V}
  RIGHT: {kind: load, type: filament, draw: 2 A, rated-voltage: 12 V}
wires:
  - {from: RUN, to: LEFT, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LEFT, to: RIGHT, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RIGHT, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  X1: {kind: connector, pins: {1: 30 A}, detach: plow}
wires:
  - {from: RUN, to: LAMP, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: LAMP, to: X1.1, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "X1.1.b",
    )],
};
