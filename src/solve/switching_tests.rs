//! Each kind that switches by itself, and each thing that a person opens, in the settings in which it shows what it does.

use super::*;
use crate::model::testing::vehicle;
use crate::model::{Element, Engine, Key, TerminalId};

/// A vehicle explored, to be asked when a terminal is live.
struct Asked {
    vehicle: Vehicle,
    explored: Explored,
    detail: Detail,
}

impl Asked {
    fn of(text: &str) -> Self {
        let vehicle = vehicle(text);
        let (explored, detail) = explore_in_detail(&mut Solver::new(&vehicle), 4096);
        assert!(explored.complete, "{text}");
        Self {
            vehicle,
            explored,
            detail,
        }
    }

    fn terminal(&self, label: &str) -> TerminalId {
        let found = self
            .vehicle
            .terminals
            .iter()
            .position(|terminal| terminal.label == label);
        TerminalId(found.unwrap_or_else(|| panic!("no terminal {label}")) as u32)
    }

    /// The smallest setting in which it is live there: what has to be closed and opened, and what else has to be so.
    fn live(&self, label: &str, wanted: impl Fn(&AtKey) -> bool) -> Option<String> {
        let at = self.terminal(label);
        let keys = self.detail.keys();
        let mut number = keys.iter().enumerate().filter(|(_, at)| wanted(at));
        let (number, _) = number.next().expect("a position of the key");
        let found = self.detail.live(&self.vehicle, number, at)?;
        let setting = found.setting;
        let mut words = setting.closed;
        words.extend(setting.opened.iter().map(|name| format!("not {name}")));
        words.extend(
            setting
                .also
                .filter(|also| !also.starts_with("with the engine")),
        );
        Some(words.join(", "))
    }

    /// In which positions of the key it is live as everything is left.
    fn keys(&self, label: &str) -> Vec<&'static str> {
        let mut live: Vec<&'static str> = Vec::new();
        for key in Key::ALL {
            let as_left = self.live(label, |at| {
                at.key == key && !at.engine.runs() && !at.shore && (key != Key::Off || at.settled)
            });
            if as_left.as_deref() == Some("") {
                live.push(key.text());
            }
        }
        live
    }

    fn running(&self, label: &str) -> Option<String> {
        self.live(label, |at| at.engine == Engine::Idle)
    }
}

fn settled(at: &AtKey) -> bool {
    at.key == Key::Off && at.settled && !at.shore
}

fn just_off(at: &AtKey) -> bool {
    at.key == Key::Off && !at.settled
}

#[test]
fn key_terminals_follow_the_key() {
    let asked = Asked::of(
        "
parts:
  B1: {kind: battery}
  KEY: {kind: key-switch, rating: 30 A}
wires:
  - {from: B1, to: KEY.30, size: 10 AWG, length: 1 m}
",
    );
    assert_eq!(asked.keys("KEY.30"), ["off", "accessory", "run", "start"]);
    assert_eq!(asked.keys("KEY.15"), ["run", "start"]);
    assert_eq!(asked.keys("KEY.15R"), ["accessory", "run"]);
    assert_eq!(asked.keys("KEY.50"), ["start"]);
}

#[test]
fn feeds_are_live_when_they_say_so() {
    let asked = Asked::of(
        "
parts:
  B1: {kind: battery}
  ALT: {kind: alternator, rated: 100 A}
  ALWAYS: {kind: feed, hot-in: always}
  ACC: {kind: feed, hot-in: [accessory, run]}
  START: {kind: feed, hot-in: [start]}
  TIMED: {kind: feed, hot-in: [run], stays-on: 10 min}
  RUNNING: {kind: feed, hot-in: [engine]}
  SHORE: {kind: feed, hot-in: [shore]}
  OWN: {kind: feed, hot-in: [run], driver-switched: true}
",
    );
    assert_eq!(
        asked.keys("ALWAYS.out"),
        ["off", "accessory", "run", "start"]
    );
    assert_eq!(asked.keys("ACC.out"), ["accessory", "run"]);
    assert_eq!(asked.keys("START.out"), ["start"]);
    assert_eq!(asked.keys("TIMED.out"), ["run"]);
    assert_eq!(asked.live("TIMED.out", settled), None);
    assert!(
        asked.live("TIMED.out", just_off).is_some(),
        "it stays on for a while"
    );
    assert_eq!(asked.keys("RUNNING.out"), [""; 0]);
    assert_eq!(asked.running("RUNNING.out").as_deref(), Some(""));
    assert_eq!(asked.keys("SHORE.out"), [""; 0]);
    assert!(asked.live("SHORE.out", |at| at.shore).is_some());
    // A choice of the driver: as it is left, off.
    let own = asked.live("OWN.out", |at| at.key == Key::Run && !at.engine.runs());
    assert_eq!(own.as_deref(), Some("OWN"));
}

