//! What flows through a protection beside a load that is on.

use std::collections::BTreeSet;

use crate::check::context::Context;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

/// Below this nothing flows.
const NOTHING: Amps = Amps(1e-3);

/// Where `enough` flows beside a load while it is on: with least changed, and where it is most; nothing where that is never.
pub(super) fn beside(
    context: &Context<'_>,
    load: &Consumer,
    protection: BranchId,
    enough: impl Fn(Amps) -> bool,
) -> Option<Shows> {
    let vehicle = context.vehicle;
    let bases = [
        (Key::Off, Engine::Stopped),
        (Key::Accessory, Engine::Stopped),
        (Key::Run, Engine::Stopped),
        (Key::Run, Engine::Idle),
        (Key::Start, Engine::Stopped),
    ]
    .map(|(key, engine)| Base {
        state: State {
            key,
            engine,
            ..State::just_off(vehicle)
        },
        setting: Setting {
            key: (key != Key::Off).then_some(key),
            also: (engine == Engine::Idle).then(|| "with the engine at idle".to_owned()),
            ..Setting::default()
        },
    });
    let concerned = switches(context, protection);
    let mut solver = Solver::new(vehicle);
    let charged = Memory::charged(vehicle);
    search(
        vehicle,
        &bases,
        |unit, _| concerned.contains(&unit),
        |state| {
            let solution = solver.solve(state, &charged);
            let own = solution.branch(load.branch).abs();
            let others = (solution.branch(protection).abs() - own).max(Amps::ZERO);
            (own > NOTHING && enough(others)).then_some(others.0)
        },
    )
}

/// The switches on which it depends what flows through a protection: those in the ways of what it feeds, and in the ways of the
/// coils and controllers that switch these.
fn switches(context: &Context<'_>, protection: BranchId) -> BTreeSet<usize> {
    let mut found = BTreeSet::new();
    let mut passed: BTreeSet<PartId> = BTreeSet::new();
    let mut ways: Vec<&Consumer> = context.walks.through_branch(protection).collect();
    while let Some(consumer) = ways.pop() {
        for link in consumer.feed.iter().chain(&consumer.back) {
            let Link::Branch(branch) = *link else {
                continue;
            };
            let inside = context.vehicle.branch(branch);
            if let Element::Contact { control, .. } = &inside.element {
                found.extend(moved_by(control));
            }
            if passed.insert(inside.part) {
                ways.extend(context.walks.consumers_of(inside.part));
            }
        }
    }
    found
}

fn moved_by(control: &Control) -> Option<usize> {
    match control {
        Control::Switch { unit, .. } => Some(*unit as usize),
        Control::Hot { unit, .. } | Control::Output { unit, .. } => unit.map(|unit| unit as usize),
        _ => None,
    }
}
