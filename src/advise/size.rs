//! Fuse and wire for a load: from its current, its length and its place.
//!
//! The fuse carries the load for long and rides through its inrush; the wire carries load and fuse, keeps the drop, and stands
//! a short at its far end until the fuse has opened. Every size is judged by all of these, so that a reader sees why each fits
//! or not.

use crate::analyze::conductor::Conductor;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Meters;
use crate::quantity::Ohms;
use crate::quantity::Seconds;
use crate::quantity::SquareMm;
use crate::quantity::Units;
use crate::quantity::Volts;
use crate::quantity::WireSize;
use crate::quantity::show::show;
use crate::table::Cited;
use crate::table::ampacity;
use crate::table::ampacity::BundleScheme;
use crate::table::ampacity::Scheme;
use crate::table::battery;
use crate::table::battery::Chemistry;
use crate::table::fuse;
use crate::table::fuse::Form;
use crate::table::joint;
use crate::table::opening::Opening;
use crate::table::rules;
use crate::table::vehicle;
use crate::table::wire;

/// What has to be fed.
#[derive(Clone, PartialEq, Debug)]
pub struct Need {
    /// Its running current.
    pub draw: Amps,
    /// Wire from the fuse to it, one way.
    pub out: Meters,
    /// Its return wire; nothing where the chassis is the return.
    pub back: Meters,
    /// Nominal voltage.
    pub system: Volts,
    /// Temperature around the wire.
    pub ambient: Celsius,
    /// Temperature around the fuse.
    pub at_fuse: Celsius,
    /// Temperature class of the insulation.
    pub class: Celsius,
    /// The wire runs in an engine space.
    pub engine_space: bool,
    /// Conductors that carry current in its bundle, itself included.
    pub bundle: u32,
    /// Share of the time that it runs.
    pub duty: Fraction,
    /// Current at switch-on and how long it lasts.
    pub inrush: Option<(Amps, Seconds)>,
    /// Drop out and back over nominal voltage, at most.
    pub drop: Fraction,
    /// The ampacity table.
    pub scheme: Scheme,
    /// The bundle factors.
    pub bundling: BundleScheme,
    /// Rating of the fuse over ampacity of the wire, at most.
    pub fuse_to_wire: Fraction,
    /// Form of the fuse; the usual one of its rating where left open.
    pub form: Option<Form>,
}

impl Need {
    /// Everything as it is taken where nothing is said: 105 C insulation in a cabin, alone, all the time, 10 % of drop, the
    /// default rules, returned by the chassis.
    #[must_use]
    pub fn of(draw: Amps, out: Meters, system: Volts) -> Self {
        let cabin = vehicle::cabin().value;
        let figure = |name| rules::default(name).map_or(1.0, |choice| choice.value);
        Self {
            draw,
            out,
            back: Meters::ZERO,
            system,
            ambient: cabin,
            at_fuse: cabin,
            class: Celsius(105.0),
            engine_space: false,
            bundle: 1,
            duty: Fraction(1.0),
            inrush: None,
            drop: Fraction(figure("drop")),
            scheme: Scheme::default(),
            bundling: BundleScheme::default(),
            fuse_to_wire: Fraction(figure("fuse-to-wire")),
            form: None,
        }
    }
}

/// What decides a size.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Decider {
    /// The load's current.
    Ampacity,
    /// The fuse that the load needs.
    Fuse,
    /// The drop.
    Drop,
    /// A short at the far end.
    Short,
}

impl Decider {
    /// As output names it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Ampacity => "ampacity",
            Self::Fuse => "fuse",
            Self::Drop => "drop",
            Self::Short => "short",
        }
    }
}

/// One size and how it stands.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The size.
    pub size: WireSize,
    /// What it carries in its place.
    pub ampacity: Amps,
    /// Drop out and back at the full draw; where it is no less than the supply, so much never flows.
    pub drop: Volts,
    /// What speaks against it, the first that a thicker one mends last; nothing where it fits.
    pub against: Vec<(Decider, String)>,
}

/// One step of the sum.
#[derive(Clone, PartialEq, Debug)]
pub struct Step {
    /// With numbers filled in.
    pub step: String,
    /// Where its numbers are from.
    pub source: String,
}

