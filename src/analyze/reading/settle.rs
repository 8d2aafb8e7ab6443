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
    /// Fuses handled between the two.
    pub handled: Vec<PartId>,
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
    let mut spoiled: BTreeSet<usize> = BTreeSet::new();
    let mut list = Vec::new();
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
            let rose = a.out.is_subset(&b.out) && after.value.0 > before.value.0 + open;
            if !fell && !rose {
                continue;
            }
            let (at, against) = if fell {
                (earlier, later)
            } else {
                (later, earlier)
            };
            spoiled.insert(at);
            let between = readings[earlier + 1..=later].iter();
            list.push(Unsettled {
                at,
                against,
                rose,
                handled: between
                    .flat_map(|taken| taken.refitted.iter().chain(&taken.pulled))
                    .copied()
                    .collect(),
            });
        }
    }
    list
}
