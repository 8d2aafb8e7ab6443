//! Every finding with its words underlined in the record.

use miette::Severity;

use super::Told;
use crate::check::Level;
use crate::check::Reported;
use crate::render::snippet::Snippet;
use crate::render::text::Page;
use crate::render::words;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    let open = |one: &&Reported| one.accepted.is_none();
    if told.report.findings.iter().any(|one| open(&one)) {
        page.heading("Findings, the worst first");
        for reported in told.report.findings.iter().filter(open) {
            page.blank();
            one(told, page, reported);
        }
    }
    accepted(told, page);
}

fn one(told: &Told<'_>, page: &mut Page, reported: &Reported) {
    let finding = &reported.finding;
    let text = Snippet {
        sources: &told.vehicle.document.sources,
        severity: match reported.level {
            Level::Error => Severity::Error,
            Level::Warning => Severity::Warning,
            Level::Note => Severity::Advice,
        },
        code: Some(format!(
            "{}: {}",
            words::level(reported.level),
            reported.check.name
        )),
        message: words::sentence(&finding.message),
        help: Some(help(told, reported)),
        at: finding.at,
        label: finding.label.clone(),
        also: &finding.also,
    }
    .text(page.look());
    page.raw(&text);
}

/// The mend, then what it was held against, and in which setting it shows.
fn help(told: &Told<'_>, reported: &Reported) -> String {
    let finding = &reported.finding;
    let mut lines = vec![words::sentence(&finding.help)];
    let mut facts = Vec::new();
    if let Some(value) = finding.value {
        facts.push(format!(
            "found {}",
            told.show.measure(value.amount, value.unit)
        ));
    }
    if let Some(limit) = finding.limit {
        facts.push(format!(
            "limit {}",
            told.show.measure(limit.amount, limit.unit)
        ));
    }
    if !finding.source.is_empty() {
        facts.push(format!("source: {}", finding.source));
    }
    if !facts.is_empty() {
        lines.push(words::sentence(&capital(&facts.join("; "))));
    }
    if let Some(setting) = words::setting(&finding.setting) {
        lines.push(format!("Shows {setting}."));
    }
    if told.why {
        for cause in &finding.why {
            lines.push(if cause.source.is_empty() {
                format!("why: {}", cause.step)
            } else {
                format!("why: {} ({})", cause.step, cause.source)
            });
        }
    }
    lines.join("\n")
}

/// With a capital first letter.
fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().collect::<String>() + letters.as_str()
    })
}

fn accepted(told: &Told<'_>, page: &mut Page) {
    let accepted: Vec<&Reported> = told
        .report
        .findings
        .iter()
        .filter(|one| one.accepted.is_some())
        .collect();
    if accepted.is_empty() {
        return;
    }
    page.heading("Accepted by the record");
    for reported in accepted {
        let because = reported
            .accepted
            .as_ref()
            .map_or("", |accepted| accepted.because.as_str());
        page.item(
            2,
            4,
            &format!(
                "{} on {}: {} Accepted because: {}",
                reported.check.name,
                words::subject(told.vehicle, &reported.finding),
                words::sentence(&reported.finding.message),
                words::sentence(because)
            ),
        );
    }
}
