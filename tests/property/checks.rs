//! Laws of the checks: quiet on vehicles that are sound by design, in form on every faulty one, the same every time.

use std::sync::Arc;

use keyoff::analyze::analyze;
use keyoff::check::Level;
use keyoff::check::Report;
use keyoff::check::run;
use keyoff::model::Vehicle;

use crate::sound_vehicle;

pub fn audit(text: &str) -> (Vehicle, Report) {
    let document = keyoff::read::read(
        "case.yaml",
        text.as_bytes(),
        &mut |_| Err("no library here".to_owned()),
        &keyoff::read::Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}\n{text}", fault.problems));
    let vehicle = keyoff::model::build(Arc::new(document));
    let solved = analyze(&vehicle);
    let report = run(&vehicle, &solved);
    (vehicle, report)
}

fn raised(report: &Report) -> Vec<String> {
    let findings = report.findings.iter();
    findings
        .filter(|reported| reported.level >= Level::Warning)
        .map(|reported| format!("{}: {}", reported.check.name, reported.finding.message))
        .collect()
}

#[test]
fn vehicles_that_are_sound_by_design_raise_no_warning() {
    for seed in 0..150 {
        let text = sound_vehicle::record(seed);
        let (_, report) = audit(&text);
        let raised = raised(&report);
        assert!(raised.is_empty(), "seed {seed}: {raised:#?}\n{text}");
        assert!(
            report.checked > 10,
            "seed {seed}: only {} judged",
            report.checked
        );
    }
}

#[test]
fn a_fuse_made_too_large_is_named_in_any_sound_vehicle() {
    let mut tried = 0;
    for seed in 0..40 {
        let text = sound_vehicle::record(seed);
        let Some(at) = text.find(", form: blade}") else {
            continue;
        };
        let (before, after) = text.split_at(at);
        let start = before.rfind("rating: ").expect("a rating") + "rating: ".len();
        let line = before.rfind('\n').expect("a line") + 1;
        let name = before[line..]
            .trim()
            .split(':')
            .next()
            .expect("a name")
            .to_owned();
        let spoiled = format!("{}200 A{after}", &before[..start]);
        let (vehicle, report) = audit(&spoiled);
        let named = report.findings.iter().any(|reported| {
            reported.check.name == "fuse-exceeds-wire"
                && reported
                    .finding
                    .parts
                    .iter()
                    .any(|&part| vehicle.part(part).name.value == name)
        });
        assert!(
            named,
            "seed {seed}, {name}: {:#?}\n{spoiled}",
            raised(&report)
        );
        tried += 1;
    }
    assert!(tried > 20);
}

/// The records of the corpus with a seeded fault.
fn faulty() -> Vec<String> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/faulty");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the corpus")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| std::fs::read_to_string(path).expect("a text"))
        .collect()
}

#[test]
fn findings_are_in_form_and_the_same_every_time() {
    let mut seen = 0;
    for text in faulty() {
        let (vehicle, report) = audit(&text);
        for reported in &report.findings {
            seen += 1;
            let finding = &reported.finding;
            let name = reported.check.name;
            let sources = &vehicle.document.sources;
            let all = format!("{} {} {}", finding.message, finding.help, finding.label);
            assert!(
                !finding.message.is_empty() && !finding.message.ends_with('.'),
                "{name}"
            );
            assert!(
                !finding.help.is_empty() && !finding.source.is_empty(),
                "{name}"
            );
            assert!(!all.split_whitespace().any(|word| word == "safe"), "{all}");
            assert!(!all.contains("NaN") && !all.contains("inf "), "{all}");
            let places = finding.also.iter().map(|(at, _)| *at);
            for at in std::iter::once(finding.at).chain(places) {
                assert!(!sources.slice(at).is_empty(), "{name}: {}", finding.message);
            }
        }
        for (check, gap) in &report.gaps {
            assert!(!gap.missing.is_empty(), "{} lacks nothing", check.name);
        }
        let (_, again) = audit(&text);
        assert_eq!(format!("{report:?}"), format!("{again:?}"), "{text}");
    }
    assert!(seen > 50, "only {seen} findings were looked at");
}
