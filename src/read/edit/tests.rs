//! What is taken out of a text, and what stays as it is.

use pretty_assertions::assert_eq;

use super::*;

const RECORD: &str = r#"# A van.
keyoff: 1
vehicle: {name: Van, engine: {battery: B1}}  # two batteries

parts:
  # Sources
  B1: {kind: battery}
  RUN: {kind: feed, hot-in: run}

  F1: {kind: fuse, rating: 10 A}   # the added fuse
  S1:
    kind: switch   # rocker
    left: open

  # What it was for
  WORK: {kind: load, draw: 5 A}
  PILOT: {kind: load, draw: 20 mA, indicates: S1}

wires:
  - {run: [B1, F1, S1, WORK], size: 12 AWG, lengths: [10 cm, 1 m, 5 m]}  # to the lamps
  - from: WORK   # home
    to: chassis
    size: 12 AWG

  - {id: P, run: [S1, PILOT, chassis], size: 18 AWG, lengths: [1 m, 30 cm]}
  - {from: RUN, to: B1, size: 18 AWG, id: odd}

situations:
  at work: {key: run, closed: [S1]}
  parked with lamps:
    closed: S1

readings:
  - {where: battery negative, current: 20 mA}

accept:
  - {check: voltage-drop, part: WORK, because: it is far}
  - {check: voltage-drop, wire: w4, because: it is thin}   # the return
  - {check: voltage-drop, wire: P.2, because: it is thin}
"#;

fn read(text: &str) -> Document {
    super::super::read(
        "t.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}\n{text}", fault.problems))
}

fn index(document: &Document, name: &str) -> PartIndex {
    document.part_index(name).unwrap()
}

fn out(document: &Document, parts: &[&str], wires: &[usize]) -> TakeOut {
    TakeOut {
        parts: parts.iter().map(|name| index(document, name)).collect(),
        wires: wires.iter().copied().collect(),
        stands: BTreeMap::new(),
    }
}

#[test]
fn nothing_taken_out_leaves_all_but_the_readings() {
    let document = read(RECORD);
    let text = without(&document, &TakeOut::default()).unwrap();
    let expected = RECORD.replace(
        "readings:\n  - {where: battery negative, current: 20 mA}\n\n",
        "",
    );
    assert_eq!(text, expected);
}

#[test]
fn a_part_goes_with_its_wires_and_with_everything_that_names_it() {
    let document = read(RECORD);
    let taken = out(&document, &["S1", "PILOT"], &[1, 2, 4, 5]);
    let text = without(&document, &taken).unwrap();
    let expected = r#"# A van.
keyoff: 1
vehicle: {name: Van, engine: {battery: B1}}  # two batteries

parts:
  # Sources
  B1: {kind: battery}
  RUN: {kind: feed, hot-in: run}

  F1: {kind: fuse, rating: 10 A}   # the added fuse

  # What it was for
  WORK: {kind: load, draw: 5 A}

wires:
  - {run: [B1, F1], size: 12 AWG, lengths: [10 cm]}  # to the lamps
  - from: WORK   # home
    to: chassis
    size: 12 AWG

  - {from: RUN, to: B1, size: 18 AWG, id: odd}

situations:
  at work: {key: run}
  parked with lamps:
    {key: off}

accept:
  - {check: voltage-drop, part: WORK, because: it is far}
  - {check: voltage-drop, wire: w2, because: it is thin}   # the return
"#;
    assert_eq!(text, expected);
    read(&text);
}

#[test]
fn a_run_cut_in_the_middle_becomes_two_wires() {
    let document = read(RECORD);
    let mut taken = out(&document, &["F1"], &[]);
    for terminal in [0, 1] {
        let name = ["F1-in", "F1-out"][terminal].to_owned();
        let stand = Stand {
            name,
            kind: "stub",
            keys: "end: capped".to_owned(),
        };
        taken
            .stands
            .insert((index(&document, "F1"), terminal as u16), stand);
    }
    let text = without(&document, &taken).unwrap();
    assert!(
        text.contains("  F1-in: {kind: stub, end: capped}\n  F1-out: {kind: stub, end: capped}\n"),
        "{text}"
    );
    assert!(
        text.contains(
            "  - {run: [B1, F1-in], size: 12 AWG, lengths: [10 cm]}\n  - {run: [F1-out, S1, WORK], size: 12 AWG, lengths: [1 m, 5 m]}  # to the lamps\n"
        ),
        "{text}"
    );
    assert_eq!(read(&text).wires.len(), document.wires.len());
}

