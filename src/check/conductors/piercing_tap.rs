//! A tap that bites through the insulation of another wire.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::Zone;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "piercing-tap",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a tap that bites through the insulation of another wire",
        page: include_str!("../../../docs/checks/piercing-tap.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Splice])
        .map(|(id, part)| judge_splice(context, id, part))
        .collect()
}

fn judge_splice(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    if part.fields.get("tap").is_none() {
        // A splice that nobody made out yet may be anything.
        return if part.status == Status::Unknown {
            Gap::of([part.missing("tap")]).part(id).shown()
        } else {
            Verdict::NoneShown
        };
    }
    let name = words::called(part);
    // The supply of a lamp or horn that the law wants, or a place where water comes.
    let required = context.walks.consumers.iter().any(|consumer| {
        let user = context.vehicle.part(consumer.part);
        user.fields.flag("required")
            && consumer
                .feed
                .iter()
                .chain(&consumer.back)
                .any(|link| match *link {
                    crate::model::Link::Wire(wire) => {
                        let wire = context.vehicle.wire(wire);
                        part.terminals.contains(&wire.from) || part.terminals.contains(&wire.to)
                    }
                    crate::model::Link::Branch(_) => false,
                })
    });
    let wet = part.zone != Zone::Cabin;
    let why = match (required, wet) {
        (true, _) => ", on the supply of a lamp or horn that the law wants",
        (false, true) => ", where water gets at it",
        (false, false) => "",
    };
    let mut finding = Finding::new(
        part.at("tap"),
        format!("{name} is a tap that bites through the insulation{why}: it cuts strands and lets water in"),
    )
    .label("bites through the insulation")
    .part(id)
    .source("a state fleet's equipment standard forbids them (read)")
    .help("crimp or solder a splice in its place and seal it with adhesive-lined sleeve");
    if !required && !wet {
        finding = finding.level(Level::Note);
    }
    finding.shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice, tap: piercing, zone: exterior}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, SP1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "SP1",
        ),
        // Dry, but on a lamp that the law wants.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice, tap: piercing, zone: cabin}
  STOP: {kind: load, type: led, draw: 2 A, required: true}
wires:
  - {run: [RUN, SP1, STOP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "SP1",
        ),
        // Dry, on something that nobody has to have.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice, tap: piercing, zone: cabin}
  RADIO: {kind: load, type: electronics, draw: 2 A, parked: 0 mA}
wires:
  - {run: [RUN, SP1, RADIO], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
            "SP1",
        ),
    ],
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice, zone: exterior}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, SP1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
"],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  SP1: {kind: splice, status: unknown, zone: exterior}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, SP1, LAMP], size: 14 AWG, lengths: [1 m, 2 m], insulation: gxl}
",
        "SP1.tap",
    )],
};
