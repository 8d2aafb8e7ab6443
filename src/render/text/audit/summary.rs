//! The top of the page: what a person has to know if they read nothing else.

use std::collections::BTreeMap;

use super::Told;
use crate::analyze::Balance;
use crate::analyze::budget;
use crate::check::Harm;
use crate::check::Report;
use crate::check::Reported;
use crate::model::Key;
use crate::model::Situation;
use crate::render::text::Page;
use crate::render::words;
use crate::solve::Solution;

/// So many findings of one harm are named at the top; the rest is counted and follows below.
const MOST_OF_A_HARM: usize = 8;

/// So many missing facts are named at the top.
const MOST_FACTS: usize = 3;

/// What can come of it, the worst first.
pub(in crate::render) const HARMS: [Harm; 5] = [
    Harm::Fire,
    Harm::Stranded,
    Harm::Damage,
    Harm::Nuisance,
    Harm::Record,
];

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    let vehicle = told.vehicle;
    let sources = &vehicle.document.sources;
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!(
            "{name} ({}), {}",
            words::path(sources),
            told.show.one(vehicle.system.likely)
        ),
    );
    found(told, page);
    not_judged(told, page);
    told.standing().head(page);
    key_on(told, page);
}

fn found(told: &Told<'_>, page: &mut Page) {
    page.heading("Found");
    page.line(2, &counts(told));
    let open = |harm: Harm| {
        told.report
            .findings
            .iter()
            .filter(move |one| one.accepted.is_none() && one.check.harm == harm)
    };
    for harm in HARMS {
        let count = open(harm).count();
        if count == 0 {
            continue;
        }
        page.line(2, &format!("{}:", words::harm_heading(harm)));
        for reported in open(harm).take(MOST_OF_A_HARM) {
            one(told, page, reported);
        }
        if count > MOST_OF_A_HARM {
            page.line(
                4,
                &format!("and {} more, listed below.", count - MOST_OF_A_HARM),
            );
        }
    }
}

/// How much of what was found, in a sentence.
pub(in crate::render) fn counts(told: &Told<'_>) -> String {
    let count = words::Count::of(told.report);
    let mut counts = vec![
        words::plural(count.errors, "error", "errors"),
        words::plural(count.warnings, "warning", "warnings"),
        words::plural(count.notes, "note", "notes"),
    ];
    if count.accepted > 0 {
        counts.push(format!("{} accepted by the record", count.accepted));
    }
    format!("{}.", counts.join(", "))
}

fn one(told: &Told<'_>, page: &mut Page, reported: &Reported) {
    let place = words::line_of_record(&told.vehicle.document.sources, reported.finding.at);
    let level = page.level(reported.level, words::level(reported.level));
    page.marked(
        4,
        &level,
        13,
        &format!(
            "{} [{}, {place}]",
            words::sentence(&reported.finding.message),
            reported.check.name
        ),
    );
}

fn not_judged(told: &Told<'_>, page: &mut Page) {
    for sentence in judged(told) {
        page.line(2, &sentence);
    }
}

/// How much was judged, how much was not, and what would settle most of that, in sentences.
pub(in crate::render) fn judged(told: &Told<'_>) -> Vec<String> {
    let report = told.report;
    let mut sentences = vec![format!(
        "{} made; {} could not be, because a fact is not stated.",
        words::plural(report.checked, "judgement was", "judgements were"),
        report.gaps.len(),
    )];
    let facts = super::gaps::by_fact(report);
    if !facts.is_empty() {
        let first: Vec<String> = facts
            .iter()
            .take(MOST_FACTS)
            .map(|fact| format!("{} ({})", fact.name, fact.settles.len()))
            .collect();
        sentences.push(format!(
            "What would settle most of them: {}.",
            words::list(&first)
        ));
    }
    sentences.extend(first_to_see(report));
    sentences
}

