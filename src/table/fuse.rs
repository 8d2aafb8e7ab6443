//! Fuses and breakers: forms, ratings, cold resistance, re-rating, and the published limits of their opening time.

use std::sync::LazyLock;

use serde::Deserialize;

use super::Cited;
use super::figure::figures;
use super::sheet::Basis;
use super::sheet::between;
use super::sheet::cite;
use super::sheet::interpolate;
use super::sheet::rows;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Meters;
use crate::quantity::Ohms;

figures! { "fuse.csv";
    /// Share of its rating that a fuse carries for good.
    continuous_share: Fraction = "continuous-share", "1";
    /// Largest rating that is taken for a regular blade where the form is not stated.
    blade_up_to: Amps = "blade-up-to", "A";
    /// Largest rating that is taken for a maxi blade where the form is not stated.
    maxi_up_to: Amps = "maxi-up-to", "A";
    /// Largest rating of a branch over that of a main of the same form at which the branch opens first.
    selective_share: Fraction = "selective-share", "1";
    /// Longest battery cable along a frame or past something that moves without a fuse or disconnect.
    main_cable_up_to: Meters = "main-cable-up-to", "m";
}

pub use super::fuse_time::{LimitPoint, TimeLimits, breaker_time_limits, time_limits};

/// The shape of a fuse.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Form {
    /// Mini blade.
    BladeMini,
    /// Regular blade.
    Blade,
    /// Maxi blade.
    BladeMaxi,
    /// Bolted strip or block.
    BoltDown,
    /// Glass tube.
    Glass,
}

impl Form {
    /// Every form.
    pub const ALL: [Self; 5] = [
        Self::BladeMini,
        Self::Blade,
        Self::BladeMaxi,
        Self::BoltDown,
        Self::Glass,
    ];

    /// As written in a record.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::BladeMini => "blade-mini",
            Self::Blade => "blade",
            Self::BladeMaxi => "blade-maxi",
            Self::BoltDown => "bolt-down",
            Self::Glass => "glass",
        }
    }

    /// The form of a word.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|form| form.name() == name)
    }
}

/// What a fuse is taken for where its form is not stated: a regular blade up to 40 A, a maxi blade up to 100 A, bolted
/// above.
#[must_use]
pub fn default_form(rating: Amps) -> Cited<Form> {
    let (form, limit) = if rating <= blade_up_to().value {
        (Form::Blade, blade_up_to())
    } else if rating <= maxi_up_to().value {
        (Form::BladeMaxi, maxi_up_to())
    } else {
        (Form::BoltDown, maxi_up_to())
    };
    Cited::exact(form, limit.source)
}

#[derive(Deserialize)]
struct RatingRow {
    form: String,
    rating_a: f64,
    source: String,
    basis: Basis,
}

static RATINGS: LazyLock<[Vec<Amps>; 5]> = LazyLock::new(|| {
    let all: Vec<RatingRow> = rows(include_str!("fuse_rating.csv"));
    Form::ALL.map(|form| {
        all.iter()
            .filter(|row| row.form == form.name())
            .map(|row| Amps(row.rating_a))
            .collect()
    })
});

static RATING_SOURCES: LazyLock<[String; 5]> = LazyLock::new(|| {
    let all: Vec<RatingRow> = rows(include_str!("fuse_rating.csv"));
    Form::ALL.map(|form| {
        all.iter()
            .find(|row| row.form == form.name())
            .map_or_else(String::new, |row| {
                cite(
                    &row.source,
                    &format!("ratings of {}", form.name()),
                    row.basis,
                )
            })
    })
});

/// The ratings that a form is made in, rising.
#[must_use]
pub fn standard_ratings(form: Form) -> &'static [Amps] {
    &RATINGS[form as usize]
}

/// Where the ratings of a form are listed.
#[must_use]
pub fn ratings_source(form: Form) -> &'static str {
    &RATING_SOURCES[form as usize]
}

