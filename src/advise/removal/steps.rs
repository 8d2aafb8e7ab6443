//! The order of work: source ends first, returns last, and at each step what must be dead by then.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::PlaceKind;
use super::Plan;
use super::is_its_own;
use super::isolation::Isolation;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Walks;
use crate::phrase;
use crate::quantity::show;
use crate::quantity::show::Units;

/// How a wire is taken off: its source end must never be on while its load end is off.
const ONE_END: &str =
    "Of each wire the end named here comes off first and is insulated at once, then its other end.";

/// One step of the work.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Step {
    /// What it is, as a heading.
    pub name: String,
    /// What to do, one sentence each.
    pub lines: Vec<String>,
}

/// The steps of a removal, in their order.
pub(super) fn steps(plan: &Plan) -> Vec<Step> {
    let walks = Walks::new(&plan.before.vehicle);
    let work = Work {
        plan,
        vehicle: &plan.before.vehicle,
        removed: plan.remove.iter().copied().collect(),
        isolation: Isolation::of(plan, &walks),
        walks,
    };
    let all = [
        ("Record", work.record()),
        ("Shut down", work.shut_down()),
        ("Isolate at the source", work.isolate()),
        ("Prove dead", work.prove_dead()),
        ("Lift the source ends first", work.feeds()),
        ("Restore what runs through", work.restore()),
        ("Take off the control side", work.control()),
        ("Take off the returns last", work.returns()),
        ("Take out the parts and the runs", work.take_out()),
        ("Cap what stays", work.cap()),
        ("Close holes", work.close()),
        ("Reconnect", work.reconnect()),
        ("Prove", work.prove()),
    ];
    let steps = all.into_iter().filter(|(_, lines)| !lines.is_empty());
    steps
        .map(|(name, lines)| Step {
            name: name.to_owned(),
            lines,
        })
        .collect()
}

pub(super) struct Work<'p> {
    pub(super) plan: &'p Plan,
    pub(super) vehicle: &'p Vehicle,
    pub(super) removed: BTreeSet<PartId>,
    pub(super) isolation: Isolation,
    pub(super) walks: Walks,
}

