//! The checks: one list, one line per check, one file per check.

pub mod context;
pub mod finding;
pub mod report;
pub mod rule;

pub use context::Context;
pub use finding::{Cause, Finding, Gap, Harm, Level, Measure};
pub use report::{Accepted, Report, Reported};
pub use rule::{Check, Meta, Verdict};

/// Every check, in the order of the checks page.
pub const ALL: &[&Check] = &[];
