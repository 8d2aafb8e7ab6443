//! Relays that find no rest: pulling in takes away what pulls them in.

use std::collections::VecDeque;

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::WireId;
use crate::model::element::CoilRole;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "relay-chatters",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a relay pulls in and lets go again and again",
        page: include_str!("../../../docs/checks/relay-chatters.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let loops = loops(context);
    let mut told: Vec<&[PartId]> = Vec::new();
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        let Some(coil) = coil(context, part) else {
            continue;
        };
        let found = loops.iter().find(|(circle, _)| circle.contains(&id));
        let pulls_in = pulls_in(context, coil);
        match found {
            Some((circle, setting)) => {
                if pulls_in == Some(true) {
                    if !told.contains(&circle.as_slice()) {
                        told.push(circle);
                        verdicts.push(tell(context, circle, setting));
                    }
                } else {
                    verdicts.push(Gap::of([part.missing("pull-in")]).part(id).shown());
                }
            }
            None if pulls_in.is_none() && cuts_itself_off(context, id, part) => {
                verdicts.push(Gap::of([part.missing("pull-in")]).part(id).shown());
            }
            None if !context.solved.explored.complete => {
                verdicts.push(Gap::of([context.not_explored()]).part(id).shown());
            }
            None => verdicts.push(Verdict::NoneShown),
        }
    }
    verdicts
}

/// Loops of relays that were seen in any setting or situation. One of which a cutoff or an isolator is part is about its
/// thresholds, not about relays.
fn loops(context: &Context<'_>) -> Vec<(Vec<PartId>, Setting)> {
    let mut loops = context.solved.explored.chatter.clone();
    for (situation, solution) in &context.solved.situations {
        for circle in &solution.chatter {
            if loops.iter().all(|(known, _)| known != circle) {
                let setting = Setting {
                    situation: Some(situation.name.clone()),
                    ..Setting::default()
                };
                loops.push((circle.clone(), setting));
            }
        }
    }
    loops.retain(|(circle, _)| {
        circle.iter().all(|&part| {
            !matches!(
                context.vehicle.part(part).kind,
                Kind::Cutoff | Kind::Isolator
            )
        })
    });
    loops
}

fn coil(context: &Context<'_>, part: &Part) -> Option<BranchId> {
    part.branches.iter().copied().find(|&branch| {
        matches!(
            context.vehicle.branch(branch).element,
            Element::Coil {
                role: CoilRole::Hold,
                ..
            }
        )
    })
}

/// Whether the most that its coil gets pulls it in; nothing where that depends on what is not known closely enough.
fn pulls_in(context: &Context<'_>, coil: BranchId) -> Option<bool> {
    let Element::Coil { ohms, pull_in, .. } = &context.vehicle.branch(coil).element else {
        return Some(false);
    };
    let most = context.solved.explored.branches.get(coil.index())?;
    // A situation can be one of those settings that were too many to look at.
    let situations = context.solved.situations.iter();
    let most = situations.fold(most.value.abs(), |most, (_, solution)| {
        most.max(solution.branch(coil).abs())
    });
    let volts = Volts(most.0 * ohms.likely.0);
    if volts >= pull_in.range.high {
        Some(true)
    } else if volts < pull_in.range.low {
        Some(false)
    } else {
        None
    }
}

/// Whether the current of its coil can run through a contact that it opens itself.
fn cuts_itself_off(context: &Context<'_>, id: PartId, part: &Part) -> bool {
    context
        .walks
        .consumers_of(id)
        .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back))
        .any(|link| match *link {
            Link::Branch(branch) => {
                part.branches.contains(&branch)
                    && matches!(
                        context.vehicle.branch(branch).element,
                        Element::Contact {
                            control: Control::Relay { when_in: false, .. },
                            ..
                        }
                    )
            }
            Link::Wire(_) => false,
        })
}

