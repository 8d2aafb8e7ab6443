//! Readings of a meter: what was done first, where it was taken, and between which ends the value lies.
//!
//! A record's readings follow one another as a person took them: fuses stay out until they are put back, and a meter stays
//! where it was until it is said to be elsewhere.

mod digits;
mod expect;
mod settle;

pub use expect::Expected;
pub use expect::expected;
pub use settle::Unsettled;
pub use settle::open_between;
pub use settle::totals;
pub use settle::unsettled;
pub use settle::whole;

use std::collections::BTreeSet;

use crate::model::Key;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Scalar;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::read::document::Fields;
use crate::read::document::Quantity;
use crate::read::document::Reading;
use crate::read::document::Value;
use crate::source::Span;
use crate::table::meter;

/// One reading of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Taken {
    /// Its number in the record, from 1.
    pub number: usize,
    /// What the meter showed; where it showed nothing, what was done.
    pub at: Span,
    /// Position of the key.
    pub key: Key,
    /// Position of each of the vehicle's switches, in their order.
    pub positions: Vec<u8>,
    /// Whether a switch stood otherwise than the vehicle is left.
    pub otherwise: bool,
    /// Fuses that were out.
    pub out: BTreeSet<PartId>,
    /// Fuses pulled just before it.
    pub pulled: Vec<PartId>,
    /// Fuses put back just before it.
    pub refitted: Vec<PartId>,
    /// How long was waited before it, where that is stated.
    pub after: Option<Seconds>,
    /// Whether a date or time is stated.
    pub dated: bool,
    /// What the meter showed.
    pub shown: Shown,
    /// What the meter was said to be able to tell.
    pub meter: MeterStated,
}

/// What of the meter is stated for a reading, by it or by one before it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct MeterStated {
    /// The last digit.
    pub resolution: bool,
    /// The accuracy.
    pub accuracy: bool,
}

/// What the meter showed.
#[derive(Clone, PartialEq, Debug)]
pub enum Shown {
    /// The current of a battery, through either of its cables; positive when the battery gives it.
    Battery(PartId, Measured<Amps>),
    /// The current in a wire.
    Wire(WireId, Measured<Amps>),
    /// The voltage across a part.
    Across(PartId, Measured<Volts>),
    /// The voltage from a terminal to the battery's negative post.
    At(TerminalId, Measured<Volts>),
    /// Nothing: only something was done.
    Nothing,
}

/// A value as a meter showed it.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Measured<T> {
    /// What it showed.
    pub value: T,
    /// Between these ends it is, by the meter's accuracy and digits.
    pub range: Interval<T>,
    /// What its last digits leave open, to either side.
    pub digits: T,
    /// Its accuracy.
    pub accuracy: Fraction,
}

/// The readings of a vehicle's record, in their order.
#[must_use]
pub fn readings(vehicle: &Vehicle) -> Vec<Taken> {
    let mut log = Log {
        vehicle,
        out: BTreeSet::new(),
        place: vehicle.starter.map(Place::Battery),
        amps: Meter::new(meter::current_accuracy().value),
        volts: Meter::new(meter::voltage_accuracy().value),
    };
    let all = vehicle.document.readings.iter().zip(1..);
    all.map(|(reading, number)| log.take(number, reading))
        .collect()
}

#[derive(Clone, Copy)]
enum Place {
    Battery(PartId),
    Wire(WireId),
}

/// What a meter was last said to be able to tell on one of its ranges.
#[derive(Clone, Copy)]
struct Meter {
    resolution: Option<f64>,
    accuracy: Fraction,
    stated: MeterStated,
}

impl Meter {
    fn new(accuracy: Fraction) -> Self {
        Self {
            resolution: None,
            accuracy,
            stated: MeterStated::default(),
        }
    }

    /// Takes what a reading says of it; a resolution of another dimension is about another range.
    fn learn(&mut self, fields: &Fields, symbol: &str) {
        let Some(meter) = fields.map("meter") else {
            return;
        };
        let resolution = meter.quantity("resolution");
        if resolution.is_some_and(|resolution| resolution.dimension.symbol() != symbol) {
            return;
        }
        if let Some(resolution) = resolution {
            self.resolution = Some(resolution.high);
            self.stated.resolution = true;
        }
        if let Some(accuracy) = meter.stated::<Fraction>("accuracy") {
            self.accuracy = accuracy.value.high;
            self.stated.accuracy = true;
        }
    }

