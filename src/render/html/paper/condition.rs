//! What an inspector writes.

use maud::Markup;
use maud::html;

use super::super::Material;
use super::super::Section;
use super::super::basis;
use super::super::findings;
use super::super::frame;
use super::super::summary;
use super::form;
use super::places;
use super::readings;
use crate::advise::walkround::Round;
use crate::render::text::Grid;
use crate::render::text::audit::summary::HARMS;
use crate::render::text::page::Column;
use crate::render::words;

/// The sections.
pub(super) fn sections(of: &Material<'_>, round: &Round) -> Vec<Section> {
    vec![
        Section::new("who", "The vehicle and the inspection", who(of)),
        Section::new(
            "found",
            "What was found, by what can come of it",
            graded(of),
        ),
        Section::new(
            "findings",
            "Findings",
            places::findings(of, &["Cost", "Mended"]),
        ),
        Section::new(
            "leftovers",
            "Left behind, or known to nobody",
            places::leftovers(of),
        ),
        Section::new(
            "not-judged",
            "What could not be judged",
            findings::not_judged(of),
        ),
        Section::new("measured", "Measurements", measured(of)),
        Section::new("standing", "How long it stands", summary::stands(of)),
        Section::new("round", "Walk-round by place", places::round(of, round)),
        Section::new(
            "not-checked",
            "What was not checked",
            basis::not_checked(of),
        ),
        Section::new("cautions", "Cautions", basis::cautions(of)),
        Section::new(
            "signatures",
            "Signatures",
            form::signatures(&["Inspected by", "Received by"]),
        ),
    ]
}

fn who(of: &Material<'_>) -> Markup {
    html! {
        (form::who(&of.told.vehicle.name, &["Inspected by", "For", "Papers seen (upfit list, drawings, removal record)"]))
        p { "It says what was found and what could not be judged. It is no certificate." }
    }
}

/// How many of each level, by harm.
fn graded(of: &Material<'_>) -> Markup {
    let rows = HARMS.iter().map(|&harm| {
        let count = |level| {
            let alike = of
                .open()
                .filter(|(_, one)| one.check.harm == harm && one.level == level);
            alike.count().to_string()
        };
        use crate::check::Level::{Error, Note, Warning};
        vec![
            words::harm_heading(harm).to_owned(),
            count(Error),
            count(Warning),
            count(Note),
        ]
    });
    let columns = [
        Column::Words("What can come of it"),
        Column::Figures("Errors"),
        Column::Figures("Warnings"),
        Column::Figures("Notes"),
    ];
    let gaps = of.told.report.gaps.len();
    html! {
        (frame::table("Findings by harm", Grid::new(&columns, rows.collect())))
        p {
            (words::plural(gaps, "judgement", "judgements"))
            " could not be made, because a fact is not known. None of them counts as passed."
        }
    }
}

fn measured(of: &Material<'_>) -> Markup {
    html! {
        (readings::taken(of))
        (readings::to_take(of))
    }
}
