//! Where an unknown draw is: what the readings say, which fuses are suspected, what to do next, and once it is found, which
//! part behind the fuse it can be.

pub mod belief;
mod circuits;
mod contradict;
mod currents;
mod factor;
mod latch;
mod located;
mod log;
pub mod plan;
mod say;
mod step;
mod words;

pub use circuits::How;
pub use located::Candidate;
pub use located::Located;
pub use log::Line;
pub use log::Of;
pub use log::Trouble;
pub use log::TroubleKind;
pub use say::left;
pub use step::Next;

use crate::analyze::Solved;
use crate::analyze::reading;
use crate::model::Assumed;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::quantity::Interval;
use belief::Beliefs;
use circuits::Circuits;
use log::Log;

/// What is believed of one place.
#[derive(Clone, PartialEq, Debug)]
pub struct Suspect {
    /// The fuse that it is behind, with no further fuse between; nothing for what flows past all fuses.
    pub fuse: Option<PartId>,
    /// How likely an unknown draw is there; there may be two, so that these may add up to more than one.
    pub probability: f64,
    /// Its share of the suspicion, which adds up to one; nothing where it is found.
    pub share: Option<f64>,
    /// What it draws beyond what the record explains, if it is there.
    pub current: Interval<Amps>,
    /// Found: nothing else fits the readings.
    pub found: bool,
}

/// The whole current against what the record explains of it.
#[derive(Clone, PartialEq, Debug)]
pub struct Balance {
    /// The reading's number.
    pub reading: usize,
    /// Fuses that were out.
    pub out: Vec<PartId>,
    /// What was measured.
    pub measured: Amps,
    /// Its range.
    pub measured_range: Interval<Amps>,
    /// What the record explains, the vehicle's own draw included.
    pub explained: Amps,
    /// Its range.
    pub explained_range: Interval<Amps>,
}

impl Balance {
    /// What is left over.
    #[must_use]
    pub fn unexplained(&self) -> Amps {
        self.measured - self.explained
    }
}

/// How far the hunt is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stage {
    /// There is no reading of the whole current that can be used, or fuses were out from the first one on and the
    /// record explains what is left.
    NotMeasured,
    /// The last reading was taken with something awake.
    Awake,
    /// The last reading contradicts another.
    Contradicted,
    /// The record explains all that the meter shows.
    Explained,
    /// The meter shows less than the record says is drawn.
    Less,
    /// Somewhere behind several fuses, or past them.
    Hunting,
    /// At one place.
    Located,
}

/// Everything about a hunt.
#[derive(Clone, PartialEq, Debug)]
pub struct Hunt {
    /// How far it is.
    pub stage: Stage,
    /// What to do next and why, in one sentence.
    pub say: String,
    /// What that asks of the meter and of whoever holds it.
    pub heed: Vec<String>,
    /// The whole current; nothing where no reading of it can be used.
    pub balance: Option<Balance>,
    /// The readings, in the order of the record.
    pub readings: Vec<Line>,
    /// Readings that cannot be used or reconciled.
    pub troubles: Vec<Trouble>,
    /// Places with more than a trace of suspicion, the likeliest first.
    pub suspects: Vec<Suspect>,
    /// How likely it is that nothing unknown is drawn beyond what was found.
    pub nothing_more: f64,
    /// The next handling and reading; nothing where there is none to take.
    pub next: Option<Next>,
    /// What was found, the largest first.
    pub located: Vec<Located>,
    /// Fuses across which nothing showed and behind which the draw can hide all the same, with the least current that would
    /// have shown for sure.
    pub unproven: Vec<(PartId, Amps)>,
    /// What has to be used once before measuring, so that what holds itself in is in.
    pub use_first: Vec<String>,
    /// Values that were taken because the record does not give them.
    pub assumed: Vec<Assumed>,
    /// The line to add for a reading that is to be taken again, its value left open.
    pub again: Option<String>,
}

impl Hunt {
    /// The line to add under `readings:` for what is to be read next, its value left open.
    #[must_use]
    pub fn asked(&self) -> String {
        let next = self.next.as_ref().map(|next| next.line.clone());
        next.or_else(|| self.again.clone())
            .unwrap_or_else(|| "- {after: 10 min, current: ? mA}".to_owned())
    }

    /// Whether there is something to handle or to read again.
    #[must_use]
    pub fn goes_on(&self) -> bool {
        match self.stage {
            Stage::NotMeasured | Stage::Awake | Stage::Contradicted => true,
            Stage::Hunting => self.next.is_some(),
            Stage::Explained | Stage::Less | Stage::Located => false,
        }
    }
}

