//! Removals whose right answer a fitter knows without a tool.

use std::collections::BTreeSet;

use super::*;
use crate::read;
use crate::read::document::Document;

fn document(text: &str) -> Document {
    let whole = format!("keyoff: 1\nvehicle: {{system: 12 V}}\n{text}");
    read::read(
        "t.yaml",
        whole.as_bytes(),
        &mut |_| Err(String::new()),
        &read::Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}", fault.problems))
}

fn without(text: &str, names: &[&str]) -> Result<Plan, Refused> {
    let document = document(text);
    let parts: BTreeSet<PartId> = names
        .iter()
        .map(|name| PartId(document.part_index(name).unwrap().0))
        .collect();
    plan(crate::audit(document), &parts)
}

fn planned(text: &str, names: &[&str]) -> Plan {
    without(text, names).unwrap_or_else(|refused| panic!("{refused:#?}"))
}

fn wires(plan: &Plan) -> Vec<&str> {
    let vehicle = &plan.before.vehicle;
    let out = plan.wires_out.iter();
    out.map(|&wire| vehicle.wire(wire).id.as_str()).collect()
}

fn dead(plan: &Plan) -> Vec<(&str, Why, bool)> {
    let name = |part: PartId| plan.before.vehicle.part(part).name.value.as_str();
    let dead = plan.goes_dead.iter();
    dead.map(|dead| (name(dead.part), dead.why, dead.must_work))
        .collect()
}

const BEACON: &str = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm}
  RUN: {kind: feed, hot-in: run}
  BEACON: {kind: load, type: led, draw: 2 A}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 5 mA}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {from: K1.87, to: BEACON, size: 14 AWG, length: 1 m}
  - {from: BEACON, to: chassis, size: 14 AWG, length: 1 m}
  - {from: RUN, to: K1.86, size: 14 AWG, length: 1 m}
  - {from: K1.85, to: chassis, size: 14 AWG, length: 1 m}
";

#[test]
fn a_relay_comes_out_with_what_fed_it_alone() {
    let plan = planned(BEACON, &["K1"]);
    assert_eq!(wires(&plan), ["w1", "w2", "w3", "w5", "w6"]);
    assert_eq!(dead(&plan), [("BEACON", Why::Feed, false)]);
    let name = |part: &PartId| plan.before.vehicle.part(*part).name.value.clone();
    assert_eq!(
        plan.freed.fuses.iter().map(name).collect::<Vec<_>>(),
        ["F1"]
    );
    assert_eq!(
        plan.freed.feeds.iter().map(name).collect::<Vec<_>>(),
        ["RUN"]
    );
    // The feed's own terminal is bare then, and live when the key is in run.
    let ends: Vec<_> = plan
        .live_ends
        .iter()
        .map(|end| (end.at.as_str(), end.hot_in))
        .collect();
    assert_eq!(ends, [("RUN.out", [false, false, true, false])]);
    assert!(!plan.text.contains("K1"));
}

#[test]
fn what_is_shared_is_not_cut() {
    let text = format!("{BEACON}  - {{from: F1, to: RADIO, size: 14 AWG, length: 1 m}}\n");
    let plan = planned(&text, &["K1", "BEACON"]);
    assert_eq!(wires(&plan), ["w2", "w3", "w4", "w5", "w6"]);
    assert!(plan.goes_dead.is_empty());
    let stays = &plan.wires_stay[0];
    let vehicle = &plan.before.vehicle;
    assert_eq!(vehicle.wire(stays.wire).id, "w1");
    assert_eq!(vehicle.part(stays.shared_with[0]).name.value, "RADIO");
}

#[test]
fn a_wire_that_goes_on_from_a_load_is_joined() {
    let text = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  FIRST: {kind: load, type: led, draw: 2 A, place: left rear}
  SECOND: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, FIRST.+], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {from: FIRST.+, to: SECOND, size: 14 AWG, length: 1 m}
";
    let plan = planned(text, &["FIRST"]);
    assert!(
        plan.wires_out.is_empty() && plan.goes_dead.is_empty(),
        "{plan:#?}"
    );
    assert_eq!(plan.places[0].kind, PlaceKind::Joint);
    assert!(
        plan.text.contains("FIRST-plus-joint: {kind: splice"),
        "{}",
        plan.text
    );
    assert!(plan.text.contains("place: \"left rear\""), "{}", plan.text);
}

