//! What is taken for a fact that the record leaves out; every one with its source.
//!
//! The values themselves stand in [`crate::table`]; here is when they are taken, and the list of those that were.

use std::collections::BTreeMap;

use super::fact::{Assumed, AssumedId, Basis, Fact};
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::{AmpHours, Amps, Celsius, Fraction, Ohms, Volts};
use crate::table;
use crate::table::Cited;
use crate::table::battery::Chemistry;
use crate::table::fuse::Form;

/// The defaults that were taken while building one vehicle.
#[derive(Debug, Default)]
pub(super) struct Ledger {
    list: Vec<Assumed>,
    shared: BTreeMap<&'static str, AssumedId>,
    /// One of them taken at another amount, and exactly.
    moved: Option<(AssumedId, f64)>,
}

impl Ledger {
    /// A list in which one default is taken at another amount.
    pub(super) fn with(moved: Option<(AssumedId, f64)>) -> Self {
        Self {
            moved,
            ..Self::default()
        }
    }

    fn fact<T: Scalar>(&self, id: AssumedId, cited: &Cited<T>) -> Fact<T> {
        let basis = Basis::Assumed(id);
        match self.moved {
            Some((moved, amount)) if moved == id => Fact {
                range: Interval::exact(T::of(amount)),
                likely: T::of(amount),
                basis,
            },
            _ => Fact {
                range: Interval::between(cited.low, cited.high),
                likely: cited.value,
                basis,
            },
        }
    }

    /// Takes a default for a fact of one part or wire, and lists it.
    pub(super) fn take<T: Scalar>(
        &mut self,
        what: String,
        subject: &str,
        key: &'static str,
        cited: Cited<T>,
    ) -> Fact<T> {
        let id = AssumedId(self.list.len() as u32);
        self.list.push(Assumed {
            what,
            subject: subject.to_owned(),
            key,
            low: cited.low.get(),
            amount: cited.value.get(),
            high: cited.high.get(),
            unit: T::SYMBOL,
            source: cited.source.to_owned(),
        });
        self.fact(id, &cited)
    }

    /// Takes a default that is the same for the whole vehicle, and lists it the first time.
    pub(super) fn once<T: Scalar>(
        &mut self,
        what: &'static str,
        key: &'static str,
        cited: Cited<T>,
    ) -> Fact<T> {
        if let Some(&id) = self.shared.get(what) {
            return self.fact(id, &cited);
        }
        let fact = self.take(what.to_owned(), "vehicle", key, cited);
        if let Basis::Assumed(id) = fact.basis {
            self.shared.insert(what, id);
        }
        fact
    }

    /// Everything that was taken, in order.
    pub(super) fn into_list(self) -> Vec<Assumed> {
        self.list
    }
}

/// A value that the format itself gives a meaning, without a book: no range.
pub(super) fn exact<T: Scalar>(value: T, source: &'static str) -> Cited<T> {
    Cited {
        value,
        low: value,
        high: value,
        source,
    }
}

/// A choice on the careful side.
pub(super) const CAUTION: &str = "the careful choice, no source";

/// What the format itself takes for granted.
pub(super) const TAKEN_FOR_GRANTED: &str = "the format: a way that the record leaves out";

/// Where something is of which the record does not say it.
pub(super) const ZONE: &str = "the format: cabin if left out";

/// What is on is on all the time unless the record says otherwise.
pub(super) fn duty() -> Cited<Fraction> {
    exact(Fraction(1.0), CAUTION)
}

/// The voltage that the format gives to ratings: without the spread of the table.
pub(super) fn rated(system: Volts) -> Cited<Volts> {
    let cited = table::load::rated_voltage(system);
    exact(cited.value, cited.source)
}

/// The voltage below which the format lets loads fade: without the spread of the table.
pub(super) fn min_voltage(system: Volts) -> Cited<Volts> {
    let cited = table::load::min_voltage(system);
    exact(cited.value, cited.source)
}

/// Rest voltage of a battery of this nominal voltage, over the range of its charge.
pub(super) fn rest_voltage(
    chemistry: Chemistry,
    charge: Fact<Fraction>,
    nominal: Volts,
) -> Cited<Volts> {
    let at = |charge| table::battery::rest_voltage(chemistry, charge);
    let blocks = nominal.0 / 12.0;
    let likely = at(charge.likely);
    Cited {
        value: likely.value * blocks,
        low: at(charge.range.low).low * blocks,
        high: at(charge.range.high).high * blocks,
        source: likely.source,
    }
}

/// Internal resistance of a battery of this nominal voltage, by the best of what is known.
pub(super) fn battery_ohms(
    cranking: Option<Amps>,
    capacity: Option<AmpHours>,
    nominal: Volts,
    at: Celsius,
) -> Cited<Ohms> {
    let of_cranking = cranking.and_then(|amps| table::battery::internal_resistance(amps, at));
    let of_capacity = |capacity| table::battery::internal_resistance_from_capacity(capacity, at);
    let unknown = || {
        let size = table::vehicle::unknown_capacity();
        let ends = [size.value, size.low, size.high].map(of_capacity);
        let [Some(value), Some(most), Some(least)] = ends else {
            return exact(Ohms::ZERO, size.source);
        };
        Cited {
            value: value.value,
            low: least.low,
            high: most.high,
            source: size.source,
        }
    };
    let blocks = nominal.0 / 12.0;
    of_cranking
        .or_else(|| capacity.and_then(of_capacity))
        .unwrap_or_else(unknown)
        .map(|ohms| ohms * blocks)
}

/// Cold resistance of a fuse; where its rating is not stated, over that of all common ones.
pub(super) fn fuse(form: Option<&str>, rating: Option<Amps>) -> Cited<Ohms> {
    over_ratings(rating, |rating| {
        let form = form
            .and_then(Form::named)
            .unwrap_or_else(|| table::fuse::default_form(rating).value);
        table::fuse::cold_resistance(form, rating)
    })
}

/// Resistance of a breaker; where its rating is not stated, over that of all common ones.
pub(super) fn breaker(rating: Option<Amps>) -> Cited<Ohms> {
    over_ratings(rating, table::joint::breaker)
}

fn over_ratings(rating: Option<Amps>, of: impl Fn(Amps) -> Option<Cited<Ohms>>) -> Cited<Ohms> {
    if let Some(cited) = rating.and_then(&of) {
        return cited;
    }
    let unknown = table::vehicle::unknown_fuse();
    let ends = [unknown.value, unknown.low, unknown.high].map(of);
    let [Some(value), Some(most), Some(least)] = ends else {
        return exact(Ohms::ZERO, unknown.source);
    };
    Cited {
        value: value.value,
        low: least.low,
        high: most.high,
        source: unknown.source,
    }
}
