//! A part of one voltage on a supply of another.

use std::sync::Arc;

use super::posts;
use crate::analyze::Extreme;
use crate::check::flow;
use crate::check::prelude::*;
use crate::model::Basis;
use crate::model::Element;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Volts;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "mixed-voltage",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a part, a battery or a charger of one voltage hangs on a supply of another",
        page: include_str!("../../../docs/checks/mixed-voltage.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// Above this share of its own voltage a part stands on too much: a charging system gives up to a fifth more than nominal.
const MUCH: f64 = 1.4;
/// Below this share it stands on a lower supply, not on a long wire.
const LITTLE: f64 = 0.6;
/// A return that is never farther than this from the chassis is as good as on it.
const NEAR: Volts = Volts(1.0);

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts: Vec<Verdict> = context
        .walks
        .consumers
        .iter()
        .filter(|one| context.vehicle.own_load != Some(one.part))
        .filter_map(|one| judge_consumer(context, one))
        .collect();
    verdicts.extend(judge_sources(context));
    verdicts
}

/// The largest voltage that was seen across a consumer, and settings that lead up to it. Of what was never seen to draw that is
/// the voltage of its feed, where its return stays near the chassis.
fn across(context: &Context<'_>, consumer: &Consumer) -> Extreme<Volts> {
    let branch = context.vehicle.branch(consumer.branch);
    let explored = &context.solved.explored;
    let used = explored.uses.get(consumer.branch.index());
    let seen = |at: TerminalId| explored.highest.get(at.index());
    let near = |extreme: &Extreme<Volts>| extreme.value.abs() < NEAR;
    let mut most = Extreme::default();
    if let Some(shown) = used.and_then(|used| used.highest.as_ref()) {
        most.value = shown.value.abs();
        most.setting = Arc::clone(&shown.setting);
        most.smaller = shown.smaller.clone();
    } else if context.walks.comes_home(branch.to)
        && seen(branch.to).is_none_or(near)
        && let Some(seen) = seen(branch.from)
    {
        most = seen.clone();
        most.value = seen.value.abs();
    }
    for (situation, solution) in &context.solved.situations {
        let volts = (solution.at(branch.from) - solution.at(branch.to)).abs();
        if volts.0 > most.value.0 * 1.02 {
            most.setting = Arc::new(Setting {
                situation: Some(situation.name.clone()),
                ..Setting::default()
            });
        }
        most.value = most.value.max(volts);
    }
    most
}

fn judge_consumer(context: &Context<'_>, consumer: &Consumer) -> Option<Verdict> {
    let load = flow::load(context, consumer)?;
    let part = context.vehicle.part(consumer.part);
    let seen = across(context, consumer);
    let volts = seen.value;
    if volts.0 < 1.0 {
        return None;
    }
    let rated = load.rated;
    let ratio = volts.0 / rated.likely.0;
    if (LITTLE..=MUCH).contains(&ratio) {
        return Some(Verdict::NoneShown);
    }
    if !matches!(rated.basis, Basis::Stated(..)) {
        // Little from a source of its own voltage is a drop, or a share of a series.
        if ratio < LITTLE && has_supply(context, consumer, rated.likely) {
            return Some(Verdict::NoneShown);
        }
        return Some(
            Gap::of([part.missing("rated-voltage")])
                .part(consumer.part)
                .shown(),
        );
    }
    // Little by a long wire or a weak battery is told as drop.
    let nominal = context.vehicle.system.likely;
    if ratio < LITTLE && rated.likely.0 < MUCH * nominal.0 {
        return Some(Verdict::NoneShown);
    }
    // Too little is all that it ever gets: it shows wherever it gets anything.
    let (supply, share, shows) = if ratio > 1.0 {
        ("more", MUCH, Volts(rated.likely.0 * MUCH))
    } else {
        ("less", LITTLE, Volts(1.0))
    };
    Some(
        Finding::new(
            part.at("rated-voltage"),
            format!(
                "{} is made for {} and gets up to {}, far {supply} than that",
                words::called(part),
                words::show(rated.likely),
                words::show(volts)
            ),
        )
        .label(format!("gets {}", words::show(volts)))
        .part(consumer.part)
        .measured(
            volts,
            Volts(rated.likely.0 * share),
            "`rated-voltage` of the record, against the network solved in every setting",
        )
        .setting(seen.showing(shows).clone())
        .worst(seen.setting.clone())
        .help("feed it from a supply of its own voltage, or through a converter")
        .shown(),
    )
}

/// Whether a source reaches a consumer that holds about this voltage.
fn has_supply(context: &Context<'_>, consumer: &Consumer, rated: Volts) -> bool {
    consumer.sources.iter().any(|&at| {
        let held = context.walks.stack(at).into_iter().filter_map(|one| {
            let part = context.walks.sources[one].part;
            let branch = context.vehicle.branch(context.walks.sources[one].branch);
            nominal(context, part, &branch.element)
        });
        let sum = held.fold(Volts::ZERO, |sum, (volts, _)| sum + volts);
        sum.0 > LITTLE * rated.0
    })
}

