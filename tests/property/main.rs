//! Laws that hold for every input, tried on generated ones.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a test fails by panic"
)]

mod checks;
mod drawing;
mod drawing_limits;
mod drawing_paper;
mod every_setting;
mod facts;
mod make_up;
mod missing_facts;
mod park_agrees;
mod quantities;
#[path = "../outside/random_circuit.rs"]
mod random_circuit;
mod random_vehicle;
mod reading;
mod removal;
mod small_vehicle;
mod solver;
mod sound_vehicle;
mod standing;
#[path = "../it/two_readers.rs"]
mod two_readers;
mod wires;
