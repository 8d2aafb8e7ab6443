//! Standing draw, by part and by fuse, and the simple days.

mod missing;
mod supplies;
mod taker;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use missing::Missing;
use supplies::{fed_without, steady_sources};
pub(super) use taker::How;
use taker::Taker;

use super::joined::Joined;
use super::origin::{NOTHING, Origin, Ways};
use super::sample::Uncertain;
use super::timed::Stretch;
use crate::model::{Branch, BranchId, Element, PartId, Setting, TerminalId, Vehicle, WireId};
use crate::quantity::{Amps, Interval, Seconds};
use crate::read::document::Kind;
use crate::solve::Solution;
use crate::solve::explored::Explored;

/// What is drawn with the key off, as the vehicle is left.
#[derive(Clone, PartialEq, Debug)]
pub struct KeyOff {
    /// The battery that the draw is of: the one that starts the engine, for those joined to it as well; of several on top of
    /// one another that start it together, the one that is empty first.
    pub battery: Option<PartId>,
    /// How the batteries stand together with the key off.
    pub joined: Joined,
    /// Likely current out of that battery and those joined to it, things that cycle at their average.
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
    /// Of each battery: draw, and its simple time. Joined batteries share what is drawn by what they hold, once they stand at
    /// one voltage.
    pub by_battery: Vec<(PartId, Amps, Option<Seconds>)>,
    /// Of each group of [`Joined::groups`]: draw out of all of it.
    pub by_group: Vec<Uncertain>,
    /// What flows before everything has settled, soonest over first; nothing where that is no other than later.
    pub runs_on: Vec<RunsOn>,
}

/// A stretch after the key goes off, until something ends.
#[derive(Clone, PartialEq, Debug)]
pub struct RunsOn {
    /// When it is over, in hours since the key went off.
    pub until: Uncertain,
    /// Draw meanwhile, of each group of [`Joined::groups`].
    pub by_group: Vec<Uncertain>,
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
    /// The fuses and breakers that its current runs through, nearest first; none that leaves it to another source when pulled.
    pub protected_by: Vec<PartId>,
    /// The wires that its current runs over from its source, nearest first; empty where it draws only in another setting.
    pub over: Vec<WireId>,
}

/// Sums up the key-off state `left`; `explored` tells what would draw in other settings, `stretches` what flows before.
pub(super) fn sum(
    vehicle: &Vehicle,
    left: &Solution,
    explored: &Explored,
    stretches: &[Stretch],
) -> KeyOff {
    let joined = Joined::of(vehicle, left);
    let mut whole = Sums::of(vehicle, left, How::Asleep);
    let settled = whole.by_group(&joined);
    let mut runs_on: Vec<RunsOn> = Vec::new();
    for stretch in stretches {
        let sums = Sums::of(vehicle, &stretch.solution, How::Since(stretch.from));
        for name in &sums.missing.list {
            whole.missing.push(name.clone());
        }
        let [low, likely, high] = stretch.until.map(Seconds::hours);
        runs_on.push(RunsOn {
            until: Uncertain { low, likely, high },
            by_group: sums.by_group(&joined),
        });
    }
    let same = |one: &RunsOn| {
        let pairs = one.by_group.iter().zip(&settled);
        let differ = |a: f64, b: f64| (a - b).abs() > NOTHING;
        pairs.into_iter().all(|(a, b)| {
            !(differ(a.low, b.low) || differ(a.likely, b.likely) || differ(a.high, b.high))
        })
    };
    while runs_on.pop_if(|last| same(last)).is_some() {}
    whole.into_key_off(vehicle, left, explored, joined, runs_on)
}

/// The sums over one state, each battery for itself; not `asleep`, loads take what they take when awake.
pub(super) fn sum_asleep(
    vehicle: &Vehicle,
    solution: &Solution,
    explored: &Explored,
    asleep: bool,
) -> KeyOff {
    let how = if asleep { How::Asleep } else { How::Awake };
    let sums = Sums::of(vehicle, solution, how);
    sums.into_key_off(
        vehicle,
        solution,
        explored,
        Joined::apart(vehicle),
        Vec::new(),
    )
}

