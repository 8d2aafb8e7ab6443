//! The places where a draw can be: behind each fuse and no further one, and past all of them; what the record explains there,
//! and what else the parts there could draw.

use std::collections::BTreeMap;

use crate::advise::ends::wires_at;
use crate::analyze::Solved;
use crate::analyze::key_off;
use crate::model::Assumed;
use crate::model::Basis;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Law;
use crate::model::PartId;
use crate::model::Status;
use crate::model::Vehicle;
use crate::model::walk::Downstream;
use crate::model::walk::Walks;
use crate::quantity::Ohms;
use crate::quantity::Volts;
use crate::read::document::Kind;
use crate::read::document::Origin;
use crate::table::meter;

/// Share of the vehicle's own draw that is taken to flow past the fuses of a record that tells nothing of it.
const OWN_PAST: f64 = 0.33;
/// In how few lumps the rest stands: a vehicle has two or three modules that draw in their sleep, not one behind each fuse.
const OWN_LUMPS: f64 = 2.0;

/// What stands behind fuses of a vehicle.
pub(super) struct Circuits {
    /// The fuses, in the order of the record.
    pub(super) fuses: Vec<PartId>,
    /// By fuse: the nearest fuse that feeds it, by its number here.
    pub(super) parent: Vec<Option<usize>>,
    /// By fuse: what it feeds without a further fuse.
    pub(super) behind: Vec<Downstream>,
    /// By fuse: resistance between its ends.
    pub(super) ohms: Vec<Option<[Ohms; 3]>>,
    /// By fuse: it is not to be pulled, and why.
    pub(super) fixed: Vec<Option<&'static str>>,
    /// By fuse: a module, or nobody knows what, is behind it at whatever depth.
    pub(super) wakes: Vec<bool>,
    /// By place, past all fuses last.
    pub(super) places: Vec<Place>,
    /// What the vehicle draws itself, given or assumed: likely, and half its range.
    pub(super) own: (f64, f64),
    /// The assumption that was made about it.
    pub(super) assumed: Option<Assumed>,
    /// Ways of its currents.
    pub(super) walks: Walks,
}

/// A place where a draw can be.
#[derive(Clone, Debug, Default)]
pub(super) struct Place {
    /// Suspicion before any reading.
    pub(super) weight: f64,
    /// What the record explains here as it is left, the vehicle's own share apart.
    pub(super) explained: f64,
    /// Half the range of that.
    pub(super) give: f64,
    /// Share of the vehicle's own draw that is taken to be here.
    pub(super) own: f64,
    /// What parts here could draw besides.
    pub(super) possible: Vec<Possible>,
}

/// What a part could draw beyond what the record says it does.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Possible {
    pub(super) part: PartId,
    /// How it would come to draw it.
    pub(super) how: How,
    /// The current, beyond what is explained.
    pub(super) amps: f64,
    /// Half its range as a share.
    pub(super) share: f64,
}

/// How a part comes to draw what it should not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// A coil that stays energised.
    Coil,
    /// On, or awake.
    On,
    /// Awake as it is just after the key went off.
    Awake,
    /// A switch that is left so.
    Left,
    /// It draws a current that the record does not state.
    Unstated,
}

impl How {
    /// In words that follow `if it is`.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Coil => "its coil stays energised",
            Self::On => "it is on",
            Self::Awake => "it stays awake",
            Self::Left => "a switch is left so",
            Self::Unstated => "its draw is not stated",
        }
    }
}