/// The next rating above this one.
#[must_use]
pub fn next_up(form: Form, than: Amps) -> Option<Amps> {
    standard_ratings(form)
        .iter()
        .copied()
        .find(|rating| *rating > than)
}

/// The next rating below this one.
#[must_use]
pub fn next_down(form: Form, than: Amps) -> Option<Amps> {
    standard_ratings(form)
        .iter()
        .copied()
        .rev()
        .find(|rating| *rating < than)
}

/// The smallest rating that is no less than this current.
#[must_use]
pub fn at_least(form: Form, current: Amps) -> Option<Amps> {
    standard_ratings(form)
        .iter()
        .copied()
        .find(|rating| *rating >= current)
}

/// The largest rating that is no more than this current.
#[must_use]
pub fn at_most(form: Form, current: Amps) -> Option<Amps> {
    standard_ratings(form)
        .iter()
        .copied()
        .rev()
        .find(|rating| *rating <= current)
}

#[derive(Deserialize)]
struct ResistanceRow {
    form: String,
    rating_a: f64,
    cold_mohm: f64,
    spread: f64,
    source: String,
    basis: Basis,
}

struct Resistance {
    row: ResistanceRow,
    source: String,
}

static RESISTANCES: LazyLock<Vec<Resistance>> = LazyLock::new(|| {
    rows::<ResistanceRow>(include_str!("fuse_resistance.csv"))
        .into_iter()
        .map(|row| Resistance {
            source: cite(
                &row.source,
                &format!("{} A cold resistance", row.rating_a),
                row.basis,
            ),
            row,
        })
        .collect()
});

/// Cold resistance of a fuse: its row, or between two rows by a straight line of logarithms, or beyond the ends with the
/// voltage drop of the end row. 15 % to either side (half where the row is an estimate). Nothing for a rating of zero.
#[must_use]
pub fn cold_resistance(form: Form, rating: Amps) -> Option<Cited<Ohms>> {
    if !(rating.0 > 0.0 && rating.0.is_finite()) {
        return None;
    }
    let of_form: Vec<&'static Resistance> = RESISTANCES
        .iter()
        .filter(|one| one.row.form == form.name())
        .collect();
    let first = of_form.first()?;
    let last = of_form.last()?;
    let above = of_form
        .iter()
        .find(|one| one.row.rating_a >= rating.0)
        .unwrap_or(last);
    let below = of_form
        .iter()
        .rev()
        .find(|one| one.row.rating_a <= rating.0)
        .unwrap_or(first);
    let milliohms = if above.row.rating_a == below.row.rating_a {
        above.row.cold_mohm * above.row.rating_a / rating.0
    } else {
        between(
            (below.row.rating_a.ln(), below.row.cold_mohm.ln()),
            (above.row.rating_a.ln(), above.row.cold_mohm.ln()),
            rating.0.ln(),
        )
        .exp()
    };
    let weaker = if above.row.spread > below.row.spread {
        above
    } else {
        below
    };
    let spread = weaker.row.spread;
    let ohms = milliohms / 1000.0;
    Some(Cited {
        value: Ohms(ohms),
        low: Ohms(ohms * (1.0 - spread)),
        high: Ohms(ohms * (1.0 + spread)),
        source: &weaker.source,
    })
}

#[derive(Deserialize)]
struct TemperatureRow {
    temperature_c: f64,
    low: f64,
    factor: f64,
    high: f64,
    source: String,
    basis: Basis,
}

struct Rerating {
    columns: [Vec<(f64, f64)>; 3],
    source: String,
}

static RERATING: LazyLock<Rerating> = LazyLock::new(|| {
    let rows: Vec<TemperatureRow> = rows(include_str!("fuse_temperature.csv"));
    let column = |of: fn(&TemperatureRow) -> f64| {
        rows.iter()
            .map(|row| (row.temperature_c, of(row)))
            .collect()
    };
    Rerating {
        columns: [
            column(|row| row.factor),
            column(|row| row.low),
            column(|row| row.high),
        ],
        source: rows
            .first()
            .map(|row| cite(&row.source, "", row.basis))
            .unwrap_or_default(),
    }
});

