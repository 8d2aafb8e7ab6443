//! The currents that checks hold against ratings: the worst that was seen, how far it is known, and what it lacks.

use std::sync::Arc;

use super::context::Context;
use super::finding::Finding;
use super::words;
use crate::analyze::Extreme;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Situation;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::solve::Solution;

/// A current and how far it is known.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Flow {
    /// As solved.
    pub(super) amps: Amps,
    /// Over the ranges of the draws that make it up.
    pub(super) range: Interval<Amps>,
    /// The smallest setting that shows it.
    pub(super) setting: Arc<Setting>,
    /// Smaller settings that show part of it, smallest first, each with its current.
    pub(super) smaller: Vec<(Amps, Arc<Setting>)>,
    /// Draws that are not stated, and so not in it.
    pub(super) missing: Vec<String>,
    /// Draws that are known as a range only.
    pub(super) ranged: Vec<String>,
}

impl Flow {
    /// The smallest setting in which more than this flows.
    pub(super) fn showing(&self, more_than: Amps) -> Setting {
        let mut smaller = self.smaller.iter();
        let found = smaller.find(|(amps, _)| amps.abs() > more_than);
        Setting::clone(found.map_or(&self.setting, |(_, setting)| setting))
    }

    /// The same with draws that it lacks besides.
    fn lacking(mut self, draws: Option<&Vec<String>>) -> Self {
        self.missing.extend(draws.into_iter().flatten().cloned());
        self.missing.sort();
        self.missing.dedup();
        self
    }

    /// What would have to be known to judge it: what is lacking, else what is not known closely enough.
    pub(super) fn wanted(&self) -> Vec<String> {
        if self.missing.is_empty() {
            self.ranged.clone()
        } else {
            self.missing.clone()
        }
    }
}

/// The largest current of a wire over all settings.
pub(super) fn in_wire(context: &Context<'_>, wire: WireId) -> Flow {
    let extreme = context.solved.explored.wires.get(wire.index());
    let consumers: Vec<&Consumer> = context.walks.through_wire(wire).collect();
    let flow = of_extreme(context, extreme, &consumers);
    flow.lacking(context.around.wires.get(wire.index()))
}

/// The largest current of a branch over all settings.
pub(super) fn in_branch(context: &Context<'_>, branch: BranchId) -> Flow {
    let extreme = context.solved.explored.branches.get(branch.index());
    let consumers: Vec<&Consumer> = context.walks.through_branch(branch).collect();
    let flow = of_extreme(context, extreme, &consumers);
    flow.lacking(context.around.branches.get(branch.index()))
}

fn of_extreme(
    context: &Context<'_>,
    extreme: Option<&Extreme<Amps>>,
    consumers: &[&Consumer],
) -> Flow {
    let (amps, setting) = extreme.map_or_else(Default::default, |extreme| {
        (extreme.value.abs(), extreme.setting.clone())
    });
    Flow {
        smaller: extreme.map_or_else(Vec::new, |extreme| extreme.smaller.clone()),
        ..widen(context, amps, setting, consumers)
    }
}

/// The largest current of a branch that lasts, over all settings: loads with a duty below 100 % are left out.
pub(super) fn lasting_in_branch(context: &Context<'_>, branch: BranchId) -> Flow {
    let consumers: Vec<&Consumer> = context.walks.through_branch(branch).collect();
    let seen = context.solved.explored.lasting_branches.get(branch.index());
    let seen = seen.and_then(Option::as_ref);
    lasting(
        context,
        consumers,
        in_branch(context, branch),
        seen,
        |solution| solution.branch(branch),
    )
}

/// The same of a wire.
pub(super) fn lasting_in_wire(context: &Context<'_>, wire: WireId) -> Flow {
    let consumers: Vec<&Consumer> = context.walks.through_wire(wire).collect();
    let seen = context.solved.explored.lasting_wires.get(wire.index());
    let seen = seen.and_then(Option::as_ref);
    lasting(
        context,
        consumers,
        in_wire(context, wire),
        seen,
        |solution| solution.wire(wire),
    )
}

