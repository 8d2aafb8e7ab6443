//! The wiring diagram: ordered passes from the vehicle to lines and texts.
//!
//! 1. [`gather`]: a symbol for each part, sides for terminals, nets of wires;
//! 2. [`symbol`]: figures with the room that they take;
//! 3. [`pass`]: the layout, on whole numbers;
//! 4. [`compose`]: wires along their routes, their texts;
//! 5. `track`: the other way of looking at it, every path of current from rail to chassis;
//! 6. [`sheet`]: blocks on sheets with frame, title block and legend.
//!
//! The finished [`Drawing`] is plain data; `render::svg` writes it out.

pub mod compose;
pub mod drawing;
pub mod flow;
pub mod gather;
pub mod measure;
pub mod net;
pub mod pass;
pub mod sheet;
pub mod split;
pub mod strip;
pub mod symbol;
mod track;
pub mod words;

pub use drawing::{Drawing, Sheet};

use crate::model::{PartId, Vehicle, WireId};
use crate::quantity::show::Units;
use crate::solve::Solution;

/// How the vehicle is laid out on paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum View {
    /// The overview where it fits the paper, else strips.
    #[default]
    Auto,
    /// Everything on one sheet, supply on the left.
    Overview,
    /// The supply, then each protected circuit by itself, on as many sheets as it takes.
    Strips,
    /// Current tracks: rails above, the chassis below, each path of current from top to bottom.
    Tracks,
}

/// Paper.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Paper {
    /// 11 by 8.5 inch.
    #[default]
    Letter,
    /// 17 by 11 inch.
    Tabloid,
    /// 297 by 210 mm.
    A4,
    /// 420 by 297 mm.
    A3,
}

impl Paper {
    /// Long and short side in millimetre.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (279.4, 215.9),
            Self::Tabloid => (431.8, 279.4),
            Self::A4 => (297.0, 210.0),
            Self::A3 => (420.0, 297.0),
        }
    }
}

/// Which way the paper lies.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Turn {
    /// The long side is level.
    #[default]
    Landscape,
    /// The long side is upright.
    Portrait,
}

/// One situation to be shown: what is live, what flows.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'s> {
    /// Its name.
    pub name: &'s str,
    /// Its solution.
    pub solution: &'s Solution,
}

/// Something to be marked and said in words: a finding.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Mark {
    /// Parts that it is about.
    pub parts: Vec<PartId>,
    /// Wires that it is about.
    pub wires: Vec<WireId>,
    /// How bad: `error`, `warning`, `note`.
    pub level: String,
    /// What is wrong, in words.
    pub message: String,
}

/// What to draw, and how.
#[derive(Clone, Debug, Default)]
pub struct Options<'o> {
    /// The view.
    pub view: View,
    /// The paper.
    pub paper: Paper,
    /// Which way the paper lies.
    pub turn: Turn,
    /// Units of lengths.
    pub units: Units,
    /// One situation to be shown.
    pub situation: Option<Shown<'o>>,
    /// What is to be marked.
    pub marks: Vec<Mark>,
}

impl Options<'_> {
    /// Width and height of the paper as it lies, in millimetre.
    #[must_use]
    pub const fn sheet_mm(&self) -> (f64, f64) {
        let (long, short) = self.paper.size_mm();
        match self.turn {
            Turn::Landscape => (long, short),
            Turn::Portrait => (short, long),
        }
    }
}

/// Draws the wiring diagram of a vehicle.
#[must_use]
pub fn diagram(vehicle: &Vehicle, options: &Options<'_>) -> Drawing {
    let schematic = gather::gather(
        vehicle,
        options.units,
        options.situation.as_ref(),
        &options.marks,
    );
    match options.view {
        View::Overview => sheet::overview(vehicle, options, &schematic),
        View::Strips => sheet::strips(vehicle, options, &schematic),
        View::Tracks => sheet::tracks(vehicle, options, &schematic),
        View::Auto => {
            let whole = sheet::overview(vehicle, options, &schematic);
            let (width, height) = options.sheet_mm();
            let fits = whole
                .sheets
                .iter()
                .all(|sheet| sheet.paper_mm.0 <= width && sheet.paper_mm.1 <= height);
            if fits {
                whole
            } else {
                sheet::strips(vehicle, options, &schematic)
            }
        }
    }
}