impl Circuits {
    pub(super) fn of(vehicle: &Vehicle, solved: &Solved) -> Self {
        let feeders = key_off::feeders(vehicle);
        let fuses: Vec<PartId> = feeders
            .keys()
            .copied()
            .filter(|&part| !planned(vehicle, part))
            .collect();
        let number = |part: PartId| fuses.binary_search(&part).ok();
        let parent: Vec<Option<usize>> = fuses
            .iter()
            .map(|fuse| feeders[fuse].iter().find_map(|&part| number(part)))
            .collect();
        let walks = Walks::new(vehicle);
        let branch = |fuse: PartId| vehicle.part(fuse).branches.first().copied();
        let behind: Vec<Downstream> = fuses
            .iter()
            .map(|&fuse| {
                branch(fuse).map_or_else(Downstream::default, |at| walks.downstream(vehicle, at))
            })
            .collect();
        let ohms = fuses
            .iter()
            .map(|&fuse| match vehicle.branch(branch(fuse)?).element {
                Element::Joint(ohms) if ohms.range.low.0 > 0.0 => {
                    Some([ohms.range.low, ohms.likely, ohms.range.high])
                }
                _ => None,
            })
            .collect();
        let mut circuits = Self {
            places: vec![Place::default(); fuses.len() + 1],
            fixed: vec![None; fuses.len()],
            wakes: vec![false; fuses.len()],
            own: (0.0, 0.0),
            assumed: None,
            fuses,
            parent,
            behind,
            ohms,
            walks,
        };
        circuits.explain(vehicle, solved);
        circuits.suspect(vehicle, solved);
        circuits.share_own(vehicle, solved);
        circuits.heed(vehicle);
        circuits
    }

    /// Number of the place past all fuses.
    pub(super) fn past(&self) -> usize {
        self.fuses.len()
    }

    pub(super) fn number(&self, fuse: PartId) -> Option<usize> {
        self.fuses.binary_search(&fuse).ok()
    }

    /// The fuses that feed a place, itself first where it is a fuse.
    pub(super) fn chain(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        let first = (place < self.past()).then_some(place);
        std::iter::successors(first, |&fuse| self.parent[fuse]).take(self.past().max(1))
    }

    /// Whether a record tells anything of what a fuse feeds.
    pub(super) fn is_described(&self, vehicle: &Vehicle, fuse: usize) -> bool {
        let terminals = &vehicle.part(self.fuses[fuse]).terminals;
        terminals
            .iter()
            .all(|&terminal| wires_at(vehicle, terminal).next().is_some())
    }

    fn explain(&mut self, vehicle: &Vehicle, solved: &Solved) {
        for draw in &solved.key_off.by_part {
            if draw.only_if.is_some()
                || vehicle.own_load == Some(draw.part)
                || planned(vehicle, draw.part)
            {
                continue;
            }
            let place = draw
                .protected_by
                .first()
                .and_then(|&fuse| self.number(fuse));
            let place = place.unwrap_or(self.past());
            let half = (draw.range.high.0 - draw.range.low.0) / 2.0;
            let place = &mut self.places[place];
            place.explained += draw.current.0;
            // Nothing is known to the last per cent.
            place.give = place.give.hypot(half.max(0.05 * draw.current.0));
        }
    }

