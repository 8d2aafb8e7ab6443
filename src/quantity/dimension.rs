//! What quantities measure, where they are from, and conductor sizes.

/// What a quantity measures.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Dimension {
    /// Ampere.
    Current,
    /// Volt.
    Voltage,
    /// Ohm.
    Resistance,
    /// Watt.
    Power,
    /// Ampere-hour.
    Charge,
    /// Second.
    Time,
    /// Metre.
    Length,
    /// Degree Celsius.
    Temperature,
    /// A share: 1.0 is 100 %.
    Fraction,
    /// Revolutions per minute.
    Speed,
    /// A multiple of something else: `6x`.
    Multiple,
    /// A plain count: `in-parallel: 2`.
    Count,
}

impl Dimension {
    /// As a message names it: `a current`.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Current => "a current",
            Self::Voltage => "a voltage",
            Self::Resistance => "a resistance",
            Self::Power => "a power",
            Self::Charge => "a number of ampere-hours",
            Self::Time => "a time",
            Self::Length => "a length",
            Self::Temperature => "a temperature",
            Self::Fraction => "a share",
            Self::Speed => "an engine speed",
            Self::Multiple => "a multiple",
            Self::Count => "a count",
        }
    }

    /// The symbol of the base unit; that of the unit type in [`crate::quantity`].
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Current => "A",
            Self::Voltage => "V",
            Self::Resistance => "ohm",
            Self::Power => "W",
            Self::Charge => "Ah",
            Self::Time => "s",
            Self::Length => "m",
            Self::Temperature => "C",
            Self::Fraction => "1",
            Self::Speed => "rpm",
            Self::Multiple => "x",
            Self::Count => "",
        }
    }
}

/// Where a value is from, as the record says.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum Origin {
    /// Nothing was said.
    #[default]
    Unstated,
    /// On the meter.
    Measured,
    /// From the label.
    Label,
    /// From the maker's papers.
    Maker,
    /// Somebody's guess.
    Guess,
}

impl Origin {
    /// Those that can be written.
    pub const ALL: &'static [Self] = &[Self::Measured, Self::Label, Self::Maker, Self::Guess];

    /// As written in brackets after a value; empty where nothing was said.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Unstated => "",
            Self::Measured => "measured",
            Self::Label => "label",
            Self::Maker => "maker",
            Self::Guess => "guess",
        }
    }
}

/// A conductor size. The three systems are different sizes under like numbers.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum WireSize {
    /// ASTM B258: 12 is 12 AWG, 0 is 1/0, -1 is 2/0, -3 is 4/0.
    Awg(i8),
    /// SAE J1128/J1127, the smaller size of the same number; numbered as [`WireSize::Awg`].
    Sae(i8),
    /// ISO 6722/19642 nominal area in square millimetres.
    Iso(f64),
}

impl std::fmt::Display for WireSize {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let gauge = |number: i8| {
            if number > 0 {
                number.to_string()
            } else {
                format!("{}/0", 1 - i32::from(number))
            }
        };
        match *self {
            Self::Awg(number) => write!(f, "{} AWG", gauge(number)),
            Self::Sae(number) => write!(f, "{} SAE", gauge(number)),
            Self::Iso(area) => write!(f, "{area} mm2"),
        }
    }
}
