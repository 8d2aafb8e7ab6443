//! A cutoff that opens only after the battery no longer starts the engine.

use std::collections::BTreeSet;

use crate::analyze::endurance;
use crate::check::key_off::standing;
use crate::check::prelude::*;
use crate::model::Basis;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::vehicle::Battery;
use crate::quantity::Fraction;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::table::battery;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "cutoff-set-too-low",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a cutoff opens only after the battery no longer starts the engine",
        page: include_str!("../../../docs/checks/cutoff-set-too-low.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let reached = standing::reached_from_starter(context);
    context
        .parts_of(&[Kind::Cutoff])
        .filter_map(|(id, part)| {
            let (branch, opens) = part.branches.iter().find_map(|&branch| {
                match context.vehicle.branch(branch).element {
                    Element::Contact {
                        control: Control::Cutoff { opens, .. },
                        ..
                    } => Some((branch, opens)),
                    _ => None,
                }
            })?;
            // One ahead of a battery that starts nothing guards only that battery.
            let source = guards(context, &reached, context.vehicle.branch(branch).from)?;
            Some(judge_cutoff(context, id, branch, opens, source))
        })
        .collect()
}

/// The source on whose `+` a terminal hangs while the vehicle stands: the battery that starts the engine, or one that is in series
/// with it.
fn guards(
    context: &Context<'_>,
    reached: &BTreeSet<TerminalId>,
    terminal: TerminalId,
) -> Option<usize> {
    let (vehicle, walks) = (context.vehicle, &context.walks);
    let mut sources = walks.sources.iter();
    let starter = sources.position(|source| vehicle.starter == Some(source.part))?;
    if reached.contains(&terminal) {
        return Some(starter);
    }
    let closed = &standing::left(context).closed;
    let passes = |link: &Link| match *link {
        Link::Wire(_) => true,
        Link::Branch(branch) => match vehicle.branch(branch).element {
            Element::Contact { .. } => closed[branch.index()],
            _ => true,
        },
    };
    let in_series =
        |at: usize| walks.stack(at).contains(&starter) || walks.stack(starter).contains(&at);
    (0..walks.sources.len()).find(|&at| {
        let way = walks.way_up(vehicle, at, terminal);
        in_series(at) && way.is_some_and(|way| way.iter().all(passes))
    })
}

fn judge_cutoff(
    context: &Context<'_>,
    id: PartId,
    branch: BranchId,
    opens: Fact<Volts>,
    source: usize,
) -> Verdict {
    let vehicle = context.vehicle;
    let part = vehicle.part(id);
    let parked = standing::parked(context);
    let cannot = |missing: Vec<String>| Gap::of(missing).part(id).shown();
    // What stands at the cutoff is the sum of those in series; of these the one that is down first decides.
    let stores: Vec<&Battery> = context
        .walks
        .stack(source)
        .into_iter()
        .filter_map(|at| {
            let mut batteries = vehicle.batteries.iter();
            batteries.find(|battery| battery.part == context.walks.sources[at].part)
        })
        .collect();
    let first = stores.first().map(|store| store.part);
    let decides = parked.starter().map(|bank| bank.part);
    let one = decides.filter(|&one| stores.iter().any(|store| store.part == one));
    let mut banks = parked.banks.iter();
    let Some(bank) = banks.find(|bank| Some(bank.part) == one.or(first)) else {
        return Verdict::NoneShown;
    };
    let Some(known) = &bank.battery else {
        return cannot(bank.missing.clone());
    };
    let time = endurance::standing(known, parked.at);
    // What is drawn lowers the voltage at the cutoff: it opens at a higher charge than its setting says.
    let rest: Volts = stores
        .iter()
        .filter_map(|store| match &vehicle.branch(store.cell).element {
            Element::Cell { rest, .. } => Some(rest.likely),
            _ => None,
        })
        .sum();
    let here = standing::left(context).at(vehicle.branch(branch).from);
    let lost = (rest - here).max(Volts(0.0));
    let nominal: Volts = stores.iter().map(|store| store.nominal.likely).sum();
    let blocks = nominal.0 / 12.0;
    let charge = |opens: Volts| battery::charge(known.chemistry, (opens + lost) / blocks);
    let (low, high) = (
        charge(opens.range.low).low.0,
        charge(opens.range.high).high.0,
    );
    if high < time.floor_low {
        return fault(context, (id, bank.part), opens, lost, high, &time);
    }
    if !bank.missing.is_empty() {
        return cannot(bank.missing.clone());
    }
    if low >= time.floor_high {
        return Verdict::NoneShown;
    }
    let mut missing = Vec::new();
    if !matches!(opens.basis, Basis::Stated(..)) || !opens.range.is_exact() {
        missing.push(part.missing("opens"));
    }
    missing.push(format!(
        "charge of {} when it opens: {:.0} to {:.0} %, its floor is {:.0} to {:.0} %",
        context.name(bank.part),
        low * 100.0,
        high * 100.0,
        time.floor_low * 100.0,
        time.floor_high * 100.0
    ));
    cannot(missing)
}

