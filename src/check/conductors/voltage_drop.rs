//! Too much voltage is lost on the way to a load and home.

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::Setting;
use crate::model::Situation;
use crate::model::WireId;
use crate::model::element::Load;
use crate::model::walk::Consumer;
use crate::model::walk::Source;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::Solution;
use crate::table::wire;

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
                && !consumer.sources.is_empty();
            judged.then(|| judge_load(context, consumer, part, load))
        })
        .collect()
}

/// What is lost in one situation.
struct Lost<'a> {
    situation: &'a Situation,
    solution: &'a Solution,
    amps: Amps,
    /// Between the source and the load.
    out: Volts,
    /// Between the load and home.
    back: Volts,
    nominal: Volts,
    source: Source,
}

impl Lost<'_> {
    fn volts(&self) -> Volts {
        self.out + self.back
    }
    fn share(&self) -> Fraction {
        Fraction(self.volts() / self.nominal)
    }
}

fn judge_load(context: &Context<'_>, consumer: &Consumer, part: &Part, load: &Load) -> Verdict {
    let cannot = |missing: Vec<String>| Gap::of(missing).part(consumer.part).shown();
    if load.law.is_none() && load.modes.is_empty() {
        return cannot(vec![flow::draw_of(context, consumer)]);
    }
    let worst = context
        .solved
        .situations
        .iter()
        .filter(|(situation, _)| situation.key != Key::Start)
        .filter_map(|(situation, solution)| lost(context, consumer, load, situation, solution))
        .max_by(|a, b| a.share().0.total_cmp(&b.share().0));
    let Some(worst) = worst else {
        // It is on in no situation: there is nothing to lose.
        return Verdict::NoneShown;
    };
    let own: Option<Fact<Fraction>> = part.stated("drop-limit");
    let rule = context.rules.drop();
    let limit = own.map_or(Interval::exact(rule.value), |own| own.range);
    let (least, most) = load.law.map_or((1.0, 1.0), crate::model::Law::spread);
    let share = worst.share().0;
    let range = Interval::between(Fraction(share * least), Fraction(share * most));
    let unmeasured = unmeasured(context, consumer);
    match weigh(range, limit) {
        Weighed::Above => fault(context, consumer, part, &worst, own, limit.high),
        Weighed::Within if unmeasured.is_empty() => Verdict::NoneShown,
        Weighed::Within => cannot(unmeasured),
        Weighed::Depends if unmeasured.is_empty() => cannot(vec![flow::draw_of(context, consumer)]),
        Weighed::Depends => cannot(unmeasured),
    }
}

/// Lengths and sizes that are lacking on the way: these wires count as losing nothing.
fn unmeasured(context: &Context<'_>, consumer: &Consumer) -> Vec<String> {
    ways(consumer)
        .flat_map(|wire| context.vehicle.wire(wire).missing.iter().cloned())
        .collect()
}

fn ways(consumer: &Consumer) -> impl Iterator<Item = WireId> + '_ {
    let links = consumer.feed.iter().chain(&consumer.back);
    links.filter_map(|link| match *link {
        Link::Wire(wire) => Some(wire),
        Link::Branch(_) => None,
    })
}

/// What is lost in a situation; nothing where the load is off in it.
fn lost<'a>(
    context: &Context<'_>,
    consumer: &Consumer,
    load: &Load,
    situation: &'a Situation,
    solution: &'a Solution,
) -> Option<Lost<'a>> {
    let amps = solution.branch(consumer.branch);
    if amps.0 <= 1e-3 {
        return None;
    }
    let branch = context.vehicle.branch(consumer.branch);
    // It is fed by the source that stands highest.
    let source = consumer.sources.iter().copied().max_by(|&a, &b| {
        let [a, b] = [a, b].map(|source| solution.at(context.walks.sources[source].plus).0);
        a.total_cmp(&b)
    })?;
    let home = context.walks.bottom(source);
    let source = context.walks.sources[source];
    let out = (solution.at(source.plus) - solution.at(branch.from)).max(Volts::ZERO);
    let back = (solution.at(branch.to) - solution.at(home)).max(Volts::ZERO);
    Some(Lost {
        situation,
        solution,
        amps,
        out,
        back,
        nominal: nominal(context, source, load),
        source,
    })
}

/// The voltage of which a drop is a share: that of the system, of a converter's output, or of the one battery that feeds it.
fn nominal(context: &Context<'_>, source: Source, load: &Load) -> Volts {
    let vehicle = context.vehicle;
    if let Element::Converter { volts, .. } = &vehicle.branch(source.branch).element {
        return volts.likely;
    }
    let system = vehicle.system.likely;
    // A 12 V load on the tap of a 24 V pair.
    if load.rated.likely.0 < 0.7 * system.0 {
        return system * 0.5;
    }
    system
}

