//! What one solved situation takes and gives: loads, alternators, batteries.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use petgraph::visit::EdgeRef;

use crate::model::Branch;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Key;
use crate::model::Law;
use crate::model::Link;
use crate::model::PartId;
use crate::model::Situation;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::element::Load;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Volts;
use crate::solve::LIVE;
use crate::solve::Solution;
use crate::solve::alternator_output;

/// The sums over one situation.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Balance {
    /// Current of all alternators together; nothing without one.
    pub alternator: Option<Amps>,
    /// The most that they give at this engine speed; nothing without one, or where the output is not stated.
    pub alternator_limit: Option<Amps>,
    /// Of each battery: current, positive when it gives, and the voltage between its posts.
    pub batteries: Vec<Flow>,
    /// Everything that takes current, with its current and the voltage across it, in document order.
    pub users: Vec<Flow>,
    /// What everything takes together; what stands behind a converter counts by the converter's input.
    pub load: Amps,
    /// The same, weighted by the duty of this situation.
    pub average: Amps,
    /// The same, of what runs all the time: everything with a duty of 100 % in this situation.
    pub continuous: Amps,
    /// The least that this is over the ranges of the draws that are stated.
    pub continuous_low: Amps,
    /// The most.
    pub continuous_high: Amps,
    /// Draws of what is supplied here and of which the record does not say what it takes: the sums are without them.
    pub missing: Vec<String>,
}

/// Current and voltage of one part.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Flow {
    /// The part.
    pub part: PartId,
    /// Its current.
    pub current: Amps,
    /// Across it.
    pub volts: Volts,
}

/// A converter, with what it takes and gives.
struct Converter {
    part: PartId,
    input: TerminalId,
    back: TerminalId,
    output: TerminalId,
    taken: Amps,
    given: Amps,
}

impl Balance {
    /// Sums up `solution`, which is that of `situation`.
    #[must_use]
    pub fn of(vehicle: &Vehicle, situation: &Situation, solution: &Solution) -> Self {
        let converters = converters(vehicle, solution);
        let behind = behind(vehicle, solution, &converters);
        let mut sum = Self::default();
        let mut users = BTreeMap::new();
        for (number, branch) in vehicle.branches.iter().enumerate() {
            let id = BranchId(number as u32);
            let current = solution.branch(id);
            let volts = solution.at(branch.from) - solution.at(branch.to);
            match &branch.element {
                Element::Load(load) => {
                    let stated = situation.duty.iter().find(|(part, _)| *part == branch.part);
                    // What is drawn when parked is an average already, but of what goes on working.
                    let duty = if situation.key == Key::Off && load.parked.is_some() {
                        let works = load.parked_duty.map(|duty| duty.likely);
                        works.unwrap_or(Fraction(1.0))
                    } else {
                        stated.map_or(load.duty.likely, |(_, duty)| duty.likely)
                    };
                    let share = share(&converters, &behind, branch.from);
                    sum.missing
                        .extend(unstated(vehicle, situation, branch, load, volts));
                    take(&mut users, branch.part, current, volts);
                    sum.load += current * share;
                    sum.average += current * share * duty.0;
                    if duty.0 >= 1.0 - 1e-9 {
                        sum.lasts(current * share, load.law.map_or((1.0, 1.0), Law::spread));
                    }
                }
                Element::Coil { .. } => {
                    let current = current.abs();
                    let share = share(&converters, &behind, branch.from);
                    take(&mut users, branch.part, current, volts.abs());
                    sum.load += current * share;
                    sum.average += current * share;
                    sum.lasts(current * share, (1.0, 1.0));
                }
                Element::Cell { .. } => sum.batteries.push(Flow {
                    part: branch.part,
                    current,
                    volts: -volts,
                }),
                Element::Alternator { output, .. } => {
                    // One whose output is not stated leaves the limit of all unknown.
                    let limit = (!output.is_empty())
                        .then(|| Amps(alternator_output(output, situation.engine)));
                    sum.alternator_limit = match sum.alternator {
                        None => limit,
                        Some(_) => sum.alternator_limit.zip(limit).map(|(a, b)| a + b),
                    };
                    sum.alternator = Some(sum.alternator.unwrap_or_default() + current);
                }
                Element::Joint(_)
                | Element::Contact { .. }
                | Element::Charger { .. }
                | Element::Diode { .. }
                | Element::Converter { .. } => {}
            }
        }
        for converter in &converters {
            let volts = solution.at(converter.input) - solution.at(converter.back);
            take(&mut users, converter.part, converter.taken, volts);
            if converter.given.0 <= 0.0 {
                let share = share(&converters, &behind, converter.input);
                sum.load += converter.taken * share;
                sum.average += converter.taken * share;
                sum.lasts(converter.taken * share, (1.0, 1.0));
            }
        }
        sum.users = users.into_values().collect();
        match situation.key {
            Key::Off if vehicle.own_off.is_none() => {
                sum.missing.push("vehicle.own-load.off".to_owned());
            }
            Key::Run if vehicle.own_run.is_none() => {
                sum.missing.push("vehicle.own-load.run".to_owned());
            }
            _ => {}
        }
        sum.missing.sort();
        sum.missing.dedup();
        sum
    }

