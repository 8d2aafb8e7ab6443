//! From text to a [`document::Document`], or to every problem in it.
pub mod document;