/// The answer.
#[derive(Clone, PartialEq, Debug)]
pub struct Sized {
    /// What was needed.
    pub need: Need,
    /// The fuse; nothing where none is made that is large enough.
    pub fuse: Option<(Form, Amps)>,
    /// Index of the thinnest size that fits.
    pub chosen: Option<usize>,
    /// What decided it: what speaks against the next thinner size.
    pub decided_by: Option<Decider>,
    /// All sizes, thinnest first.
    pub table: Vec<Row>,
    /// The sum.
    pub why: Vec<Step>,
    /// Documents that it rests on.
    pub sources: Vec<String>,
}

/// What a short would be, weak and strong.
struct Shorted {
    volts: [Volts; 2],
    apart_from_wire: [Ohms; 2],
}

/// Sizes fuse and wire.
#[must_use]
pub fn size(need: &Need) -> Sized {
    let mut sized = Sized {
        need: need.clone(),
        fuse: None,
        chosen: None,
        decided_by: None,
        table: Vec::new(),
        why: Vec::new(),
        sources: Vec::new(),
    };
    sized.fuse = fuse(need, &mut sized);
    let shorted = shorted(need);
    sized.table = wire::sizes()
        .iter()
        .filter_map(|&size| row(need, sized.fuse, &shorted, size))
        .collect();
    sized.chosen = sized.table.iter().position(|row| row.against.is_empty());
    sized.decided_by = match sized.chosen {
        Some(0) => Some(Decider::Ampacity),
        Some(at) => sized.table[at - 1].against.last().map(|(by, _)| *by),
        None => None,
    };
    explain(&mut sized);
    let mut sources: Vec<String> = Vec::new();
    for step in &sized.why {
        if !step.source.is_empty() && !sources.contains(&step.source) {
            sources.push(step.source.clone());
        }
    }
    sized.sources = sources;
    sized
}

/// The smallest fuse that carries the load for long and rides through its inrush.
fn fuse(need: &Need, sized: &mut Sized) -> Option<(Form, Amps)> {
    let share = fuse::continuous_share();
    let heat = fuse::rerate(need.at_fuse);
    let lasting = need.duty.0 >= 1.0 - 1e-9;
    let least = if lasting {
        need.draw * (1.0 / (share.value.0 * heat.value.0))
    } else {
        need.draw
    };
    sized.why.push(Step {
        step: if lasting {
            format!(
                "fuse: {} / ({} for long x {} at {:.0} C) = {} at least",
                text(need.draw),
                text(share.value),
                text(heat.value),
                need.at_fuse.0,
                text(least)
            )
        } else {
            format!(
                "fuse: {} now and then, {} at least",
                text(need.draw),
                text(least)
            )
        },
        source: format!("{}; {}", share.source, heat.source),
    });
    let forms: Vec<Form> = need.form.map_or_else(
        || vec![Form::Blade, Form::BladeMaxi, Form::BoltDown],
        |form| vec![form],
    );
    let holds = |form: Form, rating: Amps| {
        need.inrush.is_none_or(|(amps, lasts)| {
            Opening::fuse(form, rating)
                .earliest(amps)
                .is_some_and(|earliest| earliest >= lasts)
        })
    };
    let found = forms.into_iter().find_map(|form| {
        let mut made = fuse::standard_ratings(form).iter().copied();
        let rating = made.find(|&rating| rating.0 >= least.0 - 1e-9 && holds(form, rating))?;
        Some((form, rating))
    });
    if let (Some((form, rating)), Some((amps, lasts))) = (found, need.inrush) {
        let opening = Opening::fuse(form, rating);
        let earliest = opening.earliest(amps).unwrap_or(Seconds::ZERO);
        let holds = if earliest.0.is_finite() {
            format!("not before {}", text(earliest))
        } else {
            "never".to_owned()
        };
        sized.why.push(Step {
            step: format!(
                "inrush: {} for {}; a fuse of {} opens {holds} at that",
                text(amps),
                text(lasts),
                text(rating)
            ),
            source: opening.sources().join(", "),
        });
    }
    found
}

