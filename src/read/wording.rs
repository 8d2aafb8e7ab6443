//! What is said about a value or a key that does not fit.

use super::document::Kind;
use super::keys::{Bound, Scope, WIRE, rows_of_parts};
use super::meant::key_meant;
use super::words::{joined, short, with_article};
use crate::quantity::Dimension;
use crate::quantity::parse::{Refusal, parse, symbols};

/// What to say about a key that is not in its scope.
pub(super) fn unknown_key(name: &str, scope: Scope, owner: &str, hint: bool) -> (String, String) {
    let Scope::Part(kind) = scope else {
        let message = format!("{owner} has no key `{}`", short(name));
        return match hint.then(|| key_meant(name, scope)).flatten() {
            Some(meant) => (message, format!("did you mean `{meant}`?")),
            None => {
                let names = scope.keys().map(|key| format!("`{}`", key.name));
                let names = joined(names.collect(), "and");
                (message, format!("{owner} has the keys {names}"))
            }
        };
    };
    let noun = with_article(kind.text());
    let elsewhere: Vec<&str> = rows_of_parts(name)
        .iter()
        .flat_map(|key| key.on)
        .map(|kind| kind.text())
        .collect();
    let of_others = matches!(elsewhere.len(), 1..=3);
    let message = if of_others {
        let kinds = elsewhere.iter().map(|kind| with_article(kind)).collect();
        format!("`{name}` belongs to {}, not to {noun}", joined(kinds, "or"))
    } else {
        format!("{noun} has no key `{}`", short(name))
    };
    let wrong_kind = if of_others {
        format!("; else look whether `kind: {}` is right", kind.text())
    } else {
        String::new()
    };
    if let Some(help) = written_elsewhere(name, kind) {
        return (message, help.to_owned());
    }
    if let Some(meant) = hint.then(|| key_meant(name, scope)).flatten() {
        return (message, format!("did you mean `{meant}`?{wrong_kind}"));
    }
    if WIRE.iter().any(|key| key.name == name) {
        let help = format!("`{name}` is a key of a wire: it goes into an entry under `wires:`");
        return (message, help);
    }
    let own = scope.keys().filter(|key| !key.on.is_empty());
    let own = joined(own.map(|key| format!("`{}`", key.name)).collect(), "and");
    let general = if own.is_empty() {
        format!("{noun} has only the keys of every part: `what`, `place`, `note` and the like")
    } else {
        format!(
            "{noun} has {own}, and the keys of every part: `what`, `place`, `note` and the like"
        )
    };
    (message, format!("{general}{wrong_kind}"))
}

/// What people write as a key of its own and the record says in another way.
fn written_elsewhere(name: &str, kind: Kind) -> Option<&'static str> {
    match (kind, name) {
        (Kind::Relay, "diode") => Some("a diode across the coil is written `suppression: diode`"),
        (Kind::Relay, "resistor") => {
            Some("a resistor across the coil is written `suppression: resistor`")
        }
        (Kind::Relay, "type") => Some(
            "what it switches follows from the terminals that wires are on: 87 closes when it pulls in, 87a opens; `latching: true` for one with two coils",
        ),
        (Kind::Switch, "type") => Some(
            "a plain switch needs no type; one with more ways has `positions: {low: [[B, L]], high: [[B, H]]}`, a button `momentary: true`",
        ),
        _ => None,
    }
}

/// What is wrong with a quantity, the words under it, and what to write.
pub(super) struct Wording {
    pub message: String,
    pub label: String,
    pub help: String,
}

/// Says why a text is not the quantity that a key wants.
pub(super) fn refusal(
    refusal: &Refusal,
    text: &str,
    key: &str,
    wanted: &[Dimension],
    example: &str,
) -> Wording {
    let quoted = short(text);
    let nouns = joined(
        wanted.iter().map(|one| one.noun().to_owned()).collect(),
        "or",
    );
    let such = format!("write it as in `{key}: {example}`");
    let say = |message: String, label: &str, help: String| Wording {
        message,
        label: label.to_owned(),
        help,
    };
    match refusal {
        Refusal::Empty => say(
            format!("`{key}` has nothing written after it"),
            "empty",
            such,
        ),
        Refusal::NoUnit { number } => {
            let number = number.trim();
            let mut ordered = wanted.to_vec();
            // That of the example first.
            ordered.sort_by_key(|one| parse(example, &[*one]).is_err());
            let ways: Vec<String> = ordered
                .iter()
                .map(|one| format!("`{key}: {number} {}`", usual_unit(*one, example)))
                .collect();
            let help = if ways.len() == 1 {
                format!("write {}, or with the unit that it is really in", ways[0])
            } else {
                format!("write {}, whichever it is", joined(ways, "or"))
            };
            say(
                format!("`{key}: {quoted}` has no unit"),
                "a number alone",
                help,
            )
        }
        Refusal::UnknownUnit { unit, nearest } => {
            let unit = short(unit);
            let units = symbols(wanted).join(", ");
            let help = match nearest {
                Some(symbol) => format!("did you mean `{symbol}`? Units that fit here: {units}"),
                None => format!("units that fit here: {units}"),
            };
            say(
                format!("`{unit}` is not a unit of `{key}`"),
                "no such unit",
                help,
            )
        }
        Refusal::Wrong { found } => {
            let same = wanted
                .first()
                .is_some_and(|one| one.noun() == format!("a {key}"));
            let message = if same {
                format!("`{quoted}` is {}, not {nouns}", found.noun())
            } else {
                format!("`{quoted}` is {}; `{key}` is {nouns}", found.noun())
            };
            let help = if *found == Dimension::Length && wanted.contains(&Dimension::Time) {
                "`m` is a metre; minutes are written `min`, as in `25 min`".to_owned()
            } else {
                such
            };
            let label = found.noun().to_owned();
            say(message, &label, help)
        }
        Refusal::NoNumber => say(
            format!("`{key}` is {nouns}: a number and a unit, not `{quoted}`"),
            "no number",
            format!("{such}; where nobody knows it, write `{key}: unknown` or leave it out"),
        ),
        Refusal::Backwards { suggestion } => say(
            format!("the range `{quoted}` runs backwards"),
            "the smaller end comes first",
            format!("write `{key}: {suggestion}`"),
        ),
        Refusal::Absurd => say(
            format!("`{quoted}` is not a number that a vehicle can have"),
            "out of all bounds",
            format!("look at the digits and the unit; {such}"),
        ),
        Refusal::Write { why, suggestion } => say(
            format!("`{quoted}` cannot be read: {why}"),
            "write it otherwise",
            format!("write `{key}: {suggestion}`"),
        ),
        Refusal::UnknownOrigin { word } => say(
            format!("`({})` does not say where the value is from", short(word)),
            "not one of the four",
            "in brackets after a value goes `(measured)`, `(label)`, `(maker)` or `(guess)`; \
             other words go into `note`"
                .to_owned(),
        ),
        Refusal::Lasting => say(
            format!("`{key}` takes one value, without `for`"),
            "`for` is for an inrush",
            such,
        ),
    }
}

