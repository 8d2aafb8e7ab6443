//! The next step of a hunt among sixty fuses, against reading, solving and checking the same record: by turns.

use std::fmt::Write as _;
use std::fs;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use super::pair::middle_of;

/// Turns; the first is thrown away.
const TURNS: usize = 12;
/// Where the section stands in `docs/speed.md`.
const MARKS: [&str; 2] = ["<!-- hunting -->\n", "<!-- end of hunting -->\n"];

/// So many readings were taken, and what they say.
const LOGS: [(&str, &str); 3] = [
    ("the whole current alone", ""),
    (
        "and two main fuses out",
        "  - {pulled: [M1, M2], current: 116 mA}\n",
    ),
    (
        "and four millivolt readings of nothing",
        "  - {across: L3-1, drop: 0.0 mV}\n  - {across: L3-2, drop: 0.0 mV}\n  - {across: L3-3, drop: 0.0 mV}\n  - {across: L3-4, drop: 0.0 mV}\n",
    ),
];

/// The record with the readings up to one of [`LOGS`].
pub fn record(logs: usize) -> String {
    let mut text = super::sixty::record(&["30 A"]);
    text += "readings:\n  - {after: 40 min, current: 117 mA}\n";
    for (_, readings) in LOGS.iter().take(logs + 1) {
        text += readings;
    }
    text
}

/// Measures, and writes the section of `docs/speed.md`.
pub fn measure() {
    let mut rows = String::new();
    for (number, (what, _)) in LOGS.iter().enumerate() {
        let text = record(number);
        let audited = keyoff::audit(super::document(&text));
        let (mut steps, mut audits, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
        for turn in 0..TURNS {
            let start = Instant::now();
            black_box(keyoff::audit(super::document(&text)));
            let audit = start.elapsed().as_secs_f64();
            let start = Instant::now();
            let hunt = keyoff::advise::hunt::hunt(&audited.vehicle, &audited.solved);
            let step = start.elapsed().as_secs_f64();
            assert!(hunt.next.is_some(), "{}", hunt.say);
            if turn > 0 {
                steps.push(step);
                audits.push(audit);
                ratios.push(step / audit);
            }
        }
        let _ = writeln!(
            rows,
            "| {what} | {:.1} ms | {:.1} ms | {:.2} |",
            middle_of(steps) * 1e3,
            middle_of(audits) * 1e3,
            middle_of(ratios)
        );
    }
    let text = format!(
        "{}## Hunting

Written by `HUNT=1 cargo bench` ([source](../tests/bench/hunt.rs)). The next step among sixty fuses of 30 A, four main ones and
fourteen behind each ([source](../tests/it/sixty.rs)): every reading weighed, every place with its belief, the plan of least
work; against the audit of the same record (reading, every state, all checks), in one process by turns, {} pairs after one to warm
up. The middle of each, and of the ratios of the pairs; {} on a machine shared with other work.

| readings | next step | audit | ratio |
|---|---:|---:|---:|
{rows}
{}",
        MARKS[0],
        TURNS - 1,
        if cfg!(debug_assertions) {
            "an unoptimised build, several times slower than the one that is shipped,"
        } else {
            "an optimised build"
        },
        MARKS[1]
    );
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/speed.md");
    let page = fs::read_to_string(&path).unwrap();
    let page = match section(&page) {
        Some(old) => page.replace(old, &text),
        None => format!("{page}\n{text}"),
    };
    fs::write(path, page).unwrap();
}

/// The section as it stands in a page.
pub fn section(page: &str) -> Option<&str> {
    let start = page.find(MARKS[0])?;
    let end = page.find(MARKS[1])? + MARKS[1].len();
    page.get(start..end)
}
