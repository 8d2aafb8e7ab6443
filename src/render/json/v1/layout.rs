//! What `keyoff diagram --format json` prints: where everything stands on the sheets of a diagram.

use serde::Serialize;

use super::Document;

/// The layout of one diagram. Lengths are in units of a quarter of a millimetre at full scale, from the top left corner of the
/// sheet, right and down.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Layout {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Its sheets, in order.
    pub sheets: Vec<LayoutSheet>,
}

/// One sheet.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LayoutSheet {
    /// What it shows.
    pub describes: String,
    /// Width and height in units.
    pub size: [f64; 2],
    /// Width and height on paper in millimetres.
    pub paper_mm: [f64; 2],
    /// How large it is drawn on that paper; 1 is full scale.
    pub scale: f64,
    /// The area that drawing may use.
    pub frame: Rectangle,
    /// Parts with the room that they take, texts and ground leads included.
    pub parts: Vec<Named>,
    /// Tags, where a wire goes on elsewhere.
    pub tags: Vec<LayoutTag>,
    /// Terminals.
    pub terminals: Vec<Spot>,
    /// Wires drawn as lines.
    pub runs: Vec<LayoutRun>,
    /// Wires drawn as a lead at one of their ends.
    pub leads: Vec<LayoutLead>,
    /// Texts of wires.
    pub labels: Vec<Named>,
    /// Dots where wires join.
    pub dots: Vec<[f64; 2]>,
    /// Names that found no clear place.
    pub crowded: Vec<String>,
    /// How often wires of different nets cross.
    pub crossings: usize,
    /// How often wires turn a corner or branch off.
    pub bends: usize,
    /// Length of all lines between symbols.
    pub length: i64,
}

/// A rectangle.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Rectangle {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

/// Something with a name and a place.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Named {
    /// The part, or the wire.
    pub name: String,
    /// Its place.
    #[serde(flatten)]
    pub at: Rectangle,
}

/// A terminal.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Spot {
    /// As `K1.30`.
    pub name: String,
    /// Right and down.
    pub at: [f64; 2],
}

/// A tag.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LayoutTag {
    /// The wire that it continues; empty for a list of several.
    pub wire: String,
    /// What it says.
    pub text: String,
    /// Its place.
    #[serde(flatten)]
    pub at: Rectangle,
}

/// A wire drawn as a line.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LayoutRun {
    /// The wire.
    pub wire: String,
    /// Number of its net on this sheet; runs of one net may lie on each other.
    pub net: usize,
    /// What is at its ends: terminals, or a splice that is drawn as a dot.
    pub ends: [String; 2],
    /// Its whole way.
    pub points: Vec<[f64; 2]>,
}

/// A wire drawn as a lead.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LayoutLead {
    /// The wire.
    pub wire: String,
    /// The terminal at which it is drawn.
    pub from: String,
    /// Where it goes, by name.
    pub to: String,
}