#[test]
fn ids_of_the_pieces_of_a_run_are_their_own() {
    let document = read(RECORD);
    let mut taken = out(&document, &["PILOT"], &[]);
    let stand = |name: &str| Stand {
        name: name.to_owned(),
        kind: "stub",
        keys: "end: capped".to_owned(),
    };
    taken
        .stands
        .insert((index(&document, "PILOT"), 0), stand("one"));
    taken
        .stands
        .insert((index(&document, "PILOT"), 1), stand("two"));
    let text = without(&document, &taken).unwrap();
    let ids: Vec<String> = read(&text)
        .wires
        .iter()
        .map(|wire| wire.id.clone())
        .collect();
    assert_eq!(ids, ["w1", "w2", "w3", "w4", "P", "P-2", "odd"]);
    assert!(text.contains("wire: P-2, because"), "{text}");
}

#[test]
fn one_splice_in_place_of_a_part_keeps_the_run_whole() {
    let document = read(RECORD);
    let mut taken = out(&document, &["F1"], &[]);
    let stand = Stand {
        name: "F1-joint".to_owned(),
        kind: "splice",
        keys: String::new(),
    };
    for terminal in [0, 1] {
        taken
            .stands
            .insert((index(&document, "F1"), terminal), stand.clone());
    }
    let text = without(&document, &taken).unwrap();
    assert!(text.contains("run: [B1, F1-joint, S1, WORK]"), "{text}");
    assert_eq!(text.matches("kind: splice").count(), 1);
    read(&text);
}

#[test]
fn what_something_else_is_fed_from_stays() {
    let text = RECORD.replace("hot-in: run}", "hot-in: run, from: S1.out}");
    let document = read(&text);
    let problems = without(&document, &out(&document, &["S1"], &[])).unwrap_err();
    assert!(problems[0].message.contains("fed from it"), "{problems:?}");
    let problems = without(&document, &out(&document, &["B1"], &[])).unwrap_err();
    assert!(problems[0].message.contains("`B1`"), "{problems:?}");
}

#[test]
fn what_is_repeated_elsewhere_stays() {
    let text = RECORD
        .replace("closed: [S1]}", "closed: &on [S1]}")
        .replace("    closed: S1", "    closed: *on");
    let document = read(&text);
    let gone = without(&document, &out(&document, &["S1", "PILOT"], &[1, 2, 4, 5])).unwrap();
    read(&gone);
    let text = RECORD
        .replace("S1:\n    kind", "S1: &s\n    kind")
        .replace("PILOT: {kind", "S2: *s\n  PILOT: {kind");
    let document = read(&text);
    let problems = without(&document, &out(&document, &["S1"], &[])).unwrap_err();
    assert!(problems[0].message.contains("repeats"), "{problems:?}");
}

#[test]
fn records_between_braces_and_with_other_line_ends() {
    let text = "{keyoff: 1, parts: {B1: {kind: battery}, F1: {kind: fuse}, L: {kind: load}}, wires: [{from: B1, to: F1}, {from: F1, to: L}], accept: [{check: x, part: L, because: y}]}";
    let document = read(text);
    let gone = without(&document, &out(&document, &["L"], &[1])).unwrap();
    assert_eq!(
        gone,
        "{keyoff: 1, parts: {B1: {kind: battery}, F1: {kind: fuse}}, wires: [{from: B1, to: F1}]}"
    );
    let windows = RECORD.replace('\n', "\r\n");
    let document = read(&windows);
    let gone = without(&document, &out(&document, &["S1", "PILOT"], &[1, 2, 4, 5])).unwrap();
    assert_eq!(gone.matches('\n').count(), gone.matches("\r\n").count());
    read(&gone);
}

