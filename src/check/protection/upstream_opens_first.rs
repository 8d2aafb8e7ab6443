//! A fault in one branch opens the main fuse, and everything behind it goes dark.

use crate::analyze::protection;
use crate::analyze::protection::Rating;
use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::table::fuse;
use crate::table::opening::Opening;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "upstream-opens-first",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a fault in one branch can open the main fuse ahead of its own",
        page: include_str!("../../../docs/checks/upstream-opens-first.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

/// What can be a main or a branch; a feed is never a branch of the record.
const KINDS: &[Kind] = &[Kind::Fuse, Kind::Breaker, Kind::FusibleLink, Kind::Feed];

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(KINDS) {
        let Some(passage) = context.passage(part) else {
            continue;
        };
        let behind = context.walks.downstream(context.vehicle, passage);
        // Where it feeds that branch alone, nothing else goes dark.
        if behind.next.len() + behind.consumers.len() < 2 {
            continue;
        }
        for &branch in &behind.next {
            verdicts.extend(judge_pair(context, id, part, passage, branch));
        }
    }
    verdicts
}

fn judge_pair(
    context: &Context<'_>,
    main: PartId,
    part: &Part,
    passage: BranchId,
    branch: BranchId,
) -> Option<Verdict> {
    let vehicle = context.vehicle;
    let inside = vehicle.branch(branch);
    let id = inside.part;
    let of = vehicle.part(id);
    // A link that is fused at both ends has no main and no branch.
    let ends = [inside.from, inside.to];
    if of.kind == Kind::Feed
        || ends
            .iter()
            .any(|&end| context.walks.fed_apart_from(vehicle, end, &[passage]))
    {
        return None;
    }
    let both = [part, of].map(|one| {
        protection::opening(one, &vehicle.climate, Rating::Least).and_then(|fast| {
            Ok((
                fast,
                protection::opening(one, &vehicle.climate, Rating::Most)?,
            ))
        })
    });
    let [upper, lower] = match both {
        [Ok(upper), Ok(lower)] => [upper, lower],
        [upper, lower] => {
            let missing = [upper.err(), lower.err()].into_iter().flatten();
            return Some(Gap::of(missing).part(id).part(main).shown());
        }
    };
    let rated = [part, of].map(|one| one.stated::<Amps>("rating"));
    if let [Some(above), Some(below)] = rated
        && form(part, above.likely) == form(of, below.likely)
    {
        let share = fuse::selective_share();
        let most = above.likely * share.value.0;
        if below.likely.0 <= most.0 * (1.0 + 1e-9) {
            return Some(Verdict::NoneShown);
        }
        if unknown(part) {
            return Some(Gap::of([part.missing("form")]).part(id).part(main).shown());
        }
        return Some(
            finding(context, main, id, &format!(
                "{} of {} stands behind {} of {}, of the same form: above {} of the main either may open first on a short in the branch",
                of.name.value,
                words::rated(below.likely),
                part.name.value,
                words::rated(above.likely),
                words::show(share.value)
            ))
            .measured(below.likely, most, share.source)
            .step(
                format!(
                    "{} x {} = {}",
                    words::rated(above.likely),
                    words::show(share.value),
                    words::rated(most)
                ),
                share.source,
            )
            .shown(),
        );
    }
    let most = context.faults.strongest(inside.to)?;
    match sooner(&upper.1, &lower.0, &lower.1, &upper.0, most) {
        None => Some(Verdict::NoneShown),
        Some(_) if unknown(part) => {
            Some(Gap::of([part.missing("form")]).part(id).part(main).shown())
        }
        Some((amps, above, below)) => Some(
            finding(
                context,
                main,
                id,
                &format!(
                    "on a short of {} behind {}, {} has opened within {} and {} may take {}",
                    words::show(amps),
                    of.name.value,
                    part.name.value,
                    words::show(above),
                    of.name.value,
                    words::show(below)
                ),
            )
            .measured(below, above, sources(&upper.1, &lower.1))
            .shown(),
        ),
    }
}

/// The least current up to `most` at which the main opens sooner than the branch, at its soonest and at its latest both: where
/// the two merely overlap nothing is shown. Where no document says how soon one of them opens, as of every breaker, the latest
/// decides.
fn sooner(
    main_late: &Opening,
    branch_soon: &Opening,
    branch_late: &Opening,
    main_soon: &Opening,
    most: Amps,
) -> Option<(Amps, Seconds, Seconds)> {
    let mut currents: Vec<f64> = [main_late, branch_soon, branch_late, main_soon]
        .iter()
        .flat_map(|opening| opening.knots())
        .map(|amps| amps.0)
        .chain([most.0])
        .filter(|&amps| amps <= most.0)
        .collect();
    currents.sort_by(f64::total_cmp);
    currents.into_iter().map(Amps).find_map(|amps| {
        let (above, below) = (main_late.latest(amps), branch_late.latest(amps));
        let soonest = match (main_soon.earliest(amps), branch_soon.earliest(amps)) {
            (Some(main), Some(branch)) => main < branch,
            _ => true,
        };
        (above.0.is_finite() && below.0.is_finite() && above < below && soonest)
            .then_some((amps, above, below))
    })
}

/// The documents that both opening times come from, each once.
fn sources(main: &Opening, branch: &Opening) -> String {
    let mut sources: Vec<&str> = main.sources().to_vec();
    for source in branch.sources() {
        if !sources.contains(source) {
            sources.push(source);
        }
    }
    sources.join(", ")
}

/// Whether nobody can know how a main opens: the factory fuse of a feed of which only the rating is stated.
fn unknown(main: &Part) -> bool {
    main.kind == Kind::Feed && main.fields.get("form").is_none()
}

