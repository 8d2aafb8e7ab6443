//! Too much voltage is lost on the way to a load and home.

#[cfg(test)]
mod cases;

use std::sync::Arc;

use super::loses_most;
use super::undervoltage;
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
    cases: cases::CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let consumers = context.walks.consumers.iter();
    let mut states = States {
        solver: None,
        last: None,
    };
    let draws = Draws {
        unstated: undervoltage::unstated(context),
        ranged: consumers.clone().any(|one| flow::is_ranged(context, one)),
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
            judged.then(|| judge_load(context, &mut states, &draws, consumer, part, load))
        })
        .collect()
}

/// What of the draws is not known exactly, found once for all loads.
struct Draws<'c> {
    /// Loads that state none.
    unstated: Vec<(&'c Consumer, String)>,
    /// Whether any is stated as a range.
    ranged: bool,
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
    draws: &Draws<'_>,
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
    let mut missing = undervoltage::unmeasured(context, consumer, &draws.unstated);
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
    let share = seen.value.0;
    let within =
        |low: f64, high: f64| Interval::between(Fraction(share * low), Fraction(share * high));
    let known = |missing: Vec<String>| {
        if missing.is_empty() {
            Verdict::NoneShown
        } else {
            cannot(missing)
        }
    };
    // Solving again takes long: most loads are far enough from their limit to do without.
    if weigh(within(1.0, at_most(context, consumer, draws.ranged)), limit) == Weighed::Within {
        return known(missing);
    }
    let solution = states.solve(context, state);
    let way = Way::of(context, consumer, &solution);
    let range = within(way.low, way.high);
    match weigh(range, limit) {
        Weighed::Within => known(missing),
        Weighed::Above => {
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
        Weighed::Depends => {
            if missing.is_empty() {
                missing.extend(way.ranged);
            }
            if missing.is_empty() {
                missing.push(part.missing("drop-limit"));
            }
            cannot(missing)
        }
    }
}

/// The most that any piece of the way can lose, as a share of what it likely loses: the whole way cannot lose more.
fn at_most(context: &Context<'_>, consumer: &Consumer, ranged: bool) -> f64 {
    let amps = |link| {
        // Half the vehicle may hang on it.
        if !ranged {
            return 1.0;
        }
        let draws = through(context, link).map(|(_, (_, high))| high);
        draws.fold(1.0, f64::max)
    };
    let piece = |link| {
        let ohms = InRow::of(context, [link]);
        amps(link) * (ohms.high / ohms.likely)
    };
    lossy(context, consumer)
        .map(piece)
        .filter(|share| share.is_finite())
        .fold(1.0, f64::max)
}

/// Consumers whose current can run over a piece of the way and is known as a range only, each with its ends as shares of what
/// is likely.
fn through<'c>(
    context: &'c Context<'_>,
    link: Link,
) -> impl Iterator<Item = (&'c Consumer, (f64, f64))> {
    let (wire, branch) = match link {
        Link::Wire(wire) => (Some(wire), None),
        Link::Branch(branch) => (None, Some(branch)),
    };
    let walks = &context.walks;
    let by_wire = wire
        .into_iter()
        .flat_map(move |wire| walks.through_wire(wire));
    let by_branch = branch
        .into_iter()
        .flat_map(move |branch| walks.through_branch(branch));
    by_wire.chain(by_branch).filter_map(move |consumer| {
        let (low, high) = flow::load(context, consumer)?.law?.spread();
        (low < high).then_some((consumer, (low, high)))
    })
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
            let [mut least, mut most] = [amps; 2];
            for (other, (low, high)) in through(context, link) {
                let draw = solution.branch(other.branch).0.abs();
                least -= draw * (1.0 - low);
                most += draw * (high - 1.0);
                // What loses next to nothing decides nothing.
                if draw * (high - low) * piece.likely > 0.01 {
                    ranged.push(flow::draw_of(context, other));
                }
            }
            let ends = [
                least.max(0.0) * piece.low,
                amps * piece.likely,
                most * piece.high,
            ];
            for (sum, volts) in sum.iter_mut().zip(ends) {
                *sum += volts;
            }
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