#[test]
fn a_delay_keeps_on_for_a_while() {
    let asked = Asked::of(
        "
parts:
  B1: {kind: battery}
  T1: {kind: delay, keeps-on: 30 min, draw: 5 mA}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: B1, to: T1, size: 16 AWG, length: 1 m}
  - {from: T1, to: LAMP, size: 16 AWG, length: 1 m}
",
    );
    // Open while the engine is cranked.
    assert_eq!(asked.keys("LAMP.+"), ["accessory", "run"]);
    assert_eq!(asked.live("LAMP.+", settled), None);
    assert!(asked.live("LAMP.+", just_off).is_some());
}

/// From which memory a battery at so many volts is looked at decides between the two thresholds, and nothing else does.
#[test]
fn a_cutoff_has_two_thresholds() {
    let closed = |volts: f64, was_closed: bool| {
        let vehicle = vehicle(&format!(
            "
parts:
  B1: {{kind: battery, rest-voltage: {volts} V, internal-resistance: 5 mohm}}
  CUT: {{kind: cutoff, opens: 11.9 V, closes: 12.8 V, draw: 5 mA}}
  LAMP: {{kind: load, type: led, draw: 1 A}}
wires:
  - {{from: B1, to: CUT, size: 10 AWG, length: 50 cm}}
  - {{from: CUT, to: LAMP, size: 14 AWG, length: 1 m}}
"
        ));
        let memory = if was_closed {
            Memory::all_in(&vehicle)
        } else {
            Memory::all_out(&vehicle)
        };
        let solution = Solver::new(&vehicle).solve(&State::parked(&vehicle), &memory);
        let lamp = vehicle.branch_ids().find(|&id| {
            let branch = vehicle.branch(id);
            vehicle.part(branch.part).name.value == "LAMP"
        });
        solution.branch(lamp.unwrap()).0 > 0.5
    };
    assert!(closed(13.0, false) && closed(13.0, true));
    assert!(
        !closed(12.4, false) && closed(12.4, true),
        "between the two it stays as it was"
    );
    assert!(!closed(11.8, false) && !closed(11.8, true));
}

const TWO_BANKS: &str = "
parts:
  B1: {kind: battery, rest-voltage: 12.6 V, charge-limit: 20 A}
  B2: {kind: battery, rest-voltage: 12.0 V, charge-limit: 20 A}
  ALT: {kind: alternator, rated: 100 A, voltage: 14.2 V}
  ISO: {kind: isolator, style: STYLE}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: ALT, to: B1, size: 4 AWG, length: 1 m}
  - {from: B1, to: ISO.a, size: 4 AWG, length: 1 m}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 1 m}
  - {from: B2, to: LAMP, size: 14 AWG, length: 1 m}
";

/// Current into the second battery, parked and running.
fn into_second(style: &str) -> [f64; 2] {
    let vehicle = vehicle(&TWO_BANKS.replace("STYLE", style));
    let mut solver = Solver::new(&vehicle);
    let cell = vehicle
        .branch_ids()
        .filter(|&id| matches!(vehicle.branch(id).element, Element::Cell { .. }))
        .nth(1)
        .unwrap();
    let running = State {
        key: Key::Run,
        engine: Engine::Cruise,
        settled: false,
        ..State::parked(&vehicle)
    };
    let memory = Memory::charged(&vehicle);
    [State::parked(&vehicle), running].map(|state| -solver.solve(&state, &memory).branch(cell).0)
}

#[test]
fn isolators_join_two_banks_only_while_they_are_charged() {
    let [parked, running] = into_second("relay");
    // Parked the lamp is fed by the second battery alone.
    assert!(
        (parked + 1.0).abs() < 0.05 && running > 1.0,
        "{parked} {running}"
    );
    let [parked, running] = into_second("diode");
    // A diode passes one way: from the first to the second, less its drop, and never back.
    assert!(running > 1.0, "{parked} {running}");
    let asked = Asked::of(&TWO_BANKS.replace("STYLE", "diode"));
    let back = asked
        .vehicle
        .branch_ids()
        .find(|&id| matches!(asked.vehicle.branch(id).element, Element::Diode { .. }));
    assert!(asked.explored.branches[back.unwrap().index()].value.0 >= 0.0);
}

