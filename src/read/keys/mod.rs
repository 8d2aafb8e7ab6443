//! Every key of the format, once: the reader, its suggestions, the JSON Schema and the format page are driven by this list.

mod part;
mod state;
mod vehicle;
mod wire;

use std::collections::HashMap;
use std::sync::LazyLock;

use super::document::Kind;
use crate::quantity::Dimension;

pub use part::{OUTPUT, PART, SETTLES, STAYS_LIVE, SUPPLY};
pub use state::{ACCEPT, METER, PHASE, READING, SITUATION};
pub use vehicle::{CLIMATE, ENGINE, LIBRARY_FILE, OWN_LOAD, RECORD, VEHICLE};
pub use wire::WIRE;

/// The format that is read.
pub const FORMAT: &str = "1";

/// One key of a map.
#[derive(Debug)]
pub struct Key {
    /// As written.
    pub name: &'static str,
    /// What its value looks like.
    pub shape: Shape,
    /// Kinds of part that have it; all of them where empty.
    pub on: &'static [Kind],
    /// Must be there.
    pub required: bool,
    /// What it means, one or two sentences.
    pub meaning: &'static str,
    /// A value, as written in YAML flow style.
    pub example: &'static str,
}

/// What a value looks like.
#[derive(Debug)]
pub enum Shape {
    /// Free words.
    Words,
    /// A name that is made here: of a bundle, a detachable group, a mode.
    Name,
    /// `true` or `false`.
    Flag,
    /// A number with a unit of one of these dimensions.
    Quantity(&'static [Dimension], Bound),
    /// A conductor size.
    Size,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// One of these words, or a quantity.
    ChoiceOr(&'static [&'static str], &'static Shape),
    /// One word of a list that is published with the tables: typical loads, rules.
    Listed(Listed),
    /// The name of a part of one of these kinds; of any kind where empty.
    Part(&'static [Kind]),
    /// Something with positions that a person sets: a switch, a disconnect, a driver-switched feed or output.
    Switch,
    /// A terminal: `K1.30`, or a part with its natural end.
    Point,
    /// A wire or a battery cable, where a clamp meter can go.
    Cable,
    /// The name of a terminal of the part itself.
    Own,
    /// A list.
    List(&'static Shape),
    /// A list, or one value alone.
    OneOrList(&'static Shape),
    /// A list of fixed length, one shape for each place.
    Tuple(&'static [Shape]),
    /// Keys with fixed names.
    Map(&'static [Key]),
    /// Names that are made here, each with a value.
    Named(&'static Shape),
    /// Names of parts of these kinds, each with a value.
    PerPart(&'static [Kind], &'static Shape),
    /// By the form that the value has: words, list or map.
    Form {
        /// If it is a word or number.
        scalar: Option<&'static Shape>,
        /// If it is a list.
        list: Option<&'static Shape>,
        /// If it is a map.
        map: Option<&'static Shape>,
    },
    /// Parts by name.
    Parts,
    /// Part templates by name.
    Templates,
    /// Rules by name, each with a choice.
    Rules,
}

/// Which numbers make sense.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Bound {
    /// Any.
    Any,
    /// Zero and above.
    NotNegative,
    /// Above zero.
    Positive,
    /// 0 to 100 %.
    Share,
    /// 1, 2, 3, …
    Whole,
}

/// A list of words that the tables publish.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Listed {
    /// Typical loads.
    Typical,
}

impl Listed {
    /// Its words.
    #[must_use]
    pub fn names(self) -> Vec<&'static str> {
        match self {
            Self::Typical => crate::table::typical::names().collect(),
        }
    }
}

impl Key {
    /// Whether parts of this kind have it.
    #[must_use]
    pub fn applies(&self, kind: Kind) -> bool {
        self.on.is_empty() || self.on.contains(&kind)
    }
}

static BY_NAME: LazyLock<HashMap<&'static str, Vec<&'static Key>>> = LazyLock::new(|| {
    let mut map: HashMap<_, Vec<_>> = HashMap::new();
    for key in PART {
        map.entry(key.name).or_default().push(key);
    }
    map
});

/// The row of a key of a kind of part.
#[must_use]
pub fn of_part(kind: Kind, name: &str) -> Option<&'static Key> {
    BY_NAME
        .get(name)?
        .iter()
        .find(|key| key.applies(kind))
        .copied()
}

/// All rows of parts with this name; the kinds that each is for stand in them.
pub(super) fn rows_of_parts(name: &str) -> &'static [&'static Key] {
    BY_NAME.get(name).map_or(&[], Vec::as_slice)
}

/// What the keys of a map are looked up in.
#[derive(Clone, Copy, Debug)]
pub(super) enum Scope {
    /// A map with fixed keys.
    Fixed(&'static [Key]),
    /// A part of a kind.
    Part(Kind),
}

impl Scope {
    /// The row of a key.
    pub fn find(self, name: &str) -> Option<&'static Key> {
        match self {
            Self::Fixed(keys) => keys.iter().find(|key| key.name == name),
            Self::Part(kind) => of_part(kind, name),
        }
    }

    /// All rows that apply, in the order of the list.
    pub fn keys(self) -> impl Iterator<Item = &'static Key> {
        let (keys, kind) = match self {
            Self::Fixed(keys) => (keys, None),
            Self::Part(kind) => (PART, Some(kind)),
        };
        keys.iter()
            .filter(move |key| kind.is_none_or(|kind| key.applies(kind)))
    }
}

/// A row that has to be there.
const fn must(key: Key) -> Key {
    Key {
        required: true,
        ..key
    }
}

/// A row for all kinds.
const fn key(
    name: &'static str,
    shape: Shape,
    meaning: &'static str,
    example: &'static str,
) -> Key {
    Key {
        name,
        shape,
        on: &[],
        required: false,
        meaning,
        example,
    }
}

/// A row for some kinds.
const fn of(
    on: &'static [Kind],
    name: &'static str,
    shape: Shape,
    meaning: &'static str,
    example: &'static str,
) -> Key {
    Key {
        name,
        shape,
        on,
        required: false,
        meaning,
        example,
    }
}

/// Shapes that many rows share.
mod shape {
    use super::{Bound, Dimension, Shape};

