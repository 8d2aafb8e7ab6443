//! The audit in words: what was found first, then each finding with its words, then what it rests on.

mod basis;
mod findings;
mod gaps;
mod key_off;
mod situations;
mod summary;

use crate::analyze::Balance;
use crate::analyze::Solved;
use crate::check::Report;
use crate::model::Situation;
use crate::model::Vehicle;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::solve::Solution;

/// How the audit is told.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Options {
    /// Width and colour.
    pub look: Look,
    /// Whether the arithmetic behind every finding is shown.
    pub why: bool,
}

/// What all sections read from.
struct Told<'a> {
    vehicle: &'a Vehicle,
    solved: &'a Solved,
    report: &'a Report,
    balances: Vec<(&'a Situation, &'a Solution, Balance)>,
    options: Options,
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
