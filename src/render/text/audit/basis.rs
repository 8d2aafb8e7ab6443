//! On what the figures rest: what was assumed, where the record's values are from, and what this report is not.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::Told;
use crate::model::Assumed;
use crate::quantity::Origin;
use crate::read::document::Document;
use crate::read::document::Fields;
use crate::read::document::Value;
use crate::render::text::Page;
use crate::render::words;
use crate::source::Span;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    assumed(told, page);
    origins(told, page);
    page.blank();
    page.line(
        0,
        "This is advice, worked out from what the record says. It certifies nothing: the vehicle maker's body-builder \
         instructions, local codes and licensed practice come first.",
    );
}

/// Values taken alike for several parts or wires are told once, with all their names.
fn assumed(told: &Told<'_>, page: &mut Page) {
    let mut alike: Vec<(String, Vec<&str>)> = Vec::new();
    let mut known: BTreeMap<String, usize> = BTreeMap::new();
    for assumed in told.vehicle.assumed.iter().chain(&told.parked.assumed) {
        let words = taken(told, assumed);
        let at = *known.entry(words.clone()).or_insert_with(|| {
            alike.push((words, Vec::new()));
            alike.len() - 1
        });
        alike[at].1.push(&assumed.subject);
    }
    if alike.is_empty() {
        return;
    }
    page.heading("Assumed, because the record does not say");
    for (words, subjects) in alike {
        let subjects = subjects.join(", ");
        if subjects.is_empty() {
            page.item(2, 4, &words);
        } else {
            page.item(2, 4, &format!("{words}: {subjects}"));
        }
    }
}

/// `contact resistance 5 mohm, 2 mohm to 10 mohm (its source)`.
fn taken(told: &Told<'_>, assumed: &Assumed) -> String {
    let what = assumed
        .what
        .strip_prefix(assumed.subject.as_str())
        .map_or(assumed.what.as_str(), str::trim_start);
    let mut words = format!("{what} {}", told.measure(assumed.amount, assumed.unit));
    if assumed.low < assumed.high {
        words += &format!(
            ", {} to {}",
            told.measure(assumed.low, assumed.unit),
            told.measure(assumed.high, assumed.unit)
        );
    }
    words + &format!(" ({})", assumed.source)
}

fn origins(told: &Told<'_>, page: &mut Page) {
    page.heading("Where the values are from");
    let counted = Counted::of(&told.vehicle.document);
    let mut counts: Vec<String> = Vec::new();
    for (origin, one, many) in [
        (Origin::Measured, "measured", "measured"),
        (Origin::Label, "from a label", "from labels"),
        (
            Origin::Maker,
            "from the maker's papers",
            "from the makers' papers",
        ),
        (Origin::Guess, "guessed", "guessed"),
        (
            Origin::Unstated,
            "without a word on where it is from",
            "without a word on where they are from",
        ),
    ] {
        let count = counted
            .stated
            .iter()
            .filter(|(_, is)| *is == origin)
            .count();
        if count > 0 {
            counts.push(words::plural(count, one, many));
        }
    }
    if !counted.unknown.is_empty() {
        counts.push(format!("{} unknown", counted.unknown.len()));
    }
    let assumed = told.vehicle.assumed.len() + told.parked.assumed.len();
    if assumed > 0 {
        counts.push(format!("{assumed} assumed"));
    }
    if counts.is_empty() {
        counts.push("none".to_owned());
    }
    page.line(2, &format!("{}.", counts.join(", ")));
}

/// Every value of the record once: the segments of a run share those of their entry.
#[derive(Default)]
struct Counted {
    stated: BTreeSet<(Span, Origin)>,
    unknown: BTreeSet<Span>,
}

impl Counted {
    fn of(document: &Document) -> Self {
        let mut counted = Self::default();
        counted.fields(&document.vehicle);
        for part in &document.parts {
            counted.fields(&part.fields);
        }
        for wire in &document.wires {
            counted.fields(&wire.fields);
        }
        for situation in &document.situations {
            counted.fields(&situation.fields);
        }
        for reading in &document.readings {
            counted.fields(&reading.fields);
        }
        counted
    }

    fn fields(&mut self, fields: &Fields) {
        for field in &fields.list {
            self.value(&field.value);
        }
    }

    fn value(&mut self, value: &Value) {
        match value {
            Value::Unknown(at) => {
                self.unknown.insert(*at);
            }
            Value::Quantity(quantity) => {
                self.stated.insert((quantity.at, quantity.origin));
            }
            Value::List(list, _) => list.iter().for_each(|value| self.value(value)),
            Value::Map(fields) => self.fields(fields),
            Value::Text(_) | Value::Flag(_) | Value::Size(_) => {}
        }
    }
}
