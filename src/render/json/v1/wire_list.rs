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
    /// Lengths added up by size, colour and insulation.
    pub totals: Vec<WireTotal>,
}

/// What is to be bought of one sort of wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireTotal {
    /// Size, as `12 AWG`; null where it is not stated, as the two that follow.
    pub size: Option<String>,
    /// Colour.
    pub color: Option<String>,
    /// Insulation.
    pub insulation: Option<String>,
    /// All of it whose length is stated.
    pub length: String,
    /// The same in metres.
    pub length_m: f64,
    /// How many pieces are cut.
    pub pieces: u32,
    /// Those among them whose length is not stated.
    pub unmeasured: u32,
}

/// One wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireLine {
    /// Its name.
    pub wire: String,
    /// The terminal where it starts.
    pub from: String,
    /// What it has to fit there: `bolt-down fuse`, `relay`, `chassis`.
    pub from_lands_on: String,
    /// The terminal where it ends.
    pub to: String,
    /// What it has to fit there.
    pub to_lands_on: String,
    /// The next fuses ahead of it; of a return, those of its circuit. Empty where nothing protects it.
    pub fuse: Vec<String>,
    /// What uses its current.
    pub circuit: Vec<String>,
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
