//! Conductor sizes: area and resistance.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::copper;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Celsius;
use crate::quantity::SquareMm;
use crate::quantity::WireSize;

/// Rise of the resistance of copper per kelvin, as a share of that at 20 C (IEC 60028).
pub static TEMPERATURE_COEFFICIENT: LazyLock<Cited<f64>> =
    LazyLock::new(copper::temperature_coefficient);

/// AWG sizes that are sold for vehicles, thinnest first.
const MADE: [i8; 18] = [
    24, 22, 20, 18, 16, 14, 12, 10, 8, 6, 4, 3, 2, 1, 0, -1, -2, -3,
];
/// Sizes from which a new circuit is sized, thinnest first: those with a row in an ampacity table.
const SIZING: [WireSize; 17] = {
    let mut sizes = [WireSize::Awg(0); 17];
    let mut at = 0;
    while at < sizes.len() {
        sizes[at] = WireSize::Awg(MADE[at + 1]);
        at += 1;
    }
    sizes
};
/// The thickest and the thinnest AWG number that is known here.
const KNOWN: std::ops::RangeInclusive<i8> = -3..=36;

#[derive(Deserialize)]
struct SaeRow {
    size: i8,
    minimum_area_mm2: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct IsoRow {
    nominal_mm2: f64,
    max_r20_mohm_per_m: f64,
    source: String,
    basis: Basis,
}

/// One size: area and resistance, each as taken, least, most.
struct Size {
    size: WireSize,
    area: [f64; 3],
    area_source: String,
    r20: [f64; 3],
    r20_source: String,
}

static SIZES: LazyLock<Vec<Size>> = LazyLock::new(|| {
    KNOWN
        .map(awg)
        .chain(rows(include_str!("sae.csv")).iter().map(sae))
        .chain(rows(include_str!("iso.csv")).iter().map(iso))
        .collect()
});

/// Area by the formula of ASTM B258: 36 AWG is 0.127 mm thick, and 39 steps up 92 times that.
fn awg(number: i8) -> Size {
    let size = WireSize::Awg(number);
    let steps = (36.0 - f64::from(number)) / 39.0;
    let diameter = copper::base_diameter().value * copper::diameter_ratio().value.powf(steps);
    let area = std::f64::consts::FRAC_PI_4 * diameter * diameter;
    let area_source = cite("astm-b258", &label(size), Basis::Read);
    Size {
        size,
        area: [area; 3],
        r20: stranded([area; 3]),
        r20_source: with_copper(&area_source),
        area_source,
    }
}

fn sae(row: &SaeRow) -> Size {
    let size = WireSize::Sae(row.size);
    let area = row.minimum_area_mm2;
    let area_source = cite(&row.source, &label(size), row.basis);
    Size {
        size,
        area: [area; 3],
        r20: stranded([area; 3]),
        r20_source: with_copper(&area_source),
        area_source,
    }
}

/// The standard fixes the resistance, not the area: the copper may be as thin as that resistance allows.
fn iso(row: &IsoRow) -> Size {
    let size = WireSize::Iso(row.nominal_mm2);
    let most = row.max_r20_mohm_per_m / 1000.0;
    let ohm_mm2 = copper::resistivity().value * 1e6;
    let nominal = row.nominal_mm2;
    let source = cite(&row.source, &label(size), row.basis);
    Size {
        size,
        area: [nominal, nominal.min(ohm_mm2 / most), nominal],
        r20: [most, most.min(ohm_mm2 / nominal), most],
        area_source: source.clone(),
        r20_source: source,
    }
}

/// Ohm per metre at 20 C of a stranded conductor of this copper area in mm2.
fn stranded(area: [f64; 3]) -> [f64; 3] {
    let rho = copper::resistivity().map(|value| value * 1e6);
    let stranding = copper::stranding();
    [
        rho.value * stranding.value / area[0],
        rho.low * stranding.low / area[2],
        rho.high * stranding.high / area[1],
    ]
}

fn with_copper(area_source: &str) -> String {
    format!(
        "{area_source}; {}; {}",
        copper::resistivity().source,
        copper::stranding().source
    )
}

fn same(a: WireSize, b: WireSize) -> bool {
    match (a, b) {
        (WireSize::Iso(a), WireSize::Iso(b)) => (a - b).abs() <= 1e-9 * b,
        _ => a == b,
    }
}

fn listed(size: WireSize) -> Option<&'static Size> {
    SIZES.iter().find(|one| same(one.size, size))
}

