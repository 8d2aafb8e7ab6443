//! Heat of a short fault in a conductor: no time for any of it to leave.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::copper;
use super::figure::figures;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Seconds;
use crate::quantity::SquareMm;

figures! { "heating.csv";
    /// Longest fault of which no heat is taken to leave the conductor.
    adiabatic_up_to: Seconds = "adiabatic-up-to", "s";
}

#[derive(Deserialize)]
struct Row {
    insulation: String,
    from_class_c: f64,
    final_c: f64,
    source: String,
    basis: Basis,
}

struct Limit {
    row: Row,
    source: String,
}

static LIMITS: LazyLock<Vec<Limit>> = LazyLock::new(|| {
    rows::<Row>(include_str!("adiabatic.csv"))
        .into_iter()
        .map(|row| Limit {
            source: cite(&row.source, &row.insulation, row.basis),
            row,
        })
        .collect()
});

/// Temperature that insulation of a class stands at the end of a short fault: 160 C of thermoplastic (classes below
/// 125 C), 250 C of cross-linked (IEC 60364-5-54).
#[must_use]
pub fn final_temperature(class: Celsius) -> Option<Cited<Celsius>> {
    let found = LIMITS
        .iter()
        .rev()
        .find(|one| one.row.from_class_c <= class.0)?;
    Some(Cited::exact(Celsius(found.row.final_c), &found.source))
}

/// Factor k of copper in A s^0.5 / mm2 between two temperatures: 226 sqrt(ln((234.5 + end) / (234.5 + start)))
/// (IEC 60949). Nothing where the end is not above the start.
#[must_use]
pub fn k(start: Celsius, end: Celsius) -> Option<f64> {
    let zero = copper::zero_resistance().value;
    let ratio = (zero + end.0) / (zero + start.0);
    (zero + start.0 > 0.0 && ratio > 1.0)
        .then(|| copper::adiabatic_constant().value * ratio.ln().sqrt())
}

/// Heat that a conductor takes between two temperatures as the integral of the squared current, in ampere squared
/// seconds: (k S)^2. Nothing where the end is not above the start.
#[must_use]
pub fn withstand(area: SquareMm, start: Celsius, end: Celsius) -> Option<f64> {
    k(start, end).map(|k| (k * area.0).powi(2))
}

/// Time for which a conductor stands a current, from one temperature to another; without end for no current.
#[must_use]
pub fn time(area: SquareMm, start: Celsius, end: Celsius, current: Amps) -> Option<Seconds> {
    withstand(area, start, end).map(|heat| Seconds(heat / (current.0 * current.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn the_file_reads_whole_and_rises() {
        assert_eq!(check::<Row>(include_str!("adiabatic.csv")), LIMITS.len());
        for pair in LIMITS.windows(2) {
            assert!(pair[0].row.from_class_c < pair[1].row.from_class_c);
            assert!(pair[0].row.final_c < pair[1].row.final_c);
        }
    }

    #[test]
    fn the_hotter_it_starts_the_less_it_stands() {
        let end = Celsius(160.0);
        let mut last = f64::INFINITY;
        for start in -40..160 {
            let now = k(Celsius(f64::from(start)), end).unwrap();
            assert!(now < last);
            last = now;
        }
        assert_eq!(k(end, end), None);
        assert_eq!(k(Celsius(-300.0), end), None);
    }

    #[test]
    fn time_falls_with_the_square_of_the_current() {
        let at = |amps| {
            time(SquareMm(0.823), Celsius(30.0), Celsius(160.0), Amps(amps))
                .unwrap()
                .0
        };
        assert!((at(50.0) / at(100.0) - 4.0).abs() < 1e-12);
        assert!(at(0.0).is_infinite());
    }
}
