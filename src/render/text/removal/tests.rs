//! Sentences about removals, each of which a fitter would say so.

use std::collections::BTreeSet;

use super::*;
use crate::advise::removal::least;
use crate::advise::removal::plan;
use crate::read;

/// The sheet as one line, so that a sentence is found wherever it wraps.
fn sheet(text: &str, names: &[&str]) -> String {
    let whole = format!("keyoff: 1\nvehicle: {{system: 12 V}}\n{text}");
    let read = read::read(
        "t.yaml",
        whole.as_bytes(),
        &mut |_| Err(String::new()),
        &read::Limits::default(),
    );
    let document = read.unwrap_or_else(|fault| panic!("{:#?}", fault.problems));
    let parts: BTreeSet<PartId> = names
        .iter()
        .map(|name| PartId(document.part_index(name).unwrap().0))
        .collect();
    let plan = plan(crate::audit(document), &parts);
    let plan = plan.unwrap_or_else(|refused| panic!("{refused:#?}"));
    let least = least(&plan).ok();
    let page = removal(&plan, least.as_ref(), Units::Metric, Look::default());
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn says(page: &str, sentences: &[&str]) {
    for sentence in sentences {
        assert!(page.contains(sentence), "{sentence}\n{page}");
    }
}

const CAMPER: &str = "parts:
  B1: {kind: battery, capacity: 75 Ah, cold-cranking: 600 A}
  B2: {kind: battery, capacity: 75 Ah, what: camper battery}
  ALT: {kind: alternator, rated: 100 A}
  ISO: {kind: relay, coil: 60 ohm, contact: 100 A, what: charging relay}
  RUN: {kind: feed, hot-in: run, limit: 10 A}
  LINK: {kind: fusible-link, rating: 60 A, size: 12 AWG}
  SP: {kind: splice, tap: piercing}
  HEAT: {kind: load, type: heater, draw: 8 A, needs-shutdown: 3 min, what: bunk heater}
  LIFT: {kind: load, type: motor, draw: 20 A, moves: true, near: [airbag, high-voltage, fuel, exhaust]}
  S1: {kind: switch, left: open, rating: 30 A}
  FRIDGE: {kind: load, type: electronics, draw: 3 A, parked: 1 A}
wires:
  - {id: alt, from: ALT, to: B1, size: 4 AWG, length: 1 m}
  - {id: chg, run: [B1, ISO.30], size: 4 AWG, lengths: [1 m]}
  - {id: aux, run: [ISO.87, B2], size: 4 AWG, lengths: [1 m]}
  - {id: ign, run: [RUN, SP, ISO.86], size: 18 AWG}
  - {id: hot, run: [SP, HEAT], size: 18 AWG}
  - {id: lift, run: [B1, LINK, S1, LIFT], size: 10 AWG, lengths: [1 m, 1 m, 2 m], route: [grommet]}
  - {id: fr, from: B2, to: FRIDGE, size: 12 AWG, length: 2 m}
";

#[test]
fn what_moves_is_hot_or_near_a_danger_is_heeded_first() {
    let page = sheet(CAMPER, &["ALT", "ISO", "HEAT", "LIFT", "SP"]);
    says(
        &page,
        &[
            "With the engine running nothing charges any more: the vehicle lives on what is in its battery.",
            "B2 (camper battery): it no longer reaches the battery that starts the engine.",
            // Of 1 m, 1 m, 1 m, and 1 m, 1 m, 2 m; the two halves of `ign` and `hot` are not measured.
            "Recovered: 7 m of wire, and 3 wires whose length is not stated.",
            "Let HEAT (bunk heater) run down and cool.",
            "HEAT (bunk heater) has to shut down by itself: wait 3 min after the key is off.",
            "LIFT moves something that can hurt: lower it, block it and let the pressure off.",
            "Take off, at the battery's side, the fusible link LINK (60 A).",
            "Before touching anything near an airbag or a belt tensioner",
            "Orange cables are near",
            "A fuel line is near",
            "The exhaust is near",
            "SP has bitten through insulation: mend that wire",
            // The battery feeds the alternator's cable, once the alternator is out.
            "alt (4 AWG) from ALT.+ to B1.+: first at B1.+.",
            "Take alt off at B1.+ too, where it is fed",
        ],
    );
}

#[test]
fn lengths_that_nobody_stated_are_no_length() {
    let page = sheet(CAMPER, &["HEAT"]);
    says(&page, &["Recovered: 1 wire whose length is not stated."]);
    assert!(!page.contains("0 cm"), "{page}");
}

const DOOR: &str = "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A}
  S1: {kind: switch, left: closed}
  K1: {kind: relay, coil: 90 ohm, contact: 30 A}
  X1: {kind: connector, pins: [1, 2]}
  G1: {kind: ground}
  BEACON: {kind: load, type: led, draw: 2 A}
  HORN: {kind: load, type: motor, draw: 5 A, required: true}
  S2: {kind: switch, momentary: true}
  RADIO: {kind: load, type: electronics, supplies: {main: {draw: 1 A, parked: 0 A}, memory: {draw: 5 mA, parked: 5 mA}}}
wires:
  - {id: a, run: [B1, F1, K1.30], size: 12 AWG, lengths: [1 m, 1 m]}
  - {id: b, run: [F1, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m]}
  - {id: c, run: [K1.87a, BEACON], size: 14 AWG}
  - {id: d, run: [S2, X1.1, HORN], size: 14 AWG}
  - {id: f, run: [F1, S2], size: 14 AWG}
  - {id: h, run: [F1, RADIO.main], size: 14 AWG}
  - {id: e, run: [F1, RADIO.memory], size: 14 AWG}
  - {id: g, run: [BEACON.-, G1], size: 14 AWG}
";

/// The relay rests on its normally closed contact without its switch, and the beacon burns all night.
#[test]
fn what_draws_more_than_before_is_told() {
    let page = sheet(DOOR, &["S1"]);
    says(
        &page,
        &[
            "BEACON draws more with the key off than before: 2 A instead of 0 A.",
            "K1, coil: nothing feeds it any more; name it too if it is to come out.",
        ],
    );
}

#[test]
fn what_stays_in_one_piece_is_told_in_its_number() {
    let page = sheet(DOOR, &["X1"]);
    says(
        &page,
        &[
            "d.1 and d.2 are joined where X1.1.a and X1.1.b were",
            "Wires that come out, from end to end None.",
            "What is named stays in its place with the least work: only the full removal takes it out.",
        ],
    );
    let page = sheet(DOOR, &["G1"]);
    says(&page, &["g keeps its ground where G1 was"]);
    let page = sheet(DOOR, &["F1"]);
    says(
        &page,
        &[
            "RADIO, main: nothing feeds it any more",
            "RADIO, memory: nothing feeds it any more",
        ],
    );
}

#[test]
fn a_wire_is_shared_with_what_works_on_alone() {
    // The beacon hangs on the relay's contact and goes dead with it.
    let page = sheet(DOOR, &["K1"]);
    says(
        &page,
        &[
            "BEACON: nothing feeds it any more",
            "a.1: shared with HORN and RADIO.",
        ],
    );
}

#[test]
fn a_wire_that_stays_for_a_stub_alone_says_so() {
    let text = "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A}
  BB: {kind: busbar}
  OLD: {kind: stub}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {id: a, run: [B1, F1, BB], size: 14 AWG, lengths: [1 m, 1 m]}
  - {id: b, from: BB, to: LAMP, size: 14 AWG, length: 1 m}
  - {id: c, from: BB, to: OLD, size: 14 AWG, length: 1 m}
";
    let page = sheet(text, &["LAMP"]);
    says(
        &page,
        &[
            "b BB LAMP.+ 14 AWG 1 m",
            "a.1 and a.2: kept for what hangs on them, though nothing that works draws through them.",
        ],
    );
}
