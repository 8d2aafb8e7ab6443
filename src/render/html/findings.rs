//! Every finding with its lines and its sum; what the record accepts; what could not be judged.

use maud::Markup;
use maud::html;

use super::Material;
use super::excerpt::excerpt;
use super::frame;
use crate::check::Reported;
use crate::render::text::Grid;
use crate::render::text::audit::findings;
use crate::render::text::audit::gaps;
use crate::render::text::page::Column;
use crate::render::words;

pub(super) fn section(of: &Material<'_>) -> Markup {
    let accepted: Vec<&Reported> = of
        .told
        .report
        .findings
        .iter()
        .filter(|one| one.accepted.is_some())
        .collect();
    html! {
        @if of.open().next().is_none() {
            p { "No fault is shown by what the record states. That is no approval: see what could not be judged and what was not checked." }
        }
        @for (number, reported) in of.open() {
            (one(of, number, reported))
        }
        @if !accepted.is_empty() {
            h3 { "Accepted by the record" }
            ul {
                @for reported in accepted {
                    (known(of, reported))
                }
            }
        }
    }
}

fn one(of: &Material<'_>, number: usize, reported: &Reported) -> Markup {
    let told = &of.told;
    let finding = &reported.finding;
    let sources = &told.vehicle.document.sources;
    let steps: Vec<String> = findings::steps(finding).collect();
    html! {
        article class={ "finding " (words::level(reported.level)) } id={ "finding-" (number) } {
            h3 {
                span class="number" { "!" (number) } " "
                (frame::badge(reported.level)) " "
                (frame::prose(told.vehicle, &words::sentence(&finding.message)))
            }
            p class="kind" {
                (reported.check.name) ": " (words::harm_heading(reported.check.harm).to_lowercase()) "; "
                (words::line_of_record(sources, finding.at))
            }
            (excerpt(sources, finding))
            p { strong { "What to do: " } (frame::prose(told.vehicle, &words::sentence(&finding.help))) }
            @if let Some(facts) = findings::held_against(told.show, finding) {
                p { (frame::prose(told.vehicle, &facts)) }
            }
            @if let Some(setting) = findings::shows(finding) {
                p { (frame::prose(told.vehicle, &setting)) }
            }
            @if !steps.is_empty() {
                div class="sum" {
                    h4 { "The sum behind it" }
                    ol { @for step in &steps { li { (frame::prose(told.vehicle, step)) } } }
                }
            }
        }
    }
}

fn known(of: &Material<'_>, reported: &Reported) -> Markup {
    let because = reported
        .accepted
        .as_ref()
        .map(|accepted| accepted.because.as_str());
    html! {
        li {
            (frame::badge(reported.level)) " " (reported.check.name) " on "
            (words::subject(of.told.vehicle, &reported.finding)) ": "
            (frame::prose(of.told.vehicle, &words::sentence(&reported.finding.message)))
            " Accepted because: " (words::sentence(because.unwrap_or_default()))
        }
    }
}

pub(super) fn not_judged(of: &Material<'_>) -> Markup {
    let facts = gaps::by_fact(of.told.report);
    let count = of.told.report.gaps.len();
    if facts.is_empty() {
        return html! { p { "Every judgement that applies could be made." } };
    }
    let rows = facts.iter().map(|fact| {
        vec![
            fact.name.to_owned(),
            fact.settles.len().to_string(),
            gaps::by_check(&of.told, fact).join("; "),
        ]
    });
    let columns = [
        Column::Words("Fact that is not stated"),
        Column::Figures("Judgements"),
        Column::Words("What waits for it"),
    ];
    let grid = Grid::new(&columns, rows.collect());
    html! {
        p {
            (words::plural(count, "judgement", "judgements"))
            " could not be made. None of them counts as passed. The fact that settles most stands first."
        }
        (frame::table("Facts that are not stated", grid))
    }
}
