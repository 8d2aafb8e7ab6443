//! A short at the far end of a wire that its protection does not clear before the wire burns.

#[cfg(test)]
mod cases;

use std::collections::BTreeSet;

use super::bare::is_sheathed;
use super::bare::limit;
use crate::analyze::conductor::Conductor;
use crate::analyze::conductor::Harm as Burns;
use crate::analyze::fault::Spread;
use crate::analyze::protection;
use crate::analyze::protection::Rating;
use crate::check::carries::Heats;
use crate::check::carries::heats;
use crate::check::clearing;
use crate::check::prelude::*;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::PartId;
use crate::model::Status;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Ohms;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::table::adiabatic;
use crate::table::copper;
use crate::table::opening::Opening;
use crate::table::wire;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "short-not-cleared",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a short at the far end of a wire is not cleared before the wire burns",
        page: include_str!("../../../docs/checks/short-not-cleared.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let taps = taps(context);
    let mut verdicts = Vec::new();
    for spread in &context.faults.sources {
        let mut told: BTreeSet<usize> = BTreeSet::new();
        for place in 1..spread.places.len() {
            let Some((before, id)) = spread.wire(place) else {
                // What a part lets through is no better off than the wire before it.
                inherit(spread, place, &mut told);
                continue;
            };
            if spread.places[place].guard.is_none() {
                continue;
            }
            let wire = context.vehicle.wire(id);
            let left_out = wire.assumed
                || wire.is_resistor()
                || wire.status == Status::Factory
                || context.walks.is_cranking(id)
                || taps.contains(&id);
            if left_out {
                inherit(spread, place, &mut told);
                continue;
            }
            let short = Short {
                context,
                spread,
                before,
                place,
                id,
            };
            verdicts.push(short.judge(&mut told));
        }
    }
    verdicts.into_iter().flatten().collect()
}

/// A wire behind one where nothing is sure to open has the same fault: it is told there.
fn inherit(spread: &Spread, place: usize, told: &mut BTreeSet<usize>) {
    if let Some((before, _)) = spread.places[place].from
        && spread.places[place].guard == spread.places[before].guard
        && told.contains(&before)
    {
        told.insert(place);
    }
}

/// Short taps to nothing but the next protection.
fn taps(context: &Context<'_>) -> BTreeSet<WireId> {
    let kinds = &[Kind::Fuse, Kind::Breaker, Kind::FusibleLink, Kind::Feed];
    let mut taps = BTreeSet::new();
    for (_, part) in context.parts_of(kinds) {
        let Some(passage) = context.passage(part) else {
            continue;
        };
        for behind in context.walks.downstream(context.vehicle, passage).wires {
            let sheathed = is_sheathed(context.vehicle.wire(behind.wire));
            let limit = Interval::exact(limit(context, sheathed));
            if let Some(tap) = behind.tap
                && tap.unmeasured.is_empty()
                && weigh(tap.length, limit) == Weighed::Within
            {
                taps.insert(behind.wire);
            }
        }
    }
    taps
}

/// One wire, as the current of one source gets to it.
struct Short<'c, 'a> {
    context: &'c Context<'a>,
    spread: &'c Spread,
    before: usize,
    place: usize,
    id: WireId,
}

impl Short<'_, '_> {
    fn judge(&self, told: &mut BTreeSet<usize>) -> Option<Verdict> {
        let vehicle = self.context.vehicle;
        let guards = self.spread.guards(vehicle, self.place);
        let farthest = self.spread.places[self.place].farthest;
        let mut missing = self.spread.missing(vehicle, farthest);
        let mut by = Vec::new();
        for &guard in &guards {
            match protection::opening(vehicle.part(guard), &vehicle.climate, Rating::Most) {
                Ok(opening) => by.push(opening),
                Err(lacking) => missing.push(lacking),
            }
        }
        let heats = match heats(self.context, self.id) {
            Ok(heats) => Some(heats),
            Err(lacking) => {
                missing.extend(lacking);
                None
            }
        };
        let Some(heats) = heats.filter(|_| missing.is_empty()) else {
            return Some(self.gap(missing));
        };
        let near = self.spread.amps(self.before).high;
        let own = self.spread.amps(self.place).low;
        let sure = by
            .iter()
            .filter_map(|opening| opening.knots().first().copied())
            .reduce(Amps::min)?;
        // Where no more can flow than the wire carries, limited by its source or by what stands ahead of it, nothing has to open.
        if near <= heats.worst.lasting() {
            inherit(self.spread, self.place, told);
            return Some(Verdict::NoneShown);
        }
        if own < sure {
            let known = self.spread.places[self.before].guard
                == self.spread.places[self.place].guard
                && told.contains(&self.before);
            told.insert(self.place);
            return (!known).then(|| self.never(&guards, &by, sure, own, &heats));
        }
        // Where a short farther out opens nothing it is told there; here it is the heat that counts.
        let least = self.spread.amps(farthest).low.max(sure);
        match heats.worst.guarded(&by, least, near) {
            Ok(()) => Some(Verdict::NoneShown),
            Err(_) => match heats.best.guarded(&by, least, near) {
                Ok(()) => Some(self.gap(heats.missing)),
                Err(harm) => Some(self.late(&guards, &by, sure, harm, &heats)),
            },
        }
    }

