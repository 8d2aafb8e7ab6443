//! A wire that ends at a part from which nothing leads on.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "loose-end",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a part is wired on one side only, so that nothing leads on from it",
        page: include_str!("../../../docs/checks/loose-end.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts()
        .filter(|(_, part)| !matches!(part.status, Status::Planned | Status::Abandoned))
        .filter_map(|(id, part)| judge_part(context, id, part))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, part: &Part) -> Option<Verdict> {
    let wired = |terminal: TerminalId| {
        !context.landing(terminal).is_empty() || context.joined_inside(id, terminal)
    };
    let any = part.terminals.iter().any(|&terminal| wired(terminal));
    if !any {
        return None;
    }
    let bare: Vec<TerminalId> = match part.kind {
        // One that is fed and feeds nothing is told as that.
        Kind::Fuse | Kind::Breaker | Kind::FusibleLink => named(context, part, &["in"], wired),
        Kind::Disconnect
        | Kind::Diode
        | Kind::Delay
        | Kind::Cutoff
        | Kind::Converter
        | Kind::Isolator => named(context, part, &["in", "out", "a", "b"], wired),
        Kind::Switch => of_switch(part, wired),
        Kind::Load => supplies(context, part, wired),
        Kind::Controller | Kind::Charger => named(context, part, &["+"], wired),
        Kind::KeySwitch => named(context, part, &["30"], wired),
        Kind::Connector if closed_up(part) => pins(part, wired),
        Kind::Splice | Kind::Stud | Kind::Busbar => lonely(context, part),
        // A relay's contacts have a check of their own; a stub and the rest end where they should.
        _ => return None,
    };
    let Some(&first) = bare.first() else {
        return Some(Verdict::NoneShown);
    };
    if part.status == Status::Unknown {
        let missing = bare
            .iter()
            .map(|&end| format!("{}.wires", context.vehicle.terminal(end).label));
        return Some(Gap::of(missing).part(id).shown());
    }
    let labels: Vec<&str> = bare
        .iter()
        .map(|&end| context.vehicle.terminal(end).label.as_str())
        .collect();
    let name = words::called(part);
    let joint = matches!(part.kind, Kind::Splice | Kind::Stud | Kind::Busbar);
    let message = if joint {
        format!("only one wire comes to {name}, and nothing leads on from it")
    } else if part.kind == Kind::Load {
        format!("nothing feeds {name} at {}", words::list(&labels, 4))
    } else {
        format!(
            "{name} is wired on one side only: nothing is on {}",
            words::list(&labels, 4)
        )
    };
    let mut finding = Finding::new(part.name.at, message)
        .label("nothing leads on from here")
        .part(id)
        .help(if joint {
            "record the other wires that meet here, or end the wire in a `stub`".to_owned()
        } else {
            format!(
                "record the wire at {}; if there is none any more, end the old one in a `stub`",
                context.vehicle.terminal(first).label
            )
        })
        .source("the record itself");
    // Of a plug the other half of the same pin, of anything else whatever it has.
    let pin = |&terminal: &TerminalId| {
        let mut pins = part.terminals.chunks_exact(2);
        part.kind != Kind::Connector
            || pins.any(|pin| pin.contains(&terminal) && bare.iter().any(|end| pin.contains(end)))
    };
    let others = part
        .terminals
        .iter()
        .filter(|terminal| pin(terminal))
        .flat_map(|&terminal| context.landing(terminal));
    for wire in others.take(4) {
        finding = finding
            .wire(wire)
            .also(context.wire_from(wire), "this wire ends there");
    }
    Some(finding.shown())
}

fn named(
    context: &Context<'_>,
    part: &Part,
    names: &[&str],
    wired: impl Fn(TerminalId) -> bool,
) -> Vec<TerminalId> {
    names
        .iter()
        .filter_map(|name| context.terminal(part, name))
        .filter(|&terminal| !wired(terminal))
        .collect()
}

/// A plain switch needs both sides; of one with positions any two will do.
fn of_switch(part: &Part, wired: impl Fn(TerminalId) -> bool) -> Vec<TerminalId> {
    let (on, off): (Vec<_>, Vec<_>) = part
        .terminals
        .iter()
        .copied()
        .partition(|&terminal| wired(terminal));
    if on.len() < 2 { off } else { Vec::new() }
}

/// A load needs every supply; its return may be taken for granted.
fn supplies(
    context: &Context<'_>,
    part: &Part,
    wired: impl Fn(TerminalId) -> bool,
) -> Vec<TerminalId> {
    part.terminals
        .iter()
        .copied()
        .filter(|&terminal| context.vehicle.terminal(terminal).name != "-" && !wired(terminal))
        .collect()
}

