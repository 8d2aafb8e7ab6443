//! A removal in the shape of format 1.

use super::audit;
use super::audit::part_name;
use super::audit::part_names;
use super::audit::wire_names;
use super::number;
use super::side::side;
use super::v1;
use crate::advise::removal::Least;
use crate::advise::removal::LiveEnd;
use crate::advise::removal::PlaceKind;
use crate::advise::removal::Plan;
use crate::advise::removal::Why;
use crate::analyze::park::park;
use crate::model::Key;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::WireId;

/// The whole plan, with the minimum beside it where the record allows one.
#[must_use]
pub fn removal(plan: &Plan, least: Option<&Least>) -> v1::Removal {
    let vehicle = &plan.before.vehicle;
    let name = |part: &PartId| part_name(vehicle, *part);
    let names = |parts: &[PartId]| part_names(vehicle, parts);
    let wires = |wires: &[WireId]| wire_names(vehicle, wires);
    let mut goes_dead: Vec<String> = plan.goes_dead.iter().map(|dead| name(&dead.part)).collect();
    goes_dead.dedup();
    v1::Removal {
        format: v1::FORMAT,
        document: audit::document(vehicle),
        remove: names(&plan.remove),
        goes_dead,
        dead: plan
            .goes_dead
            .iter()
            .map(|dead| v1::Dead {
                part: name(&dead.part),
                within: dead.within.clone(),
                lost: match dead.why {
                    Why::Feed => v1::Lost::Feed,
                    Why::Return => v1::Lost::Return,
                    Why::Control => v1::Lost::Control,
                    Why::Signal => v1::Lost::Signal,
                },
                must_work: dead.must_work,
            })
            .collect(),
        cut_off: names(&plan.cut_off),
        draws_more: plan
            .draws_more
            .iter()
            .map(|(part, before, after)| v1::DrawsMore {
                part: name(part),
                before_a: number(before.0),
                after_a: number(after.0),
            })
            .collect(),
        wires_out: wires(&plan.wires_out),
        wires_stay: plan
            .wires_stay
            .iter()
            .map(|stays| v1::WireStays {
                wire: vehicle.wire(stays.wire).id.clone(),
                shared_with: names(&stays.shared_with),
            })
            .collect(),
        places: plan
            .places
            .iter()
            .map(|place| v1::NewPlace {
                name: place.name.clone(),
                kind: match place.kind {
                    PlaceKind::Joint => v1::NewPlaceKind::Joint,
                    PlaceKind::Ground => v1::NewPlaceKind::Ground,
                    PlaceKind::End => v1::NewPlaceKind::End,
                },
                was: place
                    .terminals
                    .iter()
                    .map(|&at| vehicle.terminal(at).label.clone())
                    .collect(),
                wires: wires(&place.wires),
            })
            .collect(),
        unrecorded: plan
            .unrecorded
            .iter()
            .map(|&[on, from]| v1::Unrecorded {
                on: vehicle.terminal(on).label.clone(),
                from: vehicle.terminal(from).label.clone(),
            })
            .collect(),
        not_parked: names(&plan.not_parked),
        nothing_charges: plan.nothing_charges,
        live_ends: live_ends(&plan.live_ends),
        freed: v1::Freed {
            fuses: names(&plan.freed.fuses),
            feeds: names(&plan.freed.feeds),
            grounds: names(&plan.freed.grounds),
            others: names(&plan.freed.others),
        },
        steps: plan
            .steps
            .iter()
            .map(|step| format!("{}: {}", step.name, step.lines.join(" ")))
            .collect(),
        before: side(&plan.before),
        after: side(&plan.after),
        minimum: least.map(|least| minimum(plan, least)),
    }
}

fn minimum(plan: &Plan, least: &Least) -> v1::Minimum {
    let vehicle = &plan.before.vehicle;
    let names = |parts: &[PartId]| part_names(vehicle, parts);
    let ends = |ends: &[(WireId, TerminalId)]| {
        let ends = ends.iter().map(|&(wire, at)| v1::WireEnd {
            wire: vehicle.wire(wire).id.clone(),
            at: vehicle.terminal(at).label.clone(),
        });
        ends.collect()
    };
    let key_off = &least.solved.key_off;
    let parked = park(&least.vehicle, key_off);
    let sums = audit::key_off(&least.vehicle, key_off, &parked);
    v1::Minimum {
        remove: names(&least.remove),
        pull: names(&least.pull),
        lift: ends(&least.lift),
        capped: ends(&least.capped),
        wires_left: wire_names(vehicle, &least.runs),
        wires_live: least
            .live_runs
            .iter()
            .map(|run| v1::LiveRun {
                wire: vehicle.wire(run.wire).id.clone(),
                up_to: run.up_to.map(|part| part_name(vehicle, part)),
                protected: run.protected,
            })
            .collect(),
        live_ends: live_ends(&least.live_ends),
        live_if_only_unplugged: least.live_if_only_unplugged,
        unfused_if_only_unplugged: least.unfused_if_only_unplugged,
        draw_a: number(sums.draw_a),
        draw_low_a: sums.draw_low_a,
        draw_high_a: sums.draw_high_a,
        simple_days: sums.simple_days,
        days_to_no_start: sums.days_to_no_start,
    }
}

fn live_ends(ends: &[LiveEnd]) -> Vec<v1::LiveEnd> {
    let ends = ends.iter().map(|end| v1::LiveEnd {
        at: end.at.clone(),
        hot_in: hot_in(end.hot_in),
        advice: end.advice.clone(),
    });
    ends.collect()
}

/// Positions of the key by name.
pub(super) fn hot_in(by_key: [bool; 4]) -> Vec<v1::Key> {
    let keys = Key::ALL.into_iter().zip(by_key).filter(|(_, hot)| *hot);
    keys.map(|(key, _)| audit::key(key)).collect()
}
