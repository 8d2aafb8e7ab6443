//! The published limits of the opening time of fuses and breakers.

use std::sync::LazyLock;

use serde::Deserialize;

use super::fuse::Form;
use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;
use crate::quantity::Amps;
use crate::quantity::Seconds;

#[derive(Deserialize)]
struct TimeRow {
    form: String,
    from_a: f64,
    to_a: f64,
    percent: f64,
    what: What,
    min_s: Option<f64>,
    max_s: Option<f64>,
    source: String,
    basis: Basis,
}

#[derive(Deserialize)]
struct BreakerRow {
    percent: f64,
    what: What,
    min_s: Option<f64>,
    max_s: Option<f64>,
    source: String,
    basis: Basis,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
#[serde(rename_all = "lowercase")]
enum What {
    /// Carried for good (or for as long as the row says).
    Hold,
    /// Opens between the two times.
    Opens,
}

/// One published point of opening time.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LimitPoint {
    /// Current over rating.
    pub multiple: f64,
    /// It does not open sooner; absent where no document says.
    pub earliest: Option<Seconds>,
    /// It has opened by then; absent where no document says.
    pub latest: Option<Seconds>,
}

/// Between which times a protective device opens: the widest of the documents that speak of it.
#[derive(Clone, PartialEq, Debug)]
pub struct TimeLimits {
    /// Multiple of its rating that it carries without opening.
    pub holds: f64,
    /// Rising by multiple.
    pub points: Vec<LimitPoint>,
    /// The documents.
    pub sources: Vec<&'static str>,
}

struct Point {
    form: Option<Form>,
    from: f64,
    to: f64,
    what: What,
    point: LimitPoint,
    source: String,
}

static POINTS: LazyLock<Vec<Point>> = LazyLock::new(|| {
    let fuses = rows::<TimeRow>(include_str!("fuse_time.csv"))
        .into_iter()
        .filter_map(|row| {
            Some(Point {
                form: Some(Form::named(&row.form)?),
                from: row.from_a,
                to: row.to_a,
                what: row.what,
                point: point(row.percent, row.min_s, row.max_s),
                source: cite(&row.source, "opening time", row.basis),
            })
        });
    let breakers = rows::<BreakerRow>(include_str!("breaker_time.csv"))
        .into_iter()
        .map(|row| Point {
            form: None,
            from: 0.0,
            to: f64::INFINITY,
            what: row.what,
            point: point(row.percent, row.min_s, row.max_s),
            source: cite(&row.source, "trip time", row.basis),
        });
    fuses.chain(breakers).collect()
});

fn point(percent: f64, min: Option<f64>, max: Option<f64>) -> LimitPoint {
    LimitPoint {
        multiple: percent / 100.0,
        earliest: min.map(Seconds),
        latest: max.map(Seconds),
    }
}

/// Limits of a fuse of this form and rating; a rating outside the bands of the documents takes the nearest band.
#[must_use]
pub fn time_limits(form: Form, rating: Amps) -> TimeLimits {
    let of_form: Vec<&'static Point> = POINTS.iter().filter(|one| one.form == Some(form)).collect();
    let away = |one: &Point| (one.from - rating.0).max(rating.0 - one.to).max(0.0);
    let nearest = of_form
        .iter()
        .map(|one| away(one))
        .fold(f64::INFINITY, f64::min);
    widest(of_form.into_iter().filter(|one| away(one) <= nearest))
}

/// Limits of a circuit breaker.
#[must_use]
pub fn breaker_time_limits() -> TimeLimits {
    widest(POINTS.iter().filter(|one| one.form.is_none()))
}

fn widest(points: impl Iterator<Item = &'static Point>) -> TimeLimits {
    let mut holds: Option<f64> = None;
    let mut merged: Vec<LimitPoint> = Vec::new();
    let mut sources: Vec<&'static str> = Vec::new();
    for one in points {
        if !sources.contains(&one.source.as_str()) {
            sources.push(&one.source);
        }
        let multiple = one.point.multiple;
        if one.what == What::Hold {
            holds = Some(holds.map_or(multiple, |least| least.min(multiple)));
            continue;
        }
        match merged.iter_mut().find(|other| other.multiple == multiple) {
            None => merged.push(one.point),
            Some(other) => {
                other.earliest = wider(other.earliest, one.point.earliest, Seconds::min);
                other.latest = wider(other.latest, one.point.latest, Seconds::max);
            }
        }
    }
    merged.sort_by(|a, b| a.multiple.total_cmp(&b.multiple));
    TimeLimits {
        holds: holds.unwrap_or(1.0),
        points: merged,
        sources,
    }
}

/// A document that is silent does not narrow what another says.
fn wider(
    a: Option<Seconds>,
    b: Option<Seconds>,
    pick: impl Fn(Seconds, Seconds) -> Seconds,
) -> Option<Seconds> {
    match (a, b) {
        (Some(a), Some(b)) => Some(pick(a, b)),
        (one, None) | (None, one) => one,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::fuse::standard_ratings;
    use crate::table::sheet::shape::check;

    #[test]
    fn files_read_whole() {
        let times = check::<TimeRow>(include_str!("fuse_time.csv"));
        let breakers = check::<BreakerRow>(include_str!("breaker_time.csv"));
        assert_eq!(POINTS.len(), times + breakers);
    }

    #[test]
    fn more_current_never_opens_later() {
        for form in Form::ALL {
            for rating in standard_ratings(form) {
                let limits = time_limits(form, *rating);
                assert!(limits.points.len() >= 2, "{form:?} {rating:?}");
                assert!((1.0..=1.1).contains(&limits.holds));
                assert!(limits.points[0].multiple > limits.holds);
                for pair in limits.points.windows(2) {
                    assert!(pair[0].multiple < pair[1].multiple);
                    assert!(pair[0].earliest >= pair[1].earliest, "{form:?} {rating:?}");
                    assert!(pair[0].latest >= pair[1].latest, "{form:?} {rating:?}");
                }
                for one in &limits.points {
                    assert!(one.latest.is_some());
                    assert!(one.earliest.is_none_or(|early| Some(early) < one.latest));
                }
            }
        }
    }

    #[test]
    fn where_the_maker_is_unknown_the_widest_limits_hold() {
        let ten = time_limits(Form::Blade, Amps(10.0));
        assert_eq!(
            (ten.holds, ten.points[0].latest),
            (1.1, Some(Seconds(1800.0)))
        );
        let forty = time_limits(Form::Blade, Amps(40.0));
        assert_eq!(forty.holds, 1.0);
        assert_eq!(
            time_limits(Form::BladeMaxi, Amps(100.0)),
            time_limits(Form::BladeMaxi, Amps(80.0))
        );
    }
}