fn tell(context: &Context<'_>, circle: &[PartId], setting: &Setting) -> Verdict {
    let names: Vec<&str> = circle.iter().map(|&part| context.name(part)).collect();
    let first = context.vehicle.part(circle[0]);
    let when = match &setting.situation {
        Some(situation) => format!(" in `{situation}`"),
        None => words::when(setting),
    };
    let closing: Vec<Closing> = circle
        .iter()
        .flat_map(|&relay| closing(context, circle, relay))
        .collect();
    let message = if circle.len() == 1 {
        let why = match closing.first() {
            Some(closing) => format!(
                "{} feeds its own coil{}, and moves as it pulls in",
                closing.contact(context),
                closing.over(context)
            ),
            None => "once it is in, its coil gets too little to hold it".to_owned(),
        };
        format!(
            "{} pulls in and lets go again and again{when}: {why}",
            words::called(first)
        )
    } else {
        let ways: Vec<String> = closing
            .iter()
            .map(|closing| {
                let contact = closing.contact(context);
                format!(
                    "{contact} feeds the coil of {}{}",
                    context.name(closing.relay),
                    closing.over(context)
                )
            })
            .collect();
        let ways = if ways.is_empty() {
            String::new()
        } else {
            format!(" ({})", words::list(&ways, 4))
        };
        format!(
            "{} find no rest{when}: each time one has moved, it makes another move back{ways}",
            words::list(&names, 4)
        )
    };
    let mut finding = Finding::new(first.name.at, message)
        .label("chatters until its contacts burn")
        .parts(circle.iter().copied())
        .setting(setting.clone())
        .help(if closing.is_empty() {
            format!(
                "feed the coil of {} over a wire of its own, or thicken what it shares with what it switches",
                names[0]
            )
        } else {
            format!(
                "feed the coil of {} from a point that its own contacts do not switch off",
                names[0]
            )
        })
        .source("the network solved in every setting, relays moved until they rest");
    for &other in &circle[1..] {
        finding = finding.also(context.vehicle.part(other).name.at, "in the same circle");
    }
    for &wire in closing.iter().flat_map(|closing| &closing.wires) {
        let at = context.vehicle.wire(wire).at.unwrap_or_default();
        finding = finding.wire(wire).also(at, "closes the circle");
    }
    finding.shown()
}

/// A contact of the circle through which the coil of a relay of it is fed or comes home, and the wires between.
struct Closing {
    relay: PartId,
    contact: BranchId,
    wires: Vec<WireId>,
}

impl Closing {
    /// `the contact between K1.30 and K1.87a`.
    fn contact(&self, context: &Context<'_>) -> String {
        let branch = context.vehicle.branch(self.contact);
        let label = |end: TerminalId| context.vehicle.terminal(end).label.as_str();
        format!(
            "the contact between {} and {}",
            label(branch.from),
            label(branch.to)
        )
    }

    /// ` over w3`.
    fn over(&self, context: &Context<'_>) -> String {
        let wires: Vec<&str> = self
            .wires
            .iter()
            .map(|&wire| context.vehicle.wire(wire).id.as_str())
            .collect();
        if wires.is_empty() {
            String::new()
        } else {
            format!(" over {}", words::list(&wires, 4))
        }
    }
}

