//! Which readings can be used.

use std::collections::BTreeSet;

use super::circuits::Circuits;
use super::words::amps;
use super::words::minutes;
use crate::analyze::reading::Expected;
use crate::analyze::reading::Measured;
use crate::analyze::reading::Shown;
use crate::analyze::reading::Taken;
use crate::analyze::reading::unsettled;
use crate::model::Key;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::table::meter;

/// A reading as the hunt sees it.
#[derive(Clone, PartialEq, Debug)]
pub struct Line {
    /// Its number in the record, from 1.
    pub number: usize,
    /// Fuses that were out.
    pub out: Vec<PartId>,
    /// What it was of.
    pub of: Of,
    /// Between these ends the current lay.
    pub current: Interval<Amps>,
    /// What was shown, or follows from the fuse's likely resistance.
    pub likely: Amps,
    /// What the record explains of it.
    pub explained: Amps,
    /// The least current that the meter would have shown there for sure.
    pub floor: Amps,
    /// Why it is not used; nothing where it is.
    pub unused: Option<String>,
}

/// What a reading was of.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Of {
    /// Everything that the battery gives.
    Total,
    /// What flows through this fuse, by its millivolts.
    Across(PartId),
    /// What flows through this fuse, by the wire on it.
    Wire(PartId),
    /// Something else.
    Other,
}

impl Of {
    /// The fuse whose current it is.
    #[must_use]
    pub const fn fuse(self) -> Option<PartId> {
        match self {
            Self::Across(fuse) | Self::Wire(fuse) => Some(fuse),
            Self::Total | Self::Other => None,
        }
    }
}

/// What is wrong with a reading.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Trouble {
    /// The reading's number.
    pub reading: usize,
    /// The reading it cannot be reconciled with.
    pub against: Option<usize>,
    /// What kind of trouble.
    pub kind: TroubleKind,
    /// One sentence.
    pub message: String,
}

/// Kinds of trouble.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TroubleKind {
    /// It rose with as many fuses out or more: something woke.
    Woken,
    /// Later less was drawn with as many fuses in or more: it had not settled.
    NotSettled,
    /// It cannot be, beside another reading.
    Contradicts,
}

/// What the meter's digits and scale leave open of a reading, as standard deviations, and whose scale it is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Give {
    pub(super) own: f64,
    pub(super) scale: f64,
    pub(super) meter: usize,
}

pub(super) struct Log {
    pub(super) lines: Vec<Line>,
    pub(super) gives: Vec<Give>,
    pub(super) troubles: Vec<Trouble>,
}

/// More than this, in ampere, flows through nothing in a parked vehicle but a starter: a slip of the unit.
const TOO_MUCH: f64 = 100.0;

/// What always stays open of a draw that lives, in ampere.
const RESTLESS: f64 = 0.0005;

impl Log {
    pub(super) fn of(
        vehicle: &Vehicle,
        circuits: &Circuits,
        readings: &[Taken],
        expected: &[Expected],
    ) -> Self {
        let mut log = Self {
            lines: Vec::new(),
            gives: Vec::new(),
            troubles: Vec::new(),
        };
        for (taken, expected) in readings.iter().zip(expected) {
            let (line, give) = line(vehicle, circuits, taken, expected);
            log.lines.push(line);
            log.gives.push(give);
        }
        log.doubt(readings);
        log.settle(vehicle, readings);
        log.compare(vehicle, circuits);
        log
    }

    /// Readings taken before anything can have gone to sleep, and those that no parked vehicle draws.
    fn doubt(&mut self, readings: &[Taken]) {
        let least = meter::settled().low;
        let mut waited = Seconds::ZERO;
        let mut asleep = false;
        for (at, taken) in readings.iter().enumerate() {
            // What was waited is added up from the first reading on; one without a wait is taken at its word.
            match taken.after {
                Some(after) => waited += after,
                None => asleep = true,
            }
            asleep |= waited.0 >= least.0;
            let line = &self.lines[at];
            if line.unused.is_some() || line.of != Of::Total {
                continue;
            }
            if !asleep {
                let message = format!(
                    "reading {} was taken {} after the key was off, and modules take {} to {} to sleep",
                    line.number,
                    minutes(waited),
                    minutes(least),
                    minutes(meter::settled().high)
                );
                self.set_aside(at, None, TroubleKind::NotSettled, message);
            } else if line.likely.0.abs() > TOO_MUCH {
                let message = format!(
                    "reading {} is {} with everything off, which only a starter takes: write {} if the meter was in milliampere",
                    line.number,
                    amps(line.likely),
                    amps(line.likely * 1e-3)
                );
                self.set_aside(at, None, TroubleKind::Contradicts, message);
            }
        }
    }