impl Work<'_> {
    pub(super) fn name(&self, part: PartId) -> &str {
        &self.vehicle.part(part).name.value
    }

    /// `F1 (30 A, beside the battery)`.
    pub(super) fn called(&self, part: PartId) -> String {
        let own = self.vehicle.part(part);
        let rating = own
            .fields
            .quantity("rating")
            .map(|rating| rating.text.clone());
        let known: Vec<String> = rating
            .into_iter()
            .chain(own.what.clone())
            .chain(own.place.clone())
            .collect();
        if known.is_empty() {
            own.name.value.clone()
        } else {
            format!("{} ({})", own.name.value, known.join(", "))
        }
    }

    /// `w3 (red, 12 AWG) from K1.87 to WORK`.
    pub(super) fn wire(&self, id: WireId) -> String {
        let wire = self.vehicle.wire(id);
        let size = wire.size.map(|size| size.to_string());
        let known: Vec<String> = wire.color.clone().into_iter().chain(size).collect();
        let label = |end: TerminalId| self.vehicle.terminal(end).label.as_str();
        let about = if known.is_empty() {
            String::new()
        } else {
            format!(" ({})", known.join(", "))
        };
        format!(
            "{}{about} from {} to {}",
            wire.id,
            label(wire.from),
            label(wire.to)
        )
    }

    pub(super) fn names(&self, parts: &[PartId]) -> String {
        let names: Vec<&str> = parts.iter().map(|&part| self.name(part)).collect();
        phrase::and(&names)
    }

    fn record(&self) -> Vec<String> {
        let mut lines = vec![
            "Photograph every end before it is touched, and write down the fuse map.".to_owned(),
            format!(
                "Measure the key-off current at the battery's negative cable after the modules have gone to sleep; the record expects {}.",
                self.draw(&self.plan.before.solved.key_off)
            ),
        ];
        let own: Vec<&str> = self
            .vehicle
            .part_ids()
            .filter(|&part| Some(part) != self.vehicle.own_load)
            .filter(|&part| !self.removed.contains(&part) && is_its_own(self.vehicle, part))
            .filter(|part| self.walks.consumers_of(*part).next().is_some())
            .map(|part| self.name(part))
            .collect();
        let tested = if own.is_empty() {
            "Test and write down what works now: lamps, horn, wipers, and everything that is to be used again.".to_owned()
        } else {
            format!(
                "Test and write down what works now: {}, lamps, horn, wipers, and everything that is to be used again.",
                phrase::and(&own)
            )
        };
        lines.push(tested);
        lines
    }

    pub(super) fn draw(&self, key_off: &crate::analyze::KeyOff) -> String {
        let one = |amps| show::show(amps, Units::Metric);
        let range = show::range(key_off.range, Units::Metric);
        let likely = one(key_off.draw);
        let mut words = if range == likely {
            likely
        } else {
            format!("{likely} ({range})")
        };
        if !key_off.missing.is_empty() {
            words.push_str(&format!(", without {}", phrase::and(&key_off.missing)));
        }
        words
    }

    fn feeds(&self) -> Vec<String> {
        let feeds = self.lifted(|wire| !self.is_return(wire) && !self.is_control(wire));
        let mut lines = self.off(feeds);
        if !lines.is_empty() {
            lines.insert(0, ONE_END.to_owned());
        }
        for [gone, at] in &self.plan.unrecorded {
            let label = |at: &TerminalId| self.vehicle.terminal(*at).label.as_str();
            lines.push(format!(
                "The wire on {} is not in the record: find it, take it off at {} first, and take it out or cap both its ends.",
                label(gone),
                label(at)
            ));
        }
        lines
    }

    fn restore(&self) -> Vec<String> {
        let mut lines = Vec::new();
        for place in &self.plan.places {
            let was: Vec<&str> = place
                .terminals
                .iter()
                .map(|&at| self.vehicle.terminal(at).label.as_str())
                .collect();
            let wires: Vec<&str> = place
                .wires
                .iter()
                .map(|&wire| self.vehicle.wire(wire).id.as_str())
                .collect();
            match place.kind {
                PlaceKind::Joint => lines.push(format!(
                    "Join {} with a like-for-like joint, sealed, where {} {} ({} in the record).",
                    phrase::and(&wires),
                    phrase::and(&was),
                    phrase::verb(was.len(), "was", "were"),
                    place.name
                )),
                PlaceKind::Ground => lines.push(format!(
                    "{} {} a ground where {} {} ({} in the record): clean metal, tight.",
                    phrase::and(&wires),
                    phrase::verb(wires.len(), "keeps", "keep"),
                    phrase::and(&was),
                    phrase::verb(was.len(), "was", "were"),
                    place.name
                )),
                PlaceKind::End => {}
            }
        }
        for dead in self.plan.goes_dead.iter().filter(|dead| dead.must_work) {
            lines.push(format!(
                "{} must work: {}. Give it back its own circuit, with its own fuse, before the vehicle is used.",
                self.called(dead.part),
                dead.why.text()
            ));
        }
        if !lines.is_empty() {
            lines.push("Test it.".to_owned());
        }
        lines
    }

    fn control(&self) -> Vec<String> {
        let wires = self.lifted(|wire| self.is_control(wire) && !self.is_return(wire));
        let mut lines = self.off(wires);
        if !lines.is_empty() {
            lines.insert(0, ONE_END.to_owned());
        }
        lines
    }

    fn returns(&self) -> Vec<String> {
        let mut lines = self.off(self.lifted(|wire| self.is_return(wire)));
        if !lines.is_empty() {
            lines.push("Tighten again what stays on the same bolts.".to_owned());
        }
        lines
    }

    /// By place, so that one goes round once.
    fn take_out(&self) -> Vec<String> {
        let mut places: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        let of = |part: PartId| self.vehicle.part(part).place.as_deref().unwrap_or("");
        for &part in &self.plan.remove {
            let own = self.vehicle.part(part);
            let what = own.what.as_ref().map(|what| format!(" ({what})"));
            places.entry(of(part)).or_default().push(format!(
                "{}{}",
                own.name.value,
                what.unwrap_or_default()
            ));
        }
        for &wire in &self.plan.wires_out {
            let ends = self.vehicle.wire(wire);
            let mut at: Vec<&str> = [ends.from, ends.to]
                .into_iter()
                .filter_map(|end| self.vehicle.terminal(end).part)
                .map(of)
                .filter(|place| !place.is_empty())
                .collect();
            at.dedup();
            for place in if at.is_empty() { vec![""] } else { at } {
                places.entry(place).or_default().push(ends.id.clone());
            }
        }
        let mut lines: Vec<String> = Vec::new();
        for (place, things) in &places {
            if !place.is_empty() {
                lines.push(format!("{place}: {}.", phrase::and(things)));
            }
        }
        if let Some(things) = places.get("") {
            lines.push(format!("Place not stated: {}.", phrase::and(things)));
        }
        lines
    }
}
