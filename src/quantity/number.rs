//! Digits to a number in base units, rounded once.

use super::Dimension;
use super::parse::Refusal;
use super::unit::{Scale, Unit};

/// The digits of a number as typed.
#[derive(Clone, Copy)]
pub(super) struct Digits<'t> {
    /// Without a sign.
    pub text: &'t str,
    /// Whether a minus stands before them.
    pub negative: bool,
}

/// The number that a text starts with, and what follows it.
pub(super) fn number(text: &str) -> Option<(Digits<'_>, &str)> {
    let (negative, body) = match text.strip_prefix(['-', '−']) {
        Some(body) => (true, body),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let bytes = body.as_bytes();
    let count = |from: usize| {
        bytes[from..]
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count()
    };
    let whole = count(0);
    let mut end = whole;
    if bytes.get(end) == Some(&b'.') && bytes.get(end + 1).is_some_and(u8::is_ascii_digit) {
        end += 1 + count(end + 1);
    } else if whole > 0 && bytes.get(end) == Some(&b'.') && bytes.get(end + 1) != Some(&b'.') {
        end += 1;
    }
    if end == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if bytes.get(end + 1 + sign).is_some_and(u8::is_ascii_digit) {
            end += 1 + sign + count(end + 1 + sign);
        }
    }
    let text = &body[..end];
    Some((Digits { text, negative }, &body[end..]))
}

/// The largest size in base units that is believed, and the smallest that is not taken for a slip.
const LARGEST: f64 = 1e10;
const SMALLEST: f64 = 1e-12;

/// A number on a unit's scale in base units; exact wherever the digits allow.
pub(super) fn in_base(digits: &Digits<'_>, unit: Option<Unit>) -> Result<f64, Refusal> {
    let (times, exponent, scale) = unit.map_or((1, 0, Scale::Plain), |unit| {
        (unit.times, i32::from(unit.exponent), unit.scale)
    });
    let size = scaled(digits.text, times, exponent).ok_or(Refusal::Absurd)?;
    if !size.is_finite() || size > LARGEST || (size != 0.0 && size < SMALLEST) {
        return Err(Refusal::Absurd);
    }
    let signed = if digits.negative { -size } else { size };
    let value = match scale {
        Scale::Plain => signed,
        Scale::Fahrenheit => (signed - 32.0) * 5.0 / 9.0,
        Scale::Kelvin => signed - 273.15,
    };
    let temperature = unit.is_some_and(|unit| unit.dimension == Dimension::Temperature);
    if temperature && !(-273.15..=5000.0).contains(&value) {
        return Err(Refusal::Absurd);
    }
    // No minus zero.
    Ok(value + 0.0)
}

/// `text` × `times` × 10^`exponent`, rounded once.
fn scaled(text: &str, times: u32, exponent: i32) -> Option<f64> {
    let (mantissa, power) = match text.split_once(['e', 'E']) {
        Some((mantissa, power)) => (mantissa, power.parse::<i32>().ok()?),
        None => (text, 0),
    };
    let (whole, part) = mantissa.split_once('.').unwrap_or((mantissa, ""));
    let shift = i32::try_from(part.len()).ok()?;
    let power = power.checked_add(exponent)?.checked_sub(shift)?;
    if whole.len() + part.len() <= 10 && (-22..=22).contains(&power) {
        // Both are exact, so that one rounding is left.
        let digits = whole.bytes().chain(part.bytes());
        let digits = digits.fold(0u64, |sum, digit| sum * 10 + u64::from(digit - b'0'));
        let product = digits * u64::from(times);
        if product < 1 << 53 {
            let scale = 10f64.powi(power.abs());
            let product = product as f64;
            return Some(if power < 0 {
                product / scale
            } else {
                product * scale
            });
        }
    }
    let joined = format!("{whole}{part}");
    match joined.parse::<u64>() {
        Ok(digits) => {
            let product = u128::from(digits) * u128::from(times);
            format!("{product}e{power}").parse().ok()
        }
        // More than nineteen digits: rounding twice is harmless.
        Err(_) => format!("{joined}e{power}")
            .parse::<f64>()
            .ok()
            .map(|size| size * f64::from(times)),
    }
}