fn cited(values: [f64; 3], source: &'static str) -> Cited<f64> {
    Cited {
        value: values[0],
        low: values[1],
        high: values[2],
        source,
    }
}

/// Copper area of a size. Of a mm2 size the nominal one, down to the least that its greatest resistance allows.
/// Nothing for a size that does not exist.
#[must_use]
pub fn area(size: WireSize) -> Option<Cited<SquareMm>> {
    match (listed(size), size) {
        (Some(row), _) => Some(cited(row.area, &row.area_source).map(SquareMm)),
        (None, WireSize::Iso(nominal)) if nominal.is_finite() && nominal > 0.0 => {
            let allowance = copper::unlisted_allowance();
            Some(Cited {
                value: SquareMm(nominal),
                low: SquareMm(nominal / allowance.high),
                high: SquareMm(nominal),
                source: allowance.source,
            })
        }
        _ => None,
    }
}

/// Resistance of one conductor at 20 C in ohm per metre. AWG: ASTM B258 area; SAE: SAE J1128 least area; both with the
/// copper of IEC 60028 and 2 % for stranding. Listed mm2 sizes: the maximum of ISO 6722; others: ideal copper of the
/// nominal area and a tenth. Nothing for a size that does not exist.
#[must_use]
pub fn r20(size: WireSize) -> Option<Cited<f64>> {
    match (listed(size), size) {
        (Some(row), _) => Some(cited(row.r20, &row.r20_source)),
        (None, WireSize::Iso(nominal)) if nominal.is_finite() && nominal > 0.0 => {
            let ideal = copper::resistivity().value * 1e6 / nominal;
            Some(copper::unlisted_allowance().map(|allowance| ideal * allowance))
        }
        _ => None,
    }
}

/// Whether a size has a row of its own; a mm2 size that has none is reckoned from its nominal area.
#[must_use]
pub fn is_listed(size: WireSize) -> bool {
    listed(size).is_some()
}

/// A resistance (or resistance per metre) of copper at another temperature than 20 C.
#[must_use]
pub fn at_temperature(r20: f64, temperature: Celsius) -> f64 {
    r20 * (1.0 + TEMPERATURE_COEFFICIENT.value * (temperature.0 - 20.0))
}

/// Number of the thickest AWG size sold for vehicles that has no more copper than this; nothing below 24 AWG.
#[must_use]
pub fn next_smaller_awg(area: SquareMm) -> Option<i8> {
    // A thousandth is the rounding of printed areas.
    MADE.iter().copied().rev().find(|&number| {
        listed(WireSize::Awg(number)).is_some_and(|row| row.area[0] <= area.0 * 1.001)
    })
}

/// Sizes to choose from for a new circuit, thinnest first: 22 AWG to 4/0 AWG.
#[must_use]
pub fn sizes() -> &'static [WireSize] {
    &SIZING
}

/// The sizes of the same system (AWG, SAE, mm2) with more copper than this one, thinnest first.
#[must_use]
pub fn thicker_than(size: WireSize) -> Vec<WireSize> {
    let system = std::mem::discriminant(&size);
    let copper = |size| area(size).map_or(0.0, |area| area.value.0);
    let own = copper(size);
    let mut thicker: Vec<WireSize> = listed_sizes()
        .filter(|&other| std::mem::discriminant(&other) == system && copper(other) > own)
        .collect();
    thicker.sort_by(|&a, &b| copper(a).total_cmp(&copper(b)));
    thicker
}

/// As a record and all output write it: `12 AWG`, `2/0 AWG`, `12 SAE`, `3 mm2`.
#[must_use]
pub fn label(size: WireSize) -> String {
    let number = |number: i8| match number {
        1.. => number.to_string(),
        _ => format!("{}/0", 1 - i32::from(number)),
    };
    match size {
        WireSize::Awg(awg) => format!("{} AWG", number(awg)),
        WireSize::Sae(sae) => format!("{} SAE", number(sae)),
        WireSize::Iso(area) => format!("{area} mm2"),
    }
}