/// Says why a text is not a conductor size.
pub(super) fn size_refusal(refusal: &Refusal, text: &str, key: &str) -> Wording {
    let quoted = short(text);
    let such =
        format!("write a size with its system: `{key}: 12 AWG`, `{key}: 12 SAE` or `{key}: 3 mm2`");
    let (message, label, help) = match refusal {
        Refusal::NoUnit { number } => (
            format!("`{key}: {quoted}` does not say in which system"),
            "AWG, SAE or mm2?",
            systems(key, number),
        ),
        Refusal::Write { why, suggestion } => (
            format!("`{quoted}` cannot be read: {why}"),
            "write it otherwise",
            format!("write `{key}: {suggestion}`"),
        ),
        Refusal::UnknownUnit { unit, nearest } => (
            format!("`{}` is not a system of conductor sizes", short(unit)),
            "AWG, SAE or mm2?",
            match nearest {
                Some(system) => format!("did you mean `{system}`?"),
                None => such,
            },
        ),
        Refusal::UnknownOrigin { .. } | Refusal::NoNumber | Refusal::Empty => (
            format!("`{quoted}` is not a conductor size"),
            "no size",
            such,
        ),
        _ => (
            format!("there is no conductor of the size `{quoted}`"),
            "no such size",
            such,
        ),
    };
    Wording {
        message,
        label: label.to_owned(),
        help,
    }
}

/// The unit that a dimension is usually written in here: that of the key's example where it fits.
fn usual_unit(dimension: Dimension, example: &str) -> &str {
    let unit = example
        .split(" for ")
        .next()
        .unwrap_or(example)
        .trim_start_matches(|c: char| !c.is_alphabetic() && c != '%')
        .trim_end();
    match crate::quantity::parse::parse(&format!("1 {unit}"), &[dimension]) {
        Ok(_) => unit,
        Err(_) => match dimension {
            Dimension::Fraction => "%",
            Dimension::Multiple => "x",
            other => other.symbol(),
        },
    }
}

/// Says that a number is outside what makes sense for a key.
pub(super) fn out_of_bounds(key: &str, text: &str, low: f64, bound: Bound) -> Wording {
    let quoted = short(text);
    let (message, label) = match bound {
        Bound::Positive if low == 0.0 => (format!("`{key}` cannot be 0"), "nothing at all"),
        Bound::Share if low >= 0.0 => (
            format!("`{key}: {quoted}` is more than the whole"),
            "above 100 %",
        ),
        Bound::Whole => (
            format!("`{key}` counts whole things, not `{quoted}`"),
            "not 1, 2, 3, …",
        ),
        _ => (format!("`{key}` cannot be negative"), "below 0"),
    };
    let help = match bound {
        Bound::Share => "write a share between 0 % and 100 %".to_owned(),
        Bound::Whole => format!("write `{key}: 1`, `{key}: 2` and so on, without a unit"),
        Bound::Positive if low == 0.0 => {
            format!(
                "write the real value; where nobody knows it, write `{key}: unknown` or leave the key out"
            )
        }
        _ => "take the minus sign out, or look whether the value belongs to another key".to_owned(),
    };
    Wording {
        message,
        label: label.to_owned(),
        help,
    }
}

/// The systems in which a bare number is a size.
fn systems(key: &str, number: &str) -> String {
    match number.parse::<f64>() {
        Ok(area) if area.fract() != 0.0 || area > 30.0 => format!("write `{key}: {number} mm2`"),
        Ok(_) => format!(
            "write `{key}: {number} AWG`, `{key}: {number} SAE` (smaller) or `{key}: {number} mm2`, whichever it is"
        ),
        Err(_) => format!(
            "write `{key}: {number} AWG` or `{key}: {number} SAE` (smaller), whichever it is"
        ),
    }
}