/// Forms of which the limits of opening time are alike in proportion to the rating.
fn form(part: &Part, rating: Amps) -> (bool, Option<fuse::Form>) {
    match part.kind {
        Kind::Breaker => (true, None),
        _ => (false, Some(protection::form(part, rating))),
    }
}

fn finding(context: &Context<'_>, main: PartId, branch: PartId, message: &str) -> Finding {
    let part = context.vehicle.part(branch);
    let upper = context.vehicle.part(main);
    Finding::new(part.at("rating"), message)
        .label("may leave it to the main")
        .part(branch)
        .part(main)
        .also(upper.at("rating"), "the main, which then opens for all")
        .help(format!(
            "{} in {}, or a larger main if every wire behind it up to the next fuse carries that",
            if part.kind == Kind::Fuse {
                "fit a smaller fuse"
            } else {
                "fit a smaller one, or a fast fuse,"
            },
            part.name.value
        ))
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 40 A, form: blade}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 25 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  HORN: {kind: load, type: motor, draw: 5 A}
wires:
  - {run: [B1, F0, BAR], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: BAR, to: HORN, size: 8 AWG, length: 1 m, insulation: gxl}
",
            "F1",
        ),
        // A slow branch behind a fast main: at 48 A, 160 % of the main, that has opened within 50 s (blade, from memory of
        // ISO 8820-3); the branch has 192 %, and may take some 70 s (maxi: 1800 s at 135 %, 50 s at 200 %).
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 30 A, form: blade}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 25 A, form: blade-maxi}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, BAR], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "F1",
        ),
        // A breaker behind a fuse: how soon it trips nobody publishes. At 60 A the fuse has 200 %, 5 s, and the breaker 400 %:
        // 60 s at 200 %, a quarter of that by its heat, 15 s.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 30 A, form: blade}
  BAR: {kind: busbar}
  CB: {kind: breaker, rating: 15 A, reset: manual}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, BAR], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, CB, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "CB",
        ),
        // Two breakers are of one form: 25 A is more than 60 % of 30 A. Beside it a heater hangs on the main alone.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  CB0: {kind: breaker, rating: 30 A, reset: manual}
  BAR: {kind: busbar}
  CB2: {kind: breaker, rating: 25 A, reset: manual}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB0, BAR], size: 8 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: BAR, to: HEAT, size: 10 AWG, length: 2 m, insulation: gxl}
  - {run: [BAR, CB2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "CB2",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 60 A, form: blade-maxi}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
        // 15 A are just 60 % of 25 A; behind the second main stands one fuse alone, and nothing else goes dark with it.
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 25 A, form: blade}
  F3: {kind: fuse, rating: 30 A, form: blade}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  F4: {kind: fuse, rating: 25 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PUMP: {kind: load, type: motor, draw: 12 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F3, F4, PUMP], size: 10 AWG, lengths: [10 cm, 2 m, 2 m], insulation: gxl}
",
        // At 80 A the slow 20 A may take longer than the 40 A, and may open sooner as well. The breaker is far below its main.
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, rating: 40 A, form: blade}
  F3: {kind: fuse, rating: 100 A, form: blade-maxi}
  BAR: {kind: busbar}
  BAR2: {kind: busbar}
  F1: {kind: fuse, rating: 20 A, form: blade-maxi}
  F2: {kind: fuse, rating: 5 A, form: blade}
  CB: {kind: breaker, rating: 15 A, reset: manual}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PUMP: {kind: load, type: motor, draw: 8 A}
  BEACON: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [B1, F3, BAR2], size: 2 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR2, CB, PUMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {from: BAR2, to: BEACON, size: 10 AWG, length: 2 m, insulation: gxl}
",
        // The link between two batteries has a fuse at each end: neither is the main of the other.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
  F2: {kind: fuse, rating: 50 A, form: bolt-down}
  ST: {kind: stud}
  ISO: {kind: isolator, style: relay, rating: 100 A}
  WORK: {kind: load, type: led, draw: 5 A}
  F0: {kind: fuse, rating: 30 A, form: blade}
  F3: {kind: fuse, rating: 10 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
  FAN: {kind: load, type: motor, draw: 3 A}
wires:
  - {run: [B1, F1, ST, ISO.a], size: 6 AWG, lengths: [10 cm, 1 m, 50 cm], insulation: gxl}
  - {run: [ISO.b, F2, B2], size: 6 AWG, lengths: [1 m, 10 cm], insulation: gxl}
  - {from: ST, to: WORK, size: 6 AWG, length: 2 m, insulation: gxl}
  - {run: [B1, F0, F3, LAMP], size: 10 AWG, lengths: [10 cm, 1 m, 2 m], insulation: gxl}
  - {from: F0, to: FAN, size: 10 AWG, length: 1 m, insulation: gxl}
",
    ],
    cannot: &[
        // How the factory fuse of the feed is built is not stated.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  F1: {kind: fuse, rating: 25 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [RUN, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "RUN.form",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  F0: {kind: fuse, form: blade-maxi}
  BAR: {kind: busbar}
  F1: {kind: fuse, rating: 15 A, form: blade}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F0, BAR], size: 6 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BAR, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [BAR, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "F0.rating",
        ),
        // A slow fuse behind the factory fuse of a feed: only if that is a fast one does it open first.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  F1: {kind: fuse, rating: 25 A, form: blade-maxi}
  F2: {kind: fuse, rating: 5 A, form: blade}
  HEAT: {kind: load, type: heater, draw: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [RUN, F1, HEAT], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
  - {run: [RUN, F2, LAMP], size: 10 AWG, lengths: [10 cm, 2 m], insulation: gxl}
",
            "RUN.form",
        ),
    ],
};