/// Share of its rating that a fuse keeps at this temperature around it. The lower end is the curve of a maxi blade.
#[must_use]
pub fn rerate(temperature: Celsius) -> Cited<Fraction> {
    let [value, low, high] = [0, 1, 2]
        .map(|column| interpolate(&RERATING.columns[column], temperature.0).unwrap_or(f64::NAN));
    Cited {
        value: Fraction(value),
        low: Fraction(low),
        high: Fraction(high),
        source: &RERATING.source,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::sheet::shape::check;

    #[test]
    fn files_read_whole() {
        check::<RatingRow>(include_str!("fuse_rating.csv"));
        check::<ResistanceRow>(include_str!("fuse_resistance.csv"));
        check::<TemperatureRow>(include_str!("fuse_temperature.csv"));
    }

    #[test]
    fn ratings_rise_and_each_is_named_once() {
        let mut listed = 0;
        for form in Form::ALL {
            let ratings = standard_ratings(form);
            assert!(ratings.len() >= 9, "{form:?}");
            assert!(ratings.windows(2).all(|pair| pair[0] < pair[1]), "{form:?}");
            listed += ratings.len();
            assert_eq!(Form::named(form.name()), Some(form));
        }
        assert_eq!(
            listed,
            rows::<RatingRow>(include_str!("fuse_rating.csv")).len()
        );
    }

    #[test]
    fn the_next_rating_is_a_neighbour() {
        assert_eq!(next_up(Form::Blade, Amps(15.0)), Some(Amps(20.0)));
        assert_eq!(next_down(Form::Blade, Amps(15.0)), Some(Amps(10.0)));
        assert_eq!(next_up(Form::Blade, Amps(40.0)), None);
        assert_eq!(next_down(Form::Blade, Amps(1.0)), None);
        assert_eq!(at_least(Form::Blade, Amps(15.0)), Some(Amps(15.0)));
        assert_eq!(at_most(Form::Blade, Amps(19.9)), Some(Amps(15.0)));
    }

    #[test]
    fn a_larger_fuse_never_has_more_resistance() {
        for form in Form::ALL {
            let mut last = f64::INFINITY;
            for tenth in 5..6000 {
                let found = cold_resistance(form, Amps(f64::from(tenth) / 10.0)).unwrap();
                assert!(found.value.0 <= last * 1.000_001, "{form:?} {tenth}");
                assert!(found.low < found.value && found.value < found.high);
                last = found.value.0;
            }
        }
        assert!(cold_resistance(Form::Blade, Amps(0.0)).is_none());
        assert!(cold_resistance(Form::Blade, Amps(f64::NAN)).is_none());
    }

    #[test]
    fn a_rating_between_two_rows_lies_between_them() {
        let twelve = cold_resistance(Form::Blade, Amps(12.0)).unwrap().value.0;
        assert!(4.8e-3 < twelve && twelve < 7.7e-3);
        assert!((cold_resistance(Form::Blade, Amps(10.0)).unwrap().value.0 - 7.7e-3).abs() < 1e-12);
    }

    #[test]
    fn a_warm_fuse_never_keeps_more() {
        let mut last = [f64::INFINITY; 3];
        for step in -40..140 {
            let now = rerate(Celsius(f64::from(step)));
            let now = [now.low.0, now.value.0, now.high.0];
            assert!(now[0] <= now[1] && now[1] <= now[2]);
            assert!((0..3).all(|at| now[at] <= last[at]), "{step}");
            last = now;
        }
        assert_eq!(rerate(Celsius(25.0)).value.0, 1.0);
    }

    #[test]
    fn the_default_form_follows_the_rating() {
        for (rating, form) in [
            (30.0, Form::Blade),
            (40.0, Form::Blade),
            (50.0, Form::BladeMaxi),
            (100.0, Form::BladeMaxi),
            (125.0, Form::BoltDown),
        ] {
            assert_eq!(default_form(Amps(rating)).value, form);
        }
    }
}
