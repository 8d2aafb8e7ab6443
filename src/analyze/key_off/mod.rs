//! Standing draw, by part and by fuse, and the simple days.

mod missing;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use missing::Missing;

use super::origin::{NOTHING, Origin, Ways};
use crate::model::element::Load;
use crate::model::{
    Branch, BranchId, Element, Fact, Law, PartId, Setting, TerminalId, Vehicle, WireId,
};
use crate::quantity::{Amps, Interval, Scalar, Seconds};
use crate::read::document::Kind;
use crate::solve::Solution;
use crate::solve::explored::Explored;

/// What is drawn with the key off, as the vehicle is left.
#[derive(Clone, PartialEq, Debug)]
pub struct KeyOff {
    /// Likely current out of the battery that starts the engine, things that cycle at their average.
    pub draw: Amps,
    /// Its range over the ranges of the facts.
    pub range: Interval<Amps>,
    /// Facts that would be needed for a whole figure.
    pub missing: Vec<String>,
    /// Everything that draws, or would if a switch were left so; largest first.
    pub by_part: Vec<Draw>,
    /// What a meter would lose if a fuse were pulled; largest first.
    pub by_fuse: Vec<(PartId, Amps)>,
    /// Capacity over draw, where both are known and something draws.
    pub simple: Option<Seconds>,
    /// Of each battery: draw, and its simple time.
    pub by_battery: Vec<(PartId, Amps, Option<Seconds>)>,
}

/// One part that draws with the key off.
#[derive(Clone, PartialEq, Debug)]
pub struct Draw {
    /// The part; a relay stands for its coil.
    pub part: PartId,
    /// Its current; of something that cycles, the average.
    pub current: Amps,
    /// Its range.
    pub range: Interval<Amps>,
    /// Can draw with the key off, as left or in the setting of `only_if`.
    pub ahead_of_ignition: bool,
    /// Only in this setting (a switch left closed, a thing latched); nothing where it draws as left.
    pub only_if: Option<Setting>,
    /// The fuses and breakers that its current runs through, nearest first.
    pub protected_by: Vec<PartId>,
    /// The wires that its current runs over from its source, nearest first; empty where it draws only in another setting.
    pub over: Vec<WireId>,
}

/// One way in which a part takes current.
#[derive(Clone, Copy)]
struct Taker<'v> {
    id: BranchId,
    branch: &'v Branch,
    /// What it takes with the key off, as multiples of what was solved: least, likely, most.
    scale: [f64; 3],
    /// The most that it can take where nothing likely is known.
    at_most: Amps,
    /// Fact that is not stated and that this draw hangs on.
    missing: Option<&'static str>,
}

/// Sums up the key-off state `left`; `explored` tells what would draw in other settings.
pub(super) fn sum(vehicle: &Vehicle, left: &Solution, explored: &Explored) -> KeyOff {
    sum_asleep(vehicle, left, explored, true)
}

