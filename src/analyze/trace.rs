//! One point of a vehicle: when it is live, from where, and what makes it dead.

use super::route;
use super::route::Route;
use crate::model::Basis;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Fact;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::element::HotIn;
use crate::quantity::Interval;
use crate::quantity::Ohms;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::solve::AtKey;
use crate::solve::Detail;
use crate::solve::Solver;
use crate::solve::explore_in_detail;

/// When and how a terminal is live.
#[derive(Clone, Debug)]
pub struct Trace {
    /// The terminal.
    pub at: TerminalId,
    /// In each position of the key: nothing where it is dead in every setting of it.
    pub keys: Vec<(AtKey, Option<Live>)>,
    /// What makes it dead; nothing where it is never live.
    pub dead: Option<Dead>,
}

/// How a terminal is live.
#[derive(Clone, Debug)]
pub struct Live {
    /// The smallest setting.
    pub setting: Setting,
    /// Its voltage in it.
    pub volts: Volts,
    /// By which ways.
    pub routes: Vec<Route>,
}

/// What makes a terminal dead in every setting.
#[derive(Clone, Debug)]
pub struct Dead {
    /// Fuses, breakers, disconnects, connectors and feeds to be pulled, opened or unplugged: all of them.
    pub open: Vec<PartId>,
    /// Sources to be taken off besides, since nothing stands between them and the point.
    pub take_off: Vec<PartId>,
    /// With all of that open, every setting was solved again and none makes it live.
    pub shown: bool,
    /// Users of current through which it would still be live.
    pub still_through: Vec<PartId>,
    /// Settings looked at for it, and whether these are all.
    pub settings: u64,
    /// Whether they are all.
    pub complete: bool,
}

/// Traces a terminal. `detail` is what exploring the vehicle gave; no more than `settings` combinations of one group are looked
/// at to show that it is dead.
#[must_use]
pub fn trace(solver: &mut Solver<'_>, detail: &Detail, at: TerminalId, settings: usize) -> Trace {
    let vehicle = solver.vehicle();
    let mut keys = Vec::new();
    for (number, key) in detail.keys().into_iter().enumerate() {
        let live = detail.live(vehicle, number, at).map(|found| {
            let solution = solver.solve(&found.state, &found.memory);
            Live {
                volts: solution.at(at),
                routes: route::routes(vehicle, &solution, at),
                setting: found.setting,
            }
        });
        keys.push((key, live));
    }
    let ever = keys.iter().any(|(_, live)| live.is_some());
    Trace {
        at,
        keys,
        dead: ever.then(|| dead(vehicle, at, settings)),
    }
}

/// Finds what to open, and shows that it is enough: first over conductors alone, and where that is not enough, also through
/// users of current.
fn dead(vehicle: &Vehicle, at: TerminalId, settings: usize) -> Dead {
    let first = dead_with(vehicle, at, settings, to_open(vehicle, at, false));
    if first.shown || (first.still_through.is_empty() && first.complete) {
        return first;
    }
    let second = dead_with(vehicle, at, settings, to_open(vehicle, at, true));
    if second.shown { second } else { first }
}

fn dead_with(
    vehicle: &Vehicle,
    at: TerminalId,
    settings: usize,
    (open, take_off): (Vec<PartId>, Vec<PartId>),
) -> Dead {
    let parts = open.iter().chain(&take_off);
    let branches: Vec<BranchId> = parts
        .flat_map(|&part| vehicle.part(part).branches.iter().copied())
        .collect();
    let without = with_open(vehicle, &branches);
    let mut solver = Solver::new(&without);
    let (explored, detail) = explore_in_detail(&mut solver, settings);
    let ever = explored
        .terminals
        .get(at.index())
        .is_some_and(|seen| seen.ever.is_some());
    let mut still_through = Vec::new();
    if ever {
        for number in 0..detail.keys().len() {
            let Some(found) = detail.live(&without, number, at) else {
                continue;
            };
            let solution = solver.solve(&found.state, &found.memory);
            for route in route::routes(&without, &solution, at) {
                still_through.extend(route.through);
            }
        }
        still_through.sort_unstable();
        still_through.dedup();
    }
    Dead {
        open,
        take_off,
        shown: !ever && explored.complete,
        still_through,
        settings: explored.settings,
        complete: explored.complete,
    }
}

/// What a hand can open.
const fn opens(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Fuse | Kind::Breaker | Kind::Disconnect | Kind::Connector | Kind::Feed
    )
}

/// Parts to open, and sources to take off, that leave no way between any source and a terminal, where wanted none through users
/// either: one alone where one is enough, the nearest first.
fn to_open(vehicle: &Vehicle, at: TerminalId, through: bool) -> (Vec<PartId>, Vec<PartId>) {
    let branches = |parts: &[PartId]| -> Vec<BranchId> {
        let all = parts.iter().flat_map(|&part| &vehicle.part(part).branches);
        all.copied().collect()
    };
    let leads = |parts: &[PartId]| route::possible(vehicle, at, &branches(parts), through);
    let nearest = |route: &Route| -> Vec<PartId> {
        let mut parts: Vec<PartId> = Vec::new();
        for link in route.way.iter().rev() {
            if let crate::model::Link::Branch(branch) = link {
                let part = vehicle.branch(*branch).part;
                if opens(vehicle.part(part).kind) && !parts.contains(&part) {
                    parts.push(part);
                }
            }
        }
        parts
    };
    let mut chosen: Vec<PartId> = Vec::new();
    while let Some(route) = leads(&chosen).into_iter().next() {
        let candidates = nearest(&route);
        let alone = candidates.iter().copied().find(|&part| {
            let mut with = chosen.clone();
            with.push(part);
            leads(&with).is_empty()
        });
        let next = alone
            .or_else(|| candidates.first().copied())
            .unwrap_or(route.source);
        chosen.push(next);
    }
    // What turned out not to be needed.
    let mut kept = chosen.clone();
    for part in chosen {
        let without: Vec<PartId> = kept.iter().copied().filter(|&one| one != part).collect();
        if leads(&without).is_empty() {
            kept = without;
        }
    }
    kept.into_iter()
        .partition(|&part| opens(vehicle.part(part).kind))
}

