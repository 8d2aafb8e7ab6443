//! What a check is.

use super::context::Context;
use super::finding::{Finding, Gap, Harm, Level};

/// One check: what it is called, and how it judges.
pub struct Check {
    /// Name, level, harm, page.
    pub meta: Meta,
    /// Judges every subject of the vehicle, in document order: one verdict a subject. Subjects to which the check does not
    /// apply give none.
    pub judge: fn(&Context<'_>) -> Vec<Verdict>,
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
