//! A vehicle and a situation of it in which most is drawn and least is given of what the record leaves open, or least and most.

use super::output::by_speed;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Fact;
use crate::model::Law;
use crate::model::Situation;
use crate::model::Vehicle;
use crate::model::element::Load;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Rpm;
use crate::quantity::Scalar;

/// The vehicle where most is drawn and least is given; else the other way round.
pub(super) fn vehicle(vehicle: &Vehicle, most: bool) -> Vehicle {
    let mut vehicle = vehicle.clone();
    for branch in &mut vehicle.branches {
        match &mut branch.element {
            Element::Alternator { output, .. } => give(output, !most),
            Element::Load(load) => draw(load, most),
            _ => {}
        }
    }
    vehicle
}

/// The same of the duties that the phases of a situation state.
pub(super) fn situation(situation: &Situation, most: bool) -> Situation {
    let mut situation = situation.clone();
    for phase in &mut situation.phases {
        for (_, duty) in &mut phase.duty {
            put(duty, most);
        }
    }
    situation
}

fn put<T: Scalar>(fact: &mut Fact<T>, most: bool) {
    let Interval { low, high } = fact.range;
    fact.likely = if most { high } else { low };
}

fn give(output: &mut Vec<(Engine, Fact<Amps>)>, most: bool) {
    for (_, amps) in output.iter_mut() {
        put(amps, most);
    }
    // Without a table the least is taken at a speed of its own; the most is what it gives on the road.
    let lacks_speeds = !by_speed(output.as_slice());
    let mut points = output.iter();
    let road = points.find(|(speed, _)| *speed == Engine::Cruise).copied();
    if let Some((_, amps)) = road.filter(|_| most && lacks_speeds) {
        output.push((Engine::Speed(Rpm(0.0)), amps));
    }
}

fn draw(load: &mut Load, most: bool) {
    let law = |law: Law| match law {
        Law::Resistance(mut ohms) => {
            put(&mut ohms, !most);
            Law::Resistance(ohms)
        }
        Law::Power(mut watts) => {
            put(&mut watts, most);
            Law::Power(watts)
        }
        Law::Current(mut amps) => {
            put(&mut amps, most);
            Law::Current(amps)
        }
        Law::Filament(mut amps) => {
            put(&mut amps, most);
            Law::Filament(amps)
        }
    };
    load.law = load.law.map(law);
    for (_, mode) in &mut load.modes {
        *mode = law(*mode);
    }
    if let Some(parked) = &mut load.parked {
        put(parked, most);
    }
    put(&mut load.duty, most);
}
