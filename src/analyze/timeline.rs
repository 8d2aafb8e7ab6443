//! From key-off on, event by event: modules settle, timed feeds and delays end, a cutoff opens as the voltage falls, until the
//! engine would no longer start.

use super::joined::Joined;
use super::key_off::{How, average};
use super::timed::{AT_ONCE, key_goes_off, timed};
use crate::model::{BranchId, PartId, Vehicle};
use crate::quantity::{Amps, Seconds, Volts};
use crate::read::document::Kind;
use crate::solve::{Memory, Solution, Solver, State};
use crate::table::battery;
use crate::table::battery::Chemistry;

/// Longest time that is followed.
const HORIZON: Seconds = Seconds(400.0 * 86_400.0);
/// Share of a battery's charge that goes in one step of the integration.
const STEP: f64 = 0.02;
/// Changes of draw below this, in ampere, are no event.
const NOTICED: f64 = 0.0005;
/// A cutoff or isolator that moves more often than this cycles.
const MOST_EVENTS: usize = 200;

/// A battery that is followed.
#[derive(Clone, PartialEq, Debug)]
pub struct Store {
    /// The part.
    pub part: PartId,
    /// Its branch.
    pub cell: BranchId,
    /// What it is made of.
    pub chemistry: Chemistry,
    /// Rest voltage at `charge`, as the record says.
    pub rest: Volts,
    /// Its nominal voltage over 12 V.
    pub blocks: f64,
    /// What it really holds when full, at the temperature it stands in, in ampere-hour; nothing where not stated: then its
    /// charge does not fall.
    pub holds: Option<f64>,
    /// Charge when parked.
    pub charge: f64,
    /// Share of `holds` that it loses by itself in a day.
    pub leaks_per_day: f64,
}

impl Store {
    /// Rest voltage at another charge: the published curve, shifted to meet what the record says.
    fn rest_at(&self, charge: f64) -> Volts {
        let curve = |charge: f64| {
            let share = crate::quantity::Fraction(charge.clamp(0.0, 1.0));
            battery::rest_voltage(self.chemistry, share).value * self.blocks
        };
        self.rest + curve(charge) - curve(self.charge)
    }

    /// The charge at a rest voltage: the same curve turned round.
    fn charge_at(&self, rest: Volts) -> f64 {
        let share = crate::quantity::Fraction(self.charge.clamp(0.0, 1.0));
        let known = battery::rest_voltage(self.chemistry, share).value * self.blocks;
        let own = (rest - self.rest + known) / self.blocks;
        let charge = battery::charge(self.chemistry, own).value.0;
        if charge.is_nan() {
            0.0
        } else {
            charge.clamp(0.0, 1.0)
        }
    }
}

/// Down to where the batteries are followed.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Floors {
    /// The battery whose draw is told, as a place among those followed.
    pub told: Option<usize>,
    /// Places of the batteries that start the engine, each with the charge below which it no longer does.
    pub of: Vec<(usize, f64)>,
}

/// Something that changes the draw.
#[derive(Clone, PartialEq, Debug)]
pub struct Event {
    /// Since the key went off.
    pub at: Seconds,
    /// Draw out of the battery that starts the engine and those joined to it, from here on.
    pub draw: Amps,
    /// What happens: `key off`, `RADIO settles`, `CUT opens at 11.9 V`.
    pub what: String,
}

/// The timeline.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Timeline {
    /// In order of time.
    pub events: Vec<Event>,
    /// Charge of each followed battery over time.
    pub charges: Vec<(PartId, Vec<(Seconds, f64)>)>,
    /// When the battery that starts the engine reaches its floor; nothing where it does not within 400 days.
    pub ends: Option<Seconds>,
}

