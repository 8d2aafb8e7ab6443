//! Quantities on the command line.

use keyoff::quantity::Dimension;
use keyoff::quantity::parse;
use keyoff::quantity::parse::Parsed;

/// A draw as given.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Drawn {
    /// In ampere or watt.
    pub value: f64,
    /// It is a power.
    pub watts: bool,
}

fn quantity(text: &str, wanted: &[Dimension], example: &str) -> Result<Parsed, String> {
    let parsed = parse::parse(text, wanted).ok();
    parsed.ok_or_else(|| {
        if text.trim().parse::<f64>().is_ok() {
            format!("`{text}` has no unit; write for example {example}")
        } else {
            format!("`{text}` cannot be read here; write for example {example}")
        }
    })
}

fn positive(text: &str, wanted: Dimension, example: &str) -> Result<f64, String> {
    let value = quantity(text, &[wanted], example)?.high;
    if value > 0.0 {
        Ok(value)
    } else {
        Err(format!(
            "`{text}` is not above nothing; write for example {example}"
        ))
    }
}

/// `14A`, `160W`.
pub fn draw(text: &str) -> Result<Drawn, String> {
    let example = "14A or 160W";
    let parsed = quantity(text, &[Dimension::Current, Dimension::Power], example)?;
    if parsed.high > 0.0 {
        Ok(Drawn {
            value: parsed.high,
            watts: parsed.dimension == Dimension::Power,
        })
    } else {
        Err(format!(
            "`{text}` is not above nothing; write for example {example}"
        ))
    }
}

/// `6m`, `20ft`.
pub fn meters(text: &str) -> Result<f64, String> {
    positive(text, Dimension::Length, "6m or 20ft")
}

/// `12V`.
pub fn volts(text: &str) -> Result<f64, String> {
    positive(text, Dimension::Voltage, "12V")
}

/// `3%`.
pub fn share(text: &str) -> Result<f64, String> {
    positive(text, Dimension::Fraction, "3%")
}

/// `60C`, `140F`.
pub fn celsius(text: &str) -> Result<f64, String> {
    quantity(text, &[Dimension::Temperature], "60C").map(|parsed| parsed.high)
}

/// Amount, whether it is a multiple of the draw, and how long it lasts in seconds.
pub fn inrush(text: &str) -> Result<(f64, bool, f64), String> {
    let example = "\"6x for 2s\" or \"40A for 100ms\"";
    let parsed = quantity(text, &[Dimension::Multiple, Dimension::Current], example)?;
    let lasts = parsed.lasts.filter(|_| parsed.high > 0.0);
    let lasts = lasts.ok_or_else(|| format!("how long? write for example {example}"))?;
    Ok((parsed.high, parsed.dimension == Dimension::Multiple, lasts))
}
