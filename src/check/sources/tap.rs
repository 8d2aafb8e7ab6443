//! Batteries in series with something on the point between them.

use super::average;
use crate::check::context::Context;
use crate::check::flow;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Law;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Volts;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

/// The point between two batteries in series, and what hangs on it.
pub(super) struct Tap<'c> {
    /// The battery below it.
    pub(super) lower: PartId,
    /// The battery above it.
    pub(super) upper: PartId,
    /// Index of the upper one into the sources of the walks.
    pub(super) upper_source: usize,
    /// The `+` of the lower one.
    pub(super) point: TerminalId,
    /// Consumers between that point and an end of the string.
    pub(super) users: Vec<&'c Consumer>,
}

/// Points between batteries in series, each once.
pub(super) fn taps<'c>(context: &'c Context<'_>) -> Vec<Tap<'c>> {
    let walks = &context.walks;
    let mut taps: Vec<Tap<'c>> = Vec::new();
    for upper in 0..walks.sources.len() {
        let Some(&lower) = walks.stack(upper).get(1) else {
            continue;
        };
        let cell = |source: usize| {
            let branch = context.vehicle.branch(walks.sources[source].branch);
            matches!(branch.element, Element::Cell { .. })
        };
        let point = walks.sources[lower].plus;
        if !cell(upper) || !cell(lower) || taps.iter().any(|tap| tap.point == point) {
            continue;
        }
        taps.push(Tap {
            lower: walks.sources[lower].part,
            upper: walks.sources[upper].part,
            upper_source: upper,
            point,
            users: walks
                .behind_source(lower)
                .filter(|one| context.vehicle.own_load != Some(one.part))
                .collect(),
        });
    }
    taps
}

/// The smallest setting in which what hangs on a tap takes anything, and the one in which it takes most.
pub(super) fn shows(context: &Context<'_>, tap: &Tap<'_>) -> Option<Shows> {
    let vehicle = context.vehicle;
    let bases = [
        (Key::Off, Engine::Stopped),
        (Key::Accessory, Engine::Stopped),
        (Key::Run, Engine::Stopped),
        (Key::Run, Engine::Idle),
        (Key::Run, Engine::Cruise),
    ];
    let bases = bases.map(|(key, engine)| Base::at(State::parked(vehicle), key, engine));
    let mut bases = Vec::from(bases);
    let modes = heaviest(context, tap);
    if !modes.is_empty() {
        let with_modes = bases.iter().map(|base| {
            let (mut state, mut setting) = (base.state.clone(), base.setting.clone());
            state.modes.clone_from(&modes);
            for (part, mode) in &modes {
                setting.add(&format!("with {} in {mode}", context.name(*part)));
            }
            Base { state, setting }
        });
        let with_modes: Vec<Base> = with_modes.collect();
        bases.extend(with_modes);
    }
    let mut solver = Solver::new(vehicle);
    search(
        vehicle,
        &bases,
        |_, unit| !unit.disconnect,
        |state| {
            let solution = solver.solve(state, &Memory::charged(vehicle));
            let users = tap.users.iter();
            let taken: f64 = users.map(|user| solution.branch(user.branch).0.abs()).sum();
            (taken > 1e-3).then_some(taken)
        },
    )
}

/// Of each part that hangs on a tap and has modes, the one in which it takes most.
fn heaviest(context: &Context<'_>, tap: &Tap<'_>) -> Vec<(PartId, String)> {
    let amps = |law: Law, at: Volts| match law {
        Law::Resistance(ohms) => (at / ohms.likely).0,
        Law::Power(watts) => (watts.likely / at).0,
        Law::Current(amps) | Law::Filament(amps) => amps.likely.0,
    };
    let users = tap.users.iter();
    users
        .filter_map(|user| {
            let load = flow::load(context, user)?;
            let heavier = |a: &&(String, Law), b: &&(String, Law)| {
                let at = load.rated.likely;
                amps(a.1, at).total_cmp(&amps(b.1, at))
            };
            let (mode, _) = load.modes.iter().max_by(heavier)?;
            Some((user.part, mode.clone()))
        })
        .collect()
}

/// What hangs on a tap takes together in a state, over the ranges of the draws.
pub(super) fn together(context: &Context<'_>, tap: &Tap<'_>, state: &State) -> Interval<Amps> {
    let mut solver = Solver::new(context.vehicle);
    let solution = solver.solve(state, &Memory::charged(context.vehicle));
    let users = tap.users.iter().map(|user| {
        let load = flow::load(context, user);
        let law = load.and_then(|load| average::mode(&state.modes, user.part, load).or(load.law));
        let (low, high) = law.map_or((1.0, 1.0), Law::spread);
        let amps = solution.branch(user.branch).abs();
        Interval::between(amps * low, amps * high)
    });
    users.fold(Interval::exact(Amps::ZERO), |sum, one| sum + one)
}
