//! What is known of a battery, or of several that are joined, and what is drawn out of it.

use crate::analyze::sample::Uncertain;
use crate::table::battery::Chemistry;

/// What is known of a battery and of what it has to do.
#[derive(Clone, PartialEq, Debug)]
pub struct Battery {
    /// What it is made of.
    pub chemistry: Chemistry,
    /// 20-hour capacity at 25 C when new, in ampere-hour.
    pub capacity: Uncertain,
    /// Share of the capacity, and of the cranking current, that age has left.
    pub health: Uncertain,
    /// State of charge when it is parked.
    pub charge: Uncertain,
    /// Cold-cranking current at -18 C when new, in ampere.
    pub cold_cranking: Option<Uncertain>,
    /// What the engine needs to start at -18 C, in ampere.
    pub cranking: Option<Uncertain>,
    /// Draw out of it once everything has settled, in ampere.
    pub draw: Uncertain,
    /// What is drawn before that, soonest over first.
    pub runs_on: Vec<RunsOn>,
    /// Of joined batteries that are not made of the same: each chemistry with its share of what they hold together. Empty
    /// where all are like `chemistry`.
    pub mix: Vec<(Chemistry, f64)>,
}

/// A stretch after the key goes off, until something ends.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RunsOn {
    /// When it is over, in hours since the key went off.
    pub until: Uncertain,
    /// Draw out of the battery meanwhile, in ampere.
    pub draw: Uncertain,
}

impl RunsOn {
    /// Hours and ampere at a place between the least (0), the likely (1) and the most (2).
    pub(super) fn at(&self, place: f64) -> (f64, f64) {
        let of = |one: &Uncertain| {
            if place <= 1.0 {
                one.low + (one.likely - one.low) * place.max(0.0)
            } else {
                one.likely + (one.high - one.likely) * (place - 1.0).min(1.0)
            }
        };
        (of(&self.until), of(&self.draw))
    }
}

impl Battery {
    /// Ampere-hours that are drawn out of it in so many days, at the likely draw, the least or the most: what it loses by
    /// itself is not in it.
    #[must_use]
    pub fn drawn(&self, days: f64, most: Option<bool>) -> f64 {
        let (place, draw) = match most {
            Some(false) => (0.0, self.draw.low),
            None => (1.0, self.draw.likely),
            Some(true) => (2.0, self.draw.high),
        };
        drawn(&self.runs_on, place, draw, days * 24.0)
    }

    /// Ampere-hours that the likely currents before everything has settled take beyond the settled draw, and the hours until
    /// then; nothing where they take no more.
    #[must_use]
    pub fn extra(&self) -> Option<(f64, f64)> {
        let until = self.runs_on.last()?.until.likely;
        let extra = self.drawn(until / 24.0, None) - self.draw.likely * until;
        (extra > 0.0).then_some((extra, until))
    }
}

/// Ampere-hours in so many hours.
pub(super) fn drawn(runs_on: &[RunsOn], place: f64, settled: f64, hours: f64) -> f64 {
    let (mut at, mut sum) = (0.0, 0.0);
    for one in runs_on {
        let (until, draw) = one.at(place);
        let until = until.min(hours).max(at);
        sum += draw * (until - at);
        at = until;
    }
    sum + settled * (hours - at)
}

/// Of all that is joined, by what each holds.
pub(super) fn mixed(battery: &Battery, of: impl Fn(Chemistry) -> Uncertain) -> Uncertain {
    if battery.mix.is_empty() {
        return of(battery.chemistry);
    }
    let mut sum = Uncertain::exact(0.0);
    for &(chemistry, share) in &battery.mix {
        let one = of(chemistry);
        sum.low += one.low * share;
        sum.likely += one.likely * share;
        sum.high += one.high * share;
    }
    sum
}
