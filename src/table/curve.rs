//! Three curves over one axis: the least, what is taken, the most.

use super::Cited;
use super::sheet::interpolate;

/// Low, taken, high against something.
pub(super) struct Curves {
    /// Least, taken, most: each rising along the axis.
    pub(super) columns: [Vec<(f64, f64)>; 3],
    /// The citation of all three.
    pub(super) source: String,
}

impl Curves {
    /// Between points by straight lines; the ends hold beyond the ends.
    pub(super) fn at(&'static self, x: f64) -> Cited<f64> {
        let [low, value, high] =
            [0, 1, 2].map(|one| interpolate(&self.columns[one], x).unwrap_or(f64::NAN));
        Cited {
            value,
            low,
            high,
            source: &self.source,
        }
    }
}

/// Points of one curve: where, low, taken, high.
pub(super) fn curves(points: &[[f64; 4]], source: String) -> Curves {
    Curves {
        columns: [1, 2, 3].map(|column| points.iter().map(|row| (row[0], row[column])).collect()),
        source,
    }
}
