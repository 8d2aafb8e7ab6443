//! What a removal does: the vehicle before held against the vehicle after.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::Dead;
use super::Freed;
use super::LiveEnd;
use super::Name;
use super::Place;
use super::Staying;
use super::Why;
use super::serves;
use super::serves::Serves;
use crate::Audit;
use crate::advise::ends::by_key;
use crate::advise::ends::is_bare;
use crate::advise::ends::wires_at;
use crate::model::BranchId;
use crate::model::Key;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Consumer;
use crate::model::walk::Walks;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::solve::Explored;

/// Currents below this, in ampere, are nothing.
const NOTHING: f64 = 1e-6;
/// More than this, in ampere, is told where something draws more than before.
const MORE: f64 = 0.5e-3;

/// Both vehicles, and how one finds in one what is in the other.
pub(super) struct Effect<'a> {
    before: &'a Audit,
    after: &'a Audit,
    removed: &'a BTreeSet<PartId>,
    out: &'a BTreeSet<WireId>,
    places: &'a [Place],
    walks: Walks,
    walks_after: Walks,
    /// Terminals afterwards, by label.
    terminals: BTreeMap<&'a str, TerminalId>,
    /// Consumers afterwards.
    consumers: BTreeMap<Name, usize>,
}

impl<'a> Effect<'a> {
    pub(super) fn of(
        before: &'a Audit,
        after: &'a Audit,
        removed: &'a BTreeSet<PartId>,
        out: &'a BTreeSet<WireId>,
        places: &'a [Place],
    ) -> Self {
        let walks_after = Walks::new(&after.vehicle);
        let numbered = (0..).map(TerminalId).zip(&after.vehicle.terminals);
        let consumers = walks_after.consumers.iter().enumerate();
        Self {
            terminals: numbered
                .map(|(id, terminal)| (terminal.label.as_str(), id))
                .collect(),
            consumers: consumers
                .map(|(number, consumer)| (super::name_of(&after.vehicle, consumer.branch), number))
                .collect(),
            walks: Walks::new(&before.vehicle),
            walks_after,
            before,
            after,
            removed,
            out,
            places,
        }
    }

