//! Tests.
mod cli;
mod errors;
mod house;
mod output;
mod reading;
mod run;
mod two_readers;
