//! What takes current for itself, and between which bounds.

use crate::model::element::Load;
use crate::model::{Branch, BranchId, Element, Fact, Law, Vehicle};
use crate::quantity::{Amps, Scalar, Seconds};
use crate::read::document::Kind;

/// What state of itself a load is in.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(in crate::analyze) enum How {
    /// The key is on.
    Awake,
    /// The key is off and everything has settled.
    Asleep,
    /// The key has been off for so long.
    Since(Seconds),
}

/// One way in which a part takes current.
#[derive(Clone, Copy)]
pub(super) struct Taker<'v> {
    pub(super) id: BranchId,
    pub(super) branch: &'v Branch,
    /// What it takes with the key off, as multiples of what was solved: least, likely, most.
    pub(super) scale: [f64; 3],
    /// The most that it can take where nothing likely is known.
    pub(super) at_most: Amps,
    /// Fact that is not stated and that this draw hangs on.
    pub(super) missing: Option<&'static str>,
}

/// A branch that takes current for itself, and how far what it takes is known.
pub(super) fn taker(vehicle: &Vehicle, id: BranchId, how: How) -> Option<Taker<'_>> {
    let branch = vehicle.branch(id);
    let plain = |scale, at_most| Taker {
        id,
        branch,
        scale,
        at_most,
        missing: None,
    };
    match &branch.element {
        Element::Load(load) => Some(match (how, load.settles) {
            (How::Awake, _) => awake(id, branch, load),
            (How::Since(elapsed), Some((draw, lasts))) if elapsed < lasts.likely => {
                let [low, high] = shares(draw);
                plain([low, 1.0, high], draw.range.high)
            }
            _ => of_load(vehicle, id, branch, load),
        }),
        Element::Coil { ohms, .. } => {
            let [low, high] = inverse(shares(*ohms));
            Some(plain([low, 1.0, high], Amps::ZERO))
        }
        Element::Converter { standby, .. } => {
            let [low, high] = shares(*standby);
            Some(plain([low, 1.0, high], standby.range.high))
        }
        _ => None,
    }
}

/// What a load takes when it is awake, at its average where it cycles.
fn awake<'v>(id: BranchId, branch: &'v Branch, load: &'v Load) -> Taker<'v> {
    let [low, high] = load.law.map_or([0.0, 0.0], law_range);
    // Somebody reading a meter may have met it on or off.
    let low = if load.duty.likely.0 < 1.0 { 0.0 } else { low };
    Taker {
        id,
        branch,
        scale: [low, load.duty.likely.0, high],
        at_most: Amps::ZERO,
        missing: load.law.is_none().then_some("draw"),
    }
}

fn of_load<'v>(
    vehicle: &'v Vehicle,
    id: BranchId,
    branch: &'v Branch,
    load: &'v Load,
) -> Taker<'v> {
    let part = vehicle.part(branch.part);
    let Some(parked) = load.parked else {
        let sleeps = part.kind == Kind::Controller
            || (part.kind == Kind::Load
                && part
                    .fields
                    .text("type")
                    .is_some_and(|kind| kind.value == "electronics"));
        let [low, high] = load.law.map_or([0.0, 0.0], law_range);
        let duty = &load.duty;
        let low = if sleeps { 0.0 } else { low * duty.range.low.0 };
        let missing = match (load.law, sleeps) {
            (None, _) => Some("draw"),
            (Some(_), true) => Some("parked"),
            (Some(_), false) => None,
        };
        return Taker {
            id,
            branch,
            scale: [low, duty.likely.0, high * duty.range.high.0],
            at_most: Amps::ZERO,
            missing,
        };
    };
    let [low, high] = shares(parked);
    let scale = load.parked_duty.map_or([low, 1.0, high], |duty| {
        let range = duty.range;
        [low * range.low.0, duty.likely.0, high * range.high.0]
    });
    Taker {
        id,
        branch,
        scale,
        at_most: parked.range.high,
        missing: None,
    }
}

/// Least and most of a fact as shares of what is likely.
fn shares<T: Scalar>(fact: Fact<T>) -> [f64; 2] {
    let likely = fact.likely.get();
    let ends = [fact.range.low, fact.range.high];
    ends.map(|end| {
        if likely > 0.0 {
            end.get() / likely
        } else {
            1.0
        }
    })
}

/// Of what goes down as the fact goes up.
fn inverse([low, high]: [f64; 2]) -> [f64; 2] {
    [high, low].map(|share| 1.0 / share.max(f64::MIN_POSITIVE))
}

/// Least and most current of a law as shares of the likely one.
fn law_range(law: Law) -> [f64; 2] {
    match law {
        Law::Resistance(ohms) => inverse(shares(ohms)),
        Law::Power(watts) => shares(watts),
        Law::Current(amps) | Law::Filament(amps) => shares(amps),
    }
}
