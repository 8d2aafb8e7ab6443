//! Whole records through the library and the binary, and what the repository promises of itself.

#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::unwrap_used,
    reason = "a test fails by panic, and says aloud what it skips"
)]

mod book;
mod browser;
mod chromium;
mod cli;
mod corpus;
mod errors;
mod fleet;
mod house;
mod hunted;
mod output;
mod pages;
mod reading;
mod run;
mod two_readers;
