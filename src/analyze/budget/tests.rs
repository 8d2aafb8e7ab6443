//! Budgets of small vehicles, by hand. The arithmetic beside each is of our own making: no source needed.

use super::*;
use crate::analyze::park::park;
use crate::analyze::{Solved, analyze};
use crate::model::testing;

fn of(text: &str) -> (Vehicle, Solved, Budget) {
    let vehicle = testing::vehicle(text);
    let solved = analyze(&vehicle);
    let parked = park(&vehicle, &solved.key_off);
    let budget = budget(&mut Solver::new(&vehicle), &solved, &parked);
    (vehicle, solved, budget)
}

const SHIFT: &str = "vehicle: {system: 12 V, engine: {cranking: 100 A}, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 100 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  RUN: {kind: feed, hot-in: [run], rating: 80 A, limit: 80 A}
  S1: {kind: switch, rating: 80 A}
  PUMP: {kind: load, type: motor, draw: 50 A}
wires:
  - {run: [RUN, S1, PUMP], size: 2 AWG, lengths: [50 cm, 50 cm]}
situations:
  round: {key: run, engine: cruise, phases: [{what: there, engine: cruise, for: 2 h}, {what: pumping, engine: idle, closed: [S1], for: 1 h}]}
";

#[test]
fn a_shift_is_told_by_its_worst_phase_and_averaged_over_all_of_it() {
    let (vehicle, solved, budget) = of(SHIFT);
    let row = budget.rows.iter().find(|row| row.phase.is_some()).unwrap();
    assert_eq!(row.phase, Some(("round".to_owned(), "pumping".to_owned())));
    // 20 A + 50 A against 60 A; (2 h x 20 A + 1 h x 70 A) / 3 h.
    let near = |a: f64, b: f64| assert!((a - b).abs() < 0.01, "{a} is not {b}");
    near(row.balance.load.0, 70.0);
    near(row.surplus.unwrap().0, -10.0);
    near(row.balance.average.0, 110.0 / 3.0);
    // The same in what is told of every situation.
    let told = solved.told(&vehicle);
    let (situation, _, balance) = told.iter().find(|(of, ..)| !of.phases.is_empty()).unwrap();
    assert_eq!(situation.name, "round, worst phase: pumping");
    assert_eq!(situation.engine, Engine::Idle);
    near(balance.load.0, 70.0);
    near(balance.average.0, 110.0 / 3.0);
}

#[test]
fn an_inrush_that_nobody_stated_is_listed() {
    let (_, _, budget) = of(SHIFT);
    let usual = load::inrush("motor").unwrap().multiple;
    let assumed = budget
        .assumed
        .iter()
        .find(|one| one.subject == "PUMP")
        .unwrap();
    assert_eq!((assumed.key, assumed.unit), ("inrush", "A"));
    assert!((assumed.amount - 50.0 * usual.value).abs() < 0.1);
    let stated = SHIFT.replace("draw: 50 A", "draw: 50 A, inrush: 2x for 1 s");
    let (_, _, budget) = of(&stated);
    assert!(budget.assumed.is_empty());
}
