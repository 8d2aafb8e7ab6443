//! Text to a conductor size.

use super::WireSize;
use super::number::{in_base, number};
use super::parse::{Refusal, split_origin, split_range};
use super::unusual::comma;

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

#[cfg(test)]
mod tests {
    use super::*;

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
