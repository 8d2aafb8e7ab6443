//! When a protective device of the record opens.

use crate::model::Part;
use crate::model::Zone;
use crate::model::vehicle::Climate;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::table::fuse;
use crate::table::fuse::Form;
use crate::table::opening::Opening;

/// Which end of a rating that is known as a range only.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rating {
    /// The one that opens sooner.
    Least,
    /// The one that opens later.
    Most,
}

/// When a fuse, breaker, fusible link or the factory fuse of a feed opens. A fuse whose form is not stated is taken for the
/// usual one of its rating.
///
/// # Errors
/// The fact that is not stated.
pub fn opening(part: &Part, climate: &Climate, rating: Rating) -> Result<Opening, String> {
    let rated = || {
        let stated = part.stated::<Amps>("rating");
        let stated = stated.ok_or_else(|| part.missing("rating"))?;
        Ok(match rating {
            Rating::Least => stated.range.low,
            Rating::Most => stated.range.high,
        })
    };
    match part.kind {
        Kind::FusibleLink => {
            let size = match part.fields.get("size") {
                Some(Value::Size(size)) => Some(size.value),
                _ => None,
            };
            size.and_then(|size| Opening::link(size, around(part, climate)))
                .ok_or_else(|| part.missing("size"))
        }
        Kind::Breaker => rated().map(Opening::breaker),
        _ => rated().map(|amps| Opening::fuse(form(part, amps), amps)),
    }
}

/// The form of a fuse as stated, else the usual one of its rating.
#[must_use]
pub fn form(part: &Part, rating: Amps) -> Form {
    let stated = part.fields.text("form");
    stated
        .and_then(|form| Form::named(&form.value))
        .unwrap_or_else(|| fuse::default_form(rating).value)
}

fn around(part: &Part, climate: &Climate) -> Celsius {
    match part.zone {
        Zone::EngineBay => climate.engine_bay.likely,
        Zone::Cabin => climate.cabin.likely,
        Zone::Exterior => climate.exterior.likely,
    }
}
