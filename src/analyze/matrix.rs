//! Parts against states: what each does in every position of the key, and in every situation.

use super::Solved;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Key;
use crate::model::Setting;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::solve::AtKey;
use crate::solve::Detail;
use crate::solve::Does;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;
use crate::solve::works::does;

/// The whole table.
#[derive(Clone, Debug)]
pub struct Matrix {
    /// Positions of the key, then situations.
    pub keys: Vec<AtKey>,
    /// Names of the situations.
    pub situations: Vec<String>,
    /// A row for each part that does anything, or each of its outputs and supplies.
    pub rows: Vec<Row>,
}

/// One part, output or supply.
#[derive(Clone, Debug)]
pub struct Row {
    /// As output names it: `WORK`, `C1.OUT2`.
    pub name: String,
    /// Its branch.
    pub branch: BranchId,
    /// In each position of the key, in the smallest setting in which it does anything.
    pub keys: Vec<Cell>,
    /// In each situation.
    pub situations: Vec<Cell>,
}

/// What it does.
#[derive(Clone, Debug)]
pub struct Cell {
    /// In a word.
    pub does: Word,
    /// The smallest setting in which it does; empty where it does as everything is left, and in situations.
    pub setting: Setting,
    /// Its current in this situation.
    pub current: Option<Amps>,
}

/// What a part does, in a word.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Word {
    /// It works.
    On,
    /// It is live and sleeps: it draws what it draws when parked.
    Asleep,
    /// It is on because of what was before, and not by what is set.
    Latched,
    /// It has a voltage, but less than it needs.
    Weak,
    /// A relay that pulls in and lets go again and again.
    Chatters,
    /// It is off.
    Off,
    /// It is live, but what it draws is not stated; or it was not seen on, and not every setting was looked at.
    Unknown,
}

/// Sums up what exploring gave, in `detail`, and the situations.
#[must_use]
pub fn matrix(solver: &mut Solver<'_>, solved: &Solved, detail: &Detail) -> Matrix {
    let vehicle = solver.vehicle();
    let keys = detail.keys();
    let mut rows: Vec<Row> = Vec::new();
    for branch in vehicle.branch_ids() {
        let Some(name) = row_name(vehicle, branch) else {
            continue;
        };
        if rows.last().is_some_and(|last| last.name == name) {
            continue;
        }
        let cells = keys.iter().enumerate().map(|(number, &at)| {
            let found = Does::ALL.into_iter().find_map(|does| {
                let found = detail.works(vehicle, number, branch, does)?;
                Some((does, found.setting))
            });
            at_key(vehicle, branch, at, found, solved.explored.complete)
        });
        rows.push(Row {
            keys: cells.collect(),
            situations: Vec::new(),
            name,
            branch,
        });
    }
    let mut situations = Vec::new();
    for (situation, solution) in &solved.situations {
        situations.push(situation.name.clone());
        let fresh = solver.solve(&State::of(situation), &Memory::charged(vehicle));
        for row in &mut rows {
            row.situations.push(in_situation(
                vehicle,
                row.branch,
                situation.key == Key::Off,
                solution,
                &fresh,
            ));
        }
    }
    Matrix {
        keys,
        situations,
        rows,
    }
}

/// The name of a branch that does something; nothing for one that only conducts.
fn row_name(vehicle: &Vehicle, id: BranchId) -> Option<String> {
    let branch = vehicle.branch(id);
    let part = &vehicle.part(branch.part).name.value;
    if vehicle.own_load == Some(branch.part) {
        return None;
    }
    match &branch.element {
        // Both coils of a latching relay move the same contact.
        Element::Coil { .. } => Some(part.clone()),
        Element::Load(_) | Element::Converter { .. } => Some(named(part, &branch.name)),
        Element::Alternator { .. } | Element::Charger { .. } => Some(part.clone()),
        Element::Contact { control, .. } => {
            use crate::model::Control;
            match control {
                Control::Hot { .. } | Control::Output { .. } => Some(named(part, &branch.name)),
                Control::Delay { .. } | Control::Cutoff { .. } | Control::Isolator { .. } => {
                    Some(named(part, "out"))
                }
                Control::Always
                | Control::Switch { .. }
                | Control::Relay { .. }
                | Control::Attached(_) => None,
            }
        }
        Element::Joint(_) | Element::Cell { .. } | Element::Diode { .. } => None,
    }
}

fn named(part: &str, branch: &str) -> String {
    if branch.is_empty() || branch == part {
        part.to_owned()
    } else {
        format!("{part}.{branch}")
    }
}

