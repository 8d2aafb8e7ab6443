//! Words, pictures and JSON for what the other stages found. Everything here gives text back; nothing is printed.

pub mod chart;
pub mod csv;
pub mod diagnostic;
#[cfg(test)]
mod fixture;
pub mod fleet;
pub mod fuse_chart;
pub mod html;
pub mod json;
pub mod junit;
pub mod sarif;
pub mod schema;
pub mod snippet;
pub mod states;
pub mod svg;
pub mod text;
pub mod wire_list;
pub mod words;
