//! A relay that holds itself in after use, and which equipment has to be used first.

#[cfg(test)]
mod cases;

use super::NOTHING;
use crate::check::prelude::*;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::model::element::CoilRole;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "stays-latched",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "a relay holds itself in with the key off once some equipment was used",
        page: include_str!("../../../docs/checks/stays-latched.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let relays: Vec<(PartId, &Part, BranchId)> = context
        .parts_of(&[Kind::Relay])
        .filter(|&(id, part)| context.is_added(id) && part.stays_live.is_none())
        .filter_map(|(id, part)| Some((id, part, coil(context.vehicle, part)?)))
        .collect();
    if relays.is_empty() {
        return Vec::new();
    }
    let mut trial = Trial::new(context);
    let held: Vec<(PartId, Solution)> = relays
        .iter()
        .filter_map(|&(id, ..)| Some((id, trial.held(context, id)?)))
        .collect();
    // What another that stays in holds in is told with that one; of two that hold one another, both are told.
    let alone: Vec<PartId> = held
        .iter()
        .filter(|(id, rest)| trial.lets_go(rest, &[*id], *id))
        .map(|(id, _)| *id)
        .collect();
    let unsettled = lets_go_later(context.vehicle, &relays, &held);
    let mut verdicts = Vec::new();
    for &(id, part, coil) in &relays {
        let Some((_, rest)) = held.iter().find(|(held, _)| *held == id) else {
            verdicts.push(if unsettled.contains(&id) {
                Gap::of([part.missing("drop-out")]).part(id).shown()
            } else {
                Verdict::NoneShown
            });
            continue;
        };
        if alone.is_empty() || alone.contains(&id) {
            verdicts.push(tell(context, &mut trial, (id, part, coil), rest));
        }
    }
    verdicts
}

/// The coil that has to be energised to hold; a latching relay stays as it was put by its nature.
fn coil(vehicle: &Vehicle, part: &Part) -> Option<BranchId> {
    part.branches.iter().copied().find(|&branch| {
        matches!(
            vehicle.branch(branch).element,
            Element::Coil {
                role: CoilRole::Hold,
                ..
            }
        )
    })
}

/// What makes a coil let go that holds: a diode where its own output comes back to it, else the wire that brings what holds it.
fn lets_go(context: &Context<'_>, part: &Part, coil: BranchId, rest: &Solution) -> String {
    let vehicle = context.vehicle;
    let mut ways = context.walks.consumers.iter();
    let way = ways.find(|consumer| consumer.branch == coil);
    let own = way.is_some_and(|way| {
        way.feed
            .iter()
            .any(|link| matches!(link, Link::Branch(branch) if part.branches.contains(branch)))
    });
    if own {
        return "put a diode into the wire that leads its own output back to the coil".to_owned();
    }
    let branch = vehicle.branch(coil);
    let [from, to] = [branch.from, branch.to].map(|end| rest.at(end).0.abs());
    let held = if from >= to { branch.from } else { branch.to };
    let brings: Vec<&str> = context
        .landing(held)
        .into_iter()
        .filter(|&id| {
            let amps = rest.wire(id);
            let into = if vehicle.wire(id).to == held {
                amps.0
            } else {
                -amps.0
            };
            into > 1e-3
        })
        .map(|id| vehicle.wire(id).id.as_str())
        .collect();
    let terminal = &vehicle.terminal(held).label;
    if brings.is_empty() {
        format!("find what feeds {terminal} with the key off")
    } else {
        format!(
            "take {} off {terminal}, which brings what holds it",
            words::list(&brings, 4)
        )
    }
}

