//! Every finding with its words underlined in the record.

use miette::Severity;

use super::Told;
use crate::check::Finding;
use crate::check::Level;
use crate::check::Reported;
use crate::phrase;
use crate::render::snippet::Snippet;
use crate::render::text::Page;
use crate::render::text::show::Show;
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
    lines.extend(held_against(told.show, finding));
    lines.extend(shows(finding));
    if told.why {
        lines.extend(steps(finding).map(|step| format!("why: {step}")));
    }
    lines.join("\n")
}

/// What was found, what it may be and who says so, in a sentence.
pub(in crate::render) fn held_against(show: Show, finding: &Finding) -> Option<String> {
    let mut facts = Vec::new();
    if let Some(value) = finding.value {
        facts.push(format!("found {}", show.measure(value.amount, value.unit)));
    }
    if let Some(limit) = finding.limit {
        facts.push(format!("limit {}", show.measure(limit.amount, limit.unit)));
    }
    if !finding.source.is_empty() {
        facts.push(format!("source: {}", finding.source));
    }
    (!facts.is_empty()).then(|| words::sentence(&phrase::capital(&facts.join("; "))))
}

/// In which setting it shows, in a sentence.
pub(in crate::render) fn shows(finding: &Finding) -> Option<String> {
    words::shows(finding)
}

/// The arithmetic, step by step, each with its source.
pub(in crate::render) fn steps(finding: &Finding) -> impl Iterator<Item = String> {
    finding.why.iter().map(|cause| {
        if cause.source.is_empty() {
            cause.step.clone()
        } else {
            format!("{} ({})", cause.step, cause.source)
        }
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