    /// The battery that starts the engine.
    #[must_use]
    pub fn starter(&self, vehicle: &Vehicle) -> Option<Flow> {
        self.batteries
            .iter()
            .copied()
            .find(|flow| Some(flow.part) == vehicle.starter)
    }

    /// Counts a current that runs all the time, and the least and most shares of it that it can be.
    fn lasts(&mut self, current: Amps, (least, most): (f64, f64)) {
        self.continuous += current;
        self.continuous_low += current * least;
        self.continuous_high += current * most;
    }
}

/// A part with several users inside it is one user, with the voltage of the one that takes most.
fn take(users: &mut BTreeMap<PartId, Flow>, part: PartId, current: Amps, volts: Volts) {
    match users.entry(part) {
        Entry::Occupied(mut known) => {
            let user = known.get_mut();
            if current > user.current {
                user.volts = volts;
            }
            user.current += current;
        }
        Entry::Vacant(free) => {
            free.insert(Flow {
                part,
                current,
                volts,
            });
        }
    }
}

/// The name of a draw that the record does not state, where it is supplied with these volts.
fn unstated(
    vehicle: &Vehicle,
    situation: &Situation,
    branch: &Branch,
    load: &Load,
    volts: Volts,
) -> Option<String> {
    if vehicle.own_load == Some(branch.part) {
        return None;
    }
    let known = load.law.is_some() || !load.modes.is_empty();
    let asleep = situation.key == Key::Off && load.parked.is_some();
    let name = &vehicle.part(branch.part).name.value;
    (!known && !asleep && volts.0.abs() > LIVE).then(|| {
        if branch.name.is_empty() {
            format!("{name}.draw")
        } else {
            format!("{name}.{}.draw", branch.name)
        }
    })
}

fn converters(vehicle: &Vehicle, solution: &Solution) -> Vec<Converter> {
    let mut found = Vec::new();
    for &(id, taken) in &solution.inputs {
        let branch = vehicle.branch(id);
        if let Element::Converter { back, .. } = branch.element {
            found.push(Converter {
                part: branch.part,
                input: branch.from,
                back,
                output: branch.to,
                taken,
                given: solution.branch(id),
            });
        }
    }
    found
}

/// By terminal: the converter whose output reaches it.
fn behind(vehicle: &Vehicle, solution: &Solution, converters: &[Converter]) -> Vec<Option<usize>> {
    let mut reached = vec![None; vehicle.terminals.len()];
    for (number, converter) in converters.iter().enumerate() {
        let mut next = vec![converter.output];
        while let Some(terminal) = next.pop() {
            if terminal == TerminalId::CHASSIS || reached[terminal.index()].is_some() {
                continue;
            }
            reached[terminal.index()] = Some(number);
            for edge in vehicle.graph.edges(terminal.node()) {
                let passes = match *edge.weight() {
                    Link::Wire(_) => true,
                    Link::Branch(id) => {
                        solution.closed[id.index()] && passes(&vehicle.branch(id).element)
                    }
                };
                if passes {
                    let other = edge.target();
                    next.push(TerminalId(other.index() as u32));
                }
            }
        }
    }
    reached
}

/// Whether an element leads on to further users of the same supply.
fn passes(element: &Element) -> bool {
    matches!(
        element,
        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
    )
}

