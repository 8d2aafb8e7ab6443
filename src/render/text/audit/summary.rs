//! The top of the page: what a person has to know if they read nothing else.

use super::Told;
use crate::analyze::Balance;
use crate::check::Harm;
use crate::check::Reported;
use crate::model::Key;
use crate::model::Situation;
use crate::quantity::AmpHours;
use crate::quantity::Fraction;
use crate::quantity::Seconds;
use crate::quantity::show;
use crate::quantity::show::Units;
use crate::quantity::show::digits;
use crate::render::text::Page;
use crate::render::words;
use crate::solve::Solution;

/// So many findings of one harm are named at the top; the rest is counted and follows below.
const MOST_OF_A_HARM: usize = 8;

/// So many missing facts are named at the top.
const MOST_FACTS: usize = 3;

/// So many parts that draw with the key off are named at the top.
const MOST_PARTS: usize = 3;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    let vehicle = told.vehicle;
    let sources = &vehicle.document.sources;
    let name = page.strong(&vehicle.name);
    page.line(
        0,
        &format!(
            "{name} ({}), {}",
            words::path(sources),
            told.show(vehicle.system.likely)
        ),
    );
    found(told, page);
    not_judged(told, page);
    key_off(told, page);
    key_on(told, page);
}

fn found(told: &Told<'_>, page: &mut Page) {
    page.heading("Found");
    let count = words::Count::of(told.report);
    let mut counts = vec![
        words::plural(count.errors, "error", "errors"),
        words::plural(count.warnings, "warning", "warnings"),
        words::plural(count.notes, "note", "notes"),
    ];
    if count.accepted > 0 {
        counts.push(format!("{} accepted by the record", count.accepted));
    }
    page.line(2, &format!("{}.", counts.join(", ")));
    let open = |harm: Harm| {
        told.report
            .findings
            .iter()
            .filter(move |one| one.accepted.is_none() && one.check.harm == harm)
    };
    for harm in [
        Harm::Fire,
        Harm::Stranded,
        Harm::Damage,
        Harm::Nuisance,
        Harm::Record,
    ] {
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
    let report = told.report;
    page.line(
        2,
        &format!(
            "{} made; {} could not be, because a fact is not stated.",
            words::plural(report.checked, "judgement was", "judgements were"),
            report.gaps.len(),
        ),
    );
    let facts = super::gaps::by_fact(report);
    if !facts.is_empty() {
        let first: Vec<String> = facts
            .iter()
            .take(MOST_FACTS)
            .map(|fact| format!("{} ({})", fact.name, fact.settles.len()))
            .collect();
        page.line(
            2,
            &format!("What would settle most of them: {}.", words::list(&first)),
        );
    }
}

fn key_off(told: &Told<'_>, page: &mut Page) {
    page.heading("Key off");
    let key_off = &told.solved.key_off;
    let vehicle = told.vehicle;
    let Some(starter) = vehicle.starter else {
        page.line(
            2,
            "The record has no battery, so there is no standing draw to sum up.",
        );
        return;
    };
    let battery = &vehicle.part(starter).name.value;
    if key_off.draw.0 <= 0.0 && key_off.range.high.0 <= 0.0 {
        page.line(
            2,
            &format!("Nothing that is stated draws from {battery} as it is left."),
        );
    } else {
        page.line(
            2,
            &format!(
                "{} out of {battery} as it is left{}.",
                told.show(key_off.draw),
                between(&told.range(key_off.range))
            ),
        );
        most(told, page);
        match key_off.simple {
            Some(time) => {
                page.line(
                    4,
                    &simple(time.hours() * key_off.draw.0, key_off.draw.0, time),
                );
                page.line(
                    2,
                    "That is the simple sum, down to an empty battery. Cold, age and the charge that starting takes make \
                     the real time shorter.",
                );
                standing(told, page);
            }
            None => page.line(
                2,
                &format!("How long it lasts cannot be said: {battery}.capacity is not stated."),
            ),
        }
    }
    if vehicle.own_off.is_none() {
        page.line(
            2,
            "This is of the equipment in the record alone: what the vehicle itself draws (`own-load: {off: …}`) is not \
             stated.",
        );
    }
    if !key_off.missing.is_empty() {
        page.line(
            2,
            &format!(
                "Not known, so the figure is not whole: {}.",
                words::list(&key_off.missing)
            ),
        );
    }
}

/// How long the engine would still start at the temperature of the record.
fn standing(told: &Told<'_>, page: &mut Page) {
    let Some(bank) = told.parked.starter() else {
        return;
    };
    let Some(here) = &bank.here else {
        return;
    };
    let at = told.show(here.at);
    let days = here.days;
    if days.likely <= 0.0 {
        page.line(
            2,
            &format!(
                "At {at} the engine does not start even now: the charge it needs is not there."
            ),
        );
    } else {
        page.line(
            2,
            &format!(
                "Standing at {at}, the engine still starts for {} days ({} to {}). The floor of {} charge is set by {}.",
                digits(days.likely, 2),
                digits(days.low, 2),
                digits(days.high, 2),
                told.show(Fraction(here.floor)),
                here.floor_by.text()
            ),
        );
    }
    if !bank.missing.is_empty() {
        page.line(
            2,
            &format!(
                "Not stated, so cranking is left out of it: {}.",
                words::list(&bank.missing)
            ),
        );
    } else if !here.moved_by.is_empty() {
        page.line(
            2,
            &format!("What moves this most: {}.", words::list(&here.moved_by)),
        );
    }
}

/// The parts that draw most of it.
fn most(told: &Told<'_>, page: &mut Page) {
    let parts: Vec<String> = told
        .solved
        .key_off
        .by_part
        .iter()
        .filter(|draw| draw.only_if.is_none())
        .take(MOST_PARTS)
        .map(|draw| {
            let name = &told.vehicle.part(draw.part).name.value;
            format!("{name} {}", told.show(draw.current))
        })
        .collect();
    if parts.is_empty() {
        return;
    }
    let words = if told.solved.key_off.by_battery.len() > 1 {
        "Drawing most, from any battery"
    } else {
        "Most of it"
    };
    page.line(2, &format!("{words}: {}.", parts.join(", ")));
}

/// The sum as everybody in the trade does it by hand: `75 Ah / 0.182 A = 412 h = 17.2 days`.
pub(super) fn simple(amp_hours: f64, amps: f64, time: Seconds) -> String {
    format!(
        "{} / {} A = {} h = {} days",
        show::show(AmpHours(amp_hours), Units::Metric),
        trimmed(amps),
        digits(time.hours(), 3),
        digits(time.days(), 3)
    )
}

/// Three significant digits, without the noughts that say nothing.
fn trimmed(value: f64) -> String {
    let digits = digits(value, 3);
    if digits.contains('.') {
        digits
            .trim_end_matches('0')
            .trim_end_matches('.')
            .to_owned()
    } else {
        digits
    }
}

fn key_on(told: &Told<'_>, page: &mut Page) {
    page.heading("Key on");
    let mut any = false;
    for (situation, solution, balance) in &told.balances {
        if situation.key == Key::Off {
            continue;
        }
        any = true;
        page.item(2, 4, &on(told, situation, solution, balance));
    }
    if !any {
        page.line(2, "No situation with the key on.");
    }
}

fn on(told: &Told<'_>, situation: &Situation, solution: &Solution, balance: &Balance) -> String {
    let mut text = format!(
        "{}, key {}, engine {}: everything takes {}",
        situation.name,
        situation.key.text(),
        words::at_speed(situation.engine),
        told.show(balance.load)
    );
    if let Some(given) = balance.alternator.filter(|_| situation.engine.runs()) {
        text += &format!("; the alternator gives {}", told.show(given));
        match balance.alternator_limit {
            Some(limit) => text += &format!(" of {} that it can", told.show(limit)),
            None => text += " (what it can give at this speed is not stated)",
        }
    }
    if let Some(battery) = balance.starter(told.vehicle) {
        let name = &told.vehicle.part(battery.part).name.value;
        if battery.current.0 > 0.0 {
            text += &format!("; {name} gives {}", told.show(battery.current));
        } else if battery.current.0 < 0.0 {
            text += &format!("; {name} is charged with {}", told.show(-battery.current));
        }
        text += &format!(" at {}", told.show(battery.volts));
    }
    text.push('.');
    if let Some(trouble) = &solution.trouble {
        text += &format!(" These figures are not to be relied on: {trouble}.");
    }
    text
}

fn between(range: &str) -> String {
    if range.is_empty() {
        String::new()
    } else {
        format!(", between {}", range.replace(" to ", " and "))
    }
}
