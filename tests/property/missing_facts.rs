//! No check passes because a fact was missing: each fact of each faulty record is left unknown in turn, and what was found
//! before is still found, or listed as not judged for want of that fact, or judged by a default that stands under Assumed.
//!
//! One fact in so many is tried; `MISSING_FACTS=all` tries every one.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use keyoff::analyze::analyze;
use keyoff::check::Report;
use keyoff::model::Vehicle;

use crate::facts::{self, Fact};

/// What a missing fact may silence, and why that is no fault: the check (`*`: any), the fact, the record (`*`: any), the reason.
#[rustfmt::skip]
const EXCEPTIONS: &[(&str, &str, &str, &str)] = &[
    ("abandoned-live", "status", "*", "a live thing of which nobody knows whose it is is told by unknown-live instead"),
    ("discharges-while-running", "engine", "*", "a situation is chosen, not found out: with nothing said of the engine it stands"),
    ("assumption-decides", "*", "*", "it tells on what other findings hang; those are held to this law themselves"),
    ("key-off-without-cutoff", "stays-live", "*", "what nobody says is wanted with the key off is told by ahead-of-ignition instead"),
    ("voltage-drop", "drop-limit", "*", "a limit is chosen, not found out: where none is, that of the rules in use applies"),
    ("*", "current", "reading-disagrees--B1.yaml", "a reading without its figure is none"),
    ("*", "current", "unfused-draw--B1.yaml", "a reading without its figure is none"),
    ("*", "drop", "unfused-draw--B1.yaml", "a reading without its figure is none"),
    ("*", "suppression", "coil-reversed--K1.yaml", "the short through the diode goes with the diode; coil-reversed stands among what is not judged"),
    ("voltage-drop", "run", "coil-reversed--K1.yaml", "what the short through the diode leaves of the supply lies just past the limit"),
    ("voltage-drop", "capacity", "coil-reversed--K1.yaml", "what the short through the diode leaves of the supply lies just past the limit"),
    ("fuse-opens-on-inrush", "inrush", "switch-overloaded--S1--cold-filaments.yaml", "the record states a longer inrush than is usual: within all that is usual the fuse holds"),
    ("*", "resistance", "starter-returns-through-accessory--STARTER.yaml", "the seeded fault is the strap's bad resistance: unmeasured, it is that of its size and length, which are stated"),
];

/// Checks that may lack any fact at all.
const ANY_FACT: &[&str] = &["assumption-decides"];

/// So many facts are passed over for each that is tried, unless all are asked for.
const STRIDE: usize = 29;

struct Audit {
    vehicle: Vehicle,
    report: Report,
}

fn audit(text: &str) -> Option<Audit> {
    let document = keyoff::read::read(
        "case.yaml",
        text.as_bytes(),
        &mut |_| Err("no library here".to_owned()),
        &keyoff::read::Limits::default(),
    )
    .ok()?;
    let vehicle = keyoff::model::build(Arc::new(document));
    let solved = analyze(&vehicle);
    let report = keyoff::check::run(&vehicle, &solved);
    Some(Audit { vehicle, report })
}

impl Audit {
    /// Of each finding the check and the names of what it is about.
    fn found(&self) -> Vec<(&'static str, BTreeSet<String>)> {
        let name = |reported: &keyoff::check::Reported| {
            let parts = reported.finding.parts.iter();
            let parts = parts.map(|&part| self.vehicle.part(part).name.value.clone());
            let wires = reported.finding.wires.iter();
            let wires = wires.map(|&wire| self.vehicle.wire(wire).id.clone());
            (reported.check.name, parts.chain(wires).collect())
        };
        self.report.findings.iter().map(name).collect()
    }

    /// What each check lacks.
    fn lacks(&self) -> BTreeSet<(&'static str, String)> {
        let gaps = self.report.gaps.iter();
        gaps.flat_map(|(check, gap)| gap.missing.iter().map(|fact| (check.name, fact.clone())))
            .collect()
    }

    fn assumed(&self) -> BTreeSet<(String, &'static str)> {
        let list = self.vehicle.assumed.iter();
        list.map(|assumed| (assumed.what.clone(), assumed.key))
            .collect()
    }
}

/// Whether the name of a lacking fact tells which one was taken away.
fn names(lacking: &str, fact: &Fact) -> bool {
    // Of a run each length is named by itself; a wire whose resistance was not measured lacks what that is worked out from.
    let others: &[&str] = match fact.key.as_str() {
        "lengths" => &["length"],
        "resistance" => &["length", "size"],
        _ => &[],
    };
    lacking.contains(&fact.key)
        || others.iter().any(|other| lacking.contains(other))
        || (!fact.owner.is_empty() && lacking.contains(&fact.owner))
}

