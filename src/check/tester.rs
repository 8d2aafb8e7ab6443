//! Runs each check's own cases and its page, and holds the whole list to the rules of the house.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use super::ALL;
use super::Check;
use super::Level;
use super::Report;
use crate::analyze::Solved;
use crate::analyze::analyze;
use crate::model;
use crate::model::Vehicle;
use crate::read;

/// Documents that show what a check does. A document without `keyoff:` gets a plain vehicle put before it.
pub struct Cases {
    /// Each makes the check find a fault on the part or wire named beside it.
    pub trips: &'static [(&'static str, &'static str)],
    /// In each the check judges at least one subject, finds nothing and lacks nothing.
    pub quiet: &'static [&'static str],
    /// In each it cannot judge, because the fact named beside it is not stated, and finds no fault.
    pub cannot: &'static [(&'static str, &'static str)],
}

const PLAIN: &str = "vehicle:
  name: a plain truck
  system: 12 V
  climate: {parked: 10 C, engine-bay: 60 C, cabin: 25 C, exterior: 25 C}
  engine: {cranking: 200 A}
  own-load: {off: 10 mA, run: 20 A}
";

/// A case as a whole document.
pub(super) fn document(case: &str) -> String {
    if case.contains("keyoff:") {
        return case.to_owned();
    }
    let vehicle = if case.contains("vehicle:") { "" } else { PLAIN };
    format!("keyoff: 1\n{vehicle}{case}")
}

/// Everything that came of a document.
pub(super) struct Audited {
    pub(super) vehicle: Vehicle,
    pub(super) solved: Solved,
    pub(super) report: Report,
}

thread_local! {
    /// Several checks look at the same case, and some cases take a second to solve.
    static KNOWN: RefCell<BTreeMap<String, Rc<Audited>>> = const { RefCell::new(BTreeMap::new()) };
}

/// Audits a document.
pub(super) fn audit(text: &str) -> Rc<Audited> {
    if let Some(known) = KNOWN.with_borrow(|known| known.get(text).cloned()) {
        return known;
    }
    let limits = read::Limits::default();
    let mut library = |name: &str| Err(format!("no library {name}"));
    let document = match read::read("case.yaml", text.as_bytes(), &mut library, &limits) {
        Ok(document) => document,
        Err(unreadable) => panic!("{:#?}\n{text}", unreadable.problems),
    };
    let vehicle = model::build(Arc::new(document));
    let solved = analyze(&vehicle);
    let report = super::run(&vehicle, &solved);
    let audited = Rc::new(Audited {
        vehicle,
        solved,
        report,
    });
    KNOWN.with_borrow_mut(|known| known.insert(text.to_owned(), audited.clone()));
    audited
}

/// Verdicts of one check about a document: subjects of its faults, subjects judged, and facts missing.
struct Seen {
    faults: Vec<Vec<String>>,
    missing: Vec<String>,
    all: String,
}

fn look(check: &Check, text: &str) -> Seen {
    let audited = audit(text);
    let Audited {
        vehicle, report, ..
    } = &*audited;
    let faults = report
        .findings
        .iter()
        .filter(|reported| reported.check.name == check.meta.name)
        .map(|reported| {
            let parts = reported.finding.parts.iter();
            let wires = reported.finding.wires.iter();
            parts
                .map(|&part| vehicle.part(part).name.value.clone())
                .chain(wires.map(|&wire| vehicle.wire(wire).id.clone()))
                .collect()
        })
        .collect();
    let missing = report
        .gaps
        .iter()
        .filter(|(meta, _)| meta.name == check.meta.name)
        .flat_map(|(_, gap)| gap.missing.clone())
        .collect();
    Seen {
        faults,
        missing,
        all: tell(report),
    }
}

fn tell(report: &Report) -> String {
    let findings = report.findings.iter().map(|reported| {
        format!(
            "{:?} {}: {}\n",
            reported.level, reported.check.name, reported.finding.message
        )
    });
    let gaps = report
        .gaps
        .iter()
        .map(|(meta, gap)| format!("not judged {}: {:?}\n", meta.name, gap.missing));
    findings.chain(gaps).collect()
}

/// Subjects that a check judged, by running it alone.
fn judged(check: &Check, text: &str) -> usize {
    let audited = audit(text);
    let Audited {
        vehicle,
        solved,
        report,
    } = &*audited;
    let context = super::Context::new(vehicle, solved);
    let verdicts = match check.judge {
        super::Judge::Vehicle(judge) => judge(&context),
        super::Judge::Outcome(judge) => judge(
            &context,
            &super::Outcome {
                findings: &report.findings,
                gaps: &report.gaps,
            },
        ),
    };
    verdicts
        .iter()
        .filter(|verdict| matches!(verdict, super::Verdict::NoneShown))
        .count()
}

