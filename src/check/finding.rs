//! A finding as plain data; words for people and for machines are made from it when rendering.

use crate::model::PartId;
use crate::model::Setting;
use crate::model::WireId;
use crate::quantity::Scalar;
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

impl Measure {
    /// A quantity as a number with its unit; a share becomes per cent.
    #[must_use]
    pub fn of<T: Scalar>(value: T) -> Self {
        if T::SYMBOL == "1" {
            return Self {
                amount: value.get() * 100.0,
                unit: "%",
            };
        }
        Self {
            amount: value.get(),
            unit: T::SYMBOL,
        }
    }
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
    /// The smallest setting that shows it.
    pub setting: Setting,
    /// The setting that gives [`Finding::value`], where that is another.
    pub worst: Option<Setting>,
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
    /// The fact on which other findings hang, and on how many of them, where it tells of such a one.
    pub hang_on: Option<(String, usize)>,
}

impl Finding {
    /// A fault at `at`, in one sentence without a full stop.
    #[must_use]
    pub fn new(at: Span, message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
            help: String::new(),
            parts: Vec::new(),
            wires: Vec::new(),
            setting: Setting::default(),
            worst: None,
            value: None,
            limit: None,
            source: String::new(),
            at,
            label: String::new(),
            also: Vec::new(),
            level: None,
            why: Vec::new(),
            hang_on: None,
        }
    }

    /// Says what to do.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = help.into();
        self
    }

    /// Names a part that it is about; the first named is the one at fault.
    #[must_use]
    pub fn part(mut self, part: PartId) -> Self {
        if !self.parts.contains(&part) {
            self.parts.push(part);
        }
        self
    }

    /// Names parts that it is about.
    #[must_use]
    pub fn parts(self, parts: impl IntoIterator<Item = PartId>) -> Self {
        parts.into_iter().fold(self, Self::part)
    }

    /// Names a wire that it is about.
    #[must_use]
    pub fn wire(mut self, wire: WireId) -> Self {
        if !self.wires.contains(&wire) {
            self.wires.push(wire);
        }
        self
    }

    /// Names wires that it is about.
    #[must_use]
    pub fn wires(self, wires: impl IntoIterator<Item = WireId>) -> Self {
        wires.into_iter().fold(self, Self::wire)
    }

    /// Says in which setting it shows.
    #[must_use]
    pub fn setting(mut self, setting: impl Into<Setting>) -> Self {
        self.setting = setting.into();
        self
    }

    /// Says in which setting its value was found, besides the smallest that shows it.
    #[must_use]
    pub fn worst(mut self, worst: impl Into<Setting>) -> Self {
        let worst = worst.into();
        self.worst = (worst != self.setting).then_some(worst);
        self
    }

    /// What was found against what it may be, and who says so.
    #[must_use]
    pub fn measured<T: Scalar>(mut self, value: T, limit: T, source: impl Into<String>) -> Self {
        self.value = Some(Measure::of(value));
        self.limit = Some(Measure::of(limit));
        self.source = source.into();
        self
    }

    /// What was found, where there is no limit to hold it against.
    #[must_use]
    pub fn value<T: Scalar>(mut self, value: T) -> Self {
        self.value = Some(Measure::of(value));
        self
    }

    /// Who says so.
    #[must_use]
    pub fn source(mut self, source: impl Into<String>) -> Self {
        self.source = source.into();
        self
    }

    /// Puts words under the underline.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// Points at a further place; a place that is not in the record is left out.
    #[must_use]
    pub fn also(mut self, at: Span, label: impl Into<String>) -> Self {
        if !at.is_empty() && at != self.at {
            self.also.push((at, label.into()));
        }
        self
    }

    /// Gives it another level than the check's own.
    #[must_use]
    pub fn level(mut self, level: Level) -> Self {
        self.level = Some(level);
        self
    }

    /// Adds a step of the arithmetic.
    #[must_use]
    pub fn step(mut self, step: impl Into<String>, source: impl Into<String>) -> Self {
        self.why.push(Cause {
            step: step.into(),
            source: source.into(),
        });
        self
    }

    /// Names the fact on which so many other findings hang.
    #[must_use]
    pub fn hang_on(mut self, fact: impl Into<String>, findings: usize) -> Self {
        self.hang_on = Some((fact.into(), findings));
        self
    }

    /// As a verdict.
    #[must_use]
    pub fn shown(self) -> super::Verdict {
        super::Verdict::Fault(Box::new(self))
    }
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

impl Gap {
    /// These facts are not stated.
    #[must_use]
    pub fn of(missing: impl IntoIterator<Item = String>) -> Self {
        Self {
            parts: Vec::new(),
            wires: Vec::new(),
            missing: missing.into_iter().collect(),
        }
    }

    /// Names a part that it is about.
    #[must_use]
    pub fn part(mut self, part: PartId) -> Self {
        if !self.parts.contains(&part) {
            self.parts.push(part);
        }
        self
    }

    /// Names a wire that it is about.
    #[must_use]
    pub fn wire(mut self, wire: WireId) -> Self {
        if !self.wires.contains(&wire) {
            self.wires.push(wire);
        }
        self
    }

    /// As a verdict.
    #[must_use]
    pub fn shown(self) -> super::Verdict {
        super::Verdict::CannotJudge(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Amps, Fraction};
    use crate::source::Span;

    fn at(start: u32, end: u32) -> Span {
        Span {
            start,
            end,
            ..Span::default()
        }
    }

    #[test]
    fn a_share_is_told_in_per_cent_and_everything_else_in_its_unit() {
        let share = Measure::of(Fraction(0.25));
        assert_eq!((share.amount, share.unit), (25.0, "%"));
        let amps = Measure::of(Amps(0.25));
        assert_eq!((amps.amount, amps.unit), (0.25, "A"));
    }

    #[test]
    fn a_further_place_is_neither_the_first_one_nor_nowhere() {
        let finding = Finding::new(at(5, 9), "wrong")
            .also(at(5, 9), "the same")
            .also(at(7, 7), "nothing there")
            .also(at(20, 24), "another");
        assert_eq!(finding.also, [(at(20, 24), "another".to_owned())]);
    }

    #[test]
    fn what_is_named_twice_is_told_once() {
        let finding = Finding::new(at(0, 1), "wrong")
            .wire(WireId(1))
            .wires([WireId(1), WireId(2)])
            .part(PartId(3))
            .parts([PartId(3)]);
        assert_eq!(finding.wires, [WireId(1), WireId(2)]);
        assert_eq!(finding.parts, [PartId(3)]);
        let gap = Gap::of([String::from("W.length")])
            .wire(WireId(1))
            .wire(WireId(1));
        assert_eq!(gap.wires, [WireId(1)]);
    }
}