fn lasting(
    context: &Context<'_>,
    consumers: Vec<&Consumer>,
    whole: Flow,
    seen: Option<&Extreme<Amps>>,
    of: impl Fn(&Solution) -> Amps,
) -> Flow {
    let Some(seen) = seen else {
        return whole;
    };
    let (mut most, mut setting) = (seen.value, seen.setting.clone());
    // A situation may state another duty than the load itself.
    let stated = |(situation, _): &&(Situation, Solution)| {
        consumers
            .iter()
            .any(|one| situation.duty.iter().any(|(part, _)| *part == one.part))
    };
    for (situation, solution) in context.solved.situations.iter().filter(stated) {
        let mut amps = of(solution).abs();
        for consumer in &consumers {
            let Some(load) = load(context, consumer) else {
                continue;
            };
            let duty = situation
                .duty
                .iter()
                .find(|(part, _)| *part == consumer.part)
                .map_or(load.duty.likely, |(_, duty)| duty.likely);
            if duty.0 < 1.0 - 1e-9 {
                amps = (amps - solution.branch(consumer.branch).abs()).max(Amps::ZERO);
            }
        }
        if amps.0 > most.0 * 1.02 {
            setting = Arc::new(Setting {
                situation: Some(situation.name.clone()),
                ..Setting::default()
            });
        }
        most = most.max(amps);
    }
    Flow {
        smaller: seen.smaller.clone(),
        ..widen(context, most, setting, &lasting_of(context, consumers))
    }
}

/// Those of them that run all the time while they are switched on.
pub(super) fn lasting_of<'c>(
    context: &Context<'_>,
    consumers: impl IntoIterator<Item = &'c Consumer>,
) -> Vec<&'c Consumer> {
    let consumers = consumers.into_iter();
    consumers
        .filter(|consumer| load(context, consumer).is_none_or(is_continuous))
        .collect()
}

/// Widens a solved current by the ranges of the draws behind it, and names the draws that it lacks.
fn widen(
    context: &Context<'_>,
    amps: Amps,
    setting: Arc<Setting>,
    consumers: &[&Consumer],
) -> Flow {
    let mut flow = Flow {
        amps,
        range: Interval::exact(amps),
        setting,
        smaller: Vec::new(),
        missing: Vec::new(),
        ranged: Vec::new(),
    };
    for consumer in consumers {
        add(context, consumer, &mut flow, 0);
    }
    flow.range.low = flow.range.low.max(Amps::ZERO);
    if !context.solved.explored.complete {
        flow.missing.push(context.not_explored());
    }
    flow.missing.sort();
    flow.missing.dedup();
    flow
}

fn add(context: &Context<'_>, consumer: &Consumer, flow: &mut Flow, depth: usize) {
    match &context.vehicle.branch(consumer.branch).element {
        Element::Load(load) => match load.heaviest() {
            None => flow.missing.push(draw_of(context, consumer)),
            Some((law, mode)) => {
                let (low, high) = law.spread();
                if high > low {
                    let most = most(context, consumer);
                    flow.range.low = flow.range.low - most * (1.0 - low);
                    flow.range.high += most * (high - 1.0);
                    let draw = draw_of(context, consumer);
                    flow.ranged.push(match (mode, draw.strip_suffix("draw")) {
                        (Some(mode), Some(of)) => format!("{of}modes.{mode}"),
                        _ => draw,
                    });
                }
            }
        },
        // What stands behind a converter is fed through its input.
        Element::Converter { .. } if depth < 4 => {
            let mut sources = context.walks.sources.iter();
            if let Some(own) = sources.position(|source| source.branch == consumer.branch) {
                for other in context.walks.behind_source(own) {
                    add(context, other, flow, depth + 1);
                }
            }
        }
        _ => {}
    }
}

/// Name of a consumer's draw as output lists it: `WORK.draw`, `RADIO.main.draw`.
pub(super) fn draw_of(context: &Context<'_>, consumer: &Consumer) -> String {
    name_of(context.vehicle, consumer)
}

fn name_of(vehicle: &Vehicle, consumer: &Consumer) -> String {
    let supply = &vehicle.branch(consumer.branch).name;
    let part = &vehicle.part(consumer.part).name.value;
    if supply.is_empty() {
        format!("{part}.draw")
    } else {
        format!("{part}.{supply}.draw")
    }
}

/// The draw of a load, where it is not stated what it takes when it is on: the network then has nothing flow in it.
pub(super) fn unstated(context: &Context<'_>, consumer: &Consumer) -> Option<String> {
    unstated_of(context.vehicle, consumer)
}

