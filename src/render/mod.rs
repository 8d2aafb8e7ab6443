//! Words, pictures and JSON for what the other stages found. Everything here gives text back; nothing is printed.

pub mod diagnostic;
pub mod figure;
pub mod json;
pub mod schema;
pub mod snippet;
pub mod svg;
pub mod text;
pub mod words;
