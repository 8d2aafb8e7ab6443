//! Whole vehicles through the real binary: sound ones raise nothing, one seeded fault is named by the right check on the
//! right part, records meant to break the tool end in a verdict or in advice, never in a crash.
//!
//! What is expected was decided by a reading of the trade before the tool ran; the header of each file states it.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

use keyoff::read::document::Kind;
use serde_json::Value;

#[path = "../bench/vehicle.rs"]
mod generated;

/// What takes longer, unoptimised and beside whatever else the machine does, would not end.
const PATIENCE: Duration = Duration::from_secs(600);

fn folder(name: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let mut files: Vec<PathBuf> = fs::read_dir(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()))
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .collect();
    files.sort();
    assert!(!files.is_empty(), "{name} holds nothing to run");
    files
}

fn name(path: &Path) -> &str {
    path.file_stem().and_then(|stem| stem.to_str()).unwrap()
}

/// The value of a `# Key: value` line at the top of a record.
fn header(text: &str, key: &str) -> Option<String> {
    text.lines().find_map(|line| {
        let line = line.trim_start_matches('\u{feff}').strip_prefix("# ")?;
        Some(
            line.strip_prefix(key)?
                .strip_prefix(": ")?
                .trim()
                .to_owned(),
        )
    })
}

fn audit(path: &Path, text: Option<&[u8]>) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_keyoff"))
        .env_clear()
        .args(["audit", "--format", "json", "--fail-on", "warning"])
        .arg(path)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    if let Some(text) = text {
        use std::io::Write as _;
        // A refusal may come before the end of a large record: then the pipe is closed, which is fine.
        let _ = input.write_all(text);
    }
    drop(input);
    child.wait_with_output().unwrap()
}

fn report(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!(
            "no JSON: {error}\n{}\n{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        )
    })
}

fn words(value: &Value, key: &str) -> Vec<String> {
    value[key]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|word| word.as_str().map(str::to_owned))
        .collect()
}