    fn suspect(&mut self, vehicle: &Vehicle, solved: &Solved) {
        let mut fused: BTreeMap<BranchId, usize> = BTreeMap::new();
        for (fuse, behind) in self.behind.iter().enumerate() {
            for &consumer in &behind.consumers {
                fused.insert(self.walks.consumers[consumer].branch, fuse);
            }
        }
        let draws: BTreeMap<PartId, f64> = solved
            .key_off
            .by_part
            .iter()
            .filter(|draw| draw.only_if.is_none())
            .map(|draw| (draw.part, draw.current.0))
            .collect();
        for consumer in &self.walks.consumers {
            if vehicle.own_load == Some(consumer.part)
                || consumer.sources.is_empty()
                || planned(vehicle, consumer.part)
            {
                continue;
            }
            let place = fused
                .get(&consumer.branch)
                .copied()
                .unwrap_or(self.fuses.len());
            let now = draws.get(&consumer.part).copied().unwrap_or(0.0);
            possible(
                vehicle,
                consumer.branch,
                now,
                &mut self.places[place].possible,
            );
        }
        for draw in &solved.key_off.by_part {
            if draw.only_if.is_none() || planned(vehicle, draw.part) {
                continue;
            }
            let place = draw
                .protected_by
                .first()
                .and_then(|&fuse| self.number(fuse));
            let place = place.unwrap_or(self.fuses.len());
            let half = (draw.range.high.0 - draw.range.low.0) / 2.0;
            let same = |known: &&mut Possible| known.part == draw.part && known.how == How::On;
            let possible = &mut self.places[place].possible;
            match possible.iter_mut().find(same) {
                // A switch left closed is likelier than a contact that has welded.
                Some(known) => known.how = How::Left,
                None => possible.push(Possible {
                    part: draw.part,
                    how: How::Left,
                    amps: draw.current.0,
                    share: half / draw.current.0.max(1e-6),
                }),
            }
        }
        for fuse in 0..self.fuses.len() {
            let has_branches = self.parent.contains(&Some(fuse));
            let mut weight = if has_branches { 0.2 } else { 1.0 };
            if solved.is_dead(vehicle, self.fuses[fuse]) {
                weight *= 0.1;
            }
            if self.is_described(vehicle, fuse)
                && self.behind[fuse].consumers.is_empty()
                && !has_branches
            {
                weight *= 0.3;
            }
            if self.places[fuse]
                .possible
                .iter()
                .any(|possible| matches!(possible.how, How::Left | How::Unstated))
            {
                weight *= 2.0;
            }
            self.places[fuse].weight = weight;
        }
        let all: f64 = self.places.iter().map(|place| place.weight).sum();
        let past = self.past();
        let named = !self.places[past].possible.is_empty();
        // Ring terminals at the posts, diodes of the alternator: about one draw in ten.
        self.places[past].weight = (0.1 * all).max(if named { 1.0 } else { 0.5 });
    }

    /// The vehicle's own draw: past all fuses of the record, and shared by those of which nobody says what they feed.
    fn share_own(&mut self, vehicle: &Vehicle, solved: &Solved) {
        self.own = if let Some(own) = vehicle.own_off {
            let half = (own.range.high.0 - own.range.low.0) / 2.0;
            let loose = match own.basis {
                Basis::Stated(Origin::Measured, _) => 0.05,
                Basis::Stated(Origin::Guess, _) => 0.5,
                _ => 0.15,
            };
            (own.likely.0, half.max(loose * own.likely.0))
        } else {
            let taken = meter::own_off();
            self.assumed = Some(Assumed {
                what: "vehicle own draw with the key off".to_owned(),
                subject: "vehicle".to_owned(),
                key: "own-load",
                low: taken.low.0,
                amount: taken.value.0,
                high: taken.high.0,
                unit: "A",
                source: taken.source.to_owned(),
            });
            let half = (taken.high.0 - taken.low.0) / 2.0;
            (f64::midpoint(taken.low.0, taken.high.0), half)
        };
        let sharing: Vec<usize> = (0..self.fuses.len())
            .filter(|&fuse| {
                self.may_feed_the_vehicle(vehicle, fuse)
                    && !solved.is_dead(vehicle, self.fuses[fuse])
            })
            .collect();
        let past = self.past();
        self.places[past].own = if sharing.is_empty() { 1.0 } else { OWN_PAST };
        for &place in &sharing {
            self.places[place].own = (1.0 - OWN_PAST) / sharing.len() as f64;
        }
    }

    fn may_feed_the_vehicle(&self, vehicle: &Vehicle, fuse: usize) -> bool {
        let status = vehicle.part(self.fuses[fuse]).status;
        matches!(status, Status::Factory | Status::Unknown) || !self.is_described(vehicle, fuse)
    }

    /// How the vehicle's own draw, shared nobody knows how, ties the places: the covariance of shares of a whole (Dirichlet), on
    /// top of what the whole is uncertain by.
    pub(super) fn shared(&self) -> Vec<Vec<f64>> {
        let (own, half) = self.own;
        let whole = (half / 2.0) * (half / 2.0);
        let each = |one: usize, other: usize| {
            let (a, b) = (self.places[one].own, self.places[other].own);
            let alike = if one == other { a } else { 0.0 };
            own * own * (alike - a * b) / (OWN_LUMPS + 1.0) + whole * a * b
        };
        (0..self.places.len())
            .map(|one| {
                (0..self.places.len())
                    .map(|other| each(one, other))
                    .collect()
            })
            .collect()
    }

