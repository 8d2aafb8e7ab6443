//! Every spelling of a unit that is read.

use super::Dimension;

/// A unit: so many base units, as a whole number times a power of ten, so that no digit is lost on the way.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Unit {
    /// What it measures.
    pub dimension: Dimension,
    /// Whole part of its size in base units.
    pub times: u32,
    /// Power of ten that goes with it.
    pub exponent: i8,
    /// Not a plain multiple of the base unit: a Fahrenheit or Kelvin scale.
    pub scale: Scale,
    /// As messages write it.
    pub symbol: &'static str,
}

/// How a number on the unit's scale becomes one in base units.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Scale {
    /// By multiplying.
    Plain,
    /// From degrees Fahrenheit.
    Fahrenheit,
    /// From kelvin.
    Kelvin,
}

const fn unit(symbol: &'static str, dimension: Dimension, times: u32, exponent: i8) -> Unit {
    Unit {
        dimension,
        times,
        exponent,
        scale: Scale::Plain,
        symbol,
    }
}

const fn degree(symbol: &'static str, scale: Scale) -> Unit {
    Unit {
        dimension: Dimension::Temperature,
        times: 1,
        exponent: 0,
        scale,
        symbol,
    }
}

use Dimension::{
    Charge, Current, Fraction, Length, Multiple, Power, Resistance, Speed, Time, Voltage,
};

/// Spellings with what they stand for; the first spelling of a row is the one that messages use.
///
/// A foot is 0.3048 m and an inch 0.0254 m by definition; a year is 365.25 days and a month a twelfth of it.
#[rustfmt::skip]
const UNITS: &[(Unit, &[&str])] = &[
    (unit("A", Current, 1, 0), &["A", "amp", "amps", "ampere", "amperes"]),
    (unit("mA", Current, 1, -3), &["mA", "milliamp", "milliamps", "milliampere", "milliamperes"]),
    (unit("uA", Current, 1, -6), &["uA", "µA", "μA", "microamp", "microamps"]),
    (unit("kA", Current, 1, 3), &["kA"]),
    (unit("V", Voltage, 1, 0), &["V", "volt", "volts", "Vdc", "V dc"]),
    (unit("mV", Voltage, 1, -3), &["mV", "millivolt", "millivolts"]),
    (unit("uV", Voltage, 1, -6), &["uV", "µV", "μV", "microvolt", "microvolts"]),
    (unit("kV", Voltage, 1, 3), &["kV"]),
    (unit("ohm", Resistance, 1, 0), &["ohm", "ohms", "Ω", "Ω"]),
    (unit("mohm", Resistance, 1, -3), &["mohm", "mohms", "mΩ", "mΩ", "milliohm", "milliohms", "m ohm"]),
    (unit("uohm", Resistance, 1, -6), &["uohm", "µohm", "uΩ", "µΩ", "µΩ", "microohm", "microohms"]),
    (unit("kohm", Resistance, 1, 3), &["kohm", "kohms", "kΩ", "kΩ"]),
    (unit("Mohm", Resistance, 1, 6), &["Mohm", "Mohms", "MΩ", "MΩ", "megohm", "megohms"]),
    (unit("W", Power, 1, 0), &["W", "watt", "watts"]),
    (unit("mW", Power, 1, -3), &["mW", "milliwatt", "milliwatts"]),
    (unit("kW", Power, 1, 3), &["kW", "kilowatt", "kilowatts"]),
    (unit("Ah", Charge, 1, 0), &["Ah", "A h", "A·h", "amp-hour", "amp-hours", "amp hour", "amp hours", "ampere-hour", "ampere-hours"]),
    (unit("mAh", Charge, 1, -3), &["mAh"]),
    (unit("s", Time, 1, 0), &["s", "sec", "secs", "second", "seconds"]),
    (unit("ms", Time, 1, -3), &["ms", "millisecond", "milliseconds"]),
    (unit("min", Time, 60, 0), &["min", "mins", "minute", "minutes"]),
    (unit("h", Time, 3600, 0), &["h", "hr", "hrs", "hour", "hours"]),
    (unit("days", Time, 86_400, 0), &["days", "day", "d"]),
    (unit("weeks", Time, 604_800, 0), &["weeks", "week", "wk", "wks"]),
    (unit("months", Time, 2_629_800, 0), &["months", "month"]),
    (unit("years", Time, 31_557_600, 0), &["years", "year", "yr", "yrs"]),
    (unit("m", Length, 1, 0), &["m", "meter", "meters", "metre", "metres"]),
    (unit("cm", Length, 1, -2), &["cm", "centimeter", "centimeters", "centimetre", "centimetres"]),
    (unit("mm", Length, 1, -3), &["mm", "millimeter", "millimeters", "millimetre", "millimetres"]),
    (unit("ft", Length, 3048, -4), &["ft", "foot", "feet", "'", "’", "′"]),
    (unit("in", Length, 254, -4), &["in", "inch", "inches", "\"", "”", "″", "''"]),
    (unit("yd", Length, 9144, -4), &["yd", "yard", "yards"]),
    (degree("C", Scale::Plain), &["C", "°C", "deg C", "degC", "degrees C", "celsius"]),
    (degree("F", Scale::Fahrenheit), &["F", "°F", "deg F", "degF", "degrees F", "fahrenheit"]),
    (degree("K", Scale::Kelvin), &["K", "kelvin"]),
    (unit("%", Fraction, 1, -2), &["%", "percent", "pct", "per cent"]),
    (unit("rpm", Speed, 1, 0), &["rpm", "r/min", "rev/min"]),
    (unit("x", Multiple, 1, 0), &["x", "×", "times"]),
];

/// The unit of a spelling: as written, else without regard to capitals where that leaves no doubt (`Mohm` is not `mohm`, and
/// `MA` is nobody's megaampere).
pub(super) fn find(spelling: &str) -> Option<Unit> {
    let trimmed = spelling.trim_end_matches('.');
    let exact = |row: &&(Unit, &[&str])| row.1.contains(&trimmed);
    if let Some((unit, _)) = UNITS.iter().find(exact) {
        return Some(*unit);
    }
    if trimmed.starts_with('M') && trimmed.len() < 5 && !trimmed.eq_ignore_ascii_case("min") {
        return None;
    }
    let mut alike = UNITS.iter().filter(|(_, spellings)| {
        spellings
            .iter()
            .any(|one| one.eq_ignore_ascii_case(trimmed))
    });
    let (unit, _) = alike.next()?;
    alike.next().is_none().then_some(*unit)
}

/// Symbols of the units of these dimensions, for a list of what could have been meant.
pub(super) fn symbols(wanted: &[Dimension]) -> impl Iterator<Item = &'static str> {
    UNITS
        .iter()
        .filter(move |(unit, _)| wanted.contains(&unit.dimension))
        .map(|(unit, _)| unit.symbol)
}

/// The symbol whose spelling is nearest to a word, of these dimensions.
pub(super) fn nearest(word: &str, wanted: &[Dimension]) -> Option<&'static str> {
    let lower = word.to_lowercase();
    UNITS
        .iter()
        .filter(|(unit, _)| wanted.contains(&unit.dimension))
        .flat_map(|(unit, spellings)| spellings.iter().map(move |one| (unit.symbol, one)))
        .map(|(symbol, one)| {
            let distance = strsim::damerau_levenshtein(&lower, &one.to_lowercase());
            (distance, symbol, one.chars().count())
        })
        .filter(|&(distance, _, length)| distance <= length / 3)
        .min_by_key(|&(distance, ..)| distance)
        .map(|(_, symbol, _)| symbol)
}
