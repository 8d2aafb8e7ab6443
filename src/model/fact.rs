//! A value, how far it is known, and on what it rests.

use crate::quantity::{Interval, Scalar};
use crate::read::document::{Origin, Stated};
use crate::source::Span;

/// On what a value rests.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Basis {
    /// The record says so, there.
    Stated(Origin, Span),
    /// Taken from a published or listed default: an entry of [`crate::model::Vehicle::assumed`].
    Assumed(AssumedId),
    /// Computed from other facts; the weakest of them decides: the assumption it rests on, if any.
    Derived(Option<AssumedId>),
}

/// Index into [`crate::model::Vehicle::assumed`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct AssumedId(pub u32);

/// A value taken because the record does not give it.
#[derive(Clone, PartialEq, Debug)]
pub struct Assumed {
    /// What it is, e.g. `K1 contact resistance`.
    pub what: String,
    /// The part or wire that lacks the fact.
    pub subject: String,
    /// The key that would state it, e.g. `contact-resistance`.
    pub key: &'static str,
    /// The least, in the unit.
    pub low: f64,
    /// What was taken, in the unit.
    pub amount: f64,
    /// The most, in the unit.
    pub high: f64,
    /// Symbol of the unit.
    pub unit: &'static str,
    /// Where the value is published, or `common practice, no source`, with `from memory` where so.
    pub source: String,
}

/// A value with its range and its basis. An absent fact is `None` of an `Option<Fact<_>>`, never a zero.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Fact<T> {
    /// Between which ends.
    pub range: Interval<T>,
    /// What is taken when one number is needed.
    pub likely: T,
    /// On what it rests.
    pub basis: Basis,
}

impl<T: Scalar> Fact<T> {
    /// As the record states it; the middle of a range is taken as likely.
    pub fn stated(stated: Stated<T>) -> Self {
        Self {
            range: stated.value,
            likely: stated.value.middle(),
            basis: Basis::Stated(stated.origin, stated.at),
        }
    }

    /// Computed by a rising or falling function of this one.
    #[must_use]
    pub fn derive<U: Scalar>(self, f: impl Fn(T) -> U) -> Fact<U> {
        Fact {
            range: self.range.map(&f),
            likely: f(self.likely),
            basis: Basis::Derived(self.basis.assumed()),
        }
    }

    /// Computed from this and another by a function that rises or falls throughout in each of the two.
    #[must_use]
    pub fn combine<U: Scalar, V: Scalar>(self, other: Fact<U>, f: impl Fn(T, U) -> V) -> Fact<V> {
        let (a, b) = (self.range, other.range);
        let corners = [
            f(a.low, b.low),
            f(a.low, b.high),
            f(a.high, b.low),
            f(a.high, b.high),
        ];
        let (mut low, mut high) = (corners[0], corners[0]);
        for corner in corners {
            low = if corner < low { corner } else { low };
            high = if corner > high { corner } else { high };
        }
        Fact {
            range: Interval { low, high },
            likely: f(self.likely, other.likely),
            basis: Basis::Derived(self.basis.assumed().or(other.basis.assumed())),
        }
    }

    /// The ends of its range as shares of what is likely; 1 and 1 where either is not above nothing.
    #[must_use]
    pub fn shares(&self) -> (f64, f64) {
        let likely = self.likely.get();
        let (low, high) = (
            self.range.low.get() / likely,
            self.range.high.get() / likely,
        );
        if likely > 0.0 && low > 0.0 {
            (low, high)
        } else {
            (1.0, 1.0)
        }
    }

    /// Its place in the record, where it was stated.
    #[must_use]
    pub fn at(&self) -> Option<Span> {
        match self.basis {
            Basis::Stated(_, at) => Some(at),
            Basis::Assumed(_) | Basis::Derived(_) => None,
        }
    }
}

impl Basis {
    /// The assumption it rests on.
    #[must_use]
    pub const fn assumed(self) -> Option<AssumedId> {
        match self {
            Self::Stated(..) => None,
            Self::Assumed(id) => Some(id),
            Self::Derived(id) => id,
        }
    }
}
