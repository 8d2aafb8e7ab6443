//! What flows through a protection beside a load that is on.

use crate::check::context::Context;
use crate::check::search::Base;
use crate::check::search::Shows;
use crate::check::search::search;
use crate::check::switches::switches;
use crate::model::BranchId;
use crate::model::walk::Consumer;
use crate::quantity::Amps;
use crate::solve::Memory;
use crate::solve::Solver;

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
    let concerned = switches(context, context.walks.through_branch(protection));
    let mut solver = Solver::new(vehicle);
    let charged = Memory::charged(vehicle);
    search(
        vehicle,
        &Base::all(vehicle),
        |unit, _| concerned.contains(&unit),
        |state| {
            let solution = solver.solve(state, &charged);
            let own = solution.branch(load.branch).abs();
            let others = (solution.branch(protection).abs() - own).max(Amps::ZERO);
            (own > NOTHING && enough(others)).then_some(others.0)
        },
    )
}
