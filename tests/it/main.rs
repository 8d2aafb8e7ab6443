//! Tests.
mod errors;
mod house;
mod reading;
mod two_readers;
