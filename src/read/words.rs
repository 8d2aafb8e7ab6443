//! Wording that the readers share.

use super::keys::{Bound, Key, Scope, rows_of_parts};
use crate::quantity::Dimension;
use crate::quantity::parse::{Refusal, symbols};

/// `a, b or c`, each between back quotes; long lists are cut.
pub(super) fn any_of<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    joined(
        words.into_iter().map(|word| format!("`{word}`")).collect(),
        "or",
    )
}

/// `a, b and c`.
pub(super) fn joined(words: Vec<String>, last: &str) -> String {
    const MOST: usize = 24;
    let more = words.len().saturating_sub(MOST);
    match words.as_slice() {
        [] => String::new(),
        [one] => one.clone(),
        _ if more > 0 => format!("{} and {more} more", words[..MOST].join(", ")),
        [head @ .., tail] => format!("{} {last} {tail}", head.join(", ")),
    }
}

/// The candidate that a word was most likely meant to be.
pub(super) fn nearest<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<&'c str> {
    let lower = word.to_lowercase();
    let length = lower.chars().count();
    let mut best: Option<(usize, &str)> = None;
    for candidate in candidates {
        if candidate.chars().count().abs_diff(length) > 3 {
            continue;
        }
        let other = candidate.to_lowercase();
        let distance = if other.replace(['-', '_', ' '], "") == lower.replace(['-', '_', ' '], "") {
            0
        } else {
            strsim::damerau_levenshtein(&lower, &other)
        };
        let limit = match length {
            0..=2 => 1,
            3..=5 => 2,
            _ => 3,
        };
        if distance <= limit && distance < length && best.is_none_or(|(least, _)| distance < least)
        {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

/// Cuts a text that is too long to be quoted whole.
pub(super) fn short(text: &str) -> String {
    const MOST: usize = 60;
    let line = text.lines().next().unwrap_or("");
    if line.chars().count() <= MOST && line.len() == text.len() {
        return line.to_owned();
    }
    let head: String = line.chars().take(MOST).collect();
    format!("{head}…")
}

/// Other words that people use for a key or kind.
const SYNONYMS: &[(&str, &str)] = &[
    ("amps", "draw"),
    ("current", "draw"),
    ("watts", "draw"),
    ("power", "draw"),
    ("gauge", "size"),
    ("awg", "size"),
    ("gage", "size"),
    ("len", "length"),
    ("colour", "color"),
    ("cca", "cold-cranking"),
    ("ah", "capacity"),
    ("soc", "charge"),
    ("soh", "health"),
    ("description", "what"),
    ("desc", "what"),
    ("location", "place"),
    ("where", "place"),
    ("comment", "note"),
    ("comments", "note"),
    ("notes", "note"),
    ("value", "rating"),
    ("amperage", "rating"),
    ("size", "rating"),
    ("standby", "parked"),
    ("quiescent", "parked"),
    ("sleep", "parked"),
    ("idle", "at-idle"),
    ("sensed", "senses"),
    ("inputs", "senses"),
    ("type", "kind"),
    ("name", "what"),
    ("reason", "because"),
    ("why", "because"),
    ("duration", "for"),
    ("time", "for"),
    ("ignition", "key"),
    ("voltage-drop", "drop"),
    ("amps-max", "limit"),
    ("max", "limit"),
    ("temperature", "ambient"),
    ("wire-gauge", "size"),
];

/// Other words that people use for a kind of part.
const KIND_SYNONYMS: &[(&str, &str)] = &[
    ("lamp", "load"),
    ("light", "load"),
    ("lights", "load"),
    ("motor", "load"),
    ("pump", "load"),
    ("radio", "load"),
    ("heater", "load"),
    ("winch", "load"),
    ("starter", "load"),
    ("solenoid", "relay"),
    ("contactor", "relay"),
    ("circuit-breaker", "breaker"),
    ("cb", "breaker"),
    ("inverter", "converter"),
    ("dc-dc", "converter"),
    ("module", "controller"),
    ("ecu", "controller"),
    ("timer", "delay"),
    ("lvd", "cutoff"),
    ("ignition", "key-switch"),
    ("ignition-switch", "key-switch"),
    ("keyswitch", "key-switch"),
    ("generator", "alternator"),
    ("solar", "charger"),
    ("panel", "charger"),
    ("plug", "connector"),
    ("socket", "connector"),
    ("butt-splice", "splice"),
    ("bus", "busbar"),
    ("bus-bar", "busbar"),
    ("terminal", "stud"),
    ("post", "stud"),
    ("earth", "ground"),
    ("wire-end", "stub"),
    ("button", "switch"),
    ("toggle", "switch"),
    ("master-switch", "disconnect"),
    ("battery-switch", "disconnect"),
    ("fuselink", "fusible-link"),
];

/// The kind that a word stands for.
pub(super) fn kind_meant<'c>(
    word: &str,
    kinds: impl Iterator<Item = &'c str> + Clone,
) -> Option<&'c str> {
    let lower = word.to_lowercase().replace(['_', ' '], "-");
    nearest(word, kinds.clone()).or_else(|| {
        let (_, meant) = KIND_SYNONYMS.iter().find(|(other, _)| *other == lower)?;
        kinds.clone().find(|kind| kind == meant)
    })
}