/// The same sums for another state; not `asleep`, loads take what they take when awake.
pub(super) fn sum_asleep(
    vehicle: &Vehicle,
    left: &Solution,
    explored: &Explored,
    asleep: bool,
) -> KeyOff {
    let mut origin = Origin::new(vehicle, left);
    let takers: Vec<Taker<'_>> = vehicle
        .branch_ids()
        .filter_map(|id| taker(vehicle, id, asleep))
        .collect();
    let mut missing = Missing::default();
    missing.own_load(vehicle);
    let cells = vehicle.batteries.iter();
    let mut likely: Vec<f64> = cells.map(|battery| left.branch(battery.cell).0).collect();
    let mut range: Vec<[f64; 2]> = likely.iter().map(|&amps| [amps; 2]).collect();
    let mut draws: Vec<Draw> = Vec::new();
    let mut lost: BTreeMap<PartId, f64> = BTreeMap::new();
    for taker in &takers {
        let solved = taken(left, taker.id, taker.branch);
        let live = is_live(left, taker.branch);
        if live && let Some(key) = taker.missing {
            missing.add(vehicle, taker.branch, key);
        }
        let at = supply(left, taker.branch);
        let flows = solved.0 > NOTHING;
        let could_flow = live && taker.at_most.0 > NOTHING;
        if !flows && !could_flow {
            continue;
        }
        let [low, middle, high] = taker.scale.map(|scale| solved.0 * scale);
        let high = if flows { high } else { taker.at_most.0 };
        for (number, share) in origin.shares(at).into_iter().enumerate() {
            likely[number] += (middle - solved.0) * share;
            range[number][0] += (low - solved.0) * share;
            range[number][1] += (high - solved.0) * share;
        }
        let protected_by = protections(vehicle, origin.way(at));
        for &fuse in &protected_by {
            *lost.entry(fuse).or_default() += middle - solved.0;
        }
        let draw = Draw {
            part: taker.branch.part,
            current: Amps(middle),
            range: Interval {
                low: Amps(low),
                high: Amps(high),
            },
            ahead_of_ignition: true,
            only_if: None,
            protected_by,
            over: origin.wires(at),
        };
        add(&mut draws, draw);
    }
    missing.feeds(vehicle, left);
    if_left_otherwise(vehicle, left, explored, &takers, &mut draws);
    draws.sort_by(|a, b| {
        let only_if = a.only_if.is_some().cmp(&b.only_if.is_some());
        let largest = b.current.0.total_cmp(&a.current.0);
        only_if.then(largest).then(a.part.cmp(&b.part))
    });
    let by_battery = by_battery(vehicle, &likely);
    let starter = vehicle
        .batteries
        .iter()
        .position(|battery| Some(battery.part) == vehicle.starter);
    missing.capacity(vehicle, starter);
    let at = |number: Option<usize>| number.and_then(|number| by_battery.get(number));
    let bounds = starter.map_or([0.0; 2], |number| range[number]);
    KeyOff {
        draw: at(starter).map_or(Amps::ZERO, |&(_, draw, _)| draw),
        range: Interval {
            low: Amps(tidy(bounds[0])),
            high: Amps(tidy(bounds[1])),
        },
        missing: missing.list,
        by_part: draws,
        by_fuse: by_fuse(vehicle, left, &lost),
        simple: at(starter).and_then(|&(.., simple)| simple),
        by_battery,
    }
}

/// Draws of a part in the same setting are one.
fn add(draws: &mut Vec<Draw>, draw: Draw) {
    let same = |other: &&mut Draw| other.part == draw.part && other.only_if == draw.only_if;
    // Branches of a part follow one another.
    match draws.iter_mut().rev().take(8).find(same) {
        Some(known) => {
            if draw.current > known.current {
                known.protected_by = draw.protected_by;
                known.over = draw.over;
            }
            known.current += draw.current;
            known.range = known.range + draw.range;
        }
        None => draws.push(draw),
    }
}

/// Rounding of the sums is no draw.
fn tidy(amps: f64) -> f64 {
    if amps.abs() < NOTHING { 0.0 } else { amps }
}

/// A branch that takes current for itself, and how far what it takes is known.
fn taker(vehicle: &Vehicle, id: BranchId, asleep: bool) -> Option<Taker<'_>> {
    let branch = vehicle.branch(id);
    let plain = |scale, at_most| Taker {
        id,
        branch,
        scale,
        at_most,
        missing: None,
    };
    match &branch.element {
        Element::Load(load) if asleep => Some(of_load(vehicle, id, branch, load)),
        Element::Load(load) => Some(awake(id, branch, load)),
        Element::Coil { ohms, .. } => {
            let [low, high] = inverse(shares(*ohms));
            Some(plain([low, 1.0, high], Amps::ZERO))
        }
        Element::Converter { standby, .. } => {
            let [low, high] = shares(*standby);
            Some(plain([low, 1.0, high], standby.range.high))
        }
        _ => None,
    }
}