fn shorted(need: &Need) -> Shorted {
    let blocks = need.system.0 / 12.0;
    let chemistry = Chemistry::Flooded;
    let weak = battery::rest_voltage(chemistry, battery::least_charge().value).value;
    let full = battery::rest_voltage(chemistry, Fraction(1.0)).high;
    let capacity = vehicle::unknown_capacity();
    let inside = battery::internal_resistance_from_capacity(capacity.value, need.ambient);
    let inside = inside.map_or(Ohms::ZERO, |ohms| ohms.value) * blocks;
    let metal = joint::chassis_return();
    Shorted {
        volts: [weak * blocks, full * blocks],
        apart_from_wire: [
            inside / battery::health_unknown().value.0 + metal.value,
            inside + metal.low,
        ],
    }
}

/// What it carries in its place: the table, times the bundle's share.
fn carries(need: &Need, size: WireSize, engine_space: bool) -> Option<Cited<Amps>> {
    let bundle = ampacity::bundle_factor(need.bundle, need.system, need.bundling);
    let row = ampacity::ampacity(size, need.class, engine_space, need.scheme)?;
    Some(row.map(|amps| amps * bundle.value.0))
}

fn row(need: &Need, fuse: Option<(Form, Amps)>, shorted: &Shorted, size: WireSize) -> Option<Row> {
    let ampacity = carries(need, size, need.engine_space)?.value;
    let conductor = Conductor {
        area: SquareMm(wire::area(size)?.low.0),
        class: need.class,
        carries: carries(need, size, false)?.value,
        ambient: need.ambient,
        load: need.draw,
    };
    let per_meter = wire::r20(size)?.value;
    let warm = wire::at_temperature(per_meter, conductor.start());
    let drop = need.draw * Ohms(warm * (need.out.0 + need.back.0));
    let mut against = Vec::new();
    if need.draw.0 > ampacity.0 * (1.0 + 1e-9) {
        let says = format!("carries {}, {} flows", text(ampacity), text(need.draw));
        against.push((Decider::Ampacity, says));
    }
    if let Some((form, rating)) = fuse {
        let allowed = ampacity * need.fuse_to_wire.0;
        if rating.0 > allowed.0 * (1.0 + 1e-9) {
            let says = format!(
                "allows a fuse of {}, {} is needed",
                text(allowed),
                text(rating)
            );
            against.push((Decider::Fuse, says));
        }
        let way = |ambient| Ohms(wire::at_temperature(per_meter, ambient) * need.out.0);
        let cold = Celsius(need.ambient.0.min(20.0));
        let least = shorted.volts[0] / (shorted.apart_from_wire[0] + way(need.ambient));
        let near = shorted.volts[1] / shorted.apart_from_wire[1];
        let far = shorted.volts[1] / (shorted.apart_from_wire[1] + way(cold));
        let opening = Opening::fuse(form, rating);
        if conductor
            .guarded(std::slice::from_ref(&opening), least, near)
            .is_err()
        {
            let says = format!(
                "a short at its end draws {} to {}: it may burn before {} opens",
                text(least),
                text(far),
                text(rating)
            );
            against.push((Decider::Short, says));
        }
    }
    if drop.0 > need.system.0 * need.drop.0 * (1.0 + 1e-9) {
        let limit = text(need.system * need.drop.0);
        let says = if drop.0 < need.system.0 {
            format!("drops {}, {limit} is the limit", text(drop))
        } else {
            // So much cannot be lost: less than the draw flows.
            format!(
                "loses all of {} before {} flows, {limit} of drop is the limit",
                text(need.system),
                text(need.draw)
            )
        };
        against.push((Decider::Drop, says));
    }
    Some(Row {
        size,
        ampacity,
        drop,
        against,
    })
}

