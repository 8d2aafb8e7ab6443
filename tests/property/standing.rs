//! Standing time: no combination of inputs within their ranges lies outside the bounds that are called sure.

use keyoff::analyze::endurance;
use keyoff::analyze::endurance::Battery;
use keyoff::analyze::endurance::Verdict;
use keyoff::analyze::sample::Uncertain;
use keyoff::quantity::Celsius;
use keyoff::table::battery::Chemistry;
use proptest::prelude::*;

/// A range within which a value can lie, and where in it one is drawn.
fn range(from: f64, to: f64) -> impl Strategy<Value = (Uncertain, f64)> {
    (from..to, from..to, 0.0..=1.0_f64, 0.0..=1.0_f64).prop_map(|(a, b, middle, drawn)| {
        let (low, high) = (a.min(b), a.max(b));
        let at = |share: f64| low + (high - low) * share;
        (
            Uncertain {
                low,
                likely: at(middle),
                high,
            },
            at(drawn),
        )
    })
}

fn battery() -> impl Strategy<Value = (Battery, Battery)> {
    let inputs = (
        range(20.0, 250.0),
        range(0.3, 1.0),
        range(0.4, 1.0),
        range(200.0, 1200.0),
        range(50.0, 900.0),
        range(0.001, 3.0),
        prop::sample::select(Chemistry::ALL.to_vec()),
    );
    inputs.prop_map(
        |(capacity, health, charge, cold, needed, draw, chemistry)| {
            let of = |pick: fn((Uncertain, f64)) -> Uncertain| Battery {
                chemistry,
                capacity: pick(capacity),
                health: pick(health),
                charge: pick(charge),
                cold_cranking: Some(pick(cold)),
                cranking: Some(pick(needed)),
                draw: pick(draw),
                runs_on: Vec::new(),
                mix: Vec::new(),
            };
            (
                of(|(range, _)| range),
                of(|(_, drawn)| Uncertain::exact(drawn)),
            )
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

    #[test]
    fn no_combination_lies_outside_the_bounds((ranged, drawn) in battery(), at in -40.0..40.0_f64) {
        let bounds = endurance::sampled(&ranged, Celsius(at)).days;
        let one = endurance::standing(&drawn, Celsius(at)).days;
        let rounding = 1e-9 * (1.0 + bounds.high);
        prop_assert!(bounds.low - rounding <= one.likely && one.likely <= bounds.high + rounding);
        prop_assert!(bounds.low <= bounds.likely && bounds.likely <= bounds.high);
        let drawn = bounds.percentiles.expect("samples were asked for");
        prop_assert!(bounds.low - rounding <= drawn.p5 && drawn.p5 <= drawn.p50);
        prop_assert!(drawn.p50 <= drawn.p95 && drawn.p95 <= bounds.high + rounding);
    }

    #[test]
    fn yes_and_no_hold_for_every_combination((ranged, drawn) in battery(), at in -40.0..40.0_f64, days in 0.0..60.0_f64) {
        let one = endurance::standing(&drawn, Celsius(at)).days;
        match endurance::starts(&ranged, Celsius(at), days).verdict {
            Verdict::Yes => prop_assert!(one.likely >= days * (1.0 - 1e-9)),
            Verdict::No => prop_assert!(one.likely <= days * (1.0 + 1e-9)),
            Verdict::Depends => {}
        }
    }

    #[test]
    fn colder_than_the_rating_needs_no_less_charge((_, battery) in battery(), at in -40.0..0.0_f64, colder in 0.0..20.0_f64) {
        let warm = endurance::standing(&battery, Celsius(at));
        let cold = endurance::standing(&battery, Celsius(at - colder));
        prop_assert!(cold.floor >= warm.floor * (1.0 - 1e-9));
    }
}
