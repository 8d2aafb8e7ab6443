//! What is printed where the input could not be used.

use serde::Serialize;

use super::{Document, LabelledPlace, Place};

/// The input could not be used; the command ends with exit code 2.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Unreadable {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// What is wrong, in the order of the text; the first hundred.
    pub unreadable: Vec<Fault>,
    /// How many more there are.
    pub more: usize,
}

/// One reason why it could not be used.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Fault {
    /// What is wrong.
    pub message: String,
    /// What to write instead, where there is a way to say it.
    pub help: Option<String>,
    /// The words at fault; null where the file itself could not be had.
    pub at: Option<Place>,
    /// Further places.
    pub also: Vec<LabelledPlace>,
}
