//! What a check is.

use super::context::Context;
use super::finding::Finding;
use super::finding::Gap;
use super::finding::Harm;
use super::finding::Level;
use super::report::Reported;

/// One check: what it is called, how it judges, and the cases that show it.
pub struct Check {
    /// Name, level, harm, page.
    pub meta: Meta,
    /// How it judges.
    pub judge: Judge,
    /// Documents that show what it does; none of the three lists is empty.
    #[cfg(test)]
    pub cases: super::tester::Cases,
}

/// What a check looks at. It judges every subject of the vehicle in document order and gives one verdict a subject; subjects
/// to which it does not apply get none.
pub enum Judge {
    /// The vehicle and what was solved about it.
    Vehicle(fn(&Context<'_>) -> Vec<Verdict>),
    /// The same, and what all the other checks came to: for checks about the record's own `accept:`.
    Outcome(fn(&Context<'_>, &Outcome<'_>) -> Vec<Verdict>),
}

/// What the checks came to that look at the vehicle.
#[derive(Clone, Copy, Debug)]
pub struct Outcome<'a> {
    /// Findings, accepted ones included.
    pub findings: &'a [Reported],
    /// What could not be judged.
    pub gaps: &'a [(&'static Meta, Gap)],
}

/// What is known of a check without running it.
#[derive(Debug)]
pub struct Meta {
    /// Trade words in kebab case.
    pub name: &'static str,
    /// Its usual level.
    pub level: Level,
    /// What it can do.
    pub harm: Harm,
    /// What it looks for, one line.
    pub summary: &'static str,
    /// Its page, `docs/checks/<name>.md`, compiled in.
    pub page: &'static str,
}

/// Three verdicts, never two.
#[derive(Clone, PartialEq, Debug)]
pub enum Verdict {
    /// A fault is shown.
    Fault(Box<Finding>),
    /// None is shown by these inputs.
    NoneShown,
    /// It cannot be judged, because something is not stated.
    CannotJudge(Gap),
}
