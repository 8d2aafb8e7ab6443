//! A removal in the shape of format 1.

use super::audit;
use super::number;
use super::side::side;
use super::v1;
use crate::advise::removal::PlaceKind;
use crate::advise::removal::Plan;
use crate::advise::removal::Why;
use crate::model::Key;
use crate::model::PartId;
use crate::model::WireId;
use crate::render::words;

/// The whole plan.
#[must_use]
pub fn removal(plan: &Plan) -> v1::Removal {
    let vehicle = &plan.before.vehicle;
    let name = |part: &PartId| vehicle.part(*part).name.value.clone();
    let names = |parts: &[PartId]| parts.iter().map(name).collect::<Vec<_>>();
    let wires = |wires: &[WireId]| -> Vec<String> {
        let ids = wires.iter().map(|&wire| vehicle.wire(wire).id.clone());
        ids.collect()
    };
    let mut goes_dead: Vec<String> = plan.goes_dead.iter().map(|dead| name(&dead.part)).collect();
    goes_dead.dedup();
    v1::Removal {
        format: v1::FORMAT,
        document: v1::Document {
            path: words::path(&vehicle.document.sources).to_owned(),
            name: Some(vehicle.name.clone()),
        },
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
        live_ends: plan
            .live_ends
            .iter()
            .map(|end| v1::LiveEnd {
                at: end.at.clone(),
                hot_in: hot_in(end.hot_in),
                advice: end.advice.clone(),
            })
            .collect(),
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
    }
}

/// Positions of the key by name.
pub(super) fn hot_in(by_key: [bool; 4]) -> Vec<v1::Key> {
    let keys = Key::ALL.into_iter().zip(by_key).filter(|(_, hot)| *hot);
    keys.map(|(key, _)| audit::key(key)).collect()
}