/// The same, before there is a context.
pub(super) fn unstated_of(vehicle: &Vehicle, consumer: &Consumer) -> Option<String> {
    let Element::Load(load) = &vehicle.branch(consumer.branch).element else {
        return None;
    };
    let own = vehicle.own_load == Some(consumer.part);
    (load.law.is_none() && load.modes.is_empty() && !own).then(|| name_of(vehicle, consumer))
}

/// The load behind a consumer; nothing for a coil or a converter.
pub(super) fn load<'a>(context: &Context<'a>, consumer: &Consumer) -> Option<&'a Load> {
    match &context.vehicle.branch(consumer.branch).element {
        Element::Load(load) => Some(load),
        _ => None,
    }
}

/// Whether what a load draws is known as a range only.
pub(super) fn is_ranged(context: &Context<'_>, consumer: &Consumer) -> bool {
    let law = load(context, consumer).and_then(|load| load.law);
    law.is_some_and(|law| law.spread().0 < law.spread().1)
}

/// Whether a load runs all the time while it is switched on.
pub(super) fn is_continuous(load: &Load) -> bool {
    load.duty.likely.0 >= 1.0 - 1e-9
}

/// Parts whose current makes up the most that was seen, those that take most first.
pub(super) struct Takers {
    /// Each with what it takes.
    pub(super) list: Vec<(PartId, Amps)>,
    /// The figures are of one situation and add up; else each is the most that the part takes in any setting.
    together: bool,
}

impl Takers {
    /// `PUMP 120 A and K1 0.15 A`; without figures where they would not add up.
    pub(super) fn words(&self, context: &Context<'_>, most: usize) -> String {
        let named: Vec<String> = self
            .list
            .iter()
            .map(|(part, amps)| {
                let name = context.name(*part);
                if self.together {
                    format!("{name} {}", words::show(*amps))
                } else {
                    name.to_owned()
                }
            })
            .collect();
        words::list(&named, most)
    }

    /// The same behind a colon, to end a sentence with; nothing where nobody is named.
    pub(super) fn told(&self, context: &Context<'_>, most: usize) -> String {
        if self.list.is_empty() {
            String::new()
        } else {
            format!(": {}", self.words(context, most))
        }
    }

    /// The parts.
    pub(super) fn parts(&self) -> impl Iterator<Item = PartId> {
        self.list.iter().map(|(part, _)| *part)
    }

    /// Points at the first few.
    pub(super) fn point(&self, context: &Context<'_>, finding: Finding) -> Finding {
        self.list
            .iter()
            .take(4)
            .fold(finding, |finding, (part, amps)| {
                let words = if self.together {
                    format!("takes {}", words::show(*amps))
                } else {
                    format!("takes up to {}", words::show(*amps))
                };
                finding.also(context.vehicle.part(*part).name.at, words)
            })
    }
}

/// Who makes up a current that was seen: by the situation that comes to it, else by the most that each takes.
pub(super) fn takers(
    context: &Context<'_>,
    consumers: &[&Consumer],
    seen: Amps,
    of: impl Fn(&Solution) -> Amps,
) -> Takers {
    let situations = context.solved.situations.iter();
    let same = situations
        .map(|(_, solution)| solution)
        .find(|solution| (of(solution).abs() - seen).abs().0 <= 0.01 * seen.0);
    let mut list: Vec<(PartId, Amps)> = Vec::new();
    for consumer in consumers {
        let amps = match same {
            Some(solution) => solution.branch(consumer.branch).abs(),
            None => most(context, consumer),
        };
        match list.iter_mut().find(|(part, _)| *part == consumer.part) {
            // What the vehicle takes with the key off and on is never taken together.
            Some((part, most)) if context.vehicle.own_load == Some(*part) => {
                *most = amps.max(*most)
            }
            Some((_, sum)) => *sum += amps,
            None => list.push((consumer.part, amps)),
        }
    }
    list.retain(|(_, amps)| amps.0 > 1e-3);
    list.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
    let sum: Amps = list.iter().map(|(_, amps)| *amps).sum();
    // Most of it is none of theirs: a short, or a battery that is charged.
    if sum.0 < 0.5 * seen.0 {
        list.clear();
    }
    Takers {
        together: same.is_some() || list.len() == 1,
        list,
    }
}

/// The most that a consumer takes in any setting.
pub(super) fn most(context: &Context<'_>, consumer: &Consumer) -> Amps {
    let extreme = context
        .solved
        .explored
        .branches
        .get(consumer.branch.index());
    extreme.map_or(Amps::ZERO, |extreme| extreme.value.abs())
}
