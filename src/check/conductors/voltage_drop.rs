//! Too much voltage is lost on the way to a load and home.

use std::sync::Arc;

use super::loses_most;
use crate::check::flow;
use crate::check::in_row::InRow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Fact;
use crate::model::Link;
use crate::model::Part;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::model::walk::Source;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;
use crate::solve::explored::Shown;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "voltage-drop",
        level: Level::Warning,
        harm: Harm::Nuisance,
        summary: "too much voltage is lost on the way to a load and home",
        page: include_str!("../../../docs/checks/voltage-drop.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let consumers = context.walks.consumers.iter();
    let mut states = States {
        solver: None,
        last: None,
    };
    consumers
        .filter_map(|consumer| {
            let part = context.vehicle.part(consumer.part);
            let load = flow::load(context, consumer)?;
            let starter = part
                .fields
                .text("type")
                .is_some_and(|kind| kind.value == "starter");
            let judged = matches!(part.kind, Kind::Load | Kind::Controller)
                && context.vehicle.own_load != Some(consumer.part)
                && context.is_added(consumer.part)
                && !starter
                && consumer.comes_home
                && !consumer.sources.is_empty();
            judged.then(|| judge_load(context, &mut states, consumer, part, load))
        })
        .collect()
}

/// A state, with what it is solved from, and its solution.
type Known = (Arc<(State, Memory)>, Arc<Solution>);

/// Solves again what the exploration found to be worst: many loads share one state.
struct States<'v> {
    solver: Option<Solver<'v>>,
    last: Option<Known>,
}

impl<'v> States<'v> {
    fn solve(&mut self, context: &Context<'v>, state: &Arc<(State, Memory)>) -> Arc<Solution> {
        if let Some((known, solution)) = &self.last
            && Arc::ptr_eq(known, state)
        {
            return Arc::clone(solution);
        }
        let vehicle = context.vehicle;
        let solver = self.solver.get_or_insert_with(|| Solver::new(vehicle));
        let solution = Arc::new(solver.solve(&state.0, &state.1));
        self.last = Some((Arc::clone(state), Arc::clone(&solution)));
        solution
    }
}

/// What is lost in the state in which most is.
struct Lost {
    solution: Arc<Solution>,
    amps: Amps,
    /// Between the source and the load.
    out: Volts,
    /// Between the load and home.
    back: Volts,
    nominal: Volts,
    source: Source,
}

impl Lost {
    fn volts(&self) -> Volts {
        self.out + self.back
    }
    fn share(&self) -> Fraction {
        Fraction(self.volts() / self.nominal)
    }
}

fn judge_load<'v>(
    context: &Context<'v>,
    states: &mut States<'v>,
    consumer: &Consumer,
    part: &Part,
    load: &Load,
) -> Verdict {
    let cannot = |missing: Vec<String>| Gap::of(missing).part(consumer.part).shown();
    if load.law.is_none() && load.modes.is_empty() {
        return cannot(vec![flow::draw_of(context, consumer)]);
    }
    let explored = &context.solved.explored;
    let uses = explored.uses.get(consumer.branch.index());
    let seen = uses.and_then(|uses| Some((uses.lost.as_ref()?, uses.lost_in.as_ref()?)));
    let mut missing = unmeasured(context, consumer);
    if !explored.complete {
        missing.push(context.not_explored());
    }
    let Some((seen, state)) = seen else {
        // It is on in no setting: there is nothing to lose. One that was not looked at may yet be one.
        return if explored.complete {
            Verdict::NoneShown
        } else {
            cannot(missing)
        };
    };
    let own: Option<Fact<Fraction>> = part.stated("drop-limit");
    let rule = context.rules.drop();
    let limit = own.map_or(Interval::exact(rule.value), |own| own.range);
    let (least, most) = load.law.map_or((1.0, 1.0), crate::model::Law::spread);
    let share = seen.value.0;
    let within = |low: f64, high: f64| {
        Interval::between(Fraction(share * least * low), Fraction(share * most * high))
    };
    // How far the resistance of the whole way is known lies between how far that of each piece is.
    let rough = rough(context, consumer);
    let mut lost = None;
    let mut weighed = weigh(within(rough.low.0, rough.high.0), limit);
    let mut range = within(rough.low.0, rough.high.0);
    if weighed != Weighed::Within {
        let solution = states.solve(context, state);
        let way = Way::of(context, consumer, &solution);
        range = within(way.low, way.high);
        weighed = weigh(range, limit);
        lost = Some((solution, way));
    }
    match (weighed, lost) {
        (Weighed::Within, _) | (_, None) if missing.is_empty() => Verdict::NoneShown,
        (Weighed::Within, _) | (_, None) => cannot(missing),
        (Weighed::Above, Some((solution, way))) => {
            let Some(worst) = self::lost(context, consumer, load, solution) else {
                return Verdict::NoneShown;
            };
            let judged = Judged {
                seen,
                range,
                way: &way,
                own,
                limit: limit.high,
            };
            fault(context, consumer, part, &worst, &judged)
        }
        (Weighed::Depends, Some((_, way))) => {
            if missing.is_empty() {
                missing.extend(way.ranged);
                if least < most {
                    missing.push(flow::draw_of(context, consumer));
                }
            }
            if missing.is_empty() {
                missing.push(part.missing("drop-limit"));
            }
            cannot(missing)
        }
    }
}

