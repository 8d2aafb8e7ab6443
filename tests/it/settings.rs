//! In which setting a finding shows: every check is of one kind, and its findings keep to that.
//!
//! The records in `tests/data/settings` are made so that less is needed for a fault than for its worst; what has to come out was
//! decided from the record before the tool ran, and stands in the header of each.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

/// What the findings of a check say of settings.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Shows {
    /// They tell of the record itself, or of what holds in every setting: no setting.
    Always,
    /// They tell of the vehicle as it is left: no setting.
    Left,
    /// They tell of a situation of the record, which is their setting.
    Situation,
    /// They carry the smallest setting that shows them, and have no figure that another would make worse.
    Smallest,
    /// They carry a figure, the smallest setting that shows the fault, and the one that gives the figure where it is another.
    Worst,
}

use Shows::{Always, Left, Situation, Smallest, Worst};

#[rustfmt::skip]
const CHECKS: &[(Shows, &[&str])] = &[
    (Worst, &[
        "can-be-left-on", "relay-switches-nothing", "stays-latched", "feeds-back", "timed-for-ignition", "lamp-on-line-side",
        "fuse-opens-on-inrush", "fuse-overloaded", "feed-overloaded", "wire-overloaded", "voltage-drop", "load-undervoltage",
        "required-lamp-undervoltage", "insulation-too-cool", "return-overloaded", "ground-rise", "sneak-path",
        "starter-returns-through-accessory", "disconnect-bypassed", "return-shared-with-controller", "alternator-overloaded",
        "mixed-voltage", "centre-tap-load", "centre-tap-reversed", "switch-overloaded", "contact-overloaded",
        "output-overloaded", "pin-overloaded", "coil-reversed", "intermittent-held-on", "output-below-minimum",
        "supply-shorted", "coil-never-pulls-in",
    ]),
    (Smallest, &[
        "drops-out-in-start", "relay-chatters", "motion-without-interlock", "isolator-threshold", "shutdown-cut-short",
        "two-feeds-joined", "live-when-detached", "return-only-when-attached", "live-stub", "abandoned-live", "unknown-live",
        "coil-control-stub", "external-source", "normally-closed-feeds-load",
    ]),
    (Situation, &["discharges-while-running"]),
    (Left, &[
        "ahead-of-ignition", "coil-held-key-off", "standing-draw-high", "standing-time-short", "stays-live-over-allowance",
        "key-off-without-cutoff", "freeze-risk", "batteries-tied", "trailer-battery-not-isolated",
        "ground-switched-coil-exposed", "cutoff-set-too-low",
    ]),
    (Always, &[
        "no-protection", "protection-too-far", "fuse-exceeds-wire", "short-not-cleared", "upstream-opens-first",
        "fuses-paralleled", "one-fuse-two-sources", "main-cable-unguarded", "required-lamp-shares-fuse", "fuse-exceeds-part",
        "rating-not-made", "fuse-in-return", "breaker-resets-onto-fault", "wire-below-minimum", "chafe-unprotected",
        "too-near-heat-or-motion", "size-ambiguous", "piercing-tap", "no-return", "return-through-joint",
        "battery-sensor-bypassed", "return-on-safety-fastener", "reserve-short", "battery-unvented", "cannot-start-cold",
        "relay-supply-on-87", "never-energised", "coil-unsuppressed", "pulsed-output-drives-coil", "dead-stub",
        "abandoned-left", "unconnected-part", "loose-end", "fuse-feeds-nothing", "switch-does-nothing", "surplus-return",
        "carries-factory-circuit", "near-hazard", "reading-disagrees", "does-not-settle", "unfused-draw",
        "conditions-missing", "assumption-decides", "accept-unused",
    ]),
];

fn of(check: &str) -> Shows {
    let found = CHECKS.iter().find(|(_, names)| names.contains(&check));
    found.unwrap_or_else(|| panic!("{check} is of no kind")).0
}

fn folder(name: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(name);
    let files = std::fs::read_dir(path).unwrap();
    let mut files: Vec<PathBuf> = files.map(|entry| entry.unwrap().path()).collect();
    files.retain(|path| path.extension().is_some_and(|ending| ending == "yaml"));
    files.sort();
    files
}

fn findings(path: &Path) -> Vec<Value> {
    let output = Command::new(env!("CARGO_BIN_EXE_keyoff"))
        .env_clear()
        .args(["audit", "--format", "json"])
        .arg(path)
        .output()
        .unwrap();
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(
        report["unreadable"].is_null(),
        "{}: {report}",
        path.display()
    );
    report["findings"].as_array().unwrap().clone()
}

