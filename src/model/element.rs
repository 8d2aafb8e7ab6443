//! What conducts inside a part: branches between two terminals, each with the law it follows.

use super::fact::Fact;
use super::situation::{Engine, Key};
use super::vehicle::{PartId, TerminalId};
use crate::quantity::{Amps, Fraction, Ohms, Seconds, Volts, Watts};

/// One way for current through a part.
#[derive(Clone, Debug)]
pub struct Branch {
    /// The part.
    pub part: PartId,
    /// What it is within the part: `coil`, `87`, `memory`, `OUT1`; empty where there is only one.
    pub name: String,
    /// Positive current flows from here…
    pub from: TerminalId,
    /// …to here.
    pub to: TerminalId,
    /// Its law.
    pub element: Element,
}

/// The law of a branch.
#[derive(Clone, Debug)]
pub enum Element {
    /// A plain conductor: fuse, closed breaker, pin, ground point, half of a splice.
    Joint(Fact<Ohms>),
    /// A conductor that something opens and closes.
    Contact {
        /// Closed resistance.
        ohms: Fact<Ohms>,
        /// What moves it.
        control: Control,
    },
    /// A relay coil; what it does is decided by the relay part's thresholds.
    Coil {
        /// Resistance at 20 C.
        ohms: Fact<Ohms>,
        /// Closes its contact at this voltage across it, either sign, or more.
        pull_in: Fact<Volts>,
        /// Lets go below this.
        drop_out: Fact<Volts>,
        /// What the coil does.
        role: CoilRole,
        /// Suppression inside it conducts when it is connected the wrong way round.
        diode: bool,
    },
    /// Something that uses current, from its supply to its return.
    Load(Load),
    /// A battery: `from` is its `-`, `to` its `+`.
    Cell {
        /// Rest voltage.
        rest: Fact<Volts>,
        /// Internal resistance.
        ohms: Fact<Ohms>,
        /// The most it takes when being charged.
        charge_limit: Option<Fact<Amps>>,
    },
    /// An alternator: `from` is its `-`, `to` its `+`. Off unless the engine runs.
    Alternator {
        /// Voltage that it holds.
        volts: Fact<Volts>,
        /// Output limit against engine speed, rising; at least one point. Absent where nothing is stated: then it holds
        /// its voltage without limit and checks about it cannot be judged.
        output: Vec<(Engine, Fact<Amps>)>,
    },
    /// A source with its own supply: `from` is its `-`, `to` its `+`. Holds its voltage up to its limit, takes nothing back.
    Charger {
        /// Voltage that it holds.
        volts: Fact<Volts>,
        /// Its limit.
        limit: Option<Fact<Amps>>,
        /// When it is live.
        control: Control,
    },
    /// Passes from `from` to `to` only, above a forward drop.
    Diode {
        /// Forward drop.
        drop: Fact<Volts>,
        /// Resistance when it conducts.
        ohms: Fact<Ohms>,
    },
    /// A converter: takes power at `from` (return `back`) and holds a voltage at `to`.
    Converter {
        /// Its return terminal.
        back: TerminalId,
        /// Voltage held at `to` while it is powered.
        volts: Fact<Volts>,
        /// The most it gives.
        limit: Option<Fact<Amps>>,
        /// Power out over power in.
        efficiency: Fact<Fraction>,
        /// Taken at the input when nothing is connected.
        standby: Fact<Amps>,
    },
}

/// What a coil moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CoilRole {
    /// Holds the contact while it is energised.
    Hold,
    /// Latching: puts the contact in.
    Set,
    /// Latching: puts the contact out.
    Reset,
}

/// A user of current.
#[derive(Clone, Debug)]
pub struct Load {
    /// When awake. Absent where the record states no draw: then it takes nothing in the solution and whatever depends on
    /// it cannot be judged.
    pub law: Option<Law>,
    /// With the key off and settled, in ampere; absent where not stated: then `law` holds there too.
    pub parked: Option<Fact<Amps>>,
    /// Share of the time that it takes `parked`, where it goes on working with the key off; absent where it takes it all the
    /// time.
    pub parked_duty: Option<Fact<Fraction>>,
    /// After the key goes off, until it settles.
    pub settles: Option<(Fact<Amps>, Fact<Seconds>)>,
    /// Named modes with their draw instead of `law`.
    pub modes: Vec<(String, Law)>,
    /// Share of the time that it runs; a load below 100 % is intermittent.
    pub duty: Fact<Fraction>,
    /// Voltage at which the law gives what is stated.
    pub rated: Fact<Volts>,
    /// Below this a constant-power or constant-current load falls linearly to nothing.
    pub min_voltage: Fact<Volts>,
}

