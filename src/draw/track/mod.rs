//! Current tracks: supply rails above, the chassis below, and between them every path of current from top to bottom.
//!
//! 1. [`forest`]: the paths, as trees that hang from rails;
//! 2. [`lay`]: a column for each path and a height for each piece; nothing crosses, because a tree's columns stand together;
//! 3. [`paint`]: symbols, wires and texts.
//!
//! Parts are torn apart: the coil of a relay stands on its own track, and each half names the track of the other.

mod figure;
mod forest;
mod lay;
mod paint;
mod rails;

use crate::draw::Options;
use crate::draw::compose::Block;
use crate::draw::gather::Gatherer;
use crate::model::Vehicle;

pub use rails::line_of as rail;

use forest::Forest;
use lay::{Band, Numbers};

/// Bands of tracks for sheets with this room; `whole` keeps what hangs from one rail together where a band can hold it.
#[must_use]
pub fn bands(
    vehicle: &Vehicle,
    options: &Options<'_>,
    room: (f64, f64),
    whole: bool,
) -> Vec<Block> {
    let gatherer = Gatherer::new(
        vehicle,
        options.units,
        options.situation.as_ref(),
        &options.marks,
    );
    let forest = Forest::grow(&gatherer, |tree| lay::too_large(&gatherer, tree, room));
    let numbers = Numbers::of(&gatherer, &forest);
    Band::fill(&gatherer, &forest, &numbers, room.0, whole)
        .iter()
        .map(|band| paint::paint(&gatherer, &forest, band, &numbers))
        .collect()
}