/// What to say about a key that is not in its scope.
pub(super) fn unknown_key(name: &str, scope: Scope, owner: &str, hint: bool) -> (String, String) {
    let list = || {
        let names = scope.keys().map(|key| key.name);
        format!(
            "{owner} has the keys {}",
            joined(names.map(|name| format!("`{name}`")).collect(), "and")
        )
    };
    let Scope::Part(kind) = scope else {
        let message = format!("{owner} has no key `{}`", short(name));
        return match hint.then(|| key_meant(name, scope)).flatten() {
            Some(meant) => (message, format!("did you mean `{meant}`?")),
            None => (message, list()),
        };
    };
    let elsewhere = rows_of_parts(name);
    if !elsewhere.is_empty() {
        let kinds: Vec<String> = elsewhere
            .iter()
            .flat_map(|key| key.on)
            .map(|kind| with_article(kind.text()))
            .collect();
        let mut kinds_unique = kinds;
        kinds_unique.dedup();
        let message = format!(
            "`{name}` belongs to {}, not to {}",
            joined(kinds_unique, "or"),
            with_article(kind.text())
        );
        let own = key_meant(name, scope)
            .filter(|meant| *meant != name)
            .map_or_else(list, |meant| {
                format!(
                    "did you mean `{meant}`? Else look whether `kind: {}` is right",
                    kind.text()
                )
            });
        return (message, own);
    }
    let message = format!("{} has no key `{}`", with_article(kind.text()), short(name));
    if super::keys::WIRE.iter().any(|key| key.name == name) {
        return (
            message,
            format!("`{name}` is a key of a wire: it goes into an entry under `wires:`"),
        );
    }
    match hint.then(|| key_meant(name, scope)).flatten() {
        Some(meant) => (message, format!("did you mean `{meant}`?")),
        None => (message, list()),
    }
}

fn key_meant(name: &str, scope: Scope) -> Option<&'static str> {
    nearest(name, scope.keys().map(|key| key.name)).or_else(|| {
        let lower = name.to_lowercase().replace(['_', ' '], "-");
        SYNONYMS
            .iter()
            .filter(|(other, _)| *other == lower)
            .find_map(|(_, meant)| scope.find(meant))
            .map(|key| key.name)
    })
}

/// `a fuse`, `an alternator`.
pub(super) fn with_article(noun: &str) -> String {
    let article = if noun.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {noun}")
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
            let ways: Vec<String> = wanted
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
            let help = if *found == Dimension::Length && wanted.contains(&Dimension::Time) {
                "`m` is a metre; minutes are written `min`, as in `25 min`".to_owned()
            } else {
                such
            };
            let label = found.noun().to_owned();
            say(
                format!("`{quoted}` is {}; `{key}` is {nouns}", found.noun()),
                &label,
                help,
            )
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
            format!(
                "write `{key}: {number} AWG`, `{key}: {number} SAE` (smaller) or `{key}: {number} mm2`, whichever it is"
            ),
        ),
        Refusal::Write { why, suggestion } => (
            format!("`{quoted}` cannot be read: {why}"),
            "write it otherwise",
            format!("write `{key}: {suggestion}`"),
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
fn usual_unit<'e>(dimension: Dimension, example: &'e str) -> &'e str {
    let unit = example
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

/// The keys that must be there and are not.
pub(super) fn missing<'k>(scope: Scope, has: impl Fn(&str) -> bool) -> Option<&'k Key> {
    scope.keys().find(|key| key.required && !has(key.name))
}
