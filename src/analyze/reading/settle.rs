//! Readings of the whole current that moved without a reason.
//!
//! More fuses out can never mean more current, and as many out at another time mean the same, unless something woke or had not
//! gone to sleep.

use std::collections::BTreeSet;

use super::Measured;
use super::Shown;
use super::Taken;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::table::meter;

/// What always stays open between two readings of a draw that lives, in ampere.
const RESTLESS: f64 = 0.001;

/// A reading that is not of the vehicle asleep.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unsettled {
    /// Index of the reading.
    pub at: usize,
    /// Index of the reading that shows it.
    pub against: usize,
    /// It rose; else a later reading showed that it had not come to rest.
    pub rose: bool,
    /// It rose and stays so: the index of a later reading, waited for, that agrees. Then it is the reading before that is
    /// not of the vehicle as it is.
    pub stays: Option<usize>,
    /// Fuses handled between the two.
    pub handled: Vec<PartId>,
}

impl Unsettled {
    /// Index of the reading that is left aside.
    #[must_use]
    pub const fn aside(&self) -> usize {
        if self.stays.is_some() {
            self.against
        } else {
            self.at
        }
    }
}

/// Indices of the readings of the starting battery's whole current, key off and switches as left.
#[must_use]
pub fn totals(vehicle: &Vehicle, readings: &[Taken]) -> Vec<usize> {
    (0..readings.len())
        .filter(|&at| whole(vehicle, &readings[at]).is_some())
        .collect()
}

/// The whole current of the vehicle asleep, if a reading is of that.
#[must_use]
pub fn whole(vehicle: &Vehicle, reading: &Taken) -> Option<Measured<Amps>> {
    match reading.shown {
        Shown::Battery(part, measured)
            if vehicle.starter == Some(part) && reading.key == Key::Off && !reading.otherwise =>
        {
            Some(measured)
        }
        _ => None,
    }
}

/// By how much two readings of one meter may differ and be the same: their digits, and its scale over the difference.
#[must_use]
pub fn open_between(one: Measured<Amps>, other: Measured<Amps>) -> f64 {
    let apart = (one.value - other.value).0.abs();
    one.digits.0 + other.digits.0 + RESTLESS + other.accuracy.0 * apart
}

/// The readings that are not of the vehicle asleep, each once.
#[must_use]
pub fn unsettled(vehicle: &Vehicle, readings: &[Taken]) -> Vec<Unsettled> {
    let totals = totals(vehicle, readings);
    let mut list = risen_for_good(vehicle, readings, &totals);
    let mut spoiled: BTreeSet<usize> = list.iter().map(Unsettled::aside).collect();
    for &later in &totals {
        for &earlier in totals.iter().take_while(|&&at| at < later) {
            if spoiled.contains(&earlier) || spoiled.contains(&later) {
                continue;
            }
            let (a, b) = (&readings[earlier], &readings[later]);
            let (Some(before), Some(after)) = (whole(vehicle, a), whole(vehicle, b)) else {
                continue;
            };
            let open = open_between(before, after);
            let fell = b.out.is_subset(&a.out) && before.value.0 > after.value.0 + open;
            let rose = has_risen(vehicle, a, b);
            if !fell && !rose {
                continue;
            }
            let (at, against) = if fell {
                (earlier, later)
            } else {
                (later, earlier)
            };
            spoiled.insert(at);
            list.push(Unsettled {
                at,
                against,
                rose,
                stays: None,
                handled: handled(&readings[earlier + 1..=later]),
            });
        }
    }
    list
}

/// Readings that rose against an earlier one and that a later one bears out, waited for and with the same fuses out, where
/// none since is back where it was: waiting changes nothing more, and it is the earlier one that does not hold.
fn risen_for_good(vehicle: &Vehicle, readings: &[Taken], totals: &[usize]) -> Vec<Unsettled> {
    let rose = |a: usize, b: usize| has_risen(vehicle, &readings[a], &readings[b]);
    let mut list: Vec<Unsettled> = Vec::new();
    for &earlier in totals {
        let since = || totals.iter().copied().filter(move |&at| at > earlier);
        let pair = since().filter(|&at| rose(earlier, at)).find_map(|at| {
            let mut agreeing = since().filter(|&later| {
                later > at && readings[later].out == readings[at].out && {
                    let waited = readings[later].after;
                    waited.is_some_and(|after| after.0 >= meter::settled().low.0)
                }
            });
            let agreeing = agreeing.find(|&later| !rose(at, later) && !rose(later, at))?;
            let back = since().any(|later| later > agreeing && rose(later, agreeing));
            (!back).then_some((at, agreeing))
        });
        if let Some((at, agreeing)) = pair {
            list.push(Unsettled {
                at,
                against: earlier,
                rose: true,
                stays: Some(agreeing),
                handled: handled(&readings[earlier + 1..=at]),
            });
        }
    }
    list
}

/// Whether more was drawn than at another time, with no more fuses in.
fn has_risen(vehicle: &Vehicle, before: &Taken, after: &Taken) -> bool {
    let (Some(one), Some(other)) = (whole(vehicle, before), whole(vehicle, after)) else {
        return false;
    };
    before.out.is_subset(&after.out) && other.value.0 > one.value.0 + open_between(one, other)
}

/// Fuses pulled or put back for these readings.
fn handled(readings: &[Taken]) -> Vec<PartId> {
    let each = readings.iter();
    each.flat_map(|taken| taken.refitted.iter().chain(&taken.pulled))
        .copied()
        .collect()
}
