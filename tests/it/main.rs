//! Tests.
mod errors;
mod reading;
