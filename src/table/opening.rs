//! How soon and how late a protective device opens, at any current.
//!
//! Between two published points a straight line of logarithms; beyond the last one constant heat (current squared times
//! time). Below the first point a device is not sure to open at all, and below what it holds it does not open.

use super::adiabatic;
use super::copper;
use super::fuse;
use super::fuse::Form;
use super::fuse::LimitPoint;
use super::fuse::TimeLimits;
use super::sheet::between;
use super::wire;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Seconds;
use crate::quantity::SquareMm;
use crate::quantity::WireSize;

/// A protective device whose opening time is known between limits.
#[derive(Clone, PartialEq, Debug)]
pub struct Opening {
    law: Law,
    sources: Vec<&'static str>,
}

#[derive(Clone, PartialEq, Debug)]
enum Law {
    Points {
        rating: Amps,
        limits: TimeLimits,
        /// Times by multiple, where a document says.
        earliest: Vec<(f64, f64)>,
        latest: Vec<(f64, f64)>,
    },
    Link {
        /// Integral of the squared current that melts the bare copper, in ampere squared seconds.
        heat: f64,
    },
}

impl Opening {
    /// A fuse of a form and rating.
    #[must_use]
    pub fn fuse(form: Form, rating: Amps) -> Self {
        Self::points(rating, fuse::time_limits(form, rating))
    }

    /// A circuit breaker; only how late it trips is known.
    #[must_use]
    pub fn breaker(rating: Amps) -> Self {
        Self::points(rating, fuse::breaker_time_limits())
    }

    /// A fusible link that starts at this temperature. Soonest when no heat leaves its copper until it melts; latest some
    /// times that, and not sure at all where even the soonest takes longer than 5 s, since heat then leaves as it
    /// comes. Nothing for a size that does not exist.
    #[must_use]
    pub fn link(size: WireSize, start: Celsius) -> Option<Self> {
        let area = wire::area(size)?;
        let melting = copper::melting_point();
        let heat = adiabatic::withstand(SquareMm(area.low.0), start, melting.value)?;
        Some(Self {
            law: Law::Link { heat },
            sources: vec![
                copper::adiabatic_constant().source,
                area.source,
                copper::link_latest_factor().source,
            ],
        })
    }

    fn points(rating: Amps, limits: TimeLimits) -> Self {
        let sources = limits.sources.clone();
        let points = |of: fn(&LimitPoint) -> Option<Seconds>| {
            let points = limits.points.iter();
            points
                .filter_map(|one| Some((one.multiple, of(one)?.0)))
                .collect()
        };
        Self {
            law: Law::Points {
                rating,
                earliest: points(|one| one.earliest),
                latest: points(|one| one.latest),
                limits,
            },
            sources,
        }
    }

    /// The documents that the limits come from.
    #[must_use]
    pub fn sources(&self) -> &[&'static str] {
        &self.sources
    }

    /// It does not open sooner than this; without end where it holds. Nothing where no document says.
    #[must_use]
    pub fn earliest(&self, current: Amps) -> Option<Seconds> {
        match &self.law {
            Law::Points {
                rating,
                limits,
                earliest: points,
                ..
            } => {
                let multiple = current.abs() / *rating;
                let first = points.first();
                if multiple <= limits.holds {
                    Some(Seconds(f64::INFINITY))
                } else if first.is_some_and(|first| multiple < first.0) {
                    // Less current opens no sooner than more.
                    first.map(|first| Seconds(first.1))
                } else {
                    along(points, multiple).map(Seconds)
                }
            }
            Law::Link { heat } => Some(Seconds(heat / (current.0 * current.0))),
        }
    }

    /// It has opened by then; without end where it is not sure to open.
    #[must_use]
    pub fn latest(&self, current: Amps) -> Seconds {
        match &self.law {
            Law::Points {
                rating,
                latest: points,
                ..
            } => along(points, current.abs() / *rating).map_or(Seconds(f64::INFINITY), Seconds),
            Law::Link { heat } => {
                let soonest = heat / (current.0 * current.0);
                if soonest <= adiabatic::adiabatic_up_to().value.0 {
                    Seconds(soonest * copper::link_latest_factor().value)
                } else {
                    Seconds(f64::INFINITY)
                }
            }
        }
    }
}

impl Opening {
    /// The currents at which its laws change, rising: between two of them, and beyond the last, both times follow one power
    /// of the current each.
    #[must_use]
    pub fn knots(&self) -> Vec<Amps> {
        match &self.law {
            Law::Points { rating, limits, .. } => limits
                .points
                .iter()
                .map(|one| *rating * one.multiple)
                .collect(),
            Law::Link { heat } => {
                vec![Amps((heat / adiabatic::adiabatic_up_to().value.0).sqrt())]
            }
        }
    }

    /// The least current at which it has opened for sure within this time; nothing where no document says.
    #[must_use]
    pub fn sure_within(&self, time: Seconds) -> Option<Amps> {
        if time.0.is_nan() || time.0 <= 0.0 {
            return None;
        }
        match &self.law {
            Law::Points {
                rating,
                latest: points,
                ..
            } => {
                let first = points.first()?;
                let last = points.last()?;
                let multiple = if time.0 >= first.1 {
                    first.0
                } else if time.0 <= last.1 {
                    last.0 * (last.1 / time.0).sqrt()
                } else {
                    let pair = points.windows(2).find(|pair| time.0 >= pair[1].1)?;
                    let log = |point: (f64, f64)| (point.1.ln(), point.0.ln());
                    between(log(pair[0]), log(pair[1]), time.0.ln()).exp()
                };
                Some(*rating * multiple)
            }
            Law::Link { heat } => {
                let soonest = (time.0 / copper::link_latest_factor().value)
                    .min(adiabatic::adiabatic_up_to().value.0);
                Some(Amps((heat / soonest).sqrt()))
            }
        }
    }

