//! Taking parts out: what goes dead, which wires come out from end to end, which stay because something else needs them, which
//! ends stay live, in which order the work is done, and what the vehicle is like before and after.

mod afterwards;
mod cut;
mod effect;
mod ends_first;
mod isolation;
mod least;
mod made_dead;
mod serves;
mod steps;

use std::collections::BTreeSet;

use crate::Audit;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::model::walk::Walks;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::source::Problem;
use crate::source::Sources;

pub use cut::Place;
pub use cut::PlaceKind;
pub use least::Least;
pub use least::LiveRun;
pub use least::least;
pub use steps::Step;

/// A removal, worked out.
#[derive(Clone, Debug)]
pub struct Plan {
    /// The vehicle as it is.
    pub before: Audit,
    /// The vehicle afterwards.
    pub after: Audit,
    /// The record afterwards: the same text without what is taken out.
    pub text: String,
    /// Parts that are taken out.
    pub remove: Vec<PartId>,
    /// What stays and does not work any more.
    pub goes_dead: Vec<Dead>,
    /// Sources that no longer reach the battery that starts the engine.
    pub cut_off: Vec<PartId>,
    /// What stays and draws more with the key off than before: from, to.
    pub draws_more: Vec<(PartId, Amps, Amps)>,
    /// Wires that come out, from end to end.
    pub wires_out: Vec<WireId>,
    /// Wires that what goes has used, and that stay.
    pub wires_stay: Vec<Staying>,
    /// What wires that stay land on in place of what goes.
    pub places: Vec<Place>,
    /// Terminals of what goes that the record has no wire on and takes as joined with another than the chassis: their wires
    /// are live and nobody wrote them down.
    pub unrecorded: Vec<[TerminalId; 2]>,
    /// An alternator goes, and nothing charges any more with the engine running.
    pub nothing_charges: bool,
    /// What stays, works with the key off before, and afterwards only in other positions of the key.
    pub not_parked: Vec<PartId>,
    /// Ends that are bare afterwards, and live; none of them was so before.
    pub live_ends: Vec<LiveEnd>,
    /// What has nothing to do any more.
    pub freed: Freed,
    /// The order of work.
    pub steps: Vec<Step>,
}

/// Something that stays and does not work any more. Parts are those of the vehicle before.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Dead {
    /// The part.
    pub part: PartId,
    /// Which of its supplies, outputs or senses; empty where it has one.
    pub within: String,
    /// Why.
    pub why: Why,
    /// It is the vehicle's own or the law wants it: it has to be made to work again.
    pub must_work: bool,
}

/// Why something does not work any more.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Why {
    /// Nothing feeds it.
    Feed,
    /// It has no way home.
    Return,
    /// What switches it on does so no more.
    Control,
    /// It senses nothing any more.
    Signal,
}

impl Why {
    /// As the end of a sentence about it.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Feed => "nothing feeds it any more",
            Self::Return => "it has no way home any more",
            Self::Control => "nothing switches it on any more",
            Self::Signal => "no signal reaches it any more",
        }
    }
}

/// A wire that what goes has used and that stays.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Staying {
    /// The wire, of the vehicle before.
    pub wire: WireId,
    /// What else needs it, of the vehicle before.
    pub shared_with: Vec<PartId>,
}

/// A bare end that is live.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct LiveEnd {
    /// The terminal, as the record calls it afterwards.
    pub at: String,
    /// In which positions of the key, in the order of [`crate::model::Key::ALL`].
    pub hot_in: [bool; 4],
    /// What to do about it.
    pub advice: String,
}

/// What has nothing to do any more; of the vehicle before.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Freed {
    /// Fuses, breakers and fusible links.
    pub fuses: Vec<PartId>,
    /// Feeds.
    pub feeds: Vec<PartId>,
    /// Grounds.
    pub grounds: Vec<PartId>,
    /// Switches, relays, joints and others.
    pub others: Vec<PartId>,
}

/// Why there is no plan.
#[derive(Clone, Debug)]
pub enum Refused {
    /// The text of the record does not allow it: where, and what to do.
    Text(Sources, Vec<Problem>),
    /// In words.
    Words {
        /// What is wrong.
        message: String,
        /// What to do.
        help: String,
    },
}