/// Something may be plugged into a connector that comes apart or has a cover.
fn closed_up(part: &Part) -> bool {
    part.fields.get("detach").is_none() && part.fields.get("cover").is_none()
}

/// Pins with a wire on one side only; the two sides of a pin follow each other.
fn pins(part: &Part, wired: impl Fn(TerminalId) -> bool) -> Vec<TerminalId> {
    part.terminals
        .chunks_exact(2)
        .filter_map(|pin| match (wired(pin[0]), wired(pin[1])) {
            (true, false) => Some(pin[1]),
            (false, true) => Some(pin[0]),
            _ => None,
        })
        .collect()
}

fn lonely(context: &Context<'_>, part: &Part) -> Vec<TerminalId> {
    // A strap alone bonds the metal that a stud sits on.
    let bonds = |terminal: TerminalId| {
        part.kind == Kind::Stud
            && context.walks.comes_home(terminal)
            && !context.walks.fed(terminal)
    };
    part.terminals
        .iter()
        .copied()
        .filter(|&terminal| !bonds(terminal))
        .filter(|&terminal| {
            let id = context.vehicle.terminal(terminal).part;
            context.landing(terminal).len() == 1
                && !id.is_some_and(|id| context.joined_inside(id, terminal))
        })
        .collect()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // A pin that only the far half has a wire on.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: [1, 2]}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, X1.1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: X1.2.b, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "X1",
        ),
        // And one that only the near half has.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  X1: {kind: connector, pins: [1, 2]}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, X1.1, LAMP], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {from: RUN, to: X1.2.a, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "X1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
wires:
  - {from: RUN, to: S1, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "S1",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice}
wires:
  - {from: RUN, to: SP1, size: 14 AWG, length: 2 m, insulation: gxl}
",
            "SP1",
        ),
        // A load by one of its supplies; a fuse, a key switch and a controller by their feed; the others by one side.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 100 A}
  VSR: {kind: isolator, style: relay, rating: 100 A, opens: 12.8 V, closes: 13.3 V}
  KEY: {kind: key-switch, rating: 20 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  C1: {kind: controller, type: electronics, draw: 0.2 A, senses: [IN], outputs: {OUT: {limit: 5 A, hot-in: run}}}
  RADIO: {kind: load, type: electronics, supplies: {main: {draw: 2 A}, memory: {draw: 5 mA}}}
wires:
  - {from: B1, to: MASTER, size: 4 AWG, length: 1 m, insulation: sgx}
  - {from: VSR.b, to: B2.+, size: 4 AWG, length: 1 m, insulation: sgx}
  - {from: KEY.15, to: RADIO.main, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: F1, to: C1.IN, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "RADIO",
        ),
        // A stud that is live, one that leads nowhere, and a splice and a bar on the chassis.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  POST: {kind: stud}
  OLD: {kind: stud}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  SP1: {kind: splice}
  BAR: {kind: busbar}
wires:
  - {from: BAR, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: B1, to: POST, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: OLD, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SP1, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "POST",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, S1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        // One position of a fan switch is not used.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, positions: {low: [[B, L]], high: [[B, H]]}}
  FAN: {kind: load, type: motor, draw: 1 A}
wires:
  - {from: RUN, to: S1.B, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: S1.L, to: FAN, size: 14 AWG, length: 2 m, insulation: gxl}
",
        // A splice in a wire, a bar from which a feed is taken, plugs into which something else may go, and a body's strap.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BAR: {kind: busbar}
  SLOT: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A, from: BAR}
  SP1: {kind: splice}
  LAMP: {kind: load, type: led, draw: 1 A}
  X1: {kind: connector, pins: [1], detach: trailer}
  X2: {kind: connector, pins: [1], cover: true}
  BODY: {kind: stud, what: body}
wires:
  - {from: BODY, to: chassis, size: 8 AWG, length: 1 m, insulation: gxl}
  - {from: SP1, to: X1.1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: SP1, to: X2.1, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: B1, to: BAR, size: 8 AWG, length: 1 m, insulation: gxl}
  - {run: [SLOT, SP1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
    ],
    // It was found, and nobody has followed the other side yet.
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  S1: {kind: switch, rating: 10 A, status: unknown}
wires:
  - {from: RUN, to: S1, size: 14 AWG, length: 2 m, insulation: gxl}
",
        "S1.out.wires",
    )],
};