/// What an ampere at this terminal costs ahead of all the converters that it has come through.
fn share(converters: &[Converter], behind: &[Option<usize>], terminal: TerminalId) -> f64 {
    let mut share = 1.0;
    let mut at = terminal;
    // Each converter is passed once at most: one that feeds itself would never end.
    for _ in 0..converters.len() {
        let Some(converter) = behind[at.index()].map(|number| &converters[number]) else {
            break;
        };
        if converter.given.0 <= 0.0 {
            break;
        }
        share *= converter.taken / converter.given;
        at = converter.input;
    }
    share
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::model;
    use crate::model::Engine;
    use crate::read;
    use crate::read::Limits;
    use crate::solve::Solver;

    fn vehicle(text: &str) -> Vehicle {
        let mut none = |name: &str| Err(name.to_owned());
        let document = read::read("t", text.as_bytes(), &mut none, &Limits::default()).unwrap();
        model::build(Arc::new(document))
    }

    fn balance(vehicle: &Vehicle, name: &str) -> Balance {
        let named = |situation: &&Situation| situation.name == name;
        let situation = vehicle.situations.iter().find(named).unwrap();
        let solution = Solver::new(vehicle).situation(situation);
        Balance::of(vehicle, situation, &solution)
    }

    fn close(a: Amps, b: f64) {
        assert!((a.0 - b).abs() < 1e-6, "{a:?} is not {b}");
    }

    const TRUCK: &str = "\
keyoff: 1
vehicle: {system: 12 V, own-load: {off: 20 mA, run: 10 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], limit: 20 A}
  K1: {kind: relay, coil: 90 ohm, contact: 40 A}
  PUMP: {kind: load, type: electronics, draw: 8 A, duty: 25 %}
wires:
  - {run: [B1, K1.30], size: 10 AWG, lengths: [1 m]}
  - {from: K1.87, to: PUMP, size: 12 AWG, length: 2 m}
  - {from: RUN, to: K1.86, size: 18 AWG, length: 1 m}
situations:
  pumping hard: {key: run, engine: cruise, duty: {PUMP: 50 %}}
";

    #[test]
    fn what_is_given_is_what_is_taken() {
        let vehicle = vehicle(TRUCK);
        for name in ["parked", "all on", "pumping hard"] {
            let balance = balance(&vehicle, name);
            let battery = balance.starter(&vehicle).unwrap().current;
            close(balance.alternator.unwrap() + battery, balance.load.0);
        }
    }

    #[test]
    fn duty_weighs_the_average_and_a_situation_has_its_own() {
        let vehicle = vehicle(TRUCK);
        let all_on = balance(&vehicle, "all on");
        close(all_on.load - all_on.average, 6.0);
        close(all_on.alternator_limit.unwrap(), 60.0);
        let hard = balance(&vehicle, "pumping hard");
        close(hard.load - hard.average, 4.0);
        let hot = crate::table::alternator::cruise_share().value.0;
        close(hard.alternator_limit.unwrap(), 120.0 * hot);
        let parked = balance(&vehicle, "parked");
        close(parked.load, 0.02);
        assert_eq!(parked.alternator_limit, Some(Amps(0.0)));
    }

    /// 5 A at 12 V behind a converter of 100 % cost about half of that on the 24 V side.
    #[test]
    fn what_stands_behind_a_converter_counts_by_its_input() {
        let vehicle = vehicle(
            "\
keyoff: 1
vehicle: {system: 24 V}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: 750 A, voltage: 24 V}
  C1: {kind: converter, output: 12 V, rating: 20 A, efficiency: 100 %, standby: 0 mA}
  RADIO: {kind: load, type: electronics, draw: 5 A, duty: 50 %}
wires:
  - {from: B1, to: C1, size: 10 AWG, length: 1 m}
  - {from: C1, to: RADIO, size: 12 AWG, length: 2 m}
",
        );
        let balance = balance(&vehicle, "parked");
        let taken = balance.starter(&vehicle).unwrap().current;
        assert!((2.3..2.6).contains(&taken.0), "{taken:?}");
        close(balance.load, taken.0);
        close(balance.average, taken.0 / 2.0);
        let converter = balance
            .users
            .iter()
            .find(|user| vehicle.part(user.part).name.value == "C1");
        close(converter.unwrap().current, taken.0);
    }

    #[test]
    fn the_limit_follows_the_speed() {
        let vehicle = vehicle(
            &TRUCK.replace("engine: cruise", "engine: 1500 rpm").replace(
                "at-idle: 60 A",
                "at-idle: 60 A, output: [[1000 rpm, 80 A], [2000 rpm, 100 A]]",
            ),
        );
        let hard = balance(&vehicle, "pumping hard");
        close(hard.alternator_limit.unwrap(), 90.0);
        let named = |situation: &&Situation| situation.name == "pumping hard";
        let engine = vehicle.situations.iter().find(named).unwrap().engine;
        assert!(matches!(engine, Engine::Speed(_)));
    }
}