/// What went unsaid when this fact was taken away.
fn silenced(record: &str, before: &Audit, after: &Audit, fact: &Fact) -> Vec<String> {
    let (found, lacked, assumed) = (after.found(), before.lacks(), before.assumed());
    let lacks = after.lacks();
    // A default that is the same for the whole vehicle is listed once, with whatever takes it first.
    let list = &after.vehicle.assumed;
    let whole = list
        .iter()
        .any(|one| one.key == fact.key && one.subject == "vehicle");
    let defaulted = whole
        || after
            .assumed()
            .iter()
            .any(|(what, key)| *key == fact.key && !assumed.contains(&(what.clone(), key)));
    let mut silenced = Vec::new();
    for (check, about) in before.found() {
        let still = |(other, them): &(&str, BTreeSet<String>)| {
            *other == check && (about.is_empty() || !about.is_disjoint(them))
        };
        let listed = || {
            lacks
                .iter()
                .any(|lack| lack.0 == check && !lacked.contains(lack) && names(&lack.1, fact))
        };
        let excepted = || {
            let is = |pattern: &str, name: &str| pattern == "*" || pattern == name;
            let mut list = EXCEPTIONS.iter();
            list.any(|(other, key, of, _)| is(other, check) && is(key, &fact.key) && is(of, record))
        };
        if !found.iter().any(still) && !defaulted && !listed() && !excepted() {
            let other: Vec<_> = lacks
                .iter()
                .filter(|lack| lack.0 == check)
                .map(|lack| &lack.1)
                .collect();
            silenced.push(format!("{check} about {about:?}; its gaps: {other:?}"));
        }
    }
    silenced
}

/// The line of a check's page that lists what it may lack begins so.
const LACKS: &str = "Facts that it may lack: ";

/// What of a lacking fact is told in general: `length` of `w3.length`, but all of `vehicle.stands`. Nothing where it is not a
/// fact of the record: a reading that is wanted, a pin whose other half is not there.
fn general(fact: &str) -> Option<&str> {
    let key = if fact.starts_with("vehicle.") {
        fact
    } else {
        fact.rsplit_once('.')?.1
    };
    let plain = |letter: char| letter.is_ascii_lowercase() || letter == '-' || letter == '.';
    (key.len() > 2 && key != "out" && key.chars().all(plain)).then_some(key)
}

/// Each check with each fact that it lacks.
fn lacking(audit: &Audit) -> BTreeSet<(&'static str, String)> {
    let lacks = audit.lacks().into_iter();
    lacks
        .filter(|(check, _)| !ANY_FACT.contains(check))
        .filter_map(|(check, fact)| Some((check, general(&fact)?.to_owned())))
        .collect()
}

/// Holds the pages of the checks to what was lacking; with `REWRITE` set, writes it into them.
fn told(lacking: &BTreeSet<(&'static str, String)>) -> Vec<String> {
    let mut lines = Vec::new();
    for check in keyoff::check::ALL {
        let page = check.meta.page;
        let line = page.lines().find(|line| line.starts_with(LACKS));
        let listed = line
            .into_iter()
            .flat_map(|line| line.split('`').skip(1).step_by(2));
        let mut all: BTreeSet<&str> = listed.collect();
        let seen = lacking.iter().filter(|(of, _)| *of == check.meta.name);
        let new: Vec<&str> = seen
            .map(|(_, fact)| fact.as_str())
            .filter(|fact| all.insert(fact))
            .collect();
        if new.is_empty() {
            continue;
        }
        if std::env::var_os("REWRITE").is_none() {
            lines.push(format!(
                "docs/checks/{}.md does not list {new:?}",
                check.meta.name
            ));
            continue;
        }
        let names: Vec<String> = all.iter().map(|fact| format!("`{fact}`")).collect();
        let text = format!("{LACKS}{}.", names.join(", "));
        let page = match line {
            Some(line) => page.replace(line, &text),
            None => page.replace("\n## Source\n", &format!("\n{text}\n\n## Source\n")),
        };
        let path = format!(
            "{}/docs/checks/{}.md",
            env!("CARGO_MANIFEST_DIR"),
            check.meta.name
        );
        std::fs::write(path, page).expect("the page can be written");
    }
    lines
}

#[test]
fn a_missing_fact_silences_no_check() {
    let all = std::env::var("MISSING_FACTS").is_ok_and(|value| value == "all");
    let stride = if all { 1 } else { STRIDE };
    let records = facts::faulty();
    let next = AtomicUsize::new(0);
    let work = || {
        let (mut tried, mut lines, mut lacks) = (0, Vec::new(), BTreeSet::new());
        while let Some((name, text)) = records.get(next.fetch_add(1, Ordering::Relaxed)) {
            let list = facts::of(text);
            let Some(before) = audit(text) else {
                panic!("{name} is not read");
            };
            lacks.extend(lacking(&before));
            let offset = name.len() % stride;
            for fact in list.iter().skip(offset).step_by(stride) {
                let spoiled = fact.unknown(text);
                // Some facts are nothing that can be unknown: a kind, a name.
                let Some(after) = audit(&spoiled) else {
                    continue;
                };
                tried += 1;
                lacks.extend(lacking(&after));
                lines.extend(
                    silenced(name, &before, &after, fact)
                        .into_iter()
                        .map(|what| {
                            format!("{name}:{}: {}.{}: {what}", fact.line, fact.owner, fact.key)
                        }),
                );
            }
        }
        (tried, lines, lacks)
    };
    let (mut tried, mut lines, mut lacks) = (0, Vec::new(), BTreeSet::new());
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..2).map(|_| scope.spawn(work)).collect();
        for thread in threads {
            let (some, found, lacking) = thread.join().expect("a thread");
            tried += some;
            lines.extend(found);
            lacks.extend(lacking);
        }
    });
    lines.sort();
    lines.extend(told(&lacks));
    assert!(
        lines.is_empty(),
        "{tried} facts tried\n{}",
        lines.join("\n")
    );
    assert!(tried > 100, "only {tried} facts were tried");
}
