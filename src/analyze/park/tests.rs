//! Standing, by hand. Each sum beside its test is of our own making: plain arithmetic, no source needed.

use super::*;
use crate::analyze::analyze;
use crate::model::testing;

fn stand(text: &str) -> (Vehicle, KeyOff, Parked) {
    let vehicle = testing::vehicle(text);
    let key_off = analyze(&vehicle).key_off;
    let parked = park(&vehicle, &key_off);
    (vehicle, key_off, parked)
}

/// The days of the sum, and those at which the timeline ends.
fn both(text: &str) -> (f64, f64) {
    let (vehicle, _, parked) = stand(text);
    let sum = parked.starter().unwrap().here.as_ref().unwrap().days.likely;
    let line = follow(&mut Solver::new(&vehicle), &parked);
    (sum, line.ends.unwrap().days())
}

fn near(a: f64, b: f64, share: f64) {
    assert!((a - b).abs() <= share * b.abs(), "{a} is not {b}");
}

const HEAD: &str = "vehicle: {system: 12 V, climate: {parked: 25 C}, engine: {cranking: 100 A}, own-load: {off: 20 mA, run: 10 A}}
parts:
";
const WHOLE: &str = "chemistry: flooded, cold-cranking: 700 A, charge: 100 %, health: 100 %";

/// A battery of 80 Ah, 40 Ah of them above half a charge, that loses next to nothing by itself in hours.
fn with(parts: &str, wires: &str) -> String {
    format!("{HEAD}  B1: {{kind: battery, capacity: 80 Ah, {WHOLE}}}\n{parts}wires:\n{wires}")
}

#[test]
fn a_timed_feed_can_empty_the_battery_before_it_ends() {
    let text = with(
        "  T: {kind: feed, hot-in: [run], stays-on: 12 h}
  L: {kind: load, type: led, draw: 4.98 A}
",
        "  - {from: T, to: L, size: 10 AWG, length: 50 cm}\n",
    );
    // 40 Ah / (4.98 + 0.02) A = 8 h; by itself it loses some hundredths of an ampere-hour.
    let (sum, line) = both(&text);
    near(sum * 24.0, 8.0, 0.01);
    near(sum, line, 0.002);
    // After one day: none of it is left above the floor.
    let (.., parked) = stand(&text);
    let starts = starts(&parked, Celsius(25.0), 1.0).unwrap();
    assert_eq!(starts.verdict, endurance::Verdict::No);
    // 80 Ah - 12 h x 5 A - 12 h x 0.02 A = 19.8 Ah: 24.7 %.
    near(starts.charge_left, 0.247, 0.01);
}

#[test]
fn what_goes_before_a_module_settles_comes_off_first() {
    let text = with(
        "  M: {kind: controller, draw: 7 A, parked: 30 mA, settles: {draw: 6.98 A, for: 4 h}}
",
        "  - {from: B1, to: M.+, size: 10 AWG, length: 50 cm}\n",
    );
    // 40 Ah - 4 h x 7 A = 12 Ah, then 50 mA: 240 h, and 4 h before. It loses 80 Ah x q / 30 a day beside, as `standing` does.
    let leak = 80.0
        * battery::self_discharge(Chemistry::Flooded, Celsius(25.0))
            .value
            .0
        / 30.0
        / 24.0;
    let hours = 4.0 + (40.0 - 4.0 * (7.0 + leak)) / (0.05 + leak);
    let (sum, line) = both(&text);
    near(sum * 24.0, hours, 1e-3);
    near(sum, line, 0.002);
    let (_, key_off, _) = stand(&text);
    assert_eq!(key_off.runs_on.len(), 1);
    near(key_off.draw.0, 0.05, 1e-6);
}

