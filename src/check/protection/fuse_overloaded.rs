//! A lasting current above what a fuse carries for long.

use crate::check::flow;
use crate::check::flow::Flow;
use crate::check::prelude::*;
use crate::check::sizing;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Fact;
use crate::model::Part;
use crate::model::PartId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;
use crate::table::fuse;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "fuse-overloaded",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "a lasting current is above what the fuse carries for long",
        page: include_str!("../../../docs/checks/fuse-overloaded.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Fuse, Kind::Breaker, Kind::FusibleLink])
        .filter_map(|(id, part)| {
            let branch = context.passage(part)?;
            context.walks.through_branch(branch).next()?;
            Some(judge_fuse(context, id, part, branch))
        })
        .collect()
}

fn judge_fuse(context: &Context<'_>, id: PartId, part: &Part, branch: BranchId) -> Verdict {
    let Some(rating) = part.stated::<Amps>("rating") else {
        return Gap::of([part.missing("rating")]).part(id).shown();
    };
    let lasting = flow::lasting_in_branch(context, branch);
    let most = flow::in_branch(context, branch);
    let share = fuse::continuous_share();
    let heat = rerated(context, part);
    let factor = share.value.0 * heat.0;
    let allowed = Interval {
        low: rating.range.low * factor,
        high: rating.range.high * factor,
    };
    let for_long = weigh(lasting.range, allowed);
    let at_all = weigh(most.range, rating.range);
    if for_long == Weighed::Above {
        return fault(context, id, part, branch, &lasting, rating, factor, &heat.1);
    }
    if at_all == Weighed::Above {
        return fault(context, id, part, branch, &most, rating, 1.0, "");
    }
    let unclear = for_long == Weighed::Depends || at_all == Weighed::Depends;
    if unclear || !most.missing.is_empty() {
        let mut missing = if most.missing.is_empty() {
            most.ranged
        } else {
            most.missing
        };
        if missing.is_empty() {
            missing.push(part.missing("rating"));
        }
        return Gap::of(missing).part(id).shown();
    }
    Verdict::NoneShown
}

/// What heat leaves of a fuse's rating, with its source; a breaker and a link have no published curve of their own here.
fn rerated(context: &Context<'_>, part: &Part) -> (f64, String) {
    if part.kind != Kind::Fuse {
        return (1.0, String::new());
    }
    let factor = fuse::rerate(context.temperature(part.zone));
    (factor.value.0, factor.source.to_owned())
}

#[allow(clippy::too_many_arguments)]
fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    branch: BranchId,
    flow: &Flow,
    rating: Fact<Amps>,
    factor: f64,
    heat: &str,
) -> Verdict {
    let name = &part.name.value;
    let lasting = factor < 1.0;
    let mut consumers: Vec<&Consumer> = context.walks.through_branch(branch).collect();
    if lasting {
        consumers = flow::lasting_of(context, consumers);
    }
    let takers = flow::takers(context, &consumers, flow.amps, |solution| {
        solution.branch(branch)
    });
    let limit = rating.range.high * factor;
    let share = fuse::continuous_share();
    let rated = words::rated(rating.likely);
    let message = if lasting {
        format!(
            "{name} of {rated} carries {} for long, and {} can flow through it{}",
            words::show(limit),
            words::show(flow.amps),
            takers.told(context, 4)
        )
    } else {
        format!(
            "{} can flow through {name}, which is rated {rated}{}",
            words::show(flow.amps),
            takers.told(context, 4)
        )
    };
    let carried = sizing::next_fuse_up(part, flow.amps * (1.0 / factor));
    let help = match carried {
        Some(made) => format!(
            "fit {} if every wire behind {name} carries it; else split what hangs on it over two fuses",
            words::rated(made)
        ),
        None => format!("split what hangs on {name} over two fuses"),
    };
    let source = if lasting {
        let heat = if heat.is_empty() {
            String::new()
        } else {
            format!("; less in heat: {heat}")
        };
        format!(
            "{} of the rating for long: {}{heat}",
            words::show(share.value),
            share.source
        )
    } else {
        "its own rating".to_owned()
    };
    let mut finding = Finding::new(part.at("rating"), message)
        .label("opens sooner or later with nothing wrong")
        .part(id)
        .parts(takers.parts())
        .measured(flow.amps, limit, source.clone())
        .setting(flow.showing(limit))
        .worst(flow.setting.clone())
        .help(help);
    if lasting {
        let kept = factor / share.value.0;
        let heated = if heat.is_empty() {
            String::new()
        } else {
            format!(" x {kept:.3} at {:.0} C", context.temperature(part.zone).0)
        };
        finding = finding.step(
            format!(
                "{rated} x {:.2} for long{heated} = {}",
                share.value.0,
                words::show(limit)
            ),
            source,
        );
    }
    takers.point(context, finding).shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // Both supplies of one box.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, zone: cabin}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  BOX: {kind: load, type: electronics, supplies: {main: {draw: 8 A}, fan: {draw: 6 A}}}
wires:
  - {run: [RUN, F1, BOX.main], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: F1, to: BOX.fan, size: 12 AWG, length: 1 m, insulation: gxl}
",
            "F1",
        ),
        // Whichever of what its papers allow it takes, it is more than 12 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, zone: cabin}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  BOX: {kind: load, type: electronics, draw: 13..15 A}
wires:
  - {run: [RUN, F1, BOX], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
            "F1",
        ),
        // One of the two is too much by itself: that setting is told, and beside it the one in which most flows.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, zone: cabin}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  S1: {kind: switch, rating: 20 A}
  S2: {kind: switch, rating: 20 A}
  SMALL: {kind: load, type: led, draw: 8 A}
  LARGE: {kind: load, type: led, draw: 13 A}
wires:
  - {run: [RUN, F1, S1, SMALL], size: 10 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, S2, LARGE], size: 12 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "F1",
        ),
        // 14 A of 15 A is above 80 %, and in the engine bay it carries less still.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade, zone: engine-bay}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  LAMP: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
        // Intermittent, but above the rating itself.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  PUMP: {kind: load, type: motor, draw: 17 A, duty: 5 %}
wires:
  - {run: [RUN, F1, PUMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
        // A breaker carries 80 % for long as well, here 16 A; no figure for heat is known of it.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB: {kind: breaker, rating: 20 A, reset: manual}
  LAMP: {kind: load, type: led, draw: 18 A}
wires:
  - {run: [B1, CB, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "CB",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 20 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  LAMP: {kind: load, type: led, draw: 14 A}
wires:
  - {run: [RUN, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
        // Above 80 %, but only now and then.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  PUMP: {kind: load, type: motor, draw: 14 A, duty: 5 %}
wires:
  - {run: [RUN, F1, PUMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  BOX: {kind: load, type: electronics}
wires:
  - {run: [RUN, F1, BOX], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "BOX.draw",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 15 A, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  BOX: {kind: load, type: electronics, draw: 8..14 A}
wires:
  - {run: [RUN, F1, BOX], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "BOX.draw",
        ),
        // 12 A are more than 80 % of 10 A and less than 80 % of 20 A.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10..20 A, form: blade}
  LAMP: {kind: load, type: led, draw: 12 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
    ],
};