impl Refused {
    fn words(message: impl Into<String>, help: impl Into<String>) -> Self {
        Self::Words {
            message: message.into(),
            help: help.into(),
        }
    }
}

/// Works out what it takes to take parts out of a vehicle.
///
/// # Errors
/// What stands against it: the battery that starts the engine is among them, something that stays is fed from one of them by
/// name, or the text cannot be changed without touching other words.
pub fn plan(before: Audit, remove: &BTreeSet<PartId>) -> Result<Plan, Refused> {
    let vehicle = &before.vehicle;
    if let Some(starter) = vehicle.starter.filter(|part| remove.contains(part)) {
        return Err(Refused::words(
            format!(
                "{} starts the engine and stays",
                vehicle.part(starter).name.value
            ),
            "name the equipment that comes out; a battery that is exchanged is changed in the record by hand",
        ));
    }
    let recorded = vehicle.document.parts.len() as u32;
    if remove.is_empty() || remove.iter().any(|part| part.0 >= recorded) {
        return Err(Refused::words(
            "no part of the record is named",
            "name the parts that come out, as the record calls them",
        ));
    }
    let cut = cut::cut(vehicle, remove)?;
    let after = crate::audit(cut.document);
    let effect = effect::Effect::of(&before, &after, remove, &cut.out, &cut.places);
    let mut plan = Plan {
        text: cut.text,
        remove: remove.iter().copied().collect(),
        goes_dead: effect.dead(),
        cut_off: effect.cut_off(),
        draws_more: effect.draws_more(),
        wires_stay: effect.staying(),
        live_ends: effect.live_ends(),
        freed: effect.freed(),
        not_parked: effect.not_parked(),
        unrecorded: unrecorded(vehicle, remove),
        nothing_charges: nothing_charges(vehicle, &after.vehicle),
        wires_out: cut.out.into_iter().collect(),
        places: cut.places,
        steps: Vec::new(),
        before,
        after,
    };
    plan.steps = steps::steps(&plan);
    Ok(plan)
}

/// A consumer as any record names it: its part, and which of several it is within the part.
type Name = (String, String);

fn name_of(vehicle: &Vehicle, branch: BranchId) -> Name {
    let inside = vehicle.branch(branch);
    let part = vehicle.part(inside.part).name.value.clone();
    (part, inside.name.clone())
}

/// Whether current can reach it and come home.
fn works(consumer: &Consumer) -> bool {
    !consumer.sources.is_empty() && consumer.comes_home
}

/// Consumers that current can reach and come home from.
fn alive(vehicle: &Vehicle, walks: &Walks) -> BTreeSet<Name> {
    let alive = walks.consumers.iter().filter(|consumer| works(consumer));
    alive
        .map(|consumer| name_of(vehicle, consumer.branch))
        .collect()
}

/// Whether a part is the vehicle's own, or wanted by the law.
fn is_its_own(vehicle: &Vehicle, part: PartId) -> bool {
    let part = vehicle.part(part);
    part.status == Status::Factory || part.fields.flag("required")
}

fn unrecorded(vehicle: &Vehicle, remove: &BTreeSet<PartId>) -> Vec<[TerminalId; 2]> {
    let goes = |at: TerminalId| {
        let part = vehicle.terminal(at).part;
        part.is_some_and(|part| remove.contains(&part))
    };
    let taken = vehicle.wires.iter().filter(|wire| wire.assumed);
    let ends = taken.map(|wire| [wire.from, wire.to]);
    ends.filter(|ends| !ends.contains(&TerminalId::CHASSIS))
        .filter_map(|[from, to]| match (goes(from), goes(to)) {
            (true, false) => Some([from, to]),
            (false, true) => Some([to, from]),
            _ => None,
        })
        .collect()
}

fn nothing_charges(before: &Vehicle, after: &Vehicle) -> bool {
    let has = |vehicle: &Vehicle| {
        let mut parts = vehicle.parts.iter();
        parts.any(|part| part.kind == Kind::Alternator)
    };
    has(before) && !has(after)
}

/// Whether it takes nothing in the solution because no draw is stated.
fn has_no_draw(vehicle: &Vehicle, branch: BranchId) -> bool {
    match &vehicle.branch(branch).element {
        Element::Load(load) => load.law.is_none() && load.modes.is_empty(),
        _ => false,
    }
}

#[cfg(test)]
mod tests;
