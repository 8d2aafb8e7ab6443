//! Draws although the master switch is open, by a feed or a return of its own.

#[cfg(test)]
mod cases;

use std::collections::BTreeSet;

use super::in_pass;
use super::passes;
use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::check::spread::spread;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Key;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "disconnect-bypassed",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "with the master switch open something still draws, by its feed or by its return",
        page: include_str!("../../../docs/checks/disconnect-bypassed.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

/// Less than this is leakage.
const NOTHING: Amps = Amps(1e-3);

/// On which side of its battery a master switch sits.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Plus,
    Minus,
}

/// A switch that opens the cable of a battery.
struct Master {
    part: PartId,
    unit: usize,
    side: Side,
    /// Index into the sources of the walks.
    source: usize,
    /// That source and those in series with it.
    stack: Vec<usize>,
}

/// Something that draws, or may, with a master open.
struct Bypass {
    part: PartId,
    amps: Amps,
    key: Key,
}

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let masters = masters(context);
    if masters.is_empty() {
        return Vec::new();
    }
    let mut solver = Solver::new(context.vehicle);
    masters
        .iter()
        .map(|master| judge_master(context, &mut solver, master))
        .collect()
}

/// Disconnects that open the cable of a battery: what leads to its `-`, or what its starter is fed through.
fn masters(context: &Context<'_>) -> Vec<Master> {
    let vehicle = context.vehicle;
    let mut masters = Vec::new();
    for (unit, switch) in vehicle.switches.iter().enumerate() {
        let part = vehicle.part(switch.part);
        let Some(branch) = context.passage(part).filter(|_| switch.disconnect) else {
            continue;
        };
        let starters = context.walks.consumers.iter();
        let cranks: Vec<&Consumer> = starters
            .filter(|consumer| context.walks.is_starter(vehicle, consumer.part))
            .filter(|consumer| consumer.feed.contains(&Link::Branch(branch)))
            .collect();
        for (source, battery) in context.walks.sources.iter().enumerate() {
            if vehicle.part(battery.part).kind != Kind::Battery {
                continue;
            }
            let fixed = |link: Link| match link {
                Link::Wire(_) => true,
                Link::Branch(branch) => {
                    matches!(vehicle.branch(branch).element, Element::Joint(_))
                }
            };
            let ends = [vehicle.branch(branch).from, vehicle.branch(branch).to];
            let touches = |post: TerminalId| {
                let reached = reached(context, &[post], fixed);
                ends.iter().any(|end| reached.contains(end))
            };
            let cranked = cranks
                .iter()
                .any(|consumer| consumer.sources.contains(&source));
            let side = if battery.minus != TerminalId::CHASSIS
                && touches(battery.minus)
                && !opens_some(context, branch, battery.minus)
            {
                Side::Minus
            } else if cranked && touches(battery.plus) {
                Side::Plus
            } else {
                continue;
            };
            masters.push(Master {
                part: switch.part,
                unit,
                side,
                source,
                stack: in_series(context, source),
            });
        }
    }
    masters
}

/// A source with those that stand on it and under it: one of 24 V is two of 12 V, and what opens the one opens both.
fn in_series(context: &Context<'_>, source: usize) -> Vec<usize> {
    let walks = &context.walks;
    (0..walks.sources.len())
        .filter(|&other| {
            walks.stack(other).contains(&source) || walks.stack(source).contains(&other)
        })
        .collect()
}

/// Whether a switch at a post is that of some circuits only: the post has another way to the chassis, and what is beyond the switch
/// has none.
fn opens_some(context: &Context<'_>, switch: BranchId, post: TerminalId) -> bool {
    let vehicle = context.vehicle;
    let others = |link: Link| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => {
            let element = &vehicle.branch(branch).element;
            branch != switch && matches!(element, Element::Joint(_) | Element::Contact { .. })
        }
    };
    let near = reached(context, &[post], others);
    let [a, b] = [vehicle.branch(switch).from, vehicle.branch(switch).to];
    let beyond = if near.contains(&a) { b } else { a };
    near.contains(&TerminalId::CHASSIS)
        && !reached(context, &[beyond], others).contains(&TerminalId::CHASSIS)
}

/// What can be got to from some terminals over some of the links; the chassis is reached but not passed where it is none of them.
fn reached(
    context: &Context<'_>,
    starts: &[TerminalId],
    passes: impl Fn(Link) -> bool,
) -> BTreeSet<TerminalId> {
    let stops = |at| at == TerminalId::CHASSIS && !starts.contains(&at);
    let starts = starts.iter().copied();
    spread(context.vehicle, starts, stops, |link, _| passes(link))
}