    fn measured<T: Scalar>(&self, shown: &Quantity) -> Measured<T> {
        let middle = f64::midpoint(shown.low, shown.high);
        let digit = self
            .resolution
            .unwrap_or(0.0)
            .max(digits::last(shown).unwrap_or(0.0));
        let digits = if shown.low == shown.high {
            digit * meter::counts().value
        } else {
            // A display that runs between two ends says by itself how far it can be trusted.
            f64::midpoint(shown.high, -shown.low).max(digit)
        };
        let give = digits + self.accuracy.0 * middle.abs();
        Measured {
            value: T::of(middle),
            range: Interval {
                low: T::of(middle - give),
                high: T::of(middle + give),
            },
            digits: T::of(digits),
            accuracy: self.accuracy,
        }
    }
}

struct Log<'v> {
    vehicle: &'v Vehicle,
    out: BTreeSet<PartId>,
    place: Option<Place>,
    amps: Meter,
    volts: Meter,
}

impl Log<'_> {
    fn take(&mut self, number: usize, reading: &Reading) -> Taken {
        let fields = &reading.fields;
        let pulled = self.parts(fields, "pulled");
        let refitted = self.parts(fields, "refitted");
        for part in &refitted {
            self.out.remove(part);
        }
        self.out.extend(pulled.iter().copied());
        if let Some(place) = fields.text("where") {
            self.place = self.place(&place.value);
        }
        let (shown, at, meter) = self.shown(fields);
        let (positions, otherwise) = self.positions(fields);
        Taken {
            number,
            at: at.unwrap_or_else(|| self.first(fields)),
            key: match fields.text("key").map(|key| key.value.as_str()) {
                Some("accessory") => Key::Accessory,
                Some("run") => Key::Run,
                Some("start") => Key::Start,
                _ => Key::Off,
            },
            positions,
            otherwise,
            out: self.out.clone(),
            pulled,
            refitted,
            after: fields
                .stated::<Seconds>("after")
                .map(|after| after.value.low),
            dated: fields.text("when").is_some(),
            shown,
            meter,
        }
    }

    fn first(&self, fields: &Fields) -> Span {
        let first = fields.list.first();
        first.map_or(fields.at, |field| field.value.at())
    }

    fn shown(&mut self, fields: &Fields) -> (Shown, Option<Span>, MeterStated) {
        self.amps.learn(fields, Amps::SYMBOL);
        self.volts.learn(fields, Volts::SYMBOL);
        if let Some(current) = fields.quantity("current") {
            let measured = self.amps.measured(current);
            let shown = match self.place {
                Some(Place::Battery(part)) => Shown::Battery(part, measured),
                Some(Place::Wire(wire)) => Shown::Wire(wire, measured),
                None => Shown::Nothing,
            };
            return (shown, Some(current.at), self.amps.stated);
        }
        if let (Some(across), Some(drop)) = (fields.text("across"), fields.quantity("drop"))
            && let Some(part) = self.part(&across.value)
        {
            let measured = self.volts.measured(drop);
            return (
                Shown::Across(part, measured),
                Some(drop.at),
                self.volts.stated,
            );
        }
        if let (Some(place), Some(volts)) = (fields.text("at"), fields.quantity("voltage"))
            && let Some(terminal) = self.terminal(&place.value)
        {
            let measured = self.volts.measured(volts);
            return (
                Shown::At(terminal, measured),
                Some(volts.at),
                self.volts.stated,
            );
        }
        (Shown::Nothing, None, MeterStated::default())
    }

    fn positions(&self, fields: &Fields) -> (Vec<u8>, bool) {
        let units = &self.vehicle.switches;
        let left: Vec<u8> = units.iter().map(|unit| unit.left).collect();
        let mut positions = left.clone();
        for (key, to) in [("closed", None), ("opened", Some(0))] {
            for label in words(fields, key) {
                if let Some(at) = units.iter().position(|unit| unit.label == label) {
                    // Of a switch with positions, closed is the one that it has when everything is on.
                    positions[at] = to.unwrap_or(if units[at].positions.len() > 2 {
                        units[at].on
                    } else {
                        1
                    });
                }
            }
        }
        let otherwise = positions != left;
        (positions, otherwise)
    }

    fn parts(&self, fields: &Fields, key: &str) -> Vec<PartId> {
        words(fields, key)
            .into_iter()
            .filter_map(|name| self.part(name))
            .collect()
    }

    fn part(&self, name: &str) -> Option<PartId> {
        let parts = &self.vehicle.document.parts;
        let at = parts.iter().position(|part| part.name.value == name)?;
        u32::try_from(at).ok().map(PartId)
    }

    fn terminal(&self, label: &str) -> Option<TerminalId> {
        let terminals = &self.vehicle.terminals;
        let at = terminals
            .iter()
            .position(|terminal| terminal.label == label)
            .or_else(|| {
                // A part with one terminal, or the one that current enters by.
                let part = self.part(label)?;
                let first = self.vehicle.part(part).terminals.first()?;
                Some(first.index())
            })?;
        u32::try_from(at).ok().map(TerminalId)
    }

    fn place(&self, words: &str) -> Option<Place> {
        let wires = &self.vehicle.wires;
        let wire = wires
            .iter()
            .position(|wire| !wire.assumed && wire.id == words);
        if let Some(at) = wire {
            return u32::try_from(at).ok().map(|at| Place::Wire(WireId(at)));
        }
        let battery = words
            .strip_suffix(" negative")
            .or_else(|| words.strip_suffix(" positive"))
            .unwrap_or(words);
        if battery == "battery" {
            return self.vehicle.starter.map(Place::Battery);
        }
        self.part(battery).map(Place::Battery)
    }
}

