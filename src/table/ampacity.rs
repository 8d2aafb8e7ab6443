//! Lasting current that a conductor may carry, by insulation class.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use super::wire;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Volts;
use crate::quantity::WireSize;

/// Which published table is asked.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum Scheme {
    /// 33 CFR 183.425 Table 5, by insulation class, at 30 C ambient; its note 1 in an engine space.
    #[default]
    Cfr183,
    /// The fuse column of FAA AC 43.13-1B table 11-3: a conservative chart for bundles in hot, thin air.
    Faa4313,
    /// NEC table 310.16: conductors of a building in a raceway or cable, at 30 C ambient.
    Nec31016,
}

impl Scheme {
    /// Every scheme, the default first.
    pub const ALL: [Self; 3] = [Self::Cfr183, Self::Faa4313, Self::Nec31016];

    /// The name of the scheme in `rules: {ampacity: …}` and on the command line.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cfr183 => "33-cfr-183",
            Self::Faa4313 => "faa-43-13",
            Self::Nec31016 => "nec-310-16",
        }
    }

    /// The scheme of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scheme| scheme.name() == name)
    }
}

/// Which published factors hold for conductors that lie together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub enum BundleScheme {
    /// The boat cable chart prints them for any bundle.
    #[default]
    BoatCable,
    /// 33 CFR 183.435: the same figures, binding only from 50 V.
    Cfr183,
    /// NEC 310.15(C)(1): from the fourth conductor.
    Nec31015,
    /// No factor.
    None,
}

impl BundleScheme {
    /// Every scheme, the default first.
    pub const ALL: [Self; 4] = [Self::BoatCable, Self::Cfr183, Self::Nec31015, Self::None];

    /// The name of the scheme in `rules: {bundle: …}`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::BoatCable => "boat-cable",
            Self::Cfr183 => "33-cfr-183",
            Self::Nec31015 => "nec-310-15",
            Self::None => "none",
        }
    }

    /// The scheme of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|scheme| scheme.name() == name)
    }
}