/// The least and the most that any piece of the way can have of its likely resistance.
fn rough(context: &Context<'_>, consumer: &Consumer) -> Interval<Fraction> {
    let mut range = Interval::exact(Fraction(1.0));
    for link in lossy(context, consumer) {
        let piece = InRow::of(context, [link]);
        if piece.likely > 0.0 {
            range.low = range.low.min(Fraction(piece.low / piece.likely));
            range.high = range.high.max(Fraction(piece.high / piece.likely));
        }
    }
    range
}

/// How far the loss on the way is known: as shares of the likely one, pieces weighed by what flows in them.
struct Way {
    low: f64,
    high: f64,
    /// Facts that are known as a range only.
    ranged: Vec<String>,
}

impl Way {
    fn of(context: &Context<'_>, consumer: &Consumer, solution: &Solution) -> Self {
        let mut sum = [0.0_f64; 3];
        let mut ranged = Vec::new();
        for link in lossy(context, consumer) {
            let amps = match link {
                Link::Wire(wire) => solution.wire(wire),
                Link::Branch(branch) => solution.branch(branch),
            };
            let amps = amps.0.abs();
            let piece = InRow::of(context, [link]);
            for (sum, ohms) in sum.iter_mut().zip([piece.low, piece.likely, piece.high]) {
                *sum += amps * ohms;
            }
            // What loses next to nothing decides nothing.
            if amps * (piece.high - piece.low) > 0.01 {
                ranged.extend(piece.ranged);
            }
        }
        let [low, likely, high] = sum;
        ranged.sort();
        ranged.dedup();
        let share = |end: f64| if likely > 0.0 { end / likely } else { 1.0 };
        Self {
            low: share(low),
            high: share(high),
            ranged,
        }
    }
}

/// What is on the way and not meant to lose anything.
fn lossy(context: &Context<'_>, consumer: &Consumer) -> impl Iterator<Item = Link> {
    let links = consumer.feed.iter().chain(&consumer.back).copied();
    links.filter(|link| match *link {
        Link::Wire(wire) => !context.vehicle.wire(wire).is_resistor(),
        Link::Branch(_) => true,
    })
}

/// What resistors on a way lose, as they are meant to.
fn meant(context: &Context<'_>, way: &[Link], solution: &Solution) -> Volts {
    let resistors = way.iter().filter_map(|link| match *link {
        Link::Wire(wire) => Some(context.vehicle.wire(wire)).filter(|wire| wire.is_resistor()),
        Link::Branch(_) => None,
    });
    resistors
        .map(|wire| (solution.at(wire.from) - solution.at(wire.to)).abs())
        .sum()
}

/// Lengths and sizes that are lacking on the way: these wires count as losing nothing.
fn unmeasured(context: &Context<'_>, consumer: &Consumer) -> Vec<String> {
    loses_most::on_the_way(consumer)
        .flat_map(|wire| context.vehicle.wire(wire).missing.iter().cloned())
        .collect()
}

/// What is lost in a state; nothing where the load is off in it.
fn lost(
    context: &Context<'_>,
    consumer: &Consumer,
    load: &Load,
    solution: Arc<Solution>,
) -> Option<Lost> {
    let amps = solution.branch(consumer.branch);
    let branch = context.vehicle.branch(consumer.branch);
    // It is fed by the source that stands highest.
    let highest = consumer.sources.iter().copied().max_by(|&a, &b| {
        let [a, b] = [a, b].map(|source| solution.at(context.walks.sources[source].plus).0);
        a.total_cmp(&b)
    })?;
    let home = context.walks.bottom(highest);
    let source = context.walks.sources[highest];
    let out = solution.at(source.plus)
        - solution.at(branch.from)
        - meant(context, &consumer.feed, &solution);
    let back =
        solution.at(branch.to) - solution.at(home) - meant(context, &consumer.back, &solution);
    Some(Lost {
        solution,
        amps,
        out: out.max(Volts::ZERO),
        back: back.max(Volts::ZERO),
        nominal: context.walks.nominal(context.vehicle, highest, load),
        source,
    })
}