fn fault(
    context: &Context<'_>,
    (id, battery): (PartId, PartId),
    opens: Fact<Volts>,
    lost: Volts,
    high: f64,
    time: &endurance::Standing,
) -> Verdict {
    let part = context.vehicle.part(id);
    let name = context.name(battery);
    Finding::new(
        part.at("opens"),
        format!(
            "{} opens at {}, when {name} is down to {:.0} % or less, and below {:.0} % that no longer counts as able to start",
            words::called(part),
            words::range(opens.range),
            high * 100.0,
            time.floor_low.min(1.0) * 100.0,
        ),
    )
    .label("too late for the engine")
    .part(id)
    .part(battery)
    .measured(
        Fraction(high),
        Fraction(time.floor_low),
        "rest voltage by charge, by chemistry (`keyoff tables`)",
    )
    .help("set it to the rest voltage at that charge or above, or feed the load from a battery that does not start the engine")
    .step(
        format!(
            "{} + {} lost on the way to it = rest voltage at {:.0} %",
            words::show(opens.range.high),
            words::show(lost),
            high * 100.0
        ),
        "rest voltage by charge, by chemistry",
    )
    .step(
        format!("the floor is {:.0} %, set by {}", time.floor * 100.0, time.floor_by.text()),
        "the sum of the standing time",
    )
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 11 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        // The thin wire to it loses 0.35 V while the cooler runs; of 24 V each half counts as a battery of 12 V.
        (
            "
vehicle: {name: bus, system: 24 V, engine: {cranking: 300 A}, climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, voltage: 24 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 10 A, form: blade}
  LVD: {kind: cutoff, opens: 23.6 V, closes: 26 V, draw: 3 mA, rating: 20 A}
  FRIDGE: {kind: load, type: electronics, draw: 4 A, parked: 4 A, stays-live: the crew's food}
wires:
  - {run: [B1, F1, LVD, FRIDGE], size: 16 AWG, lengths: [10 cm, 5 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        // Two of 12 V in series: 22 V is as little for them as 11 V is for one. The record names the upper one, or none.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  BLO: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 22 V, closes: 26 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A}, climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BLO: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  BUP: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 22 V, closes: 26 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "LVD",
        ),
        // It hangs on the lower of the two, and that is as much needed as the upper.
        (
            "
vehicle: {name: crane, system: 24 V, engine: {cranking: 300 A, battery: BUP}, climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  BLO: {kind: battery, voltage: 12 V, chemistry: flooded, capacity: 100 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 11 V, closes: 13 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, rated-voltage: 12 V, parked: 150 mA, stays-live: reachable at night}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BLO, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "BLO",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // The other hangs on a battery that is apart while the vehicle stands.
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.95 V}
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  LVD2: {kind: cutoff, opens: 11 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
  COOLER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: the crew's food}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [B2, F2, LVD2, COOLER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.5 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "B1.cold-cranking",
        ),
        // Nothing is known of the battery that it is to save.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: cutoff, opens: 11.9 V, closes: 12.8 V, draw: 5 mA, rating: 20 A}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 20 mA}
wires:
  - {run: [B1, F1, CUT.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CUT.out, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "B1.capacity",
        ),
        // From an empty battery to three quarters of a charge, and the engine needs half.
        (
            "
vehicle: {name: test, system: 12 V, engine: {cranking: 200 A}, climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, health: 90 %, charge: 90 %}
  F1: {kind: fuse, rating: 10 A, form: blade}
  CUT: {kind: cutoff, opens: 11..12.6 V, closes: 12.8 V, draw: 5 mA, rating: 20 A}
  RADIO: {kind: load, type: electronics, draw: 5 A, parked: 20 mA}
wires:
  - {run: [B1, F1, CUT.in], size: 14 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: CUT.out, to: RADIO, size: 14 AWG, length: 1 m, insulation: gxl}
",
            "CUT.opens",
        ),
        // It is set to half a charge, and no table is that exact.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.2 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "charge of B1",
        ),
    ],
};
