//! Words, pictures and JSON for what the other stages found. Everything here gives text back; nothing is printed.

pub mod diagnostic;
pub mod snippet;
pub mod svg;