    pub const CURRENT: Shape = Shape::Quantity(&[Dimension::Current], Bound::Positive);
    pub const CURRENT_OR_NONE: Shape = Shape::Quantity(&[Dimension::Current], Bound::NotNegative);
    pub const VOLTAGE: Shape = Shape::Quantity(&[Dimension::Voltage], Bound::Positive);
    pub const VOLTAGE_OR_NONE: Shape = Shape::Quantity(&[Dimension::Voltage], Bound::NotNegative);
    pub const RESISTANCE: Shape = Shape::Quantity(&[Dimension::Resistance], Bound::Positive);
    pub const RESISTANCE_OR_NONE: Shape =
        Shape::Quantity(&[Dimension::Resistance], Bound::NotNegative);
    pub const DRAW: Shape = Shape::Quantity(
        &[Dimension::Current, Dimension::Power, Dimension::Resistance],
        Bound::Positive,
    );
    pub const DRAW_OR_NONE: Shape =
        Shape::Quantity(&[Dimension::Current, Dimension::Power], Bound::NotNegative);
    pub const TIME: Shape = Shape::Quantity(&[Dimension::Time], Bound::Positive);
    pub const LENGTH: Shape = Shape::Quantity(&[Dimension::Length], Bound::Positive);
    pub const TEMPERATURE: Shape = Shape::Quantity(&[Dimension::Temperature], Bound::Any);
    pub const SHARE: Shape = Shape::Quantity(&[Dimension::Fraction], Bound::Share);
    pub const SPEED: Shape = Shape::Quantity(&[Dimension::Speed], Bound::Positive);
    pub const WHOLE: Shape = Shape::Quantity(&[Dimension::Count], Bound::Whole);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_row_for_a_key_of_a_kind() {
        for &kind in Kind::ALL {
            for (index, key) in Scope::Part(kind).keys().enumerate() {
                let twice = Scope::Part(kind)
                    .keys()
                    .skip(index + 1)
                    .any(|other| other.name == key.name);
                assert!(!twice, "{} of {}", key.name, kind.text());
            }
        }
    }

    #[test]
    fn every_row_says_what_it_means_and_shows_a_value() {
        for key in PART.iter().chain(WIRE).chain(SITUATION).chain(READING) {
            assert!(key.meaning.ends_with('.'), "{}", key.name);
            assert!(!key.example.is_empty(), "{}", key.name);
        }
    }
}