/// How a load's current follows its voltage.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Law {
    /// I = V / R.
    Resistance(Fact<Ohms>),
    /// I = P / V.
    Power(Fact<Watts>),
    /// I constant.
    Current(Fact<Amps>),
    /// I = I0 (V / V0)^0.55, linear below a tenth of V0; I0 at the rated voltage.
    Filament(Fact<Amps>),
}

impl Load {
    /// The law by which it takes most, and the mode whose law that is; nothing where no draw is stated.
    #[must_use]
    pub fn heaviest(&self) -> Option<(Law, Option<&str>)> {
        let own = self.law.map(|law| (law, None));
        let modes = self.modes.iter();
        let modes = modes.map(|(mode, law)| (*law, Some(mode.as_str())));
        let takes = |law: Law| law.at_rated(self.rated.likely).0;
        own.into_iter().chain(modes).reduce(|most, next| {
            if takes(next.0) > takes(most.0) {
                next
            } else {
                most
            }
        })
    }
}

impl Law {
    /// What it likely takes at its rated voltage.
    #[must_use]
    pub fn at_rated(self, rated: Volts) -> Amps {
        match self {
            Self::Resistance(ohms) => rated / ohms.likely,
            Self::Power(watts) => watts.likely / rated,
            Self::Current(amps) | Self::Filament(amps) => amps.likely,
        }
    }

    /// The least and the most that it can take, as shares of what is likely: 1 and 1 where it is known exactly.
    #[must_use]
    pub fn spread(self) -> (f64, f64) {
        match self {
            // Twice the resistance is half the current.
            Self::Resistance(ohms) => {
                let (low, high) = ohms.shares();
                (1.0 / high, 1.0 / low)
            }
            Self::Power(watts) => watts.shares(),
            Self::Current(amps) | Self::Filament(amps) => amps.shares(),
        }
    }
}

/// What opens and closes a contact or output.
#[derive(Clone, PartialEq, Debug)]
pub enum Control {
    /// Nothing: always closed.
    Always,
    /// A switch or disconnect of [`crate::model::Vehicle::switches`]: closed in these positions.
    Switch {
        /// Index into `switches`.
        unit: u32,
        /// Positions in which it is closed.
        closed_in: Vec<u8>,
    },
    /// A relay's coil: closed while pulled in (or put in), or while not.
    Relay {
        /// The relay.
        relay: PartId,
        /// Closed when the relay is in (`87`), else when it is out (`87a`).
        when_in: bool,
    },
    /// The key, and what else makes a feed live.
    Hot {
        /// When it is live.
        hot: HotIn,
        /// Stays live this long after the key goes off; settled: dead.
        stays_on: Option<Fact<Seconds>>,
        /// Index into `switches` of the choice `off`/`on`, where the driver switches it.
        unit: Option<u32>,
    },
    /// A delay: closed in accessory and run, and this long after; settled parked: open.
    Delay {
        /// How long after the key goes off.
        keeps_on: Option<Fact<Seconds>>,
        /// Its supply: must be powered.
        part: PartId,
    },
    /// A low-voltage cutoff; hysteresis between the two, by the voltage at its `in`.
    Cutoff {
        /// The cutoff.
        part: PartId,
        /// Opens when the voltage falls below this.
        opens: Fact<Volts>,
        /// Closes when it rises above this.
        closes: Fact<Volts>,
    },
    /// A voltage-sensing isolator, closed when either side is above `closes`, open when both are below `opens`.
    Isolator {
        /// The isolator.
        part: PartId,
        /// Opens when the higher side falls below this.
        opens: Fact<Volts>,
        /// Closes when the higher side rises above this.
        closes: Fact<Volts>,
    },
    /// A controller's output: follows `hot`, and only while the controller is powered.
    Output {
        /// The controller.
        part: PartId,
        /// When it is on.
        hot: HotIn,
        /// Index into `switches` of the choice `off`/`on`, where the driver switches it.
        unit: Option<u32>,
    },
    /// A connector of this `detach` group: open when the group is detached.
    Attached(String),
}

/// When a feed or output is live.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct HotIn {
    /// At all times.
    pub always: bool,
    /// Key positions.
    pub keys: Vec<Key>,
    /// While the engine runs.
    pub engine: bool,
    /// While shore power is connected.
    pub shore: bool,
}

impl HotIn {
    /// Whether it is live in a setting, timed stay-on apart.
    #[must_use]
    pub fn live(&self, key: Key, engine: Engine, shore: bool) -> bool {
        self.always
            || self.keys.contains(&key)
            || (self.engine && engine.runs())
            || (self.shore && shore)
    }
}
