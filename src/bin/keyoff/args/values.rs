//! What is written after an option, read.

use keyoff::quantity::Dimension;
use keyoff::quantity::parse;
use keyoff::quantity::parse::Parsed;
use keyoff::quantity::parse::Refusal;

/// `16MiB`, `64 kB`, `1000000`.
pub fn size(text: &str) -> Result<u64, String> {
    let wrong = || format!("`{text}` is no size; write for example 64MiB");
    let text = text.trim();
    let digits = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let number: u64 = number.parse().map_err(|_| wrong())?;
    let times = match unit.trim().to_ascii_lowercase().as_str() {
        "" | "b" => 1,
        "k" | "kib" => 1 << 10,
        "kb" => 1000,
        "m" | "mib" => 1 << 20,
        "mb" => 1_000_000,
        "g" | "gib" => 1 << 30,
        "gb" => 1_000_000_000,
        _ => return Err(wrong()),
    };
    number.checked_mul(times).ok_or_else(wrong)
}

/// A number of settings: as everything is left is one of them, and one that differs is another.
pub fn settings(text: &str) -> Result<usize, String> {
    let settings = text.trim().parse::<usize>().ok();
    settings
        .filter(|settings| *settings >= 2)
        .ok_or_else(|| format!("`{text}` is no number of settings; write 2 or more"))
}

/// A number of days: `14`, `14 days`, `2 weeks` are read as a record reads them; a bare number is days.
pub fn days(text: &str) -> Result<f64, String> {
    if let Ok(days) = text.trim().parse::<f64>() {
        return if days.is_finite() && days >= 0.0 {
            Ok(days)
        } else {
            Err(format!(
                "`{text}` is no number of days; write for example 14"
            ))
        };
    }
    quantity(text, &[Dimension::Time], "14 or 14days").map(|seconds| seconds.low / 86_400.0)
}

/// A temperature in degree Celsius: `60C`, `140F`. A bare number could be either scale.
pub fn temperature(text: &str) -> Result<f64, String> {
    quantity(text, &[Dimension::Temperature], "-20C or -4F").map(|celsius| celsius.low)
}

/// A draw as given.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Drawn {
    /// In ampere or watt.
    pub value: f64,
    /// It is a power.
    pub watts: bool,
}

/// `14A`, `160W`.
pub fn draw(text: &str) -> Result<Drawn, String> {
    let parsed = positive(text, &[Dimension::Current, Dimension::Power], "14A or 160W")?;
    Ok(Drawn {
        value: parsed.low,
        watts: parsed.dimension == Dimension::Power,
    })
}

/// `6m`, `20ft`.
pub fn meters(text: &str) -> Result<f64, String> {
    positive(text, &[Dimension::Length], "6m or 20ft").map(|meters| meters.low)
}

/// `12V`.
pub fn volts(text: &str) -> Result<f64, String> {
    positive(text, &[Dimension::Voltage], "12V").map(|volts| volts.low)
}

/// `3%`.
pub fn share(text: &str) -> Result<f64, String> {
    positive(text, &[Dimension::Fraction], "3%").map(|share| share.low)
}

/// Amount, whether it is a multiple of the draw, and how long it lasts in seconds: `6x for 2s`.
pub fn inrush(text: &str) -> Result<(f64, bool, f64), String> {
    let example = "\"6x for 2s\" or \"40A for 100ms\"";
    let parsed = positive(text, &[Dimension::Multiple, Dimension::Current], example)?;
    let lasts = parsed
        .lasts
        .ok_or_else(|| format!("how long? write for example {example}"))?;
    Ok((parsed.low, parsed.dimension == Dimension::Multiple, lasts))
}

/// One value of one of these dimensions.
fn quantity(text: &str, of: &[Dimension], example: &str) -> Result<Parsed, String> {
    let wrong = match parse::parse(text, of) {
        Ok(parsed) if parsed.low == parsed.high => return Ok(parsed),
        Ok(_) => "is a range",
        Err(Refusal::NoUnit { .. }) => "has no unit",
        Err(_) => "cannot be read here",
    };
    Err(format!("`{text}` {wrong}; write for example {example}"))
}

fn positive(text: &str, of: &[Dimension], example: &str) -> Result<Parsed, String> {
    let parsed = quantity(text, of, example)?;
    if parsed.low > 0.0 {
        Ok(parsed)
    } else {
        Err(format!(
            "`{text}` is not above nothing; write for example {example}"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_and_temperatures_are_read() {
        assert_eq!(days("14"), Ok(14.0));
        assert_eq!(days("48 h"), Ok(2.0));
        assert!(days("-1").is_err());
        assert!(days("nan").is_err());
        assert_eq!(temperature("-20C"), Ok(-20.0));
        assert!((temperature("14 F").unwrap() + 10.0).abs() < 1e-9);
        assert!(temperature("-20").unwrap_err().contains("no unit"));
        assert!(temperature("12 V").is_err());
    }

    #[test]
    fn what_a_load_takes_is_read() {
        let drawn = |value, watts| Ok(Drawn { value, watts });
        assert_eq!(draw("14A"), drawn(14.0, false));
        assert_eq!(draw("160 W"), drawn(160.0, true));
        assert!(draw("14").unwrap_err().contains("has no unit"));
        assert!(draw("0A").unwrap_err().contains("not above nothing"));
        assert!(meters("6m..8m").unwrap_err().contains("is a range"));
        assert_eq!(inrush("6x for 2s"), Ok((6.0, true, 2.0)));
        assert!(inrush("6x").unwrap_err().contains("how long?"));
        assert!(volts("12 A").is_err() && share("0%").is_err());
    }

    #[test]
    fn numbers_of_settings_are_read() {
        assert_eq!(settings("2"), Ok(2));
        assert!(settings("1").unwrap_err().contains("2 or more"));
        assert!(settings("many").is_err());
    }

    #[test]
    fn sizes_are_read() {
        assert_eq!(size("16MiB"), Ok(16 << 20));
        assert_eq!(size("64 kB"), Ok(64_000));
        assert_eq!(size("12"), Ok(12));
        assert!(size("12 fathoms").is_err());
        assert!(size("99999999999999999999").is_err());
        assert!(size("-1").is_err());
    }
}
