//! What the audit came to.

use super::finding::Finding;
use super::finding::Gap;
use super::finding::Level;
use super::rule::Meta;
use crate::quantity::Amps;
use crate::source::Span;

/// All findings of all checks, sorted; what could not be judged; how much was.
#[derive(Clone, Debug)]
pub struct Report {
    /// By harm, then level (worst first), then place in the record, then check.
    pub findings: Vec<Reported>,
    /// What could not be judged, by check.
    pub gaps: Vec<(&'static Meta, Gap)>,
    /// Subjects that got a verdict of fault or none shown.
    pub checked: usize,
    /// What each wire of the vehicle carries for long by the table in use, all its conductors together; nothing where a
    /// fact for it is not stated.
    pub ampacities: Vec<Option<Amps>>,
}

/// A finding with the check that made it.
#[derive(Clone, Debug)]
pub struct Reported {
    /// The check.
    pub check: &'static Meta,
    /// Its level here.
    pub level: Level,
    /// The finding.
    pub finding: Finding,
    /// The record says it is known and wanted.
    pub accepted: Option<Accepted>,
}

/// An entry of `accept:` that a finding matched.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Accepted {
    /// Why it is wanted.
    pub because: String,
    /// The entry.
    pub at: Span,
}
