//! How warm a conductor gets, for long and in a short fault.
//!
//! For long: its rise over what is around it goes with the square of the current, and the ampacity point is one point of that
//! law (at that current it has the temperature of its class in the ambient of the table). In a fault of up to 5 s no heat
//! leaves; after that, neither more heat than all of it stays nor does it get warmer than that current makes it for long, so
//! the lower of the two is taken.

use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Seconds;
use crate::quantity::SquareMm;
use crate::table::adiabatic;
use crate::table::ampacity;
use crate::table::copper;
use crate::table::opening::Opening;

/// A conductor in its place.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Conductor {
    /// Copper of all that run side by side.
    pub area: SquareMm,
    /// Temperature class of the insulation.
    pub class: Celsius,
    /// What the table allows outside an engine space, bundle and number side by side counted.
    pub carries: Amps,
    /// Temperature around it.
    pub ambient: Celsius,
    /// The most that it carries in use.
    pub load: Amps,
}

/// Why a protection does not protect a conductor at some current.
#[derive(Clone, Copy, PartialEq, Debug)]
pub enum Harm {
    /// Nothing is sure to open at this current.
    NotSure(Amps),
    /// It opens within 5 s, and too late.
    Short {
        /// The current.
        amps: Amps,
        /// The longest until it opens.
        opens: Seconds,
        /// For how long the insulation stands it.
        stands: Seconds,
    },
    /// It opens after more than 5 s, and too late.
    Long {
        /// The current.
        amps: Amps,
        /// The longest until it opens.
        opens: Seconds,
        /// The temperature that it has by then, at most.
        reaches: Celsius,
    },
}

impl Harm {
    /// The current.
    #[must_use]
    pub const fn amps(self) -> Amps {
        match self {
            Self::NotSure(amps) | Self::Short { amps, .. } | Self::Long { amps, .. } => amps,
        }
    }
}

/// Currents that are looked at between two knots, for the one to report.
const PLACES: u32 = 64;

/// What is above by no more than rounding is within.
const SLACK: f64 = 1.0 + 1e-9;

impl Conductor {
    /// Temperature that a current brings it to for long.
    #[must_use]
    pub fn steady(&self, amps: Amps) -> Celsius {
        let rated = self.class - ampacity::table_ambient().value;
        self.ambient + rated * (amps / self.carries).powi(2)
    }

    /// Temperature in use, when a fault begins; no more than its class, above which other findings speak.
    #[must_use]
    pub fn start(&self) -> Celsius {
        self.steady(self.load).min(self.class).max(self.ambient)
    }

    /// The current that brings it to the temperature of its class here; nothing where it is hotter than that around it.
    #[must_use]
    pub fn lasting(&self) -> Amps {
        let rated = self.class.0 - ampacity::table_ambient().value.0;
        let left = (self.class.0 - self.ambient.0).max(0.0);
        self.carries * (left / rated).sqrt()
    }

    /// Temperature that its insulation stands at the end of a short fault.
    #[must_use]
    pub fn end(&self) -> Celsius {
        adiabatic::final_temperature(self.class).map_or(self.class, |end| end.value)
    }

    /// Integral of the squared current that brings it from its start to this temperature when no heat leaves, in ampere
    /// squared seconds.
    #[must_use]
    pub fn heat_to(&self, end: Celsius) -> f64 {
        adiabatic::withstand(self.area, self.start(), end).unwrap_or(0.0)
    }

    /// For how long its insulation stands a short fault of this current.
    #[must_use]
    pub fn stands(&self, amps: Amps) -> Seconds {
        Seconds(self.heat_to(self.end()) / (amps.0 * amps.0))
    }

    /// Temperature after this time at this current, at most: the lower of all heat kept and of that current for long.
    #[must_use]
    pub fn reaches(&self, amps: Amps, time: Seconds) -> Celsius {
        let zero = copper::zero_resistance().value;
        let constant = copper::adiabatic_constant().value;
        let heat = amps.0 * amps.0 * time.0 / (constant * self.area.0).powi(2);
        let kept = (zero + self.start().0) * heat.exp() - zero;
        let steady = self.steady(amps).max(self.start());
        if kept.is_finite() {
            steady.min(Celsius(kept))
        } else {
            steady
        }
    }

