//! On what the report rests, and where it stops.

use std::collections::BTreeSet;

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::render::text::assumed as taken;
use crate::render::text::audit::basis;
use crate::render::words;

pub(super) fn assumed(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let sentences = taken::sentences(told.show, of.assumed());
    html! {
        @if sentences.is_empty() {
            p { "Nothing: every value that was needed is stated." }
        } @else {
            p { "Taken because the record does not say. A range counts with both its ends." }
            (frame::list(told.vehicle, sentences))
        }
        h3 { "Where the values of the record are from" }
        p { (basis::counts(told)) }
    }
}

pub(super) fn not_checked(of: &Material<'_>) -> Markup {
    let explored = &of.told.solved.explored;
    html! {
        p {
            (words::explored(explored))
        }
        @for trouble in of.told.balances.iter().filter_map(|(of, solution, _)| Some((of, solution.trouble.as_ref()?))) {
            p { "The figures of " (trouble.0.name) " are not to be relied on: " (trouble.1) "." }
        }
        p { "Whatever the record says, this is outside:" }
        (frame::list(of.told.vehicle, words::LIMITS))
    }
}

pub(super) fn cautions(of: &Material<'_>) -> Markup {
    html! {
        p { "This work can burn a vehicle or hurt someone." }
        (frame::list(of.told.vehicle, words::CAUTIONS))
    }
}

/// Every source that is named in this report, once.
pub(super) fn sources(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let mut sources: BTreeSet<&str> = BTreeSet::new();
    for reported in &told.report.findings {
        sources.insert(&reported.finding.source);
        sources.extend(
            reported
                .finding
                .why
                .iter()
                .map(|cause| cause.source.as_str()),
        );
    }
    sources.extend(of.assumed().map(|assumed| assumed.source.as_str()));
    sources.remove("");
    html! {
        p {
            "Named in this report. \"From memory\" marks what was not read in its source and is to be checked before it is relied on."
        }
        (frame::list(told.vehicle, sources))
    }
}