#[test]
fn a_range_of_what_runs_on_is_a_range_of_days() {
    let text = with(
        "  D: {kind: delay, keeps-on: 2..6 h, draw: 0 A, rating: 20 A}
  L: {kind: load, type: led, draw: 4 A}
",
        "  - {run: [B1, D, L], size: 10 AWG, lengths: [50 cm, 50 cm]}
  - {from: D.-, to: chassis, size: 16 AWG, length: 30 cm}
",
    );
    let (.., parked) = stand(&text);
    let days = parked.starter().unwrap().here.as_ref().unwrap().days;
    // 8, 16 or 24 Ah of 40 go first.
    assert!(days.low < days.likely && days.likely < days.high);
    // 40 - 16 = 24 Ah and 40 - 24 = 16 Ah are left for the rest, at the same rate.
    let known = parked.starter().unwrap().battery.clone().unwrap();
    let first = |most| known.drawn(1.0, most) - 24.0 * 0.02;
    near(first(Some(false)), 2.0 * 4.0, 1e-6);
    near(first(None), 4.0 * 4.0, 1e-6);
    near(first(Some(true)), 6.0 * 4.0, 1e-6);
}

const TWO: &str = "  B2: {kind: battery, capacity: 120 Ah, chemistry: flooded, cold-cranking: 500 A, charge: 80 %, health: 100 %}
  F1: {kind: fuse, rating: 60 A, form: bolt-down}
  L: {kind: load, type: electronics, draw: 380 mA, parked: 380 mA}
";
const TIED: &str = "  - {run: [B1, F1, B2], size: 4 AWG, lengths: [20 cm, 3 m]}
  - {from: B2.-, to: chassis, size: 4 AWG, length: 50 cm}
  - {from: B2, to: L, size: 14 AWG, length: 1 m}
";

#[test]
fn joined_batteries_go_down_as_one() {
    let text = with(TWO, TIED);
    // (80 + 120) Ah / 0.4 A = 500 h; (80 x 1.0 + 120 x 0.8 - 200 x 0.5) Ah = 76 Ah.
    let (_, key_off, parked) = stand(&text);
    near(key_off.draw.0, 0.4, 1e-6);
    near(key_off.simple.unwrap().hours(), 500.0, 1e-6);
    let leak = 200.0
        * battery::self_discharge(Chemistry::Flooded, Celsius(25.0))
            .value
            .0
        / 30.0;
    let here = parked.starter().unwrap().here.clone().unwrap();
    near(here.days.likely, 76.0 / (24.0 * 0.4 + leak), 1e-6);
    near(here.usable.0, 76.0, 1e-6);
    let (sum, line) = both(&text);
    near(sum, line, 0.003);
    // Each gives by what it holds, whatever they exchange in the first hour.
    let shares: Vec<f64> = key_off.by_battery.iter().map(|one| one.1.0).collect();
    near(shares[0], 0.16, 1e-6);
    near(shares[1], 0.24, 1e-6);
}

#[test]
fn a_battery_behind_an_open_switch_or_a_cutoff_is_not_joined() {
    for between in [
        "{kind: disconnect, rating: 200 A, left: open}",
        "{kind: cutoff, opens: 12.2 V, closes: 13 V, draw: 0 A, rating: 60 A}",
    ] {
        let parts = TWO.replace("{kind: fuse, rating: 60 A, form: bolt-down}", between);
        let (_, key_off, _) = stand(&with(&parts, TIED));
        assert_eq!(key_off.joined.groups, [[0], [1]], "{between}");
    }
}