fn tell(
    context: &Context<'_>,
    trial: &mut Trial<'_>,
    (id, part, coil): (PartId, &Part, BranchId),
    rest: &Solution,
) -> Verdict {
    let unsure = super::unsure_feeds(context, id);
    if !unsure.is_empty() {
        return Gap::of(unsure).part(id).shown();
    }
    let vehicle = context.vehicle;
    let branch = vehicle.branch(coil);
    let across = (rest.at(branch.from) - rest.at(branch.to)).abs();
    if let Element::Coil { drop_out, .. } = &branch.element
        && across < drop_out.range.high
    {
        return Gap::of([part.missing("drop-out")]).part(id).shown();
    }
    let out = &context.solved.parked_out;
    let drawn = |rest: &Solution| {
        let more: Amps = vehicle.batteries.iter().fold(Amps(0.0), |sum, battery| {
            sum + (rest.branch(battery.cell) - out.branch(battery.cell))
        });
        if more > NOTHING {
            more
        } else {
            rest.branch(coil).abs()
        }
    };
    let used = trial.first_use(context, id);
    let first = Setting {
        also: Some(format!("after {}", used.words)),
        ..Setting::default()
    };
    // With more used before, more may stay in.
    let seen = used.rest.as_ref().unwrap_or(rest);
    let (current, most) = (drawn(seen), drawn(rest));
    let (worst, at_worst) = if most.0 <= current.0 * 1.02 {
        (first.clone(), String::new())
    } else {
        let also = "after the engine ran with everything on".to_owned();
        let at_worst = format!(", {} {also}", words::show(most));
        let worst = Setting {
            also: Some(also),
            ..Setting::default()
        };
        (worst, at_worst)
    };
    let across = (seen.at(branch.from) - seen.at(branch.to)).abs();
    let name = &part.name.value;
    let mut finding = Finding::new(
        part.at("coil"),
        format!(
            "{} stays in with the key off after {}, and {} goes on being drawn{at_worst}",
            words::called(part),
            used.words,
            words::show(current)
        ),
    )
    .label("holds itself in")
    .part(id)
    .value(most.max(current))
    .setting(first)
    .worst(worst)
    .help(format!(
        "feed the coil of {name} from a wire that is dead with the key off, or {}; write `stays-live: WHY` at {name} if it is meant to hold",
        lets_go(context, part, coil, rest)
    ))
    .source("the network solved with the key off from everything out and as it is left after use")
    .step(
        format!(
            "key off, from everything out: {name} is out; after {}: {} across its coil, which is enough to hold it in",
            used.words,
            words::show(across)
        ),
        "the network, solved twice in the same setting",
    );
    if let Some(switch) = used.part {
        finding = finding
            .part(switch)
            .also(vehicle.part(switch).name.at, "after this was used");
    }
    for (other, drawing) in context.parts() {
        let draws = |solution: &Solution| {
            drawing
                .branches
                .iter()
                .filter(|&&branch| matches!(vehicle.branch(branch).element, Element::Load(_)))
                .fold(Amps(0.0), |sum, &branch| {
                    sum + solution.branch(branch).abs()
                })
        };
        let more = draws(seen) - draws(out);
        if more > NOTHING {
            finding = finding.part(other).also(
                drawing.name.at,
                format!("goes on drawing {}", words::show(more)),
            );
        }
    }
    finding.shown()
}

/// Relays that would hold themselves in if they let go at the lowest voltage that theirs may be.
fn lets_go_later(
    vehicle: &Vehicle,
    relays: &[(PartId, &Part, BranchId)],
    held: &[(PartId, Solution)],
) -> Vec<PartId> {
    let open = |coil: BranchId| match &vehicle.branch(coil).element {
        Element::Coil { drop_out, .. } => drop_out.range.low < drop_out.likely,
        _ => false,
    };
    let wide: Vec<(PartId, BranchId)> = relays
        .iter()
        .filter(|&&(id, _, coil)| open(coil) && held.iter().all(|(held, _)| *held != id))
        .map(|&(id, _, coil)| (id, coil))
        .collect();
    if wide.is_empty() {
        return Vec::new();
    }
    let mut low = vehicle.clone();
    for &(_, coil) in &wide {
        if let Element::Coil { drop_out, .. } = &mut low.branches[coil.index()].element {
            drop_out.likely = drop_out.range.low;
        }
    }
    let mut solver = Solver::new(&low);
    let parked = State::parked(&low);
    let rest = solver.solve(&parked, &Memory::all_in(&low));
    let mut all = rest.memory.clone();
    for &(id, _) in &wide {
        all.0[id.index()] = false;
    }
    let out = solver.solve(&parked, &all);
    wide.into_iter()
        .map(|(id, _)| id)
        .filter(|id| rest.memory.0[id.index()] && !out.memory.0[id.index()])
        .collect()
}

/// What was used first.
struct Used {
    /// `S1 is used with the key in run`.
    words: String,
    part: Option<PartId>,
    /// The vehicle parked after it.
    rest: Option<Solution>,
}

/// The vehicle, to be used and parked at will.
struct Trial<'a> {
    vehicle: &'a Vehicle,
    /// Once it is needed: most often nothing is found in.
    solver: Option<Solver<'a>>,
    parked: State,
    /// Solved from everything in, where `parked_in` is as it is left.
    all_in: Solution,
}

