//! Values typed from publications, against the program. One file a publication; each test names title, table and row,
//! its tolerance, and whether the value was read or is from memory. `SOURCES.md` beside this file lists what was read.

#![allow(clippy::panic, reason = "a test fails by panic")]
#![allow(
    clippy::approx_constant,
    reason = "3.14 is what two tables print for a resistance"
)]

mod army_manuals;
mod astm_b258;
mod battery_pages;
mod cfr_33_183;
mod circuits;
mod circular_mil;
mod din_72552;
mod faa_ac_43_13;
mod fuse_sheets;
mod iec_60028;
mod iec_60364;
mod iso_6722;
mod nec_310;
mod nec_chapter_9;
mod ngspice;
mod pybamm;
mod random_circuit;
mod regulator;
mod relay_sheets;
mod standing;

/// Fails unless `got` is within a share of `expected`.
#[track_caller]
fn close(what: &str, got: f64, expected: f64, share: f64) {
    assert!(
        (got - expected).abs() <= share * expected.abs(),
        "{what}: {got} is not within {} % of {expected}",
        share * 100.0
    );
}