/// Below this share a suspicion is not told.
const TRACE: f64 = 0.01;

/// Follows a hunt as far as the record's readings lead.
#[must_use]
pub fn hunt(vehicle: &Vehicle, solved: &Solved) -> Hunt {
    let readings = reading::readings(vehicle);
    let expected = reading::expected(vehicle, &readings);
    let circuits = Circuits::of(vehicle, solved);
    let mut log = Log::of(vehicle, &circuits, &readings, &expected);
    share_own_draw(vehicle, &circuits, &mut log);
    let places = places(&circuits);
    let shared = circuits.shared();
    let told = told(&circuits, &log);
    odd_ones(&places, &told, &shared, &mut log);
    let beliefs = belief::weigh(&places, &told, &shared);
    let balance = balance(&circuits, &log);
    let unsure = unsure(&circuits, &log, &beliefs);
    let stage = stage(&log, balance.as_ref(), &beliefs, unsure);
    let case = Case {
        vehicle,
        solved,
        circuits: &circuits,
        log: &log,
        beliefs: &beliefs,
        balance: balance.as_ref(),
        stage,
        unsure,
        out: readings
            .last()
            .map_or_else(Vec::new, |last| last.out.iter().copied().collect()),
        readings: &readings,
    };
    let use_first = latch::use_first(vehicle, solved);
    let next = step::next(&case);
    let located = match stage {
        Stage::Hunting | Stage::Located => located::located(&case),
        _ => Vec::new(),
    };
    let say = say::say(&case, next.as_ref(), &located, &use_first);
    let heed = say::heed(&case, next.as_ref());
    let unproven = unproven(&case);
    let suspects = match stage {
        Stage::Hunting | Stage::Located | Stage::Contradicted | Stage::Awake => {
            suspects(&circuits, &beliefs)
        }
        Stage::NotMeasured | Stage::Explained | Stage::Less => Vec::new(),
    };
    Hunt {
        stage,
        say,
        heed,
        suspects,
        nothing_more: beliefs.nothing_more,
        next,
        located,
        unproven,
        use_first,
        assumed: assumed(vehicle, &circuits, &log),
        again: again(&case),
        readings: log.lines,
        troubles: log.troubles,
        balance,
    }
}

/// What all the sentences are made from.
struct Case<'a> {
    vehicle: &'a Vehicle,
    solved: &'a Solved,
    circuits: &'a Circuits,
    log: &'a Log,
    beliefs: &'a Beliefs,
    balance: Option<&'a Balance>,
    stage: Stage,
    /// A fuse that was found by its millivolts alone, which leave room for a second draw: pulling it tells.
    unsure: Option<usize>,
    /// Fuses that are out now.
    out: Vec<PartId>,
    readings: &'a [reading::Taken],
}

impl Case<'_> {
    fn name(&self, part: PartId) -> &str {
        &self.vehicle.part(part).name.value
    }

    fn names(&self, parts: &[PartId]) -> Vec<&str> {
        parts.iter().map(|&part| self.name(part)).collect()
    }

    /// What the record explains at a place, with the share of the vehicle's own draw.
    fn explained(&self, place: usize) -> f64 {
        let of = &self.circuits.places[place];
        of.explained + of.own * self.circuits.own.0
    }

    /// Places that are dark with these fuses out.
    fn dark(&self, out: &[PartId]) -> Vec<bool> {
        let hidden = |place: usize| {
            let mut above = self.circuits.chain(place);
            above.any(|fuse| out.contains(&self.circuits.fuses[fuse]))
        };
        (0..self.circuits.places.len()).map(hidden).collect()
    }
}

/// The solver puts the vehicle's own draw at the battery; here it is shared by the fuses it may flow through.
fn share_own_draw(vehicle: &Vehicle, circuits: &Circuits, log: &mut Log) {
    let stated = vehicle.own_off.map_or(0.0, |own| own.likely.0);
    for at in 0..log.lines.len() {
        let sees = sees(circuits, &log.lines[at]);
        let share: f64 = circuits
            .places
            .iter()
            .zip(&sees)
            .filter(|(_, sees)| **sees)
            .map(|(place, _)| place.own)
            .sum();
        let line = &mut log.lines[at];
        let solved = if line.of == Of::Total { stated } else { 0.0 };
        line.explained = Amps(line.explained.0 - solved + share * circuits.own.0);
    }
}

