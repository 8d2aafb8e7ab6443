//! Tests.
mod reading;
