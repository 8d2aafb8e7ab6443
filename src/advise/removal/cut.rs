//! Which wires come out with some parts, which stay because something else needs them, and what the latter land on then.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use super::Refused;
use super::serves::Serves;
use crate::model;
use crate::model::Control;
use crate::model::Element;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::model::walk::Walks;
use crate::read::document::Document;
use crate::read::document::Kind;
use crate::read::document::PartIndex;
use crate::read::edit;
use crate::read::edit::Stand;
use crate::read::edit::TakeOut;

/// What stands in the place of terminals of parts that go.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Place {
    /// Its name in the record afterwards.
    pub name: String,
    /// What it is.
    pub kind: PlaceKind,
    /// The terminals that were there.
    pub terminals: Vec<TerminalId>,
    /// Wires that stay and land on it.
    pub wires: Vec<WireId>,
}

/// What wires land on that were on a part that goes.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum PlaceKind {
    /// Several wires are joined there.
    Joint,
    /// A ground in the place of the old one.
    Ground,
    /// One wire ends there, capped.
    End,
}

impl PlaceKind {
    const fn kind(self) -> &'static str {
        match self {
            Self::Joint => "splice",
            Self::Ground => "ground",
            Self::End => "stub",
        }
    }
}

/// What was decided.
pub(super) struct Cut {
    /// Wires that come out.
    pub(super) out: BTreeSet<WireId>,
    /// What others land on then.
    pub(super) places: Vec<Place>,
    /// The record afterwards.
    pub(super) text: String,
    /// The same, read.
    pub(super) document: Document,
}

/// Finds what comes out with these parts.
pub(super) fn cut(vehicle: &Vehicle, removed: &BTreeSet<PartId>) -> Result<Cut, Refused> {
    let walks = Walks::new(vehicle);
    let mut finder = Finder::new(vehicle, &walks, removed);
    finder.restore()?;
    finder.landing()?;
    finder.settle()
}

/// The parts come out with these wires, and every other wire stays, whether anything needs it or not.
pub(super) fn without_parts(
    vehicle: &Vehicle,
    removed: &BTreeSet<PartId>,
    out: &BTreeSet<WireId>,
) -> Result<Cut, Refused> {
    let walks = Walks::new(vehicle);
    let mut finder = Finder::new(vehicle, &walks, removed);
    finder.restore()?;
    let after = finder.after(out)?;
    Ok(Cut {
        places: finder.places(out),
        out: out.clone(),
        text: after.text,
        document: Arc::unwrap_or_clone(after.vehicle.document),
    })
}

struct Finder<'v> {
    vehicle: &'v Vehicle,
    walks: &'v Walks,
    before: Serves<'v>,
    removed: &'v BTreeSet<PartId>,
    /// Terminals of parts that go, to be joined so that the vehicle's own circuits go on.
    merged: Vec<[TerminalId; 2]>,
    out: BTreeSet<WireId>,
    /// Wires that are kept whatever else is found.
    held: BTreeSet<WireId>,
}

/// The vehicle after a removal, and which wire is which.
struct After {
    text: String,
    vehicle: Vehicle,
    /// Wires of the vehicle before that stay, in order: the n-th is the n-th afterwards.
    staying: Vec<WireId>,
}

impl<'v> Finder<'v> {
    fn new(vehicle: &'v Vehicle, walks: &'v Walks, removed: &'v BTreeSet<PartId>) -> Self {
        Self {
            before: Serves::of(vehicle, walks),
            vehicle,
            walks,
            removed,
            merged: Vec::new(),
            out: BTreeSet::new(),
            held: BTreeSet::new(),
        }
    }
}