#[test]
fn the_vehicles_own_lamps_go_on_through_a_changeover_that_comes_out() {
    let text = "parts:
  B1: {kind: battery}
  HEAD: {kind: feed, hot-in: run, status: factory}
  X1: {kind: relay, coil: 90 ohm, what: plow changeover}
  RUN: {kind: feed, hot-in: run}
  LAMP: {kind: load, type: filament, draw: 55 W, required: true}
  PLOW: {kind: load, type: filament, draw: 55 W}
wires:
  - {from: HEAD, to: X1.30, size: 14 AWG, length: 1 m, status: factory}
  - {from: X1.87a, to: LAMP, size: 14 AWG, length: 1 m, status: factory}
  - {from: X1.87, to: PLOW, size: 14 AWG, length: 1 m}
  - {from: RUN, to: X1.86, size: 14 AWG, length: 1 m}
  - {from: X1.85, to: chassis, size: 14 AWG, length: 1 m}
";
    let plan = planned(text, &["X1", "PLOW"]);
    assert_eq!(wires(&plan), ["w3", "w4", "w5"]);
    assert!(plan.goes_dead.is_empty(), "{:?}", plan.goes_dead);
    let joint = &plan.places[0];
    assert_eq!((plan.places.len(), joint.kind), (1, PlaceKind::Joint));
    assert_eq!(joint.wires.len(), 2);
    let restore = plan
        .steps
        .iter()
        .find(|step| step.name.starts_with("Restore"));
    assert!(restore.is_some_and(|step| step.lines[0].contains("Join w1 and w2")));
}

#[test]
fn a_fuse_of_the_vehicles_own_lamp_is_not_bridged() {
    let text = "parts:
  B1: {kind: battery}
  FX: {kind: fuse, rating: 15 A}
  HORN: {kind: load, type: motor, draw: 5 A, required: true}
wires:
  - {run: [B1, FX, HORN], size: 14 AWG, lengths: [10 cm, 1 m], status: factory}
";
    let plan = planned(text, &["FX"]);
    assert_eq!(dead(&plan), [("HORN", Why::Feed, true)]);
    assert!(plan.places.iter().all(|place| place.kind == PlaceKind::End));
    // Factory wires are not cut away: their ends are capped, and the live one is named.
    assert!(plan.wires_out.is_empty());
    assert_eq!(plan.live_ends.len(), 1);
    assert_eq!(plan.live_ends[0].at, "FX-in-end");
    assert_eq!(plan.live_ends[0].hot_in, [true; 4]);
    let step = plan
        .steps
        .iter()
        .find(|step| step.name.starts_with("Restore"));
    assert!(step.is_some_and(|step| step.lines[0].contains("HORN must work")));
}

#[test]
fn a_return_that_goes_is_not_taken_as_still_there() {
    let text = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  BODY: {kind: stud}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {run: [LAMP, BODY, chassis], size: 14 AWG, lengths: [1 m, 1 m]}
";
    // A stud that only passes a return on is a joint.
    let plan = planned(text, &["BODY"]);
    assert!(plan.goes_dead.is_empty() && plan.wires_out.is_empty());
    let text = text.replace("BODY: {kind: stud}", "BODY: {kind: fuse, rating: 10 A}");
    let plan = planned(&text, &["BODY"]);
    assert_eq!(dead(&plan), [("LAMP", Why::Return, false)]);
    assert!(
        plan.text.contains("BODY-in-end: {kind: stub"),
        "{}",
        plan.text
    );
    assert_eq!(wires(&plan), ["w4"]);
}

#[test]
fn a_signal_keeps_its_wire() {
    let text = "parts:
  B1: {kind: battery}
  RUN: {kind: feed, hot-in: run}
  SP: {kind: splice}
  K1: {kind: relay, coil: 90 ohm}
  BOX: {kind: controller, draw: 100 mA, senses: [IGN]}
  F1: {kind: fuse, rating: 5 A}
wires:
  - {from: RUN, to: SP, size: 18 AWG, length: 1 m}
  - {from: SP, to: K1.86, size: 18 AWG, length: 1 m}
  - {from: K1.85, to: chassis, size: 18 AWG, length: 1 m}
  - {from: SP, to: BOX.IGN, size: 18 AWG, length: 1 m}
  - {run: [B1, F1, BOX.+], size: 18 AWG, lengths: [10 cm, 1 m]}
";
    let plan = planned(text, &["K1"]);
    assert_eq!(wires(&plan), ["w2", "w3"]);
    assert!(plan.goes_dead.is_empty(), "{:?}", plan.goes_dead);
    let plan = planned(text, &["SP", "K1"]);
    assert!(
        plan.goes_dead.is_empty(),
        "the splice's wires are joined: {:?}",
        plan.goes_dead
    );
    let plan = planned(text, &["RUN", "K1"]);
    assert_eq!(dead(&plan), [("BOX", Why::Signal, false)]);
}

