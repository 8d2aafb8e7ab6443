//! Tests.
mod errors;
mod reading;
mod two_readers;
