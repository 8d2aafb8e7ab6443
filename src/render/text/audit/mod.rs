//! The audit in words: what was found first, then each finding with its words, then what it rests on.

mod basis;
mod findings;
mod gaps;
mod key_off;
mod situations;
mod summary;

use crate::analyze::Balance;
use crate::analyze::Solved;
use crate::analyze::park::Parked;
use crate::analyze::park::park;
use crate::check::Report;
use crate::model::Situation;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::solve::Solution;

/// How the audit is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Options {
    /// Width and colour.
    pub look: Look,
    /// Units in which lengths and temperatures are shown.
    pub units: Units,
    /// Whether the arithmetic behind every finding is shown.
    pub why: bool,
}

/// What all sections read from.
struct Told<'a> {
    vehicle: &'a Vehicle,
    solved: &'a Solved,
    report: &'a Report,
    parked: Parked,
    balances: Vec<(&'a Situation, &'a Solution, Balance)>,
    options: Options,
}

impl Told<'_> {
    fn show<T: Scalar>(&self, value: T) -> String {
        show::show(value, self.options.units)
    }

    fn measure(&self, amount: f64, unit: &str) -> String {
        show::measure(amount, unit, self.options.units)
    }

    /// Both ends; empty where they read the same.
    fn range<T: Scalar>(&self, range: Interval<T>) -> String {
        let (low, high) = (self.show(range.low), self.show(range.high));
        if low == high {
            String::new()
        } else {
            format!("{low} to {high}")
        }
    }

    /// With its sign in front, for what can flow both ways.
    fn signed(&self, current: Amps) -> String {
        let shown = self.show(current.abs());
        match current.0 {
            _ if shown.starts_with("0 ") => shown,
            current if current > 0.0 => format!("+{shown}"),
            _ => format!("-{shown}"),
        }
    }
}

/// The whole audit.
#[must_use]
pub fn audit(vehicle: &Vehicle, solved: &Solved, report: &Report, options: Options) -> String {
    let balances = solved
        .situations
        .iter()
        .map(|(of, solution)| (of, solution, Balance::of(vehicle, of, solution)))
        .collect();
    let told = Told {
        vehicle,
        solved,
        report,
        parked: park(vehicle, &solved.key_off),
        balances,
        options,
    };
    let mut page = Page::new(options.look);
    summary::write(&told, &mut page);
    findings::write(&told, &mut page);
    gaps::write(&told, &mut page);
    key_off::write(&told, &mut page);
    situations::write(&told, &mut page);
    basis::write(&told, &mut page);
    page.into_text()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::fixture;

    #[test]
    fn an_audit_in_words() {
        let (vehicle, solved, report) = fixture::audit();
        let options = Options {
            why: true,
            ..Options::default()
        };
        insta::assert_snapshot!(audit(&vehicle, &solved, &report, options));
    }
}