#[test]
fn a_diode_keeps_a_feed_from_being_fed_back_and_a_wire_does_not() {
    let record = |between: &str| {
        format!(
            "
parts:
  B1: {{kind: battery}}
  RUN: {{kind: feed, hot-in: [run]}}
  F1: {{kind: fuse, rating: 10 A}}
  S1: {{kind: switch}}
  D1: {{kind: diode, rating: 10 A}}
  LAMP: {{kind: load, type: led, draw: 1 A}}
wires:
  - {{run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}}
{between}"
        )
    };
    let with = Asked::of(&record(
        "  - {from: RUN, to: D1, size: 14 AWG, length: 1 m}\n  - {from: D1, to: LAMP, size: 14 AWG, length: 1 m}\n",
    ));
    assert_eq!(with.live("RUN.out", settled), None);
    assert!(with.explored.back_fed.is_empty());
    let without = Asked::of(&record(
        "  - {from: RUN, to: LAMP, size: 14 AWG, length: 1 m}\n",
    ));
    assert_eq!(without.live("RUN.out", settled).as_deref(), Some("S1"));
    assert_eq!(without.explored.back_fed.len(), 1);
}

#[test]
fn a_converter_gives_its_voltage_while_it_is_powered() {
    let asked = Asked::of(
        "
vehicle: {system: 24 V}
parts:
  B1: {kind: battery, voltage: 24 V}
  RUN: {kind: feed, hot-in: [run]}
  DC: {kind: converter, output: 12 V, rating: 10 A, efficiency: 90 %, standby: 20 mA}
  RADIO: {kind: load, type: electronics, draw: 2 A, rated-voltage: 13.5 V}
wires:
  - {from: RUN, to: DC.in, size: 14 AWG, length: 1 m}
  - {from: DC.out, to: RADIO, size: 14 AWG, length: 1 m}
",
    );
    assert_eq!(asked.keys("RADIO.+"), ["run"]);
    let highest = asked.explored.highest[asked.terminal("RADIO.+").index()]
        .value
        .0;
    assert!((11.5..=12.01).contains(&highest), "{highest}");
}

#[test]
fn outputs_of_a_controller_follow_key_driver_and_supply() {
    let asked = Asked::of(
        "
parts:
  B1: {kind: battery}
  S1: {kind: switch, left: open}
  C1: {kind: controller, draw: 50 mA, outputs: {A: {limit: 5 A, hot-in: [run]}, B: {limit: 5 A, hot-in: always, driver-switched: true}}}
  LAMP: {kind: load, type: led, draw: 1 A}
  FAN: {kind: load, type: motor, draw: 2 A}
wires:
  - {run: [B1, S1, C1.+], size: 14 AWG, lengths: [1 m, 1 m]}
  - {from: C1.A, to: LAMP, size: 16 AWG, length: 1 m}
  - {from: C1.B, to: FAN, size: 16 AWG, length: 1 m}
",
    );
    assert_eq!(asked.live("LAMP.+", settled), None);
    let run = |at: &AtKey| at.key == Key::Run && !at.engine.runs();
    assert_eq!(asked.live("LAMP.+", run).as_deref(), Some("S1"));
    assert_eq!(asked.live("FAN.+", settled).as_deref(), Some("S1, C1.B"));
}

#[test]
fn a_latching_relay_stays_as_it_was_put() {
    let vehicle = vehicle(
        "
parts:
  B1: {kind: battery}
  K1: {kind: relay, latching: true, coil: 80 ohm, contact: 30 A}
  ON: {kind: switch, momentary: true}
  OFF: {kind: switch, momentary: true}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: B1, to: K1.30, size: 14 AWG, length: 1 m}
  - {run: [B1, ON, K1.set], size: 18 AWG, lengths: [1 m, 1 m]}
  - {run: [B1, OFF, K1.reset], size: 18 AWG, lengths: [1 m, 1 m]}
  - {from: K1.87, to: LAMP, size: 14 AWG, length: 1 m}
",
    );
    let mut solver = Solver::new(&vehicle);
    let left = State::parked(&vehicle);
    let held = |switch: usize| {
        let mut state = left.clone();
        state.positions[switch] = 1;
        state
    };
    let lamp = |solution: &Solution| {
        solution.live[vehicle
            .terminals
            .iter()
            .position(|at| at.label == "LAMP.+")
            .unwrap()]
    };
    let out = solver.solve(&left, &Memory::all_out(&vehicle));
    assert!(!lamp(&out));
    let on = solver.solve(&held(0), &out.memory);
    assert!(lamp(&on));
    let released = solver.solve(&left, &on.memory);
    assert!(lamp(&released), "it stays in without a coil");
    let off = solver.solve(&held(1), &released.memory);
    assert!(!lamp(&off));
    assert!(!lamp(&solver.solve(&left, &off.memory)));
    // Both positions are explored: parked it can be live, once it was put in.
    let (explored, _) = explore_in_detail(&mut solver, 4096);
    let seen = &explored.terminals[vehicle
        .terminals
        .iter()
        .position(|at| at.label == "LAMP.+")
        .unwrap()];
    assert!(seen.key_off.as_ref().unwrap().also.is_some() && !seen.parked);
}

