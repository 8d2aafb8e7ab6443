//! What has to be used once before measuring: a relay that holds itself in after use is out after the battery was reconnected,
//! and the draw that is looked for is gone with it.

use crate::analyze::Solved;
use crate::model::Engine;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

/// `turn the key to run with S1 closed, then off (K1 holds itself in)`, one for each such relay.
pub(super) fn use_first(vehicle: &Vehicle, solved: &Solved) -> Vec<String> {
    let left = solved.left();
    let held: Vec<PartId> = vehicle
        .part_ids()
        .filter(|&id| {
            let part = vehicle.part(id);
            let stays = left.memory.0.get(id.index()) == Some(&true)
                && solved.parked_out.memory.0.get(id.index()) == Some(&false);
            part.kind == Kind::Relay && stays && !part.fields.flag("latching")
        })
        .collect();
    if held.is_empty() {
        return Vec::new();
    }
    let mut solver = Solver::new(vehicle);
    held.into_iter()
        .map(|relay| {
            let used = first_use(&mut solver, relay);
            let name = &vehicle.part(relay).name.value;
            format!("{used}, then off ({name} holds itself in after that)")
        })
        .collect()
}

/// The least use after which a relay stays in.
fn first_use(solver: &mut Solver<'_>, relay: PartId) -> String {
    let vehicle = solver.vehicle();
    let parked = State::parked(vehicle);
    let mut stays = |unit: Option<usize>| {
        let mut ran = State {
            key: Key::Run,
            engine: Engine::Idle,
            settled: false,
            ..parked.clone()
        };
        if let Some(unit) = unit {
            ran.positions[unit] = vehicle.switches[unit].on;
        }
        let used = solver.solve(&ran, &Memory::charged(vehicle));
        let left = solver.solve(&parked, &used.memory);
        left.memory.0.get(relay.index()) == Some(&true)
    };
    if stays(None) {
        return "turn the key to run".to_owned();
    }
    match (0..vehicle.switches.len()).find(|&unit| stays(Some(unit))) {
        Some(unit) => format!(
            "turn the key to run, switch {} on and off",
            vehicle.switches[unit].label
        ),
        None => "turn the key to run, switch everything on and off".to_owned(),
    }
}
