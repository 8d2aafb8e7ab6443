//! The last digit that somebody wrote down.

use crate::read::document::Quantity;

/// What one more in the last digit as typed would be, in the unit of the dimension: 1 mA of `182 mA`, 10 mA of `1.31 A`. Of a
/// range, its upper end. Nothing where the text has no digits.
pub(super) fn last(of: &Quantity) -> Option<f64> {
    let typed = of.text.split('(').next().unwrap_or_default();
    let upper = typed.rsplit("..").next().unwrap_or_default();
    let upper = upper.trim_start_matches(|c: char| !c.is_ascii_digit() && c != '.');
    let end = upper
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(upper.len());
    let number = &upper[..end];
    if !number.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    let digit = 10f64.powi(-i32::try_from(decimals).ok()?);
    Some(digit * scale(upper[end..].trim_start()))
}

/// The unit as typed against the unit of its dimension.
fn scale(unit: &str) -> f64 {
    match unit.chars().next() {
        Some('m') => 1e-3,
        Some('u' | 'µ' | 'μ') => 1e-6,
        Some('k') => 1e3,
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Dimension;
    use crate::quantity::Origin;
    use crate::source::Span;

    #[test]
    fn the_last_digit_counts_in_its_unit() {
        for (text, digit) in [
            ("182 mA", 0.001),
            ("1.31 A", 0.01),
            ("0.80 mV (measured)", 1e-5),
            ("12 A", 1.0),
            ("0.0mV", 1e-4),
            ("10..25 mA", 0.001),
            (".25 A", 0.01),
        ] {
            let of = Quantity {
                dimension: Dimension::Current,
                low: 0.0,
                high: 0.0,
                origin: Origin::default(),
                at: Span::default(),
                text: text.to_owned(),
                lasts: None,
            };
            let found = last(&of).unwrap();
            assert!((found / digit - 1.0).abs() < 1e-9, "{text}: {found}");
        }
    }
}