/// Follows the batteries from key-off, everything as it is left after the engine ran with everything on.
///
/// Batteries that conductors join stand at one voltage all the way: what they exchange until then is not waited for. Things
/// that cycle count at their average. Cost: one solution a step, some hundreds.
#[must_use]
pub fn timeline(solver: &mut Solver<'_>, stores: &[Store], floors: &Floors) -> Timeline {
    let vehicle = solver.vehicle();
    let timed = timed(vehicle);
    let mut run = Run::start(solver, stores);
    let mut line = Timeline {
        charges: stores
            .iter()
            .map(|store| (store.part, Vec::new()))
            .collect(),
        ..Timeline::default()
    };
    line.events.push(run.event("key off".to_owned(), floors));
    let mut next_timed = timed.iter().peekable();
    loop {
        for ((_, charge), now) in line.charges.iter_mut().zip(&run.charges) {
            charge.push((run.at, *now));
        }
        let spent = floors.of.iter();
        let spent = spent
            .copied()
            .any(|(one, floor)| run.charges[one] <= floor + 1e-7);
        if spent {
            line.ends = Some(run.at);
            line.events
                .push(run.event("the engine would no longer start".to_owned(), floors));
            break;
        }
        if run.at >= HORIZON || line.events.len() > MOST_EVENTS {
            break;
        }
        let due = next_timed.peek().map(|timed| timed.lasts.likely);
        let mut step = run.natural_step(floors);
        let mut at_event = false;
        if let Some(due) = due
            && due.0 <= (run.at + step).0
        {
            step = due - run.at;
            at_event = true;
        }
        if run.at + step > HORIZON {
            step = HORIZON - run.at;
        }
        let before = run.clone();
        run.advance(solver, step);
        if !at_event && run.solution.memory != before.solution.memory {
            run = before.clone().until_it_moves(solver, step);
        }
        let mut words: Vec<String> = Vec::new();
        if at_event {
            while let Some(one) = next_timed.next_if(|one| one.lasts.likely <= run.at) {
                words.push(one.words.clone());
            }
        }
        words.extend(moved(
            vehicle,
            &before.solution.memory,
            &run.solution.memory,
        ));
        let change = (run.draw(floors) - before.draw(floors)).abs();
        if !words.is_empty() && (change.0 > NOTICED || !at_event) {
            line.events.push(run.event(words.join(", "), floors));
        }
    }
    line
}

#[derive(Clone)]
struct Run<'s> {
    stores: &'s [Store],
    state: State,
    solution: Solution,
    joined: Joined,
    /// Current out of each battery, things that cycle at their average.
    drawn: Vec<f64>,
    charges: Vec<f64>,
    at: Seconds,
}

impl<'s> Run<'s> {
    fn start(solver: &mut Solver<'_>, stores: &'s [Store]) -> Self {
        let (state, memory) = key_goes_off(solver);
        let solution = solver.solve(&state, &memory);
        let mut run = Self {
            stores,
            state,
            joined: Joined::of(solver.vehicle(), &solution),
            solution,
            drawn: Vec::new(),
            charges: stores.iter().map(|store| store.charge).collect(),
            at: Seconds::ZERO,
        };
        run.level(None);
        run.settle(solver);
        run
    }

    /// Solves again at the charges and time reached.
    fn settle(&mut self, solver: &mut Solver<'_>) {
        self.state.elapsed = self.at.max(AT_ONCE);
        self.state.rest = self
            .stores
            .iter()
            .zip(&self.charges)
            .filter(|(store, _)| store.holds.is_some())
            .map(|(store, &charge)| (store.cell, store.rest_at(charge)))
            .collect();
        let solution = solver.solve(&self.state, &self.solution.memory);
        let before = std::mem::replace(&mut self.solution, solution);
        if before.closed != self.solution.closed {
            self.joined = Joined::of(solver.vehicle(), &self.solution);
        }
        let how = How::Since(self.state.elapsed);
        self.drawn = average(solver.vehicle(), &self.solution, how);
    }

    fn advance(&mut self, solver: &mut Solver<'_>, step: Seconds) {
        self.level(Some(step));
        self.at += step;
        self.settle(solver);
    }

    /// What each group holds together, less what goes out of it in a step, shared out so that all of it stands at one voltage.
    fn level(&mut self, step: Option<Seconds>) {
        let Self {
            stores,
            joined,
            drawn,
            charges,
            ..
        } = self;
        for group in &joined.groups {
            let known: Option<Vec<(usize, f64)>> = group
                .iter()
                .map(|&one| Some((one, stores[one].holds?)))
                .collect();
            let Some(known) = known else {
                // One whose capacity is not stated does not run down; the others go their own way.
                for &one in group {
                    if let (Some(holds), Some(step)) = (stores[one].holds, step) {
                        let leaks = stores[one].leaks_per_day * step.days();
                        let goes = drawn[one] * step.hours() / holds + leaks;
                        charges[one] = (charges[one] - goes).clamp(0.0, 1.0);
                    }
                }
                continue;
            };
            let goes = |one: usize, holds: f64| {
                step.map_or(0.0, |step| {
                    drawn[one] * step.hours() + stores[one].leaks_per_day * holds * step.days()
                })
            };
            let left: f64 = known
                .iter()
                .map(|&(one, holds)| charges[one] * holds - goes(one, holds))
                .sum();
            share_out(stores, &known, left, charges);
        }
    }

