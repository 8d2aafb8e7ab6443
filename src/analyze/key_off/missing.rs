//! What the standing draw cannot be told without.

use crate::analyze::joined::Joined;
use crate::analyze::origin::NOTHING;
use crate::model::Branch;
use crate::model::Control;
use crate::model::Element;
use crate::model::Vehicle;
use crate::read::document::Kind;
use crate::solve::Solution;

/// Names of facts that are not stated, each once, in the order they were met.
#[derive(Default)]
pub(super) struct Missing {
    pub(super) list: Vec<String>,
}

impl Missing {
    pub(super) fn push(&mut self, name: String) {
        if !self.list.contains(&name) {
            self.list.push(name);
        }
    }

    pub(super) fn add(&mut self, vehicle: &Vehicle, branch: &Branch, key: &str) {
        let part = vehicle.part(branch.part);
        let supply = part.fields.map("supplies").is_some();
        if Some(branch.part) == vehicle.own_load {
            return;
        }
        self.push(if supply {
            format!("{}.{}.{key}", part.name.value, branch.name)
        } else {
            part.missing(key)
        });
    }

    /// Totals are of the added equipment alone where the vehicle's own draw is not stated.
    pub(super) fn own_load(&mut self, vehicle: &Vehicle) {
        if vehicle.own_off.is_none() {
            self.push("vehicle.own-load.off".to_owned());
        }
    }

    /// Feeds of which it is not stated when they are live, and that carry something here.
    pub(super) fn feeds(&mut self, vehicle: &Vehicle, left: &Solution) {
        for id in vehicle.branch_ids() {
            let branch = vehicle.branch(id);
            let hot = matches!(
                branch.element,
                Element::Contact {
                    control: Control::Hot { .. } | Control::Output { .. },
                    ..
                }
            );
            if !hot || left.branch(id).abs().0 <= NOTHING {
                continue;
            }
            let part = vehicle.part(branch.part);
            let (subject, stated) = match part.kind {
                Kind::Controller => {
                    let outputs = part.fields.map("outputs");
                    let stated = outputs
                        .and_then(|outputs| outputs.map(&branch.name))
                        .is_some_and(|output| output.get("hot-in").is_some());
                    (format!("{}.{}", part.name.value, branch.name), stated)
                }
                Kind::Feed => {
                    let stated = part.fields.get("hot-in").is_some();
                    (part.name.value.clone(), stated)
                }
                _ => continue,
            };
            if !stated {
                self.push(format!("{subject}.hot-in"));
            }
        }
    }

    /// Of every battery that cranks the engine, and of those joined to them.
    pub(super) fn capacity(&mut self, vehicle: &Vehicle, joined: &Joined) {
        for (one, battery) in vehicle.batteries.iter().enumerate() {
            if joined.cranks(one) && battery.capacity.is_none() {
                self.push(vehicle.part(battery.part).missing("capacity"));
            }
        }
    }
}
