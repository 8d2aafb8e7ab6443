//! Circuits of textbooks and manuals, set as the text sets them: what it says is on has to be on, and nothing else.
//!
//! Each is a record of our own; the source of the circuit and of the expected states stands beside it.

use std::sync::Arc;

use keyoff::model::{self, Element, Engine, Key, Vehicle};
use keyoff::read::Limits;
use keyoff::solve::{Explored, Memory, Solver, State, explore};

/// A record with a battery `B1` behind the fuse `F1`.
fn vehicle(parts: &str, wires: &str) -> Vehicle {
    let text = format!(
        "keyoff: 1\nvehicle: {{name: bench, system: 12 V}}\nparts:\n  B1: {{kind: battery, chemistry: agm, capacity: 80 Ah}}\n  F1: {{kind: fuse, rating: 30 A, form: blade}}\n{parts}wires:\n  - {{from: B1, to: F1, size: 10 AWG, length: 20 cm}}\n{wires}"
    );
    let mut beside = |_: &str| Err("no other file".to_owned());
    let document = keyoff::read::read(
        "circuit.yaml",
        text.as_bytes(),
        &mut beside,
        &Limits::default(),
    )
    .unwrap_or_else(|unreadable| panic!("{:?}\n{text}", unreadable.problems));
    model::build(Arc::new(document))
}

/// A person at the circuit.
struct Bench<'v> {
    vehicle: &'v Vehicle,
    solver: Solver<'v>,
    memory: Memory,
}

impl<'v> Bench<'v> {
    fn new(vehicle: &'v Vehicle) -> Self {
        Self {
            vehicle,
            solver: Solver::new(vehicle),
            memory: Memory::all_out(vehicle),
        }
    }

    /// Turns the key and moves these switches away from how they are left, all others back; gives the loads that are on, in the
    /// order of the record. What holds itself in goes on from the step before.
    fn set(&mut self, key: Key, moved: &[&str]) -> Vec<&'v str> {
        let mut state = State {
            key,
            engine: Engine::Stopped,
            settled: false,
            ..State::parked(self.vehicle)
        };
        for name in moved {
            let at = self
                .vehicle
                .switches
                .iter()
                .position(|unit| unit.label == *name);
            let at = at.unwrap_or_else(|| panic!("no switch {name}"));
            state.positions[at] = 1 - state.positions[at];
        }
        let solution = self.solver.solve(&state, &self.memory);
        assert_eq!(solution.trouble, None);
        assert!(solution.chatter.is_empty(), "{:?}", solution.chatter);
        self.memory = solution.memory.clone();
        let vehicle = self.vehicle;
        vehicle
            .branch_ids()
            .filter(|&id| matches!(vehicle.branch(id).element, Element::Load(_)))
            .filter(|&id| solution.branch(id).0.abs() > 0.5)
            .map(|id| vehicle.part(vehicle.branch(id).part).name.value.as_str())
            .collect()
    }
}

/// Every setting, looked at: none of these circuits shorts its supply, feeds back or chatters.
fn sound(vehicle: &Vehicle) -> Explored {
    let explored = explore(&mut Solver::new(vehicle), 4096);
    assert!(explored.complete);
    assert!(explored.shorted.is_empty(), "{:?}", explored.shorted);
    assert!(explored.back_fed.is_empty(), "{:?}", explored.back_fed);
    assert!(explored.chatter.is_empty(), "{:?}", explored.chatter);
    explored
}

const LAMP: &str = "  LAMP: {kind: load, type: led, draw: 1 A}\n";

fn wire(from: &str, to: &str) -> String {
    format!("  - {{from: {from}, to: {to}, size: 14 AWG, length: 50 cm}}\n")
}

fn wires(all: &[(&str, &str)]) -> String {
    all.iter().map(|(from, to)| wire(from, to)).collect()
}

fn switch(name: &str, left: &str) -> String {
    format!("  {name}: {{kind: switch, rating: 20 A, left: {left}}}\n")
}

fn relay(name: &str) -> String {
    format!(
        "  {name}: {{kind: relay, coil: 90 ohm, contact: 30 A, pull-in: 8 V, drop-out: 1.2 V}}\n"
    )
}

/// Whether the lamp is on with neither, the first, the second and both of A and B actuated.
fn truth(vehicle: &Vehicle) -> [bool; 4] {
    sound(vehicle);
    let settings: [&[&str]; 4] = [&[], &["A"], &["B"], &["A", "B"]];
    settings.map(|moved| !Bench::new(vehicle).set(Key::Off, moved).is_empty())
}