    /// Time in which no battery loses more than a small share, and none that starts falls through its floor.
    fn natural_step(&self, floors: &Floors) -> Seconds {
        let mut step = HORIZON;
        for group in &self.joined.groups {
            let (mut holds, mut goes) = (0.0, 0.0);
            for &one in group {
                let store = &self.stores[one];
                if let Some(own) = store.holds {
                    holds += own;
                    goes += self.drawn[one] / 3600.0 + store.leaks_per_day * own / 86_400.0;
                }
            }
            if holds <= 0.0 || (goes / holds).abs() < 1e-15 {
                continue;
            }
            let mut share = STEP;
            for &(one, floor) in floors.of.iter().filter(|(one, _)| group.contains(one)) {
                if goes > 0.0 {
                    share = share.min((self.charges[one] - floor).max(1e-9));
                }
            }
            step = step.min(Seconds(share * holds / goes.abs()));
        }
        step
    }

    /// The moment within a step at which something moves by itself, to a thousandth of the step.
    fn until_it_moves(self, solver: &mut Solver<'_>, step: Seconds) -> Self {
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        let mut moved = None;
        while high - low > 1e-3 || moved.is_none() {
            let middle = f64::midpoint(low, high);
            let mut tried = self.clone();
            tried.advance(solver, step * middle);
            if tried.solution.memory == self.solution.memory && high - low > 1e-6 {
                low = middle;
            } else {
                high = middle;
                moved = Some(tried);
            }
        }
        moved.unwrap_or(self)
    }

    fn draw(&self, floors: &Floors) -> Amps {
        let one = floors.told.unwrap_or(0);
        let with = self.joined.with(one).iter();
        Amps(with.map(|&one| self.drawn[one]).sum())
    }

    fn event(&self, what: String, floors: &Floors) -> Event {
        Event {
            at: self.at,
            draw: self.draw(floors),
            what,
        }
    }
}

/// Sets the charges of batteries that hold so many ampere-hours together, so that all stand at one rest voltage.
fn share_out(stores: &[Store], known: &[(usize, f64)], left: f64, charges: &mut [f64]) {
    if let &[(one, holds)] = known {
        charges[one] = (left / holds).clamp(0.0, 1.0);
        return;
    }
    let ends = known.iter().map(|&(one, _)| {
        let store = &stores[one];
        (store.rest_at(0.0).0, store.rest_at(1.0).0)
    });
    let (mut low, mut high) = ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), ends| {
        (low.min(ends.0), high.max(ends.1))
    });
    let at = |volts: f64| {
        let each = known.iter();
        let each = each.map(|&(one, holds)| (one, holds, stores[one].charge_at(Volts(volts))));
        each.collect::<Vec<_>>()
    };
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        let held: f64 = at(middle)
            .iter()
            .map(|(_, holds, charge)| holds * charge)
            .sum();
        if held < left {
            low = middle;
        } else {
            high = middle;
        }
    }
    // Where the curve is flat or the tables end, what is over goes by what each holds: nothing is lost.
    let found = at(f64::midpoint(low, high));
    let held: f64 = found.iter().map(|(_, holds, charge)| holds * charge).sum();
    let whole: f64 = known.iter().map(|&(_, holds)| holds).sum();
    for (one, _, charge) in found {
        charges[one] = (charge + (left - held) / whole).clamp(0.0, 1.0);
    }
}

