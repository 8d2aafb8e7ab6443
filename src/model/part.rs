//! A part of the vehicle.

use super::fact::Fact;
use super::vehicle::{BranchId, TerminalId};
use crate::quantity::{Amps, Scalar};
use crate::read::document::{Fields, Kind, PartIndex};
use crate::source::{Span, Spanned};

/// Where something is; sets its temperature.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum Zone {
    /// Under the hood.
    EngineBay,
    /// In the cab or body, dry. What is taken where nothing is said.
    #[default]
    Cabin,
    /// Outside.
    Exterior,
}

/// Whose it is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum Status {
    /// The vehicle's own.
    Factory,
    /// Added to it. What is taken where nothing is said.
    #[default]
    Added,
    /// Not yet there.
    Planned,
    /// Left behind.
    Abandoned,
    /// Nobody knows.
    Unknown,
}

/// `stays-live`: wanted with the key off.
#[derive(Clone, PartialEq, Debug)]
pub struct StaysLive {
    /// Why.
    pub because: String,
    /// The most it may draw.
    pub at_most: Option<Fact<Amps>>,
    /// Its place.
    pub at: Span,
}

/// A part. Its ratings and limits are read from [`Part::fields`]; what conducts inside it is in its branches.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name and where that stands.
    pub name: Spanned<String>,
    /// Its kind.
    pub kind: Kind,
    /// What it is, in words.
    pub what: Option<String>,
    /// Where it sits, in words.
    pub place: Option<String>,
    /// Zone.
    pub zone: Zone,
    /// Whose it is.
    pub status: Status,
    /// `near:` airbag, high-voltage, fuel, exhaust, seat-belt.
    pub near: Vec<Spanned<String>>,
    /// Wanted with the key off.
    pub stays_live: Option<StaysLive>,
    /// Its keys as written, those of its template included.
    pub fields: Fields,
    /// Its entry in the record.
    pub index: PartIndex,
    /// Its terminals, in the order of the kind.
    pub terminals: Vec<TerminalId>,
    /// What conducts inside it.
    pub branches: Vec<BranchId>,
}

impl Part {
    /// A quantity of the record as a fact; nothing where it is not stated.
    #[must_use]
    pub fn stated<T: Scalar>(&self, key: &str) -> Option<Fact<T>> {
        self.fields.stated(key).map(Fact::stated)
    }

    /// Where a key's value stands, else the part's name.
    #[must_use]
    pub fn at(&self, key: &str) -> Span {
        self.fields
            .get(key)
            .map_or(self.name.at, crate::read::document::Value::at)
    }

    /// The name of a fact that is not stated, as output lists it: `F1.rating`.
    #[must_use]
    pub fn missing(&self, key: &str) -> String {
        format!("{}.{key}", self.name.value)
    }
}