/// Two contacts of the same kind, in parallel or in series.
fn two(left: &str, parallel: bool) -> Vehicle {
    let parts = format!("{}{}{LAMP}", switch("A", left), switch("B", left));
    let wires = if parallel {
        wires(&[("F1", "A"), ("F1", "B"), ("A", "LAMP"), ("B", "LAMP")])
    } else {
        wires(&[("F1", "A"), ("A", "B"), ("B", "LAMP")])
    };
    vehicle(&parts, &wires)
}

/// Lessons in Electric Circuits, volume IV, chapter 6, Digital logic functions (read): parallel contacts are an OR.
#[test]
fn parallel_contacts_are_an_or() {
    assert_eq!(truth(&two("open", true)), [false, true, true, true]);
}

/// The same section (read): contacts in series are an AND.
#[test]
fn contacts_in_series_are_an_and() {
    assert_eq!(truth(&two("open", false)), [false, false, false, true]);
}

/// The same section (read): normally-closed contacts in parallel are a NAND, the lamp goes out only if both are actuated.
#[test]
fn closed_contacts_in_parallel_are_a_nand() {
    assert_eq!(truth(&two("closed", true)), [true, true, true, false]);
}

/// The same section (read): normally-closed contacts in series are a NOR.
#[test]
fn closed_contacts_in_series_are_a_nor() {
    assert_eq!(truth(&two("closed", false)), [true, false, false, false]);
}

/// The same section (read): a relay whose normally-closed contact feeds the lamp inverts.
#[test]
fn a_resting_contact_is_a_not() {
    let parts = format!("{}{}{LAMP}", switch("A", "open"), relay("CR1"));
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "A"),
            ("A", "CR1.86"),
            ("F1", "CR1.30"),
            ("CR1.87a", "LAMP"),
        ]),
    );
    sound(&vehicle);
    assert_eq!(Bench::new(&vehicle).set(Key::Off, &[]), ["LAMP"]);
    assert!(Bench::new(&vehicle).set(Key::Off, &["A"]).is_empty());
}

/// The same section (read): an exclusive OR of two contacts each; the inverted inputs are resting contacts of relays here.
#[test]
fn resting_and_closing_contacts_are_an_exclusive_or() {
    let parts = format!(
        "{}{}{}{}{LAMP}",
        switch("A", "open"),
        switch("B", "open"),
        relay("CR1"),
        relay("CR2")
    );
    // From CR1 to CR2 over both throws, as two switches at the ends of a stair.
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "A"),
            ("A", "CR1.86"),
            ("F1", "B"),
            ("B", "CR2.86"),
            ("F1", "CR1.30"),
            ("CR1.87", "CR2.87a"),
            ("CR1.87a", "CR2.87"),
            ("CR2.30", "LAMP"),
        ]),
    );
    assert_eq!(truth(&vehicle), [false, true, true, false]);
}

/// The same chapter, Permissive and interlock circuits (read): all permissives in series energise CR1 and the green lamp; if one
/// is not met, a relay lets go and the red lamp lights. One of them, the high-pressure contact, is normally closed.
#[test]
fn permissives_in_series() {
    let parts = format!(
        "{}{}{}{}  GREEN: {{kind: load, type: led, draw: 1 A}}\n  RED: {{kind: load, type: led, draw: 1 A}}\n",
        switch("LOW", "open"),
        switch("HIGH", "closed"),
        switch("DOOR", "open"),
        relay("CR1")
    );
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "LOW"),
            ("LOW", "HIGH"),
            ("HIGH", "DOOR"),
            ("DOOR", "CR1.86"),
            ("DOOR", "GREEN"),
            ("F1", "CR1.30"),
            ("CR1.87a", "RED"),
        ]),
    );
    sound(&vehicle);
    let on = |moved: &[&str]| Bench::new(&vehicle).set(Key::Off, moved);
    assert_eq!(on(&[]), ["RED"]);
    assert_eq!(on(&["LOW"]), ["RED"]);
    assert_eq!(on(&["LOW", "DOOR"]), ["GREEN"]);
    assert_eq!(on(&["LOW", "DOOR", "HIGH"]), ["RED"], "pressure too high");
}