    fn vehicle(&self) -> &'a Vehicle {
        &self.before.vehicle
    }

    fn same(&self, consumer: &Consumer) -> Option<&Consumer> {
        let name = super::name_of(self.vehicle(), consumer.branch);
        let number = self.consumers.get(&name)?;
        self.walks_after.consumers.get(*number)
    }

    /// What stays and does not work any more.
    pub(super) fn dead(&self) -> Vec<Dead> {
        let mut dead = Vec::new();
        for consumer in &self.walks.consumers {
            if self.removed.contains(&consumer.part) || !runs(self.before, &self.walks, consumer) {
                continue;
            }
            let Some(then) = self.same(consumer) else {
                continue;
            };
            if runs(self.after, &self.walks_after, then) {
                continue;
            }
            let why = if then.sources.is_empty() {
                Why::Feed
            } else if !then.comes_home {
                Why::Return
            } else {
                Why::Control
            };
            dead.push(self.dead_one(
                consumer.part,
                &self.vehicle().branch(consumer.branch).name,
                why,
            ));
        }
        for sense in serves::senses(self.vehicle()) {
            let terminal = self.vehicle().terminal(sense);
            let Some(part) = terminal.part.filter(|part| !self.removed.contains(part)) else {
                continue;
            };
            let then = self.terminals.get(terminal.label.as_str());
            let still = then.is_some_and(|&then| ever(self.after, then));
            if ever(self.before, sense) && !still {
                dead.push(self.dead_one(part, &terminal.name, Why::Signal));
            }
        }
        dead
    }

    fn dead_one(&self, part: PartId, within: &str, why: Why) -> Dead {
        Dead {
            part,
            within: within.to_owned(),
            why,
            must_work: super::is_its_own(self.vehicle(), part),
        }
    }

    /// What stays and works still, but with the key off no more: the battery that fed it then is gone.
    pub(super) fn not_parked(&self) -> Vec<PartId> {
        let parked = |audit: &Audit, consumer: &Consumer| {
            let inside = audit.vehicle.branch(consumer.branch);
            let live = |at| by_key(&audit.solved.explored, at)[Key::Off as usize];
            let most = audit.solved.explored.key_off.get(consumer.branch.index());
            let flows = most.is_some_and(|most| most.value.0.abs() > NOTHING);
            flows && (live(inside.from) || live(inside.to))
        };
        let lost = self.walks.consumers.iter().filter(|consumer| {
            let then = self.same(consumer);
            !self.removed.contains(&consumer.part)
                && parked(self.before, consumer)
                && then.is_some_and(|then| {
                    runs(self.after, &self.walks_after, then) && !parked(self.after, then)
                })
        });
        let parts: BTreeSet<PartId> = lost.map(|consumer| consumer.part).collect();
        parts.into_iter().collect()
    }

    /// Sources that reached the battery that starts the engine, and do no more.
    pub(super) fn cut_off(&self) -> Vec<PartId> {
        let reaches = |audit: &Audit, walks: &Walks, name: &str| {
            let vehicle = &audit.vehicle;
            let post = walks
                .sources
                .iter()
                .find(|source| Some(source.part) == vehicle.starter)?
                .plus;
            let source = walks
                .sources
                .iter()
                .position(|source| vehicle.part(source.part).name.value == name)?;
            Some(walks.way_up(vehicle, source, post).is_some())
        };
        let sources = self.walks.sources.iter().map(|source| source.part);
        let lost = sources.filter(|part| {
            let name = self.vehicle().part(*part).name.value.as_str();
            !self.removed.contains(part)
                && reaches(self.before, &self.walks, name) == Some(true)
                && reaches(self.after, &self.walks_after, name) != Some(true)
        });
        lost.collect()
    }

    /// What draws more with the key off than before.
    pub(super) fn draws_more(&self) -> Vec<(PartId, Amps, Amps)> {
        let now = |name: &str| {
            let draws = self.after.solved.key_off.by_part.iter();
            let own = draws.filter(|draw| {
                draw.only_if.is_none() && self.after.vehicle.part(draw.part).name.value == name
            });
            own.map(|draw| draw.current.0).sum::<f64>()
        };
        let mut more = Vec::new();
        for (id, part) in (0..).map(PartId).zip(&self.vehicle().parts) {
            if self.removed.contains(&id) {
                continue;
            }
            let draws = self.before.solved.key_off.by_part.iter();
            let own = draws.filter(|draw| draw.part == id && draw.only_if.is_none());
            let was: f64 = own.map(|draw| draw.current.0).sum();
            let is = now(&part.name.value);
            if is > was + MORE {
                more.push((id, Amps(was), Amps(is)));
            }
        }
        more
    }

    /// Wires that what goes has used, and that stay.
    pub(super) fn staying(&self) -> Vec<Staying> {
        let recorded = (0..self.vehicle().document.wires.len() as u32).map(WireId);
        let stay = recorded.filter(|wire| !self.out.contains(wire));
        stay.filter_map(|wire| {
            let through: Vec<&Consumer> = self.walks.through_wire(wire).collect();
            // What goes dead with the parts shares nothing any more.
            let still = |consumer: &&Consumer| self.same(consumer).is_some_and(super::works);
            let shared: BTreeSet<PartId> = through
                .iter()
                .copied()
                .filter(still)
                .map(|consumer| consumer.part)
                .collect();
            let ends = [self.vehicle().wire(wire).from, self.vehicle().wire(wire).to];
            let lands = ends.iter().any(|&end| {
                let part = self.vehicle().terminal(end).part;
                part.is_some_and(|part| self.removed.contains(&part))
            });
            let goes = |consumer: &&Consumer| self.removed.contains(&consumer.part);
            let used = lands || through.iter().any(goes);
            used.then(|| Staying {
                wire,
                shared_with: shared.difference(self.removed).copied().collect(),
            })
        })
        .collect()
    }

    /// Ends that are bare and live, in a position of the key in which they were not before.
    pub(super) fn live_ends(&self) -> Vec<LiveEnd> {
        let after = (&self.after.vehicle, &self.after.solved.explored);
        live_ends(self.before, after, self.places)
    }

    /// What has nothing to do any more.
    pub(super) fn freed(&self) -> Freed {
        let mut freed = Freed::default();
        let lost: BTreeSet<PartId> = self
            .out
            .iter()
            .flat_map(|&wire| {
                let wire = self.vehicle().wire(wire);
                [wire.from, wire.to]
            })
            .filter_map(|end| self.vehicle().terminal(end).part)
            .collect();
        let served = [
            Serves::of(self.vehicle(), &self.walks),
            Serves::of(&self.after.vehicle, &self.walks_after),
        ];
        for part in lost.difference(self.removed).copied() {
            let own = self.vehicle().part(part);
            let consumes = self.walks.consumers_of(part).next().is_some();
            if consumes && own.kind != Kind::Relay {
                continue;
            }
            let passes = |vehicle, walks, serves: &Serves<'_>, part| {
                self.passes(vehicle, walks, part) || signals(vehicle, serves, part)
            };
            let [before, after] = &served;
            if !passes(self.vehicle(), &self.walks, before, part)
                || self
                    .name_after(part)
                    .is_some_and(|then| passes(&self.after.vehicle, &self.walks_after, after, then))
            {
                continue;
            }
            match own.kind {
                Kind::Fuse | Kind::Breaker | Kind::FusibleLink => freed.fuses.push(part),
                Kind::Feed => freed.feeds.push(part),
                Kind::Ground => freed.grounds.push(part),
                Kind::Battery | Kind::Alternator | Kind::Charger => {}
                _ => freed.others.push(part),
            }
        }
        freed
    }

    fn name_after(&self, part: PartId) -> Option<PartId> {
        let name = &self.vehicle().part(part).name.value;
        let index = self.after.vehicle.document.part_index(name)?;
        Some(PartId(index.0))
    }

    /// Whether current of anything that is fed can run through a part.
    fn passes(&self, vehicle: &Vehicle, walks: &Walks, part: PartId) -> bool {
        let fed = |consumer: &Consumer| !consumer.sources.is_empty() && consumer.part != part;
        let own = vehicle.part(part);
        let inside = |branch: &BranchId| walks.through_branch(*branch).any(fed);
        let lands = |end: &TerminalId| {
            wires_at(vehicle, *end).any(|wire| walks.through_wire(wire).any(fed))
        };
        if own.branches.is_empty() || own.kind == Kind::Ground {
            own.terminals.iter().any(lands)
        } else {
            own.branches.iter().any(inside)
        }
    }
}

