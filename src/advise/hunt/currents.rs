//! Sums over every current that an unknown draw may have.

use super::belief::LEAST;
use super::belief::Place;

/// The most unknown draw that is thought of, in ampere.
const MOST: f64 = 20.0;
/// Points at which a current is tried.
const TRIES: usize = 24;
/// Steps of the table of likely currents.
const STEPS: usize = 96;

/// How likely each current is at a place before any reading, as the logarithm of a density over the logarithm of the current.
pub(super) struct Table(Vec<f64>);

impl Table {
    pub(super) fn of(place: &Place) -> Self {
        let width = (MOST / LEAST).ln();
        let plain = 1.0 / width;
        let step = width / STEPS as f64;
        let density = |at: usize| {
            let log = LEAST.ln() + at as f64 * step;
            let known: f64 = place
                .possible
                .iter()
                .map(|&(amps, share)| {
                    let spread = share.max(0.03);
                    let off = (log - amps.max(LEAST).ln()) / spread;
                    (-0.5 * off * off).exp() / (spread * std::f64::consts::TAU.sqrt())
                })
                .sum();
            // Half of the suspicion is on what the record names, half on what nobody wrote down.
            let named = if place.possible.is_empty() {
                plain
            } else {
                known / place.possible.len() as f64
            };
            (0.5 * plain + 0.5 * named).ln()
        };
        Self((0..=STEPS).map(density).collect())
    }

    pub(super) fn at(&self, log: f64) -> f64 {
        let step = (MOST / LEAST).ln() / STEPS as f64;
        let at = ((log - LEAST.ln()) / step).clamp(0.0, STEPS as f64);
        let low = at.floor() as usize;
        let high = (low + 1).min(STEPS);
        let part = at - low as f64;
        self.0[low] * (1.0 - part) + self.0[high] * part
    }
}

/// A current to try, its logarithm, and the logarithm of the width that it stands for.
#[derive(Clone, Copy)]
pub(super) struct Try {
    pub(super) amps: f64,
    pub(super) log: f64,
    pub(super) width: f64,
}

/// Currents between the least and the most, close together where a normal form `b x - q x^2 / 2` is not nothing.
pub(super) struct Tries {
    from: f64,
    step: f64,
    at: usize,
}

impl Tries {
    pub(super) fn around(b: f64, q: f64) -> Self {
        let (mut low, mut high) = (LEAST, MOST);
        if q > 0.0 {
            let (mean, spread) = (b / q, 1.0 / q.sqrt());
            low = (mean - 4.0 * spread).clamp(LEAST, MOST * 0.99);
            high = (mean + 4.0 * spread).clamp(low * 1.01, MOST);
        }
        let from = low.ln();
        Self {
            from,
            step: (high.ln() - from) / TRIES as f64,
            at: 0,
        }
    }
}

impl Iterator for Tries {
    type Item = Try;

    fn next(&mut self) -> Option<Try> {
        if self.at == TRIES {
            return None;
        }
        let log = self.from + (self.at as f64 + 0.5) * self.step;
        self.at += 1;
        Some(Try {
            amps: log.exp(),
            log,
            width: self.step.ln(),
        })
    }
}

/// Sums of exponentials that would be too small or too large for a number.
#[derive(Clone, Copy)]
pub(super) struct Weighed {
    top: f64,
    weight: f64,
    mean: f64,
    square: f64,
}

impl Default for Weighed {
    fn default() -> Self {
        Self {
            top: f64::NEG_INFINITY,
            weight: 0.0,
            mean: 0.0,
            square: 0.0,
        }
    }
}

impl Weighed {
    pub(super) fn add(&mut self, log: f64, amps: f64) {
        if log > self.top {
            let shrink = (self.top - log).exp();
            self.weight *= shrink;
            self.mean *= shrink;
            self.square *= shrink;
            self.top = log;
        }
        let weight = (log - self.top).exp();
        self.weight += weight;
        self.mean += weight * amps;
        self.square += weight * amps * amps;
    }

    pub(super) fn result(self) -> (f64, f64, f64) {
        (
            self.top + self.weight.ln(),
            self.mean / self.weight,
            self.square / self.weight,
        )
    }
}
