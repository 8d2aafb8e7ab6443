//! One type per unit, and only the products that physics allows.

use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

use super::Scalar;

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident($symbol:literal);)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, PartialOrd, Debug, Default)]
        pub struct $name(pub f64);

        impl Scalar for $name {
            const SYMBOL: &'static str = $symbol;
            fn get(self) -> f64 { self.0 }
            fn of(value: f64) -> Self { Self(value) }
        }
        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            /// Without its sign.
            #[must_use]
            pub fn abs(self) -> Self { Self(self.0.abs()) }
            /// The larger of the two.
            #[must_use]
            pub fn max(self, other: Self) -> Self { Self(self.0.max(other.0)) }
            /// The smaller of the two.
            #[must_use]
            pub fn min(self, other: Self) -> Self { Self(self.0.min(other.0)) }
        }
        impl Add for $name { type Output = Self; fn add(self, other: Self) -> Self { Self(self.0 + other.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, other: Self) -> Self { Self(self.0 - other.0) } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, other: Self) { self.0 += other.0; } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, by: f64) -> Self { Self(self.0 * by) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, by: f64) -> Self { Self(self.0 / by) } }
        impl Div for $name { type Output = f64; fn div(self, by: Self) -> f64 { self.0 / by.0 } }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self { Self(all.map(|one| one.0).sum()) }
        }
    )*};
}

units! {
    /// Current in ampere.
    Amps("A");
    /// Voltage in volt.
    Volts("V");
    /// Resistance in ohm.
    Ohms("ohm");
    /// Power in watt.
    Watts("W");
    /// Length in metre.
    Meters("m");
    /// Conductor area in square millimetre.
    SquareMm("mm2");
    /// Temperature in degree Celsius.
    Celsius("C");
    /// Charge in ampere-hour.
    AmpHours("Ah");
    /// Time in second.
    Seconds("s");
    /// A share of one: 1.0 is 100 %.
    Fraction("1");
    /// Engine speed in revolutions per minute.
    Rpm("rpm");
}

impl Seconds {
    /// From hours.
    #[must_use]
    pub fn from_hours(hours: f64) -> Self {
        Self(hours * 3600.0)
    }
    /// In hours.
    #[must_use]
    pub fn hours(self) -> f64 {
        self.0 / 3600.0
    }
    /// In days.
    #[must_use]
    pub fn days(self) -> f64 {
        self.0 / 86_400.0
    }
}

macro_rules! product {
    ($($a:ident * $b:ident = $c:ident;)*) => {$(
        impl Mul<$b> for $a { type Output = $c; fn mul(self, other: $b) -> $c { $c(self.0 * other.0) } }
        impl Mul<$a> for $b { type Output = $c; fn mul(self, other: $a) -> $c { $c(self.0 * other.0) } }
        impl Div<$a> for $c { type Output = $b; fn div(self, other: $a) -> $b { $b(self.0 / other.0) } }
        impl Div<$b> for $c { type Output = $a; fn div(self, other: $b) -> $a { $a(self.0 / other.0) } }
    )*};
}

product! {
    Amps * Ohms = Volts;
    Volts * Amps = Watts;
}

impl Div<Amps> for AmpHours {
    type Output = Seconds;
    fn div(self, current: Amps) -> Seconds {
        Seconds::from_hours(self.0 / current.0)
    }
}

impl Mul<Seconds> for Amps {
    type Output = AmpHours;
    fn mul(self, time: Seconds) -> AmpHours {
        AmpHours(self.0 * time.hours())
    }
}
