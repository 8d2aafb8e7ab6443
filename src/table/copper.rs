//! Copper and the sizes of round wire.

use super::figure::figures;
use crate::quantity::Celsius;

figures! { "copper.csv";
    /// Resistivity of annealed copper at 20 C in ohm metre; hard-drawn and tinned copper up to 3 % more (IEC 60028).
    resistivity: f64 = "resistivity", "ohm m";
    /// Rise of resistance per kelvin, as a share of that at 20 C (IEC 60028).
    temperature_coefficient: f64 = "temperature-coefficient", "1/K";
    /// Resistance of stranded over solid copper of the same size (from NEC chapter 9 table 8).
    stranding: f64 = "stranding", "1";
    /// Resistance of a mm2 size that is in no list, over the ideal of its nominal area.
    unlisted_allowance: f64 = "unlisted-allowance", "1";
    /// The 226 of the adiabatic formula, in A s^0.5 / mm2 (IEC 60949).
    adiabatic_constant: f64 = "adiabatic-constant", "A s^0.5/mm2";
    /// The temperature at which the straight line of resistance reaches nothing, below zero (IEC 60949).
    zero_resistance: f64 = "zero-resistance-temperature", "C";
    /// Diameter of 36 AWG in millimetre (ASTM B258).
    base_diameter: f64 = "base-diameter", "mm";
    /// Diameter of 4/0 AWG over that of 36 AWG (ASTM B258).
    diameter_ratio: f64 = "diameter-ratio", "1";
    /// Where copper melts.
    melting_point: Celsius = "melting-point", "C";
    /// Heat that melts a fusible link at the latest over what would melt its bare copper at once.
    link_latest_factor: f64 = "link-latest-factor", "1";
}