#[test]
fn a_master_switch_in_either_cable_is_opened_as_one_of_the_settings() {
    for (cable, rest) in [
        (
            "  - {from: B1, to: M1, size: 2 AWG, length: 1 m}\n  - {from: M1, to: F1, size: 4 AWG, length: 1 m}\n",
            "",
        ),
        (
            "  - {from: B1, to: F1, size: 4 AWG, length: 1 m}\n",
            "  - {from: B1.-, to: M1.in, size: 2 AWG, length: 1 m}\n  - {from: M1.out, to: chassis, size: 2 AWG, length: 1 m}\n",
        ),
    ] {
        let text = format!(
            "
parts:
  B1: {{kind: battery}}
  M1: {{kind: disconnect, rating: 300 A, left: LEFT}}
  F1: {{kind: fuse, rating: 30 A}}
  LAMP: {{kind: load, type: led, draw: 1 A}}
wires:
{cable}{rest}  - {{from: F1, to: LAMP, size: 14 AWG, length: 1 m}}
"
        );
        let asked = Asked::of(&text.replace("LEFT", "closed"));
        assert_eq!(asked.live("LAMP.+", settled).as_deref(), Some(""));
        // Left open it draws nothing until somebody closes it: both are among the settings.
        let asked = Asked::of(&text.replace("LEFT", "open"));
        let lamp = asked
            .vehicle
            .branch_ids()
            .find(|&id| asked.vehicle.part(asked.vehicle.branch(id).part).name.value == "LAMP");
        let most = &asked.explored.branches[lamp.unwrap().index()];
        assert!(
            most.value.0 > 0.9 && most.setting.closed.contains(&"M1".to_owned()),
            "{most:?}"
        );
        assert_eq!(
            asked.live("LAMP.+", settled).as_deref(),
            Some("M1"),
            "{text}"
        );
    }
}

#[test]
fn what_is_unplugged_is_dead_and_a_trailer_battery_keeps_its_side_live() {
    let text = "
parts:
  B1: {kind: battery}
  X1: {kind: connector, pins: [1], detach: trailer}
  LAMP: {kind: load, type: led, draw: 1 A}
  PIN: {kind: splice}
wires:
  - {from: B1, to: X1.1.a, size: 14 AWG, length: 1 m}
  - {from: X1.1.b, to: PIN, size: 14 AWG, length: 1 m}
  - {from: PIN, to: LAMP, size: 14 AWG, length: 1 m}
";
    let unplugged = |text: &str| {
        let vehicle = vehicle(text);
        let mut state = State::parked(&vehicle);
        state.detached.insert("trailer".to_owned());
        let solution = Solver::new(&vehicle).solve(&state, &Memory::charged(&vehicle));
        let at = vehicle
            .terminals
            .iter()
            .position(|at| at.label == "PIN")
            .unwrap();
        solution.live[at]
    };
    assert!(!unplugged(text));
    assert_eq!(Asked::of(text).live("PIN", settled).as_deref(), Some(""));
    let with_battery = text
        .replace("  PIN:", "  B2: {kind: battery}\n  PIN:")
        .replace(
            "wires:\n",
            "wires:\n  - {from: B2, to: PIN, size: 10 AWG, length: 1 m}\n",
        );
    assert!(
        unplugged(&with_battery),
        "the trailer has a battery of its own"
    );
}

#[test]
fn a_charger_is_live_on_shore_power_with_the_battery_off() {
    let text = "
parts:
  B1: {kind: battery}
  M1: {kind: disconnect, rating: 200 A}
  CH: {kind: charger, hot-in: shore, output: 10 A, voltage: 13.8 V}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: B1, to: M1, size: 4 AWG, length: 1 m}
  - {from: M1, to: LAMP, size: 14 AWG, length: 1 m}
  - {from: CH, to: LAMP, size: 14 AWG, length: 1 m}
";
    let vehicle = vehicle(text);
    let at = vehicle
        .terminals
        .iter()
        .position(|at| at.label == "LAMP.+")
        .unwrap();
    let mut solver = Solver::new(&vehicle);
    let mut state = State::parked(&vehicle);
    state.positions[0] = 0;
    let memory = Memory::charged(&vehicle);
    assert!(
        !solver.solve(&state, &memory).live[at],
        "the master switch is open"
    );
    state.shore = true;
    assert!(
        solver.solve(&state, &memory).live[at],
        "the charger feeds it all the same"
    );
    let most = &explore(&mut solver, 4096).highest[at];
    assert!(most.value.0 > 13.0, "{most:?}");
}
