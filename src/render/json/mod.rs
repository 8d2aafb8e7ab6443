//! JSON, field for field as promised: the shapes stand frozen in [`v1`], apart from the types of the program.

pub mod audit;
pub mod budget;
pub mod checks;
pub mod compare;
pub mod hunt;
pub mod layout;
pub mod park;
pub mod removal;
pub mod side;
pub mod size;
pub mod tables;
pub mod unreadable;
pub mod v1;
pub mod walkround;

use serde::Serialize;

/// As a person can read it too, ending in a line break.
///
/// # Errors
/// None for the shapes of [`v1`]; the library that writes JSON can say no to others.
pub fn pretty(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(value)?;
    text.push('\n');
    Ok(text)
}

/// On one line, ending in a line break: of several documents each has its own line.
///
/// # Errors
/// As [`pretty`].
pub fn line(value: &impl Serialize) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string(value)?;
    text.push('\n');
    Ok(text)
}

/// To nine significant digits: what is beyond is noise of the arithmetic, and would differ between machines.
#[must_use]
pub fn number(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return if value.is_finite() { 0.0 } else { value };
    }
    format!("{value:.8e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lose_their_noise_and_keep_their_digits() {
        assert_eq!(number(0.1 + 0.2), 0.3);
        assert_eq!(number(-0.0).to_string(), "0");
        assert_eq!(number(123_456.789), 123_456.789);
        assert_eq!(number(1.234_567_891_23e-7), 1.234_567_89e-7);
        assert_eq!(number(-14.0), -14.0);
    }
}
