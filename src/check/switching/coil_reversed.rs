//! A coil with a suppression diode that is connected the wrong way round.

use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "coil-reversed",
        level: Level::Warning,
        harm: Harm::Damage,
        summary: "a coil with a suppression diode is connected the wrong way round",
        page: include_str!("../../../docs/checks/coil-reversed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Below this a coil is not energised: leakage, and rounding of the solution.
const NOTHING: Amps = Amps(1e-3);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Relay]) {
        for &branch in &part.branches {
            if matches!(context.vehicle.branch(branch).element, Element::Coil { .. }) {
                verdicts.push(judge_coil(context, id, part, branch));
            }
        }
    }
    verdicts
}

fn judge_coil(context: &Context<'_>, id: PartId, part: &Part, coil: BranchId) -> Verdict {
    let Some(extreme) = context.solved.explored.branches.get(coil.index()) else {
        return Verdict::NoneShown;
    };
    if extreme.value >= -NOTHING {
        if !context.solved.explored.complete {
            return Gap::of([context.not_explored()]).part(id).shown();
        }
        return Verdict::NoneShown;
    }
    let Some(suppression) = part.fields.text("suppression") else {
        return Gap::of([part.missing("suppression")]).part(id).shown();
    };
    if suppression.value != "diode" {
        return Verdict::NoneShown;
    }
    let branch = context.vehicle.branch(coil);
    let [plus, minus] = [branch.from, branch.to].map(|end| &context.vehicle.terminal(end).label);
    let mut burnt = context.solved.explored.burnt.iter();
    let burnt = burnt.find(|burnt| burnt.coil == coil);
    let extreme = burnt.map_or(extreme, |burnt| &burnt.seen);
    let current = extreme.value.abs();
    // A short is the one fault: what it would do to everything else is not told beside it.
    let (level, then) = match burnt {
        Some(_) => (
            Level::Error,
            format!(
                " until {}; everything else is told as if that diode were gone",
                opens(context, coil)
            ),
        ),
        None => (Level::Warning, String::new()),
    };
    Finding::new(
        part.at("suppression"),
        format!(
            "the coil of {} is connected backwards: {minus} is its positive side{}, and its diode lets {} past the coil{then}",
            words::called(part),
            words::when(&extreme.setting),
            words::show(current)
        ),
    )
    .level(level)
    .label("conducts instead of blocking")
    .part(id)
    .value(current)
    .setting(
        extreme
            .smaller
            .iter()
            .find(|(amps, _)| amps.abs() > NOTHING && (*amps < Amps::ZERO || burnt.is_some()))
            .map_or(&extreme.setting, |(_, setting)| setting)
            .clone(),
    )
    .worst(extreme.setting.clone())
    .help(format!(
        "change over the wires on {plus} and {minus}, or use a relay with a resistor, which works either way; look at the diagram on the relay first, makers differ"
    ))
    .source("the network solved in every setting; 86 is taken as the positive side of a coil with a diode")
    .shown()
}

/// What puts an end to a short past a coil: the fuse that its current runs through, or the diode itself.
fn opens(context: &Context<'_>, coil: BranchId) -> String {
    let mut ways = context.walks.consumers.iter();
    let way = ways.find(|consumer| consumer.branch == coil);
    let parts = way.into_iter().flat_map(|consumer| &consumer.feed);
    let mut protections = parts.filter_map(|link| match *link {
        Link::Branch(branch) => Some(context.vehicle.part(context.vehicle.branch(branch).part)),
        Link::Wire(_) => None,
    });
    let protects =
        |part: &&Part| matches!(part.kind, Kind::Fuse | Kind::Breaker | Kind::FusibleLink);
    match protections.find(protects) {
        Some(fuse) => format!("{} opens or the diode burns", fuse.name.value),
        None => "the diode burns".to_owned(),
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1",
    ),
        // In a row with a lamp its diode shorts nothing: the lamp stays on and the relay out.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: diode}
  IND: {kind: load, type: filament, draw: 100 mA}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: RUN, to: K1.30, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: IND, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: IND, to: K1.85, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A resistor works either way.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}
wires:
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        "K1.suppression",
    )],
};
