//! What stays live when the vehicle's battery is taken off, because something else feeds it.

use super::posts;
use crate::check::prelude::*;
use crate::model::Control;
use crate::model::Element;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Source;
use crate::read::document::Kind;
use crate::read::document::Value;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "external-source",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a charger, a solar panel or a trailer's battery keeps wires live with the vehicle's battery off",
        page: include_str!("../../../docs/checks/external-source.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let sources = context.walks.sources.iter().enumerate();
    sources
        .filter_map(|(at, source)| {
            let part = vehicle.part(source.part);
            match part.kind {
                Kind::Charger => {}
                Kind::Battery if vehicle.starter != Some(source.part) => {}
                _ => return None,
            }
            judge_source(context, at, source, part)
        })
        .collect()
}

/// What of the vehicle's own circuits a source reaches: batteries, and consumers that they feed too. Of a battery, only by way of a
/// plug.
fn judge_source(context: &Context<'_>, at: usize, source: &Source, part: &Part) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let sources = &context.walks.sources;
    let is = |source: usize, kind: Kind| vehicle.part(sources[source].part).kind == kind;
    let counts = |plugs: Option<PartId>| part.kind == Kind::Charger || plugs.is_some();
    let posts = posts::posts(context, at, counts);
    let mut by_plug: Option<PartId> = None;
    let mut reaches: Vec<PartId> = Vec::new();
    let mut look = |plugs: Option<PartId>, what: PartId| {
        if counts(plugs) {
            by_plug = by_plug.or(plugs);
            if !reaches.contains(&what) {
                reaches.push(what);
            }
        }
    };
    for &(battery, plugs) in posts.iter().filter(|(to, _)| is(*to, Kind::Battery)) {
        look(plugs, sources[battery].part);
    }
    let batteries: Vec<usize> = (0..sources.len())
        .filter(|&other| other != at && is(other, Kind::Battery))
        .collect();
    for consumer in context.walks.behind_source(at) {
        let shared = batteries
            .iter()
            .any(|number| consumer.sources.contains(number));
        if shared
            && vehicle.own_load != Some(consumer.part)
            && let Some(plugs) = posts::plug(context, at, vehicle.branch(consumer.branch).from)
        {
            look(plugs, consumer.part);
        }
    }
    if reaches.is_empty() {
        return Some(Verdict::NoneShown);
    }
    let hot_in = part.fields.get("hot-in");
    if part.kind == Kind::Charger && matches!(hot_in, None | Some(Value::Unknown(_))) {
        return Some(Gap::of([part.missing("hot-in")]).part(source.part).shown());
    }
    let names: Vec<String> = reaches
        .iter()
        .map(|&reached| {
            if vehicle.part(reached).kind == Kind::Battery {
                format!("the cable of {}", context.name(reached))
            } else {
                context.name(reached).to_owned()
            }
        })
        .collect();
    let when = match &vehicle.branch(source.branch).element {
        Element::Charger {
            control: Control::Hot { hot, .. },
            ..
        } if hot.shore => " on shore power",
        Element::Charger {
            control: Control::Always,
            ..
        } => " at all times",
        _ if by_plug.is_some() => " while it is plugged in",
        _ => "",
    };
    let setting = Setting {
        also: match when {
            " on shore power" | " while it is plugged in" => Some(when.trim().to_owned()),
            _ => None,
        },
        ..Setting::default()
    };
    let finding = Finding::new(
        part.name.at,
        format!(
            "{} can keep {} live{when}, with the vehicle's battery off its posts",
            words::called(part),
            words::list(&names, 4)
        ),
    )
    .label("a source of its own")
    .part(source.part)
    .parts(reaches)
    .setting(setting)
    .source("the record itself")
    .help("before work: unplug it, or pull the fuse at its own end, as well as taking the battery off; then prove the wire dead");
    let finding = match by_plug {
        Some(plug) => finding
            .part(plug)
            .also(vehicle.part(plug).name.at, "unplug this"),
        None => finding,
    };
    Some(finding.shown())
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CHG: {kind: charger, output: 15 A, voltage: 13.8 V, hot-in: [shore]}
  FC: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {run: [CHG, FC, B1], size: 12 AWG, lengths: [1 m, 10 cm], insulation: gxl}
",
            "CHG",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  BT: {kind: battery, chemistry: agm, capacity: 40 Ah}
  X1: {kind: connector, pins: {4: 40 A}, detach: trailer}
  F1: {kind: fuse, rating: 30 A, form: blade}
  FT: {kind: fuse, rating: 30 A, form: blade}
wires:
  - {run: [B1, F1, X1.4, FT, BT], size: 8 AWG, lengths: [10 cm, 3 m, 3 m, 10 cm], insulation: gxl}
",
            "BT",
        ),
        // A panel on the roof gives whenever the sun shines.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  SOL: {kind: charger, output: 5 A, hot-in: [always]}
  F1: {kind: fuse, rating: 10 A, form: blade}
wires:
  - {run: [B1, F1, SOL], size: 12 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "SOL",
        ),
        // A second generator on the engine's belt; the vehicle's own is no part that it is said to keep live.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  GEN: {kind: charger, output: 30 A, hot-in: [engine]}
  FG: {kind: fuse, rating: 40 A, form: blade-maxi}
wires:
  - {run: [GEN, FG, B1], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "GEN",
        ),
        // The charger lands on the alternator's stud, and the cable from there on the battery.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  CHG: {kind: charger, output: 15 A, voltage: 13.8 V, hot-in: [shore]}
  FC: {kind: fuse, rating: 20 A, form: blade}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A}
wires:
  - {from: ALT, to: B1.+, size: 4 AWG, length: 1 m, insulation: sgx}
  - {from: CHG, to: FC, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: FC, to: ALT.+, size: 12 AWG, length: 10 cm, insulation: gxl}
  - {run: [B1, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "B1",
        ),
    ],
    quiet: &[
        // It feeds a lamp of its own and nothing else.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CHG: {kind: charger, output: 15 A, voltage: 13.8 V, hot-in: [shore]}
  FC: {kind: fuse, rating: 20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [CHG, FC, LAMP], size: 12 AWG, lengths: [1 m, 10 cm], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CHG: {kind: charger, output: 15 A, voltage: 13.8 V}
  FC: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {run: [CHG, FC, B1], size: 12 AWG, lengths: [1 m, 10 cm], insulation: gxl}
",
            "CHG.hot-in",
        ),
        // The record says that nobody knows.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CHG: {kind: charger, output: 15 A, voltage: 13.8 V, hot-in: unknown}
  FC: {kind: fuse, rating: 20 A, form: blade}
wires:
  - {run: [CHG, FC, B1], size: 12 AWG, lengths: [1 m, 10 cm], insulation: gxl}
",
            "CHG.hot-in",
        ),
    ],
};