#[test]
fn every_check_shows_its_faults_keeps_quiet_and_says_what_it_lacks() {
    let mut failed = Vec::new();
    for check in ALL {
        let name = check.meta.name;
        let cases = &check.cases;
        assert!(!cases.trips.is_empty(), "{name} has no case that trips it");
        assert!(
            !cases.quiet.is_empty(),
            "{name} has no case in which it is quiet"
        );
        assert!(
            !cases.cannot.is_empty(),
            "{name} has no case that it cannot judge"
        );
        for (number, (case, on)) in cases.trips.iter().enumerate() {
            let seen = look(check, &document(case));
            if !seen
                .faults
                .iter()
                .any(|names| names.iter().any(|name| name == on))
            {
                failed.push(format!("{name} trips {number}: not on {on}\n{}", seen.all));
            }
        }
        for (number, case) in cases.quiet.iter().enumerate() {
            let seen = look(check, &document(case));
            if !seen.faults.is_empty() || !seen.missing.is_empty() {
                failed.push(format!("{name} quiet {number}: not quiet\n{}", seen.all));
            } else if judged(check, &document(case)) == 0 {
                failed.push(format!("{name} quiet {number}: judged nothing"));
            }
        }
        for (number, (case, missing)) in cases.cannot.iter().enumerate() {
            let seen = look(check, &document(case));
            let named = seen.missing.iter().any(|fact| fact.starts_with(missing));
            // `K1.coil` and `vehicle.stands` are keys; `settings`, `X1.4.b` and `an alternator` are none.
            let key = match missing.rsplit_once('.') {
                Some((subject, _)) if subject.starts_with("vehicle") => Some(*missing),
                Some((_, key)) if key.len() > 2 && key != "out" => Some(key),
                _ => None,
            };
            if key.is_some_and(|key| !check.meta.page.contains(&format!("`{key}`"))) {
                failed.push(format!("{name}: its page does not name {missing}"));
            }
            if !named || !seen.faults.is_empty() {
                failed.push(format!(
                    "{name} cannot {number}: not for want of {missing}\n{}",
                    seen.all
                ));
            }
        }
    }
    assert!(
        failed.is_empty(),
        "{} failed\n{}",
        failed.len(),
        failed.join("\n")
    );
}

#[test]
fn names_are_trade_words_in_kebab_case_and_stand_once() {
    let mut names: Vec<&str> = ALL.iter().map(|check| check.meta.name).collect();
    for name in &names {
        assert!(
            name.chars().all(|letter| letter.is_ascii_lowercase()
                || letter.is_ascii_digit()
                || letter == '-'),
            "{name}"
        );
    }
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count, "a check is listed twice");
}

#[test]
fn summaries_are_one_line_without_a_full_stop() {
    for check in ALL {
        let summary = check.meta.summary;
        assert!(!summary.is_empty() && !summary.ends_with('.'), "{summary}");
        assert!(!summary.contains('\n') && summary.len() < 110, "{summary}");
    }
}

/// Sections that every page has, in this order.
const SECTIONS: &[&str] = &[
    "What it looks for",
    "Why it matters",
    "How it is decided",
    "Source",
    "Example that trips and its mend",
    "When to accept it",
];

/// The fenced documents of a page, with the word after `yaml`.
fn fenced(page: &str) -> Vec<(&str, &str)> {
    let mut found = Vec::new();
    let mut rest = page;
    while let Some(start) = rest.find("```yaml ") {
        let block = &rest[start + "```yaml ".len()..];
        let Some((kind, body)) = block.split_once('\n') else {
            break;
        };
        let Some(end) = body.find("\n```") else { break };
        found.push((kind.trim(), &body[..=end]));
        rest = &body[end..];
    }
    found
}

/// The places that an example marks: a comment line with carets under the words of the line above it.
fn marked(text: &str) -> Vec<(u32, u32)> {
    let mut found = Vec::new();
    let (mut start, mut above) = (0, 0);
    for line in text.split_inclusive('\n') {
        let carets = line.trim_start().strip_prefix('#').unwrap_or("").trim();
        if !carets.is_empty() && carets.bytes().all(|byte| byte == b'^') {
            let column = line.find('^').unwrap_or(0);
            let from = (above + column) as u32;
            found.push((from, from + carets.len() as u32));
        } else {
            above = start;
        }
        start += line.len();
    }
    found
}

/// The checks that a page says its example raises as well.
fn stated(page: &str) -> Vec<&str> {
    page.lines()
        .filter_map(|line| line.strip_prefix("Also raised: "))
        .flat_map(|line| line.split('`').skip(1).step_by(2))
        .collect()
}

#[test]
fn every_page_has_its_sections_and_its_examples_do_what_it_says() {
    let mut failed = Vec::new();
    for check in ALL {
        let (name, page) = (check.meta.name, check.meta.page);
        if !page.starts_with(&format!("# {name}\n")) {
            failed.push(format!("{name}: the page does not open with its name"));
        }
        let headings: Vec<&str> = page
            .lines()
            .filter_map(|line| line.strip_prefix("## "))
            .collect();
        if headings != SECTIONS {
            failed.push(format!("{name}: sections are {headings:?}"));
        }
        let blocks = fenced(page);
        let kinds: Vec<&str> = blocks.iter().map(|(kind, _)| *kind).collect();
        if kinds != ["trips", "mended"] {
            failed.push(format!("{name}: examples are {kinds:?}"));
            continue;
        }
        let text = blocks[0].1;
        let places = marked(text);
        let audited = audit(text);
        let Audited {
            vehicle, report, ..
        } = &*audited;
        if places.is_empty() {
            failed.push(format!("{name}: no words are marked"));
        }
        let mut own = 0;
        for reported in &report.findings {
            let at = reported.finding.at;
            if reported.check.name == name {
                own += 1;
                if !places.contains(&(at.start, at.end)) {
                    let words = vehicle.document.sources.slice(at);
                    failed.push(format!("{name}: points at `{words}`, which is not marked"));
                }
            } else if reported.level >= Level::Warning
                && !stated(page).contains(&reported.check.name)
            {
                failed.push(format!("{name}: trips more\n{}", tell(report)));
            }
        }
        if own == 0 {
            failed.push(format!(
                "{name}: its example does not trip it\n{}",
                tell(report)
            ));
        }
        let audited = audit(blocks[1].1);
        let report = &audited.report;
        if report
            .findings
            .iter()
            .any(|reported| reported.level >= Level::Warning || reported.check.name == name)
        {
            failed.push(format!("{name}: its mend still trips\n{}", tell(report)));
        }
    }
    assert!(
        failed.is_empty(),
        "{} failed\n{}",
        failed.len(),
        failed.join("\n")
    );
}
