//! The laws of what is not a plain resistance: current through it against the voltage across it.

use std::sync::LazyLock;

use crate::model::element::Load;
use crate::model::{Engine, Fact, Law};
use crate::quantity::Amps;
use crate::table::load;

use super::Way;

/// What an ideal joint or a source that holds its voltage is solved with, in ohm: a microvolt at a hundred ampere.
pub(super) const IDEAL: f64 = 1e-8;
/// Slope of a current that does not follow the voltage, in siemens: only guides the way to the solution.
const GUIDE: f64 = 1e-9;
/// A load is connected the wrong way round from this voltage on, in volt; less is rounding.
const BACKWARDS: f64 = 1e-9;
/// What passes a load the wrong way round, in siemens: and one that takes nothing: but a trace, so that a point
/// that hangs on it alone has the voltage of its other side.
const TRACE: f64 = 1e-12;
/// A diode conducts above its drop by this, in volt, and stops below it by as much.
const DIODE_BAND: f64 = 1e-12;
/// The least resistance of a conducting diode, in ohm.
const DIODE_OHMS: f64 = 1e-6;
/// Currents of sources closer than this to a limit, in ampere, are at it.
const SOURCE_BAND: f64 = 1e-6;
/// Exponent of a filament's current over voltage.
static FILAMENT: LazyLock<f64> = LazyLock::new(|| load::filament_exponent().value);
/// Share of the rated voltage below which a filament is a plain resistance.
static FILAMENT_COLD: LazyLock<f64> = LazyLock::new(|| load::filament_linear_below().value.0);

/// A straight line through a law: current = `slope` · voltage + `offset`.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Line {
    /// In siemens.
    pub slope: f64,
    /// In ampere.
    pub offset: f64,
}

impl Line {
    /// Nothing flows.
    pub(super) const OPEN: Self = Self {
        slope: 0.0,
        offset: 0.0,
    };

    fn through(volts: f64, amps: f64, slope: f64) -> Self {
        Self {
            slope,
            offset: amps - slope * volts,
        }
    }

    /// The current at a voltage.
    pub(super) fn at(self, volts: f64) -> f64 {
        self.slope * volts + self.offset
    }
}

/// How a load's law is put in the linear network.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Fit {
    /// Not connected.
    Nothing,
    /// By the tangent: quick.
    Tangent,
    /// By the chord to nothing, a resistance: never steps past the highest solution.
    Chord,
}

/// A load in one state.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) struct Draw {
    law: Plain,
    /// Below this it fades.
    fades: f64,
    /// Whether it draws the other way round too.
    both_ways: bool,
}

#[derive(Clone, Copy, PartialEq, Debug)]
enum Plain {
    Nothing,
    Conductance(f64),
    Steady { watts: f64, amps: f64 },
    Filament { amps: f64, rated: f64 },
}

impl Draw {
    /// Takes nothing.
    pub(super) const NOTHING: Self = Self {
        law: Plain::Nothing,
        fades: 1.0,
        both_ways: false,
    };

    /// By a law of the record.
    pub(super) fn new(load: &Load, law: Option<Law>, both_ways: bool) -> Self {
        let rated = load.rated.likely.0;
        let steady = |watts: f64, amps: f64| match (watts, amps) {
            (0.0, 0.0) => Plain::Conductance(TRACE),
            _ => Plain::Steady { watts, amps },
        };
        let plain = match law {
            None => Plain::Nothing,
            Some(Law::Resistance(ohms)) => Plain::Conductance(1.0 / ohms.likely.0.max(IDEAL)),
            Some(Law::Power(watts)) => steady(watts.likely.0, 0.0),
            Some(Law::Current(amps)) => steady(0.0, amps.likely.0),
            Some(Law::Filament(amps)) if rated > 0.0 => Plain::Filament {
                amps: amps.likely.0,
                rated,
            },
            Some(Law::Filament(amps)) => steady(0.0, amps.likely.0),
        };
        Self {
            law: plain,
            fades: load.min_voltage.likely.0.max(1e-3),
            both_ways,
        }
    }