    /// Indices of the readings that count.
    pub(super) fn used(&self) -> Vec<usize> {
        (0..self.lines.len())
            .filter(|&at| self.lines[at].unused.is_none())
            .collect()
    }

    /// The last reading that tells of a current of the hunt; a voltage or a note after it changes nothing.
    pub(super) fn last(&self) -> Option<&Line> {
        self.lines.iter().rev().find(|line| line.of != Of::Other)
    }

    /// Readings that are not of the vehicle asleep are told and left aside.
    fn settle(&mut self, vehicle: &Vehicle, readings: &[Taken]) {
        for one in unsettled(vehicle, readings) {
            if [one.at, one.against]
                .iter()
                .any(|&at| self.lines[at].unused.is_some())
            {
                continue;
            }
            let (of, by) = (&self.lines[one.at], &self.lines[one.against]);
            if let Some(agreeing) = one.stays {
                let message = format!(
                    "reading {} is not of what is drawn now: {} then, {} in reading {} and as much after the wait of reading {}, with no more fuses in",
                    by.number,
                    amps(by.likely),
                    amps(of.likely),
                    of.number,
                    self.lines[agreeing].number
                );
                self.set_aside(one.against, Some(one.at), TroubleKind::NotSettled, message);
                continue;
            }
            let message = if one.rose {
                let handled: Vec<&str> = one
                    .handled
                    .iter()
                    .map(|&part| vehicle.part(part).name.value.as_str())
                    .collect();
                let cause = if handled.is_empty() {
                    "something came on by itself, or wakes from time to time".to_owned()
                } else {
                    format!("handling {} woke a module", handled.join(", "))
                };
                let in_thousandths = of.likely * 1e-3;
                let slip = if of.likely.0 >= 10.0 && in_thousandths <= by.likely {
                    format!(
                        "; or the meter was in milliampere, then write {}",
                        amps(in_thousandths)
                    )
                } else {
                    String::new()
                };
                format!(
                    "reading {} is higher than reading {} with no more fuses in, {} after {}: {cause}{slip}",
                    of.number,
                    by.number,
                    amps(of.likely),
                    amps(by.likely),
                )
            } else {
                format!(
                    "reading {} had not settled: {} then, {} in reading {} with {}",
                    of.number,
                    amps(of.likely),
                    amps(by.likely),
                    by.number,
                    if of.out == by.out {
                        "the same fuses out"
                    } else {
                        "more fuses in"
                    }
                )
            };
            let kind = if one.rose {
                TroubleKind::Woken
            } else {
                TroubleKind::NotSettled
            };
            self.set_aside(one.at, Some(one.against), kind, message);
        }
    }

    fn set_aside(&mut self, at: usize, against: Option<usize>, kind: TroubleKind, message: String) {
        self.lines[at].unused = Some(
            match kind {
                TroubleKind::Woken => "a module was awake",
                TroubleKind::NotSettled => "it had not settled",
                TroubleKind::Contradicts => "it cannot be",
            }
            .to_owned(),
        );
        self.troubles.push(Trouble {
            reading: self.lines[at].number,
            against: against.map(|against| self.lines[against].number),
            kind,
            message,
        });
    }
}