/// The vehicle with these branches open for good.
fn with_open(vehicle: &Vehicle, branches: &[BranchId]) -> Vehicle {
    let mut without = vehicle.clone();
    for &id in branches {
        let branch = &mut without.branches[id.index()];
        branch.element = Element::Contact {
            ohms: Fact {
                range: Interval::exact(Ohms::ZERO),
                likely: Ohms::ZERO,
                basis: Basis::Derived(None),
            },
            control: Control::Hot {
                hot: HotIn::default(),
                stays_on: None,
                unit: None,
            },
        };
    }
    without
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::SETTINGS;
    use crate::model::testing::vehicle;

    fn traced(text: &str, label: &str) -> (Vehicle, Trace) {
        let vehicle = vehicle(text);
        let mut solver = Solver::new(&vehicle);
        let (_, detail) = explore_in_detail(&mut solver, SETTINGS);
        let at = vehicle
            .terminals
            .iter()
            .position(|terminal| terminal.label == label)
            .unwrap();
        let trace = trace(&mut solver, &detail, TerminalId(at as u32), SETTINGS);
        (vehicle, trace)
    }

    fn named(vehicle: &Vehicle, parts: &[PartId]) -> Vec<String> {
        let name = |part: &PartId| vehicle.part(*part).name.value.clone();
        parts.iter().map(name).collect()
    }

    const LAMP: &str = "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  CUT: {kind: stub, end: bare}
wires:
  - {run: [B1, F1, K1.30], size: 12 AWG, lengths: [10 cm, 1 m]}
  - {run: [K1.87, F2, LAMP], size: 14 AWG, lengths: [1 m, 1 m]}
  - {run: [RUN, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m]}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m}
  - {from: LAMP, to: chassis, size: 14 AWG, length: 1 m}
  - {from: CUT, to: chassis, size: 14 AWG, length: 1 m}
";

    #[test]
    fn a_lamp_is_live_with_key_and_switch_and_dead_by_its_nearest_fuse() {
        let (vehicle, trace) = traced(LAMP, "LAMP.+");
        for (key, live) in &trace.keys {
            let run = key.key == crate::model::Key::Run;
            assert_eq!(live.is_some(), run, "{key:?}");
            if let Some(live) = live {
                assert_eq!(live.setting.closed, ["S1"]);
                let route = &live.routes[0];
                assert_eq!(named(&vehicle, &[route.source]), ["B1"]);
                assert_eq!(named(&vehicle, &route.protections), ["F1", "F2"]);
                assert!(route.through.is_empty());
            }
        }
        let dead = trace.dead.unwrap();
        assert_eq!(named(&vehicle, &dead.open), ["F2"]);
        assert!(dead.take_off.is_empty() && dead.shown);
    }

    #[test]
    fn what_nothing_stands_before_is_dead_with_the_battery_off_alone() {
        let (vehicle, trace) = traced(LAMP, "F1.in");
        assert!(trace.keys.iter().all(|(_, live)| live.is_some()));
        let dead = trace.dead.unwrap();
        assert!(dead.open.is_empty() && dead.shown);
        assert_eq!(named(&vehicle, &dead.take_off), ["B1"]);
        let (_, never) = traced(LAMP, "CUT");
        assert!(never.dead.is_none() && never.keys.iter().all(|(_, live)| live.is_none()));
    }

    #[test]
    fn of_two_feeds_both_are_opened() {
        let (vehicle, trace) = traced(
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch}
  BAR: {kind: busbar}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, BAR], size: 12 AWG, lengths: [10 cm, 1 m]}
  - {run: [B2, F2, S1, BAR], size: 12 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {from: BAR, to: LAMP, size: 12 AWG, length: 1 m}
",
            "BAR",
        );
        let dead = trace.dead.unwrap();
        let mut open = named(&vehicle, &dead.open);
        open.sort();
        assert_eq!(open, ["F1", "F2"]);
        assert!(dead.shown);
    }

    #[test]
    fn a_return_that_hangs_in_the_air_is_live_through_its_lamp() {
        let (vehicle, trace) = traced(
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch}
  LAMP: {kind: load, type: filament, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m]}
  - {run: [LAMP, S1, chassis], size: 12 AWG, lengths: [1 m, 1 m]}
",
            "S1.in",
        );
        let live = trace.keys[0].1.as_ref().unwrap();
        assert_eq!(named(&vehicle, &live.routes[0].through), ["LAMP"]);
        let dead = trace.dead.unwrap();
        assert_eq!(named(&vehicle, &dead.open), ["F1"]);
        assert!(dead.shown);
    }
}