/// Whether a signal that something senses runs through a part.
fn signals(vehicle: &Vehicle, serves: &Serves<'_>, part: PartId) -> bool {
    let mut ends = vehicle.part(part).terminals.iter();
    ends.any(|&end| wires_at(vehicle, end).any(|wire| serves.sensing(wire).next().is_some()))
}

fn ever(audit: &Audit, at: TerminalId) -> bool {
    by_key(&audit.solved.explored, at).contains(&true)
}

/// Whether it takes current in any setting; without a stated draw, whether it could.
pub(super) fn runs(audit: &Audit, walks: &Walks, consumer: &Consumer) -> bool {
    let vehicle = &audit.vehicle;
    let inside = vehicle.branch(consumer.branch);
    // Between two grounds a little flows through what is not fed at all.
    let live = [inside.from, inside.to].iter().any(|&end| ever(audit, end));
    if super::has_no_draw(vehicle, consumer.branch) {
        return live && super::works(consumer) && (walks.fed(inside.from) || walks.fed(inside.to));
    }
    let explored = &audit.solved.explored;
    let most = explored.branches.get(consumer.branch.index());
    live && most.is_some_and(|most| most.value.0.abs() > NOTHING)
}

/// Ends that are bare and live, in a position of the key in which they were not before.
pub(super) fn live_ends(
    before: &Audit,
    after: (&Vehicle, &Explored),
    places: &[Place],
) -> Vec<LiveEnd> {
    let (vehicle, explored) = after;
    let mut ends = Vec::new();
    let numbered = (0..).map(TerminalId).zip(&vehicle.terminals);
    for (id, terminal) in numbered.skip(1) {
        if !is_bare(vehicle, id) {
            continue;
        }
        let hot_in = by_key(explored, id);
        let known = bare_before(before, &terminal.label);
        let new = hot_in
            .iter()
            .zip(known)
            .any(|(now, before)| *now && !before);
        if new {
            ends.push(LiveEnd {
                at: terminal.label.clone(),
                hot_in,
                advice: advice(&before.vehicle, vehicle, id, places),
            });
        }
    }
    ends
}

fn bare_before(before: &Audit, label: &str) -> [bool; Key::ALL.len()] {
    let vehicle = &before.vehicle;
    let mut numbered = (0..).map(TerminalId).zip(&vehicle.terminals);
    let found = numbered.find(|(_, terminal)| terminal.label == label);
    found
        .filter(|&(id, _)| is_bare(vehicle, id))
        .map_or_else(Default::default, |(id, _)| {
            by_key(&before.solved.explored, id)
        })
}

fn advice(before: &Vehicle, vehicle: &Vehicle, id: TerminalId, places: &[Place]) -> String {
    let terminal = vehicle.terminal(id);
    let place = places.iter().find(|place| place.name == terminal.label);
    if let Some(place) = place {
        let was: Vec<&str> = place
            .terminals
            .iter()
            .map(|&at| before.terminal(at).label.as_str())
            .collect();
        return format!(
            "cap it with a sealed end cap and mark it `was {}`; better, take the wire off at its source end",
            was.join(", ")
        );
    }
    let kind = terminal.part.map(|part| vehicle.part(part).kind);
    match kind {
        Some(Kind::Fuse | Kind::Breaker | Kind::FusibleLink) => {
            "pull the fuse, leave its place empty and cover it"
        }
        Some(Kind::Feed) => "cover the terminal, and pull its fuse where it serves nothing else",
        Some(Kind::Battery | Kind::Alternator | Kind::Charger) => {
            "tighten the post's nut again and put its cover back"
        }
        Some(Kind::Stud | Kind::Busbar) => "put its cover back",
        Some(Kind::Connector) => "plug the cavity and close the cover",
        Some(Kind::Stub) => {
            "cap it with a sealed end cap and label it, or take the wire off at its source end"
        }
        _ => "insulate the terminal, or take the part out too",
    }
    .to_owned()
}