/// Parts and wires of two contactors that lock each other out over their resting contacts, buttons `FWD` and `REV`.
fn interlocked(seal: bool) -> Vehicle {
    let mut parts = format!(
        "{}{}{}  AHEAD: {{kind: load, type: led, draw: 1 A}}\n  ASTERN: {{kind: load, type: led, draw: 1 A}}\n",
        switch("STOP", "closed"),
        switch("FWD", "open"),
        switch("REV", "open")
    );
    // M1 and M2 are contactors of several poles: here relays with their coils in parallel.
    for name in ["M1", "M2", "N1", "N2", "L1", "L2"] {
        parts += &relay(name);
    }
    let mut all = vec![
        ("F1", "STOP"),
        ("STOP", "FWD"),
        ("STOP", "REV"),
        ("FWD", "N2.30"),
        ("N2.87a", "M1.86"),
        ("REV", "N1.30"),
        ("N1.87a", "M2.86"),
        ("M1.86", "N1.86"),
        ("M2.86", "N2.86"),
        ("F1", "M1.30"),
        ("M1.87", "AHEAD"),
        ("F1", "M2.30"),
        ("M2.87", "ASTERN"),
    ];
    if seal {
        all.extend([
            ("M1.86", "L1.86"),
            ("M2.86", "L2.86"),
            ("STOP", "L1.30"),
            ("L1.87", "N2.30"),
            ("STOP", "L2.30"),
            ("L2.87", "N1.30"),
        ]);
    }
    vehicle(&parts, &wires(&all))
}

/// The same section (read): with the interlock contacts neither contactor comes in while the other is.
#[test]
fn interlocked_contactors_are_never_in_together() {
    let vehicle = interlocked(false);
    sound(&vehicle);
    let mut bench = Bench::new(&vehicle);
    assert!(bench.set(Key::Off, &[]).is_empty());
    assert_eq!(bench.set(Key::Off, &["FWD"]), ["AHEAD"]);
    assert_eq!(
        bench.set(Key::Off, &["FWD", "REV"]),
        ["AHEAD"],
        "locked out"
    );
    assert_eq!(bench.set(Key::Off, &["REV"]), ["ASTERN"]);
    assert_eq!(
        bench.set(Key::Off, &["REV", "FWD"]),
        ["ASTERN"],
        "locked out"
    );
    assert!(bench.set(Key::Off, &[]).is_empty(), "runs only while held");
}

/// The same chapter, Motor control circuits (read): with seal-in contacts it runs on when the button is let go, the other
/// direction stays locked out, and STOP lets it go for good.
#[test]
fn seal_in_contacts_hold_until_stop() {
    let vehicle = interlocked(true);
    sound(&vehicle);
    let mut bench = Bench::new(&vehicle);
    assert!(bench.set(Key::Off, &[]).is_empty());
    assert_eq!(bench.set(Key::Off, &["FWD"]), ["AHEAD"]);
    assert_eq!(bench.set(Key::Off, &[]), ["AHEAD"], "holds itself in");
    assert_eq!(bench.set(Key::Off, &["REV"]), ["AHEAD"], "locked out");
    assert!(bench.set(Key::Off, &["STOP"]).is_empty());
    assert!(bench.set(Key::Off, &[]).is_empty(), "stays out");
    assert_eq!(bench.set(Key::Off, &["REV"]), ["ASTERN"]);
    assert_eq!(bench.set(Key::Off, &[]), ["ASTERN"]);
}

/// DIN 72552 as a magazine's second article on relays tells it (read): at rest 30 is joined to 87a, pulled in to 87.
#[test]
fn a_changeover_relay_by_its_numbers() {
    let parts = format!(
        "{}{}  LOW: {{kind: load, type: led, draw: 1 A}}\n  HIGH: {{kind: load, type: led, draw: 1 A}}\n",
        switch("DIP", "open"),
        relay("K1")
    );
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "K1.30"),
            ("K1.87a", "LOW"),
            ("K1.87", "HIGH"),
            ("F1", "DIP"),
            ("DIP", "K1.86"),
        ]),
    );
    sound(&vehicle);
    assert_eq!(Bench::new(&vehicle).set(Key::Off, &[]), ["LOW"]);
    assert_eq!(Bench::new(&vehicle).set(Key::Off, &["DIP"]), ["HIGH"]);
}

/// An installer's note on a negative trigger (read): supply to 87 and 85, the trigger that goes to ground on 86, the lamp on 30,
/// 87a not used. The lamp is on while the trigger is.
#[test]
fn a_ground_trigger_gives_a_positive_output() {
    let parts = format!("{}{}{LAMP}", switch("TRIGGER", "open"), relay("K1"));
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "K1.87"),
            ("F1", "K1.85"),
            ("K1.86", "TRIGGER.in"),
            ("TRIGGER.out", "chassis"),
            ("K1.30", "LAMP"),
        ]),
    );
    sound(&vehicle);
    assert!(Bench::new(&vehicle).set(Key::Off, &[]).is_empty());
    assert_eq!(Bench::new(&vehicle).set(Key::Off, &["TRIGGER"]), ["LAMP"]);
}