    /// A constant power and a constant current that both fade below a voltage.
    pub(super) fn steady(watts: f64, amps: f64, fades: f64) -> Self {
        Self {
            law: Plain::Steady { watts, amps },
            fades: fades.max(1e-3),
            both_ways: false,
        }
    }

    /// A constant current that fades below the load's least voltage.
    pub(super) fn current(load: &Load, amps: Fact<Amps>, both_ways: bool) -> Self {
        Self::new(load, Some(Law::Current(amps)), both_ways)
    }

    /// Whether it can draw at all.
    pub(super) fn draws(&self) -> bool {
        self.law != Plain::Nothing
    }

    /// Whether its law bends at the voltage where it fades, and this voltage is below.
    pub(super) fn faded(&self, volts: f64) -> bool {
        matches!(self.law, Plain::Steady { .. })
            && (volts.abs() < self.fades || (volts < -BACKWARDS && !self.both_ways))
    }

    /// The straight line at a voltage.
    pub(super) fn line(&self, volts: f64, fit: Fit) -> Line {
        if fit == Fit::Nothing {
            return Line::OPEN;
        }
        let size = volts.abs();
        let backwards = volts < -BACKWARDS && !self.both_ways;
        match self.law {
            Plain::Nothing => Line::OPEN,
            Plain::Conductance(slope) => Line { slope, offset: 0.0 },
            Plain::Steady { .. } if backwards => Line {
                slope: TRACE,
                offset: 0.0,
            },
            Plain::Steady { watts, amps } if size < self.fades => Line {
                slope: (watts / self.fades + amps) / self.fades,
                offset: 0.0,
            },
            Plain::Steady { watts, amps } => {
                let drawn = watts / size + amps;
                match fit {
                    Fit::Tangent => {
                        let slope = GUIDE - watts / (size * size);
                        Line::through(volts, drawn * volts.signum(), slope)
                    }
                    _ => Line {
                        slope: drawn / size,
                        offset: 0.0,
                    },
                }
            }
            Plain::Filament { amps, rated } => {
                let share = (size / rated).max(*FILAMENT_COLD);
                let chord = amps / rated * share.powf(*FILAMENT - 1.0);
                if fit == Fit::Tangent && size > *FILAMENT_COLD * rated {
                    Line::through(volts, chord * volts, *FILAMENT * chord)
                } else {
                    Line {
                        slope: chord,
                        offset: 0.0,
                    }
                }
            }
        }
    }
}

/// A battery, a source that holds a voltage, or a diode: straight pieces, of which one holds.
#[derive(Clone, Copy, PartialEq, Debug)]
pub(super) enum Piecewise {
    /// Voltage `rest` behind `ohms`; takes no more than `limit`.
    Cell { rest: f64, ohms: f64, limit: f64 },
    /// Holds `volts`, gives between nothing and `limit`. Off where not powered.
    Source { volts: f64, limit: f64, on: bool },
    /// Conducts one way above `drop`.
    Diode { drop: f64, ohms: f64 },
}

impl Piecewise {
    /// What never conducts.
    pub(super) const GONE: Self = Self::Source {
        volts: 0.0,
        limit: 0.0,
        on: false,
    };

    /// A diode.
    pub(super) fn diode(drop: f64, ohms: f64) -> Self {
        Self::Diode {
            drop,
            ohms: ohms.max(DIODE_OHMS),
        }
    }

    /// The way in which it is taken to be at first.
    pub(super) const fn first(&self) -> Way {
        match self {
            Self::Cell { .. } => Way::Free,
            Self::Source { on: true, .. } => Way::Holding,
            Self::Source { on: false, .. } | Self::Diode { .. } => Way::Off,
        }
    }

