//! The command line: exit codes, where things are printed, what is written.

use std::process::Stdio;

use serde_json::Value;

use crate::run::Folder;
use crate::run::finish;
use crate::run::keyoff;
use crate::run::run;
use crate::run::run_in;
use crate::run::run_with_input;

const SOUND: &str = "tests/data/clean/work-lamps-on-a-relay.yaml";
const FAULTY: &str = "tests/data/faulty/fuse-exceeds-wire--F1.yaml";

fn sound() -> String {
    std::fs::read_to_string(crate::run::root().join(SOUND)).unwrap()
}

#[test]
fn help_and_version_are_answers_and_bad_usage_is_not() {
    let help = run(["--help"]);
    assert_eq!(help.code, Some(0));
    assert!(help.out.contains("Exit codes"), "{help:?}");
    assert_eq!(
        run(["--version"]).out,
        format!("keyoff {}\n", env!("CARGO_PKG_VERSION"))
    );
    for bad in [
        &["frobnicate"][..],
        &["audit"],
        &["audit", "--format", "xml", SOUND],
        &[],
    ] {
        let bad = run(bad);
        assert_eq!(bad.code, Some(2), "{bad:?}");
        assert_eq!(bad.out, "");
        assert!(!bad.err.is_empty());
    }
}

#[test]
fn exit_codes_follow_the_level_asked_for() {
    assert_eq!(run(["audit", SOUND]).code, Some(0));
    assert_eq!(run(["audit", FAULTY]).code, Some(1));
    assert_eq!(run(["audit", FAULTY, "--fail-on", "never"]).code, Some(0));
    let warned = "tests/data/faulty/ahead-of-ignition--BEACON.yaml";
    assert_eq!(run(["audit", warned, "--fail-on", "warning"]).code, Some(1));
    // The worst of several records counts.
    assert_eq!(run(["audit", FAULTY, SOUND]).code, Some(1));
    assert_eq!(run(["audit", FAULTY, "no-such.yaml", SOUND]).code, Some(2));
}

#[test]
fn what_a_limit_leaves_out_is_said() {
    let many = "tests/data/hostile/switches-in-a-crowd.yaml";
    let audit = |settings: &str| {
        let ran = run(["audit", "--format", "json", "--settings", settings, many]);
        serde_json::from_str::<Value>(&ran.out).unwrap()
    };
    let [few, more] = ["2", "64"].map(audit);
    for of in [&few, &more] {
        assert_eq!(of["explored"]["complete"], false);
        assert!(of["explored"]["settings"].as_u64() < of["explored"]["of"].as_u64());
        let gaps = of["not_checked"].to_string();
        assert!(gaps.contains("settings: "), "{gaps}");
    }
    assert!(few["explored"]["settings"].as_u64() < more["explored"]["settings"].as_u64());
    assert_eq!(run(["audit", "--settings", "1", many]).code, Some(2));
    let text = run(["audit", "--settings", "2", many]).out;
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("what shows only in the others is not in this report"),
        "{text}"
    );
}

#[test]
fn a_file_that_cannot_be_had_is_told_on_standard_error() {
    let missing = run(["audit", "no-such.yaml"]);
    assert_eq!((missing.code, missing.out.as_str()), (Some(2), ""));
    assert!(
        missing.err.contains("there is no file `no-such.yaml`"),
        "{missing:?}"
    );
    let folder = run(["park", "examples"]);
    assert_eq!(folder.code, Some(2));
    assert!(folder.err.contains("is a folder"), "{folder:?}");
    let large = run(["audit", SOUND, "--max-size", "100"]);
    assert_eq!(large.code, Some(2));
    assert!(large.err.contains("larger than 100 bytes"), "{large:?}");
}

#[test]
fn what_cannot_be_used_is_json_too_where_json_is_asked_for() {
    let missing = run(["audit", "--format", "json", "no-such.yaml"]);
    assert_eq!(missing.code, Some(2));
    let value: Value = serde_json::from_str(&missing.out).unwrap();
    assert_eq!(value["unreadable"][0]["at"], Value::Null);
    let broken = run_with_input(
        b"keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
        ["audit", "--format", "json", "-"],
    );
    assert_eq!(broken.code, Some(2));
    let value: Value = serde_json::from_str(&broken.out).unwrap();
    assert_eq!(value["document"]["path"], "-");
    assert_eq!(value["unreadable"][0]["at"]["line"], 2);
    // A name that is not in the record is answered in the same shape.
    for args in [
        &["trace", SOUND, "NOPE"][..],
        &["remove", SOUND, "NOPE"],
        &["size", SOUND, "--for", "NOPE"],
    ] {
        let wrong = run(args.iter().chain(&["--format", "json"]));
        assert_eq!(wrong.code, Some(2), "{wrong:?}");
        let value: Value = serde_json::from_str(&wrong.out).unwrap();
        let message = value["unreadable"][0]["message"].as_str().unwrap();
        assert!(message.contains("`NOPE`"), "{message}");
        let words = run(args);
        assert!(
            words.out.is_empty() && words.err.contains(message),
            "{words:?}"
        );
    }
}

