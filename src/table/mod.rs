//! Every number that comes from a book, with the book: CSV files compiled in, typed look-ups over them.

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