/// What moved by itself between two states of rest, in words.
fn moved(vehicle: &Vehicle, before: &Memory, after: &Memory) -> Vec<String> {
    vehicle
        .part_ids()
        .filter(|id| before.0[id.index()] != after.0[id.index()])
        .filter_map(|id| {
            let part = vehicle.part(id);
            let name = &part.name.value;
            let closed = after.0[id.index()];
            Some(match (part.kind, closed) {
                (Kind::Cutoff | Kind::Isolator, false) => format!("{name} opens"),
                (Kind::Cutoff | Kind::Isolator, true) => format!("{name} closes"),
                (Kind::Relay, false) => format!("{name} drops out"),
                (Kind::Relay, true) => format!("{name} pulls in"),
                _ => return None,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::key_off;
    use crate::analyze::park;
    use crate::model::testing;

    fn follow(text: &str) -> (Vehicle, Timeline) {
        let vehicle = testing::vehicle(text);
        let solved = crate::analyze::analyze(&vehicle);
        let parked = park::park(&vehicle, &solved.key_off);
        let line = park::follow(&mut Solver::new(&vehicle), &parked);
        let _: &key_off::KeyOff = &solved.key_off;
        (vehicle.clone(), line)
    }

    fn words(line: &Timeline) -> Vec<(String, i64)> {
        line.events
            .iter()
            .map(|event| (event.what.clone(), event.at.0.round() as i64))
            .collect()
    }

    const BATTERY: &str = "vehicle: {system: 12 V, climate: {parked: 25 C}, engine: {cranking: 200 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 60 Ah, cold-cranking: 600 A, charge: 100 %, health: 100 %, internal-resistance: 5 mohm}
";

    #[test]
    fn a_steady_draw_ends_at_the_floor_in_the_time_of_the_sum() {
        let (_, line) = follow(&format!(
            "{BATTERY}  L: {{kind: load, type: electronics, draw: 0.5 A, parked: 0.5 A}}
wires:
  - {{from: B1, to: L, size: 14 AWG, length: 1 m}}
"
        ));
        assert_eq!(line.events.first().unwrap().what, "key off");
        assert_eq!(
            line.events.last().unwrap().what,
            "the engine would no longer start"
        );
        // 60 Ah x (1.0 - 0.5) / (0.5 A x 24 h + 60 Ah x self-discharge/30): the same sum as the standing time.
        let days = line.ends.unwrap().days();
        let drawn = 0.5 * 24.0;
        assert!(days < 30.0 / drawn && days > 0.9 * 30.0 / drawn, "{days}");
    }

    #[test]
    fn what_settles_and_what_is_timed_ends_in_its_own_time() {
        let (_, line) = follow(&format!(
            "{BATTERY}  M: {{kind: load, type: electronics, draw: 2 A, parked: 10 mA, settles: {{draw: 1 A, for: 25 min}}}}
  T: {{kind: feed, hot-in: [run], stays-on: 10 min}}
  L: {{kind: load, type: led, draw: 3 A}}
wires:
  - {{from: B1, to: M, size: 14 AWG, length: 1 m}}
  - {{from: T, to: L, size: 14 AWG, length: 1 m}}
"
        ));
        let words = words(&line);
        assert_eq!(words[0], ("key off".to_owned(), 0));
        assert_eq!(words[1], ("the timed feed T goes dead".to_owned(), 600));
        assert_eq!(words[2], ("M settles".to_owned(), 1500));
        let draws: Vec<f64> = line.events.iter().map(|event| event.draw.0).collect();
        assert!((draws[0] - 4.0).abs() < 1e-6 && (draws[1] - 1.0).abs() < 1e-6);
        assert!((draws[2] - 0.01).abs() < 1e-6);
    }

    #[test]
    fn a_cutoff_opens_on_the_way_down_and_stays_open() {
        let (_, line) = follow(&format!(
            "{BATTERY}  CUT: {{kind: cutoff, opens: 12.4 V, closes: 12.9 V, draw: 3 mA, rating: 20 A}}
  L: {{kind: load, type: led, draw: 2 A}}
wires:
  - {{run: [B1, CUT, L], size: 14 AWG, lengths: [1 m, 1 m]}}
"
        ));
        let opens: Vec<_> = line
            .events
            .iter()
            .filter(|event| event.what == "CUT opens")
            .collect();
        assert_eq!(opens.len(), 1, "{:?}", line.events);
        assert!((opens[0].draw.0 - 0.003).abs() < 1e-6);
        // The rest voltage of a flooded battery falls from 12.65 V to 12.4 V between full and about 70 %.
        let charge = line.charges[0]
            .1
            .iter()
            .find(|(at, _)| *at >= opens[0].at)
            .unwrap()
            .1;
        assert!((0.6..0.8).contains(&charge), "{charge}");
    }
}
