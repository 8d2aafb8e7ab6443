//! On what the figures rest: what was assumed, where the record's values are from, and what this report is not.

use std::collections::BTreeSet;

use super::Told;
use crate::quantity::Origin;
use crate::read::document::Document;
use crate::read::document::Fields;
use crate::read::document::Value;
use crate::render::text::Page;
use crate::render::words;
use crate::source::Span;

pub(super) fn write(told: &Told<'_>, page: &mut Page) {
    origins(told, page);
    page.blank();
    page.line(0, words::ADVICE);
}

fn origins(told: &Told<'_>, page: &mut Page) {
    page.heading("Where the values are from");
    page.line(2, &counts(told));
}

/// How many values are from where, in a sentence.
pub(in crate::render) fn counts(told: &Told<'_>) -> String {
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
    format!("{}.", counts.join(", "))
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