fn line(
    vehicle: &Vehicle,
    circuits: &Circuits,
    taken: &Taken,
    expected: &Expected,
) -> (Line, Give) {
    let none = Interval::exact(Amps::ZERO);
    let mut line = Line {
        number: taken.number,
        out: taken.out.iter().copied().collect(),
        of: Of::Other,
        current: none,
        likely: Amps::ZERO,
        explained: expected.current.unwrap_or(Amps::ZERO),
        floor: Amps::ZERO,
        unused: None,
    };
    let mut give = Give {
        own: 0.0,
        scale: 0.0,
        meter: 0,
    };
    let not = |line: &mut Line, why: &str| line.unused = Some(why.to_owned());
    match taken.shown {
        Shown::Battery(part, measured) if vehicle.starter == Some(part) => {
            line.of = Of::Total;
            take(&mut line, &mut give, measured);
        }
        Shown::Wire(wire, measured) => match fuse_on(vehicle, circuits, wire) {
            Some(fuse) => {
                line.of = Of::Wire(fuse);
                take(&mut line, &mut give, absolute(measured));
            }
            None => not(&mut line, "no fuse carries just the current of its wire"),
        },
        Shown::Across(part, measured) => {
            let ohms = circuits
                .number(part)
                .and_then(|number| circuits.ohms[number]);
            match ohms {
                Some(ohms) => {
                    line.of = Of::Across(part);
                    across(&mut line, &mut give, measured, ohms);
                    give.meter = 1 + circuits.number(part).unwrap_or_default();
                }
                None => not(
                    &mut line,
                    "the resistance of what it was taken across is not known",
                ),
            }
        }
        Shown::Battery(..) => not(
            &mut line,
            "it is of another battery than the one that starts the engine",
        ),
        Shown::At(..) => not(&mut line, "a voltage tells no current"),
        Shown::Nothing => not(&mut line, "nothing was read"),
    }
    if line.unused.is_none() {
        if taken.key != Key::Off {
            not(&mut line, "the key was not off");
        } else if taken.otherwise {
            not(
                &mut line,
                "a switch stood otherwise than the vehicle is left",
            );
        } else if let Some(fuse) = line.of.fuse() {
            let out = circuits.number(fuse).is_some_and(|number| {
                let mut above = circuits.chain(number);
                above.any(|above| taken.out.contains(&circuits.fuses[above]))
            });
            if out {
                not(&mut line, "the fuse, or one that feeds it, was out");
            }
        }
    }
    (line, give)
}

fn take(line: &mut Line, give: &mut Give, measured: Measured<Amps>) {
    line.current = measured.range;
    line.likely = measured.value;
    line.floor = measured.digits;
    give.own = measured.digits.0 / 2.0 + RESTLESS;
    give.scale = measured.value.0.abs() * measured.accuracy.0 / 2.0;
}

/// In a wire the sign only says which way round the meter was.
fn absolute(measured: Measured<Amps>) -> Measured<Amps> {
    if measured.value.0 >= 0.0 {
        return measured;
    }
    Measured {
        value: Amps(-measured.value.0),
        range: Interval {
            low: Amps(-measured.range.high.0),
            high: Amps(-measured.range.low.0),
        },
        ..measured
    }
}

/// Millivolts over a fuse's resistance: a zero is what its last digits leave open, over the least resistance it may have.
fn across(
    line: &mut Line,
    give: &mut Give,
    measured: Measured<Volts>,
    [low, likely, high]: [crate::quantity::Ohms; 3],
) {
    let volts = measured.value.0.abs();
    let open = measured.digits.0 + measured.accuracy.0 * volts;
    let current = volts / likely.0;
    line.current = Interval {
        low: Amps((volts - open).max(0.0) / high.0),
        high: Amps((volts + open) / low.0),
    };
    line.likely = Amps(current);
    line.floor = Amps(measured.digits.0 / low.0);
    give.own = measured.digits.0 / likely.0 / 2.0 + RESTLESS;
    let spread = (high.0 - low.0) / (2.0 * likely.0);
    give.scale = current * (spread + measured.accuracy.0) / 2.0;
}

/// The fuse on one end of a wire, where that wire alone lands there.
fn fuse_on(vehicle: &Vehicle, circuits: &Circuits, wire: WireId) -> Option<PartId> {
    let ends = [vehicle.wire(wire).from, vehicle.wire(wire).to];
    let alone = |terminal: TerminalId| {
        let edges = vehicle.graph.edges(terminal.node());
        edges
            .filter(|edge| matches!(*edge.weight(), Link::Wire(_)))
            .count()
            == 1
    };
    ends.into_iter()
        .filter(|&end| alone(end))
        .filter_map(|end| vehicle.terminal(end).part)
        .find(|&part| circuits.number(part).is_some())
}

pub(super) fn set(parts: &[PartId]) -> BTreeSet<PartId> {
    parts.iter().copied().collect()
}
