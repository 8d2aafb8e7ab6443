//! `keyoff` keeps one record of the electrical equipment that people add to a working vehicle, and does the sums.
//!
//! Data goes one way:
//!
//! 1. [`read`]: text to a document with the place of every fact, or to all the problems in it;
//! 2. [`model`]: the document to a graph of terminals, defaults filled in and listed;
//! 3. [`solve`]: the nonlinear network of one state, relays brought to rest;
//! 4. [`analyze`]: the sums over states: standing draw, situations, every setting;
//! 5. [`check`]: findings with their places, values, limits and sources;
//! 6. [`draw`] and [`render`]: pictures, words, JSON.

pub mod advise;
pub mod analyze;
pub mod check;
pub mod draw;
pub mod model;
mod phrase;
pub mod quantity;
pub mod read;
pub mod render;
pub mod solve;
pub mod source;
pub mod table;

use std::sync::Arc;

/// One record, built, solved and checked.
#[derive(Clone, Debug)]
pub struct Audit {
    /// The vehicle.
    pub vehicle: model::Vehicle,
    /// Its states, solved, and the sums over them.
    pub solved: analyze::Solved,
    /// What the checks say.
    pub report: check::Report,
}

/// Carries a record through all the steps from [`model`] to [`check`].
#[must_use]
pub fn audit(document: read::document::Document) -> Audit {
    audit_up_to(document, analyze::SETTINGS)
}

/// The same, with no more than so many settings of one group of switches in one position of the key.
#[must_use]
pub fn audit_up_to(document: read::document::Document, settings: usize) -> Audit {
    let vehicle = model::build(Arc::new(document));
    let solved = analyze::analyze_up_to(&vehicle, settings);
    let report = check::run(&vehicle, &solved);
    Audit {
        vehicle,
        solved,
        report,
    }
}
