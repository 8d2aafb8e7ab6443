//! Thin unit types and ranges. Inside the program every quantity is one of these; text becomes one in
//! [`parse`] and one becomes text in [`show`].
//!
//! Bases: ampere, volt, ohm, watt, metre, square millimetre, degree Celsius, ampere-hour, second; a fraction is
//! 1.0 for 100 %.

mod dimension;
mod interval;
mod number;
pub mod parse;
pub mod show;
mod size;
mod unit;
mod units;
mod unusual;

pub use dimension::{Dimension, Origin, WireSize};
pub use interval::{Interval, Scalar};
pub use show::Units;
pub use units::{
    AmpHours, Amps, Celsius, Fraction, Meters, Ohms, Rpm, Seconds, SquareMm, Volts, Watts,
};