    fn gap(&self, missing: Vec<String>) -> Verdict {
        Gap::of(missing).wire(self.id).shown()
    }

    fn finding(&self, guards: &[PartId], message: String, label: &str) -> Finding {
        let vehicle = self.context.vehicle;
        let mut finding = Finding::new(self.context.wire_to(self.id), message)
            .label(label)
            .wire(self.id)
            .parts(guards.iter().copied());
        for &guard in guards.iter().take(3) {
            finding = finding.also(vehicle.part(guard).at("rating"), "has to clear it");
        }
        finding.also(self.context.wire_at(self.id, "size"), "the wire")
    }

    /// What mends it whichever insulation the wire has.
    fn cure(&self, guards: &[PartId], heats: &Heats) -> String {
        let short = clearing::Short {
            spread: self.spread,
            before: self.before,
            place: self.place,
            id: self.id,
            wire: &heats.worst,
        };
        short.cure(self.context, guards)
    }

    /// Nothing is sure to open.
    fn never(
        &self,
        guards: &[PartId],
        by: &[Opening],
        sure: Amps,
        own: Amps,
        heats: &Heats,
    ) -> Verdict {
        let vehicle = self.context.vehicle;
        let id = &vehicle.wire(self.id).id;
        let behind = self.behind();
        let names = self.names(guards);
        let source = self.context.name(self.spread.supply.part);
        let rest = match behind.len() {
            0 => String::new(),
            1 => ", and 1 wire behind it is no better off".to_owned(),
            more => format!(", and {more} wires behind it are no better off"),
        };
        let finding = self
            .finding(
                guards,
                format!(
                    "a short at the far end of {id} draws {} from a weak {source}, and {names} may never open at that{rest}: it is sure to only from {}",
                    words::show(own),
                    words::show(sure)
                ),
                "a short here is never cleared",
            )
            .wires(behind)
            .measured(own, sure, sources(by))
            .help(self.cure(guards, heats));
        self.steps(finding, by, &heats.best).shown()
    }

    /// It opens, but too late for the wire.
    fn late(
        &self,
        guards: &[PartId],
        by: &[Opening],
        sure: Amps,
        harm: Burns,
        heats: &Heats,
    ) -> Verdict {
        let wire = &heats.best;
        let id = &self.context.vehicle.wire(self.id).id;
        let names = self.names(guards);
        let amps = words::show(harm.amps());
        let (message, value, limit) = match harm {
            Burns::Short { opens, stands, .. } => (
                format!(
                    "a short on {id} or behind it can draw {amps}, at which {names} may take {} to open and {id} ({}) stands {}",
                    words::show(opens),
                    self.named(wire),
                    words::show(stands)
                ),
                opens,
                stands,
            ),
            Burns::Long { opens, reaches, .. } => (
                format!(
                    "a short on {id} or behind it can draw {amps}, at which {names} may take {} to open; by then {}",
                    words::show(opens),
                    // No heat is reckoned as lost: beyond the melting point the figure means nothing more.
                    if reaches < copper::melting_point().value {
                        format!(
                            "{id} ({}) is at {:.0} C and stands {:.0} C",
                            self.named(wire),
                            reaches.0,
                            wire.class.0
                        )
                    } else {
                        format!("the copper of {id} ({}) has melted", self.named(wire))
                    }
                ),
                opens,
                adiabatic::adiabatic_up_to().value,
            ),
            Burns::NotSure(own) => return self.never(guards, by, sure, own, heats),
        };
        let end = adiabatic::final_temperature(wire.class);
        let mut source = sources(by);
        if let Some(end) = end {
            source = format!("{source}; {}", end.source);
        }
        let finding = self
            .finding(guards, message, "burns before it is cleared")
            .measured(value, limit, source)
            .help(self.cure(guards, heats));
        self.steps(finding, by, wire).shown()
    }

