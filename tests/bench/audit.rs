//! How long the steps take at 20, 200 and 2,000 circuits: `cargo bench`.
//!
//! `PAIR=1 cargo bench` times the whole `keyoff audit` against one operating point of the same network in ngspice, by
//! turns, and writes `docs/speed.md`; `FLEET=1 cargo bench` times a fleet against reading its files and writes its section,
//! `DRAWING=1 cargo bench` the overview of a diagram against Graphviz `dot`, `HUNT=1 cargo bench` the next step of a hunt among
//! sixty fuses against the audit of the same record.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout
)]
#![allow(clippy::unimplemented, missing_docs)]

mod fleet;
mod hunt;
mod interacting;
#[path = "../property/make_up.rs"]
mod make_up;
mod netlist;
mod pair;
mod picture;
#[path = "../it/sixty.rs"]
mod sixty;
mod vehicle;

use std::sync::Arc;

use divan::Bencher;
use keyoff::model::Vehicle;
use keyoff::read::Limits;
use keyoff::read::document::Document;
use keyoff::solve::Solver;

/// Circuits of the vehicles measured.
const SIZES: [usize; 3] = [20, 200, 2000];

fn main() {
    if std::env::var_os("PAIR").is_some() {
        pair::measure(&SIZES);
    } else if std::env::var_os("FLEET").is_some() {
        fleet::measure();
    } else if std::env::var_os("DRAWING").is_some() {
        picture::measure();
    } else if std::env::var_os("HUNT").is_some() {
        hunt::measure();
    } else {
        divan::main();
    }
}

fn document(text: &str) -> Document {
    let mut none = |_: &str| Err(String::new());
    keyoff::read::read("generated", text.as_bytes(), &mut none, &Limits::default())
        .unwrap_or_else(|_| panic!("the generated record cannot be read"))
}

fn built(circuits: usize) -> Vehicle {
    keyoff::model::build(Arc::new(document(&vehicle::vehicle(circuits))))
}

fn twelve_switches() -> Vehicle {
    keyoff::model::build(Arc::new(document(&interacting::vehicle())))
}

#[divan::bench(args = SIZES)]
fn read(bencher: Bencher<'_, '_>, circuits: usize) {
    let text = vehicle::vehicle(circuits);
    bencher
        .counter(divan::counter::BytesCount::of_str(&text))
        .bench(|| document(&text));
}

#[divan::bench(args = SIZES)]
fn model(bencher: Bencher<'_, '_>, circuits: usize) {
    let document = Arc::new(document(&vehicle::vehicle(circuits)));
    bencher.bench(|| keyoff::model::build(Arc::clone(&document)));
}

#[divan::bench(args = SIZES)]
fn solve_all_on(bencher: Bencher<'_, '_>, circuits: usize) {
    let vehicle = built(circuits);
    let mut solver = Solver::new(&vehicle);
    bencher.bench_local(|| solver.situation(&vehicle.situations[1]));
}

/// Settings in a second: of the generated vehicles, whose switches do not bear on one another, and of one whose twelve do.
#[divan::bench(args = [0, 20, 200])]
fn explore(bencher: Bencher<'_, '_>, circuits: usize) {
    let vehicle = match circuits {
        0 => twelve_switches(),
        circuits => built(circuits),
    };
    let mut solver = Solver::new(&vehicle);
    let explored = keyoff::solve::explore(&mut solver, keyoff::analyze::SETTINGS);
    assert!(explored.complete);
    bencher
        .counter(divan::counter::ItemsCount::new(explored.settings))
        .bench_local(|| keyoff::solve::explore(&mut solver, keyoff::analyze::SETTINGS));
}

#[divan::bench(args = SIZES)]
fn analyze(bencher: Bencher<'_, '_>, circuits: usize) {
    let vehicle = built(circuits);
    bencher.bench(|| keyoff::analyze::analyze(&vehicle));
}

#[divan::bench(args = SIZES)]
fn check(bencher: Bencher<'_, '_>, circuits: usize) {
    let vehicle = built(circuits);
    let solved = keyoff::analyze::analyze(&vehicle);
    bencher.bench(|| keyoff::check::run(&vehicle, &solved));
}

/// The next step among sixty fuses, with few and with more readings.
#[divan::bench(args = [0, 1, 2])]
fn hunt_sixty(bencher: Bencher<'_, '_>, logs: usize) {
    let vehicle = keyoff::model::build(Arc::new(document(&hunt::record(logs))));
    let solved = keyoff::analyze::analyze(&vehicle);
    bencher.bench(|| keyoff::advise::hunt::hunt(&vehicle, &solved));
}

#[divan::bench(args = SIZES, sample_count = 3)]
fn draw(bencher: Bencher<'_, '_>, circuits: usize) {
    let vehicle = built(circuits);
    bencher.bench(|| keyoff::draw::diagram(&vehicle, &keyoff::draw::Options::default()));
}

#[divan::bench(args = [35, 120, 300], sample_count = 5)]
fn draw_overview(bencher: Bencher<'_, '_>, parts: usize) {
    drawn(bencher, parts, keyoff::draw::View::Overview);
}

#[divan::bench(args = [35, 120, 300], sample_count = 5)]
fn draw_strips(bencher: Bencher<'_, '_>, parts: usize) {
    drawn(bencher, parts, keyoff::draw::View::Strips);
}

fn drawn(bencher: Bencher<'_, '_>, parts: usize, view: keyoff::draw::View) {
    let vehicle = keyoff::model::build(Arc::new(document(&make_up::record(parts))));
    let options = keyoff::draw::Options {
        view,
        ..keyoff::draw::Options::default()
    };
    bencher.bench(|| keyoff::draw::diagram(&vehicle, &options));
}
