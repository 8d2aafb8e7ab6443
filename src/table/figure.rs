//! Single values by name: files with one figure a row, and one function a figure.

use serde::Deserialize;

use super::Cited;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Scalar;

/// One row of a file of figures.
#[derive(Deserialize)]
pub(super) struct Row {
    name: String,
    low: f64,
    value: f64,
    high: f64,
    #[allow(dead_code, reason = "compared with the type by tests")]
    unit: String,
    source: String,
    row: String,
    basis: Basis,
}

/// A figure with its citation made.
pub(super) struct Figure {
    name: String,
    low: f64,
    value: f64,
    high: f64,
    source: String,
}

/// The figures of a file.
pub(super) fn load(text: &str) -> Vec<Figure> {
    rows::<Row>(text)
        .into_iter()
        .map(|row| Figure {
            source: cite(&row.source, &row.row, row.basis),
            name: row.name,
            low: row.low,
            value: row.value,
            high: row.high,
        })
        .collect()
}

/// A figure by name. One that is not in its file is not a number; tests show that there is none.
pub(super) fn get(list: &'static [Figure], name: &str) -> Cited<f64> {
    list.iter()
        .find(|one| one.name == name)
        .map_or(Cited::NOT_LISTED, |one| Cited {
            value: one.value,
            low: one.low,
            high: one.high,
            source: &one.source,
        })
}

/// Names one file of figures and a function for each of its rows.
macro_rules! figures {
    ($file:literal; $($(#[$doc:meta])* $name:ident: $type:ty = $key:literal, $unit:literal;)*) => {
        static FIGURES: std::sync::LazyLock<Vec<$crate::table::figure::Figure>> =
            std::sync::LazyLock::new(|| $crate::table::figure::load(include_str!($file)));

        $(
            $(#[$doc])*
            #[must_use]
            pub fn $name() -> $crate::table::Cited<$type> {
                $crate::table::figure::get(&FIGURES, $key)
                    .map(<$type as $crate::table::figure::OfNumber>::of_number)
            }
        )*

        #[cfg(test)]
        mod figures {
            use super::*;

            #[test]
            fn each_row_has_its_function_and_each_function_its_row() {
                $crate::table::figure::shape::check(
                    include_str!($file),
                    &[$(($key, $unit, <$type as $crate::table::figure::OfNumber>::SYMBOL)),*],
                );
                $(assert!($name().value == $name().value, $key);)*
            }
        }
    };
}
pub(super) use figures;

/// What a figure can be: a quantity, or a bare number where no unit type fits.
pub(super) trait OfNumber: Copy {
    /// The unit's symbol; nothing where the type does not fix it.
    #[cfg_attr(
        not(test),
        allow(dead_code, reason = "compared with the file by tests")
    )]
    const SYMBOL: Option<&'static str>;
    /// From the number in the file.
    fn of_number(value: f64) -> Self;
}

impl OfNumber for f64 {
    const SYMBOL: Option<&'static str> = None;
    fn of_number(value: f64) -> Self {
        value
    }
}

impl<T: Scalar> OfNumber for T {
    const SYMBOL: Option<&'static str> = Some(T::SYMBOL);
    fn of_number(value: f64) -> Self {
        T::of(value)
    }
}

#[cfg(test)]
pub(super) mod shape {
    use super::Row;
    use super::rows;

    /// The file and the functions name the same figures, in the same units, each between its ends.
    pub fn check(text: &str, named: &[(&str, &str, Option<&str>)]) {
        crate::table::sheet::shape::check::<Row>(text);
        let list: Vec<Row> = rows(text);
        for (key, unit, symbol) in named {
            let row = list.iter().find(|row| row.name == *key);
            let row = row.unwrap_or_else(|| panic!("{key} is not in its file"));
            assert_eq!(row.unit, *unit, "{key}");
            assert!(symbol.is_none_or(|symbol| symbol == row.unit), "{key}");
        }
        for row in &list {
            assert!(
                named.iter().any(|(key, ..)| *key == row.name),
                "{} has no function",
                row.name
            );
            assert!(
                row.low <= row.value && row.value <= row.high,
                "{} is not between its ends",
                row.name
            );
        }
    }
}
