//! Text to a quantity, or a refusal that says what to write.

use super::number::{Digits, in_base, number};
pub use super::size::{ParsedSize, parse_size};
use super::unit::{self, Unit};
use super::unusual::{comma, letter_for_digit, other_way, range_by_dash};
use super::{Dimension, Origin};

/// A quantity as written, in base units.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Parsed {
    /// What it measures.
    pub dimension: Dimension,
    /// The least.
    pub low: f64,
    /// The most; the same as the least for one number.
    pub high: f64,
    /// Where it is from.
    pub origin: Origin,
    /// `6x for 2 s`: how long it lasts, in seconds.
    pub lasts: Option<f64>,
}

/// Why a text is not the quantity that is wanted.
#[derive(Clone, PartialEq, Debug)]
pub enum Refusal {
    /// Nothing is written.
    Empty,
    /// No number in it.
    NoNumber,
    /// A number without a unit.
    NoUnit {
        /// The number, or the range.
        number: String,
    },
    /// Words after the number that are no unit.
    UnknownUnit {
        /// The words.
        unit: String,
        /// What they resemble.
        nearest: Option<&'static str>,
    },
    /// A unit of something else.
    Wrong {
        /// What it measures.
        found: Dimension,
    },
    /// A range whose first end is the larger.
    Backwards {
        /// The range the other way round.
        suggestion: String,
    },
    /// Not a finite number, or more than any vehicle has.
    Absurd,
    /// Written in another way than this format has; the mend is given.
    Write {
        /// What is the matter, a few words.
        why: &'static str,
        /// What to write instead.
        suggestion: String,
    },
    /// The words in brackets are none of the four origins.
    UnknownOrigin {
        /// The words.
        word: String,
    },
    /// `for …` after a value that lasts anyway.
    Lasting,
}

/// Reads a quantity of one of the wanted dimensions.
///
/// Takes a number and a unit (`15 A`, `160 mA`, `5 ft 6 in`), a range (`10..25 mA`), an origin in brackets
/// (`12 mA (measured)`), and `for` with a time after an inrush (`6x for 2 s`). Power-of-ten prefixes are applied without
/// rounding: `160 mA` and `0.16 A` are the same number.
///
/// # Errors
/// A [`Refusal`] for everything else, and for numbers that are not finite or beyond anything a vehicle has.
pub fn parse(text: &str, wanted: &[Dimension]) -> Result<Parsed, Refusal> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Refusal::Empty);
    }
    let (text, origin) = split_origin(text)?;
    let (text, lasts) = match text.split_once(" for ") {
        Some((amount, time)) => (amount.trim(), Some(lasting(amount, time.trim())?)),
        None => (text, None),
    };
    let mut parsed = match split_range(text) {
        Some((low, high)) => range(low, high, wanted)?,
        None => {
            let one = side(text, wanted)?;
            Parsed {
                dimension: one.dimension,
                low: one.value,
                high: one.value,
                origin,
                lasts: None,
            }
        }
    };
    parsed.origin = origin;
    if let Some(time) = lasts {
        if !wanted.contains(&Dimension::Multiple) {
            return Err(Refusal::Lasting);
        }
        parsed.lasts = Some(time.value);
    }
    Ok(parsed)
}

/// The time after `for`.
fn lasting(amount: &str, time: &str) -> Result<One, Refusal> {
    side(time, &[Dimension::Time]).map_err(|refusal| match refusal {
        Refusal::NoUnit { number } => Refusal::Write {
            why: "the time after `for` needs a unit",
            suggestion: format!("{} for {number} s", amount.trim()),
        },
        _ => Refusal::Write {
            why: "what stands after `for` is not a time",
            suggestion: format!("{} for 2 s", amount.trim()),
        },
    })
}

/// `12 mA (measured)`: the value and the word in brackets.
pub(super) fn split_origin(text: &str) -> Result<(&str, Origin), Refusal> {
    let Some(open) = text.strip_suffix(')').and_then(|head| head.rfind('(')) else {
        return Ok((text, Origin::Unstated));
    };
    let word = text[open + 1..text.len() - 1].trim();
    Origin::ALL
        .iter()
        .find(|origin| origin.text().eq_ignore_ascii_case(word))
        .map(|&origin| (text[..open].trim_end(), origin))
        .ok_or_else(|| Refusal::UnknownOrigin {
            word: word.to_owned(),
        })
}

/// The two ends of `10..25 mA`; dots that a keyboard made one sign are read too.
pub(super) fn split_range(text: &str) -> Option<(&str, &str)> {
    if !text.contains(['.', '…']) {
        return None;
    }
    let (low, high) = text
        .split_once("...")
        .or_else(|| text.split_once(".."))
        .or_else(|| text.split_once('…'))?;
    Some((low.trim(), high.trim()))
}