    /// The sum, so that a reader can do it again.
    fn steps(&self, finding: Finding, by: &[Opening], wire: &Conductor) -> Finding {
        let spread = self.spread;
        let supply = &spread.supply;
        let here = &spread.places[self.place];
        let far = spread.amps(self.place);
        let near = spread.amps(self.before);
        let five = adiabatic::adiabatic_up_to();
        let mut finding = finding
            .step(
                format!(
                    "weak: {} / ({} battery + {} chassis and way home + {} way there) = {}",
                    words::show(supply.volts.low - here.drop),
                    words::show(supply.inside.high),
                    words::show(supply.home.high),
                    words::show(here.ohms.high),
                    words::show(far.low)
                ),
                "Ohm's law, the resistances of the record and its defaults",
            )
            .step(
                format!(
                    "strong, everything cold: {} at the far end, {} where the wire begins",
                    words::show(far.high),
                    words::show(near.high)
                ),
                "the same",
            );
        for (opening, amps) in by.iter().flat_map(|one| [(one, far.low), (one, far.high)]) {
            let latest = opening.latest(amps);
            let says = if opens_at_all(latest) {
                format!("opens within {}", words::show(latest))
            } else {
                "is not sure to open".to_owned()
            };
            finding = finding.step(
                format!("at {} it {says}", words::show(amps)),
                opening.sources().join(", "),
            );
        }
        let start = wire.start();
        let end = wire.end();
        let k = adiabatic::k(start, end).unwrap_or(0.0);
        finding = finding
            .step(
                format!(
                    "{:.0} C around it, {} in use: {:.0} C when the fault begins",
                    wire.ambient.0,
                    words::show(wire.load),
                    start.0
                ),
                "rise with the square of the current from the ampacity point",
            )
            .step(
                format!(
                    "k = {k:.0} A s^0.5/mm2 from {:.0} C to {:.0} C; (k x {:.2} mm2)^2 = {:.0} A2s, at {} for {}",
                    start.0,
                    end.0,
                    wire.area.0,
                    wire.heat_to(end),
                    words::show(far.low),
                    words::show(wire.stands(far.low))
                ),
                adiabatic::final_temperature(wire.class).map_or("", |end| end.source),
            )
            .step(
                format!(
                    "beyond {} the sum above means nothing: held against {:.0} C for long, which {} brings",
                    words::show(five.value),
                    wire.class.0,
                    words::show(wire.lasting())
                ),
                five.source,
            );
        let within = by
            .iter()
            .filter_map(|one| one.sure_within(five.value))
            .reduce(Amps::min);
        if let Some(within) = within {
            let left = Ohms(
                (supply.volts.low - here.drop).0 / within.0
                    - (supply.inside.high + supply.home.high + here.ohms.high).0,
            );
            let says = if left.0 > 0.0 {
                format!("a fault of up to {} still clears in 5 s", words::show(left))
            } else {
                "not even a bolted short clears in 5 s".to_owned()
            };
            finding = finding.step(
                format!("it takes {} to clear in 5 s: {says}", words::show(within)),
                "Ohm's law",
            );
        }
        finding
    }

    /// Wires behind this one up to the next protection, in which a short is weaker still, and which do not carry it for long.
    fn behind(&self) -> Vec<WireId> {
        let places = &self.spread.places;
        let mut inside = vec![false; places.len()];
        inside[self.place] = true;
        let mut found = Vec::new();
        for place in self.place + 1..places.len() {
            let Some((before, _)) = places[place].from else {
                continue;
            };
            if !inside[before] || places[place].guard != places[self.place].guard {
                continue;
            }
            inside[place] = true;
            // Of one that lacks a fact nothing is said but that.
            if let Some((before, wire)) = self.spread.wire(place)
                && let Ok(heats) = heats(self.context, wire)
                && self.spread.amps(before).high > heats.worst.lasting()
            {
                found.push(wire);
            }
        }
        found
    }

    fn names(&self, guards: &[PartId]) -> String {
        let names: Vec<&str> = guards
            .iter()
            .map(|&guard| self.context.name(guard))
            .collect();
        match names.as_slice() {
            [one] => (*one).to_owned(),
            many => format!("the first of {}", words::list(many, 4)),
        }
    }

    fn named(&self, conductor: &Conductor) -> String {
        let of = self.context.vehicle.wire(self.id);
        let size = of.size.map_or_else(String::new, wire::label);
        let even = if of.insulation.is_some() {
            ""
        } else {
            "even with "
        };
        format!("{size}, {even}{:.0} C insulation", conductor.class.0)
    }
}

fn opens_at_all(time: Seconds) -> bool {
    time.0.is_finite()
}

fn sources(by: &[Opening]) -> String {
    let mut sources: Vec<&str> = Vec::new();
    for source in by.iter().flat_map(Opening::sources) {
        if !sources.contains(source) {
            sources.push(source);
        }
    }
    sources.join(", ")
}