#[test]
fn templates_and_groups_lose_what_they_named() {
    let text = "keyoff: 1
library:
  pilot: {kind: load, draw: 20 mA, indicates: S1}
parts:
  B1: {kind: battery}
  S1: {kind: switch}
  X1: {kind: connector, pins: [1], detach: trailer}
  X2: {kind: connector, pins: [1], detach: plow}
  P: {use: pilot}
situations:
  summer: {detached: [trailer, plow], duty: {P: 10 %}, closed: [S1]}
";
    let document = read(text);
    let gone = without(&document, &out(&document, &["S1", "X1"], &[])).unwrap();
    assert!(
        gone.contains("summer: {detached: [plow], duty: {P: 10 %}}"),
        "{gone}"
    );
    assert!(gone.contains("pilot: {kind: load, draw: 20 mA}"), "{gone}");
    read(&gone);
}

#[test]
fn what_a_library_file_names_cannot_be_changed_here() {
    let text = "keyoff: 1\nlibrary: feeds.yaml\nparts:\n  B1: {kind: battery}\n  B2: {kind: battery}\n  ACC: {use: slot}\n";
    let library = b"keyoff: 1\nlibrary:\n  slot: {kind: feed, hot-in: run, battery: B2}\n";
    let document = super::super::read(
        "t.yaml",
        text.as_bytes(),
        &mut |_| Ok(library.to_vec()),
        &Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}", fault.problems));
    let problems = without(&document, &out(&document, &["B2"], &[])).unwrap_err();
    assert_eq!(
        problems[0].message,
        "`ACC` stays and names `B2` by a library file"
    );
    assert_eq!(problems[0].at.file, FileId(1));
    // What names it goes too.
    let gone = without(&document, &out(&document, &["B2", "ACC"], &[])).unwrap();
    assert!(gone.ends_with("parts:\n  B1: {kind: battery}\n"), "{gone}");
}

#[test]
fn a_template_without_a_kind_has_that_of_its_user() {
    let text = "keyoff: 1
library:
  pilot: {draw: 20 mA, indicates: S1}
parts:
  S1: {kind: switch}
  P: {use: pilot, kind: load}
";
    let document = read(text);
    let gone = without(&document, &out(&document, &["S1"], &[])).unwrap();
    assert!(gone.contains("pilot: {draw: 20 mA}"), "{gone}");
    read(&gone);
}

#[test]
fn names_that_are_no_plain_words_are_quoted_in_braces_too() {
    let text = r#"{keyoff: 1, parts: {B1: {kind: battery}, "say \"x\" #2": {kind: stud}, L: {kind: load}}, wires: [{run: [B1, "say \"x\" #2", L]}], accept: []}"#;
    let document = read(text);
    let mut taken = out(&document, &["say \"x\" #2"], &[]);
    let stand = Stand {
        name: "say \"x\" #2-joint".to_owned(),
        kind: "splice",
        keys: String::new(),
    };
    let stud = index(&document, "say \"x\" #2");
    taken.stands.insert((stud, 0), stand);
    assert_eq!(
        without(&document, &taken).unwrap(),
        r#"{keyoff: 1, parts: {B1: {kind: battery}, "say \"x\" #2-joint": {kind: splice}, L: {kind: load}}, wires: [{run: [B1, "say \"x\" #2-joint", L]}], accept: []}"#
    );
}

#[test]
fn a_run_between_braces_is_cut_in_two() {
    let text = "{keyoff: 1, parts: {A: {kind: stud}, B: {kind: stud}, C: {kind: stud}, D: {kind: stud}}, wires: [{run: [A, B, C, D], size: 12 AWG}]}";
    let document = read(text);
    let gone = without(&document, &out(&document, &[], &[1])).unwrap();
    let again = read(&gone);
    assert_eq!(again.wires.len(), 2, "{gone}");
    assert!(gone.contains("A, B") && gone.contains("C, D"), "{gone}");
    // What is written by repeating other words is not taken apart.
    let repeated = text.replace("[A, B, C, D], size", "&way [A, B, C, D], size");
    let repeated = repeated.replace("12 AWG}]", "12 AWG}, {run: *way, size: 14 AWG}]");
    let document = read(&repeated);
    let problems = without(&document, &out(&document, &[], &[4])).unwrap_err();
    assert_eq!(
        problems[0].message,
        "this wire is written by repeating other words"
    );
}

#[test]
fn a_record_of_nothing_is_none() {
    let document = read("keyoff: 1\nparts:\n  F1: {kind: fuse}\n");
    let problems = without(&document, &out(&document, &["F1"], &[])).unwrap_err();
    assert_eq!(problems[0].message, "nothing would be left of the record");
}