/// What a source holds, and whether the record says so.
fn nominal(context: &Context<'_>, part: PartId, element: &Element) -> Option<(Volts, bool)> {
    let stated = |basis: Basis| matches!(basis, Basis::Stated(..));
    match element {
        Element::Cell { .. } => {
            let mut batteries = context.vehicle.batteries.iter();
            let battery = batteries.find(|battery| battery.part == part)?;
            Some((battery.nominal.likely, stated(battery.nominal.basis)))
        }
        Element::Alternator { volts, .. } | Element::Charger { volts, .. } => {
            Some((volts.likely, stated(volts.basis)))
        }
        Element::Converter { volts, .. } => Some((volts.likely, stated(volts.basis))),
        _ => None,
    }
}

/// Each battery, with the sources that stand on its `+`: they have to be of its voltage, those below it in series added up.
fn judge_sources(context: &Context<'_>) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let sources = &context.walks.sources;
    let of = |at: usize| {
        let source = &sources[at];
        nominal(context, source.part, &vehicle.branch(source.branch).element)
    };
    let string = |at: usize| -> Option<(Volts, bool)> {
        let mut sum = (Volts::ZERO, true);
        for one in context.walks.stack(at) {
            let (volts, stated) = of(one)?;
            sum = (sum.0 + volts, sum.1 && stated);
        }
        Some(sum)
    };
    let posts: Vec<Vec<usize>> = (0..sources.len())
        .map(|at| {
            let posts = posts::posts(context, at, |_| true).into_iter();
            posts.map(|(post, _)| post).collect()
        })
        .collect();
    let mut verdicts = Vec::new();
    for (at, battery) in sources.iter().enumerate() {
        if vehicle.part(battery.part).kind != Kind::Battery {
            continue;
        }
        let Some((own, own_stated)) = string(at) else {
            continue;
        };
        let mut verdict = Verdict::NoneShown;
        for (other_at, other) in sources.iter().enumerate() {
            let meets = other_at != at
                && !context.walks.stack(other_at).contains(&at)
                && !context.walks.stack(at).contains(&other_at)
                && posts[other_at].contains(&at);
            // Of two batteries the second is told.
            let twice = vehicle.part(other.part).kind == Kind::Battery && other_at > at;
            let Some((volts, stated)) = string(other_at).filter(|_| meets && !twice) else {
                continue;
            };
            let ratio = volts.0 / own.0;
            if (1.0 / MUCH..=MUCH).contains(&ratio) {
                continue;
            }
            let limit = if ratio > 1.0 { MUCH } else { 1.0 / MUCH };
            let (this, that) = (vehicle.part(battery.part), vehicle.part(other.part));
            if !stated || !own_stated {
                let lacks = if stated { this } else { that };
                verdict = Gap::of([lacks.missing("voltage")])
                    .part(battery.part)
                    .shown();
                continue;
            }
            verdict = Finding::new(
                this.at("voltage"),
                format!(
                    "{} ({}) is joined to {} ({})",
                    words::called(this),
                    words::show(own),
                    words::called(that),
                    words::show(volts)
                ),
            )
            .label(format!("{} here", words::show(own)))
            .part(battery.part)
            .part(other.part)
            .measured(volts, Volts(own.0 * limit), "the record itself")
            .help("never join the two directly: put a converter that charges from one voltage to the other between them")
            .also(that.at("voltage"), format!("{} here", words::show(volts)))
            .shown();
            break;
        }
        verdicts.push(verdict);
    }
    verdicts
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "RADIO",
        ),
        // What the box takes is not stated, and it gets the 24 V all the same.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
  BOX: {kind: load, type: electronics, rated-voltage: 12 V}
  G1: {kind: ground, resistance: 1 mohm}
wires:
  - {from: RUN, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: BOX, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: BOX, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RADIO, to: G1, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "BOX",
        ),
        // A 12 V battery on a 24 V one.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  B2: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  FA: {kind: fuse, rating: 50 A, form: bolt-down}
wires:
  - {run: [B1, FA, B2], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "B2",
        ),
        // 24 V on a supply of 12 V.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 5 A, rated-voltage: 24 V}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "LAMP",
        ),
        // The radio gets 14 V while the switch is on low; the lamp only ever lights on shore power with the key in run.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  CONV: {kind: converter, output: 14 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
  SEL: {kind: switch, rating: 20 A, positions: {off: [], low: [[C, R]], high: [[D, R]]}, left: low}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
  CHG: {kind: charger, output: 20 A, voltage: 28 V, hot-in: [shore]}
  FC: {kind: fuse, rating: 20 A, form: blade}
  K1: {kind: relay, coil: 350 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A, rated-voltage: 12 V}