fn words<'f>(fields: &'f Fields, key: &str) -> Vec<&'f str> {
    let list = fields.list(key).iter();
    list.filter_map(|value| match value {
        Value::Text(word) => Some(word.value.as_str()),
        _ => None,
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    const PARTS: &str = "parts:
  B1: {kind: battery, capacity: 75 Ah}
  F1: {kind: fuse, rating: 10 A, form: blade}
  F2: {kind: fuse, rating: 10 A, form: blade}
  S1: {kind: switch}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {id: feed, from: B1, to: F1, size: 14 AWG, length: 1 m}
  - {run: [F1, S1, LAMP], size: 14 AWG, lengths: [1 m, 1 m]}
";

    fn taken(list: &str) -> (Vehicle, Vec<Taken>) {
        let vehicle = vehicle(&format!("{PARTS}readings:\n{list}"));
        let taken = readings(&vehicle);
        (vehicle, taken)
    }

    #[test]
    fn fuses_stay_out_and_the_meter_stays_where_it_was() {
        let (vehicle, taken) = taken(
            "  - {where: feed, after: 25 min, current: 182 mA}
  - {pulled: [F1, F2], current: 31 mA}
  - {refitted: F2, closed: [S1], key: run, across: F2, drop: 0.8 mV}
  - {where: battery negative, current: 0.2 A, when: 2026-11-02 14:05}",
        );
        let names = |of: &Taken| {
            let names = of.out.iter().map(|&id| vehicle.part(id).name.value.clone());
            names.collect::<Vec<String>>()
        };
        assert!(matches!(taken[1].shown, Shown::Wire(WireId(0), _)));
        assert_eq!(names(&taken[1]), ["F1", "F2"]);
        assert_eq!(names(&taken[2]), ["F1"]);
        assert_eq!(taken[2].key, Key::Run);
        assert!(taken[2].otherwise && !taken[3].otherwise);
        assert!(matches!(taken[2].shown, Shown::Across(PartId(2), _)));
        assert!(matches!(taken[3].shown, Shown::Battery(PartId(0), _)));
        assert!(taken[3].dated && taken[0].after == Some(Seconds(1500.0)));
    }

    #[test]
    fn a_reading_is_an_interval_by_its_last_digit_and_the_meter() {
        let (_, taken) = taken(
            "  - {current: 182 mA}
  - {current: 1.31 A, meter: {resolution: 10 mA, accuracy: 2 %}}
  - {across: F1, drop: 0.0 mV}
  - {current: 0.2 A}",
        );
        let amps = |of: &Taken| match of.shown {
            Shown::Battery(_, measured) => measured,
            _ => panic!("{of:?}"),
        };
        // Three digits and 1.2 %.
        let first = amps(&taken[0]);
        assert!((first.range.high.0 - (0.182 + 0.003 + 0.012 * 0.182)).abs() < 1e-9);
        let second = amps(&taken[1]);
        assert!((second.range.low.0 - (1.31 - 0.03 - 0.02 * 1.31)).abs() < 1e-9);
        let Shown::Across(_, zero) = taken[2].shown else {
            panic!("{:?}", taken[2]);
        };
        assert!(
            (zero.range.high.0 - 0.0003).abs() < 1e-12,
            "no zero: {zero:?}"
        );
        // Written to a tenth of an ampere it is known to no more, whatever the meter.
        assert!((amps(&taken[3]).digits.0 - 0.3).abs() < 1e-9);
        assert!(taken[3].meter.resolution && !taken[0].meter.resolution);
    }
}
