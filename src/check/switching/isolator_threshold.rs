//! A voltage-sensing isolator that never closes, never opens in time, or finds no rest.

#[cfg(test)]
mod cases;

use std::collections::BTreeSet;

use petgraph::visit::EdgeRef;

use crate::analyze::endurance;
use crate::check::key_off::standing;
use crate::check::prelude::*;
use crate::model::Basis;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::table::battery;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "isolator-threshold",
        level: Level::Warning,
        harm: Harm::Stranded,
        summary: "a voltage-sensing isolator that never closes, opens too late, or chatters",
        page: include_str!("../../../docs/checks/isolator-threshold.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

/// What charges is at its voltage when it is within this of it.
const HOLDS: Volts = Volts(0.05);

/// An isolator and its two voltages.
struct Isolator<'a> {
    id: PartId,
    part: &'a Part,
    branch: BranchId,
    opens: Fact<Volts>,
    closes: Fact<Volts>,
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for (id, part) in context.parts_of(&[Kind::Isolator]) {
        let found =
            part.branches
                .iter()
                .find_map(|&branch| match context.vehicle.branch(branch).element {
                    Element::Contact {
                        control: Control::Isolator { opens, closes, .. },
                        ..
                    } => Some((branch, opens, closes)),
                    _ => None,
                });
        // One made of diodes has no threshold.
        let Some((branch, opens, closes)) = found else {
            continue;
        };
        let isolator = Isolator {
            id,
            part,
            branch,
            opens,
            closes,
        };
        verdicts.extend(judge_isolator(context, &isolator));
    }
    verdicts
}

fn judge_isolator(context: &Context<'_>, isolator: &Isolator<'_>) -> Vec<Verdict> {
    if isolator.opens.range.low >= isolator.closes.range.high {
        return vec![no_band(isolator).shown()];
    }
    if let Some(verdict) = cycles(context, isolator) {
        return vec![verdict];
    }
    vec![
        never_closes(context, isolator),
        opens_late(context, isolator),
    ]
}

fn finding(isolator: &Isolator<'_>, key: &str, message: String) -> Finding {
    let at = if isolator.part.fields.get(key).is_some() {
        isolator.part.at(key)
    } else {
        isolator.part.name.at
    };
    Finding::new(at, message).part(isolator.id)
}

fn no_band(isolator: &Isolator<'_>) -> Finding {
    finding(
        isolator,
        "opens",
        format!(
            "{} opens at {} and closes at {}: it has no band between the two and can only chatter",
            words::called(isolator.part),
            words::range(isolator.opens.range),
            words::range(isolator.closes.range)
        ),
    )
    .label("has to lie below `closes`")
    .source("`opens` and `closes` of the record")
    .help("look the two up in its papers: it closes while the alternator charges and opens well below that")
}

/// It opens as soon as it has closed, in some setting.
fn cycles(context: &Context<'_>, isolator: &Isolator<'_>) -> Option<Verdict> {
    let explored = context.solved.explored.chatter.iter();
    let found = explored
        .map(|(circle, setting)| (circle, setting.clone()))
        .chain(
            context
                .solved
                .situations
                .iter()
                .flat_map(|(situation, solution)| {
                    solution.chatter.iter().map(|circle| {
                        let setting = Setting {
                            situation: Some(situation.name.clone()),
                            ..Setting::default()
                        };
                        (circle, setting)
                    })
                }),
        )
        .find(|(circle, _)| circle.contains(&isolator.id));
    let (_, setting) = found?;
    let when = match &setting.situation {
        Some(situation) => format!(" in `{situation}`"),
        None => words::when(&setting),
    };
    let finding = finding(
        isolator,
        "opens",
        format!(
            "{} closes and opens again and again{when}: once it is closed, what it joins pulls its voltage below {}",
            words::called(isolator.part),
            words::range(isolator.opens.range)
        ),
    )
    .label("opens as soon as it has closed")
    .setting(setting)
    .source("the network solved in every setting, isolators moved until they rest")
    .help("fit larger cables to it, limit what the far battery takes, or set it to open lower");
    Some(finding.shown())
}

