//! Whole records through the library and the binary, and what the repository promises of itself.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::unwrap_used,
    reason = "a test fails by panic, and says aloud what it skips"
)]

mod automation;
mod book;
mod browser;
mod chromium;
mod cli;
mod corpus;
mod disk;
mod errors;
mod fleet;
mod house;
mod hunted;
mod output;
mod packages;
mod pages;
mod rasterised;
mod reading;
mod run;
mod settings;
mod sixty;
mod two_readers;
mod view;
mod wording;