/// The nearest contacts of the circle on the way of a relay's coil, with the wires to them.
fn closing(context: &Context<'_>, circle: &[PartId], relay: PartId) -> Vec<Closing> {
    let vehicle = context.vehicle;
    let Some(coil) = coil(context, vehicle.part(relay)) else {
        return Vec::new();
    };
    let mut consumers = context.walks.consumers_of(relay);
    let Some(consumer) = consumers.find(|consumer| consumer.branch == coil) else {
        return Vec::new();
    };
    let links: Vec<Link> = consumer
        .feed
        .iter()
        .chain(&consumer.back)
        .copied()
        .collect();
    let mut found: Vec<Closing> = Vec::new();
    let ends = vehicle.branch(coil);
    let mut seen = vec![ends.from, ends.to, TerminalId::CHASSIS];
    let mut open = VecDeque::from([(ends.from, Vec::new()), (ends.to, Vec::new())]);
    while let Some((at, wires)) = open.pop_front() {
        for &link in &links {
            let (from, to) = match link {
                Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
                Link::Branch(branch) => (vehicle.branch(branch).from, vehicle.branch(branch).to),
            };
            let next = if from == at {
                to
            } else if to == at {
                from
            } else {
                continue;
            };
            let mut wires = wires.clone();
            match link {
                Link::Wire(wire) if !vehicle.wire(wire).assumed => wires.push(wire),
                Link::Wire(_) => {}
                Link::Branch(branch) => {
                    let of_circle = circle.contains(&vehicle.branch(branch).part);
                    if of_circle
                        && matches!(vehicle.branch(branch).element, Element::Contact { .. })
                    {
                        if found.iter().all(|known| known.contact != branch) {
                            found.push(Closing {
                                relay,
                                contact: branch,
                                wires,
                            });
                        }
                        continue;
                    }
                }
            }
            if !seen.contains(&next) {
                seen.push(next);
                open.push_back((next, wires));
            }
        }
    }
    found
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A buzzer: its own resting contact feeds the coil.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {run: [RUN, S1, K1.30], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K1",
        ),
        // Each is fed by the other: one through what rests closed, one through what is closed when in.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K2.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: K2.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: K2.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K2",
        ),
        // The heater behind it pulls the supply of its own coil below what holds it: 12.9 V over 1 ohm and 0.45 ohm.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  SP: {kind: splice}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 7 V}
  HEAT: {kind: load, type: heater, draw: 30 A}
wires:
  - {from: RUN, to: SP, resistance: 1 ohm}
  - {from: SP, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SP, to: K1.86, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: HEAT, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // One buzzes whenever the key is in run, another with everything on only: of five masters not every setting is looked at.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  D1: {kind: disconnect, rating: 20 A, left: open}
  D2: {kind: disconnect, rating: 20 A, left: open}
  D3: {kind: disconnect, rating: 20 A, left: open}
  D4: {kind: disconnect, rating: 20 A, left: open}
  D5: {kind: disconnect, rating: 20 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {run: [RUN, D1, D2, K2.30], size: 14 AWG, lengths: [1 m, 1 m, 1 m], insulation: gxl}
  - {from: K2.87a, to: K2.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K2",
        ),
        // The nearest of two ways to its own contact is told.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K2.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: K2.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: K1.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: K2.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        // The resting contact feeds a lamp.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: open}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [RUN, S1, K1.86], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: LAMP, size: 14 AWG, length: 10 cm, insulation: gxl}
",
        // Its own contact only takes it from full to half voltage, which holds it. Of two that get about 7 V one hangs on
        // the contact of the other, and neither on its own. What gets 2 V over its own contact never pulls in.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, drop-out: 1.2 V}
  K3: {kind: relay, coil: 90 ohm, contact: 30 A, drop-out: 1.2 V}
  K4: {kind: relay, coil: 90 ohm, contact: 30 A, drop-out: 1.2 V}
wires:
  - {run: [RUN, S1, K1.30], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: S1, to: K1.86, resistance: 90 ohm}
  - {from: RUN, to: K2.30, resistance: 70 ohm}
  - {from: K2.87a, to: K3.86, size: 14 AWG, length: 10 cm, insulation: gxl}
  - {from: RUN, to: K4.30, resistance: 400 ohm}
  - {from: K4.87a, to: K4.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
    ],
    cannot: &[
        // A coil that gets 7 V behind a resistor: whether it pulls in at all is not known.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, left: open, resistance: 70 ohm}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, drop-out: 1.2 V, suppression: resistor}
wires:
  - {run: [RUN, S1, K1.30], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: K1.87a, to: K1.86, size: 14 AWG, length: 10 cm, insulation: gxl}
",
            "K1.pull-in",
        ),
        // Five masters: not every setting of them is looked at.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  D1: {kind: disconnect, rating: 20 A}
  D2: {kind: disconnect, rating: 20 A}
  D3: {kind: disconnect, rating: 20 A}
  D4: {kind: disconnect, rating: 20 A}
  D5: {kind: disconnect, rating: 20 A}
  K1: {kind: relay, coil: 350 ohm, contact: 20 A, pull-in: 16 V, drop-out: 2.4 V}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "settings",
        ),
    ],
};
