//! Alternators, chargers and converters.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, HotIn};
use crate::model::fact::Fact;
use crate::model::situation::Engine;
use crate::quantity::{Amps, Fraction, Rpm, Volts, Watts};
use crate::read::document::Value;

/// Holds its voltage up to its output at this engine speed.
pub(in crate::model) fn alternator(maker: &mut Maker<'_, '_>) {
    let Some((minus, plus)) = maker.pair("-", "+") else {
        return;
    };
    let system = maker.builder.system.likely;
    let at = maker.builder.climate.engine_bay.likely;
    let volts = maker.stated_or("voltage", "charging voltage", default::charging(system, at));
    let output = output(maker);
    maker.branch("", minus, plus, Element::Alternator { volts, output });
}

/// Points of output against speed, slowest first; idle and cruise are always among them where anything is stated.
fn output(maker: &mut Maker<'_, '_>) -> Vec<(Engine, Fact<Amps>)> {
    let curve = curve(maker);
    let rated: Option<Fact<Amps>> = maker.stated("rated");
    let idle = maker.stated("at-idle").or_else(|| {
        let slowest = curve.first().map(|&(_, amps)| amps);
        slowest.or_else(|| {
            let share = default::idle_share();
            let rated = rated?;
            let cited = crate::table::Cited {
                value: rated.likely * share.value.0,
                low: rated.range.low * share.low.0,
                high: rated.range.high * share.high.0,
                source: share.source,
            };
            Some(maker.assume("at-idle", "output at idle, hot", cited))
        })
    });
    let cruise = rated
        .or_else(|| curve.last().map(|&(_, amps)| amps))
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
        maker.stated_or("voltage", "charging voltage", default::charging(system, at));
    let output: Option<Fact<Amps>> = maker.stated("output");
    let power: Option<Fact<Watts>> = maker.stated("output");
    let limit = output.or_else(|| power.map(|power| power.combine(volts, |p, v| p / v)));
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
    let volts: Fact<Volts> = maker.stated_or("output", "output voltage", default::converted());
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    let power: Option<Fact<Watts>> = maker.stated("rating");
    let limit = rating.or_else(|| power.map(|power| power.combine(volts, |p, v| p / v)));
    let efficiency = maker.stated_or("efficiency", "efficiency", default::efficiency());
    let standby = maker.stated_or("standby", "standby current", default::standby());
    let element = Element::Converter {
        back,
        volts,
        limit,
        efficiency,
        standby,
    };
    maker.branch("", input, out, element);
}