    /// Whether the first of these protections to open does so in time at every current from `least` to `most`; the worst
    /// of it where not. Exact: between the knots of the limits all heat goes one way.
    ///
    /// # Errors
    /// What happens at the least current at which none opens in time.
    pub fn guarded(&self, by: &[Opening], least: Amps, most: Amps) -> Result<(), Harm> {
        let most = most.max(least);
        let five = adiabatic::adiabatic_up_to().value;
        let mut bounds = vec![least.0, most.0];
        for opening in by {
            bounds.extend(opening.knots().iter().map(|knot| knot.0));
            bounds.extend(opening.sure_within(five).map(|amps| amps.0));
        }
        bounds.push(self.lasting().0);
        bounds.retain(|bound| (least.0..=most.0).contains(bound));
        bounds.sort_by(f64::total_cmp);
        bounds.dedup();
        if bounds.len() == 1 {
            bounds.push(bounds[0]);
        }
        for pair in bounds.windows(2) {
            let (low, high) = (Amps(pair[0]), Amps(pair[1]));
            if !by.iter().any(|opening| self.within(opening, low, high)) {
                return Err(self.harm(by, low, high));
            }
        }
        Ok(())
    }

    /// Whether one protection opens in time between two currents between which its law does not change.
    fn within(&self, opening: &Opening, low: Amps, high: Amps) -> bool {
        let middle = Amps((low.0 * high.0).sqrt());
        let time = opening.latest(middle);
        if !time.0.is_finite() {
            return false;
        }
        let heat = |amps: Amps| amps.0 * amps.0 * opening.latest(amps).0;
        let most = heat(low).max(heat(high)).max(heat(middle));
        if time <= adiabatic::adiabatic_up_to().value {
            most <= self.heat_to(self.end()) * SLACK
        } else {
            high.0 <= self.lasting().0 * SLACK || most <= self.heat_to(self.class) * SLACK
        }
    }

