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
    let explored = &context.solved.explored;
    let Some(most) = explored.branches.get(coil.index()) else {
        return Verdict::NoneShown;
    };
    let branch = context.vehicle.branch(coil);
    let ends = [branch.from, branch.to];
    let either_way = ends.iter().all(|&end| context.walks.fed(end));
    let suppression = part.fields.text("suppression");
    let unstated = || Gap::of([part.missing("suppression")]).part(id).shown();
    let mut burnt = explored.burnt.iter();
    let burnt = burnt.find(|burnt| burnt.coil == coil);
    // Without its diode a coil takes as much either way, and the larger current says nothing of the other way.
    let extreme = match burnt {
        Some(burnt) => &burnt.seen,
        None if most.value < -NOTHING => most,
        None if !explored.complete => {
            return Gap::of([context.not_explored()]).part(id).shown();
        }
        None if either_way && suppression.is_none() => return unstated(),
        None => return Verdict::NoneShown,
    };
    let Some(suppression) = suppression else {
        return unstated();
    };
    if suppression.value != "diode" {
        return Verdict::NoneShown;
    }
    let [plus, minus] = ends.map(|end| &context.vehicle.terminal(end).label);
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
            .find(|(amps, _)| *amps < -NOTHING || burnt.is_some())
            .map_or(&extreme.setting, |(_, setting)| setting)
            .clone(),
    )
    .worst(extreme.setting.clone())
    .help(if either_way {
        format!(
            "use a relay with a resistor, which works either way: both {plus} and {minus} can be live, so changing them over does not help"
        )
    } else {
        format!(
            "change over the wires on {plus} and {minus}, or use a relay with a resistor, which works either way; look at the diagram on the relay first, makers differ"
        )
    })
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
        // Between two lamp circuits: with the left lamp on it is the right way round, with the right ones on it is not.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S2: {kind: switch, rating: 10 A}
  S3: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: diode}
  LEFT: {kind: load, type: filament, draw: 1.8 A}
  MORE: {kind: load, type: filament, draw: 1.8 A}
  RIGHT: {kind: load, type: filament, draw: 1.8 A}
wires:
  - {run: [B1, F1, S1, LEFT], size: 14 AWG, lengths: [10 cm, 1 m, 3 m], insulation: gxl}
  - {run: [RUN, S2, RIGHT], size: 14 AWG, lengths: [1 m, 3 m], insulation: gxl}
  - {run: [LEFT.+, S3, MORE], size: 14 AWG, lengths: [1 m, 3 m], insulation: gxl}
  - {from: LEFT.+, to: K1.86, size: 18 AWG, length: 30 cm, insulation: gxl}
  - {from: K1.85, to: RIGHT.+, size: 18 AWG, length: 30 cm, insulation: gxl}
",
            "K1",
        ),
        // A short over either of two switches, behind a fuse of its own.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: diode}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [B1, F2, S1, K1.85], size: 18 AWG, lengths: [10 cm, 1 m, 3 m], insulation: gxl}
  - {run: [F2, S2, K1.85], size: 18 AWG, lengths: [1 m, 5 m], insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "K1",
        ),
        // The relay of a brake, across a motor that a switch turns round: the coil takes as much either way.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A, positions: {off: [], in: [[B, U], [G, D]], out: [[B, D], [G, U]]}}
  KB: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: diode}
  M1: {kind: load, type: motor, draw: 6 A}
wires:
  - {run: [B1, F1, S1.B], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.G, to: chassis, size: 14 AWG, length: 30 cm, insulation: gxl}
  - {from: S1.U, to: M1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: M1.-, to: S1.D, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: S1.U, to: KB.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: KB.85, to: S1.D, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "KB",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: diode}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A, suppression: diode}
wires:
  - {from: RUN, to: K1.86, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
        // A resistor works either way, and the right way round it does not matter what is there.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 5 A, limit: 5 A}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V, suppression: resistor}
  K2: {kind: relay, coil: 90 ohm, contact: 30 A}
wires:
  - {from: RUN, to: K2.86, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: RUN, to: K1.85, size: 18 AWG, length: 2 m, insulation: gxl}
  - {from: K1.86, to: chassis, size: 18 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        (
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
        ),
        // It can be turned round, and takes as much the right way round.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A, positions: {off: [], in: [[B, U], [G, D]], out: [[B, D], [G, U]]}}
  KB: {kind: relay, coil: 90 ohm, contact: 30 A}
  M1: {kind: load, type: motor, draw: 6 A}
wires:
  - {run: [B1, F1, S1.B], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.G, to: chassis, size: 14 AWG, length: 30 cm, insulation: gxl}
  - {from: S1.U, to: M1.+, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: M1.-, to: S1.D, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: S1.U, to: KB.86, size: 18 AWG, length: 1 m, insulation: gxl}
  - {from: KB.85, to: S1.D, size: 18 AWG, length: 1 m, insulation: gxl}
",
            "KB.suppression",
        ),
    ],
};
