//! Figures as people read them: three significant digits, and the prefix that keeps them short.

use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::Units;
use crate::quantity::show;
pub use crate::quantity::show::digits;

/// `182 mA`, `14.3 A`, `12.6 V`, `75 Ah`.
#[must_use]
pub fn figure<T: Scalar>(value: T) -> String {
    measure(value.get(), T::SYMBOL)
}

/// With its sign in front, for what can flow both ways.
#[must_use]
pub fn signed(current: Amps) -> String {
    let shown = figure(current.abs());
    if shown.starts_with("0 ") {
        shown
    } else if current.0 > 0.0 {
        format!("+{shown}")
    } else {
        format!("-{shown}")
    }
}

/// `175 mA to 190 mA`; empty where both ends read the same.
#[must_use]
pub fn range<T: Scalar>(range: Interval<T>) -> String {
    let (low, high) = (figure(range.low), figure(range.high));
    if low == high {
        String::new()
    } else {
        format!("{low} to {high}")
    }
}

/// A number with the symbol of its unit.
#[must_use]
pub fn measure(amount: f64, unit: &str) -> String {
    show::measure(amount, unit, Units::Metric)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::AmpHours;
    use crate::quantity::Ohms;
    use crate::quantity::Volts;

    #[test]
    fn figures_are_short_and_keep_three_digits() {
        assert_eq!(figure(Amps(0.1824)), "182 mA");
        assert_eq!(figure(Amps(14.0)), "14 A");
        assert_eq!(figure(Amps(14.02)), "14.0 A");
        assert_eq!(figure(Amps(0.9996)), "1.00 A");
        assert_eq!(figure(Amps(0.005)), "5 mA");
        assert_eq!(figure(Amps(0.000_35)), "350 uA");
        assert_eq!(figure(Amps(1e-9)), "0 A");
        assert_eq!(figure(Volts(12.64)), "12.6 V");
        assert_eq!(figure(Volts(0.44)), "0.440 V");
        assert_eq!(figure(AmpHours(75.0)), "75 Ah");
        assert_eq!(figure(Ohms(0.0053)), "5.3 mohm");
        assert_eq!(measure(0.85, "1"), "85 %");
        assert_eq!(measure(1234.0, "A"), "1234 A");
    }

    #[test]
    fn a_range_with_like_ends_says_nothing() {
        assert_eq!(range(Interval::exact(Amps(1.0))), "");
        assert_eq!(
            range(Interval::between(Amps(0.175), Amps(0.19))),
            "175 mA to 190 mA"
        );
    }
}