fn at_key(
    vehicle: &Vehicle,
    branch: BranchId,
    at: AtKey,
    found: Option<(Does, Setting)>,
    complete: bool,
) -> Cell {
    let Some((does, setting)) = found else {
        return Cell {
            does: if complete { Word::Off } else { Word::Unknown },
            setting: Setting::default(),
            current: None,
        };
    };
    Cell {
        does: word(vehicle, branch, does, at.key == Key::Off && at.settled),
        setting,
        current: None,
    }
}

fn in_situation(
    vehicle: &Vehicle,
    branch: BranchId,
    settled: bool,
    solution: &Solution,
    fresh: &Solution,
) -> Cell {
    let now = does(vehicle, solution, branch);
    let does = match (now, does(vehicle, fresh, branch)) {
        (None, _) => Word::Off,
        (Some(now), Some(_)) => word(vehicle, branch, now, settled),
        (Some(_), None) => Word::Latched,
    };
    Cell {
        does,
        setting: Setting::default(),
        current: Some(solution.branch(branch)),
    }
}

fn word(vehicle: &Vehicle, branch: BranchId, does: Does, settled: bool) -> Word {
    let Element::Load(load) = &vehicle.branch(branch).element else {
        return match does {
            Does::Works => Word::On,
            Does::Weak => Word::Weak,
            Does::Chatters => Word::Chatters,
        };
    };
    match does {
        _ if load.law.is_none() && load.modes.is_empty() && !(settled && load.parked.is_some()) => {
            Word::Unknown
        }
        Does::Works if settled && load.parked.is_some() => Word::Asleep,
        Does::Works => Word::On,
        Does::Weak => Word::Weak,
        Does::Chatters => Word::Chatters,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analyze::SETTINGS;
    use crate::analyze::analyze_in_detail;
    use crate::model::testing::vehicle;

    #[test]
    fn each_part_says_what_it_does_and_what_has_to_be_set_for_it() {
        let vehicle = vehicle(
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A}
  F1: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch}
  START: {kind: switch, momentary: true}
  HOLD: {kind: relay, coil: 90 ohm, contact: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  PUMP: {kind: load, type: motor, draw: 5 A}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 5 mA}
  BOX: {kind: load, type: electronics}
  DIM: {kind: load, type: led, draw: 10 W}
  SERIES: {kind: load, type: heater, draw: 20 ohm}
wires:
  - {run: [B1, F1, RADIO], size: 12 AWG, lengths: [10 cm, 1 m]}
  - {from: F1, to: BOX, size: 12 AWG, length: 1 m}
  - {run: [RUN, S1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m]}
  - {from: F1, to: HOLD.30, size: 12 AWG, length: 1 m}
  - {run: [F1, START, HOLD.86], size: 18 AWG, lengths: [1 m, 1 m]}
  - {from: HOLD.87, to: HOLD.86, size: 18 AWG, length: 20 cm}
  - {from: HOLD.87, to: PUMP, size: 12 AWG, length: 1 m}
  - {from: F1, to: SERIES, size: 12 AWG, length: 1 m}
  - {from: SERIES.-, to: DIM.+, size: 12 AWG, length: 1 m}
situations:
  at work: {key: run, engine: idle, closed: [S1, START]}
  after work: {key: off}
",
        );
        let (solved, detail) = analyze_in_detail(&vehicle, SETTINGS);
        let matrix = matrix(&mut Solver::new(&vehicle), &solved, &detail);
        let row = |name: &str| matrix.rows.iter().find(|row| row.name == name).unwrap();
        let key = |key: Key| matrix.keys.iter().position(|at| at.key == key).unwrap();
        let situation = |name: &str| {
            let mut all = matrix.situations.iter();
            all.position(|situation| situation == name).unwrap()
        };
        let at = |name: &str, of: Key| row(name).keys[key(of)].clone();
        let in_ = |name: &str, of: &str| row(name).situations[situation(of)].does;
        assert_eq!(at("LAMP", Key::Off).does, Word::Off);
        assert_eq!(at("LAMP", Key::Run).does, Word::On);
        assert_eq!(at("LAMP", Key::Run).setting.closed, ["S1"]);
        assert_eq!(at("RADIO", Key::Off).does, Word::Asleep);
        assert_eq!(at("RADIO", Key::Run).does, Word::On);
        assert_eq!(at("BOX", Key::Run).does, Word::Unknown);
        assert_eq!(at("DIM", Key::Run).does, Word::Weak);
        assert_eq!(at("PUMP", Key::Off).setting.closed, ["START"]);
        assert_eq!(in_("LAMP", "at work"), Word::On);
        assert_eq!(in_("LAMP", "after work"), Word::Off);
        // The button was used with everything on, and the relay holds itself in.
        assert_eq!(in_("PUMP", "after work"), Word::Latched);
        assert_eq!(in_("HOLD", "after work"), Word::Latched);
    }
}
