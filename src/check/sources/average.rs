//! What parts take on average in a situation, over the ranges of their draws and duties.

use crate::analyze::Balance;
use crate::check::context::Context;
use crate::check::flow;
use crate::model::Basis;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Law;
use crate::model::PartId;
use crate::model::Situation;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::solve::Solution;

/// The least and the most that the parts that count take together. What stands behind a converter counts by the converter's
/// input; coils, and converters that feed nothing, always count.
pub(super) fn range(
    context: &Context<'_>,
    situation: &Situation,
    solution: &Solution,
    counts: impl Fn(PartId) -> bool,
) -> Interval<Amps> {
    let vehicle = context.vehicle;
    let duties: Vec<(PartId, Interval<Fraction>)> = vehicle
        .part_ids()
        .map(|part| {
            let duty = counts(part).then(|| duty(context, situation, solution, part));
            (part, duty.unwrap_or(Interval::exact(Fraction(0.0))))
        })
        .collect();
    let sum = |end: fn(&Interval<Fraction>) -> Fraction| {
        let exactly = |share: Fraction| Fact {
            range: Interval::exact(share),
            likely: share,
            basis: Basis::Derived(None),
        };
        let duty = duties.iter();
        let situation = Situation {
            duty: duty
                .map(|(part, range)| (*part, exactly(end(range))))
                .collect(),
            ..situation.clone()
        };
        Balance::of(vehicle, &situation, solution).average
    };
    Interval::between(sum(|range| range.low), sum(|range| range.high))
}

/// What a part takes on average, as a share of what it takes while it is on.
fn duty(
    context: &Context<'_>,
    situation: &Situation,
    solution: &Solution,
    part: PartId,
) -> Interval<Fraction> {
    let vehicle = context.vehicle;
    let (mut whole, mut least, mut most) = (Amps::ZERO, Amps::ZERO, Amps::ZERO);
    for &id in &vehicle.part(part).branches {
        let Element::Load(load) = &vehicle.branch(id).element else {
            continue;
        };
        let amps = solution.branch(id);
        let law = mode(&situation.modes, part, load).or(load.law);
        let (low, high) = law.map_or((1.0, 1.0), Law::spread);
        let share = share_of_time(situation, part, load);
        whole += amps;
        least += amps * (share.low.0 * low);
        most += amps * (share.high.0 * high);
    }
    if whole > Amps::ZERO {
        Interval::between(Fraction(least / whole), Fraction(most / whole))
    } else {
        Interval::exact(Fraction(0.0))
    }
}

/// The law of the mode that is named for the part of a load.
pub(super) fn mode(modes: &[(PartId, String)], part: PartId, load: &Load) -> Option<Law> {
    let (_, mode) = modes.iter().find(|(of, _)| *of == part)?;
    let mut laws = load.modes.iter();
    laws.find(|(name, _)| name == mode).map(|(_, law)| *law)
}

/// As the situation states it, else the load itself.
fn share_of_time(situation: &Situation, part: PartId, load: &Load) -> Interval<Fraction> {
    let mut duties = situation.duty.iter();
    let stated = duties.find(|(of, _)| *of == part);
    stated.map_or(load.duty.range, |(_, duty)| duty.range)
}

/// Facts of the parts that count and take something of which only a range is known.
pub(super) fn open(
    context: &Context<'_>,
    situation: &Situation,
    solution: &Solution,
    counts: impl Fn(PartId) -> bool,
) -> Vec<String> {
    let mut open = Vec::new();
    for consumer in &context.walks.consumers {
        let Some(load) = flow::load(context, consumer).filter(|_| counts(consumer.part)) else {
            continue;
        };
        if !solution.live[context.vehicle.branch(consumer.branch).from.index()] {
            continue;
        }
        let part = context.vehicle.part(consumer.part);
        let mode = mode(&situation.modes, consumer.part, load);
        let (low, high) = mode.or(load.law).map_or((1.0, 1.0), Law::spread);
        if low < high {
            open.push(match mode {
                Some(_) => part.missing("modes"),
                None => draw_of(context, consumer),
            });
        }
        if !share_of_time(situation, consumer.part, load).is_exact() {
            open.push(part.missing("duty"));
        }
    }
    open
}

/// Name of a consumer's draw; what the vehicle takes itself is a fact of the vehicle.
pub(super) fn draw_of(context: &Context<'_>, consumer: &Consumer) -> String {
    if context.vehicle.own_load == Some(consumer.part) {
        "vehicle.own-load.run".to_owned()
    } else {
        flow::draw_of(context, consumer)
    }
}
