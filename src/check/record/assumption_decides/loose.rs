//! Values that may stand elsewhere: assumed, or known between two ends.

use crate::check::finding::Measure;
use crate::model::AssumedId;
use crate::model::Vehicle;
use crate::read::document::Fields;
use crate::read::document::Value;
use crate::source::Span;

/// A value that may stand elsewhere.
pub(super) struct Loose {
    /// `K1.drop-out`.
    pub(super) name: String,
    /// Part or wire.
    pub(super) subject: String,
    pub(super) key: String,
    pub(super) low: f64,
    pub(super) likely: f64,
    pub(super) high: f64,
    pub(super) unit: &'static str,
    /// As words: `1.2 V to 7.5 V`.
    pub(super) range: String,
    pub(super) how: How,
}

/// Where it is set.
#[derive(Clone, Copy)]
pub(super) enum How {
    Assumed(AssumedId),
    Stated(Span),
}

/// Values that are assumed with a range, and ranges that the record states.
pub(super) fn loose(vehicle: &Vehicle) -> Vec<Loose> {
    let mut all: Vec<Loose> = vehicle
        .assumed
        .iter()
        .enumerate()
        .filter(|(_, taken)| taken.high > taken.low)
        .map(|(at, taken)| Loose {
            name: format!("{}.{}", taken.subject, taken.key),
            subject: taken.subject.clone(),
            key: taken.key.to_owned(),
            low: taken.low,
            likely: taken.amount,
            high: taken.high,
            unit: taken.unit,
            range: format!(
                "{} {}",
                taken.what,
                between(taken.low, taken.high, taken.unit)
            ),
            how: How::Assumed(AssumedId(at as u32)),
        })
        .collect();
    for part in &vehicle.document.parts {
        ranges(&part.fields, &part.name.value, &part.name.value, &mut all);
    }
    for wire in &vehicle.document.wires {
        ranges(&wire.fields, &wire.id, &wire.id, &mut all);
    }
    all
}

pub(super) fn between(low: f64, high: f64, unit: &'static str) -> String {
    let shown = |amount| {
        let amount = Measure { amount, unit };
        format!("{} {}", round(amount.amount), amount.unit)
    };
    format!("{} to {}", shown(low), shown(high))
}

/// Three digits.
pub(super) fn round(amount: f64) -> f64 {
    if amount == 0.0 {
        return 0.0;
    }
    let scale = 10_f64.powf(2.0 - amount.abs().log10().floor());
    (amount * scale).round() / scale
}

/// Adds the ranges among some keys.
fn ranges(fields: &Fields, subject: &str, path: &str, all: &mut Vec<Loose>) {
    for field in &fields.list {
        let path = format!("{path}.{}", field.key.value);
        match &field.value {
            Value::Quantity(quantity) if quantity.high > quantity.low => all.push(Loose {
                name: path,
                subject: subject.to_owned(),
                key: field.key.value.clone(),
                low: quantity.low,
                likely: f64::midpoint(quantity.low, quantity.high),
                high: quantity.high,
                unit: "",
                range: format!("{} {}", field.key.value, quantity.text),
                how: How::Stated(quantity.at),
            }),
            Value::Map(inner) => ranges(inner, subject, &path, all),
            _ => {}
        }
    }
}