/// Every size with a row of its own, for the printed table.
pub(super) fn listed_sizes() -> impl Iterator<Item = WireSize> {
    MADE.iter().map(|&number| WireSize::Awg(number)).chain(
        SIZES
            .iter()
            .map(|row| row.size)
            .filter(|size| !matches!(size, WireSize::Awg(_))),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn files_read_whole() {
        assert_eq!(check::<SaeRow>(include_str!("sae.csv")), 16);
        assert_eq!(check::<IsoRow>(include_str!("iso.csv")), 28);
    }

    #[test]
    fn more_copper_has_less_resistance_in_each_system() {
        let in_order = |of: fn(&WireSize) -> bool| {
            let mut sizes: Vec<WireSize> = SIZES.iter().map(|row| row.size).filter(of).collect();
            sizes.sort_by(|a, b| {
                area(*a)
                    .unwrap()
                    .value
                    .0
                    .total_cmp(&area(*b).unwrap().value.0)
            });
            assert!(sizes.len() > 10);
            for pair in sizes.windows(2) {
                assert!(area(pair[0]).unwrap().value < area(pair[1]).unwrap().value);
                assert!(
                    r20(pair[0]).unwrap().value > r20(pair[1]).unwrap().value,
                    "{pair:?}"
                );
                assert!(
                    r20(pair[0]).unwrap().low > r20(pair[1]).unwrap().low,
                    "{pair:?}"
                );
            }
        };
        in_order(|size| matches!(size, WireSize::Awg(_)));
        in_order(|size| matches!(size, WireSize::Sae(_)));
        in_order(|size| matches!(size, WireSize::Iso(_)));
    }

    #[test]
    fn an_sae_size_has_less_copper_than_the_awg_size_of_its_number() {
        for row in SIZES.iter() {
            if let WireSize::Sae(number) = row.size {
                assert!(row.area[0] < area(WireSize::Awg(number)).unwrap().value.0);
            }
        }
    }

    #[test]
    fn every_value_stands_between_its_ends() {
        for row in SIZES.iter() {
            assert!(row.area[1] <= row.area[0] && row.area[0] <= row.area[2]);
            assert!(row.r20[1] <= row.r20[0] && row.r20[0] <= row.r20[2]);
        }
    }

    #[test]
    fn an_unlisted_metric_size_is_an_assumption_and_a_wrong_one_is_nothing() {
        let seven = r20(WireSize::Iso(7.0)).unwrap();
        assert!((seven.value - 17.241e-3 / 7.0 * 1.1).abs() < 1e-9);
        assert_eq!(seven.source, "common practice, no source");
        for wrong in [
            WireSize::Iso(0.0),
            WireSize::Iso(-1.0),
            WireSize::Iso(f64::NAN),
            WireSize::Awg(-4),
            WireSize::Awg(50),
            WireSize::Sae(11),
        ] {
            assert!(area(wrong).is_none() && r20(wrong).is_none(), "{wrong:?}");
        }
    }

    #[test]
    fn the_next_smaller_size_never_has_more_copper() {
        assert_eq!(next_smaller_awg(SquareMm(3.31)), Some(12));
        assert_eq!(next_smaller_awg(SquareMm(3.30)), Some(14));
        assert_eq!(next_smaller_awg(SquareMm(2.91)), Some(14));
        assert_eq!(next_smaller_awg(SquareMm(500.0)), Some(-3));
        assert_eq!(next_smaller_awg(SquareMm(0.1)), None);
    }

    #[test]
    fn labels_are_as_records_write_them() {
        assert_eq!(label(WireSize::Awg(12)), "12 AWG");
        assert_eq!(label(WireSize::Awg(0)), "1/0 AWG");
        assert_eq!(label(WireSize::Awg(-3)), "4/0 AWG");
        assert_eq!(label(WireSize::Sae(-1)), "2/0 SAE");
        assert_eq!(label(WireSize::Iso(2.5)), "2.5 mm2");
        assert_eq!(label(WireSize::Iso(16.0)), "16 mm2");
    }

    #[test]
    fn hot_copper_resists_more() {
        assert!((at_temperature(1.0, Celsius(75.0)) - 1.21615).abs() < 1e-9);
        assert_eq!(at_temperature(1.0, Celsius(20.0)), 1.0);
    }
}