/// What a load takes when it is awake, at its average where it cycles.
fn awake<'v>(id: BranchId, branch: &'v Branch, load: &'v Load) -> Taker<'v> {
    let [low, high] = load.law.map_or([0.0, 0.0], law_range);
    // Somebody reading a meter may have met it on or off.
    let low = if load.duty.likely.0 < 1.0 { 0.0 } else { low };
    Taker {
        id,
        branch,
        scale: [low, load.duty.likely.0, high],
        at_most: Amps::ZERO,
        missing: load.law.is_none().then_some("draw"),
    }
}

fn of_load<'v>(
    vehicle: &'v Vehicle,
    id: BranchId,
    branch: &'v Branch,
    load: &'v Load,
) -> Taker<'v> {
    let part = vehicle.part(branch.part);
    let Some(parked) = load.parked else {
        let sleeps = part.kind == Kind::Controller
            || (part.kind == Kind::Load
                && part
                    .fields
                    .text("type")
                    .is_some_and(|kind| kind.value == "electronics"));
        let [low, high] = load.law.map_or([0.0, 0.0], law_range);
        let duty = &load.duty;
        let low = if sleeps { 0.0 } else { low * duty.range.low.0 };
        let missing = match (load.law, sleeps) {
            (None, _) => Some("draw"),
            (Some(_), true) => Some("parked"),
            (Some(_), false) => None,
        };
        return Taker {
            id,
            branch,
            scale: [low, duty.likely.0, high * duty.range.high.0],
            at_most: Amps::ZERO,
            missing,
        };
    };
    let likely = parked.likely.0;
    let scale = |amps: Amps| {
        if likely > 0.0 { amps.0 / likely } else { 1.0 }
    };
    Taker {
        id,
        branch,
        scale: [scale(parked.range.low), 1.0, scale(parked.range.high)],
        at_most: parked.range.high,
        missing: None,
    }
}

/// Least and most of a fact as shares of what is likely.
fn shares<T: Scalar>(fact: Fact<T>) -> [f64; 2] {
    let likely = fact.likely.get();
    let ends = [fact.range.low, fact.range.high];
    ends.map(|end| {
        if likely > 0.0 {
            end.get() / likely
        } else {
            1.0
        }
    })
}

/// Of what goes down as the fact goes up.
fn inverse([low, high]: [f64; 2]) -> [f64; 2] {
    [high, low].map(|share| 1.0 / share.max(f64::MIN_POSITIVE))
}

/// Least and most current of a law as shares of the likely one.
fn law_range(law: Law) -> [f64; 2] {
    match law {
        Law::Resistance(ohms) => inverse(shares(ohms)),
        Law::Power(watts) => shares(watts),
        Law::Current(amps) | Law::Filament(amps) => shares(amps),
    }
}

/// What a branch takes for itself in a solution; of a converter, what it does not pass on.
fn taken(solution: &Solution, id: BranchId, branch: &Branch) -> Amps {
    let Element::Converter {
        efficiency, back, ..
    } = &branch.element
    else {
        return solution.branch(id).abs();
    };
    let inputs = &solution.inputs;
    let input = inputs.iter().find(|&&(input, _)| input == id);
    let input = input.map_or(0.0, |&(_, amps)| amps.0);
    let volts = |to: TerminalId| (solution.at(to) - solution.at(*back)).0;
    let given = solution.branch(id).0 * volts(branch.to) / efficiency.likely.0;
    let passed = if volts(branch.from) > 0.0 {
        given / volts(branch.from)
    } else {
        0.0
    };
    Amps((input - passed).max(0.0))
}

/// The end at which a branch is supplied.
fn supply(solution: &Solution, branch: &Branch) -> TerminalId {
    let reversed = matches!(branch.element, Element::Coil { .. } | Element::Load(_))
        && solution.at(branch.to) > solution.at(branch.from);
    if reversed { branch.to } else { branch.from }
}

/// Whether anything feeds a branch; of a converter, its input: a battery that it charges may stand on its output.
fn is_live(solution: &Solution, branch: &Branch) -> bool {
    let to = match &branch.element {
        Element::Converter { back, .. } => *back,
        _ => branch.to,
    };
    let across = (solution.at(branch.from) - solution.at(to)).abs();
    across.0 > crate::solve::LIVE
}