/// Whether what charges gets to the voltage at which it closes.
fn never_closes(context: &Context<'_>, isolator: &Isolator<'_>) -> Verdict {
    let vehicle = context.vehicle;
    let cannot = |missing: Vec<String>| Gap::of(missing).part(isolator.id).shown();
    let ends = vehicle.branch(isolator.branch);
    let sides = [ends.from, ends.to].map(|end| side(context, end));
    let chargers: Vec<(PartId, TerminalId, Fact<Volts>)> = context
        .walks
        .sources
        .iter()
        .filter(|source| sides.iter().any(|side| side.contains(&source.plus)))
        .filter_map(|source| match vehicle.branch(source.branch).element {
            Element::Alternator { volts, .. } | Element::Charger { volts, .. } => {
                Some((source.part, source.plus, volts))
            }
            _ => None,
        })
        .collect();
    let most = chargers
        .iter()
        .max_by(|a, b| a.2.range.high.0.total_cmp(&b.2.range.high.0));
    let Some(&(charger, plus, volts)) = most else {
        return cannot(vec!["an alternator".to_owned()]);
    };
    let closes = isolator.closes;
    let highest = |at: TerminalId| {
        let seen = context.solved.explored.highest.get(at.index());
        seen.map_or(Volts::ZERO, |seen| seen.value)
    };
    let seen = highest(ends.from).max(highest(ends.to));
    let out_of_reach = volts.range.high < closes.range.low;
    // While it gives all that it can, a battery that fills up still lets it rise: only then is the rest lost on the way.
    let holds = highest(plus) >= volts.range.low - HOLDS;
    let lost = volts.range.is_exact() && holds && seen < closes.range.low;
    if out_of_reach || lost {
        let (gets, most) = if out_of_reach {
            (
                format!(
                    "{} holds {}",
                    context.name(charger),
                    words::range(volts.range)
                ),
                volts.range.high,
            )
        } else {
            (
                format!("no more than {} gets to it", words::show(seen)),
                seen,
            )
        };
        return finding(
            isolator,
            "closes",
            format!(
                "{} closes at {}, and {gets}: it never closes, and the battery behind it is never charged",
                words::called(isolator.part),
                words::range(closes.range)
            ),
        )
        .label("out of reach")
        .part(charger)
        .measured(most, closes.range.low, "`closes`, against the voltage that the alternator holds")
        .also(vehicle.part(charger).name.at, "charges")
        .help("fit one that closes lower, or a converter that charges from one battery to the other whatever the alternator holds")
        .shown();
    }
    let mut missing = Vec::new();
    if volts.range.low < closes.range.high {
        if !volts.range.is_exact() {
            missing.push(vehicle.part(charger).missing("voltage"));
        }
        if !closes.range.is_exact() || !matches!(closes.basis, Basis::Stated(..)) {
            missing.push(isolator.part.missing("closes"));
        }
    }
    if missing.is_empty() {
        Verdict::NoneShown
    } else {
        cannot(missing)
    }
}

/// Whether it lets go, with the engine stopped, while the battery that starts it still can.
fn opens_late(context: &Context<'_>, isolator: &Isolator<'_>) -> Verdict {
    let vehicle = context.vehicle;
    let cannot = |missing: Vec<String>| Gap::of(missing).part(isolator.id).shown();
    let ends = vehicle.branch(isolator.branch);
    let reached: BTreeSet<TerminalId> = [ends.from, ends.to]
        .iter()
        .flat_map(|&end| side(context, end))
        .collect();
    let sources = &context.walks.sources;
    let nominal = |source: usize| {
        let mut stores = vehicle.batteries.iter();
        let store = stores.find(|store| store.part == sources[source].part)?;
        Some(store.nominal.likely)
    };
    let stack = (0..sources.len())
        .filter(|&top| nominal(top).is_some() && reached.contains(&sources[top].plus))
        .map(|top| context.walks.stack(top))
        .find(|stack| {
            let mut parts = stack.iter().map(|&one| sources[one].part);
            parts.any(|part| vehicle.starter == Some(part))
        });
    let parked = standing::parked(context);
    let (Some(stack), Some(bank)) = (stack, parked.starter()) else {
        return Verdict::NoneShown;
    };
    let Some(known) = &bank.battery else {
        return cannot(bank.missing.clone());
    };
    let time = endurance::standing(known, parked.at);
    // The voltages of batteries in series add up.
    let volts: Volts = stack.into_iter().filter_map(nominal).sum();
    let blocks = volts.0 / 12.0;
    let opens = isolator.opens;
    let charge = |opens: Volts| battery::charge(known.chemistry, opens / blocks);
    let (low, high) = (
        charge(opens.range.low).low.0,
        charge(opens.range.high).high.0,
    );
    if high < time.floor_low {
        let name = context.name(bank.part);
        return finding(
            isolator,
            "opens",
            format!(
                "{} lets go at {} only, when {name} is down to {:.0} % or less, and below {:.0} % that no longer counts as able to start",
                words::called(isolator.part),
                words::range(opens.range),
                high * 100.0,
                time.floor_low.min(1.0) * 100.0
            ),
        )
        .label("too late for the engine")
        .part(bank.part)
        .source("rest voltage by charge, against the charge that starting takes: see `keyoff park`")
        .help("fit one that opens as soon as the alternator stops: above the rest voltage of a charged battery")
        .also(vehicle.part(bank.part).name.at, "is drained by what hangs on the other side")
        .shown();
    }
    if low >= time.floor_high {
        return Verdict::NoneShown;
    }
    if !bank.missing.is_empty() {
        return cannot(bank.missing.clone());
    }
    let mut missing = Vec::new();
    if !matches!(opens.basis, Basis::Stated(..)) || !opens.range.is_exact() {
        missing.push(isolator.part.missing("opens"));
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

/// What a side of it hangs on, over conductors that are no isolator.
fn side(context: &Context<'_>, start: TerminalId) -> BTreeSet<TerminalId> {
    let vehicle = context.vehicle;
    let mut seen = BTreeSet::from([start]);
    let mut next = vec![start];
    while let Some(at) = next.pop() {
        if at == TerminalId::CHASSIS {
            continue;
        }
        for edge in vehicle.graph.edges(at.node()) {
            let passes = match *edge.weight() {
                Link::Wire(_) => true,
                Link::Branch(branch) => match &vehicle.branch(branch).element {
                    Element::Joint(_) | Element::Diode { .. } => true,
                    Element::Contact { control, .. } => {
                        !matches!(control, Control::Isolator { .. })
                    }
                    _ => false,
                },
            };
            if let Ok(end) = u32::try_from(edge.target().index()).map(TerminalId)
                && passes
                && seen.insert(end)
            {
                next.push(end);
            }
        }
    }
    seen
}
