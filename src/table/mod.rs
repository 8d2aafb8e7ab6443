//! Every number that comes from a book, with the book: CSV files compiled in, typed look-ups over them.

pub mod adiabatic;
pub mod alternator;
pub mod ampacity;
pub mod battery;
pub mod cold;
pub mod copper;
mod curve;
mod figure;
pub mod fuse;
mod fuse_time;
pub mod joint;
pub mod load;
pub mod meter;
pub mod opening;
mod page;
pub mod relay;
pub mod rules;
mod sheet;
pub mod typical;
pub mod vehicle;
mod view;
pub mod wire;

pub use page::page;
pub use sheet::{Basis, Source, sources};
pub use view::{TableView, all};

/// A value from a published or listed row, between two ends where the row gives a range.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Cited<T> {
    /// What is taken when one number is needed.
    pub value: T,
    /// The least of the row's range.
    pub low: T,
    /// The most.
    pub high: T,
    /// Title, table and row; ends in `(from memory)` where it was not read, or is `common practice, no source`.
    pub source: &'static str,
}

impl<T: Copy> Cited<T> {
    /// The same row with a rising function applied to it.
    #[must_use]
    pub fn map<U>(self, f: impl Fn(T) -> U) -> Cited<U> {
        Cited {
            value: f(self.value),
            low: f(self.low),
            high: f(self.high),
            source: self.source,
        }
    }

    /// A row without a range.
    pub(crate) const fn exact(value: T, source: &'static str) -> Self {
        Self {
            value,
            low: value,
            high: value,
            source,
        }
    }
}

impl Cited<f64> {
    /// Stands where a table lacks the row asked for.
    const NOT_LISTED: Self = Self::exact(f64::NAN, "not listed");
}