/// The one fact that settles most: what cannot be judged without it, and findings that hang on what was taken for it.
fn first_to_see(report: &Report) -> Option<String> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    // What the tool left out is nothing to go and see.
    let seen = |name: &str| !name.starts_with("settings: ");
    for fact in super::gaps::by_fact(report) {
        if !seen(fact.name) {
            continue;
        }
        *counts.entry(fact.name).or_default() += fact.settles.len();
    }
    for reported in &report.findings {
        if let Some((fact, findings)) = &reported.finding.hang_on {
            *counts.entry(fact).or_default() += findings;
        }
    }
    // Of several that settle as much, the first by name.
    let (fact, count) = counts
        .into_iter()
        .min_by_key(|&(fact, count)| (std::cmp::Reverse(count), fact))?;
    let what = match fact.rsplit_once('.') {
        // The side of a pin: what is plugged in there.
        Some((_, key)) if key.len() < 3 => format!("what is on {fact}"),
        Some((subject, key)) => {
            let subject = match subject.strip_prefix("vehicle") {
                Some("") => "the vehicle".to_owned(),
                Some(rest) => format!("the vehicle's {}", rest.trim_start_matches('.')),
                None => subject.to_owned(),
            };
            format!("the {} of {subject}", key.replace('-', " "))
        }
        None => fact.to_owned(),
    };
    Some(format!(
        "Go and see first: {what}; {} on it.",
        words::plural(count, "judgement hangs", "judgements hang")
    ))
}

fn key_on(told: &Told<'_>, page: &mut Page) {
    page.heading("Key on");
    for sentence in with_key_on(told) {
        page.item(2, 4, &sentence);
    }
}

/// Load, alternator and battery of each situation with the key on, a sentence each.
pub(in crate::render) fn with_key_on(told: &Told<'_>) -> Vec<String> {
    let on_key = |(situation, ..): &&(&Situation, _, _)| situation.key != Key::Off;
    let mut sentences: Vec<String> = told
        .balances
        .iter()
        .filter(on_key)
        .map(|(situation, solution, balance)| on(told, situation, solution, balance))
        .collect();
    if sentences.is_empty() {
        sentences.push("No situation with the key on.".to_owned());
    }
    sentences
}

pub(in crate::render) fn on(
    told: &Told<'_>,
    situation: &Situation,
    solution: &Solution,
    balance: &Balance,
) -> String {
    let mut text = format!(
        "{}, key {}, engine {}: everything takes {}",
        situation.name,
        situation.key.text(),
        words::at_speed(situation.engine),
        words::whole(told.show.one(balance.load), &balance.missing)
    );
    if !situation.phases.is_empty() {
        text += &format!(
            ", {} on average over the shift",
            told.show.one(balance.average)
        );
    }
    if let Some(given) = balance.alternator.filter(|_| situation.engine.runs()) {
        text += &format!("; the alternator gives {}", told.show.one(given));
        match balance.alternator_limit {
            Some(limit) => {
                let range = budget::limit(told.vehicle, situation.engine);
                let range = range.map_or_else(String::new, |range| told.show.range(range));
                text += &format!(" of {} that it can", told.show.one(limit));
                if !range.is_empty() {
                    text += &format!(" ({range})");
                }
            }
            None => text += " (what it can give at this speed is not stated)",
        }
    }
    if let Some(battery) = balance.starter(told.vehicle) {
        let name = &told.vehicle.part(battery.part).name.value;
        if battery.current.0 > 0.0 {
            text += &format!("; {name} gives {}", told.show.one(battery.current));
        } else if battery.current.0 < 0.0 {
            text += &format!(
                "; {name} is charged with {}",
                told.show.one(-battery.current)
            );
        }
        text += &format!(" at {}", told.show.one(battery.volts));
    }
    text.push('.');
    if !balance.missing.is_empty() {
        text += &format!(" {}", words::not_whole(&balance.missing));
    }
    if let Some(trouble) = &solution.trouble {
        text += &format!(" These figures are not to be relied on: {trouble}.");
    }
    text
}
