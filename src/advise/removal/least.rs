//! The least work that leaves nothing dangerous: the parts come out and their wires stay in the looms. What is left behind then
//! is the price of it.

use std::collections::BTreeSet;

use super::LiveEnd;
use super::Place;
use super::PlaceKind;
use super::Plan;
use super::Refused;
use super::cut;
use super::effect;
use super::isolation;
use super::serves::Serves;
use crate::analyze;
use crate::analyze::Solved;
use crate::model;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Walks;
use crate::read::document::Kind;
use crate::solve::Explored;
use crate::solve::Solver;
use crate::solve::explore;

/// The minimum beside the whole removal. Parts, wires and terminals are those of the vehicle before.
#[derive(Clone, Debug)]
pub struct Least {
    /// Parts that come out even so; fuse holders, joints, plugs and grounds stay where they are.
    pub remove: Vec<PartId>,
    /// Fuses, and feeds with theirs, that are left out for good: nothing that stays is behind them, or they were named.
    pub pull: Vec<PartId>,
    /// Wires that stay live even so, with the end at which they are taken off and capped.
    pub lift: Vec<(WireId, TerminalId)>,
    /// What wires land on in place of what comes out.
    pub places: Vec<Place>,
    /// Wires that the whole removal takes out, and that stay in the vehicle here.
    pub runs: Vec<WireId>,
    /// Those of them that are live all the same, up to an empty slot or to something that stays.
    pub live_runs: Vec<LiveRun>,
    /// Ends that are bare and live all the same.
    pub live_ends: Vec<LiveEnd>,
    /// How many ends would be live with the parts off, and no fuse pulled and no wire taken off for it.
    pub live_if_only_unplugged: usize,
    /// One of those would be live with no fuse, breaker or link on its way.
    pub unfused_if_only_unplugged: bool,
    /// The vehicle then.
    pub vehicle: Vehicle,
    /// The same, solved.
    pub solved: Solved,
    /// Ends of wires that are to be capped and labelled, as they are called in the vehicle before.
    pub capped: Vec<(WireId, TerminalId)>,
}

/// A wire that serves nothing and is live.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LiveRun {
    /// The wire.
    pub wire: WireId,
    /// The fuse whose empty slot it leads to.
    pub up_to: Option<PartId>,
    /// A fuse, breaker or link stands before it on every way to a source.
    pub protected: bool,
}

/// The minimum for the same parts.
///
/// # Errors
/// The text of the record does not allow it.
pub fn least(plan: &Plan) -> Result<Least, Refused> {
    let vehicle = &plan.before.vehicle;
    let (stay, out): (Vec<PartId>, Vec<PartId>) = plan
        .remove
        .iter()
        .partition(|&&part| stays_in_place(vehicle.part(part).kind));
    let is_fuse = |part: &PartId| vehicle.part(*part).kind == Kind::Fuse;
    let mut work = Work {
        plan,
        out: out.into_iter().collect(),
        pull: stay.into_iter().filter(is_fuse).collect(),
        lift: Vec::new(),
    };
    let only_unplugged = work.state()?;
    let unplugged = only_unplugged.live_ends(plan);
    let walks = Walks::new(&only_unplugged.vehicle);
    let unfused = |end: &LiveEnd| {
        let at = only_unplugged.find(&end.at);
        let ways = at.map(|at| walks.protections_ahead(&only_unplugged.vehicle, at));
        ways.is_some_and(|ways| ways.iter().any(|(_, fuses)| fuses.is_empty()))
    };
    let unfused_if_only_unplugged = unplugged.iter().any(unfused);
    let live_if_only_unplugged = unplugged.len();
    work.pull_what_is_free(&only_unplugged.vehicle);
    let mut state = work.state()?;
    // A wire that is taken off can show another behind it that is fed from elsewhere.
    for _ in 0..plan.wires_out.len() {
        let before = work.lift.len();
        work.lift_roots(&state);
        if work.lift.len() == before {
            break;
        }
        state = work.state()?;
    }
    Ok(Least {
        live_runs: work.told(&state),
        live_ends: state.live_ends(plan),
        live_if_only_unplugged,
        unfused_if_only_unplugged,
        capped: work.capped(&state.places),
        solved: analyze::analyze_explored(&state.vehicle, state.explored),
        vehicle: state.vehicle,
        places: state.places,
        remove: work.out.into_iter().collect(),
        pull: work.pull.into_iter().collect(),
        lift: work.lift,
        runs: plan.wires_out.clone(),
    })
}