impl Finder<'_> {
    fn recorded(&self) -> impl Iterator<Item = WireId> + use<> {
        (0..self.vehicle.document.wires.len() as u32).map(WireId)
    }

    fn goes(&self, terminal: TerminalId) -> bool {
        let part = self.vehicle.terminal(terminal).part;
        part.is_some_and(|part| self.removed.contains(&part))
    }

    fn ends(&self, wire: WireId) -> [TerminalId; 2] {
        let wire = self.vehicle.wire(wire);
        [wire.from, wire.to]
    }

    fn lands_on_removed(&self, wire: WireId) -> bool {
        self.ends(wire).into_iter().any(|end| self.goes(end))
    }

    /// Joins terminals of parts that go where one of the vehicle's own circuits runs through them at rest.
    fn restore(&mut self) -> Result<(), Refused> {
        let lost = self.lost_of_its_own()?;
        let ways = lost
            .iter()
            .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back));
        // A battery comes home whatever else is taken out.
        let homes = (0..self.walks.sources.len()).flat_map(|source| self.walks.way_home(source));
        let mut merged: Vec<[TerminalId; 2]> = Vec::new();
        for link in ways.chain(homes) {
            let model::Link::Branch(branch) = *link else {
                continue;
            };
            let inside = self.vehicle.branch(branch);
            if !self.removed.contains(&inside.part) || !self.conducts_at_rest(branch) {
                continue;
            }
            let pair = [inside.from, inside.to];
            if !merged.contains(&pair) {
                merged.push(pair);
            }
        }
        self.merged = merged;
        Ok(())
    }

    /// A pin, a resting contact, a master switch: what can be joined for good. A fuse cannot be, nor a switch.
    fn conducts_at_rest(&self, branch: model::BranchId) -> bool {
        let inside = self.vehicle.branch(branch);
        let kind = self.vehicle.part(inside.part).kind;
        match &inside.element {
            Element::Joint(_) => matches!(kind, Kind::Connector),
            Element::Contact { control, .. } => match control {
                Control::Relay { when_in, .. } => !when_in,
                Control::Attached(_) => true,
                Control::Switch { .. } => kind == Kind::Disconnect,
                _ => false,
            },
            _ => false,
        }
    }

    /// The vehicle's own consumers, and those that the law wants, that lose their feed or return.
    fn lost_of_its_own(&self) -> Result<Vec<&Consumer>, Refused> {
        let after = self.after(&BTreeSet::new())?;
        let walks = Walks::new(&after.vehicle);
        let lives = super::alive(&after.vehicle, &walks);
        let own = |consumer: &&Consumer| {
            !self.removed.contains(&consumer.part)
                && super::is_its_own(self.vehicle, consumer.part)
                && super::works(consumer)
                && !lives.contains(&super::name_of(self.vehicle, consumer.branch))
        };
        Ok(self.walks.consumers.iter().filter(own).collect())
    }

    /// Wires on parts that go: those that nothing else needs come out.
    fn landing(&mut self) -> Result<(), Refused> {
        let after = self.after(&BTreeSet::new())?;
        let walks = Walks::new(&after.vehicle);
        let serves = Serves::of(&after.vehicle, &walks);
        let numbered = after.staying.iter().zip(0..);
        for (&wire, now) in numbered {
            if !self.lands_on_removed(wire) || serves.is_needed(WireId(now)) {
                continue;
            }
            if self.vehicle.wire(wire).status == Status::Factory {
                self.held.insert(wire);
            } else {
                self.out.insert(wire);
            }
        }
        Ok(())
    }

    /// Takes out what has lost its purpose, until nothing more has.
    fn settle(mut self) -> Result<Cut, Refused> {
        let most = self.vehicle.wires.len() + 8;
        for _ in 0..most {
            let after = self.after(&self.out)?;
            if self.hold_returns(&after)? || self.peel(&after) {
                continue;
            }
            return Ok(Cut {
                places: self.places(&self.out),
                out: self.out,
                text: after.text,
                document: Arc::unwrap_or_clone(after.vehicle.document),
            });
        }
        Err(Refused::words(
            "the removal finds no end",
            "take the parts out in two steps",
        ))
    }

    /// A part without a wire on its return is read as returned to the chassis. Where that would come about by taking a wire
    /// out, the wire stays, with its other end capped: nothing may look mended that is not.
    fn hold_returns(&mut self, after: &After) -> Result<bool, Refused> {
        let known: BTreeSet<&str> = assumed(self.vehicle);
        let mut changed = false;
        for wire in after.vehicle.wires.iter().filter(|wire| wire.assumed) {
            if known.contains(wire.id.as_str()) {
                continue;
            }
            let labels = [wire.from, wire.to].map(|end| after.vehicle.terminal(end).label.as_str());
            let was_on = |wire: WireId| {
                self.ends(wire).into_iter().any(|end| {
                    end != TerminalId::CHASSIS
                        && labels.contains(&self.vehicle.terminal(end).label.as_str())
                })
            };
            let kept: Vec<WireId> = self
                .out
                .iter()
                .copied()
                .filter(|&wire| was_on(wire))
                .collect();
            if kept.is_empty() {
                return Err(Refused::words(
                    format!(
                        "without it the record would read as if there were a way from {} to {}, and there is none",
                        labels[0], labels[1]
                    ),
                    "write into the record first how that is to be joined afterwards",
                ));
            }
            for wire in kept {
                self.out.remove(&wire);
                self.held.insert(wire);
                changed = true;
            }
        }
        Ok(changed)
    }

    /// Takes out wires that fed or returned nothing but what is gone, from their dead ends; whether any was found.
    fn peel(&mut self, after: &After) -> bool {
        let walks = Walks::new(&after.vehicle);
        let serves = Serves::of(&after.vehicle, &walks);
        let mut found = Vec::new();
        for (&wire, now) in after.staying.iter().zip(0..) {
            let now = WireId(now);
            let had: BTreeSet<PartId> = self
                .walks
                .through_wire(wire)
                .filter(|consumer| !consumer.sources.is_empty())
                .map(|consumer| consumer.part)
                .chain(self.before.sensing(wire))
                .collect();
            if had.is_empty()
                || self.held.contains(&wire)
                || self.vehicle.wire(wire).status == Status::Factory
                || self.before.ties(wire)
                || serves.is_needed(now)
            {
                continue;
            }
            // What leads to something that stays and has gone dead stays with it.
            let all_gone = had.iter().all(|part| self.removed.contains(part));
            let then = after.vehicle.wire(now);
            let ends = [then.from, then.to];
            let fed = ends
                .iter()
                .any(|&end| end != TerminalId::CHASSIS && walks.fed(end));
            if (all_gone || fed) && ends.iter().any(|&end| serves.leads_nowhere(end, now)) {
                found.push(wire);
            }
        }
        self.out.extend(&found);
        !found.is_empty()
    }

    /// The vehicle without the parts that go and these wires.
    fn after(&self, out: &BTreeSet<WireId>) -> Result<After, Refused> {
        let document = &self.vehicle.document;
        let take = TakeOut {
            parts: self.removed.iter().map(|part| PartIndex(part.0)).collect(),
            wires: out.iter().map(|wire| wire.index()).collect(),
            stands: self.stands(out),
        };
        let text = edit::without(document, &take)
            .map_err(|problems| Refused::Text(document.sources.clone(), problems))?;
        let read = edit::read_again(document, &text)
            .map_err(|fault| Refused::Text(fault.sources, fault.problems))?;
        let staying: Vec<WireId> = self.recorded().filter(|wire| !out.contains(wire)).collect();
        if read.wires.len() != staying.len() {
            return Err(Refused::words(
                "the changed record does not read as it should",
                "write the wires of these parts one by one with `from` and `to`, then try again",
            ));
        }
        Ok(After {
            text,
            vehicle: model::build(Arc::new(read)),
            staying,
        })
    }

    fn stands(&self, out: &BTreeSet<WireId>) -> BTreeMap<(PartIndex, u16), Stand> {
        let mut stands = BTreeMap::new();
        for place in self.places(out) {
            let owner = place
                .terminals
                .first()
                .and_then(|&at| self.vehicle.terminal(at).part);
            let stand = Stand {
                name: place.name.clone(),
                kind: place.kind.kind(),
                keys: owner.map_or_else(String::new, |owner| self.keys(&place, owner)),
            };
            for &terminal in &place.terminals {
                let Some(part) = self.vehicle.terminal(terminal).part else {
                    continue;
                };
                let own = &self.vehicle.part(part).terminals;
                let number = own.iter().position(|&other| other == terminal);
                if let Some(number) = number {
                    stands.insert((PartIndex(part.0), number as u16), stand.clone());
                }
            }
        }
        stands
    }

    /// Where it is, and what was there.
    fn keys(&self, place: &Place, owner: PartId) -> String {
        let labels: Vec<&str> = place
            .terminals
            .iter()
            .map(|&at| self.vehicle.terminal(at).label.as_str())
            .collect();
        let mut keys = match place.kind {
            PlaceKind::End => format!(
                "end: capped, what: {:?}",
                format!("wire that was on {}", labels.join(", "))
            ),
            PlaceKind::Joint | PlaceKind::Ground => {
                format!("what: {:?}", format!("in place of {}", labels.join(", ")))
            }
        };
        let part = self.vehicle.part(owner);
        if let Some(at) = &part.place {
            keys.push_str(&format!(", place: {at:?}"));
        }
        if let Some(zone) = part.fields.text("zone") {
            keys.push_str(&format!(", zone: {}", zone.value));
        }
        keys
    }

    /// What the wires land on that stay and were on parts that go.
    fn places(&self, out: &BTreeSet<WireId>) -> Vec<Place> {
        let mut places: Vec<Place> = Vec::new();
        for wire in self.recorded().filter(|wire| !out.contains(wire)) {
            for end in self.ends(wire) {
                if !self.goes(end) {
                    continue;
                }
                let group = self.group(end);
                match places.iter_mut().find(|place| place.terminals == group) {
                    Some(place) if place.wires.contains(&wire) => {}
                    Some(place) => place.wires.push(wire),
                    None => places.push(Place {
                        name: String::new(),
                        kind: PlaceKind::End,
                        terminals: group,
                        wires: vec![wire],
                    }),
                }
            }
        }
        let mut taken: BTreeSet<String> = BTreeSet::new();
        for part in &self.vehicle.parts {
            taken.insert(part.name.value.clone());
        }
        for place in &mut places {
            let terminal = self.vehicle.terminal(place.terminals[0]);
            let owner = terminal.part.map(|part| self.vehicle.part(part));
            let is_ground = owner.is_some_and(|part| part.kind == Kind::Ground);
            let held = place.wires.iter().all(|wire| self.held.contains(wire));
            place.kind = if is_ground && !held {
                PlaceKind::Ground
            } else if place.wires.len() > 1 {
                PlaceKind::Joint
            } else {
                PlaceKind::End
            };
            let ending = match place.kind {
                PlaceKind::Joint => "joint",
                PlaceKind::Ground => "ground",
                PlaceKind::End => "end",
            };
            place.name = free(&terminal.label, ending, &mut taken);
        }
        places
    }

    /// Terminals that are joined with this one.
    fn group(&self, terminal: TerminalId) -> Vec<TerminalId> {
        let mut group = BTreeSet::from([terminal]);
        loop {
            let size = group.len();
            for pair in &self.merged {
                if pair.iter().any(|end| group.contains(end)) {
                    group.extend(pair);
                }
            }
            if group.len() == size {
                return group.into_iter().collect();
            }
        }
    }
}

/// Joints that are taken for granted.
fn assumed(vehicle: &Vehicle) -> BTreeSet<&str> {
    let assumed = vehicle.wires.iter().filter(|wire| wire.assumed);
    assumed.map(|wire| wire.id.as_str()).collect()
}

/// `K1-87-end`: a name that no part has.
fn free(label: &str, ending: &str, taken: &mut BTreeSet<String>) -> String {
    let words = label.replace('+', "plus");
    let words = match words.strip_suffix(".-") {
        Some(part) => format!("{part}.minus"),
        None => words,
    };
    let name = format!("{}-{ending}", words.replace('.', "-"));
    let mut numbered = (2..).map(|number| format!("{name}-{number}"));
    let found = if taken.contains(&name) {
        numbered.find(|name| !taken.contains(name))
    } else {
        None
    };
    let name = found.unwrap_or(name);
    taken.insert(name.clone());
    name
}
