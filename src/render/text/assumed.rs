//! What was taken because the record does not say.

use std::collections::BTreeMap;

use crate::model::Assumed;
use crate::render::text::Page;
use crate::render::text::show::Show;

/// A page's section of what was assumed; nothing where nothing was.
pub fn write<'a>(page: &mut Page, show: Show, values: impl Iterator<Item = &'a Assumed>) {
    let sentences = sentences(show, values);
    if sentences.is_empty() {
        return;
    }
    page.heading("Assumed, because the record does not say");
    for sentence in sentences {
        page.item(2, 4, &sentence);
    }
}

/// Values taken alike for several parts or wires are told once, with all their names.
pub fn sentences<'a>(show: Show, values: impl Iterator<Item = &'a Assumed>) -> Vec<String> {
    let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for assumed in values {
        let words = taken(show, assumed);
        let at = *known.entry(words.clone()).or_insert_with(|| {
            alike.push((words, Vec::new()));
            alike.len() - 1
        });
        alike[at].1.push(&assumed.subject);
    }
    let told = alike.into_iter().map(|(words, subjects)| {
        let subjects = subjects.join(", ");
        if subjects.is_empty() {
            words
        } else {
            format!("{words}: {subjects}")
        }
    });
    told.collect()
}

/// `contact resistance 5 mohm, 2 mohm to 10 mohm (its source)`.
fn taken(show: Show, assumed: &Assumed) -> String {
    let what = assumed
        .what
        .strip_prefix(assumed.subject.as_str())
        .map_or(assumed.what.as_str(), str::trim_start);
    let mut words = format!("{what} {}", show.measure(assumed.amount, assumed.unit));
    if assumed.low < assumed.high {
        words += &format!(
            ", {} to {}",
            show.measure(assumed.low, assumed.unit),
            show.measure(assumed.high, assumed.unit)
        );
    }
    words + &format!(" ({})", assumed.source)
}