#[test]
fn standard_input_reads_like_a_file() {
    let text = sound();
    let from_file = run(["audit", "--format", "json", SOUND]);
    let from_input = run_with_input(text.as_bytes(), ["audit", "--format", "json", "-"]);
    assert_eq!(from_input.out, from_file.out.replacen(SOUND, "-", 1));
}

#[test]
fn colours_are_only_for_terminals_and_for_those_who_insist() {
    assert!(!run(["audit", FAULTY]).out.contains('\u{1b}'));
    assert!(
        run(["audit", FAULTY, "--color", "always"])
            .out
            .contains("\u{1b}[")
    );
    let broken = run_with_input(b"keyoff: 1\n", ["audit", "-"]);
    assert!(!broken.err.contains('\u{1b}'));
}

#[test]
fn two_runs_print_the_same_bytes() {
    for form in ["text", "json", "csv", "sarif", "junit"] {
        let args = [
            "audit",
            "--format",
            form,
            "examples/used-truck.yaml",
            FAULTY,
        ];
        assert_eq!(run(args), run(args), "{form}");
    }
}

#[test]
fn a_reader_that_has_seen_enough_is_no_fault() {
    let mut child = keyoff()
        .args(["audit", "--fail-on", "never", "examples/used-truck.yaml"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn a_library_is_found_beside_the_record() {
    let folder = Folder::new();
    folder.file("trucks/shelf.yaml", "keyoff: 1\nlibrary:\n  lamp: {kind: load, type: led, what: work lamp, draw: 14 A, max-fuse: 30 A}\n");
    let text = sound().replacen("keyoff: 1\n", "keyoff: 1\nlibrary: shelf.yaml\n", 1).replacen(
        "{kind: load, type: led, what: four LED work lamps, draw: 14 A, max-fuse: 30 A, zone: exterior}",
        "{use: lamp, zone: exterior}",
        1,
    );
    assert!(text.contains("use: lamp"));
    folder.file("trucks/truck.yaml", &text);
    let ran = run_in(&folder.0, ["audit", "trucks/truck.yaml"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let lost = run_in(&folder.0.join("trucks"), ["audit", "../trucks/truck.yaml"]);
    assert_eq!(lost.code, Some(0), "{lost:?}");
    std::fs::remove_file(folder.0.join("trucks/shelf.yaml")).unwrap();
    let lost = run_in(&folder.0, ["audit", "trucks/truck.yaml"]);
    assert_eq!(lost.code, Some(2), "{lost:?}");
    assert!(lost.err.contains("shelf.yaml"), "{lost:?}");
}

#[test]
fn a_new_record_is_written_once_and_audits_clean() {
    let folder = Folder::new();
    let ran = run_in(&folder.0, ["new", "truck 7.yaml"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(0), ""), "{ran:?}");
    let text = folder.read("truck 7.yaml");
    assert!(text.contains("name: truck 7\n"), "{text}");
    let audit = run_in(
        &folder.0,
        [
            "audit",
            "--fail-on",
            "note",
            "--format",
            "json",
            "truck 7.yaml",
        ],
    );
    assert_eq!(audit.code, Some(0), "{audit:?}");
    let value: Value = serde_json::from_str(&audit.out).unwrap();
    assert_eq!(
        value["summary"]["not_checked"], 0,
        "{}",
        value["not_checked"]
    );

    folder.file("truck 7.yaml", "mine\n");
    let again = run_in(&folder.0, ["new", "truck 7.yaml"]);
    assert_eq!(again.code, Some(2));
    assert!(again.err.contains("--force"), "{again:?}");
    assert_eq!(folder.read("truck 7.yaml"), "mine\n");
    assert_eq!(
        run_in(&folder.0, ["new", "--force", "truck 7.yaml"]).code,
        Some(0)
    );
    assert_eq!(folder.read("truck 7.yaml"), text);
}

#[test]
fn a_new_record_without_a_file_is_printed_under_any_name() {
    let name = "Crew's \"#7\": {odd}";
    let printed = run(["new", name]);
    assert_eq!(printed.code, Some(0));
    let audit = run_with_input(printed.out.as_bytes(), ["audit", "--format", "json", "-"]);
    let value: Value = serde_json::from_str(&audit.out).unwrap();
    assert_eq!(value["document"]["name"], name);
}

#[test]
fn explain_lists_all_checks_and_says_which_name_is_nearest() {
    // Its words are those of the book, wrapped to the screen.
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let list = run(["explain"]);
    assert_eq!(list.code, Some(0));
    for check in keyoff::check::ALL {
        assert!(list.out.contains(check.meta.name), "{}", check.meta.name);
        let page = run(["explain", check.meta.name]);
        assert_eq!(page.code, Some(0));
        assert!(
            words(&page.out).contains(&words(check.meta.page)),
            "{}",
            check.meta.name
        );
    }
    let near = run(["explain", "fuse-exceed-wire"]);
    assert_eq!(near.code, Some(2));
    assert!(
        near.err.contains("did you mean `fuse-exceeds-wire`?"),
        "{near:?}"
    );
}

#[test]
fn schemas_are_printed_as_they_stand() {
    let list = run(["schema"]);
    for schema in keyoff::render::schema::ALL {
        assert!(list.out.contains(schema.name));
        assert_eq!(run(["schema", schema.name]).out, schema.text);
        let file = crate::run::root().join(format!("schemas/{}.schema.json", schema.name));
        assert_eq!(std::fs::read_to_string(file).unwrap(), schema.text);
    }
    assert_eq!(run(["schema", "vehicles"]).code, Some(2));
}

#[test]
fn shells_and_manuals_are_served() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = run(["completions", shell]);
        assert_eq!(script.code, Some(0));
        assert!(script.out.contains("audit"), "{shell}");
    }
    assert!(run(["manual"]).out.contains(".TH keyoff 1"));
    assert!(run(["manual", "audit"]).out.contains("fail\\-on"));
    assert_eq!(run(["manual", "odit"]).code, Some(2));
}

#[test]
fn the_environment_can_ask_for_no_colour() {
    let ran = finish(keyoff().env("NO_COLOR", "1").args(["audit", FAULTY]));
    assert!(!ran.out.contains('\u{1b}'));
}

#[test]
fn charts_are_written_beside_the_answer() {
    let folder = Folder::new();
    let record = crate::run::root().join(FAULTY);
    let record = record.to_str().unwrap();
    let ran = run_in(&folder.0, ["park", record, "-o", "park.svg"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(folder.read("park.svg").starts_with("<svg"));
    assert!(
        folder
            .read("park.svg")
            .contains("days since the key went off")
    );
    assert_eq!(
        run_in(&folder.0, ["park", record, "-o", "park.svg"]).code,
        Some(2)
    );
    let none = run_in(&folder.0, ["budget", record, "-o", "shift.svg"]);
    assert_eq!(none.code, Some(2));
    assert!(none.err.contains("no shift to draw"), "{none:?}");
    std::fs::write(
        folder.0.join("shift.yaml"),
        "keyoff: 1
vehicle: {system: 12 V, own-load: {off: 20 mA, run: 20 A}, engine: {cranking: 200 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 700 A, charge: 90 %, health: 90 %}
  ALT: {kind: alternator, rated: 120 A, at-idle: 50 A}
situations:
  shift: {key: run, for: 6 h, phases: [{what: drive, engine: cruise, for: 1 h}, {what: wait, engine: stopped, for: 2 h}]}
",
    )
    .unwrap();
    let shift = run_in(&folder.0, ["budget", "shift.yaml", "-o", "shift.svg"]);
    assert_eq!(shift.code, Some(0), "{shift:?}");
    assert!(folder.read("shift.svg").contains("drive"));
}

#[test]
fn a_diagram_is_printed_or_written() {
    let plain = run(["diagram", SOUND]);
    assert_eq!(plain.code, Some(0), "{plain:?}");
    assert!(plain.out.starts_with("<svg"), "{}", &plain.out[..80]);
    assert!(plain.out.contains("WORK"));
    let folder = Folder::new();
    let record = crate::run::root().join(SOUND);
    let record = record.to_str().unwrap();
    let ran = run_in(&folder.0, ["diagram", record, "-o", "x.svg"]);
    assert_eq!((ran.code, ran.out.as_str()), (Some(0), ""), "{ran:?}");
    assert_eq!(folder.read("x.svg"), plain.out);
    let again = run_in(&folder.0, ["diagram", record, "-o", "x.svg"]);
    assert_eq!(again.code, Some(2));
    let night = run(["diagram", SOUND, "--situation", "working at night"]);
    assert_eq!(night.code, Some(0));
    assert_ne!(night.out, plain.out);
    let marked = run(["diagram", FAULTY, "--findings"]);
    assert_eq!(marked.code, Some(0));
    assert_ne!(marked.out, run(["diagram", FAULTY]).out);
    let unknown = run(["diagram", SOUND, "--situation", "working at nite"]);
    assert_eq!(unknown.code, Some(2));
    assert!(
        unknown.err.contains("did you mean `working at night`?"),
        "{unknown:?}"
    );
    assert_eq!(run(["diagram", "no-such.yaml"]).code, Some(2));
}

/// One name that is wider than the paper cannot be cut smaller: the drawing ends all the same.
#[test]
fn every_readable_record_that_means_ill_is_drawn() {
    let mut drawn = 0;
    for record in crate::run::records("tests/data/hostile") {
        let ran = run(["diagram", &record]);
        assert!(matches!(ran.code, Some(0 | 2)), "{record}: {ran:?}");
        drawn += usize::from(ran.code == Some(0));
    }
    assert!(drawn > 10, "{drawn}");
}

#[test]
fn a_record_after_a_removal_is_written_beside_and_audits_as_promised() {
    let folder = Folder::new();
    let record = "examples/before-removal.yaml";
    let after = folder.0.join("after.yaml");
    let after = after.to_str().unwrap();
    let parts = ["SIREN", "F2"];
    let args = |more: &[&'static str]| {
        let fixed = [
            "remove", record, "SIREN", "F2", "--format", "json", "--write", after,
        ];
        let all: Vec<String> = fixed
            .iter()
            .chain(more)
            .map(|one| (*one).to_owned())
            .collect();
        run(all)
    };
    let first = args(&[]);
    assert_eq!(first.code, Some(0), "{first:?}");
    assert_eq!(first.err, format!("wrote {after}\n"));
    let written = folder.read("after.yaml");
    let original = std::fs::read_to_string(crate::run::root().join(record)).unwrap();
    for line in original
        .lines()
        .filter(|line| line.trim_start().starts_with('#'))
    {
        assert!(written.contains(line), "{line}");
    }
    for part in parts {
        assert!(!written.contains(&format!("{part}:")), "{part}");
    }
    let plan: Value = serde_json::from_str(&first.out).unwrap();
    let audit = run(["audit", "--format", "json", after]);
    let audit: Value = serde_json::from_str(&audit.out).unwrap();
    assert_eq!(audit["key_off"]["draw_a"], plan["after"]["draw_a"]);
    assert_eq!(audit["summary"]["errors"], plan["after"]["errors"]);
    assert_eq!(audit["summary"]["warnings"], plan["after"]["warnings"]);
    // Never over what is there, unless told to.
    std::fs::write(folder.0.join("after.yaml"), "mine").unwrap();
    let refused = args(&[]);
    assert_eq!((refused.code, refused.out.as_str()), (Some(2), ""));
    assert_eq!(folder.read("after.yaml"), "mine");
    assert_eq!(args(&["--force"]).code, Some(0));
    assert_eq!(folder.read("after.yaml"), written);
    // Out of what is written nothing more of the same can be taken.
    let again = run(["remove", after, "SIREN"]);
    assert_eq!(again.code, Some(2));
    assert!(again.err.contains("there is no part `SIREN`"), "{again:?}");
}

#[test]
fn what_cannot_be_taken_out_is_told_with_its_place() {
    let record = b"keyoff: 1
parts:
  B1: {kind: battery}
  B2: {kind: battery}
  M: {kind: disconnect}
  RUN: {kind: feed, hot-in: run, from: M.out}
wires:
  - {run: [B2, M], size: 2 AWG, lengths: [1 m]}
";
    let ran = run_with_input(record, ["remove", "-", "M"]);
    assert_eq!(ran.code, Some(2));
    assert!(
        ran.err.contains("fed from it") && ran.err.contains("6:"),
        "{ran:?}"
    );
    let ran = run_with_input(record, ["remove", "-", "B1"]);
    assert_eq!(ran.code, Some(2));
    assert!(ran.err.contains("starts the engine"), "{ran:?}");
}

const DYING: &str = "keyoff: 1
vehicle: {name: a truck, system: 12 V, own-load: {off: 20 mA (measured), run: 20 A}} # dies
parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade} # the added one
# nothing read yet
";

#[test]
fn readings_are_asked_for_and_written_into_the_record() {
    let folder = Folder::new();
    let path = folder.file("truck.yaml", DYING);
    let path = path.to_str().unwrap();
    let ran = run_with_input(
        b"110\n{pulled: F9, current: 1 mA}\n{pulled: F2, current: 21 mA}\n",
        ["hunt", "--interactive", path],
    );
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(
        ran.err.contains("not written"),
        "F9 is no fuse of it: {ran:?}"
    );
    assert!(ran.out.contains("Found behind F2"), "{ran:?}");
    let written = folder.read("truck.yaml");
    let tail = written
        .strip_prefix(DYING)
        .expect("all else stays as it was");
    assert_eq!(
        tail,
        "\nreadings:\n  - {where: battery negative, after: 30 min, current: 110 mA}\n  - {pulled: F2, current: 21 mA}\n"
    );
}

#[test]
fn millivolts_that_cannot_be_are_asked_for_again_as_millivolts() {
    let folder = Folder::new();
    let read = format!(
        "{DYING}readings:\n  - {{where: battery negative, after: 40 min, current: 350 mA}}\n  - {{across: F2, drop: 350 mV}}\n"
    );
    let path = folder.file("truck.yaml", &read);
    let path = path.to_str().unwrap();
    let ran = run_with_input(b"0\n\n", ["hunt", "--interactive", path]);
    let (asked, _) = ran.out.split_once("{across: F2, drop: ? mV}").unwrap();
    assert!(
        asked.contains("Red lead in the V jack") && !asked.contains("10 A jack"),
        "{ran:?}"
    );
    let written = folder.read("truck.yaml");
    assert!(
        written.ends_with("  - {across: F2, drop: 0 mV}\n"),
        "{written}"
    );
}

#[test]
fn an_empty_answer_ends_the_hunt_and_writes_nothing() {
    let folder = Folder::new();
    let path = folder.file("truck.yaml", DYING);
    let path = path.to_str().unwrap();
    assert_eq!(
        run_with_input(b"\n", ["hunt", "--interactive", path]).code,
        Some(0)
    );
    assert_eq!(folder.read("truck.yaml"), DYING);
    assert_eq!(
        run_with_input(b"1\n", ["hunt", "--interactive", "-"]).code,
        Some(2)
    );
}

/// The closed sum lets everything draw to the end; a cutoff that opens in time makes its "no" a "yes".
#[test]
fn parked_behind_a_cutoff_it_starts_where_the_sum_says_no() {
    let folder = Folder::new();
    let record = |opens: &str| {
        format!(
            "keyoff: 1
vehicle: {{name: guarded, system: 12 V, climate: {{parked: 10 C}}, engine: {{cranking: 200 A}}, own-load: {{off: 5 mA, run: 20 A}}, stands: 20 days}}
parts:
  B1: {{kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A}}
  F1: {{kind: fuse, rating: 20 A, form: blade}}
  LVD: {{kind: cutoff, opens: {opens}, closes: 13.2 V, draw: 3 mA, rating: 20 A}}
  HEATER: {{kind: load, type: heater, draw: 1 A, stays-live: heat}}
wires:
  - {{run: [B1, F1, LVD, HEATER], size: 12 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}}
  - {{from: HEATER, to: chassis, size: 12 AWG, length: 1 m, insulation: gxl}}
"
        )
    };
    let words = |more: &[&str]| {
        let ran = run_in(&folder.0, [&["park", "guarded.yaml"], more].concat());
        ran.out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    folder.file("guarded.yaml", &record("12.6 V"));
    let in_time = words(&[]);
    assert!(in_time.contains("After 20 days at 10 C: no."), "{in_time}");
    assert!(
        in_time.contains("the engine starts for 46.7 days: yes."),
        "{in_time}"
    );
    // At another temperature than it was followed at there is no answer.
    let colder = words(&["--at", "-10C"]);
    assert!(
        colder.contains("the engine starts for 46.7 days. Days"),
        "{colder}"
    );
    folder.file("guarded.yaml", &record("12.2 V"));
    let too_late = words(&[]);
    assert!(too_late.contains("days: still no."), "{too_late}");
}