fn judge_master(context: &Context<'_>, solver: &mut Solver<'_>, master: &Master) -> Verdict {
    let vehicle = context.vehicle;
    // A feed of which the record does not say what it hangs on is no proof of a way past a switch in the positive.
    let keys: &[Key] = match master.side {
        Side::Minus => &[Key::Off, Key::Run],
        Side::Plus => &[Key::Off],
    };
    let mut found: Vec<Bypass> = Vec::new();
    let mut missing: Vec<String> = Vec::new();
    for &key in keys {
        for pass in passes(vehicle) {
            let mut state = State::parked(vehicle);
            state.key = key;
            for (position, unit) in state.positions.iter_mut().zip(&vehicle.switches) {
                if !unit.disconnect {
                    *position = in_pass(unit, pass);
                }
            }
            state.positions[master.unit] = 0;
            let solution = solver.solve(&state, &Memory::charged(vehicle));
            if let Some(trouble) = &solution.trouble {
                missing.push(format!("{}: {trouble}", context.name(master.part)));
                continue;
            }
            look(context, master, &solution, key, &mut found, &mut missing);
        }
    }
    missing.sort();
    missing.dedup();
    if found.is_empty() {
        return if missing.is_empty() {
            Verdict::NoneShown
        } else {
            Gap::of(missing).part(master.part).shown()
        };
    }
    let shows = shows(context, solver, master, keys);
    finding(context, master, &found, shows).shown()
}

/// The smallest setting in which anything draws past an open master, and the one in which the most is drawn.
fn shows(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    master: &Master,
    keys: &[Key],
) -> Option<Shows> {
    let vehicle = context.vehicle;
    let bases: Vec<Base> = keys
        .iter()
        .map(|&key| {
            let mut state = State::parked(vehicle);
            state.key = key;
            state.positions[master.unit] = 0;
            let setting = Setting {
                key: Some(key),
                opened: vec![context.name(master.part).to_owned()],
                ..Setting::default()
            };
            Base { state, setting }
        })
        .collect();
    search(
        vehicle,
        &bases,
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let mut found = Vec::new();
            if solution.trouble.is_none() {
                look(
                    context,
                    master,
                    &solution,
                    state.key,
                    &mut found,
                    &mut Vec::new(),
                );
            }
            let sum = found.iter().fold(0.0, |sum, one: &Bypass| sum + one.amps.0);
            (!found.is_empty()).then_some(sum)
        },
    )
}

/// Parts in whose loop the battery still stands with the switch open.
fn look(
    context: &Context<'_>,
    master: &Master,
    solution: &Solution,
    key: Key,
    found: &mut Vec<Bypass>,
    missing: &mut Vec<String>,
) {
    let vehicle = context.vehicle;
    let closed = |link: Link| match link {
        Link::Wire(_) => true,
        Link::Branch(branch) => conducts(context, solution, branch),
    };
    let sources = master.stack.iter();
    let sources = sources.map(|&source| &context.walks.sources[source]);
    let (posts, mut feet): (Vec<_>, Vec<_>) =
        sources.map(|source| (source.plus, source.minus)).unzip();
    let fed = reached(context, &posts, closed);
    let mut home = reached(context, &feet, closed);
    // Over the chassis as well, where the battery still stands on it.
    if home.contains(&TerminalId::CHASSIS) {
        feet.push(TerminalId::CHASSIS);
        home = reached(context, &feet, closed);
    }
    // One part may have several supplies, and what they take adds up.
    let mut takes: Vec<(PartId, Amps)> = Vec::new();
    for consumer in &context.walks.consumers {
        let id = consumer.part;
        let part = vehicle.part(id);
        let wanted = part.stays_live.is_some()
            || vehicle.own_load == Some(id)
            || !context.is_added(id)
            || part.kind == Kind::Delay;
        let theirs = consumer
            .sources
            .iter()
            .any(|source| master.stack.contains(source));
        if wanted || !theirs {
            continue;
        }
        let branch = vehicle.branch(consumer.branch);
        let back = match branch.element {
            Element::Converter { back, .. } => back,
            _ => branch.to,
        };
        let ends = [branch.from, back];
        let loops = [[0, 1], [1, 0]]
            .iter()
            .any(|&[a, b]| fed.contains(&ends[a]) && home.contains(&ends[b]));
        if !loops {
            continue;
        }
        if master.side == Side::Plus
            && let Some(feed) = loose_feed(context, consumer, solution)
        {
            missing.push(feed);
            continue;
        }
        let amps = match branch.element {
            Element::Converter { .. } => solution
                .inputs
                .iter()
                .find(|(branch, _)| *branch == consumer.branch)
                .map_or(Amps::ZERO, |(_, amps)| amps.abs()),
            _ => solution.branch(consumer.branch).abs(),
        };
        if amps <= NOTHING {
            if let Some(load) = flow::load(context, consumer)
                && load.law.is_none()
                && load.modes.is_empty()
                && !(key == Key::Off && load.parked.is_some())
            {
                missing.push(flow::draw_of(context, consumer));
            }
            continue;
        }
        match takes.iter_mut().find(|(part, _)| *part == id) {
            Some((_, sum)) => *sum += amps,
            None => takes.push((id, amps)),
        }
    }
    for (part, amps) in takes {
        match found.iter_mut().find(|bypass| bypass.part == part) {
            Some(bypass) if bypass.key == key => bypass.amps = bypass.amps.max(amps),
            Some(_) => {}
            None => found.push(Bypass { part, amps, key }),
        }
    }
}

