//! A wanted key-off load that draws much, with neither timer nor cutoff in its way.

use super::standing;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::StaysLive;
use crate::quantity::Amps;
use crate::quantity::Interval;

/// Above this a load that may run parked is expected to end by itself: common practice, no source.
const ENOUGH: Amps = Amps(0.1);

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "key-off-without-cutoff",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a wanted key-off load above 100 mA with neither timer nor cutoff",
        page: include_str!("../../../docs/checks/key-off-without-cutoff.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(super::USERS)
        .filter_map(|(id, part)| Some(judge_part(context, id, part.stays_live.as_ref()?)))
        .collect()
}

fn judge_part(context: &Context<'_>, id: PartId, wanted: &StaysLive) -> Verdict {
    let part = context.vehicle.part(id);
    let missing = super::missing_draw(context, id);
    let draw = context.key_off(id).filter(|draw| draw.only_if.is_none());
    let range = draw.map_or(Interval::exact(Amps::ZERO), |draw| draw.range);
    if !takes_from_starter(context, id) || ends_by_itself(context, id) {
        return Verdict::NoneShown;
    }
    match weigh(range, Interval::exact(ENOUGH)) {
        Weighed::Within if missing.is_empty() => return Verdict::NoneShown,
        Weighed::Above => {}
        Weighed::Within | Weighed::Depends => {
            let missing = if missing.is_empty() {
                super::ranged_draw(context, id)
            } else {
                missing
            };
            return Gap::of(missing).part(id).shown();
        }
    }
    let current = draw.map_or(Amps::ZERO, |draw| draw.current);
    Finding::new(
        wanted.at,
        format!(
            "{} may run with the key off and draws {}, and nothing in its way ends that: neither a timer nor a cutoff",
            words::called(part),
            words::range(range),
        ),
    )
    .label("wanted, but without an end")
    .part(id)
    .measured(current, ENOUGH, "common practice, no source")
    .also(
        part.at("parked"),
        format!("{} while parked", words::range(range)),
    )
    .help("put a low-voltage cutoff or a delay ahead of it, or feed it from a battery that does not start the engine")
    .step(
        format!("{} x 24 h a day", words::show(current)),
        "the network solved with the key off, everything as it is left and settled",
    )
    .shown()
}

/// Whether it hangs on the battery that starts the engine, by what is closed while the vehicle stands.
fn takes_from_starter(context: &Context<'_>, id: PartId) -> bool {
    let reached = standing::reached_from_starter(context);
    context
        .walks
        .consumers_of(id)
        .any(|consumer| reached.contains(&context.vehicle.branch(consumer.branch).from))
}

/// Whether a cutoff, a delay or a timed feed lies in every way to it, or in its way home, or it is one itself.
fn ends_by_itself(context: &Context<'_>, id: PartId) -> bool {
    let ends = |branch: BranchId| {
        matches!(
            context.vehicle.branch(branch).element,
            Element::Contact {
                control: Control::Cutoff { .. }
                    | Control::Delay { .. }
                    | Control::Hot {
                        stays_on: Some(_),
                        ..
                    },
                ..
            }
        )
    };
    if context.vehicle.part(id).branches.iter().copied().any(ends) {
        return true;
    }
    // What bypasses it, as the vehicle is left, makes it useless.
    let unguarded = standing::reached_without(context, ends);
    context.walks.consumers_of(id).all(|consumer| {
        let from = context.vehicle.branch(consumer.branch).from;
        let home = consumer.back.iter();
        !unguarded.contains(&from)
            || home
                .copied()
                .any(|link| matches!(link, Link::Branch(branch) if ends(branch)))
    })
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  MASTER: {kind: disconnect, rating: 100 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, MASTER, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
            "ROUTER",
        ),
        // The switch that bypasses the cutoff is left closed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  BYPASS: {kind: switch, rating: 20 A, left: closed}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, BYPASS, ROUTER], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "ROUTER",
        ),
    ],
    quiet: &[
        // The same, left open.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  BYPASS: {kind: switch, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, BYPASS, ROUTER], size: 16 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  LVD: {kind: cutoff, opens: 12.4 V, closes: 13.2 V, draw: 3 mA, rating: 20 A}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, LVD, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 20 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F1, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // A battery of its own, apart from the engine's while the vehicle stands.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F2: {kind: fuse, rating: 60 A, form: bolt-down}
  F3: {kind: fuse, rating: 60 A, form: bolt-down}
  VSR: {kind: isolator, style: relay, opens: 12.8 V, closes: 13.3 V, rating: 100 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  ROUTER: {kind: load, type: electronics, draw: 1 A, parked: 150 mA, stays-live: reachable at night}
wires:
  - {run: [B1, F2, VSR.a], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [VSR.b, F3, B2], size: 6 AWG, lengths: [1 m, 10 cm], insulation: gxl}
  - {run: [B2, F1, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  ROUTER: {kind: load, type: electronics, draw: 1 A, stays-live: reachable at night}
wires:
  - {run: [B1, F1, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "ROUTER.parked",
        ),
        // Nothing is known of what it takes.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  ROUTER: {kind: load, type: electronics, stays-live: reachable at night}
wires:
  - {run: [B1, F1, ROUTER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "ROUTER.draw",
        ),
        // A cooler goes on working, on for a tenth to a half of the time.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  F1: {kind: fuse, rating: 5 A, form: blade}
  COOLER: {kind: load, type: motor, draw: 0.5 A, parked: 0.5 A, duty: 10..50 %, stays-live: keeps samples cold}
wires:
  - {run: [B1, F1, COOLER], size: 16 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "COOLER.duty",
        ),
    ],
};
