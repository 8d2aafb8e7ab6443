//! What the papers say of a vehicle with something of everything.

use std::collections::BTreeSet;

use super::*;
use crate::advise::removal;
use crate::model::PartId;
use crate::read;
use crate::read::document::Document;

const RECORD: &str = "keyoff: 1
vehicle: {name: Mixed truck, system: 12 V, own-load: {off: 20..30 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah, cold-cranking: 600 A}
  MASTER: {kind: disconnect, left: closed}
  FM: {kind: fuse, rating: 60 A, form: bolt-down, status: factory}
  SP: {kind: busbar, status: factory}
  A1: {kind: fuse, rating: 15 A, form: blade}
  A2: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, left: open}
  LAMP: {kind: load, type: led, draw: 1.5 A, duty: 20 %}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 6 mA, stays-live: {because: theft tracking, at-most: 10 mA}}
  SIREN: {kind: load, type: electronics, draw: 1 A, parked: 0 A, status: abandoned}
wires:
  - {id: main, run: [B1, MASTER, FM, SP], size: 8 AWG, lengths: [5 cm, 5 cm, 2 m]}
  - {id: feed, run: [SP, A1, S1, LAMP], size: 14 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {id: a2, run: [SP, A2, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
  - {id: old, from: SP, to: SIREN, size: 18 AWG, length: 1 m, status: abandoned}
readings:
  - {when: 2026-11-02 08:00, after: 40 min, current: 110 mA}
  - {across: A1, drop: 0.0 mV}
  - {at: TRACKER, voltage: 12.4 V}
  - {where: a2.1, current: 90 mA}
  - {where: battery negative, pulled: A2}
  - {current: 26 mA}
  - {refitted: A2}
accept:
  - {check: abandoned-live, part: SIREN, because: the owner wants it back in spring}
";

fn document() -> Document {
    let none = &mut |_: &str| Err(String::new());
    let read = read::read("t.yaml", RECORD.as_bytes(), none, &read::Limits::default());
    read.unwrap_or_else(|fault| panic!("{:#?}", fault.problems))
}

/// The words of a page: cells with a stroke between them, lines as one.
fn words(page: &str) -> String {
    let mut text = String::new();
    for piece in page
        .replace("</td>", " | ")
        .replace("</th>", " | ")
        .split('<')
    {
        let (tag, words) = piece.split_once('>').unwrap_or(("", piece));
        let within = ["span", "/span", "code", "/code", "strong", "/strong"];
        if !within.iter().any(|name| tag.starts_with(name)) {
            text.push(' ');
        }
        text.push_str(words);
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn says(page: &str, sentences: &[&str]) {
    for sentence in sentences {
        assert!(page.contains(sentence), "{sentence}\n{page}");
    }
}

#[test]
fn the_hand_over_tells_what_stays_live_what_was_read_and_what_was_accepted() {
    let audit = crate::audit(document());
    let page = words(&paper(Kind::HandOver, &audit, Options::default()));
    says(
        &page,
        &[
            "TRACKER | theft tracking | 10 mA |",
            "S1 is off",
            "MASTER is open, once modules are asleep and nothing needs it",
            // 20 mA to 30 mA of its own, and the tracker's 6 mA.
            "Key off, asleep: current out of B1 | 26 mA to 36 mA |",
            "2026-11-02 08:00 | 110 mA in battery negative | off | 40 min |",
            "| 0.0 mV across A1 |",
            "| 12.4 V at TRACKER |",
            "| 90 mA in a2.1 |",
            // Where the meter was is said with the fuse that was pulled.
            "| nothing | off | not stated | A2 |",
            "| 26 mA in battery negative |",
            "| nothing | off | not stated | | A2 |",
            "SIREN was left behind and is live with the key off. | the owner wants it back in spring. |",
            "intermittent: LAMP, 20 % of the time | 1.5 A |",
        ],
    );
}

#[test]
fn the_condition_tells_whose_each_part_is_and_what_was_left_behind() {
    let audit = crate::audit(document());
    let page = words(&paper(Kind::Condition, &audit, Options::default()));
    says(
        &page,
        &["factory", "old | wire from SP to SIREN.+ | abandoned |"],
    );
}

#[test]
fn a_removal_record_keeps_the_names_of_wires_and_says_where_there_is_no_choice() {
    let document = document();
    let joint = PartId(document.part_index("SP").unwrap().0);
    let plan = removal::plan(crate::audit(document), &BTreeSet::from([joint])).unwrap();
    let page = words(&removal_record(&plan, Options::default()));
    says(
        &page,
        &[
            "No wire comes out.",
            "main.3, feed.1, a2.1 and old are joined where SP was",
            "only the full removal takes it out.",
        ],
    );
    assert!(!page.contains("Main.3"), "{page}");
}
