//! Standing with the key off in the shape of format 1.

use super::audit::assumed;
use super::audit::document;
use super::audit::key_off;
use super::number;
use super::v1;
use crate::analyze::KeyOff;
use crate::analyze::endurance::FloorBy;
use crate::analyze::endurance::Standing;
use crate::analyze::endurance::Starts;
use crate::analyze::endurance::Verdict;
use crate::analyze::park::Parked;
use crate::analyze::timeline::Timeline;
use crate::model::Vehicle;

/// Everything about standing; `starts` is the answer to "will it start after so many days?".
#[must_use]
pub fn park(
    vehicle: &Vehicle,
    of: &KeyOff,
    parked: &Parked,
    timeline: &Timeline,
    starts: Option<(f64, &Starts)>,
) -> v1::Park {
    let v1::KeyOff {
        draw_a,
        draw_low_a,
        draw_high_a,
        mut missing,
        by_part,
        by_fuse,
        simple_hours,
        simple_days,
        by_battery,
        runs_on,
        ..
    } = key_off(vehicle, of, parked);
    let starter = parked.starter();
    missing.extend(starter.into_iter().flat_map(|bank| bank.missing.clone()));
    v1::Park {
        format: v1::FORMAT,
        document: document(vehicle),
        draw_a,
        draw_low_a,
        draw_high_a,
        missing,
        by_part,
        by_fuse,
        by_battery,
        simple_hours,
        simple_days,
        runs_on,
        timeline: timeline
            .events
            .iter()
            .map(|event| v1::Event {
                at_h: number(event.at.hours()),
                draw_a: number(event.draw.0),
                event: event.what.clone(),
            })
            .collect(),
        ends_h: timeline.ends.map(|ends| number(ends.hours())),
        standing: starter
            .into_iter()
            .flat_map(|bank| bank.standing.iter().map(standing_at))
            .collect(),
        starts: starts.map(|(days, starts)| answer(days, starts)),
        assumed: vehicle
            .assumed
            .iter()
            .chain(&parked.assumed)
            .map(assumed)
            .collect(),
    }
}

fn standing_at(standing: &Standing) -> v1::StandingAt {
    let days = &standing.days;
    v1::StandingAt {
        at_c: number(standing.at.0),
        usable_ah: number(standing.usable.0),
        floor: number(standing.floor),
        floor_by: match standing.floor_by {
            FloorBy::Rule => v1::FloorBy::Rule,
            FloorBy::Cranking => v1::FloorBy::Cranking,
            FloorBy::Freezing => v1::FloorBy::Freezing,
        },
        days_low: number(days.low),
        days_likely: number(days.likely),
        days_high: number(days.high),
        days_p5: days.percentiles.map(|drawn| number(drawn.p5)),
        days_p50: days.percentiles.map(|drawn| number(drawn.p50)),
        days_p95: days.percentiles.map(|drawn| number(drawn.p95)),
        moved_by: standing
            .moved_by
            .iter()
            .map(|name| (*name).to_owned())
            .collect(),
    }
}

fn answer(days: f64, starts: &Starts) -> v1::Starts {
    v1::Starts {
        after_days: number(days),
        at_c: number(starts.standing.at.0),
        verdict: match starts.verdict {
            Verdict::Yes => v1::Verdict::Yes,
            Verdict::No => v1::Verdict::No,
            Verdict::Depends => v1::Verdict::Depends,
        },
        charge_left: number(starts.charge_left),
        charge_left_low: number(starts.charge_range.0),
        charge_left_high: number(starts.charge_range.1),
        floor: number(starts.standing.floor),
    }
}
