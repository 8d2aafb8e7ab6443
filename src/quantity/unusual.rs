//! Ways of writing a quantity that are not read, and what to write instead.

use super::Dimension;
use super::number::{Digits, number};
use super::parse::{Refusal, side, word_of};
use super::unit;

/// `10-25 mA`, `10 to 25 mA`: a range in another spelling.
pub(super) fn range_by_dash(low: &Digits<'_>, word: &str, more: &str) -> Option<Refusal> {
    let middle = word.trim();
    let dash = matches!(middle, "-" | "–" | "—" | "to" | "bis" | "~" | "/");
    (dash && !more.is_empty() && number(more).is_some()).then(|| Refusal::Write {
        why: if middle == "/" {
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
pub(super) fn letter_for_digit(
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
pub(super) fn comma(text: &str) -> Option<Refusal> {
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
pub(super) fn other_way(text: &str) -> Option<Refusal> {
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
