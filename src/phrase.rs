//! How words are put together in sentences, for every layer that says something.

/// `A`, `A and B`, `A, B and C`, with this word before the last.
pub(crate) fn joined<T: AsRef<str>>(words: &[T], word: &str) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_owned(),
        [first @ .., last] => {
            let first: Vec<&str> = first.iter().map(AsRef::as_ref).collect();
            format!("{} {word} {}", first.join(", "), last.as_ref())
        }
    }
}

/// `A`, `A and B`, `A, B and C`.
pub(crate) fn and<T: AsRef<str>>(words: &[T]) -> String {
    joined(words, "and")
}

/// The form of a verb that goes with so many: `was` or `were`.
pub(crate) const fn verb(count: usize, one: &'static str, many: &'static str) -> &'static str {
    if count == 1 { one } else { many }
}

/// With a capital first letter.
pub(crate) fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_joined_as_people_say_them() {
        assert_eq!(and::<&str>(&[]), "");
        assert_eq!(and(&["A"]), "A");
        assert_eq!(and(&["A", "B"]), "A and B");
        assert_eq!(joined(&["A", "B", "C"], "or"), "A, B or C");
        assert_eq!(capital("élan and more"), "Élan and more");
        assert_eq!(capital(""), "");
    }
}
