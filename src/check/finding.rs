//! A finding as plain data; words for people and for machines are made from it when rendering.

use crate::model::{PartId, Setting, WireId};
use crate::source::Span;

/// How bad it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Will annoy or wear out.
    Warning,
    /// Can burn, strand or break the law.
    Error,
}

/// What it can do; findings are sorted by it, the worst first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Harm {
    /// Can burn.
    Fire,
    /// Leaves somebody stranded, or breaks the law.
    Stranded,
    /// Damages equipment.
    Damage,
    /// Annoys.
    Nuisance,
    /// The record is lacking.
    Record,
}

/// A number with its unit, as findings state values and limits.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Measure {
    /// The number.
    pub amount: f64,
    /// Symbol of the unit: `A`, `V`, `%`, `days`, …
    pub unit: &'static str,
}

/// One fault shown.
#[derive(Clone, PartialEq, Debug)]
pub struct Finding {
    /// What is wrong with these parts: one sentence with its numbers.
    pub message: String,
    /// What to do.
    pub help: String,
    /// Parts that it is about, the one at fault first.
    pub parts: Vec<PartId>,
    /// Wires that it is about, the one at fault first.
    pub wires: Vec<WireId>,
    /// The setting that shows it.
    pub setting: Setting,
    /// What was found.
    pub value: Option<Measure>,
    /// What it may be.
    pub limit: Option<Measure>,
    /// Book, table and row of the limit, or `common practice, no source`.
    pub source: String,
    /// The words at fault.
    pub at: Span,
    /// What stands under the underline, a few words.
    pub label: String,
    /// Further places, each with its own few words.
    pub also: Vec<(Span, String)>,
    /// Level, where it differs from the check's own (some faults are worse in some places).
    pub level: Option<Level>,
    /// The arithmetic, step by step, numbers filled in: printed with `--why`.
    pub why: Vec<Cause>,
}

/// One step of the arithmetic behind a finding.
#[derive(Clone, PartialEq, Debug)]
pub struct Cause {
    /// What is computed, with numbers: `14.0 A x 6.0 m x 5.3 mohm/m = 0.44 V`.
    pub step: String,
    /// Where the step's numbers or formula are from.
    pub source: String,
}

/// Why a subject cannot be judged.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Gap {
    /// Parts that it is about.
    pub parts: Vec<PartId>,
    /// Wires that it is about.
    pub wires: Vec<WireId>,
    /// Facts that are not stated: `w3.length`, `F1.rating`.
    pub missing: Vec<String>,
}