    /// What must not be pulled, and what wakes modules.
    fn heed(&mut self, vehicle: &Vehicle) {
        for fuse in 0..self.fuses.len() {
            let part = vehicle.part(self.fuses[fuse]);
            let near = |part: PartId| {
                let near = &vehicle.part(part).near;
                near.iter()
                    .any(|word| matches!(word.value.as_str(), "airbag" | "seat-belt"))
            };
            let restraint = self.behind[fuse]
                .consumers
                .iter()
                .any(|&consumer| near(self.walks.consumers[consumer].part));
            self.fixed[fuse] = if near(self.fuses[fuse]) || restraint || names_restraint(part) {
                Some("it feeds the airbags or seat belts")
            } else if part.kind == Kind::FusibleLink {
                Some("a fusible link is not made to be pulled")
            } else {
                None
            };
            let module = self.behind[fuse].consumers.iter().any(|&consumer| {
                let part = vehicle.part(self.walks.consumers[consumer].part);
                let electronics =
                    |kind: &crate::source::Spanned<String>| kind.value == "electronics";
                part.kind == Kind::Controller
                    || (part.kind == Kind::Load && part.fields.text("type").is_none_or(electronics))
            });
            self.wakes[fuse] = module || self.may_feed_the_vehicle(vehicle, fuse);
        }
        for fuse in 0..self.fuses.len() {
            if self.wakes[fuse] {
                let above: Vec<usize> = self.chain(fuse).collect();
                above.into_iter().for_each(|above| self.wakes[above] = true);
            }
        }
    }
}

/// Words of a fuse for the restraint system.
fn names_restraint(part: &crate::model::Part) -> bool {
    let what = part.what.as_deref().unwrap_or_default().to_lowercase();
    let name = part.name.value.to_lowercase();
    ["airbag", "air bag", "srs", "restraint", "seat belt"]
        .iter()
        .any(|word| what.contains(word) || name == *word)
}

/// Whether a part is not in the vehicle yet that the meter is on.
fn planned(vehicle: &Vehicle, part: PartId) -> bool {
    vehicle.part(part).status == Status::Planned
}

fn possible(vehicle: &Vehicle, id: BranchId, now: f64, list: &mut Vec<Possible>) {
    let branch = vehicle.branch(id);
    let mut add = |how: How, likely: f64, low: f64, high: f64| {
        let beyond = likely - now;
        if beyond > 1e-3 && beyond > 0.02 * likely {
            list.push(Possible {
                part: branch.part,
                how,
                amps: beyond,
                share: (high - low) / (2.0 * likely),
            });
        }
    };
    let rest = vehicle.system.likely.0 * 1.05;
    match &branch.element {
        Element::Coil { ohms, .. } => {
            add(
                How::Coil,
                rest / ohms.likely.0,
                rest / ohms.range.high.0,
                rest / ohms.range.low.0,
            );
        }
        Element::Load(load) => {
            if let Some(law) = load.law {
                let (likely, low, high) = draws(law, rest, load.rated.likely);
                add(How::On, likely, low, high);
            }
            if let Some((amps, _)) = load.settles {
                add(
                    How::Awake,
                    amps.likely.0,
                    amps.range.low.0,
                    amps.range.high.0,
                );
            }
            if load.law.is_none() && load.parked.is_none() {
                list.push(Possible {
                    part: branch.part,
                    how: How::Unstated,
                    amps: 0.0,
                    share: 1.0,
                });
            }
        }
        _ => {}
    }
}

/// What a law takes from a battery at rest: likely, least, most.
fn draws(law: Law, rest: f64, rated: Volts) -> (f64, f64, f64) {
    let likely = match law {
        Law::Resistance(ohms) => rest / ohms.likely.0,
        Law::Power(watts) => watts.likely.0 / rest,
        Law::Current(Fact { likely, .. }) => likely.0,
        Law::Filament(amps) => amps.likely.0 * (rest / rated.0.max(1.0)).powf(0.55),
    };
    let (low, high) = law.spread();
    (likely, likely * low, likely * high)
}