/// The places whose draw is in a reading.
fn sees(circuits: &Circuits, line: &Line) -> Vec<bool> {
    let lit = |place: usize| {
        !circuits
            .chain(place)
            .any(|fuse| line.out.contains(&circuits.fuses[fuse]))
    };
    let number = line.of.fuse().and_then(|fuse| circuits.number(fuse));
    (0..circuits.places.len())
        .map(|place| match line.of {
            Of::Total => lit(place),
            Of::Across(_) | Of::Wire(_) => {
                lit(place) && circuits.chain(place).any(|fuse| Some(fuse) == number)
            }
            Of::Other => false,
        })
        .collect()
}

fn places(circuits: &Circuits) -> Vec<belief::Place> {
    let known = |place: &circuits::Place| {
        let with_current = place.possible.iter().filter(|one| one.amps > 0.0);
        with_current.map(|one| (one.amps, one.share)).collect()
    };
    circuits
        .places
        .iter()
        .map(|place| belief::Place {
            weight: place.weight,
            spread: place.give / 2.0,
            possible: known(place),
        })
        .collect()
}

fn told(circuits: &Circuits, log: &Log) -> Vec<belief::Reading> {
    log.used()
        .into_iter()
        .map(|at| {
            let (line, give) = (&log.lines[at], log.gives[at]);
            belief::Reading {
                sees: sees(circuits, line),
                left: line.likely.0 - line.explained.0,
                own: give.own,
                scale: give.scale,
                meter: give.meter,
            }
        })
        .collect()
}

/// Readings that fit none of the others are told, where no plainer contradiction was.
fn odd_ones(
    places: &[belief::Place],
    told: &[belief::Reading],
    shared: &[Vec<f64>],
    log: &mut Log,
) {
    const FAR: f64 = 4.5;
    if told.len() < 3 || !log.troubles.is_empty() {
        return;
    }
    let off = belief::misfits(places, told, shared);
    let used = log.used();
    let worst = (0..used.len()).max_by(|&a, &b| off[a].abs().total_cmp(&off[b].abs()));
    if let Some(worst) = worst.filter(|&worst| off[worst].abs() > FAR) {
        let number = log.lines[used[worst]].number;
        log.troubles.push(Trouble {
            reading: number,
            against: None,
            kind: TroubleKind::Contradicts,
            message: format!(
                "reading {number} fits none of the others: it is {} than they leave room for",
                if off[worst] > 0.0 { "more" } else { "less" }
            ),
        });
    }
}

fn balance(circuits: &Circuits, log: &Log) -> Option<Balance> {
    let totals = log.used().into_iter().map(|at| &log.lines[at]);
    let totals = totals.filter(|line| line.of == Of::Total);
    // The last of those with the fewest fuses out.
    let line = totals.min_by_key(|line| (line.out.len(), std::cmp::Reverse(line.number)))?;
    let sees = sees(circuits, line);
    let seen = circuits.places.iter().zip(&sees).filter(|(_, sees)| **sees);
    let (mut give, mut own) = (0.0f64, 0.0);
    for (place, _) in seen {
        give = give.hypot(place.give);
        own += place.own;
    }
    let give = give.hypot(own * circuits.own.1);
    Some(Balance {
        reading: line.number,
        out: line.out.clone(),
        measured: line.likely,
        measured_range: line.current,
        explained: line.explained,
        explained_range: Interval {
            low: Amps((line.explained.0 - give).max(0.0)),
            high: Amps(line.explained.0 + give),
        },
    })
}

/// From so much of the belief on there is nothing more to find.
const SURE: f64 = 0.9;

/// A found fuse that was never out while the total was read, where the total may hold more than it.
fn unsure(circuits: &Circuits, log: &Log, beliefs: &Beliefs) -> Option<usize> {
    if !(0.5..SURE).contains(&beliefs.nothing_more) {
        return None;
    }
    let used = log.used();
    beliefs.found.iter().copied().find(|&place| {
        place < circuits.past()
            && circuits.fixed[place].is_none()
            && !used.iter().any(|&at| {
                let line = &log.lines[at];
                line.of == Of::Total && line.out.contains(&circuits.fuses[place])
            })
    })
}

