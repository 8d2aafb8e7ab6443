//! What `keyoff fuses --format json` prints.

use serde::Serialize;

use super::Document;

/// The fuses of one record, in its order.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FuseChart {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Its fuses, breakers, fusible links and feeds.
    pub fuses: Vec<FuseLine>,
}

/// One fuse.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct FuseLine {
    /// Its name.
    pub fuse: String,
    /// `fuse`, `breaker`, `fusible-link` or `feed`.
    pub kind: String,
    /// Its rating as it is written; of a feed, that of its factory fuse. Null where it is not stated, as all of the following.
    pub rating: Option<String>,
    /// Its form.
    pub form: Option<String>,
    /// Where it sits.
    pub place: Option<String>,
    /// What it is.
    pub what: Option<String>,
    /// When it has voltage without a switch or relay being worked: `always`, `with the key`, `not stated`, or words for else.
    pub hot: String,
    /// Everything that it feeds without a further fuse between: loads, controllers, and relays for their coils.
    pub feeds: Vec<String>,
    /// The next fuses behind it.
    pub then: Vec<String>,
}