fn fault(
    context: &Context<'_>,
    consumer: &Consumer,
    part: &Part,
    worst: &Lost<'_>,
    own: Option<Fact<Fraction>>,
    limit: Fraction,
) -> Verdict {
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
    let setting = Setting {
        situation: Some(worst.situation.name.clone()),
        ..Setting::default()
    };
    let at = if own.is_some() {
        part.at("drop-limit")
    } else {
        part.at("draw")
    };
    let mut finding = Finding::new(
        at,
        format!(
            "{name} loses {} of {}, {}: {} on the way out and {} on the way home; {} is the limit",
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
    .setting(setting)
    .step(
        format!(
            "({} + {}) / {} = {}",
            words::show(worst.out),
            words::show(worst.back),
            words::show(worst.nominal),
            words::show(worst.share())
        ),
        format!(
            "the network solved in `{}`, from {} to the load and home",
            worst.situation.name,
            context.name(worst.source.part)
        ),
    );
    if own.is_none() && !others.is_empty() {
        finding = finding.step(others.join(", "), "other published rules for the same");
    }
    let mut drops = drops(context, consumer, worst.solution);
    drops.sort_by(|a, b| b.1.0.total_cmp(&a.1.0));
    for &(wire, drop) in drops.iter().take(3).filter(|(_, drop)| drop.0 > 0.01) {
        let at = context.wire_at(wire, "size");
        finding = finding
            .wire(wire)
            .also(at, format!("loses {}", words::show(drop)));
    }
    let help = help(context, &drops, worst, limit);
    finding.help(help).shown()
}

/// What each wire on the way loses.
fn drops(context: &Context<'_>, consumer: &Consumer, solution: &Solution) -> Vec<(WireId, Volts)> {
    ways(consumer)
        .filter(|&wire| !context.vehicle.wire(wire).assumed)
        .map(|id| {
            let wire = context.vehicle.wire(id);
            (id, (solution.at(wire.from) - solution.at(wire.to)).abs())
        })
        .collect()
}

/// What would mend it: a bad joint where a wire's measured resistance is to blame, else the size in which the wires on the way
/// would have to be at the same currents.
fn help(
    context: &Context<'_>,
    drops: &[(WireId, Volts)],
    worst: &Lost<'_>,
    limit: Fraction,
) -> String {
    let excess = worst.volts() - worst.nominal * limit.0;
    let stated = |id: WireId| context.vehicle.wire(id).fields.get("resistance").is_some();
    if let Some(&(id, _)) = drops
        .iter()
        .find(|&&(id, drop)| stated(id) && drop >= excess)
    {
        return format!(
            "{} has the resistance that the record gives it: clean or renew its ends, or run it anew",
            context.vehicle.wire(id).id
        );
    }
    for &size in wire::sizes() {
        let (Some(area), Some(r20)) = (wire::area(size), wire::r20(size)) else {
            continue;
        };
        let mut changes: Vec<(&str, Volts)> = Vec::new();
        for &(id, drop) in drops.iter().filter(|&&(id, _)| !stated(id)) {
            let old = context.vehicle.wire(id);
            let known = old
                .size
                .and_then(|old| Some((wire::area(old)?, wire::r20(old)?)));
            let Some((old_area, old_r20)) = known else {
                continue;
            };
            if old_area.value < area.value {
                changes.push((&old.id, drop * (1.0 - r20.value / old_r20.value)));
            }
        }
        let mut saved: Volts = changes.iter().map(|(_, saved)| *saved).sum();
        if saved < excess || changes.is_empty() {
            continue;
        }
        // Wires that may stay as they are: those that lose the least.
        while let Some(&(_, least)) = changes.last()
            && saved - least >= excess
        {
            saved = saved - least;
            changes.pop();
        }
        let names: Vec<&str> = changes.iter().map(|(name, _)| *name).collect();
        return format!(
            "run {} in {} or thicker",
            words::list(&names, 6),
            wire::label(size)
        );
    }
    "thicker wire alone does not mend it: look at the switches, joints and grounds on the way"
        .to_owned()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
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
    quiet: &["
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}
  RUN: {kind: feed, hot-in: [run], rating: 30 A, limit: 30 A}
  LAMP: {kind: load, type: led, draw: 10 A}
wires:
  - {from: RUN, to: LAMP, size: 10 AWG, length: 6 m, insulation: 105 C}
  - {from: LAMP, to: chassis, size: 10 AWG, length: 1 m, insulation: 105 C}
"],
    cannot: &[
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
