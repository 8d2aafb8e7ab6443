//! What is written after an option, read.

use keyoff::quantity::Dimension;
use keyoff::quantity::parse;
use keyoff::quantity::parse::Refusal;

/// `16MiB`, `64 kB`, `1000000`.
pub(super) fn size(text: &str) -> Result<u64, String> {
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
pub(super) fn settings(text: &str) -> Result<usize, String> {
    let settings = text.trim().parse::<usize>().ok();
    settings
        .filter(|settings| *settings >= 2)
        .ok_or_else(|| format!("`{text}` is no number of settings; write 2 or more"))
}

/// A number of days: `14`, `14 days`, `2 weeks` are read as a record reads them; a bare number is days.
pub(super) fn days(text: &str) -> Result<f64, String> {
    if let Ok(days) = text.trim().parse::<f64>() {
        return if days.is_finite() && days >= 0.0 {
            Ok(days)
        } else {
            Err(format!(
                "`{text}` is no number of days; write for example 14"
            ))
        };
    }
    quantity(text, Dimension::Time).map(|seconds| seconds / 86_400.0)
}

/// A temperature in degree Celsius. A bare number could be either scale.
pub(super) fn temperature(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Temperature)
}

fn quantity(text: &str, of: Dimension) -> Result<f64, String> {
    let example = match of {
        Dimension::Temperature => "-20C or -4F",
        _ => "14 or 14days",
    };
    match parse::parse(text, &[of]) {
        Ok(figure) if figure.low == figure.high => Ok(figure.low),
        Ok(_) => Err(format!("a range; write one value, for example {example}")),
        Err(Refusal::NoUnit { .. }) => Err(format!("no unit; write for example {example}")),
        Err(_) => Err(format!("write for example {example}")),
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