fn conducts(context: &Context<'_>, solution: &Solution, branch: BranchId) -> bool {
    matches!(
        context.vehicle.branch(branch).element,
        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
    ) && solution.closed[branch.index()]
}

/// The first live feed on the way of a consumer of which the record does not say what it is fed from.
fn loose_feed(context: &Context<'_>, consumer: &Consumer, solution: &Solution) -> Option<String> {
    consumer.feed.iter().find_map(|link| match *link {
        Link::Branch(branch) if solution.closed[branch.index()] => {
            let part = context.vehicle.part(context.vehicle.branch(branch).part);
            let loose = part.kind == Kind::Feed && part.fields.get("from").is_none();
            loose.then(|| part.missing("from"))
        }
        _ => None,
    })
}

fn finding(
    context: &Context<'_>,
    master: &Master,
    found: &[Bypass],
    shows: Option<Shows>,
) -> Finding {
    let vehicle = context.vehicle;
    let switch = vehicle.part(master.part);
    let first = &found[0];
    let feeds = context.walks.consumers_of(first.part);
    let mut feeds = feeds.flat_map(|one| one.sources.iter().copied());
    let source = feeds.find(|source| master.stack.contains(source));
    let battery = context.walks.sources[source.unwrap_or(master.source)].part;
    let names: Vec<String> = found
        .iter()
        .map(|bypass| words::called(vehicle.part(bypass.part)))
        .collect();
    let verb = if found.len() == 1 { "draws" } else { "draw" };
    let sum = shows.as_ref().map_or_else(
        || found.iter().map(|one| one.amps).sum(),
        |shows| Amps(shows.worst.value),
    );
    let [smallest, worst] = shows.map_or_else(Default::default, |shows| {
        [shows.first.setting, shows.worst.setting]
    });
    let (way, mend) = match master.side {
        Side::Minus => (
            "its return gets to the battery past the switch",
            format!(
                "land the return on the chassis, or on the side of {} away from the battery",
                switch.name.value
            ),
        ),
        Side::Plus => (
            "its feed starts on the battery's side of the switch",
            format!(
                "feed it from the side of {} away from the battery",
                switch.name.value
            ),
        ),
    };
    let key = match worst.key {
        Some(Key::Run) => ", key in run",
        _ => "",
    };
    let mut finding = Finding::new(
        vehicle.part(first.part).name.at,
        format!(
            "{} still {verb} {} from {} with {} open{key}",
            words::list(&names, 4),
            words::show(sum),
            context.name(battery),
            words::called(switch),
        ),
    )
    .label(way)
    .part(first.part)
    .value(sum)
    .setting(smallest)
    .worst(worst)
    .source("the network solved with the engine stopped and the switch open")
    .help(format!(
        "{mend}; where it is meant to go on, write `stays-live: WHY` at it"
    ));
    for bypass in &found[1..] {
        finding = finding
            .also(
                vehicle.part(bypass.part).name.at,
                format!("still takes {}", words::show(bypass.amps)),
            )
            .part(bypass.part);
    }
    finding
        .also(switch.name.at, "is open")
        .part(master.part)
        .part(battery)
}