/// A setting as the headers write it: `key run, also with the engine at idle, closed S1 S2`; of the two lists in any order.
fn said(setting: &Value) -> String {
    let text = |key: &str| setting[key].as_str().map(|word| format!("{key} {word}"));
    let list = |key: &str| {
        let names = setting[key].as_array().into_iter().flatten();
        let names: BTreeSet<&str> = names.filter_map(Value::as_str).collect();
        let names: Vec<&str> = names.into_iter().collect();
        (!names.is_empty()).then(|| format!("{key} {}", names.join(" ")))
    };
    let words = [
        text("situation"),
        text("key"),
        text("also"),
        list("opened"),
        list("closed"),
    ];
    words.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

#[test]
fn every_check_is_of_one_kind() {
    let listed: Vec<&str> = CHECKS
        .iter()
        .flat_map(|(_, names)| *names)
        .copied()
        .collect();
    let once: BTreeSet<&str> = listed.iter().copied().collect();
    assert_eq!(listed.len(), once.len());
    let all: BTreeSet<&str> = keyoff::check::ALL
        .iter()
        .map(|check| check.meta.name)
        .collect();
    assert_eq!(once, all);
}

#[test]
fn findings_carry_what_their_kind_asks_for() {
    let mut wrong = String::new();
    let mut seen: BTreeSet<String> = BTreeSet::new();
    for path in ["tests/data/faulty", "tests/data/settings"]
        .iter()
        .flat_map(|name| folder(name))
    {
        for finding in findings(&path) {
            let check = finding["check"].as_str().unwrap();
            let (setting, worst) = (&finding["setting"], &finding["worst_setting"]);
            let fits = match of(check) {
                Always | Left => setting.is_null() && worst.is_null(),
                Situation => setting["situation"].is_string() && worst.is_null(),
                Smallest => true,
                // Of two batteries of different voltage the record itself tells.
                Worst => finding["value"].is_object(),
            };
            if !fits {
                let file = path.display();
                wrong += &format!(
                    "{file}: {check} shows in {setting}, at its worst in {worst}: {}\n",
                    finding["message"]
                );
            }
            seen.insert(check.to_owned());
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    assert!(seen.len() > 90, "{}", seen.len());
}

/// A header line: check, subject, smallest setting, setting of the worst, and the figure where it can be had by hand.
fn expected(text: &str) -> Vec<[String; 5]> {
    let lines = text
        .lines()
        .filter_map(|line| line.strip_prefix("# Shows: "));
    lines
        .map(|line| {
            let fields: Vec<&str> = line.split(" | ").collect();
            let [what, first, worst, value] = fields[..] else {
                panic!("{line}")
            };
            let (check, on) = what.split_once(" on ").unwrap();
            [check, on, first, worst, value].map(str::to_owned)
        })
        .collect()
}

#[test]
fn the_smallest_and_the_worst_setting_are_told_with_the_worst_figure() {
    let mut wrong = String::new();
    let mut told: BTreeSet<String> = BTreeSet::new();
    for path in folder("tests/data/settings") {
        let text = std::fs::read_to_string(&path).unwrap();
        let findings = findings(&path);
        for [check, on, first, worst, value] in expected(&text) {
            let about = |finding: &&Value| {
                let subjects = ["parts", "wires"]
                    .into_iter()
                    .flat_map(|key| finding[key].as_array().unwrap());
                finding["check"] == check.as_str()
                    && subjects.into_iter().any(|one| *one == on.as_str())
            };
            let seen: Vec<String> = findings
                .iter()
                .filter(about)
                .map(|finding| {
                    let first = said(&finding["setting"]);
                    let worst = match &finding["worst_setting"] {
                        Value::Null => first.clone(),
                        worst => said(worst),
                    };
                    let figure = &finding["value"];
                    let amount = figure["amount"].as_f64().unwrap_or(f64::NAN);
                    let unit = figure["unit"].as_str().unwrap_or("");
                    let stated = value
                        .split(' ')
                        .next()
                        .and_then(|value| value.parse::<f64>().ok());
                    // By hand: what wires of a metre lose is left out.
                    let value = match stated {
                        Some(stated) if (amount - stated).abs() <= 0.01 * stated => value.clone(),
                        Some(_) => format!("{amount} {unit}"),
                        None => value.clone(),
                    };
                    format!("{first} | {worst} | {value}")
                })
                .collect();
            let wanted = format!("{first} | {worst} | {value}");
            if !seen.contains(&wanted) {
                wrong += &format!(
                    "{}: {check} on {on}:\n  {wanted}\n  {seen:?}\n",
                    path.display()
                );
            }
            told.insert(check);
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
    let worst = CHECKS.iter().filter(|(shows, _)| *shows == Worst);
    let untold: Vec<&str> = worst
        .flat_map(|(_, names)| *names)
        .copied()
        .filter(|check| !told.contains(*check))
        .collect();
    assert!(
        untold.is_empty(),
        "no record in tests/data/settings for {untold:?}"
    );
}