fn range(low: &str, high: &str, wanted: &[Dimension]) -> Result<Parsed, Refusal> {
    let top = side(high, wanted)?;
    let bare = number(low).filter(|(_, rest)| rest.trim().is_empty());
    let bottom = match bare {
        Some((digits, _)) => One {
            value: in_base(&digits, top.unit)?,
            dimension: top.dimension,
            unit: top.unit,
        },
        None => side(low, &[top.dimension])?,
    };
    if bottom.value > top.value {
        let unit = top.unit.map_or("", |unit| unit.symbol);
        let suggestion = match (bare, number(high)) {
            (Some((a, _)), Some((b, _))) => format!("{}..{} {unit}", b.text, a.text),
            _ => format!("{high}..{low}"),
        };
        return Err(Refusal::Backwards {
            suggestion: suggestion.trim_end().to_owned(),
        });
    }
    Ok(Parsed {
        dimension: top.dimension,
        low: bottom.value,
        high: top.value,
        origin: Origin::Unstated,
        lasts: None,
    })
}

/// A number and what it measures.
#[derive(Clone, Copy)]
pub(super) struct One {
    value: f64,
    dimension: Dimension,
    /// Its last unit; nothing for a count.
    unit: Option<Unit>,
}

/// One end of a range, or the whole value: `15 A`, `5 ft 6 in`, `1 h 30 min`.
pub(super) fn side(text: &str, wanted: &[Dimension]) -> Result<One, Refusal> {
    if text.is_empty() {
        return Err(Refusal::Empty);
    }
    if let Some(refusal) = other_way(text) {
        return Err(refusal);
    }
    let (digits, rest) = number(text).ok_or(Refusal::NoNumber)?;
    let rest = rest.trim();
    if rest.is_empty() {
        if wanted.contains(&Dimension::Count) {
            return Ok(One {
                value: in_base(&digits, None)?,
                dimension: Dimension::Count,
                unit: None,
            });
        }
        return Err(Refusal::NoUnit {
            number: text.to_owned(),
        });
    }
    let (word, more) = word_of(rest);
    if let Some(refusal) = range_by_dash(&digits, word, more) {
        return Err(refusal);
    }
    if let (',', Some(suggestion)) = (rest.chars().next().unwrap_or(' '), comma(text)) {
        return Err(suggestion);
    }
    if let Some(refusal) = letter_for_digit(text, &digits, rest, wanted) {
        return Err(refusal);
    }
    if !more.is_empty() && unit::find(word).is_none_or(|unit| !wanted.contains(&unit.dimension)) {
        return Err(Refusal::UnknownUnit {
            unit: rest.to_owned(),
            nearest: None,
        });
    }
    let first = one(&digits, word, wanted)?;
    if more.is_empty() {
        return Ok(first);
    }
    // Feet and inches, hours and minutes: each unit smaller than the one before.
    let next = side(more, &[first.dimension]).map_err(|refusal| {
        let smaller = match first.unit.map(|unit| unit.symbol) {
            Some("ft") => "in",
            Some("h") => "min",
            _ => return refusal,
        };
        match refusal {
            Refusal::NoUnit { .. } => Refusal::Write {
                why: "its last number has no unit",
                suggestion: format!("{} {smaller}", text.trim()),
            },
            other => other,
        }
    })?;
    let smaller = next
        .unit
        .zip(first.unit)
        .is_some_and(|(b, a)| size(b) < size(a));
    if !matches!(first.dimension, Dimension::Length | Dimension::Time)
        || !smaller
        || next.value < 0.0
    {
        return Err(Refusal::UnknownUnit {
            unit: rest.to_owned(),
            nearest: None,
        });
    }
    Ok(One {
        value: if first.value < 0.0 {
            first.value - next.value
        } else {
            first.value + next.value
        },
        ..next
    })
}

fn size(unit: Unit) -> f64 {
    f64::from(unit.times) * 10f64.powi(i32::from(unit.exponent))
}

fn one(digits: &Digits<'_>, word: &str, wanted: &[Dimension]) -> Result<One, Refusal> {
    let Some(found) = unit::find(word) else {
        return Err(Refusal::UnknownUnit {
            unit: word.to_owned(),
            nearest: unit::nearest(word, wanted),
        });
    };
    if !wanted.contains(&found.dimension) {
        return Err(Refusal::Wrong {
            found: found.dimension,
        });
    }
    Ok(One {
        value: in_base(digits, Some(found))?,
        dimension: found.dimension,
        unit: Some(found),
    })
}

/// The unit after a number, and what follows it from the next digit on.
pub(super) fn word_of(rest: &str) -> (&str, &str) {
    let end = rest
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(rest.len());
    let (word, more) = rest.split_at(end);
    (word.trim_end(), more)
}

