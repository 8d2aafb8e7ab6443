//! A fleet audited, against reading the same files alone: by turns, so that whatever else the machine does meets all.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

use rayon::prelude::*;

/// Turns; the first is thrown away.
const TURNS: usize = 6;
/// Each record of the corpus is there so many times.
const COPIES: usize = 10;
/// Where the section stands in `docs/speed.md`.
const MARKS: [&str; 2] = ["<!-- fleet -->\n", "<!-- end of fleet -->\n"];

/// Measures, and writes the section of `docs/speed.md`.
pub fn measure() {
    let folder = std::env::temp_dir().join(format!("keyoff-fleet-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let files = fleet(&folder);
    let mut times: [Vec<f64>; 4] = Default::default();
    for turn in 0..TURNS {
        let now = [
            timed(|| files.iter().for_each(|file| read(file))),
            timed(|| files.par_iter().for_each(|file| read(file))),
            timed(|| audit(&folder, Some("1"))),
            timed(|| audit(&folder, None)),
        ];
        if turn > 0 {
            for (all, now) in times.iter_mut().zip(now) {
                all.push(now);
            }
        }
    }
    fs::remove_dir_all(&folder).unwrap();
    let count = files.len() as f64;
    let [read_one, read_all, audit_one, audit_all] = times.map(super::pair::middle_of);
    let mut text = String::from(MARKS[0]);
    let _ = write!(
        text,
        "## Many vehicles

Written by `FLEET=1 cargo bench` ([source](../tests/bench/fleet.rs)): {} files, the records of `examples/` and of the tests,
each {COPIES} times, on a machine with {} processor cores that was shared with other work. Reading is that of the library,
from the file to the record with every word in its place; the audit is the whole command, `keyoff audit FOLDER`. The middle
of {} turns is given.

| | on one thread | on all |
|---|---:|---:|
| reading alone | {:.3} ms a file | {:.3} ms a file |
| audit | {:.3} ms a file | {:.3} ms a file |
| ratio | {:.1} | {:.1} |

The aim is an audit in less than twice the time of reading, on as many threads. {}

",
        files.len(),
        std::thread::available_parallelism().map_or(1, usize::from),
        TURNS - 1,
        read_one / count * 1e3,
        read_all / count * 1e3,
        audit_one / count * 1e3,
        audit_all / count * 1e3,
        audit_one / read_one,
        audit_all / read_all,
        if audit_all < 2.0 * read_all {
            "It is reached."
        } else {
            "It is not reached: solving every setting of the switches and judging them is most of the work, and reading is a small part of it."
        },
    );
    text += MARKS[1];
    print!("{text}");
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

fn fleet(folder: &Path) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for from in ["examples", "tests/data/clean", "tests/data/faulty"] {
        let mut names: Vec<PathBuf> = fs::read_dir(root.join(from))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
            .collect();
        names.sort();
        for name in names {
            for copy in 0..COPIES {
                let stem = name.file_stem().unwrap().to_str().unwrap();
                let to = folder.join(format!("{copy}-{stem}.yaml"));
                fs::copy(&name, &to).unwrap();
                files.push(to);
            }
        }
    }
    files
}

fn read(file: &Path) {
    let bytes = fs::read(file).unwrap();
    let mut none = |_: &str| Err(String::new());
    let limits = keyoff::read::Limits::default();
    let read = keyoff::read::read("generated", &bytes, &mut none, &limits);
    std::hint::black_box(&read);
}

fn audit(folder: &Path, jobs: Option<&str>) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_keyoff"));
    command.arg("audit").arg(folder).stdout(Stdio::null());
    if let Some(jobs) = jobs {
        command.args(["--jobs", jobs]);
    }
    let ended = command.status().unwrap();
    assert_eq!(
        ended.code(),
        Some(1),
        "every record can be used, and some are faulty"
    );
}

fn timed(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}
