//! What `keyoff wirelist --format json` prints.

use serde::Serialize;

use super::Document;

/// The wires of one record, in its order.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireList {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Its wires; each segment of a run is one.
    pub wires: Vec<WireLine>,
}

/// One wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireLine {
    /// Its name.
    pub wire: String,
    /// The terminal where it starts.
    pub from: String,
    /// The terminal where it ends.
    pub to: String,
    /// Its size, as `12 AWG`; null where it is not stated, as all of the following.
    pub size: Option<String>,
    /// Its own length, one way, as it is written, or in the units asked for.
    pub length: Option<String>,
    /// The same in metres.
    pub length_m: Option<f64>,
    /// Its colour.
    pub color: Option<String>,
    /// Its insulation.
    pub insulation: Option<String>,
    /// How many run side by side.
    pub parallel: u32,
    /// The bundle it lies in.
    pub bundle: Option<String>,
    /// What it runs through or along.
    pub route: Vec<String>,
    /// `engine-bay`, `cabin` or `exterior`.
    pub zone: String,
    /// `factory`, `added`, `planned`, `abandoned` or `unknown`.
    pub status: String,
    /// What else the record says about it.
    pub note: Option<String>,
}