/// Symbols of the units of these dimensions, for messages.
#[must_use]
pub fn symbols(wanted: &[Dimension]) -> Vec<&'static str> {
    unit::symbols(wanted).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use Dimension::*;
    use pretty_assertions::assert_eq;

    fn value(text: &str, wanted: Dimension) -> f64 {
        let parsed = parse(text, &[wanted]).unwrap();
        assert_eq!(parsed.low, parsed.high);
        parsed.low
    }

    #[test]
    fn every_unit_of_the_format_page_is_read() {
        for (text, dimension, base) in [
            ("15 A", Current, 15.0),
            ("160 mA", Current, 0.16),
            ("15A", Current, 15.0),
            ("15 amps", Current, 15.0),
            ("15 a", Current, 15.0),
            ("3 µA", Current, 3e-6),
            ("12.6 V", Voltage, 12.6),
            ("55 W", Power, 55.0),
            ("1.2 kW", Power, 1200.0),
            ("85 ohm", Resistance, 85.0),
            ("85 Ω", Resistance, 85.0),
            ("5 mohm", Resistance, 0.005),
            ("5 Mohm", Resistance, 5e6),
            ("75 Ah", Charge, 75.0),
            ("120 min", Time, 7200.0),
            ("6 h", Time, 21600.0),
            ("100 ms", Time, 0.1),
            ("14 days", Time, 1_209_600.0),
            ("2 years", Time, 63_115_200.0),
            ("1 h 30 min", Time, 5400.0),
            ("18 ft", Length, 5.4864),
            ("18'", Length, 5.4864),
            ("30 in", Length, 0.762),
            ("30\"", Length, 0.762),
            ("5' 6\"", Length, 1.6764),
            ("5'6\"", Length, 1.6764),
            ("5 ft 6 in", Length, 1.6764),
            ("1.5 m", Length, 1.5),
            ("40 cm", Length, 0.4),
            ("-10 C", Temperature, -10.0),
            ("−10 °C", Temperature, -10.0),
            ("14 F", Temperature, -10.0),
            ("20 %", Fraction, 0.2),
            ("20%", Fraction, 0.2),
            ("900 rpm", Speed, 900.0),
            ("6x", Multiple, 6.0),
            ("2", Count, 2.0),
            ("1e3 A", Current, 1000.0),
            (".5 A", Current, 0.5),
        ] {
            let read = value(text, dimension);
            assert!((read - base).abs() <= 4e-16 * base.abs(), "{text}: {read}");
        }
    }

    #[test]
    fn ranges_origins_and_lasting_are_read() {
        let parsed = parse("10..25 mA (measured)", &[Current]).unwrap();
        assert_eq!((parsed.low, parsed.high), (0.01, 0.025));
        assert_eq!(parsed.origin, Origin::Measured);
        let parsed = parse("10 mA .. 0.025 A", &[Current]).unwrap();
        assert_eq!((parsed.low, parsed.high), (0.01, 0.025));
        let parsed = parse("-10..5 C", &[Temperature]).unwrap();
        assert_eq!((parsed.low, parsed.high), (-10.0, 5.0));
        let parsed = parse("6x for 2 s", &[Multiple, Current]).unwrap();
        assert_eq!((parsed.low, parsed.lasts), (6.0, Some(2.0)));
    }

    #[test]
    fn what_is_refused_says_what_to_write() {
        let refusal = |text| parse(text, &[Current]).unwrap_err();
        assert_eq!(
            refusal("15"),
            Refusal::NoUnit {
                number: "15".to_owned()
            }
        );
        for (text, wanted, write) in [
            ("6 ft 6", Length, "6 ft 6 in"),
            ("1 h 30", Time, "1 h 30 min"),
        ] {
            assert!(
                matches!(parse(text, &[wanted]), Err(Refusal::Write { suggestion, .. }) if suggestion == write),
                "{text}"
            );
        }
        assert_eq!(refusal("12 V"), Refusal::Wrong { found: Voltage });
        assert!(
            matches!(refusal("25..10 mA"), Refusal::Backwards { suggestion } if suggestion == "10..25 mA")
        );
        assert!(
            matches!(refusal("10-25 mA"), Refusal::Write { suggestion, .. } if suggestion == "10..25 mA")
        );
        assert!(
            matches!(refusal("10 to 25 mA"), Refusal::Write { suggestion, .. } if suggestion == "10..25 mA")
        );
        assert!(
            matches!(refusal("1,5 A"), Refusal::Write { suggestion, .. } if suggestion == "1.5 A")
        );
        assert!(
            matches!(refusal("<5 mA"), Refusal::Write { suggestion, .. } if suggestion == "0..5 mA")
        );
        assert!(
            matches!(refusal("~5 A"), Refusal::Write { suggestion, .. } if suggestion == "5 A (guess)")
        );
        assert!(matches!(
            refusal("15 apm"),
            Refusal::UnknownUnit {
                nearest: Some("A"),
                ..
            }
        ));
        assert!(matches!(
            refusal("15 MA"),
            Refusal::UnknownUnit {
                nearest: Some("mA"),
                ..
            }
        ));
        assert_eq!(refusal("1e308 A"), Refusal::Absurd);
        assert_eq!(refusal("1e400 A"), Refusal::Absurd);
        assert_eq!(refusal("1e-300 A"), Refusal::Absurd);
        assert_eq!(refusal("NaN A"), Refusal::NoNumber);
        assert_eq!(refusal("inf"), Refusal::NoNumber);
        assert_eq!(refusal("6 A for 2 s"), Refusal::Lasting);
        assert!(
            matches!(refusal("5 A (heard)"), Refusal::UnknownOrigin { word } if word == "heard")
        );
        assert!(parse("-400 C", &[Temperature]).is_err());
    }
}