wires:
  - {from: RUN, to: CONV, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV, to: SEL.C, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: SEL.D, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: SEL.R, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
  - {run: [CHG, FC, K1.30], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m, insulation: gxl}
situations:
  washing in the yard: {key: run, shore: true}
",
            "RADIO",
        ),
        // A winch battery on a converter for 24 V.
        (
            "
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  CONV: {kind: converter, output: 24 V, rating: 8 A, efficiency: 90 %, standby: 5 mA}
  BWINCH: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 60 Ah}
wires:
  - {run: [B1, F1, CONV.in], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.out, to: BWINCH, size: 10 AWG, length: 1 m, insulation: gxl}
",
            "BWINCH",
        ),
        // An alternator for twice the voltage of the battery, and one for half of that of two in series.
        (
            "
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  ALT: {kind: alternator, rated: 100 A, at-idle: 50 A, voltage: 28 V}
",
            "ALT",
        ),
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  ALT: {kind: alternator, rated: 100 A, at-idle: 50 A, voltage: 14 V}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
",
            "ALT",
        ),
        // A charger for twice the voltage on the alternator's stud.
        (
            "
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  CHG: {kind: charger, output: 15 A, voltage: 28 V, hot-in: [shore]}
  FC: {kind: fuse, rating: 20 A, form: blade}
  F1: {kind: fuse, rating: 10 A, form: blade}
  RADIO: {kind: load, type: electronics, draw: 1 A}
wires:
  - {from: ALT, to: B1.+, size: 4 AWG, length: 1 m, insulation: sgx}
  - {from: CHG, to: FC, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: FC, to: ALT.+, size: 12 AWG, length: 10 cm, insulation: gxl}
  - {run: [B1, F1, RADIO], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "CHG",
        ),
    ],
    quiet: &[
        // Behind a converter.
        "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  CONV: {kind: converter, output: 12 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
  RADIO: {kind: load, type: electronics, draw: 5 A, rated-voltage: 12 V}
wires:
  - {from: RUN, to: CONV, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // Two of 12 V in series make 24 V.
        "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  ALT: {kind: alternator, rated: 100 A, at-idle: 50 A, voltage: 28 V}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  LAMP: {kind: load, type: led, draw: 5 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {from: RUN, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
",
        // So thin a wire that it gets 4.6 V: a drop, and no other supply. So it is of one made for 14 V, and of one of which nobody
        // says what it is made for. The lamp for 24 V lies in a box. A battery of 12.8 V is near enough to one of 12 V.
        "
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, voltage: 12.8 V, chemistry: lfp, capacity: 50 Ah}
  F1: {kind: fuse, rating: 80 A, form: bolt-down}
  HEAT: {kind: load, type: heater, draw: 30 A, rated-voltage: 12 V}
  SEAT: {kind: load, type: heater, draw: 30 A, rated-voltage: 14 V}
  PAD: {kind: load, type: heater, draw: 30 A}
  LAMP: {kind: load, type: led, draw: 1 A, rated-voltage: 24 V}
wires:
  - {run: [B1, F1, HEAT], size: 20 AWG, lengths: [10 cm, 20 m], insulation: gxl}
  - {from: F1, to: SEAT, size: 20 AWG, length: 20 m, insulation: gxl}
  - {from: F1, to: PAD, size: 20 AWG, length: 20 m, insulation: gxl}
  - {from: B1, to: B2, size: 4 AWG, length: 20 cm, insulation: sgx}
",
        // With the master in the negative open the posts float; across the camera there are 5 V all the same.
        "
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A, left: closed}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CONV: {kind: converter, output: 5 V, rating: 5 A, efficiency: 90 %, standby: 20 mA}
  CAM: {kind: load, type: electronics, draw: 1 A, rated-voltage: 5 V}
wires:
  - {run: [B1.-, MASTER, chassis], size: 2/0 AWG, lengths: [40 cm, 50 cm], insulation: sgx}
  - {run: [B1, F1, CONV.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CONV.-, to: B1.-, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV.out, to: CAM, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CAM, to: CONV.-, size: 14 AWG, length: 1 m, insulation: gxl}
situations:
  stored: {opened: [MASTER]}
",
    ],
    cannot: &[
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  CONV: {kind: converter, output: 12 V, rating: 10 A, efficiency: 90 %, standby: 5 mA}
  RADIO: {kind: load, type: electronics, draw: 5 A}
wires:
  - {from: RUN, to: CONV, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: CONV, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "RADIO.rated-voltage",
        ),
        // What the second holds is taken from the system, and not stated.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 100 Ah}
  FA: {kind: fuse, rating: 50 A, form: bolt-down}
wires:
  - {run: [B1, FA, B2], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "B2.voltage",
        ),
        // Of the first it is not stated.
        (
            "
vehicle: {name: tanker, system: 24 V, engine: {cranking: 300 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 100 Ah}
  B2: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  FA: {kind: fuse, rating: 50 A, form: bolt-down}
wires:
  - {run: [B1, FA, B2], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "B1.voltage",
        ),
    ],
};