/// What nobody takes out who wants little work: its slot is left empty, or it goes on joining dead wires.
const fn stays_in_place(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Fuse
            | Kind::Connector
            | Kind::Splice
            | Kind::Stud
            | Kind::Busbar
            | Kind::Ground
            | Kind::Stub
    )
}

struct Work<'p> {
    plan: &'p Plan,
    out: BTreeSet<PartId>,
    pull: BTreeSet<PartId>,
    lift: Vec<(WireId, TerminalId)>,
}

/// The vehicle at some stage of the minimum.
struct State {
    vehicle: Vehicle,
    explored: Explored,
    places: Vec<Place>,
}

impl State {
    fn live_ends(&self, plan: &Plan) -> Vec<LiveEnd> {
        effect::live_ends(&plan.before, (&self.vehicle, &self.explored), &self.places)
    }

    fn find(&self, label: &str) -> Option<TerminalId> {
        let mut numbered = (0..).map(TerminalId).zip(&self.vehicle.terminals);
        numbered
            .find(|(_, terminal)| terminal.label == label)
            .map(|(id, _)| id)
    }
}

impl Work<'_> {
    fn before(&self) -> &Vehicle {
        &self.plan.before.vehicle
    }

    /// The vehicle with what is done so far.
    fn state(&self) -> Result<State, Refused> {
        let lifted: BTreeSet<WireId> = self.lift.iter().map(|&(wire, _)| wire).collect();
        let cut = cut::without_parts(self.before(), &self.out, &lifted)?;
        let whole = model::build(std::sync::Arc::new(cut.document));
        let names: BTreeSet<&str> = self
            .pull
            .iter()
            .map(|&part| self.before().part(part).name.value.as_str())
            .collect();
        let pulled: BTreeSet<PartId> = whole
            .part_ids()
            .filter(|&part| names.contains(whole.part(part).name.value.as_str()))
            .collect();
        let vehicle = isolation::opened(&whole, &pulled);
        let explored = explore(&mut Solver::new(&vehicle), analyze::SETTINGS);
        Ok(State {
            vehicle,
            explored,
            places: cut.places,
        })
    }

    /// Fuses that nothing which stays is behind, the one nearest to the source of several in a row.
    fn pull_what_is_free(&mut self, after: &Vehicle) {
        let walks = Walks::new(self.before());
        let walks_after = Walks::new(after);
        let used = Serves::of(self.before(), &walks);
        let uses = Serves::of(after, &walks_after);
        let mut free: BTreeSet<PartId> = BTreeSet::new();
        for part in self.before().part_ids() {
            let own = self.before().part(part);
            let then = after.document.part_index(&own.name.value);
            let Some(then) = then.filter(|_| matches!(own.kind, Kind::Fuse | Kind::Feed)) else {
                continue;
            };
            let then = PartId(then.0);
            if used.passes_on(part) && !uses.passes_on(then) {
                free.insert(part);
            }
        }
        let all: BTreeSet<PartId> = free.union(&self.pull).copied().collect();
        let behind_another = |part: PartId| {
            let at = self.before().part(part).terminals.first().copied();
            let ways = at.map(|at| walks.protections_ahead(self.before(), at));
            ways.is_some_and(|ways| {
                !ways.is_empty()
                    && ways
                        .iter()
                        .all(|(_, way)| way.iter().any(|one| *one != part && all.contains(one)))
            })
        };
        free.retain(|&part| !behind_another(part));
        self.pull.extend(free);
    }

    /// Wires of the whole removal that are live in this state.
    fn live_runs(&self, state: &State) -> Vec<WireId> {
        let lifted: BTreeSet<WireId> = self.lift.iter().map(|&(wire, _)| wire).collect();
        let live = |&wire: &WireId| {
            let own = self.before().wire(wire);
            [own.from, own.to].into_iter().any(|end| {
                let at = self.called_then(end, &state.places);
                let seen = at.and_then(|label| state.find(&label));
                let seen = seen.and_then(|id| state.explored.terminals.get(id.index()));
                seen.is_some_and(|seen| seen.by_key.contains(&true))
            })
        };
        let runs = self.plan.wires_out.iter().copied();
        runs.filter(|wire| !lifted.contains(wire))
            .filter(live)
            .collect()
    }

    /// What the record calls a terminal then.
    fn called_then(&self, terminal: TerminalId, places: &[Place]) -> Option<String> {
        let place = places
            .iter()
            .find(|place| place.terminals.contains(&terminal));
        if let Some(place) = place {
            return Some(place.name.clone());
        }
        let own = self.before().terminal(terminal);
        let gone = own.part.is_some_and(|part| self.out.contains(&part));
        (!gone && terminal != TerminalId::CHASSIS).then(|| own.label.clone())
    }

    /// Wires with the end nearer to a source first.
    fn directed(&self, wires: &[WireId], walks: &Walks) -> Vec<(WireId, TerminalId, TerminalId)> {
        let directed = wires.iter().map(|&id| {
            let wire = self.before().wire(id);
            let removed = &self.plan.remove;
            let hops = |end| hops(self.before(), walks, removed, end);
            let [from, to] = [wire.from, wire.to].map(hops);
            if from <= to {
                (id, wire.from, wire.to)
            } else {
                (id, wire.to, wire.from)
            }
        });
        directed.collect()
    }

    /// Takes off, at their source ends, the live wires by which a bare end is live; one that ends in an empty slot may stay.
    fn lift_roots(&mut self, state: &State) {
        let named = state.live_ends(self.plan);
        let is_live = |at: TerminalId| {
            let label = self.called_then(at, &state.places);
            label.is_some_and(|label| named.iter().any(|end| end.at == label))
        };
        let walks = Walks::new(self.before());
        let ends = self.directed(&self.live_runs(state), &walks);
        let part = |at: TerminalId| self.before().terminal(at).part;
        // From each live end up, as far as nothing else hangs on the way.
        let mut ways: Vec<(WireId, TerminalId)> = Vec::new();
        for &(wire, near, _) in ends
            .iter()
            .filter(|(_, near, far)| is_live(*far) || is_live(*near))
        {
            let mut root = (wire, near);
            for _ in 0..ends.len() {
                let above = ends
                    .iter()
                    .find(|(other, _, far)| *other != root.0 && part(*far) == part(root.1));
                match above {
                    Some(&(other, near, _)) => root = (other, near),
                    None => break,
                }
            }
            if !ways.contains(&root) {
                ways.push(root);
            }
        }
        self.lift.extend(ways);
    }

    fn told(&self, state: &State) -> Vec<LiveRun> {
        let walks = Walks::new(self.before());
        let runs = self.directed(&self.live_runs(state), &walks);
        let told = runs.into_iter().map(|(wire, near, far)| {
            let part = self.before().terminal(far).part;
            let ahead = walks.protections_ahead(self.before(), near);
            LiveRun {
                wire,
                up_to: part.filter(|part| self.pull.contains(part)),
                protected: !ahead.is_empty() && ahead.iter().all(|(_, fuses)| !fuses.is_empty()),
            }
        });
        told.collect()
    }

    /// Every end of a wire that is free then.
    fn capped(&self, places: &[Place]) -> Vec<(WireId, TerminalId)> {
        let mut ends: BTreeSet<(WireId, TerminalId)> = BTreeSet::new();
        for place in places.iter().filter(|place| place.kind == PlaceKind::End) {
            for &wire in &place.wires {
                let own = self.before().wire(wire);
                let on = [own.from, own.to]
                    .into_iter()
                    .filter(|end| place.terminals.contains(end));
                ends.extend(on.map(|end| (wire, end)));
            }
        }
        for &(wire, near) in &self.lift {
            let own = self.before().wire(wire);
            ends.insert((wire, near));
            for end in [own.from, own.to] {
                let part = self.before().terminal(end).part;
                if part.is_some_and(|part| self.out.contains(&part)) {
                    ends.insert((wire, end));
                }
            }
        }
        ends.into_iter().collect()
    }
}

/// Conductors from a terminal up to the nearest source that stays, then up to the nearest of all: an alternator that comes
/// out feeds its cable no more, and the battery at the other end of it does.
pub(super) fn hops(
    vehicle: &Vehicle,
    walks: &Walks,
    removed: &[PartId],
    terminal: TerminalId,
) -> [usize; 2] {
    let mut nearest = [usize::MAX; 2];
    if terminal == TerminalId::CHASSIS {
        return nearest;
    }
    for (number, source) in walks.sources.iter().enumerate() {
        let Some(way) = walks.way_up(vehicle, number, terminal) else {
            continue;
        };
        nearest[1] = nearest[1].min(way.len());
        if !removed.contains(&source.part) {
            nearest[0] = nearest[0].min(way.len());
        }
    }
    nearest
}