/// Of each fuse, breaker and link: those that feed it, nearest first; empty where the record does not say how it is fed.
#[must_use]
pub fn feeders(vehicle: &Vehicle) -> BTreeMap<PartId, Vec<PartId>> {
    let ways = Ways::new(vehicle);
    let guards = vehicle
        .part_ids()
        .filter(|&id| is_fuse(vehicle.part(id).kind));
    guards
        .map(|id| {
            // Seen from the side of the load it stands on its own way up.
            let above = vehicle.part(id).terminals.iter().find_map(|&terminal| {
                let way = protections(vehicle, ways.up(terminal));
                let own = way.iter().position(|&part| part == id)?;
                Some(way[own + 1..].to_vec())
            });
            (id, above.unwrap_or_default())
        })
        .collect()
}

/// Fuses, breakers and links of a way.
fn protections(vehicle: &Vehicle, way: Vec<PartId>) -> Vec<PartId> {
    let guards = way
        .into_iter()
        .filter(|&part| is_fuse(vehicle.part(part).kind));
    guards.collect()
}

/// Whether a part opens where too much flows.
#[must_use]
pub const fn is_fuse(kind: Kind) -> bool {
    matches!(kind, Kind::Fuse | Kind::Breaker | Kind::FusibleLink)
}

/// What draws only in another setting, as explored.
fn if_left_otherwise(
    vehicle: &Vehicle,
    left: &Solution,
    explored: &Explored,
    takers: &[Taker<'_>],
    draws: &mut Vec<Draw>,
) {
    let mut ways = None;
    for taker in takers {
        let Some(extreme) = explored.key_off.get(taker.id.index()) else {
            continue;
        };
        // The smallest setting is what a person forgets; that something else on the same battery makes it worse is beside
        // the point.
        let (amps, setting) = extreme.first();
        let amps = amps.abs();
        if taken(left, taker.id, taker.branch).0 > NOTHING || amps.0 <= NOTHING {
            continue;
        }
        if *setting == Setting::default() {
            continue;
        }
        let ways = ways.get_or_insert_with(|| Ways::new(vehicle));
        let way = ways.up(taker.branch.from);
        let [low, likely, high] = taker.scale.map(|scale| Amps(amps.0 * scale));
        let draw = Draw {
            part: taker.branch.part,
            current: likely,
            range: Interval { low, high },
            ahead_of_ignition: true,
            only_if: Some(setting.clone()),
            protected_by: protections(vehicle, way),
            over: Vec::new(),
        };
        add(draws, draw);
    }
}

fn by_battery(vehicle: &Vehicle, likely: &[f64]) -> Vec<(PartId, Amps, Option<Seconds>)> {
    let each = vehicle.batteries.iter().zip(likely);
    each.map(|(battery, &amps)| {
        let draw = Amps(tidy(amps));
        let capacity = battery.capacity.filter(|_| draw.0 > 0.0);
        let simple = capacity.map(|capacity| capacity.likely / draw);
        (battery.part, draw, simple)
    })
    .collect()
}

/// The current of each fuse, with things that cycle at their average.
fn by_fuse(
    vehicle: &Vehicle,
    left: &Solution,
    lost: &BTreeMap<PartId, f64>,
) -> Vec<(PartId, Amps)> {
    let mut list = Vec::new();
    for id in vehicle.part_ids() {
        let part = vehicle.part(id);
        if !is_fuse(part.kind) {
            continue;
        }
        let own = part
            .branches
            .iter()
            .map(|&branch| left.branch(branch).abs());
        let amps = own.sum::<Amps>().0 + lost.get(&id).copied().unwrap_or_default();
        if amps > NOTHING {
            list.push((id, Amps(amps)));
        }
    }
    list.sort_by(|a, b| b.1.0.total_cmp(&a.1.0).then(a.0.cmp(&b.0)));
    list
}