#[test]
fn what_the_meter_should_show_with_the_fuses_pulled() {
    // The lamp is fed from two sides: with one fuse pulled it would still be live.
    let text = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  F2: {kind: fuse, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {run: [B1, F2, LAMP], size: 14 AWG, lengths: [10 cm, 1 m]}
";
    let plan = planned(text, &["LAMP"]);
    let isolate = plan
        .steps
        .iter()
        .find(|step| step.name.starts_with("Isolate"))
        .unwrap();
    let both = ["F1", "F2"].map(|fuse| isolate.lines.iter().any(|line| line.contains(fuse)));
    assert_eq!(both, [true, true], "{isolate:?}");
    let dead = plan
        .steps
        .iter()
        .find(|step| step.name == "Prove dead")
        .unwrap();
    assert!(
        dead.lines[0].contains("LAMP.+")
            && !dead.lines.iter().any(|line| line.contains("still live"))
    );
    let names: Vec<&str> = plan.steps.iter().map(|step| step.name.as_str()).collect();
    let order = [
        "Isolate at the source",
        "Prove dead",
        "Lift the source ends first",
        "Take off the returns last",
    ];
    let at: Vec<usize> = order
        .iter()
        .filter_map(|name| names.iter().position(|own| own == name))
        .collect();
    assert!(at.is_sorted() && at.len() >= 3, "{names:?}");
}

#[test]
fn the_battery_that_starts_stays() {
    assert!(matches!(
        without(BEACON, &["B1"]),
        Err(Refused::Words { .. })
    ));
}

#[test]
fn the_way_home_of_a_battery_is_not_guessed() {
    let text = "parts:
  B1: {kind: battery}
  M: {kind: disconnect}
  FN: {kind: fuse, rating: 300 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1.-, M, FN, chassis], size: 2 AWG, lengths: [1 m, 1 m, 1 m]}
  - {from: B1, to: LAMP, size: 14 AWG, length: 1 m}
";
    // A master switch in the negative is joined over; a fuse there is not.
    let plan = planned(text, &["M"]);
    assert!(plan.goes_dead.is_empty() && plan.wires_out.is_empty());
    assert!(
        plan.text.contains("run: [B1.-, M-in-joint, FN, chassis]"),
        "{}",
        plan.text
    );
    assert!(matches!(without(text, &["FN"]), Err(Refused::Words { .. })));
}

#[test]
fn with_the_negative_off_and_the_engine_standing_nothing_is_live() {
    let text = "parts:
  B1: {kind: battery}
  ALT: {kind: alternator, rated: 100 A}
  S1: {kind: switch}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m]}
";
    let plan = planned(text, &["S1", "LAMP"]);
    let dead = plan.steps.iter().find(|step| step.name == "Prove dead");
    let dead = &dead.unwrap().lines;
    assert!(
        dead.len() == 1 && dead[0].contains("S1.in, S1.out"),
        "{dead:?}"
    );
}

fn least_of(text: &str, names: &[&str]) -> (Plan, Least) {
    let plan = planned(text, names);
    let least = least(&plan).unwrap_or_else(|refused| panic!("{refused:#?}"));
    (plan, least)
}

fn capped(plan: &Plan, least: &Least) -> Vec<String> {
    let vehicle = &plan.before.vehicle;
    let ends = least.capped.iter();
    ends.map(|&(wire, at)| {
        format!(
            "{} at {}",
            vehicle.wire(wire).id,
            vehicle.terminal(at).label
        )
    })
    .collect()
}

/// "Minimum leaves 3 capped stubs, 0 live": a lamp behind its own fuse. What stays has both ends capped and no fuse left in its
/// slot (common practice, no source).
#[test]
fn the_minimum_leaves_capped_ends_and_none_live() {
    let text = "parts:
  B1: {kind: battery, capacity: 70 Ah, cold-cranking: 600 A}
  F1: {kind: fuse, rating: 10 A}
  S1: {kind: switch, left: closed}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}
