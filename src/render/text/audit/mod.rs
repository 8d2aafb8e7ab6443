//! The audit in words: what was found first, then each finding with its words, then what it rests on.

pub(in crate::render) mod basis;
pub(in crate::render) mod findings;
pub(in crate::render) mod gaps;
mod situations;
pub(in crate::render) mod summary;

use crate::analyze::Balance;
use crate::analyze::Solved;
use crate::analyze::park::Parked;
use crate::analyze::park::park;
use crate::check::Report;
use crate::model::Situation;
use crate::model::Vehicle;
use crate::quantity::show::Units;
use crate::render::snippet::Look;
use crate::render::text::Page;
use crate::render::text::assumed;
use crate::render::text::show::Show;
use crate::render::text::standing::Standing;
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
pub(in crate::render) struct Told<'a> {
    pub(in crate::render) vehicle: &'a Vehicle,
    pub(in crate::render) solved: &'a Solved,
    pub(in crate::render) report: &'a Report,
    pub(in crate::render) parked: Parked,
    pub(in crate::render) balances: Vec<(&'a Situation, &'a Solution, Balance)>,
    pub(in crate::render) show: Show,
    why: bool,
}

impl<'a> Told<'a> {
    /// With the sums that all sections share.
    pub(in crate::render) fn new(
        vehicle: &'a Vehicle,
        solved: &'a Solved,
        report: &'a Report,
        parked: Parked,
        options: Options,
    ) -> Self {
        Self {
            vehicle,
            solved,
            report,
            parked,
            balances: solved.told(vehicle),
            show: Show(options.units),
            why: options.why,
        }
    }

    pub(in crate::render) fn standing(&self) -> Standing<'_> {
        Standing {
            vehicle: self.vehicle,
            key_off: &self.solved.key_off,
            parked: &self.parked,
            show: self.show,
        }
    }
}

/// The whole audit.
#[must_use]
pub fn audit(vehicle: &Vehicle, solved: &Solved, report: &Report, options: Options) -> String {
    let parked = park(vehicle, &solved.key_off);
    let told = Told::new(vehicle, solved, report, parked, options);
    let mut page = Page::new(options.look);
    summary::write(&told, &mut page);
    findings::write(&told, &mut page);
    gaps::write(&told, &mut page);
    told.standing().tables(&mut page);
    situations::write(&told, &mut page);
    let values = told.vehicle.assumed.iter().chain(&told.parked.assumed);
    assumed::write(&mut page, told.show, values);
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