#[derive(Deserialize)]
struct Row {
    scheme: String,
    awg: i8,
    class_c: f64,
    ampacity_a: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct ProtectorRow {
    awg: i8,
    breaker_a: Option<f64>,
    fuse_a: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct EngineSpaceRow {
    class_c: f64,
    factor: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct BundleRow {
    scheme: String,
    from_count: u32,
    to_count: Option<u32>,
    factor: f64,
    from_volts: f64,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct InsulationRow {
    code: String,
    class_c: f64,
    low_c: f64,
    high_c: f64,
    source: String,
    basis: Basis,
}

/// One size of one table at one class, outside and inside an engine space, with the words for both.
struct Cell {
    scheme: Scheme,
    awg: i8,
    class: f64,
    open: f64,
    engine: f64,
    open_source: String,
    engine_source: String,
}

static CELLS: LazyLock<Vec<Cell>> = LazyLock::new(|| {
    let factors: Vec<EngineSpaceRow> = rows(include_str!("engine_space.csv"));
    rows::<Row>(include_str!("ampacity.csv"))
        .into_iter()
        .filter_map(|row| {
            let factor = factors.iter().find(|one| one.class_c == row.class_c)?;
            let size = wire::label(WireSize::Awg(row.awg));
            let name = format!("{size} at {} C", row.class_c);
            let open_source = cite(&row.source, &name, row.basis);
            let note = cite(&factor.source, "", factor.basis);
            Some(Cell {
                scheme: Scheme::named(&row.scheme)?,
                awg: row.awg,
                class: row.class_c,
                open: row.ampacity_a,
                engine: row.ampacity_a * factor.factor,
                engine_source: format!("{open_source}; {note}"),
                open_source,
            })
        })
        .collect()
});

/// A row of the aircraft chart with its citation.
struct Protector {
    row: ProtectorRow,
    source: String,
}

static PROTECTORS: LazyLock<Vec<Protector>> = LazyLock::new(|| {
    rows::<ProtectorRow>(include_str!("protector.csv"))
        .into_iter()
        .map(|row| Protector {
            source: cite(
                &row.source,
                &format!("{} fuse", wire::label(WireSize::Awg(row.awg))),
                row.basis,
            ),
            row,
        })
        .collect()
});

/// Lasting current of one conductor with insulation of a class, outside or inside an engine space. SAE and mm2 sizes by
/// the next AWG size with no more copper; a class between two columns by the cooler one. Sizes under 18 AWG, which
/// the tables by class do not have, by the fuse column of the aircraft chart (its breaker column is the upper end).
/// Nothing below 22 AWG, nor for a class below 60 C.
#[must_use]
pub fn ampacity(
    size: WireSize,
    class: Celsius,
    engine_space: bool,
    scheme: Scheme,
) -> Option<Cited<Amps>> {
    let awg = match size {
        WireSize::Awg(awg) => awg,
        WireSize::Sae(_) | WireSize::Iso(_) => wire::next_smaller_awg(wire::area(size)?.value)?,
    };
    if class.0.is_nan() || class.0 < 60.0 {
        return None;
    }
    match scheme {
        Scheme::Faa4313 => protector(awg),
        Scheme::Cfr183 | Scheme::Nec31016 => {
            by_class(awg, class, engine_space, scheme).or_else(|| {
                let thinnest = CELLS
                    .iter()
                    .filter(|cell| cell.scheme == scheme)
                    .map(|cell| cell.awg)
                    .max()?;
                (awg > thinnest).then(|| protector(awg))?
            })
        }
    }
}

/// Temperature around a conductor outside an engine space for which the tables by class are made.
#[must_use]
pub fn table_ambient() -> Cited<Celsius> {
    Cited::exact(Celsius(30.0), "33 CFR 183.425, Table 5: 30 C ambient")
}

/// The cell of the coolest column that the class allows for, of this size or, where the table has no such size, of the
/// next thinner one.
fn by_class(awg: i8, class: Celsius, engine: bool, scheme: Scheme) -> Option<Cited<Amps>> {
    let cell = CELLS
        .iter()
        .filter(|cell| cell.scheme == scheme && cell.awg >= awg && cell.class <= class.0)
        .min_by(|a, b| a.awg.cmp(&b.awg).then(b.class.total_cmp(&a.class)))?;
    Some(if engine {
        Cited::exact(Amps(cell.engine), &cell.engine_source)
    } else {
        Cited::exact(Amps(cell.open), &cell.open_source)
    })
}

fn protector(awg: i8) -> Option<Cited<Amps>> {
    let found = PROTECTORS
        .iter()
        .filter(|one| one.row.awg >= awg)
        .min_by_key(|one| one.row.awg)?;
    let fuse = found.row.fuse_a;
    Some(Cited {
        value: Amps(fuse),
        low: Amps(fuse),
        high: Amps(found.row.breaker_a.unwrap_or(fuse).max(fuse)),
        source: &found.source,
    })
}

/// A row of bundle factors with its citation.
struct Bundle {
    scheme: BundleScheme,
    row: BundleRow,
    source: String,
}

static BUNDLES: LazyLock<Vec<Bundle>> = LazyLock::new(|| {
    rows::<BundleRow>(include_str!("bundle.csv"))
        .into_iter()
        .filter_map(|row| {
            let count = match row.to_count {
                Some(to) if to == row.from_count => format!("{to} conductors"),
                Some(to) => format!("{} to {to} conductors", row.from_count),
                None => format!("{} conductors and more", row.from_count),
            };
            Some(Bundle {
                scheme: BundleScheme::named(&row.scheme)?,
                source: cite(&row.source, &count, row.basis),
                row,
            })
        })
        .collect()
});

/// Share of the ampacity that is left to each of `count` conductors that carry current in one bundle, in a system of
/// this voltage. 1.0 where the scheme has no row for so few, or does not bind at that voltage.
#[must_use]
pub fn bundle_factor(count: u32, system: Volts, scheme: BundleScheme) -> Cited<Fraction> {
    BUNDLES
        .iter()
        .find(|one| {
            one.scheme == scheme
                && one.row.from_count <= count
                && one.row.to_count.is_none_or(|to| count <= to)
                && one.row.from_volts <= system.0
        })
        .map_or(Cited::exact(Fraction(1.0), "no factor"), |one| {
            Cited::exact(Fraction(one.row.factor), &one.source)
        })
}

/// An insulation code with its citation.
struct Insulation {
    row: InsulationRow,
    source: String,
}

static INSULATIONS: LazyLock<Vec<Insulation>> = LazyLock::new(|| {
    rows::<InsulationRow>(include_str!("insulation.csv"))
        .into_iter()
        .map(|row| Insulation {
            source: cite(&row.source, &row.code.to_uppercase(), row.basis),
            row,
        })
        .collect()
});

/// Temperature class of an insulation code (`gpt`, `GXL`) or of a class written out (`105 C`). Where published lists
/// differ, the cooler is taken and the range shows the other.
#[must_use]
pub fn insulation_class(code: &str) -> Option<Cited<Celsius>> {
    let code = code.trim().to_lowercase();
    if let Some(found) = INSULATIONS.iter().find(|one| one.row.code == code) {
        return Some(Cited {
            value: Celsius(found.row.class_c),
            low: Celsius(found.row.low_c),
            high: Celsius(found.row.high_c),
            source: &found.source,
        });
    }
    let number = code
        .strip_suffix("°c")
        .or_else(|| code.strip_suffix('c'))?
        .trim();
    let class: f64 = number.parse().ok()?;
    (class.is_finite() && class > 0.0)
        .then(|| Cited::exact(Celsius(class), "as marked on the insulation"))
}

/// Insulation codes that are known, in the order of the table.
pub fn insulation_codes() -> impl Iterator<Item = &'static str> {
    INSULATIONS.iter().map(|one| one.row.code.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    fn amps(size: WireSize, class: f64, engine: bool, scheme: Scheme) -> Option<f64> {
        ampacity(size, Celsius(class), engine, scheme).map(|cited| cited.value.0)
    }

    #[test]
    fn files_read_whole() {
        assert_eq!(check::<Row>(include_str!("ampacity.csv")), CELLS.len());
        assert_eq!(check::<ProtectorRow>(include_str!("protector.csv")), 13);
        assert_eq!(check::<EngineSpaceRow>(include_str!("engine_space.csv")), 7);
        assert_eq!(
            check::<BundleRow>(include_str!("bundle.csv")),
            BUNDLES.len()
        );
        check::<InsulationRow>(include_str!("insulation.csv"));
    }

    #[test]
    fn more_copper_or_a_hotter_class_never_carries_less() {
        for a in CELLS.iter() {
            for b in CELLS.iter().filter(|b| b.scheme == a.scheme) {
                if b.awg <= a.awg && b.class >= a.class {
                    assert!(
                        b.open >= a.open,
                        "{} {} to {} {}",
                        a.awg,
                        a.class,
                        b.awg,
                        b.class
                    );
                    assert!(b.engine >= a.engine);
                }
            }
        }
        for pair in PROTECTORS.windows(2) {
            assert!(pair[1].row.awg < pair[0].row.awg);
            assert!(pair[1].row.fuse_a >= pair[0].row.fuse_a);
        }
    }

    #[test]
    fn an_engine_space_never_allows_more() {
        for cell in CELLS.iter() {
            assert!(cell.engine <= cell.open);
        }
    }

    #[test]
    fn a_class_between_columns_takes_the_cooler_one() {
        let twelve = WireSize::Awg(12);
        assert_eq!(amps(twelve, 85.0, false, Scheme::Cfr183), Some(35.0));
        assert_eq!(amps(twelve, 104.9, false, Scheme::Cfr183), Some(40.0));
        assert_eq!(amps(twelve, 250.0, false, Scheme::Cfr183), Some(55.0));
        assert_eq!(amps(twelve, 59.0, false, Scheme::Cfr183), None);
        assert_eq!(amps(twelve, f64::NAN, false, Scheme::Cfr183), None);
    }

    #[test]
    fn other_sizes_take_the_next_smaller_awg() {
        assert_eq!(
            amps(WireSize::Sae(12), 80.0, false, Scheme::Cfr183),
            Some(25.0)
        );
        assert_eq!(
            amps(WireSize::Iso(2.5), 105.0, false, Scheme::Cfr183),
            Some(35.0)
        );
        assert_eq!(
            amps(WireSize::Awg(5), 105.0, false, Scheme::Cfr183),
            Some(120.0)
        );
    }

    #[test]
    fn thin_wires_take_the_aircraft_chart_by_name() {
        let thin = ampacity(WireSize::Awg(20), Celsius(105.0), true, Scheme::Cfr183).unwrap();
        assert_eq!((thin.value.0, thin.high.0), (5.0, 7.5));
        assert!(thin.source.starts_with("FAA AC 43.13-1B, table 11-3"));
        assert_eq!(amps(WireSize::Awg(24), 105.0, false, Scheme::Cfr183), None);
    }

    #[test]
    fn factors_of_a_bundle_fall_with_its_size() {
        for scheme in BundleScheme::ALL {
            let mut last = 1.0;
            for count in 1..60 {
                let factor = bundle_factor(count, Volts(12.0), scheme).value.0;
                assert!(factor <= last && factor > 0.0);
                last = factor;
            }
        }
        let law = |volts| bundle_factor(5, Volts(volts), BundleScheme::Cfr183).value.0;
        assert_eq!((law(12.0), law(50.0)), (1.0, 0.6));
    }

    #[test]
    fn codes_and_written_classes_are_read() {
        assert_eq!(insulation_class("GXL").unwrap().value.0, 125.0);
        assert_eq!(insulation_class("gpt").unwrap().value.0, 80.0);
        assert_eq!(insulation_class("105 C").unwrap().value.0, 105.0);
        assert_eq!(insulation_class("90°C").unwrap().value.0, 90.0);
        assert!(insulation_class("xyz").is_none() && insulation_class("c").is_none());
    }
}