";
    let (plan, least) = least_of(text, &["S1", "LAMP"]);
    let name = |part: &PartId| plan.before.vehicle.part(*part).name.value.clone();
    assert_eq!(least.pull.iter().map(name).collect::<Vec<_>>(), ["F1"]);
    assert!(least.lift.is_empty() && least.live_ends.is_empty());
    assert_eq!(least.live_if_only_unplugged, 1);
    assert_eq!(
        capped(&plan, &least),
        ["w2 at S1.in", "w3 at S1.out", "w3 at LAMP.+"]
    );
    // The short lead to the slot stays live, with no fuse before it; the price is told.
    let run = least.live_runs[0];
    assert_eq!(least.live_runs.len(), 1);
    assert_eq!(plan.before.vehicle.wire(run.wire).id, "w1");
    assert!(run.up_to == Some(least.pull[0]) && !run.protected);
    // The battery has the same of both: the lamp was all that was drawn.
    let draw = |key_off: &crate::analyze::KeyOff| (key_off.draw.0 * 1e6).round();
    assert!(draw(&plan.before.solved.key_off) > 1e6);
    assert_eq!(
        draw(&least.solved.key_off),
        draw(&plan.after.solved.key_off)
    );
}

/// Where the fuse feeds something else it stays in, and the wire comes off at its source end and is capped at both.
#[test]
fn the_minimum_takes_a_live_wire_off_at_its_source() {
    let text = format!("{BEACON}  - {{from: F1, to: RADIO, size: 14 AWG, length: 1 m}}\n");
    let (plan, least) = least_of(&text, &["K1", "BEACON"]);
    let name = |part: &PartId| plan.before.vehicle.part(*part).name.value.clone();
    // The feed serves the coil alone: its fuse can go.
    assert_eq!(least.pull.iter().map(name).collect::<Vec<_>>(), ["RUN"]);
    let lifted: Vec<_> = least
        .lift
        .iter()
        .map(|&(wire, at)| {
            (
                plan.before.vehicle.wire(wire).id.as_str(),
                plan.before.vehicle.terminal(at).label.as_str(),
            )
        })
        .collect();
    assert_eq!(lifted, [("w2", "F1.out")]);
    assert!(least.live_ends.is_empty());
    let ends = capped(&plan, &least);
    assert!(
        ["w2 at F1.out", "w2 at K1.30"]
            .iter()
            .all(|end| ends.iter().any(|own| own == end)),
        "{ends:?}"
    );
}

/// A wire of the vehicle's own is not taken off: its live end is named.
#[test]
fn what_the_minimum_leaves_live_is_named() {
    let text = "parts:
  B1: {kind: battery}
  FX: {kind: breaker, rating: 15 A}
  HORN: {kind: load, type: motor, draw: 5 A, required: true}
wires:
  - {run: [B1, FX, HORN], size: 14 AWG, lengths: [10 cm, 1 m], status: factory}
";
    let (_, least) = least_of(text, &["FX"]);
    assert!(least.lift.is_empty());
    let ends: Vec<_> = least.live_ends.iter().map(|end| end.at.as_str()).collect();
    assert_eq!(ends, ["FX-in-end"]);
}

#[test]
fn a_lamp_that_finds_its_return_through_another_keeps_its_wire() {
    let text = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  K1: {kind: relay, coil: 90 ohm}
  S1: {kind: switch}
  PILOT: {kind: load, type: filament, draw: 3 W}
  HEAT: {kind: load, type: heater, draw: 2 ohm}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {run: [F1, S1, PILOT.+], size: 18 AWG, lengths: [1 m, 1 m]}
  - {from: PILOT.-, to: K1.87, size: 18 AWG, length: 1 m}
  - {from: K1.87, to: HEAT, size: 14 AWG, length: 1 m}
  - {from: HEAT.-, to: chassis, size: 14 AWG, length: 1 m}
";
    let plan = planned(text, &["K1"]);
    assert!(!wires(&plan).contains(&"w5"), "{:?}", wires(&plan));
    assert_eq!(plan.places[0].kind, PlaceKind::Joint);
}

