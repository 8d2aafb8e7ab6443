//! Charge over time: while parked, and over a shift.

use super::Chart;
use crate::analyze::budget::Shift;
use crate::analyze::endurance;
use crate::analyze::park::Parked;
use crate::analyze::timeline::Timeline;
use crate::model::Vehicle;
use crate::quantity::show;
use crate::quantity::show::Units;

/// Points of the band's edges.
const STEPS: i32 = 60;

fn floor(parked: &Parked) -> Option<f64> {
    let bank = parked.starter()?;
    bank.here.as_ref().map(|here| here.floor)
}

/// Charge of every battery from key-off on, with the band that surely holds the charge of the one that starts, and its floor.
#[must_use]
pub fn while_parked(vehicle: &Vehicle, parked: &Parked, line: &Timeline, units: Units) -> Chart {
    let lines: Vec<(String, Vec<(f64, f64)>)> = line
        .charges
        .iter()
        .map(|(part, points)| {
            let points = points.iter().map(|&(at, charge)| (at.days(), charge));
            (vehicle.part(*part).name.value.clone(), points.collect())
        })
        .collect();
    let ends = lines.iter().filter_map(|(_, points)| points.last());
    let end = ends.map(|point| point.0).fold(0.0, f64::max);
    let battery = parked.starter().and_then(|bank| bank.battery.as_ref());
    let band = battery.map_or_else(Vec::new, |battery| {
        let days = (0..=STEPS).map(|step| end * f64::from(step) / f64::from(STEPS));
        days.map(|days| {
            let (low, high) = endurance::charge_range(battery, parked.at, days);
            (days, low, high)
        })
        .collect()
    });
    let at = show::show(parked.at, units);
    Chart {
        title: format!("{}: charge while parked at {at}", vehicle.name),
        across: "days since the key went off".to_owned(),
        lines,
        band,
        floor: floor(parked),
        marks: line
            .events
            .iter()
            .skip(1)
            .map(|event| (event.at.days(), event.what.clone()))
            .collect(),
    }
}

/// Charge of the battery that starts over a situation with phases.
#[must_use]
pub fn over_shift(vehicle: &Vehicle, parked: &Parked, shift: &Shift) -> Chart {
    let starts = shift.charge.iter().map(|&(at, _)| at);
    Chart {
        title: format!("{}: charge over {}", vehicle.name, shift.name),
        across: "hours".to_owned(),
        lines: vec![("charge".to_owned(), shift.charge.clone())],
        band: Vec::new(),
        floor: floor(parked),
        marks: starts
            .zip(&shift.phases)
            .map(|(at, (name, _))| (at, name.clone()))
            .collect(),
    }
}