/// How a drop stands to its limit.
struct Judged<'a> {
    seen: &'a Shown<Fraction>,
    range: Interval<Fraction>,
    way: &'a Way,
    own: Option<Fact<Fraction>>,
    limit: Fraction,
}

fn fault(
    context: &Context<'_>,
    consumer: &Consumer,
    part: &Part,
    worst: &Lost,
    judged: &Judged<'_>,
) -> Verdict {
    let Judged {
        seen,
        range,
        way,
        own,
        limit,
    } = *judged;
    let name = &part.name.value;
    let rule = context.rules.drop();
    let source = match own {
        Some(_) => format!("`drop-limit` of {name} in the record"),
        None => rule.said(),
    };
    let others: Vec<String> = rule
        .others()
        .into_iter()
        .map(|(choice, allowed)| format!("`{}` allows {}", choice.name, words::show(allowed)))
        .collect();
    let at = if own.is_some() {
        part.at("drop-limit")
    } else {
        part.at("draw")
    };
    // All of the range is over the limit.
    let between = if way.high > way.low * 1.05 {
        let (low, high) = (words::show(range.low), words::show(range.high));
        format!(" ({low} to {high}, as far as its way is known)")
    } else {
        String::new()
    };
    // In a smaller setting the same holds while even the least that is lost is over it.
    let least = range.low.0 / seen.value.0;
    let mut finding = Finding::new(
        at,
        format!(
            "{name} loses {} of {}, {}{between}: {} on the way out and {} on the way home; {} is the limit",
            words::show(worst.volts()),
            words::show(worst.nominal),
            words::show(worst.share()),
            words::show(worst.out),
            words::show(worst.back),
            words::show(limit)
        ),
    )
    .label(format!("takes {} here", words::show(worst.amps)))
    .part(consumer.part)
    .measured(worst.share(), limit, source.clone())
    .setting(seen.showing(|share| share.0 * least > limit.0))
    .worst(seen.worst())
    .step(
        format!(
            "({} + {}) / {} = {}",
            words::show(worst.out),
            words::show(worst.back),
            words::show(worst.nominal),
            words::show(worst.share())
        ),
        format!(
            "the network solved in every setting, from {} to the load and home",
            context.name(worst.source.part)
        ),
    );
    if own.is_none() && !others.is_empty() {
        finding = finding.step(others.join(", "), "other published rules for the same");
    }
    let drops = loses_most::wires(context, consumer, &worst.solution);
    for &(wire, drop) in drops.iter().take(3).filter(|(_, drop)| drop.0 > 0.01) {
        let at = context.wire_at(wire, "size");
        finding = finding
            .wire(wire)
            .also(at, format!("loses {}", words::show(drop)));
    }
    let help = match loses_most::part(context, consumer, &worst.solution) {
        Some(most) if drops.first().is_none_or(|first| most.volts > first.1) => {
            finding = finding.part(most.part).also(
                context.vehicle.part(most.part).name.at,
                format!("loses {}", words::show(most.volts)),
            );
            most.help(context)
        }
        _ => loses_most::help(context, &drops, worst.volts() - worst.nominal * limit.0),
    };
    finding.help(help).shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        // All of the range is over the limit.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  WORK: {kind: load, type: led, draw: 8 A}
wires:
  - {from: RUN, to: WORK, size: 16 AWG, length: 15..20 m, insulation: gxl}
  - {from: WORK, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "WORK",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 16 AWG, length: 12 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP",
        ),
        // The loss is in a corroded ground.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
  G1: {kind: ground, resistance: 0.2 ohm}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 1 m, insulation: 105 C}
  - {from: LAMP, to: G1, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP",
        ),
    ],
    quiet: &[
        // The low speed of a fan: its resistor is meant to lose.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  S1: {kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  FAN: {kind: load, type: motor, draw: 8 A}
wires:
  - {from: RUN, to: S1.B, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.H, to: FAN, size: 12 AWG, length: 1 m, insulation: 105 C}
  - {from: S1.L, to: FAN, resistance: 0.8 ohm}
",
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 6 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 10 AWG, length: 1 m, insulation: 105 C}
",
    ],
    cannot: &[
        // 8 A lose an eighth, 4 A half as much: the limit of a tenth lies between.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  LAMP: {kind: load, type: led, draw: 4..8 A}
wires:
  - {from: RUN, to: LAMP, size: 16 AWG, length: 12 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 16 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
        // The limit lies inside the range of its length.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 20 A, limit: 20 A}
  WORK: {kind: load, type: led, draw: 8 A}
wires:
  - {from: RUN, to: WORK, size: 16 AWG, length: 5..14 m, insulation: gxl}
  - {from: WORK, to: chassis, size: 16 AWG, length: 1 m, insulation: gxl}
",
            "w1.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "w1.length",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 1 m, insulation: 105 C}
",
            "LAMP.draw",
        ),
    ],
};