    fn harm(&self, by: &[Opening], low: Amps, high: Amps) -> Harm {
        let at = |amps: Amps| {
            by.iter()
                .map(|opening| opening.latest(amps))
                .fold(Seconds(f64::INFINITY), Seconds::min)
        };
        let middle = Amps((low.0 * high.0).sqrt());
        if !at(middle).0.is_finite() {
            return Harm::NotSure(low);
        }
        // What the wire gets to rises with the current and falls as it opens sooner: the worst may lie anywhere between.
        let most_by = |measure: &dyn Fn(Amps) -> f64| {
            (0..=PLACES)
                .map(|place| {
                    Amps(low.0 * (high.0 / low.0).powf(f64::from(place) / f64::from(PLACES)))
                })
                .filter(|&amps| measure(amps).is_finite())
                .max_by(|&a, &b| measure(a).total_cmp(&measure(b)))
                .unwrap_or(middle)
        };
        if at(middle) <= adiabatic::adiabatic_up_to().value {
            let amps = most_by(&|amps| amps.0 * amps.0 * at(amps).0);
            Harm::Short {
                amps,
                opens: at(amps),
                stands: self.stands(amps),
            }
        } else {
            let amps = most_by(&|amps| self.reaches(amps, at(amps)).0);
            Harm::Long {
                amps,
                opens: at(amps),
                reaches: self.reaches(amps, at(amps)),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::fuse::Form;
    use proptest::prelude::*;

    /// 18 AWG with 80 C insulation, in open air.
    fn thin() -> Conductor {
        Conductor {
            area: SquareMm(0.823),
            class: Celsius(80.0),
            carries: Amps(15.0),
            ambient: Celsius(30.0),
            load: Amps(0.0),
        }
    }

    #[test]
    fn at_the_ampacity_it_has_the_temperature_of_its_class() {
        assert!((thin().steady(Amps(15.0)).0 - 80.0).abs() < 1e-9);
        assert!((thin().steady(Amps(7.5)).0 - 42.5).abs() < 1e-9);
        assert!((thin().lasting().0 - 15.0).abs() < 1e-9);
        let hot = Conductor {
            ambient: Celsius(90.0),
            ..thin()
        };
        assert_eq!(hot.lasting().0, 0.0);
    }

    /// k of thermoplastic from 70 C to 160 C is 115 (IEC 60364-5-54): 115 squared times the area squared.
    #[test]
    fn a_short_fault_stands_k_squared_s_squared() {
        let warm = Conductor {
            ambient: Celsius(70.0),
            ..thin()
        };
        let expected = (115.0_f64 * 0.823).powi(2) / (88.0 * 88.0);
        assert!((warm.stands(Amps(88.0)).0 / expected - 1.0).abs() < 0.01);
    }

    #[test]
    fn a_small_fuse_guards_and_a_large_one_does_not() {
        let small = [Opening::fuse(Form::Blade, Amps(10.0))];
        let large = [Opening::fuse(Form::Blade, Amps(30.0))];
        assert_eq!(thin().guarded(&small, Amps(60.0), Amps(500.0)), Ok(()));
        let harm = thin().guarded(&large, Amps(60.0), Amps(500.0)).unwrap_err();
        assert!(matches!(harm, Harm::Short { .. }), "{harm:?}");
        let never = thin().guarded(&small, Amps(11.0), Amps(500.0));
        assert_eq!(never, Err(Harm::NotSure(Amps(11.0))));
        // The smaller of two in series opens first.
        let both = [large[0].clone(), small[0].clone()];
        assert_eq!(thin().guarded(&both, Amps(60.0), Amps(500.0)), Ok(()));
    }

    fn fuses() -> impl Strategy<Value = Vec<Opening>> {
        let one = (0..Form::ALL.len(), 1.0..120.0_f64)
            .prop_map(|(form, amps)| Opening::fuse(Form::ALL[form], Amps(amps)));
        let breaker = (5.0..120.0_f64).prop_map(|amps| Opening::breaker(Amps(amps)));
        proptest::collection::vec(prop_oneof![3 => one, 1 => breaker], 1..3)
    }

    fn conductors() -> impl Strategy<Value = Conductor> {
        (
            0.5..50.0_f64,
            60.0..150.0_f64,
            -20.0..60.0_f64,
            0.0..1.0_f64,
        )
            .prop_map(|(area, class, ambient, load)| Conductor {
                area: SquareMm(area),
                class: Celsius(class),
                carries: Amps(12.0 * area.powf(0.7)),
                ambient: Celsius(ambient),
                load: Amps(12.0 * area.powf(0.7) * load * 0.8),
            })
    }

    proptest! {
        #[test]
        fn a_narrower_range_of_currents_never_fails_what_a_wider_one_passed(
            conductor in conductors(),
            by in fuses(),
            least in 5.0..2000.0_f64,
            ends in [1.0..4.0_f64, 1.0..4.0, 1.0..4.0],
        ) {
            let inner = (least * ends[0], least * ends[0] * ends[1]);
            let outer = (least, inner.1 * ends[2]);
            if conductor.guarded(&by, Amps(outer.0), Amps(outer.1)).is_ok() {
                prop_assert!(conductor.guarded(&by, Amps(inner.0), Amps(inner.1)).is_ok());
            }
        }

        #[test]
        fn more_copper_never_fails_what_less_passed(
            conductor in conductors(),
            by in fuses(),
            least in 5.0..2000.0_f64,
            width in 1.0..8.0_f64,
            more in 1.0..4.0_f64,
        ) {
            let thicker = Conductor {
                area: SquareMm(conductor.area.0 * more),
                carries: conductor.carries * more.powf(0.7),
                ..conductor
            };
            if conductor.guarded(&by, Amps(least), Amps(least * width)).is_ok() {
                prop_assert!(thicker.guarded(&by, Amps(least), Amps(least * width)).is_ok());
            }
        }

        /// The exact reckoning agrees with looking at many currents.
        #[test]
        fn what_is_guarded_is_guarded_at_every_current(
            conductor in conductors(),
            by in fuses(),
            least in 5.0..2000.0_f64,
            width in 1.0..8.0_f64,
            share in 0.0..1.0_f64,
        ) {
            let (least, most) = (Amps(least), Amps(least * width));
            if conductor.guarded(&by, least, most).is_ok() {
                let amps = Amps(least.0 * width.powf(share));
                let opens = by.iter().map(|one| one.latest(amps).0).fold(f64::INFINITY, f64::min);
                prop_assert!(opens.is_finite());
                if opens <= 5.0 {
                    prop_assert!(opens <= conductor.stands(amps).0 * 1.000_001);
                } else {
                    prop_assert!(conductor.reaches(amps, Seconds(opens)).0 <= conductor.class.0 + 1e-3);
                }
            }
        }
    }
}
