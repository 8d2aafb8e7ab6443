//! Names of parts and terminals, and what a text such as `K1.30` stands for.

use std::collections::HashMap;
use std::collections::HashSet;

use super::document::{Kind, Part, PartIndex, Point};

/// Parts by name. Kept in the document, so that later stages find a point by its text.
#[derive(Clone, Debug, Default)]
pub struct Names {
    parts: HashMap<String, PartIndex>,
    /// Parts that could not be read: what refers to them is not complained about again.
    broken: HashSet<String>,
    /// Terminals of parts that have many.
    many: HashMap<PartIndex, HashMap<String, u16>>,
}

/// Which end of a wire a name stands for; decides which terminal a part's name alone means.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Way {
    /// The end that current leaves by: `out`, `+` of a source, `-` of a load.
    From,
    /// The end that current enters by: `in`, `+`.
    To,
}

/// Why a text names no point.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Miss {
    /// There is no such part.
    NoPart,
    /// The part is there, but could not be read.
    Broken,
    /// `own-load` has no terminals.
    OwnLoad,
    /// The part has no such terminal.
    NoTerminal(PartIndex, String),
    /// The part has several, and none of them is the natural one.
    MustName(PartIndex),
}

/// The vehicle's metal.
pub(super) const CHASSIS: &str = "chassis";
/// The vehicle's own equipment as one load.
pub(super) const OWN_LOAD: &str = "own-load";

impl Names {
    /// Names a part.
    pub(super) fn add(&mut self, name: &str, index: PartIndex, terminals: &[String]) {
        self.parts.insert(name.to_owned(), index);
        if terminals.len() > 16 {
            let numbered = terminals.iter().zip(0u16..);
            let map = numbered
                .map(|(name, number)| (name.clone(), number))
                .collect();
            self.many.insert(index, map);
        }
    }

    /// Remembers a part that could not be read.
    pub(super) fn add_broken(&mut self, name: &str) {
        self.broken.insert(name.to_owned());
    }

    /// Whether a part of this name is there but could not be read.
    pub(super) fn is_broken(&self, name: &str) -> bool {
        self.broken.contains(name)
    }

    /// The part of this name.
    #[must_use]
    pub fn part(&self, name: &str) -> Option<PartIndex> {
        self.parts.get(name).copied()
    }

    fn terminal(&self, parts: &[Part], index: PartIndex, name: &str) -> Option<u16> {
        match self.many.get(&index) {
            Some(map) => map.get(name).copied(),
            None => parts
                .get(index.0 as usize)?
                .terminals
                .iter()
                .position(|terminal| terminal == name)
                .map(|at| at as u16),
        }
    }

    /// What a text stands for at one end of a wire.
    pub(super) fn resolve(&self, parts: &[Part], text: &str, way: Way) -> Result<Point, Miss> {
        if text == CHASSIS {
            return Ok(Point::Chassis);
        }
        if let Some(index) = self.part(text) {
            return self.natural(parts, index, way).ok_or(Miss::MustName(index));
        }
        if self.is_broken(text) {
            return Err(Miss::Broken);
        }
        if text == OWN_LOAD {
            return Err(Miss::OwnLoad);
        }
        for (dot, _) in text.match_indices('.') {
            let (name, terminal) = (&text[..dot], &text[dot + 1..]);
            if self.is_broken(name) {
                return Err(Miss::Broken);
            }
            let Some(index) = self.part(name) else {
                continue;
            };
            let side = match way {
                Way::From => "b",
                Way::To => "a",
            };
            let found = self
                .terminal(parts, index, terminal)
                .or_else(|| self.terminal(parts, index, &format!("{terminal}.{side}")));
            return match found {
                Some(number) => Ok(Point::Terminal(index, number)),
                None => Err(Miss::NoTerminal(index, terminal.to_owned())),
            };
        }
        Err(Miss::NoPart)
    }

    /// The terminal that a part's name alone means.
    fn natural(&self, parts: &[Part], index: PartIndex, way: Way) -> Option<Point> {
        let part = parts.get(index.0 as usize)?;
        let name = match (part.kind.value, way) {
            (Kind::Battery | Kind::Alternator | Kind::Charger, _) => "+",
            (Kind::Feed, _) => "out",
            (Kind::Load, Way::From) => "-",
            (Kind::Load, Way::To) => match part.terminals.as_slice() {
                [only, _] => only,
                _ => return None,
            },
            (Kind::Isolator, Way::From) => "b",
            (Kind::Isolator, Way::To) => "a",
            (Kind::Connector, _) if part.terminals.len() == 2 => {
                return Some(Point::Terminal(index, u16::from(way == Way::From)));
            }
            (Kind::Splice | Kind::Stud | Kind::Busbar | Kind::Ground | Kind::Stub, _) => "",
            (Kind::KeySwitch | Kind::Relay | Kind::Controller | Kind::Connector, _) => return None,
            (_, Way::From) => "out",
            (_, Way::To) => "in",
        };
        let number = self.terminal(parts, index, name)?;
        Some(Point::Terminal(index, number))
    }
}

impl super::document::Document {
    /// What a text of the record stands for: `K1.30`, `SP1`, `chassis`, or a part's name alone with its natural end.
    /// Nothing where there is no such point.
    #[must_use]
    pub fn point(&self, text: &str, way: Way) -> Option<Point> {
        self.names.resolve(&self.parts, text, way).ok()
    }

    /// The part of this name.
    #[must_use]
    pub fn part_index(&self, name: &str) -> Option<PartIndex> {
        self.names.part(name)
    }
}
