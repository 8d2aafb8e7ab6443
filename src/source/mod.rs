//! Texts, places in them, and what is wrong there.
//!
//! A place is taken once, while reading, and kept to the last line of output.

mod problem;
mod text;

pub use problem::{Problem, Problems};
pub use text::{Position, Sources, Text};

use std::fmt;

/// Which text of [`Sources`] a place is in: 0 is the document itself, others are libraries that it names.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct FileId(pub u16);

/// A run of bytes in one text: `start..end`, ends on character boundaries.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Span {
    /// The text it is in.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// The bytes `start..end` of `file`.
    #[must_use]
    pub const fn new(file: FileId, start: u32, end: u32) -> Self {
        Self { file, start, end }
    }

    /// Length in bytes.
    #[must_use]
    pub const fn len(self) -> u32 {
        self.end.saturating_sub(self.start)
    }

    /// Whether nothing is written there.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.len() == 0
    }

    /// As a range for slicing the text.
    #[must_use]
    pub const fn range(self) -> std::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

impl fmt::Debug for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}@{}..{}", self.file.0, self.start, self.end)
    }
}

/// A value and where it was written.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Its place.
    pub at: Span,
}

impl<T> Spanned<T> {
    /// `value`, written at `at`.
    pub const fn new(value: T, at: Span) -> Self {
        Self { value, at }
    }
}

impl<T> std::ops::Deref for Spanned<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}