    /// The current up to which it does not open; nothing of a link, which opens late at any current.
    #[must_use]
    pub fn holds(&self) -> Option<Amps> {
        match &self.law {
            Law::Points { rating, limits, .. } => Some(*rating * limits.holds),
            Law::Link { .. } => None,
        }
    }
}

/// Time at a multiple along points of falling time; nothing below the first.
fn along(points: &[(f64, f64)], multiple: f64) -> Option<f64> {
    let first = points.first()?;
    let last = points.last()?;
    if multiple.is_nan() || multiple < first.0 {
        return None;
    }
    if multiple >= last.0 {
        return Some(last.1 * (last.0 / multiple).powi(2));
    }
    let pair = points.windows(2).find(|pair| multiple <= pair[1].0)?;
    let log = |point: (f64, f64)| (point.0.ln(), point.1.ln());
    Some(between(log(pair[0]), log(pair[1]), multiple.ln()).exp())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn any_opening() -> impl Strategy<Value = Opening> {
        let fuses = (0..Form::ALL.len(), 1.0..500.0_f64)
            .prop_map(|(form, rating)| Opening::fuse(Form::ALL[form], Amps(rating)));
        let breakers = (1.0..200.0_f64).prop_map(|rating| Opening::breaker(Amps(rating)));
        let links = (8..22_i8, -40.0..100.0_f64).prop_filter_map("no such size", |(awg, start)| {
            Opening::link(WireSize::Awg(awg), Celsius(start))
        });
        prop_oneof![fuses, breakers, links]
    }

    proptest! {
        #[test]
        fn more_current_never_opens_later(
            opening in any_opening(),
            current in 0.1..5000.0_f64,
            more in 1.0..20.0_f64,
        ) {
            let (small, large) = (Amps(current), Amps(current * more));
            let slack = 1.0 + 1e-9;
            prop_assert!(opening.latest(large).0 <= opening.latest(small).0 * slack);
            if let (Some(a), Some(b)) = (opening.earliest(large), opening.earliest(small)) {
                prop_assert!(a.0 <= b.0 * slack);
            }
        }

        #[test]
        fn the_earliest_is_before_the_latest(opening in any_opening(), current in 0.1..5000.0_f64) {
            if let Some(earliest) = opening.earliest(Amps(current)) {
                prop_assert!(earliest <= opening.latest(Amps(current)));
                prop_assert!(earliest.0 > 0.0);
            }
        }

        #[test]
        fn what_is_sure_within_a_time_is_the_least_such_current(
            opening in any_opening(),
            time in 0.001..4000.0_f64,
        ) {
            let amps = opening.sure_within(Seconds(time)).unwrap();
            prop_assert!(opening.latest(amps * (1.0 + 1e-9)).0 <= time * (1.0 + 1e-6));
            prop_assert!(opening.latest(amps * 0.999).0 > time * (1.0 - 1e-9));
        }

        #[test]
        fn between_knots_heat_goes_one_way(opening in any_opening(), share in 0.01..0.99_f64) {
            let heat = |amps: f64| amps * amps * opening.latest(Amps(amps)).0;
            for pair in opening.knots().windows(2) {
                let (low, high) = (pair[0].0, pair[1].0);
                let between = (low.ln() * (1.0 - share) + high.ln() * share).exp();
                let (a, b) = (heat(low).min(heat(high)), heat(low).max(heat(high)));
                prop_assert!((a * (1.0 - 1e-9)..=b * (1.0 + 1e-9)).contains(&heat(between)));
            }
        }

        #[test]
        fn direction_does_not_matter(opening in any_opening(), current in 0.1..5000.0_f64) {
            prop_assert_eq!(opening.latest(Amps(current)), opening.latest(Amps(-current)));
            prop_assert_eq!(opening.earliest(Amps(current)), opening.earliest(Amps(-current)));
        }
    }

    #[test]
    fn a_fuse_holds_may_open_and_must_open() {
        let ten = Opening::fuse(Form::Blade, Amps(10.0));
        assert_eq!(ten.earliest(Amps(11.0)), Some(Seconds(f64::INFINITY)));
        assert_eq!(ten.latest(Amps(11.0)).0, f64::INFINITY);
        assert_eq!(ten.earliest(Amps(12.0)), Some(Seconds(0.75)));
        assert_eq!(ten.latest(Amps(12.0)).0, f64::INFINITY);
        assert!((ten.latest(Amps(20.0)).0 - 5.0).abs() < 1e-9);
        assert!((ten.earliest(Amps(20.0)).unwrap().0 - 0.15).abs() < 1e-9);
        assert!((ten.latest(Amps(120.0)).0 - 0.025).abs() < 1e-9);
    }

    #[test]
    fn of_a_breaker_only_the_latest_is_known() {
        let thirty = Opening::breaker(Amps(30.0));
        assert_eq!(thirty.earliest(Amps(90.0)), None);
        assert_eq!(thirty.earliest(Amps(30.0)), Some(Seconds(f64::INFINITY)));
        assert!((thirty.latest(Amps(60.0)).0 - 60.0).abs() < 1e-9);
    }

    #[test]
    fn a_link_opens_for_sure_only_while_no_heat_leaves() {
        let link = Opening::link(WireSize::Awg(18), Celsius(25.0)).unwrap();
        assert!(link.latest(Amps(300.0)).0 < 5.0);
        assert_eq!(link.latest(Amps(50.0)).0, f64::INFINITY);
        assert!(link.earliest(Amps(50.0)).unwrap().0 > 5.0);
        assert!(Opening::link(WireSize::Awg(60), Celsius(25.0)).is_none());
    }
}
