//! The top of the report: what a person has to know if they read nothing else.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::check::Level;
use crate::quantity::show::digits;
use crate::render::text::audit::gaps;
use crate::render::text::audit::summary;
use crate::render::text::park;
use crate::render::words;

/// So many things to do are named; the rest follows below.
const MOST_TO_DO: usize = 10;

/// So many missing facts are named.
const MOST_FACTS: usize = 5;

pub(super) fn section(of: &Material<'_>) -> Markup {
    html! {
        (key_figures(of))
        h3 { "What was found" }
        (found(of))
        h3 { "What could not be judged" }
        (frame::paragraphs(of.told.vehicle, summary::judged(&of.told)))
        h3 { "How long it stands" }
        (stands(of))
        h3 { "What the alternator has left" }
        (frame::list(of.told.vehicle, summary::with_key_on(&of.told)))
        h3 { "What to do next" }
        (next(of))
    }
}

/// The figures that people look for first.
fn key_figures(of: &Material<'_>) -> Markup {
    let count = words::Count::of(of.told.report);
    let judged = of.told.report.checked + of.told.report.gaps.len();
    html! {
        dl class="figures" {
            div class=[(count.errors > 0).then_some("bad")] {
                dt { "Found" }
                dd {
                    (words::plural(count.errors, "error", "errors")) ", "
                    (words::plural(count.warnings, "warning", "warnings")) ", "
                    (words::plural(count.notes, "note", "notes"))
                }
            }
            div {
                dt { "Could not be judged" }
                dd { (of.told.report.gaps.len()) " of " (judged) }
            }
            div {
                dt { "Drawn with the key off" }
                dd { (drawn(of)) }
            }
            div {
                dt { "Stands and still starts" }
                dd { (days(of)) }
            }
            div {
                dt { "Alternator, least surplus" }
                dd { (surplus(of)) }
            }
        }
    }
}

fn drawn(of: &Material<'_>) -> String {
    if of.told.vehicle.starter.is_none() {
        return "no battery in the record".to_owned();
    }
    let key_off = &of.told.solved.key_off;
    let mut words = of.told.show.one(key_off.draw);
    let range = of.told.show.range(key_off.range);
    if !range.is_empty() {
        words += &format!(" ({range})");
    }
    if !key_off.missing.is_empty() || of.told.vehicle.own_off.is_none() {
        words += ", as far as stated";
    }
    words
}

fn days(of: &Material<'_>) -> String {
    let here = of.told.parked.starter().and_then(|bank| bank.here.as_ref());
    here.map_or_else(
        || "not known".to_owned(),
        |here| {
            format!(
                "{} days ({} to {}) at {}",
                digits(here.days.likely, 2),
                digits(here.days.low, 2),
                digits(here.days.high, 2),
                of.told.show.one(here.at)
            )
        },
    )
}

/// The situation in which the alternator has least left.
fn surplus(of: &Material<'_>) -> String {
    let known = of.budget.rows.iter().filter_map(|row| {
        let running = row.situation.engine.runs();
        row.surplus
            .filter(|_| running)
            .map(|surplus| (surplus, row))
    });
    known.min_by(|a, b| a.0.0.total_cmp(&b.0.0)).map_or_else(
        || "not known".to_owned(),
        |(surplus, row)| {
            let words = format!("{} in {}", of.told.show.signed(surplus), row.situation.name);
            let missing = &row.balance.missing;
            if missing.is_empty() {
                words
            } else {
                format!("{words} at most; not known: {}", words::list(missing))
            }
        },
    )
}

fn found(of: &Material<'_>) -> Markup {
    let open: Vec<_> = of.open().collect();
    html! {
        p { (summary::counts(&of.told)) }
        @for harm in summary::HARMS {
            @if open.iter().any(|(_, one)| one.check.harm == harm) {
                h4 { (words::harm_heading(harm)) }
                ul class="found" {
                    @for (number, reported) in open.iter().filter(|(_, one)| one.check.harm == harm) {
                        li {
                            (frame::badge(reported.level)) " "
                            a href={ "#finding-" (number) } { "!" (number) }
                            " " (frame::prose(of.told.vehicle, &words::sentence(&reported.finding.message)))
                        }
                    }
                }
            }
        }
        @if open.is_empty() {
            p { "No fault is shown by what the record states. That is no approval: what could not be judged and what was not checked stands below." }
        }
    }
}

pub(super) fn stands(of: &Material<'_>) -> Markup {
    let standing = of.told.standing();
    html! {
        @for (indent, sentence) in standing.lines() {
            @if indent > 2 {
                p class="arithmetic" { (sentence) }
            } @else {
                p { (frame::prose(of.told.vehicle, &sentence)) }
            }
        }
        @if let Some((days, starts)) = &of.starts {
            (frame::paragraphs(of.told.vehicle, park::starts_after(standing, *days, starts, &of.timeline)))
        }
    }
}

/// The mends of what is worst, then the facts that settle most.
fn next(of: &Material<'_>) -> Markup {
    let mut mends: Vec<(String, Vec<usize>)> = Vec::new();
    for (number, reported) in of.open().filter(|(_, one)| one.level > Level::Note) {
        let mend = words::sentence(&reported.finding.help);
        match mends.iter_mut().find(|(known, _)| *known == mend) {
            Some((_, numbers)) => numbers.push(number),
            None => mends.push((mend, vec![number])),
        }
    }
    let more = mends.len().saturating_sub(MOST_TO_DO);
    let facts = gaps::by_fact(of.told.report);
    let facts: Vec<String> = facts
        .iter()
        .take(MOST_FACTS)
        .map(|fact| {
            let judgements = words::plural(fact.settles.len(), "judgement", "judgements");
            format!("{} ({judgements})", fact.name)
        })
        .collect();
    html! {
        ol class="next" {
            @for (mend, numbers) in mends.iter().take(MOST_TO_DO) {
                li {
                    (frame::prose(of.told.vehicle, mend)) " "
                    span class="refers" {
                        "For "
                        @for (at, number) in numbers.iter().enumerate() {
                            @if at > 0 { ", " }
                            a href={ "#finding-" (number) } { "!" (number) }
                        }
                        "."
                    }
                }
            }
            @if more > 0 {
                li { "And " (words::plural(more, "further mend", "further mends")) ", with the findings below." }
            }
            @if !facts.is_empty() {
                li { "Find out and write down: " (words::list(&facts)) "." }
            }
            li { "Change the record where the vehicle was changed, and make this report again." }
        }
    }
}