    /// Current from its `from` to its `to` against the voltage of `from` over `to`, in a way.
    pub(super) fn line(&self, way: Way, volts: f64) -> Line {
        match (*self, way) {
            (Self::Cell { limit, .. }, Way::ChargeLimit) => Line::through(volts, -limit, GUIDE),
            (Self::Cell { rest, ohms, .. }, _) => Line {
                slope: 1.0 / ohms,
                offset: rest / ohms,
            },
            (Self::Source { volts: held, .. }, Way::Holding) => Line {
                slope: 1.0 / IDEAL,
                offset: held / IDEAL,
            },
            (Self::Source { limit, .. }, Way::AtLimit) => Line::through(volts, limit, GUIDE),
            (Self::Diode { drop, ohms }, Way::Holding) => Line {
                slope: 1.0 / ohms,
                offset: -drop / ohms,
            },
            _ => Line::OPEN,
        }
    }

    /// The way that agrees with a voltage, one step from the present one.
    pub(super) fn next(&self, way: Way, volts: f64) -> Way {
        match *self {
            Self::Cell { rest, ohms, limit } => {
                let charge = -(rest + volts) / ohms;
                match way {
                    Way::ChargeLimit if charge < limit - SOURCE_BAND => Way::Free,
                    Way::ChargeLimit => Way::ChargeLimit,
                    _ if charge > limit + SOURCE_BAND => Way::ChargeLimit,
                    _ => Way::Free,
                }
            }
            Self::Source { on: false, .. } => Way::Off,
            Self::Source {
                volts: held, limit, ..
            } => {
                let amps = (held + volts) / IDEAL;
                match way {
                    Way::AtLimit if amps < limit - SOURCE_BAND => Way::Holding,
                    Way::AtLimit => Way::AtLimit,
                    Way::Off if amps > SOURCE_BAND => Way::Holding,
                    Way::Off => Way::Off,
                    _ if amps > limit + SOURCE_BAND => Way::AtLimit,
                    _ if amps < -SOURCE_BAND => Way::Off,
                    _ => Way::Holding,
                }
            }
            Self::Diode { drop, .. } => {
                let over = volts - drop;
                match way {
                    Way::Holding if over < -DIODE_BAND => Way::Off,
                    Way::Holding => Way::Holding,
                    _ if over > DIODE_BAND => Way::Holding,
                    _ => Way::Off,
                }
            }
        }
    }
}

/// Output limit of an alternator at an engine speed, in ampere; no limit where nothing is stated.
///
/// Between stated speeds it is taken in a straight line; beyond them as at the nearest. An engine speed where the record gives
/// output only at idle and cruise is taken as idle: less is never promised more.
pub(crate) fn output(points: &[(Engine, Fact<Amps>)], engine: Engine) -> f64 {
    let named = |wanted: Engine| {
        let mut found = points.iter().filter(|(at, _)| *at == wanted);
        found.next().map(|(_, amps)| amps.likely.0)
    };
    let speeds = || {
        points.iter().filter_map(|(at, amps)| match at {
            Engine::Speed(rpm) => Some((rpm.0, amps.likely.0)),
            _ => None,
        })
    };
    let least = points
        .iter()
        .map(|(_, amps)| amps.likely.0)
        .fold(f64::INFINITY, f64::min);
    match engine {
        Engine::Stopped => 0.0,
        Engine::Idle => named(Engine::Idle)
            .or_else(|| speeds().next().map(|(_, amps)| amps))
            .unwrap_or(least),
        Engine::Cruise => named(Engine::Cruise)
            .or_else(|| speeds().next_back().map(|(_, amps)| amps))
            .unwrap_or(least),
        Engine::Speed(rpm) => {
            let below = speeds().rfind(|(at, _)| *at <= rpm.0);
            let above = speeds().find(|(at, _)| *at > rpm.0);
            match (below, above) {
                (Some((at, amps)), Some((next, more))) => {
                    amps + (more - amps) * (rpm.0 - at) / (next - at)
                }
                (Some((_, amps)), None) | (None, Some((_, amps))) => amps,
                (None, None) => least,
            }
        }
    }
}