/// Likely current out of each battery, things that cycle at their average.
pub(super) fn average(vehicle: &Vehicle, solution: &Solution, how: How) -> Vec<f64> {
    let cells = vehicle.batteries.iter();
    let mut likely: Vec<f64> = cells
        .map(|battery| solution.branch(battery.cell).0)
        .collect();
    let mut origin = None;
    for taker in vehicle
        .branch_ids()
        .filter_map(|id| taker::taker(vehicle, id, how))
    {
        let [_, middle, _] = taker.scale;
        let solved = taken(solution, taker.id, taker.branch);
        if middle == 1.0 || solved.0 <= NOTHING {
            continue;
        }
        let origin = origin.get_or_insert_with(|| Origin::new(vehicle, solution));
        let shares = origin.shares(supply(solution, taker.branch));
        for (likely, share) in likely.iter_mut().zip(shares) {
            *likely += solved.0 * (middle - 1.0) * share;
        }
    }
    likely
}

/// What is drawn in one state.
struct Sums<'v> {
    takers: Vec<Taker<'v>>,
    /// Current out of each battery.
    likely: Vec<f64>,
    range: Vec<[f64; 2]>,
    draws: Vec<Draw>,
    /// What each fuse carries less, or more, than was solved.
    lost: BTreeMap<PartId, f64>,
    missing: Missing,
}

