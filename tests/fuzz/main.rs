//! The fuzz targets on the stable toolchain: every seed, then damaged copies of the seeds, the same in every run. `FUZZ=10000
//! cargo test --test fuzz` tries more of them, `FUZZ_SEED=7` others. With cargo-fuzz, `cargo fuzz run --fuzz-dir tests/fuzz
//! document` goes on from there with feedback.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a test fails by panic"
)]

mod mutate;
#[path = "../property/random_vehicle.rs"]
#[allow(dead_code, reason = "only its dice are used here")]
mod random;
mod targets;

use std::panic::AssertUnwindSafe;
use std::panic::catch_unwind;
use std::path::Path;
use std::path::PathBuf;
use std::sync::mpsc;
use std::time::Duration;
use std::time::Instant;

use random::Dice;
use targets::Came;

/// Without `FUZZ`.
const FEW: usize = 400;
/// No single input may take longer, in a build that is not optimised and on a busy machine.
const PATIENCE: Duration = Duration::from_secs(120);
/// The most memory that the whole run may take, in KiB.
const MEMORY: u64 = 1 << 20;
/// As much as the main thread of the tool has.
const STACK: usize = 8 << 20;

fn number(name: &str, otherwise: usize) -> usize {
    std::env::var(name)
        .ok()
        .and_then(|value| value.parse().ok())
        .unwrap_or(otherwise)
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn seeds(folders: &[&str]) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| std::fs::read_dir(root().join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_file() && path.extension().is_none_or(|ending| ending != "snap"))
        .collect();
    paths.sort();
    assert!(!paths.is_empty());
    paths
        .iter()
        .map(|path| std::fs::read(path).unwrap())
        .collect()
}

/// Tries every input on a thread of its own, so that one that never ends is told too. Panics with all that failed; what
/// failed is kept under `target/`.
fn trial(name: &str, inputs: impl Iterator<Item = Vec<u8>>, target: fn(&[u8]) -> Came) -> usize {
    let (give, take) = mpsc::channel::<Vec<u8>>();
    let (tell, hear) = mpsc::channel();
    let worker = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || {
            for input in take {
                let came = catch_unwind(AssertUnwindSafe(|| target(&input)));
                let _ = tell.send(came.map_err(|why| {
                    why.downcast_ref::<String>()
                        .cloned()
                        .or_else(|| why.downcast_ref::<&str>().map(|why| (*why).to_owned()))
                        .unwrap_or_default()
                }));
            }
        });
    let kept = root().join("target");
    let mut through = 0;
    let mut count = 0;
    let mut slowest = Duration::ZERO;
    let mut failed = Vec::new();
    for (at, input) in inputs.enumerate() {
        let keep = |why: &str| {
            let path = kept.join(format!("fuzz-{name}-{at}"));
            std::fs::write(&path, &input).unwrap();
            format!(
                "{}: {}",
                path.display(),
                why.chars().take(300).collect::<String>()
            )
        };
        // An end without a word, by a full stack, leaves this behind.
        std::fs::write(kept.join(format!("fuzz-{name}-now")), &input).unwrap();
        let start = Instant::now();
        give.send(input.clone()).unwrap();
        match hear.recv_timeout(PATIENCE) {
            Ok(Ok(came)) => through += usize::from(came == Came::Through),
            Ok(Err(why)) => failed.push(keep(&why)),
            Err(_) => panic!("no answer: {}", keep("it takes for ever")),
        }
        if start.elapsed() > slowest {
            slowest = start.elapsed();
            std::fs::write(kept.join(format!("fuzz-{name}-slowest")), &input).unwrap();
        }
        count += 1;
    }
    let _ = std::fs::remove_file(kept.join(format!("fuzz-{name}-now")));
    drop(give);
    worker.unwrap().join().unwrap();
    println!(
        "{name}: {count} inputs, {through} went through, the slowest took {slowest:?}, peak memory {} KiB",
        memory()
    );
    assert!(
        failed.is_empty(),
        "{} of {count} failed:\n{}",
        failed.len(),
        failed.join("\n")
    );
    assert!(memory() < MEMORY, "{} KiB", memory());
    through
}

/// The most memory that this process took so far, in KiB; nothing where the system does not say.
fn memory() -> u64 {
    std::fs::read_to_string("/proc/self/status")
        .unwrap_or_default()
        .lines()
        .find_map(|line| line.strip_prefix("VmHWM:"))
        .and_then(|rest| rest.split_whitespace().next()?.parse().ok())
        .unwrap_or(0)
}

/// `FUZZ_SHOW=FILE cargo test --test fuzz shown -- --nocapture` prints the circuit that a kept input stands for.
#[test]
fn shown() {
    if let Some(path) = std::env::var_os("FUZZ_SHOW") {
        println!("{}", targets::circuit(&std::fs::read(path).unwrap()));
    }
}

#[test]
fn documents() {
    let few = number("FUZZ", FEW);
    let seeds = seeds(&[
        "examples",
        "tests/data/clean",
        "tests/data/faulty",
        // Twice as likely: most damage to a sound record only has it refused.
        "tests/data/clean",
        "tests/data/faulty",
        "tests/data/errors",
        "tests/data/hostile",
        "tests/fuzz/corpus/document",
    ]);
    let whole = seeds.clone();
    let mut dice = Dice::new(number("FUZZ_SEED", 1) as u64);
    let damaged = (0..few).map(move |_| mutate::mutated(&seeds, &mut dice));
    let regress = whole.into_iter().filter(|_| few >= 1000);
    let through = trial("document", regress.chain(damaged), targets::document);
    // Most are refused, as they should be; enough of them come through to the solver and the checks.
    assert!(through > few / 20, "{through}");
}

#[test]
fn quantities() {
    let few = number("FUZZ", FEW) * 10;
    let seeds = seeds(&["tests/fuzz/corpus/quantity"]);
    let whole = seeds.clone();
    let mut dice = Dice::new(number("FUZZ_SEED", 1) as u64);
    let damaged = (0..few).map(move |_| mutate::mutated(&seeds, &mut dice));
    let through = trial("quantity", whole.into_iter().chain(damaged), |bytes| {
        targets::quantity(&String::from_utf8_lossy(bytes))
    });
    assert!(through > few / 10, "{through}");
}

#[test]
fn circuits() {
    let few = number("FUZZ", FEW);
    let mut dice = Dice::new(number("FUZZ_SEED", 1) as u64);
    let whole = seeds(&["tests/fuzz/corpus/solver"]);
    let made = (0..few).map(move |_| {
        let length = 8 + 2 * dice.below(4);
        (0..length).map(|_| dice.below(256) as u8).collect()
    });
    let through = trial("solver", whole.into_iter().chain(made), targets::solver);
    assert!(through > few / 3, "{through}");
}