fn stage(log: &Log, balance: Option<&Balance>, beliefs: &Beliefs, unsure: Option<usize>) -> Stage {
    let last = log.last();
    let trouble = |line: &Line, kind: TroubleKind| {
        let mut troubles = log.troubles.iter();
        troubles.any(|trouble| trouble.reading == line.number && trouble.kind == kind)
    };
    if last.is_some_and(|last| trouble(last, TroubleKind::Woken)) {
        return Stage::Awake;
    }
    let Some(balance) = balance else {
        return Stage::NotMeasured;
    };
    if last.is_some_and(|last| trouble(last, TroubleKind::Contradicts)) {
        return Stage::Contradicted;
    }
    let found = !beliefs.found.is_empty();
    if balance.measured_range.high < balance.explained_range.low && !found {
        return Stage::Less;
    }
    match (found, beliefs.nothing_more) {
        // With fuses out from the first reading on, what is behind them was never measured.
        (false, _)
            if !balance.out.is_empty()
                && balance.measured_range.low <= balance.explained_range.high =>
        {
            Stage::NotMeasured
        }
        (false, nothing) if nothing >= 0.5 => Stage::Explained,
        (true, nothing) if nothing >= 0.5 && unsure.is_none() => Stage::Located,
        _ => Stage::Hunting,
    }
}

fn suspects(circuits: &Circuits, beliefs: &Beliefs) -> Vec<Suspect> {
    let shares = beliefs.shares();
    let mut suspects: Vec<Suspect> = beliefs
        .places
        .iter()
        .enumerate()
        .filter(|(_, belief)| belief.probability >= TRACE)
        .map(|(place, belief)| Suspect {
            fuse: circuits.fuses.get(place).copied(),
            probability: belief.probability.min(1.0),
            share: shares[place],
            current: Interval {
                low: Amps((belief.current - 2.0 * belief.spread).max(belief::LEAST)),
                high: Amps(belief.current + 2.0 * belief.spread),
            },
            found: beliefs.found.contains(&place),
        })
        .collect();
    suspects.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    suspects
}

/// What is to be written when the last reading is taken again.
fn again(case: &Case<'_>) -> Option<String> {
    let last = case.log.last()?;
    match (case.stage, last.of) {
        (Stage::Contradicted, Of::Across(fuse)) => {
            Some(format!("- {{across: {}, drop: ? mV}}", case.name(fuse)))
        }
        (Stage::Contradicted, Of::Wire(_)) => {
            let taken = case
                .readings
                .iter()
                .find(|taken| taken.number == last.number);
            let wire = taken.and_then(|taken| match taken.shown {
                reading::Shown::Wire(wire, _) => Some(case.vehicle.wire(wire).id.as_str()),
                _ => None,
            })?;
            Some(format!("- {{where: {wire}, current: ? mA}}"))
        }
        (Stage::Contradicted, _) => Some(format!("- {{{}}}", step::total(case))),
        (Stage::Awake, _) => {
            let wait = words::minutes(step::settled(case));
            Some(format!("- {{after: {wait}, {}}}", step::total(case)))
        }
        _ => None,
    }
}

/// Fuses across which nothing showed, and where what is looked for could still hide.
fn unproven(case: &Case<'_>) -> Vec<(PartId, Amps)> {
    let mut list: Vec<(PartId, Amps)> = Vec::new();
    let wanted = case.balance.map_or(0.0, |balance| balance.unexplained().0);
    for at in case.log.used() {
        let line = &case.log.lines[at];
        if let Of::Across(fuse) = line.of
            && line.likely.0 < line.floor.0
            && line.floor.0 > 0.5 * wanted.max(belief::LEAST)
            && !list.iter().any(|(known, _)| *known == fuse)
        {
            list.push((fuse, line.floor));
        }
    }
    list
}

/// What was taken for these sums: the vehicle's own draw, and the resistances of fuses that were read across.
fn assumed(vehicle: &Vehicle, circuits: &Circuits, log: &Log) -> Vec<Assumed> {
    let mut list: Vec<Assumed> = circuits.assumed.iter().cloned().collect();
    let read: Vec<&str> = log
        .lines
        .iter()
        .filter_map(|line| match line.of {
            Of::Across(fuse) => Some(vehicle.part(fuse).name.value.as_str()),
            _ => None,
        })
        .collect();
    let of_fuses = vehicle
        .assumed
        .iter()
        .filter(|assumed| assumed.key == "resistance" && read.contains(&assumed.subject.as_str()));
    list.extend(of_fuses.cloned());
    list
}

#[cfg(test)]
mod tests;