impl<'v> Sums<'v> {
    fn of(vehicle: &'v Vehicle, solution: &Solution, how: How) -> Self {
        let mut origin = Origin::new(vehicle, solution);
        let takers: Vec<Taker<'_>> = vehicle
            .branch_ids()
            .filter_map(|id| taker::taker(vehicle, id, how))
            .collect();
        let mut missing = Missing::default();
        missing.own_load(vehicle);
        let cells = vehicle.batteries.iter();
        let mut likely: Vec<f64> = cells
            .map(|battery| solution.branch(battery.cell).0)
            .collect();
        let mut range: Vec<[f64; 2]> = likely.iter().map(|&amps| [amps; 2]).collect();
        let mut draws: Vec<Draw> = Vec::new();
        let mut lost: BTreeMap<PartId, f64> = BTreeMap::new();
        // Where two sources feed it, pulling the fuse of one leaves it to the other.
        let several = steady_sources(vehicle) > 1;
        for taker in &takers {
            let solved = taken(solution, taker.id, taker.branch);
            let live = is_live(solution, taker.branch);
            if live && let Some(key) = taker.missing {
                missing.add(vehicle, taker.branch, key);
            }
            let at = supply(solution, taker.branch);
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
            let mut protected_by = protections(vehicle, origin.way(at));
            if several {
                protected_by.retain(|&fuse| !fed_without(vehicle, solution, at, fuse));
            }
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
        missing.feeds(vehicle, solution);
        Self {
            takers,
            likely,
            range,
            draws,
            lost,
            missing,
        }
    }

    /// What flows between joined batteries is drawn out of none of them.
    fn by_group(&self, joined: &Joined) -> Vec<Uncertain> {
        let groups = joined.groups.iter();
        let sum = |group: &Vec<usize>, of: &dyn Fn(usize) -> f64| {
            tidy(group.iter().map(|&one| of(one)).sum())
        };
        groups
            .map(|group| Uncertain {
                low: sum(group, &|one| self.range[one][0]),
                likely: sum(group, &|one| self.likely[one]),
                high: sum(group, &|one| self.range[one][1]),
            })
            .collect()
    }

    fn into_key_off(
        self,
        vehicle: &Vehicle,
        left: &Solution,
        explored: &Explored,
        joined: Joined,
        runs_on: Vec<RunsOn>,
    ) -> KeyOff {
        let by_group = self.by_group(&joined);
        let Self {
            takers,
            mut draws,
            lost,
            mut missing,
            likely,
            ..
        } = self;
        if_left_otherwise(vehicle, left, explored, &takers, &mut draws);
        draws.sort_by(|a, b| {
            let only_if = a.only_if.is_some().cmp(&b.only_if.is_some());
            let largest = b.current.0.total_cmp(&a.current.0);
            only_if.then(largest).then(a.part.cmp(&b.part))
        });
        let by_battery = by_battery(vehicle, &joined, &by_group, &likely);
        let decides = decides(vehicle, &joined, &by_group);
        missing.capacity(vehicle, &joined);
        let of_group = decides.map(|(_, group)| by_group[group]);
        let of_group = of_group.unwrap_or(Uncertain::exact(0.0));
        let simple = decides.and_then(|(one, _)| by_battery.get(one));
        KeyOff {
            battery: decides.map(|(one, _)| vehicle.batteries[one].part),
            joined,
            draw: Amps(of_group.likely),
            range: Interval {
                low: Amps(of_group.low),
                high: Amps(of_group.high),
            },
            missing: missing.list,
            by_part: draws,
            by_fuse: by_fuse(vehicle, left, &lost),
            simple: simple.and_then(|&(.., simple)| simple),
            by_battery,
            by_group,
            runs_on,
        }
    }
}

/// The battery, and its group, that is empty first of those that crank the engine together; the one that the record names
/// where they are alike or how much they hold is not stated.
fn decides(vehicle: &Vehicle, joined: &Joined, by_group: &[Uncertain]) -> Option<(usize, usize)> {
    let starter = vehicle.batteries.iter();
    let starter = starter
        .enumerate()
        .find(|(_, battery)| Some(battery.part) == vehicle.starter)
        .map(|(one, _)| one)?;
    let home = joined.group_of(starter)?;
    let hours = |group: usize| {
        let holds = holds(vehicle, &joined.groups[group])?;
        (by_group[group].likely > 0.0).then(|| holds / by_group[group].likely)
    };
    let mut best = (starter, home);
    for &group in &joined.string {
        let known = hours(group);
        if known.is_some_and(|known| hours(best.1).is_none_or(|best| known < best * (1.0 - 1e-6))) {
            best = (*joined.groups[group].first()?, group);
        }
    }
    Some(best)
}

/// Ampere-hours on the labels of several batteries; nothing where one states none.
fn holds(vehicle: &Vehicle, group: &[usize]) -> Option<f64> {
    let each = group.iter();
    each.map(|&one| Some(vehicle.batteries[one].capacity?.likely.0))
        .sum()
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
        let Some((amps, setting)) = seen_key_off(vehicle, explored, taker) else {
            continue;
        };
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

/// What a branch takes for itself with the key off in the smallest setting that a person can leave behind: that is what is
/// forgotten; that something else on the same battery makes it worse is beside the point.
fn seen_key_off<'e>(
    vehicle: &Vehicle,
    explored: &'e Explored,
    taker: &Taker<'_>,
) -> Option<(Amps, &'e Setting)> {
    let at = taker.id.index();
    let Element::Converter { standby, .. } = &taker.branch.element else {
        let (amps, setting) = explored.key_off.get(at)?.first();
        return Some((amps.abs(), setting));
    };
    // What it passes on is drawn by what it feeds.
    let setting = explored.uses.get(at)?.key_off.as_deref()?;
    let mut units = vehicle.switches.iter();
    let held = units.any(|unit| unit.momentary && setting.moves(unit));
    (!held).then_some((standby.likely, setting))
}

fn by_battery(
    vehicle: &Vehicle,
    joined: &Joined,
    by_group: &[Uncertain],
    likely: &[f64],
) -> Vec<(PartId, Amps, Option<Seconds>)> {
    let each = vehicle.batteries.iter().enumerate();
    each.map(|(one, battery)| {
        let group = joined.group_of(one).unwrap_or_default();
        let whole = joined
            .groups
            .get(group)
            .and_then(|group| holds(vehicle, group));
        let share = battery
            .capacity
            .zip(whole)
            .map(|(own, whole)| own.likely.0 / whole);
        let draw = match (share, by_group.get(group)) {
            (Some(share), Some(of)) => of.likely * share,
            _ => tidy(likely[one]),
        };
        let draw = Amps(draw);
        let capacity = battery.capacity.filter(|_| draw.0 > 0.0 && share.is_some());
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
