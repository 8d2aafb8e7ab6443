//! Quantities as people read them: at most three significant digits, and the unit that keeps them short.

use std::fmt;

use super::Interval;
use super::Scalar;

/// Which units people want to read. Conductor sizes keep the system that the record gives them in.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Units {
    /// Metre, degree Celsius.
    #[default]
    Metric,
    /// Foot and inch, degree Fahrenheit.
    Us,
}

/// `182 mA`, `14.3 A`, `12.6 V`, `5.3 mohm`, `75 Ah`, `1.6 m` or `5.25 ft`, `11.2 days`.
///
/// What is below a microampere or a microvolt is shown as nothing; a whole number has no decimals.
#[must_use]
pub fn show<T: Scalar>(value: T, units: Units) -> String {
    measure(value.get(), T::SYMBOL, units)
}

/// `175 mA to 190 mA`; one figure where both ends read the same.
#[must_use]
pub fn range<T: Scalar>(range: Interval<T>, units: Units) -> String {
    let (low, high) = (show(range.low, units), show(range.high, units));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A number of the unit with this symbol.
#[must_use]
pub fn measure(amount: f64, unit: &str, units: Units) -> String {
    if !amount.is_finite() {
        return format!("no number of {unit}");
    }
    let size = amount.abs();
    let (amount, unit) = match unit {
        // What is below a microampere or a microvolt is nothing.
        "A" | "V" if size < 1e-6 => (0.0, unit),
        "A" if size < 0.9995e-3 => (amount * 1e6, "uA"),
        "V" if size < 0.9995e-3 => (amount * 1e6, "uV"),
        "A" if size < 0.9995 => (amount * 1e3, "mA"),
        "V" if size < 0.09995 => (amount * 1e3, "mV"),
        "ohm" if size > 0.0 && size < 0.9995e-3 => (amount * 1e6, "uohm"),
        "ohm" if size > 0.0 && size < 0.9995 => (amount * 1e3, "mohm"),
        "s" => time(amount),
        "m" => length(amount, units),
        "C" if units == Units::Us => (amount * 1.8 + 32.0, "F"),
        "1" => (amount * 100.0, "%"),
        _ => (amount, unit),
    };
    let significant = match unit {
        "ohm" | "mohm" | "uohm" | "m" | "cm" => 2,
        _ => 3,
    };
    let gap = if unit.is_empty() || unit == "x" {
        ""
    } else {
        " "
    };
    format!("{}{gap}{unit}", digits(amount, significant))
}

/// Seconds in the unit that people would say them in.
fn time(seconds: f64) -> (f64, &'static str) {
    match seconds.abs() {
        size if size > 0.0 && size < 0.9995 => (seconds * 1e3, "ms"),
        size if size < 120.0 => (seconds, "s"),
        size if size < 2.0 * 3600.0 => (seconds / 60.0, "min"),
        size if size < 48.0 * 3600.0 => (seconds / 3600.0, "h"),
        size if size < 2.0 * 31_557_600.0 => (seconds / 86_400.0, "days"),
        _ => (seconds / 31_557_600.0, "years"),
    }
}

fn length(meters: f64, units: Units) -> (f64, &'static str) {
    match units {
        Units::Metric if meters.abs() < 0.995 => (meters * 100.0, "cm"),
        Units::Metric => (meters, "m"),
        Units::Us if meters.abs() < 0.9 => (meters / 0.0254, "in"),
        Units::Us => (meters / 0.3048, "ft"),
    }
}

/// So many significant digits, never cutting a whole number, without the zeros that would end its decimals.
#[must_use]
pub fn digits(value: f64, significant: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 {
            "0".to_owned()
        } else {
            value.to_string()
        };
    }
    let rounded: f64 = format!("{:.*e}", significant.saturating_sub(1), value)
        .parse()
        .unwrap_or(value);
    let before = rounded.abs().log10().floor() as i32 + 1;
    let decimals = usize::try_from(significant as i32 - before).unwrap_or(0);
    if decimals == 0 {
        return format!("{value:.0}");
    }
    let shown = format!("{value:.decimals$}");
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl<T: Scalar> fmt::Display for Interval<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&range(*self, Units::default()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{AmpHours, Amps, Celsius, Fraction, Meters, Ohms, Seconds, Volts};

    #[test]
    fn figures_are_short_and_keep_at_most_three_digits() {
        let metric = |text: &str, shown: String| assert_eq!(shown, text);
        metric("182 mA", show(Amps(0.1824), Units::Metric));
        metric("14 A", show(Amps(14.0), Units::Metric));
        metric("14 A", show(Amps(14.02), Units::Metric));
        metric("1 A", show(Amps(0.9996), Units::Metric));
        metric("5 mA", show(Amps(0.005), Units::Metric));
        metric("350 uA", show(Amps(0.000_35), Units::Metric));
        metric("0 A", show(Amps(1e-9), Units::Metric));
        metric("-1.31 A", show(Amps(-1.314), Units::Metric));
        metric("12.6 V", show(Volts(12.64), Units::Metric));
        metric("0.44 V", show(Volts(0.44), Units::Metric));
        metric("75 Ah", show(AmpHours(75.0), Units::Metric));
        metric("5.3 mohm", show(Ohms(0.0053), Units::Metric));
        metric("85 %", show(Fraction(0.85), Units::Metric));
        metric("1234 A", show(Amps(1234.0), Units::Metric));
    }

    #[test]
    fn times_lengths_and_temperatures_take_the_unit_that_people_say() {
        assert_eq!(show(Seconds(967_680.0), Units::Metric), "11.2 days");
        assert_eq!(show(Seconds(1500.0), Units::Metric), "25 min");
        assert_eq!(show(Seconds(0.1), Units::Metric), "100 ms");
        assert_eq!(show(Seconds(18_000.0), Units::Metric), "5 h");
        assert_eq!(show(Meters(1.6), Units::Metric), "1.6 m");
        assert_eq!(show(Meters(1.6), Units::Us), "5.25 ft");
        assert_eq!(show(Meters(0.1778), Units::Us), "7 in");
        assert_eq!(show(Meters(0.4), Units::Metric), "40 cm");
        assert_eq!(show(Celsius(-10.0), Units::Us), "14 F");
        assert_eq!(show(Celsius(-10.0), Units::Metric), "-10 C");
    }

    #[test]
    fn a_range_with_like_ends_is_one_figure() {
        assert_eq!(Interval::exact(Amps(1.0)).to_string(), "1 A");
        let wide = Interval::between(Amps(0.175), Amps(0.19));
        assert_eq!(wide.to_string(), "175 mA to 190 mA");
    }
}