/// Warnings and errors that are not accepted: check, level, subjects, message.
fn faults(report: &Value) -> Vec<(String, String, Vec<String>, String)> {
    report["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|finding| finding["accepted"].is_null())
        .map(|finding| {
            let mut subjects = words(finding, "parts");
            subjects.extend(words(finding, "wires"));
            let text = |key: &str| finding[key].as_str().unwrap().to_owned();
            (text("check"), text("level"), subjects, text("message"))
        })
        .collect()
}

/// What is wrong with the audit of a vehicle that has to come out without error, warning or gap.
fn blemishes(output: &Output) -> Vec<String> {
    let report = report(output);
    if let Some(problems) = report["unreadable"].as_array() {
        return problems
            .iter()
            .map(|problem| problem["message"].to_string())
            .collect();
    }
    let mut all: Vec<String> = faults(&report)
        .into_iter()
        .filter(|(_, level, _, _)| level != "note")
        .map(|(check, level, subjects, message)| format!("{level} {check} {subjects:?}: {message}"))
        .collect();
    for gap in report["not_checked"].as_array().unwrap() {
        all.push(format!(
            "not checked: {} {:?}",
            gap["check"],
            words(gap, "missing")
        ));
    }
    if output.status.code() != Some(0) && all.is_empty() {
        all.push(format!("ended with {:?}", output.status.code()));
    }
    all
}

#[test]
fn sound_vehicles_raise_no_error_or_warning_and_leave_nothing_unchecked() {
    let mut wrong = String::new();
    for path in folder("tests/data/clean") {
        for blemish in blemishes(&audit(&path, None)) {
            wrong += &format!("{}: {blemish}\n", name(&path));
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn generated_vehicles_are_sound_at_every_size() {
    for circuits in [1, 20, 63, 200] {
        let text = generated::vehicle(circuits);
        let audited = audit(Path::new("-"), Some(text.as_bytes()));
        // All settings are seen at every size; of very many circuits, not each between the ends of what the others do.
        let explored = &report(&audited)["explored"];
        assert_eq!(explored["complete"], true, "{circuits}");
        let exact = explored["exact"].as_bool().unwrap();
        assert!(exact || circuits > 1, "{explored}");
        assert!(!exact || circuits < 200, "{explored}");
        let blemishes = blemishes(&audited);
        assert!(blemishes.is_empty(), "{circuits}: {blemishes:#?}");
    }
}

#[test]
fn every_kind_of_part_appears_in_a_sound_vehicle() {
    let text: String = folder("tests/data/clean")
        .iter()
        .map(|path| fs::read_to_string(path).unwrap())
        .collect();
    let missing: Vec<&str> = Kind::ALL
        .iter()
        .map(|kind| kind.text())
        .filter(|kind| {
            !text.lines().any(|line| {
                line.split_once("kind: ")
                    .is_some_and(|(_, rest)| rest.split([',', '}', ' ']).next() == Some(kind))
            })
        })
        .collect();
    assert!(missing.is_empty(), "no sound vehicle has a {missing:?}");
}

#[test]
fn a_seeded_fault_is_named_by_the_right_check_on_the_right_part() {
    let known: BTreeSet<&str> = keyoff::check::ALL
        .iter()
        .map(|check| check.meta.name)
        .collect();
    let mut wrong = String::new();
    for path in folder("tests/data/faulty") {
        let file = name(&path);
        let text = fs::read_to_string(&path).unwrap();
        let must = header(&text, "Must").unwrap_or_else(|| panic!("{file} has no `# Must:` line"));
        let (check, subjects) = must.split_once(" on ").unwrap();
        assert!(
            file.starts_with(&format!("{check}--")),
            "{file} is not about {check}"
        );
        assert!(known.contains(check), "{file}: there is no check {check}");
        let subjects: Vec<&str> = subjects.split(" or ").collect();
        let also: BTreeSet<String> = header(&text, "Also rightly")
            .unwrap_or_default()
            .split(", ")
            .map(str::to_owned)
            .collect();
        let report = report(&audit(&path, None));
        if !report["unreadable"].is_null() {
            wrong += &format!("{file}: unreadable: {}\n", report["unreadable"]);
            continue;
        }
        let faults = faults(&report);
        let named = faults.iter().any(|(found, _, on, _)| {
            found == check
                && (subjects == ["vehicle"]
                    || on.iter().any(|one| subjects.contains(&one.as_str())))
        });
        if !named {
            let instead: Vec<_> = faults.iter().map(|fault| (&fault.0, &fault.2)).collect();
            let gaps: Vec<_> = report["not_checked"].as_array().unwrap().iter().collect();
            wrong += &format!(
                "{file}: {check} did not fire on {subjects:?}; found {instead:?}; gaps {gaps:?}\n"
            );
        }
        for (found, level, on, message) in &faults {
            if level != "note" && found != check && !also.contains(found) {
                wrong += &format!("{file}: {found} on {on:?} was not expected: {message}\n");
            }
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn every_check_has_a_seeded_fault() {
    let files = folder("tests/data/faulty");
    let missing: Vec<&str> = keyoff::check::ALL
        .iter()
        .map(|check| check.meta.name)
        .filter(|check| {
            let own = format!("{check}--");
            !files.iter().any(|path| name(path).starts_with(&own))
        })
        .collect();
    assert!(
        missing.is_empty(),
        "no record in tests/data/faulty for {missing:?}"
    );
}

#[test]
fn hostile_records_end_in_a_verdict_or_in_advice() {
    for path in folder("tests/data/hostile") {
        let bytes = fs::read(&path).unwrap();
        let ends = header(&String::from_utf8_lossy(&bytes), "Ends");
        survives(
            name(&path),
            &path,
            None,
            ends.as_deref().unwrap_or("unreadable"),
        );
    }
}

/// Records that are too large to keep: written here.
#[test]
fn hostile_records_of_great_size_end_in_a_verdict_or_in_advice() {
    let deep = |open: &str, close: &str, depth: usize| {
        format!(
            "keyoff: 1\nvehicle: {}{}\n",
            open.repeat(depth),
            close.repeat(depth)
        )
    };
    let base = "keyoff: 1\nvehicle: {name: x, system: 12 V}\nparts:\n  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah}\n  F1: {kind: fuse, rating: 10 A}\n  L1: {kind: load, type: led, draw: 2 A}\n";
    let parallel: String = (0..2000)
        .map(|_| "  - {from: F1, to: L1, size: 14 AWG, length: 1 m}\n")
        .collect();
    let chain: String = (0..2000)
        .map(|n| {
            format!(
                "  - {{from: SP{n}, to: SP{}, size: 14 AWG, length: 1 cm}}\n",
                n + 1
            )
        })
        .collect();
    let splices: String = (0..=2000)
        .map(|n| format!("  SP{n}: {{kind: splice}}\n"))
        .collect();
    let star: String = (0..2000)
        .map(|n| format!("  - {{from: F1, to: SP{n}, size: 14 AWG, length: 1 m}}\n"))
        .collect();
    let cases = [
        ("nested brackets", deep("[", "]", 100_000), "unreadable"),
        ("nested braces", deep("{a: ", "}", 100_000), "unreadable"),
        ("open brackets", deep("[", "", 100_000), "unreadable"),
        (
            "a long line",
            format!(
                "keyoff: 1\nvehicle: {{name: {}}}\nparts:\n  B1: {{kind: battery}}\n",
                "x".repeat(1_000_000)
            ),
            "judged",
        ),
        (
            "above the size limit",
            format!("keyoff: 1\n# {}\n", "x".repeat(17 << 20)),
            "unreadable",
        ),
        (
            "many faults",
            format!(
                "keyoff: 1\nvehicle: {{name: x}}\nparts:\n{}",
                (0..20_000)
                    .map(|n| format!("  P{n}: {{kind: fuze, rating: 10}}\n"))
                    .collect::<String>()
            ),
            "unreadable",
        ),
        (
            "thousands of parallel wires",
            format!(
                "{base}wires:\n  - {{from: B1, to: F1, size: 14 AWG, length: 10 cm}}\n{parallel}"
            ),
            "judged",
        ),
        (
            "a chain of splices",
            format!(
                "{base}{splices}wires:\n  - {{from: B1, to: F1, size: 14 AWG, length: 10 cm}}\n  - {{from: F1, to: SP0, size: 14 AWG, length: 1 m}}\n{chain}  - {{from: SP2000, to: L1, size: 14 AWG, length: 1 m}}\n"
            ),
            "judged",
        ),
        (
            "a star of splices",
            format!(
                "{base}{splices}wires:\n  - {{from: B1, to: F1, size: 14 AWG, length: 10 cm}}\n{star}"
            ),
            "judged",
        ),
    ];
    for (name, text, ends) in cases {
        survives(name, Path::new("-"), Some(text.as_bytes()), ends);
    }
}

/// Runs one record and sees that it ends in time, without a crash, with the verdict that it should have.
fn survives(name: &str, path: &Path, text: Option<&[u8]>, ends: &str) {
    let start = Instant::now();
    let output = audit(path, text);
    let took = start.elapsed();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(took < PATIENCE, "{name} took {took:?}");
    assert!(!errors.contains("panicked"), "{name}: {errors}");
    let report = report(&output);
    match ends {
        "unreadable" => {
            assert_eq!(
                output.status.code(),
                Some(2),
                "{name} should be refused: {report}"
            );
            let problems = report["unreadable"].as_array().unwrap();
            assert!(
                !problems.is_empty() && problems.len() <= 100,
                "{name}: {}",
                problems.len()
            );
            for problem in problems {
                assert!(!problem["message"].as_str().unwrap().is_empty(), "{name}");
            }
        }
        "judged" => {
            let code = output.status.code();
            assert!(
                matches!(code, Some(0 | 1)),
                "{name} ended with {code:?}: {report} {errors}"
            );
            for figure in ["draw_a", "draw_low_a", "draw_high_a"] {
                assert!(
                    report["key_off"][figure].is_number() || report["key_off"][figure].is_null(),
                    "{name}: {figure}"
                );
            }
            for situation in report["situations"].as_array().unwrap() {
                for figure in ["alternator_a", "battery_a", "load_a"] {
                    assert!(
                        situation[figure].is_number(),
                        "{name}: {figure} is {}",
                        situation[figure]
                    );
                }
            }
        }
        other => panic!("{name}: `# Ends: {other}` is neither `judged` nor `unreadable`"),
    }
}
