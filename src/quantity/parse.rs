//! Text to a quantity, or a refusal that says what to write.

use super::unit::{self, Scale, Unit};
use super::{Dimension, Origin, WireSize};

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
fn split_origin(text: &str) -> Result<(&str, Origin), Refusal> {
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
fn split_range(text: &str) -> Option<(&str, &str)> {
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

#[derive(Clone, Copy)]
struct One {
    value: f64,
    dimension: Dimension,
    /// Its last unit; nothing for a count.
    unit: Option<Unit>,
}

/// One end of a range, or the whole value: `15 A`, `5 ft 6 in`, `1 h 30 min`.
fn side(text: &str, wanted: &[Dimension]) -> Result<One, Refusal> {
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
    if let Some(refusal) = range_by_dash(text, &digits, word, more) {
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
    let next = side(more, &[first.dimension])?;
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
fn word_of(rest: &str) -> (&str, &str) {
    let end = rest
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(rest.len());
    let (word, more) = rest.split_at(end);
    (word.trim_end(), more)
}

/// `10-25 mA`, `10 to 25 mA`: a range in another spelling.
fn range_by_dash(text: &str, low: &Digits<'_>, word: &str, more: &str) -> Option<Refusal> {
    let middle = word.trim();
    let dash = matches!(middle, "-" | "–" | "—" | "to" | "bis" | "~" | "/");
    (dash && !more.is_empty() && number(more).is_some()).then(|| Refusal::Write {
        why: if middle == "/" && text.contains("in") {
            "fractions are written as decimals"
        } else {
            "a range is written with two dots"
        },
        suggestion: if middle == "/" {
            fraction(low, more)
        } else {
            format!("{}..{}", low.text, more)
        },
    })
}

/// `3O A`: a letter that looks like a digit.
fn letter_for_digit(
    text: &str,
    digits: &Digits<'_>,
    rest: &str,
    wanted: &[Dimension],
) -> Option<Refusal> {
    let tail = text
        .trim_start_matches(['-', '+', '−'])
        .strip_prefix(digits.text)?;
    if !tail.starts_with(['O', 'o', 'l', 'I']) || unit::find(word_of(rest).0).is_some() {
        return None;
    }
    let end = tail
        .find(|c: char| !matches!(c, 'O' | 'o' | 'l' | 'I' | '.' | '0'..='9'))
        .unwrap_or(tail.len());
    let mended = tail[..end]
        .replace(['O', 'o'], "0")
        .replace(['l', 'I'], "1");
    let suggestion = format!("{}{mended}{}", digits.text, &tail[end..]);
    side(&suggestion, wanted).ok()?;
    Some(Refusal::Write {
        why: "a letter stands among the digits",
        suggestion,
    })
}

fn fraction(low: &Digits<'_>, more: &str) -> String {
    let plain = || format!("{}..{}", low.text, more);
    let Some((bottom, unit)) = number(more) else {
        return plain();
    };
    match (low.text.parse::<f64>(), bottom.text.parse::<f64>()) {
        (Ok(a), Ok(b)) if b != 0.0 => format!("{} {}", a / b, unit.trim()),
        _ => plain(),
    }
}

/// `1,5 A` and `1,500 W`.
fn comma(text: &str) -> Option<Refusal> {
    let (head, tail) = text.split_once(',')?;
    let digits = tail.chars().take_while(char::is_ascii_digit).count();
    if digits == 0 {
        return None;
    }
    Some(Refusal::Write {
        why: if digits == 3 {
            "a comma may mean thousands or a decimal point"
        } else {
            "the decimal sign is a point"
        },
        suggestion: if digits == 3 {
            format!("{head}{tail}")
        } else {
            format!("{head}.{tail}")
        },
    })
}

/// `~5 A`, `< 5 mA`, `about 5 A`, `±`: ways to say that a value is not exact.
fn other_way(text: &str) -> Option<Refusal> {
    if text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '.')) {
        return None;
    }
    let lower = text.to_lowercase();
    for sign in ["<=", "≤", "<", "max ", "max. ", "up to ", "under "] {
        if lower.starts_with(sign) {
            let rest = text.get(sign.len()..)?.trim();
            return Some(Refusal::Write {
                why: "a value with only an upper end is a range from 0",
                suggestion: format!("0..{rest}"),
            });
        }
    }
    for sign in [
        "~", "≈", "about ", "approx ", "approx. ", "ca ", "ca. ", "c. ",
    ] {
        if lower.starts_with(sign) {
            let rest = text.get(sign.len()..)?.trim();
            return Some(Refusal::Write {
                why: "a value that is not exact says where it is from, or is a range",
                suggestion: format!("{rest} (guess)"),
            });
        }
    }
    None
}

/// The digits of a number as typed.
#[derive(Clone, Copy)]
struct Digits<'t> {
    text: &'t str,
    negative: bool,
}

/// The number that a text starts with, and what follows it.
fn number(text: &str) -> Option<(Digits<'_>, &str)> {
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
fn in_base(digits: &Digits<'_>, unit: Option<Unit>) -> Result<f64, Refusal> {
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

/// A conductor size as written.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ParsedSize {
    /// The size.
    pub size: WireSize,
    /// `12 ga`, `#12`: read as AWG, though it could have meant another system.
    pub ambiguous: bool,
}

/// Reads a conductor size: `12 AWG`, `2/0 AWG`, `12 SAE`, `3 mm2`; `12 ga` is read as AWG and said to be ambiguous.
///
/// # Errors
/// A [`Refusal`] for everything else: a bare number says nothing of the system it is in.
pub fn parse_size(text: &str) -> Result<ParsedSize, Refusal> {
    let (text, _) = split_origin(text.trim())?;
    if text.is_empty() {
        return Err(Refusal::Empty);
    }
    let lower = text.to_lowercase();
    let sure = |size| {
        Ok(ParsedSize {
            size,
            ambiguous: false,
        })
    };
    for unit in ["mm2", "mm²", "mm^2", "sq mm", "sqmm", "mmq", "mm 2"] {
        if let Some(head) = lower.strip_suffix(unit) {
            return sure(area(head.trim(), text)?);
        }
    }
    for unit in ["kcmil", "mcm"] {
        if let Some(Ok(size)) = lower
            .strip_suffix(unit)
            .map(|head| head.trim().parse::<f64>())
        {
            return Err(Refusal::Write {
                why: "it is in thousands of circular mils",
                suggestion: format!("{:.0} mm2", size * 0.506_707),
            });
        }
    }
    if let Some(head) = lower
        .strip_suffix("awg")
        .or_else(|| lower.strip_prefix("awg"))
    {
        return sure(WireSize::Awg(gauge(head.trim(), text, "AWG")?));
    }
    if let Some(head) = lower
        .strip_suffix("sae")
        .or_else(|| lower.strip_prefix("sae"))
    {
        return sure(WireSize::Sae(gauge(head.trim(), text, "SAE")?));
    }
    for unit in ["gauge", "gage", "ga.", "ga", "g"] {
        if let Some(head) = lower.strip_suffix(unit) {
            let number = gauge(head.trim(), text, "AWG")?;
            return Ok(ParsedSize {
                size: WireSize::Awg(number),
                ambiguous: true,
            });
        }
    }
    if let Some(head) = lower
        .strip_prefix('#')
        .or_else(|| lower.strip_prefix("no."))
    {
        let number = gauge(head.trim(), text, "AWG")?;
        return Ok(ParsedSize {
            size: WireSize::Awg(number),
            ambiguous: true,
        });
    }
    match gauge(&lower, text, "AWG") {
        Ok(_) => Err(Refusal::NoUnit {
            number: text.to_owned(),
        }),
        Err(_) if number(&lower).is_some_and(|(_, rest)| rest.trim().is_empty()) => {
            Err(Refusal::NoUnit {
                number: text.to_owned(),
            })
        }
        Err(_) => Err(other_system(&lower)),
    }
}

/// `12 AGW`: a number, and a word that is no system.
fn other_system(text: &str) -> Refusal {
    let Some((_, rest)) = number(text) else {
        return Refusal::NoNumber;
    };
    let near =
        |system: &&&str| strsim::damerau_levenshtein(rest.trim(), &system.to_lowercase()) <= 1;
    Refusal::UnknownUnit {
        unit: rest.trim().to_owned(),
        nearest: ["AWG", "SAE", "mm2"].iter().find(near).copied(),
    }
}

fn area(head: &str, text: &str) -> Result<WireSize, Refusal> {
    if let Some(refusal) = comma(text).filter(|_| head.contains(',')) {
        return Err(refusal);
    }
    let (digits, rest) = number(head).ok_or(Refusal::NoNumber)?;
    if !rest.trim().is_empty() {
        return Err(Refusal::NoNumber);
    }
    let value = in_base(&digits, None)?;
    if !(0.01..=1000.0).contains(&value) {
        return Err(Refusal::Absurd);
    }
    Ok(WireSize::Iso(value))
}

/// The number of a gauge: 12, 0, `2/0` and `00` for -1, down to `4/0`.
fn gauge(head: &str, text: &str, system: &str) -> Result<i8, Refusal> {
    if head.is_empty() {
        return Err(Refusal::NoNumber);
    }
    if let Some(count) = head.strip_suffix("/0") {
        return match count.trim() {
            "1" => Ok(0),
            "2" => Ok(-1),
            "3" => Ok(-2),
            "4" => Ok(-3),
            _ => Err(Refusal::Absurd),
        };
    }
    if head.len() <= 4 && head.bytes().all(|b| b == b'0') {
        return Ok(1 - head.len() as i8);
    }
    if split_range(text).is_some() {
        return Err(Refusal::Write {
            why: "a size is one size, not a range",
            suggestion: format!("{} {system}", head.rsplit('.').next().unwrap_or(head)),
        });
    }
    match head.parse::<i8>() {
        Ok(number @ 1..=40) => Ok(number),
        Ok(_) => Err(Refusal::Absurd),
        Err(_) if head.bytes().all(|b| b.is_ascii_digit()) => Err(Refusal::Absurd),
        Err(_) => Err(Refusal::NoNumber),
    }
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

    #[test]
    fn sizes_keep_their_system() {
        for (text, size, ambiguous) in [
            ("12 AWG", WireSize::Awg(12), false),
            ("12AWG", WireSize::Awg(12), false),
            ("AWG 12", WireSize::Awg(12), false),
            ("0 AWG", WireSize::Awg(0), false),
            ("1/0 AWG", WireSize::Awg(0), false),
            ("2/0 AWG", WireSize::Awg(-1), false),
            ("00 AWG", WireSize::Awg(-1), false),
            ("4/0 AWG", WireSize::Awg(-3), false),
            ("12 SAE", WireSize::Sae(12), false),
            ("3 mm2", WireSize::Iso(3.0), false),
            ("0.5 mm²", WireSize::Iso(0.5), false),
            ("12 ga", WireSize::Awg(12), true),
            ("12 gauge", WireSize::Awg(12), true),
            ("#12", WireSize::Awg(12), true),
        ] {
            assert_eq!(
                parse_size(text),
                Ok(ParsedSize { size, ambiguous }),
                "{text}"
            );
        }
        assert!(matches!(parse_size("12"), Err(Refusal::NoUnit { .. })));
        assert!(matches!(parse_size("2.5"), Err(Refusal::NoUnit { .. })));
        assert!(
            matches!(parse_size("250 kcmil"), Err(Refusal::Write { suggestion, .. }) if suggestion == "127 mm2")
        );
        assert_eq!(parse_size("5/0 AWG"), Err(Refusal::Absurd));
        assert_eq!(parse_size("99 AWG"), Err(Refusal::Absurd));
        assert_eq!(parse_size("fat"), Err(Refusal::NoNumber));
    }
}