fn explain(sized: &mut Sized) {
    let need = sized.need.clone();
    let Some(row) = sized.chosen.map(|at| sized.table[at].clone()) else {
        return;
    };
    let label = wire::label(row.size);
    let Some(table) = ampacity::ampacity(row.size, need.class, need.engine_space, need.scheme)
    else {
        return;
    };
    let bundle = ampacity::bundle_factor(need.bundle, need.system, need.bundling);
    sized.why.push(Step {
        step: format!(
            "{label} with {:.0} C insulation carries {} x {} in its bundle = {}",
            need.class.0,
            text(table.value),
            text(bundle.value),
            text(row.ampacity)
        ),
        source: if bundle.value.0 < 1.0 {
            format!("{}; {}", table.source, bundle.source)
        } else {
            table.source.to_owned()
        },
    });
    if let Some((_, rating)) = sized.fuse {
        let of = rules::rule("fuse-to-wire");
        let mut choices: Vec<_> = of.into_iter().flat_map(|rule| &rule.choices).collect();
        choices.sort_by(|a, b| a.value.total_cmp(&b.value));
        for choice in choices {
            let allowed = row.ampacity * choice.value;
            let verdict = if rating.0 <= allowed.0 * (1.0 + 1e-9) {
                "enough"
            } else {
                "too thin"
            };
            sized.why.push(Step {
                step: format!(
                    "rule `{}` allows a fuse of {} on it, {} is needed: {verdict}",
                    choice.name,
                    text(allowed),
                    text(rating)
                ),
                source: choice.source.clone(),
            });
        }
    }
    if let Some(r20) = wire::r20(row.size) {
        sized.why.push(Step {
            step: format!(
                "drop: {} x {:.2} m x {:.3} mohm/m, warm = {}",
                text(need.draw),
                need.out.0 + need.back.0,
                r20.value * 1000.0,
                text(row.drop)
            ),
            source: r20.source.to_owned(),
        });
    }
}

fn text<T: crate::quantity::Scalar>(value: T) -> String {
    show(value, Units::Metric)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plain(draw: f64, out: f64) -> Need {
        Need::of(Amps(draw), Meters(out), Volts(12.0))
    }

    #[test]
    fn a_wire_that_would_lose_the_whole_supply_says_so() {
        // 40 m of 22 AWG are above 2 ohm: 12 V drive less than 6 A through them.
        let sized = size(&plain(15.0, 40.0));
        let says = |row: &Row| {
            let of_drop = row.against.iter().find(|(by, _)| *by == Decider::Drop);
            of_drop.unwrap().1.clone()
        };
        assert_eq!(
            says(&sized.table[0]),
            "loses all of 12 V before 15 A flows, 1.2 V of drop is the limit"
        );
        let next = sized.table.iter().find(|row| row.drop.0 < 12.0).unwrap();
        assert!(says(next).starts_with("drops "));
    }

    #[test]
    fn a_short_run_is_decided_by_the_fuse_and_a_long_one_by_the_drop() {
        let short = size(&plain(14.0, 1.0));
        assert_eq!(short.fuse, Some((Form::Blade, Amps(20.0))));
        let at = short.chosen.unwrap();
        assert!(short.table[at].ampacity >= Amps(20.0));
        let mut far = plain(14.0, 12.0);
        far.drop = Fraction(0.03);
        let far = size(&far);
        assert_eq!(far.decided_by, Some(Decider::Drop));
        assert!(far.chosen > short.chosen);
        assert!(far.table[far.chosen.unwrap()].drop.0 <= 0.36);
    }

    #[test]
    fn inrush_asks_for_a_larger_fuse_and_nothing_made_is_said() {
        let mut pump = plain(14.0, 2.0);
        pump.inrush = Some((Amps(84.0), Seconds(0.5)));
        let pump = size(&pump);
        assert!(pump.fuse.unwrap().1 > Amps(20.0));
        assert!(size(&plain(5000.0, 2.0)).fuse.is_none());
        assert!(size(&plain(5000.0, 2.0)).chosen.is_none());
    }

    proptest! {
        #[test]
        fn what_fits_a_longer_run_fits_a_shorter_and_a_thicker_size_fits_as_well(
            draw in 0.5..80.0_f64,
            out in 0.3..20.0_f64,
            share in 0.05..1.0_f64,
            class in prop_oneof![Just(80.0), Just(105.0), Just(125.0)],
        ) {
            let mut far = plain(draw, out);
            far.class = Celsius(class);
            let near = Need { out: Meters(out * share), ..far.clone() };
            let (far, near) = (size(&far), size(&near));
            for (a, b) in far.table.iter().zip(&near.table) {
                prop_assert!(!a.against.is_empty() || b.against.is_empty(), "{a:?} {b:?}");
            }
            for pair in far.table.windows(2) {
                prop_assert!(!pair[0].against.is_empty() || pair[1].against.is_empty(), "{pair:?}");
            }
        }
    }
}
