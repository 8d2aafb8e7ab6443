//! A value known between two ends.

use std::ops::{Add, Mul};

/// What a unit type offers to generic code.
pub trait Scalar: Copy + PartialOrd + std::fmt::Debug {
    /// The unit's symbol, as it is written in a document and in JSON.
    const SYMBOL: &'static str;
    /// The bare number in the base unit.
    fn get(self) -> f64;
    /// From the bare number in the base unit.
    fn of(value: f64) -> Self;
}

/// A closed range `low..=high`; a value that is known exactly has both ends equal.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Interval<T> {
    /// The least it can be.
    pub low: T,
    /// The most it can be.
    pub high: T,
}

impl<T: Scalar> Interval<T> {
    /// Known exactly.
    pub const fn exact(value: T) -> Self {
        Self {
            low: value,
            high: value,
        }
    }

    /// Between two ends given in either order.
    pub fn between(a: T, b: T) -> Self {
        if b < a {
            Self { low: b, high: a }
        } else {
            Self { low: a, high: b }
        }
    }

    /// The middle, taken as the likely value.
    #[must_use]
    pub fn middle(self) -> T {
        if self.is_exact() {
            self.low
        } else {
            T::of(f64::midpoint(self.low.get(), self.high.get()))
        }
    }

    /// Whether both ends are the same.
    #[must_use]
    pub fn is_exact(self) -> bool {
        self.low == self.high
    }

    /// Applies a rising function to both ends.
    #[must_use]
    pub fn map<U: Scalar>(self, f: impl Fn(T) -> U) -> Interval<U> {
        Interval::between(f(self.low), f(self.high))
    }
}

impl<T: Scalar + Add<Output = T>> Add for Interval<T> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            low: self.low + other.low,
            high: self.high + other.high,
        }
    }
}

impl<T: Scalar + Mul<f64, Output = T>> Mul<f64> for Interval<T> {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self::between(self.low * by, self.high * by)
    }
}
