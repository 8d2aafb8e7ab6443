//! Problems with an input in the shape of format 1.

use super::audit::{labelled, place};
use super::v1;
use crate::source::Problem;
use crate::source::Sources;

/// So many are printed; the rest is counted.
pub const MOST: usize = 100;

/// The input could not be read: `problems` are of `sources`.
#[must_use]
pub fn unreadable(path: &str, sources: &Sources, problems: &[Problem]) -> v1::Unreadable {
    let fault = |problem: &Problem| v1::Fault {
        message: problem.message.clone(),
        help: problem.help.clone(),
        at: Some(place(sources, problem.at)),
        also: labelled(sources, &problem.also),
    };
    shape(
        path,
        problems.iter().take(MOST).map(fault).collect(),
        problems.len().saturating_sub(MOST),
    )
}

/// The file itself could not be had.
#[must_use]
pub fn unavailable(path: &str, message: &str, help: Option<&str>) -> v1::Unreadable {
    let fault = v1::Fault {
        message: message.to_owned(),
        help: help.map(str::to_owned),
        at: None,
        also: Vec::new(),
    };
    shape(path, vec![fault], 0)
}

fn shape(path: &str, unreadable: Vec<v1::Fault>, more: usize) -> v1::Unreadable {
    v1::Unreadable {
        format: v1::FORMAT,
        document: v1::Document {
            path: path.to_owned(),
            name: None,
        },
        unreadable,
        more,
    }
}