impl<'a> Trial<'a> {
    fn new(context: &Context<'a>) -> Self {
        let vehicle = context.vehicle;
        let mut trial = Self {
            vehicle,
            solver: None,
            parked: State::parked(vehicle),
            all_in: context.solved.parked_in.clone(),
        };
        if context.solved.left().memory != context.solved.parked_out.memory {
            trial.all_in = trial.solve(None, &Memory::all_in(vehicle));
        }
        trial
    }

    /// Solves a state, else the parked one.
    fn solve(&mut self, state: Option<&State>, memory: &Memory) -> Solution {
        let vehicle = self.vehicle;
        let solver = self.solver.get_or_insert_with(|| Solver::new(vehicle));
        solver.solve(state.unwrap_or(&self.parked), memory)
    }

    /// A state of rest with the key off in which a relay is in that would not come in by itself there.
    fn held(&mut self, context: &Context<'_>, relay: PartId) -> Option<Solution> {
        let solved = context.solved;
        let rests: Vec<Solution> = [solved.left(), &solved.parked_in, &self.all_in]
            .into_iter()
            .filter(|rest| rest.memory.0[relay.index()] && rest.trouble.is_none())
            .cloned()
            .collect();
        if rests.is_empty() {
            return None;
        }
        let relays: Vec<PartId> = context
            .parts_of(&[Kind::Relay])
            .filter(|(_, part)| coil(context.vehicle, part).is_some())
            .map(|(id, _)| id)
            .collect();
        rests
            .into_iter()
            .find(|rest| self.lets_go(rest, &relays, relay))
    }

    /// Whether a relay stays out once these are put out by hand, everything else as it was: latching relays, cutoffs and
    /// isolators differ by nature.
    fn lets_go(&mut self, rest: &Solution, released: &[PartId], relay: PartId) -> bool {
        let mut memory = rest.memory.clone();
        for part in released {
            memory.0[part.index()] = false;
        }
        let after = self.solve(None, &memory);
        after.trouble.is_none() && !after.memory.0[relay.index()]
    }

    /// The least that has to be done before it stays in.
    fn first_use(&mut self, context: &Context<'_>, relay: PartId) -> Used {
        let vehicle = context.vehicle;
        let left = self.parked.positions.clone();
        if let Some(rest) = self.stays(Key::Run, &left, relay) {
            return Used {
                words: "the key was in run".to_owned(),
                part: None,
                rest: Some(rest),
            };
        }
        for key in [Key::Off, Key::Run] {
            for (at, unit) in vehicle.switches.iter().enumerate() {
                for position in 0..unit.positions.len() as u8 {
                    if position == unit.left {
                        continue;
                    }
                    let mut positions = left.clone();
                    positions[at] = position;
                    if let Some(rest) = self.stays(key, &positions, relay) {
                        let called = match &vehicle.part(unit.part).what {
                            Some(what) => format!("{} ({what})", unit.label),
                            None => unit.label.clone(),
                        };
                        let with = if key == Key::Run {
                            " with the key in run"
                        } else {
                            ""
                        };
                        return Used {
                            words: format!("{called} was used{with}"),
                            part: Some(unit.part),
                            rest: Some(rest),
                        };
                    }
                }
            }
        }
        if let Some(rest) = self.stays(Key::Start, &left, relay) {
            return Used {
                words: "the engine was cranked".to_owned(),
                part: None,
                rest: Some(rest),
            };
        }
        let on: Vec<u8> = vehicle.switches.iter().map(|unit| unit.on).collect();
        let rest = self.stays(Key::Run, &on, relay);
        let words = if rest.is_some() {
            "several switches were on together with the key in run"
        } else {
            "it was once pulled in"
        };
        Used {
            words: words.to_owned(),
            part: None,
            rest,
        }
    }

    /// The vehicle with the key off, after everything was so, where a relay is in there.
    fn stays(&mut self, key: Key, positions: &[u8], relay: PartId) -> Option<Solution> {
        let used = State {
            key,
            engine: if key == Key::Run {
                Engine::Idle
            } else {
                Engine::Stopped
            },
            positions: positions.to_vec(),
            settled: false,
            ..self.parked.clone()
        };
        let used = self.solve(Some(&used), &Memory::charged(self.vehicle));
        let awake = State {
            settled: false,
            ..self.parked.clone()
        };
        let just_off = self.solve(Some(&awake), &used.memory);
        let left = self.solve(None, &just_off.memory);
        left.memory.0[relay.index()].then_some(left)
    }
}
