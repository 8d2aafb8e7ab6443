//! Quantities in the units asked for.

use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::show;
use crate::quantity::show::Units;

/// Shows quantities in these units.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Show(pub Units);

impl Show {
    /// One quantity.
    pub fn one<T: Scalar>(self, value: T) -> String {
        show::show(value, self.0)
    }

    /// A number of the unit with this symbol.
    #[must_use]
    pub fn measure(self, amount: f64, unit: &str) -> String {
        show::measure(amount, unit, self.0)
    }

    /// Both ends; empty where they read the same.
    pub fn range<T: Scalar>(self, range: Interval<T>) -> String {
        let (low, high) = (self.one(range.low), self.one(range.high));
        if low == high {
            String::new()
        } else {
            format!("{low} to {high}")
        }
    }

    /// With its sign in front, for what can flow both ways.
    #[must_use]
    pub fn signed(self, current: Amps) -> String {
        let shown = self.one(current.abs());
        match current.0 {
            _ if shown.starts_with("0 ") => shown,
            current if current > 0.0 => format!("+{shown}"),
            _ => format!("-{shown}"),
        }
    }
}
