//! JSON, field for field as promised: the shapes stand frozen in [`v1`], apart from the types of the program.

pub mod audit;
pub mod budget;
pub mod checks;
pub mod compare;
pub mod hunt;
pub mod layout;
pub mod park;
pub mod removal;
pub mod side;
pub mod size;
pub mod tables;
pub mod unreadable;
pub mod v1;
pub mod walkround;

use serde::Serialize;

/// As a person can read it too, ending in a line break.
///
/// # Errors
/// None for the shapes of [`v1`]; the library that writes JSON can say no to others.
pub fn pretty(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}

/// On one line, ending in a line break: of several documents each has its own line.
///
/// # Errors
/// As [`pretty`].
pub fn line(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string(value)?;
    text.push('\n');
    Ok(text)
}

/// To nine significant digits: what is beyond is noise of the arithmetic, and would differ between machines.
#[must_use]
pub fn number(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return if value.is_finite() { 0.0 } else { value };
    }
    quick(value).unwrap_or_else(|| format!("{value:.8e}").parse().unwrap_or(value))
}

/// The same by one product and one quotient; nothing where it is not sure to be the same. A whole number below 2^53 over a
/// power of ten up to 10^22 is the nearest there is to the decimal number, as reading its digits would give.
fn quick(value: f64) -> Option<f64> {
    let size = value.abs();
    if !(1e-9..1e8).contains(&size) {
        return None;
    }
    let mut places = 8 - size.log10().floor() as i32;
    let mut scaled = size * 10_f64.powi(places);
    if scaled < 1e8 {
        places += 1;
        scaled = size * 10_f64.powi(places);
    }
    let whole = scaled.round();
    let sure = (1e8..1e9).contains(&scaled) && (scaled - whole).abs() < 0.499_999;
    sure.then(|| (whole / 10_f64.powi(places)).copysign(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lose_their_noise_and_keep_their_digits() {
        assert_eq!(number(0.1 + 0.2), 0.3);
        assert_eq!(number(-0.0).to_string(), "0");
        assert_eq!(number(123_456.789), 123_456.789);
        assert_eq!(number(1.234_567_891_23e-7), 1.234_567_89e-7);
        assert_eq!(number(-14.0), -14.0);
        // The quick way and the sure one, over eighteen powers of ten and beside every kind of half.
        let mut seed = 11_u64;
        for round in 0..60_000 {
            seed ^= seed << 13;
            seed ^= seed >> 7;
            seed ^= seed << 17;
            let digits = (seed >> 34) as f64 + [0.0, 0.5, 0.500_001, 0.25][round % 4];
            let value = digits * 10_f64.powi((seed % 18) as i32 - 17);
            let sure: f64 = format!("{value:.8e}").parse().unwrap();
            assert_eq!(number(value).to_bits(), sure.to_bits(), "{value:e}");
            assert_eq!(number(-value), -sure);
        }
    }
}
