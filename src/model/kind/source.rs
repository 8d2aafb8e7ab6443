//! Alternators, chargers and converters.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, HotIn};
use crate::model::fact::Fact;
use crate::model::situation::Engine;
use crate::quantity::{Amps, Fraction, Rpm, Volts, Watts};
use crate::read::document::Value;
use crate::table::Cited;
use crate::table::alternator;
use crate::table::joint;
use crate::table::vehicle;

/// Holds its voltage up to its output at this engine speed.
pub(in crate::model) fn alternator(maker: &mut Maker<'_, '_>) {
    let Some((minus, plus)) = maker.pair("-", "+") else {
        return;
    };
    let system = maker.builder.system.likely;
    let at = maker.builder.climate.engine_bay.likely;
    let volts = maker.stated_or("voltage", "charging voltage", alternator::volts(system, at));
    let output = output(maker);
    maker.branch("", minus, plus, Element::Alternator { volts, output });
}

/// Points of output against speed, slowest first; idle and cruise are always among them where anything is stated.
fn output(maker: &mut Maker<'_, '_>) -> Vec<(Engine, Fact<Amps>)> {
    let curve = curve(maker);
    let rated: Option<Fact<Amps>> = maker.stated("rated");
    let share_of_rated = |maker: &mut Maker<'_, '_>, key, what, share: Cited<Fraction>| {
        let rated = rated?;
        let cited = Cited {
            value: rated.likely * share.value.0,
            low: rated.range.low * share.low.0,
            high: rated.range.high * share.high.0,
            source: share.source,
        };
        Some(maker.assume(key, what, cited))
    };
    let idle = maker
        .stated("at-idle")
        .or_else(|| curve.first().map(|&(_, amps)| amps))
        .or_else(|| {
            let share = alternator::idle_share();
            share_of_rated(maker, "at-idle", "output at idle, hot", share)
        });
    // A nameplate is made at high speed and cool; on the road under a hot bonnet it is less.
    let cruise = curve
        .last()
        .map(|&(_, amps)| amps)
        .or_else(|| {
            let share = alternator::cruise_share();
            share_of_rated(maker, "rated", "output at cruise, hot", share)
        })
        .or(idle);
    let mut points = Vec::with_capacity(curve.len() + 2);
    points.extend(idle.map(|amps| (Engine::Idle, amps)));
    points.extend(cruise.map(|amps| (Engine::Cruise, amps)));
    let speeds = curve.into_iter();
    points.extend(speeds.map(|(speed, amps)| (Engine::Speed(speed), amps)));
    points
}

fn curve(maker: &Maker<'_, '_>) -> Vec<(Rpm, Fact<Amps>)> {
    let point = |value: &Value| {
        let Value::List(pair, _) = value else {
            return None;
        };
        let [Value::Quantity(speed), Value::Quantity(amps)] = pair.as_slice() else {
            return None;
        };
        Some((
            speed.stated::<Rpm>()?.value.middle(),
            Fact::stated(amps.stated()?),
        ))
    };
    let mut curve: Vec<_> = maker
        .fields
        .list("output")
        .iter()
        .filter_map(point)
        .collect();
    curve.sort_by(|a, b| a.0.0.total_cmp(&b.0.0));
    curve
}

/// A source with its own supply.
pub(in crate::model) fn charger(maker: &mut Maker<'_, '_>) {
    let Some((minus, plus)) = maker.pair("-", "+") else {
        return;
    };
    let system = maker.builder.system.likely;
    let at = maker.builder.climate.parked.likely;
    let volts: Fact<Volts> =
        maker.stated_or("voltage", "charging voltage", alternator::volts(system, at));
    let limit: Option<Fact<Amps>> = maker.stated("output");
    let hot = if maker.fields.get("hot-in").is_some() {
        super::key::hot_in(maker.fields)
    } else {
        maker.assume(
            "hot-in",
            "taken as live on shore power only",
            default::exact(Fraction(1.0), default::CAUTION),
        );
        HotIn {
            shore: true,
            ..HotIn::default()
        }
    };
    let control = if hot.always {
        Control::Always
    } else {
        Control::Hot {
            hot,
            stays_on: None,
            unit: None,
        }
    };
    let element = Element::Charger {
        volts,
        limit,
        control,
    };
    maker.branch("", minus, plus, element);
}

