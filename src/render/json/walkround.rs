//! The walk-round sheet in the shape of format 1.

use super::audit::document;
use super::audit::level;
use super::removal::hot_in;
use super::v1;
use crate::advise::walkround::Look;
use crate::advise::walkround::Round;
use crate::model::Vehicle;
use crate::model::Zone;

/// The whole sheet.
#[must_use]
pub fn walkround(vehicle: &Vehicle, round: &Round) -> v1::WalkRound {
    let unknowns = |looks: &[Look]| looks.iter().map(unknown).collect::<Vec<_>>();
    v1::WalkRound {
        format: v1::FORMAT,
        document: document(vehicle),
        first: unknowns(&round.first),
        ask: unknowns(&round.ask),
        stops: round
            .stops
            .iter()
            .map(|stop| v1::Stop {
                place: stop.place.clone(),
                zone: match stop.zone {
                    Zone::Exterior => v1::ZoneOfStop::Exterior,
                    Zone::EngineBay => v1::ZoneOfStop::EngineBay,
                    Zone::Cabin => v1::ZoneOfStop::Cabin,
                },
                look: unknowns(&stop.look),
                live_ends: stop
                    .live_ends
                    .iter()
                    .map(|end| v1::BareEnd {
                        at: end.at.clone(),
                        hot_in: hot_in(end.hot_in),
                    })
                    .collect(),
                mend: stop
                    .mend
                    .iter()
                    .map(|mend| v1::ToMend {
                        check: mend.check.to_owned(),
                        level: level(mend.level),
                        message: mend.message.clone(),
                        help: mend.help.clone(),
                    })
                    .collect(),
                there: stop
                    .there
                    .iter()
                    .map(|there| v1::ThereIs {
                        part: vehicle.part(there.part).name.value.clone(),
                        rings: there.rings,
                    })
                    .collect(),
            })
            .collect(),
    }
}

fn unknown(look: &Look) -> v1::Unknown {
    v1::Unknown {
        fact: look.fact.clone(),
        about: look.about.clone(),
        meaning: look.meaning.clone(),
        settles: look.settles,
        alone: look.alone,
        checks: look.checks.iter().map(|&check| check.to_owned()).collect(),
    }
}