#[test]
fn a_bank_gives_what_batteries_in_parallel_give() {
    let one = "chemistry: agm, capacity: 70 Ah, cold-cranking: 600 A, age: 2 years, charge: 95 %";
    let load = "  L: {kind: load, type: electronics, draw: 1 A, parked: 70 mA}\n";
    let of = |parts: &str, wires: &str| {
        let head = HEAD
            .replace("parked: 25 C", "parked: -18 C")
            .replace("100 A", "800 A");
        let (_, key_off, parked) = stand(&format!("{head}{parts}{load}wires:\n{wires}"));
        let here = parked.starter().unwrap().here.clone().unwrap();
        (key_off.draw.0, key_off.simple.unwrap().days(), here)
    };
    let bank = of(
        &format!(
            "  B1: {{kind: battery, {one}, bank: start}}\n  B2: {{kind: battery, {one}, bank: start}}\n"
        ),
        "  - {from: B1, to: B2, size: 2/0 AWG, length: 50 cm}
  - {from: B2.-, to: chassis, size: 2/0 AWG, length: 50 cm}
  - {from: B1, to: L, size: 14 AWG, length: 1 m}
",
    );
    let pair = of(
        &format!("  B1: {{kind: battery, {one}, in-parallel: 2}}\n"),
        "  - {from: B1, to: L, size: 14 AWG, length: 1 m}\n",
    );
    near(bank.0, 0.09, 1e-6);
    // 140 Ah / 0.09 A.
    near(bank.1, 140.0 / 0.09 / 24.0, 1e-6);
    near(bank.0, pair.0, 1e-6);
    for (a, b) in [
        (bank.2.floor, pair.2.floor),
        (bank.2.usable.0, pair.2.usable.0),
        (bank.2.days.low, pair.2.days.low),
        (bank.2.days.likely, pair.2.days.likely),
        (bank.2.days.high, pair.2.days.high),
    ] {
        near(a, b, 1e-6);
    }
    // 800 A of 2 x 600 A x health: between 67 and 90 % whatever two years have left of it.
    assert!((0.67..0.9).contains(&bank.2.floor), "{}", bank.2.floor);
}

#[test]
fn of_a_string_the_weakest_decides() {
    let text = format!(
        "{}  UP: {{kind: battery, voltage: 12 V, capacity: 100 Ah, {WHOLE}}}
  LOW: {{kind: battery, voltage: 12 V, capacity: 100 Ah, {WHOLE}}}
  L: {{kind: load, type: electronics, rated-voltage: 12 V, draw: 1 A, parked: 80 mA}}
wires:
  - {{from: UP.-, to: LOW.+, size: 2/0 AWG, length: 30 cm}}
  - {{from: LOW.-, to: chassis, size: 2/0 AWG, length: 30 cm}}
  - {{from: LOW, to: L, size: 14 AWG, length: 1 m}}
",
        HEAD.replace("12 V", "24 V")
    );
    let (vehicle, key_off, parked) = stand(&text);
    // 20 mA run through both, 80 mA through the lower one alone: 100 Ah / 0.1 A = 1000 h.
    near(key_off.draw.0, 0.1, 1e-6);
    near(key_off.simple.unwrap().hours(), 1000.0, 1e-6);
    let name = |part: PartId| vehicle.part(part).name.value.as_str();
    assert_eq!(name(parked.starter().unwrap().part), "LOW");
    let (sum, line) = both(&text);
    near(sum, line, 0.003);
}

#[test]
fn what_goes_on_working_parked_counts_at_its_duty() {
    let draw = |load: &str| {
        let text = with(
            &format!("  L: {{kind: load, type: electronics, {load}}}\n"),
            "  - {from: B1, to: L, size: 10 AWG, length: 50 cm}\n",
        );
        let (vehicle, key_off, _) = stand(&text);
        let said = vehicle
            .assumed
            .iter()
            .any(|one| one.what == "L duty with the key off");
        let (sum, line) = both(&text);
        near(sum, line, 0.003);
        (key_off.draw.0, said)
    };
    // 5 A x 20 % + 20 mA.
    let (amps, said) = draw("draw: 5 A, duty: 20 %, parked: 5 A");
    near(amps, 1.02, 1e-6);
    assert!(said);
    // What is less than its draw is taken all the time: a standby, or an average that somebody measured.
    let (amps, said) = draw("draw: 5 A, duty: 20 %, parked: 1 A");
    near(amps, 1.02, 1e-6);
    assert!(!said);
    let (amps, said) = draw("draw: 5 A, duty: 20 %");
    near(amps, 1.02, 1e-6);
    assert!(!said);
}

#[test]
fn unlike_batteries_meet_at_one_voltage() {
    let text = with(&TWO.replace("chemistry: flooded", "chemistry: agm"), TIED);
    let (sum, line) = both(&text);
    near(sum, line, 0.02);
}
