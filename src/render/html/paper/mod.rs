//! The papers of the trade: who, what, when, the conditions of each measurement, room for signatures.
//!
//! They hold what the record says and what was worked out from it; what only a person at the vehicle knows is left open.

mod condition;
mod form;
mod hand_over;
mod load_analysis;
mod places;
mod readings;
mod removal_record;

use maud::html;

use super::Material;
use super::Options;
use super::diagram;
use super::frame;
use crate::Audit;
use crate::advise::removal::Plan;
use crate::advise::walkround::Round;
use crate::render::text::show::Show;

/// Which paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// What an upfitter gives with the vehicle: what was fitted, lists, drawing, key-off statement, tests in every state.
    HandOver,
    /// What an inspector writes: the state that it was found in, by place.
    Condition,
    /// Load against charging, for those who ask for it with a bid and at delivery.
    LoadAnalysis,
}

impl Kind {
    const fn title(self) -> &'static str {
        match self {
            Self::HandOver => "Hand-over record",
            Self::Condition => "Condition report",
            Self::LoadAnalysis => "Electrical load analysis",
        }
    }
}

/// The record of a removal: what comes out, the order of work, what is left behind, the minimum beside it, the proof.
#[must_use]
pub fn removal_record(plan: &Plan, options: Options) -> String {
    let vehicle = &plan.before.vehicle;
    let page = frame::Page {
        title: &format!("{}: removal record", vehicle.name),
        heading: &format!("Removal record: {}", vehicle.name),
        opening: html! { p class="about" { (frame::about(vehicle, Show(options.units))) } },
        contents: false,
        style: "",
    };
    page.write(&removal_record::sections(plan, options))
}

/// A paper about a record.
#[must_use]
pub fn paper(kind: Kind, audit: &Audit, options: Options) -> String {
    let vehicle = &audit.vehicle;
    let of = Material::new(vehicle, &audit.solved, &audit.report, options);
    let (sections, choices) = match kind {
        Kind::HandOver => hand_over::sections(&of),
        Kind::Condition => (condition::sections(&of, &Round::of(audit)), 0),
        Kind::LoadAnalysis => (load_analysis::sections(&of), 0),
    };
    let page = frame::Page {
        title: &format!("{}: {}", vehicle.name, kind.title().to_lowercase()),
        heading: &format!("{}: {}", kind.title(), vehicle.name),
        opening: html! { p class="about" { (frame::about(vehicle, of.told.show)) } },
        contents: false,
        style: &diagram::style(choices),
    };
    page.write(&sections)
}

#[cfg(test)]
mod tests;
