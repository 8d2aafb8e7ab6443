//! Wording that the readers share.

use super::keys::{Key, Scope};
use crate::phrase;

/// `a, b or c`, each between back quotes; long lists are cut.
pub(super) fn any_of<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    joined(
        words.into_iter().map(|word| format!("`{word}`")).collect(),
        "or",
    )
}

/// `a, b and c`, each between back quotes; long lists are cut.
pub(super) fn all_of<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    joined(
        words.into_iter().map(|word| format!("`{word}`")).collect(),
        "and",
    )
}

/// `a, b and c`.
pub(super) fn joined(words: Vec<String>, last: &str) -> String {
    const MOST: usize = 24;
    let more = words.len().saturating_sub(MOST);
    if more > 0 {
        return format!("{} and {more} more", words[..MOST].join(", "));
    }
    phrase::joined(&words, last)
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
        // A slip seldom touches the first letter; where it does, only one letter may differ.
        let same_start = other.chars().next() == lower.chars().next();
        let limit = match (length, same_start) {
            (0..=5, _) | (_, false) => 1,
            (6..=8, true) => 2,
            (_, true) => 3,
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

/// `a fuse`, `an alternator`.
pub(super) fn with_article(noun: &str) -> String {
    let article = if noun.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    };
    format!("{article} {noun}")
}

/// The keys that must be there and are not.
pub(super) fn missing<'k>(scope: Scope, has: impl Fn(&str) -> bool) -> Option<&'k Key> {
    scope.keys().find(|key| key.required && !has(key.name))
}