/// A relay maker's article on reversing (read): the closing contacts of two relays go to the supply, the resting ones to ground, the
/// motor between the common ones. The one that is in decides which way it turns; with both or neither it stands.
#[test]
fn two_relays_turn_a_motor_round() {
    let parts = format!(
        "{}{}{}{}  M1: {{kind: load, type: motor, draw: 5 A}}\n",
        switch("OUT", "open"),
        switch("BACK", "open"),
        relay("K1"),
        relay("K2")
    );
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "K1.87"),
            ("F1", "K2.87"),
            ("K1.87a", "chassis"),
            ("K2.87a", "chassis"),
            ("K1.30", "M1.+"),
            ("M1.-", "K2.30"),
            ("F1", "OUT"),
            ("OUT", "K1.86"),
            ("F1", "BACK"),
            ("BACK", "K2.86"),
        ]),
    );
    sound(&vehicle);
    let motor = vehicle
        .branch_ids()
        .find(|&id| matches!(vehicle.branch(id).element, Element::Load(_)))
        .unwrap();
    let turns = |moved: &[&str]| {
        let mut state = State::parked(&vehicle);
        for name in moved {
            let at = vehicle.switches.iter().position(|unit| unit.label == *name);
            state.positions[at.unwrap()] = 1;
        }
        let solution = Solver::new(&vehicle).solve(&state, &Memory::all_out(&vehicle));
        let amps = solution.branch(motor).0;
        if amps.abs() < 0.5 { 0.0 } else { amps.signum() }
    };
    assert_eq!(turns(&[]), 0.0);
    assert_eq!(turns(&["OUT"]), 1.0);
    assert_eq!(turns(&["BACK"]), -1.0);
    assert_eq!(turns(&["OUT", "BACK"]), 0.0);
}

/// TM 9-2320-273-20, paragraph 5-8 (read): ENGINE RUN opens the fuel valve and brings supply to the start switch; in neutral the
/// start switch energises the starter relay, that the solenoid, and that the starter.
#[test]
fn a_truck_starts_in_neutral_with_the_run_switch_on() {
    let parts = format!(
        "{}{}{}{}{}  FUEL: {{kind: load, type: electronics, draw: 1 A}}\n  STARTER: {{kind: load, type: starter, draw: 100 A}}\n",
        switch("RUN", "open"),
        switch("START", "open"),
        switch("NEUTRAL", "open"),
        relay("RELAY"),
        relay("SOLENOID")
    );
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "RUN"),
            ("RUN", "FUEL"),
            ("RUN", "START"),
            ("START", "NEUTRAL"),
            ("NEUTRAL", "RELAY.86"),
            ("F1", "RELAY.30"),
            ("RELAY.87", "SOLENOID.86"),
            ("B1", "SOLENOID.30"),
            ("SOLENOID.87", "STARTER"),
        ]),
    );
    sound(&vehicle);
    let on = |moved: &[&str]| Bench::new(&vehicle).set(Key::Off, moved);
    assert_eq!(on(&["RUN"]), ["FUEL"]);
    assert_eq!(on(&["RUN", "START"]), ["FUEL"], "in gear");
    assert!(on(&["START", "NEUTRAL"]).is_empty(), "not on run");
    assert_eq!(on(&["RUN", "START", "NEUTRAL"]), ["FUEL", "STARTER"]);
}

/// An owner's note on the relays of an engine (read): the key pulls in the computer's relay; that feeds the computer and the coil
/// of the pump's relay, whose other end the computer joins to ground when the pump should run. 30 of both is live at all times.
#[test]
fn a_pump_relay_behind_a_computer_relay() {
    let parts = format!(
        "  KEY: {{kind: key-switch, rating: 30 A}}\n{}{}  ECU: {{kind: controller, type: electronics, draw: 1 A, outputs: {{PUMPS: {{limit: 1 A, hot-in: [run, start], driver-switched: true, side: low}}}}}}\n  PUMP: {{kind: load, type: motor, draw: 5 A}}\n",
        relay("KE"),
        relay("KP")
    );
    let vehicle = vehicle(
        &parts,
        &wires(&[
            ("F1", "KEY.30"),
            ("F1", "KE.30"),
            ("F1", "KP.30"),
            ("KEY.15", "KE.86"),
            ("KE.87", "ECU.+"),
            ("KE.87", "KP.86"),
            ("KP.85", "ECU.PUMPS"),
            ("KP.87", "PUMP"),
        ]),
    );
    sound(&vehicle);
    let on = |key, moved: &[&str]| Bench::new(&vehicle).set(key, moved);
    assert!(on(Key::Off, &["ECU.PUMPS"]).is_empty(), "no key");
    assert_eq!(on(Key::Run, &[]), ["ECU"]);
    assert_eq!(on(Key::Run, &["ECU.PUMPS"]), ["ECU", "PUMP"]);
    assert_eq!(on(Key::Start, &["ECU.PUMPS"]), ["ECU", "PUMP"]);
}