/// Takes power at `in` and holds a voltage at `out`.
pub(in crate::model) fn converter(maker: &mut Maker<'_, '_>) {
    let (Some((input, out)), Some(back)) = (maker.pair("in", "out"), maker.terminal("-")) else {
        return;
    };
    let volts: Fact<Volts> =
        maker.stated_or("output", "output voltage", vehicle::converter_output());
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    let power: Option<Fact<Watts>> = maker.stated("rating");
    let limit = rating.or_else(|| power.map(|power| power.combine(volts, |p, v| p / v)));
    let efficiency = maker.stated_or("efficiency", "efficiency", joint::converter_efficiency());
    let standby = super::load::stated_current(
        maker,
        "standby",
        "standby current",
        joint::converter_standby(),
    );
    let element = Element::Converter {
        back,
        volts,
        limit,
        efficiency,
        standby,
    };
    maker.branch("", input, out, element);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    fn output_of(text: &str) -> Vec<(Engine, f64)> {
        let vehicle = vehicle(&format!("parts: {{B1: {{kind: battery}}, ALT: {text}}}"));
        match vehicle.element("ALT", "") {
            Element::Alternator { output, .. } => output
                .iter()
                .map(|&(engine, amps)| (engine, amps.likely.0))
                .collect(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn idle_as_stated_and_cruise_as_the_nameplate_gives_hot() {
        let points = output_of("{kind: alternator, rated: 180 A, at-idle: 90 A}");
        let hot = 180.0 * alternator::cruise_share().value.0;
        assert_eq!(points, [(Engine::Idle, 90.0), (Engine::Cruise, hot)]);
    }

    #[test]
    fn a_nameplate_alone_gives_a_range_at_idle() {
        let vehicle =
            vehicle("parts: {B1: {kind: battery}, ALT: {kind: alternator, rated: 100 A}}");
        let Element::Alternator { output, .. } = vehicle.element("ALT", "") else {
            panic!();
        };
        let (engine, idle) = output[0];
        assert_eq!(engine, Engine::Idle);
        assert!(idle.range.low < idle.range.high && idle.range.high < Amps(100.0));
        assert!(vehicle.defaults().contains(&"ALT.at-idle".to_owned()));
    }

    #[test]
    fn a_curve_gives_idle_and_cruise_where_they_are_not_stated() {
        let points = output_of("{kind: alternator, output: [[2000 rpm, 150 A], [900 rpm, 60 A]]}");
        let speed = |rpm| Engine::Speed(Rpm(rpm));
        let expected = [
            (Engine::Idle, 60.0),
            (Engine::Cruise, 150.0),
            (speed(900.0), 60.0),
            (speed(2000.0), 150.0),
        ];
        assert_eq!(points, expected);
    }

    #[test]
    fn nothing_stated_means_no_limit_known() {
        assert_eq!(output_of("{kind: alternator}"), []);
    }

    #[test]
    fn an_alternator_without_wires_is_joined_by_the_factory() {
        let vehicle = vehicle(
            "parts: {B1: {kind: battery}, B2: {kind: battery}, ALT: {kind: alternator, rated: 100 A}}",
        );
        let granted = vehicle.granted();
        assert!(granted.contains(&"ALT.+ to B1.+"), "{granted:?}");
        assert!(granted.contains(&"ALT.- to chassis"), "{granted:?}");
    }

    #[test]
    fn a_wired_alternator_only_lacks_its_return() {
        let vehicle = vehicle(
            "parts: {B1: {kind: battery}, ALT: {kind: alternator, rated: 100 A}}
wires: [{from: ALT, to: B1, size: 2 AWG, length: 1 m}]",
        );
        assert_eq!(vehicle.granted(), ["ALT.- to chassis", "B1.- to chassis"]);
    }

    #[test]
    fn charger_is_live_when_it_says() {
        let vehicle = vehicle(
            "parts:
  B1: {kind: battery}
  SHORE: {kind: charger, output: 15 A, voltage: 13.8 V, hot-in: shore}
  SUN: {kind: charger, output: 5 A, voltage: 13.6 V, hot-in: always}
  DUNNO: {kind: charger, output: 5 A}",
        );
        let control = |part: &str| match vehicle.element(part, "") {
            Element::Charger { control, .. } => control.clone(),
            other => panic!("{other:?}"),
        };
        assert!(matches!(control("SHORE"), Control::Hot { hot, .. } if hot.shore && !hot.always));
        assert_eq!(control("SUN"), Control::Always);
        assert!(matches!(control("DUNNO"), Control::Hot { hot, .. } if hot.shore));
        assert!(vehicle.defaults().contains(&"DUNNO.hot-in".to_owned()));
    }

    #[test]
    fn a_converter_rated_in_watt_gives_that_at_its_output() {
        let vehicle = vehicle(
            "vehicle: {system: 24 V}
parts: {C1: {kind: converter, output: 12 V, rating: 240 W, efficiency: 90 %, standby: 0.54 W}}",
        );
        let Element::Converter { limit, standby, .. } = vehicle.element("C1", "") else {
            panic!();
        };
        assert_eq!(limit.unwrap().likely, Amps(20.0));
        assert!((standby.likely.0 - 0.54 / 27.0).abs() < 1e-12);
    }
}