#[test]
fn the_alternator_takes_its_charge_with_it_and_leaves_a_cable() {
    let text = "parts:
  B1: {kind: battery}
  ALT: {kind: alternator, rated: 100 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {from: B1, to: LAMP, size: 14 AWG, length: 1 m}
";
    let plan = planned(text, &["ALT"]);
    assert!(plan.nothing_charges);
    let label = |at: &TerminalId| plan.before.vehicle.terminal(*at).label.clone();
    let ends: Vec<_> = plan.unrecorded.iter().flatten().map(label).collect();
    assert_eq!(ends, ["ALT.+", "B1.+"]);
    let step = plan.steps.iter().find(|step| step.name.starts_with("Lift"));
    assert!(step.is_some_and(|step| step.lines[0].contains("take it off at B1.+ first")));
}

#[test]
fn what_a_second_battery_fed_with_the_key_off_is_told() {
    let text = "parts:
  B1: {kind: battery}
  ALT: {kind: alternator, rated: 100 A}
  B2: {kind: battery}
  ISO: {kind: isolator, style: diode, rating: 100 A}
  RADIO: {kind: load, type: electronics, draw: 1 A, parked: 5 mA}
  RUN: {kind: feed, hot-in: run}
wires:
  - {from: RUN, to: ISO.a, size: 6 AWG, length: 1 m}
  - {from: ISO.b, to: B2.+, size: 6 AWG, length: 1 m}
  - {from: B2.+, to: RADIO, size: 14 AWG, length: 1 m}
";
    let plan = planned(text, &["B2"]);
    let name = |part: &PartId| plan.before.vehicle.part(*part).name.value.clone();
    assert!(plan.goes_dead.is_empty(), "{:?}", plan.goes_dead);
    let told: Vec<String> = plan.not_parked.iter().map(name).collect();
    assert_eq!(told, ["RADIO"]);
}

/// What comes out feeds its cable no more; the battery at the other end does, and with no fuse.
#[test]
fn the_cable_of_an_alternator_comes_off_at_the_battery() {
    let text = "parts:
  B1: {kind: battery}
  ALT: {kind: alternator, rated: 100 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {id: alt, from: ALT, to: B1, size: 4 AWG, length: 1 m}
  - {from: B1, to: LAMP, size: 14 AWG, length: 1 m}
";
    let (plan, least) = least_of(text, &["ALT"]);
    let label = |at: TerminalId| plan.before.vehicle.terminal(at).label.as_str();
    let lifted: Vec<&str> = least.lift.iter().map(|&(_, at)| label(at)).collect();
    assert_eq!(lifted, ["B1.+"]);
    assert_eq!(capped(&plan, &least), ["alt at B1.+", "alt at ALT.+"]);
    assert!(least.live_ends.is_empty(), "{:?}", least.live_ends);
    let step = plan.steps.iter().find(|step| step.name.starts_with("Lift"));
    let lines = step.map_or("", |step| step.lines[1].as_str());
    assert!(lines.ends_with("first at B1.+."), "{lines}");
}

/// A fuse, a switch and their wires that served a sense input alone come out as those of a coil would.
#[test]
fn what_only_a_signal_ran_through_comes_out_with_it() {
    let text = "parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A}
  F2: {kind: fuse, rating: 2 A}
  S1: {kind: switch}
  CTL: {kind: controller, draw: 100 mA, outputs: {o1: {limit: 5 A}}, senses: [in]}
  BEACON: {kind: load, type: led, draw: 2 A}
wires:
  - {id: a, run: [B1, F1, CTL.+], size: 14 AWG, lengths: [1 m, 1 m]}
  - {id: b, run: [B1, F2, S1, CTL.in], size: 18 AWG, lengths: [1 m, 1 m, 1 m]}
  - {id: c, run: [CTL.o1, BEACON], size: 14 AWG, lengths: [1 m]}
";
    let plan = planned(text, &["CTL", "BEACON"]);
    assert_eq!(wires(&plan), ["a.1", "a.2", "b.1", "b.2", "b.3", "c"]);
    let name = |part: &PartId| plan.before.vehicle.part(*part).name.value.clone();
    let freed: Vec<String> = plan
        .freed
        .fuses
        .iter()
        .chain(&plan.freed.others)
        .map(name)
        .collect();
    assert_eq!(freed, ["F1", "F2", "S1"]);
    // Where the one that senses stays, its own end of the way stays with it unless it lands on what goes.
    let plan = planned(text, &["F2"]);
    assert_eq!(wires(&plan), ["b.1", "b.2"]);
    assert_eq!(dead(&plan), [("CTL", Why::Signal, false)]);
}
