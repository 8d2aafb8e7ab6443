//! What would clear a short in time: the largest smaller fuse, the thinnest thicker wire.

use crate::analyze::conductor::Conductor;
use crate::analyze::fault::Spread;
use crate::analyze::protection;
use crate::check::carries::thicker_than;
use crate::check::flow;
use crate::check::prelude::*;
use crate::model::PartId;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::WireSize;
use crate::read::document::Kind;
use crate::table::fuse;
use crate::table::opening::Opening;
use crate::table::wire;

/// A wire and what a short on it or behind it draws.
pub(super) struct Short<'c> {
    /// What the wire's current spreads from.
    pub(super) spread: &'c Spread,
    /// Where the wire begins.
    pub(super) before: usize,
    /// Where it ends.
    pub(super) place: usize,
    /// The wire.
    pub(super) id: WireId,
    /// How it heats up.
    pub(super) wire: &'c Conductor,
}

impl Short<'_> {
    /// What to do, in one sentence.
    pub(super) fn cure(&self, context: &Context<'_>, guards: &[PartId]) -> String {
        let id = &context.vehicle.wire(self.id).id;
        let smaller = self.smaller_fuse(context, guards).map(words::rated);
        let thicker = self.thicker_wire(context, guards).map(wire::label);
        match (smaller, thicker) {
            (Some(fuse), Some(size)) => format!(
                "protect {id} with a fuse of {fuse}, or run it as {size} or thicker: either is cleared in time"
            ),
            (Some(fuse), None) => format!(
                "protect {id} with a fuse of {fuse}, which clears in time; a thicker wire alone does not mend it"
            ),
            (None, Some(size)) => format!(
                "run {id} as {size} or thicker, which is cleared in time; no smaller fuse of this form both carries the load and clears it"
            ),
            (None, None) => format!(
                "protect {id} with a smaller fuse of its own near where it begins, or run it thicker and shorter: neither alone mends it here"
            ),
        }
    }

    /// The largest standard rating below the one there that carries what lasts and clears in time.
    fn smaller_fuse(&self, context: &Context<'_>, guards: &[PartId]) -> Option<Amps> {
        let &[guard] = guards else {
            return None;
        };
        let part = context.vehicle.part(guard);
        if part.kind != Kind::Fuse {
            return None;
        }
        let rating = part.stated::<Amps>("rating")?.range.high;
        let form = protection::form(part, rating);
        let lasting = flow::lasting_in_branch(context, context.passage(part)?).range;
        let heat = fuse::rerate(context.temperature(part.zone)).value.0;
        let least = lasting.high.0 / (fuse::continuous_share().value.0 * heat);
        let weakest = self
            .spread
            .amps(self.spread.places[self.place].farthest)
            .low;
        let smaller = fuse::standard_ratings(form)
            .iter()
            .filter(|one| **one < rating && one.0 >= least);
        smaller.copied().rev().find(|&amps| {
            let opening = Opening::fuse(form, amps);
            self.clears(&[opening], self.wire, weakest)
        })
    }

    /// The thinnest size above its own that the protection there protects.
    fn thicker_wire(&self, context: &Context<'_>, guards: &[PartId]) -> Option<WireSize> {
        let climate = &context.vehicle.climate;
        let openings: Result<Vec<Opening>, String> = guards
            .iter()
            .map(|&guard| {
                let part = context.vehicle.part(guard);
                protection::opening(part, climate, protection::Rating::Most)
            })
            .collect();
        let openings = openings.ok()?;
        let places = &self.spread.places;
        let (here, before) = (&places[self.place], &places[self.before]);
        let own = Interval {
            low: here.ohms.low - before.ohms.low,
            high: here.ohms.high - before.ohms.high,
        };
        thicker_than(context, self.id, self.wire)
            .into_iter()
            .find_map(|(size, wire)| {
                let saved = own.high * (1.0 - self.wire.area.0 / wire.area.0);
                let weakest = self.spread.weakest_with_less(here.farthest, saved);
                self.clears(&openings, &wire, weakest).then_some(size)
            })
    }

    fn clears(&self, by: &[Opening], wire: &Conductor, weakest: Amps) -> bool {
        let sure = by
            .iter()
            .filter_map(|opening| opening.knots().first().copied())
            .reduce(Amps::min);
        let near = self.spread.amps(self.before).high;
        sure.is_some_and(|sure| weakest >= sure && wire.guarded(by, weakest, near).is_ok())
    }
}
