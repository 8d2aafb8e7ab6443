//! Loads and controllers.

use crate::model::build::Builder;
use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, Law, Load};
use crate::model::fact::Fact;
use crate::model::vehicle::TerminalId;
use crate::quantity::{Amps, Fraction, Ohms, Volts, Watts};
use crate::read::document::{Fields, Quantity, Value};

/// One user of current, or one for each of its supplies.
pub(in crate::model) fn load(maker: &mut Maker<'_, '_>) {
    let Some(back) = maker.terminal("-") else {
        return;
    };
    let Some(supplies) = maker.fields.map("supplies") else {
        if let Some(plus) = maker.terminal("+") {
            user(maker, "", plus, back, maker.fields);
        }
        return;
    };
    for supply in &supplies.list {
        let name = supply.key.value.as_str();
        let Some(plus) = maker.terminal(name) else {
            continue;
        };
        match &supply.value {
            Value::Map(fields) => user(maker, name, plus, back, fields),
            _ => user(maker, name, plus, back, &Fields::default()),
        }
    }
}

/// What it draws itself, and its outputs.
pub(in crate::model) fn controller(maker: &mut Maker<'_, '_>) {
    let Some((plus, back)) = maker.pair("+", "-") else {
        return;
    };
    user(maker, "", plus, back, maker.fields);
    let Some(outputs) = maker.fields.map("outputs") else {
        return;
    };
    for output in &outputs.list {
        let name = output.key.value.as_str();
        let Some(out) = maker.terminal(name) else {
            continue;
        };
        let empty = Fields::default();
        let fields = match &output.value {
            Value::Map(fields) => fields,
            _ => &empty,
        };
        add_output(maker, name, out, plus, back, fields);
    }
}

fn add_output(
    maker: &mut Maker<'_, '_>,
    name: &str,
    out: TerminalId,
    plus: TerminalId,
    back: TerminalId,
    fields: &Fields,
) {
    let label = format!("{}.{name}", maker.name);
    let hot = super::key::hot_in_or_always(maker, fields, &label);
    let unit = fields
        .flag("driver-switched")
        .then(|| super::key::driver(maker, label.clone()));
    let ohms = fields.stated("resistance").map(Fact::stated);
    let ohms = ohms.unwrap_or_else(|| {
        let what = format!("{label} resistance");
        maker
            .builder
            .ledger
            .take(what, &label, "resistance", default::output())
    });
    let from = fields
        .text("from")
        .and_then(|from| maker.terminal(&from.value));
    let low = fields.text("side").is_some_and(|side| side.value == "low");
    let (from, to) = if low {
        (out, from.unwrap_or(back))
    } else {
        (from.unwrap_or(plus), out)
    };
    if from == to {
        return;
    }
    let control = Control::Output {
        part: maker.id,
        hot,
        unit,
    };
    maker.branch(name, from, to, Element::Contact { ohms, control });
}

/// Adds the branch of one supply; keys that the supply does not have are those of the part.
fn user(maker: &mut Maker<'_, '_>, name: &str, plus: TerminalId, back: TerminalId, own: &Fields) {
    let whole = maker.fields;
    let get = |key: &str| own.quantity(key).or_else(|| whole.quantity(key));
    let rated = get("rated-voltage")
        .and_then(Quantity::stated)
        .map(Fact::stated);
    let min_voltage = get("min-voltage")
        .and_then(Quantity::stated)
        .map(Fact::stated);
    let rated = rated.unwrap_or_else(|| rated_voltage(maker.builder));
    let min_voltage = min_voltage.unwrap_or_else(|| min_voltage_of(maker.builder, rated));
    let kind = own.text("type").or_else(|| whole.text("type"));
    let kind = kind.map(|kind| kind.value.as_str());
    let duty = get("duty").and_then(Quantity::stated).map(Fact::stated);
    let duty = duty.unwrap_or_else(|| {
        maker
            .builder
            .ledger
            .once("duty of what states none", "duty", default::duty())
    });
    let settles = own.map("settles").or_else(|| whole.map("settles"));
    let settles = settles.and_then(|map| {
        let draw = current(map.quantity("draw")?, rated)?;
        let lasts = map.stated("for").map(Fact::stated)?;
        Some((draw, lasts))
    });
    let modes = own.map("modes").or_else(|| whole.map("modes"));
    let modes = modes.map_or_else(Vec::new, |map| {
        let mode = |field: &crate::read::document::Field| match &field.value {
            Value::Quantity(draw) => Some((field.key.value.clone(), law(draw, kind, rated)?)),
            _ => None,
        };
        map.list.iter().filter_map(mode).collect()
    });
    let load = Load {
        law: own.quantity("draw").and_then(|draw| law(draw, kind, rated)),
        parked: own.quantity("parked").and_then(|draw| current(draw, rated)),
        settles,
        modes,
        duty,
        rated,
        min_voltage,
    };
    maker.branch(name, plus, back, Element::Load(load));
}

/// 13.5 V in a 12 V system, 27 V in a 24 V one.
pub(in crate::model) fn rated_voltage(builder: &mut Builder<'_>) -> Fact<Volts> {
    let default = default::rated(builder.scale());
    builder.ledger.once(
        "voltage at which loads take what is stated",
        "rated-voltage",
        default,
    )
}

/// 6 V in a 12 V system.
pub(in crate::model) fn min_voltage(builder: &mut Builder<'_>) -> Fact<Volts> {
    let default = default::min_voltage(builder.scale());
    builder
        .ledger
        .once("voltage below which loads fade", "min-voltage", default)
}

/// A load made for another voltage than the system's fades at another one too.
fn min_voltage_of(builder: &mut Builder<'_>, rated: Fact<Volts>) -> Fact<Volts> {
    let usual = default::rated(builder.scale()).value.0;
    let share = rated.likely.0 / usual;
    let fact = min_voltage(builder);
    if (0.75..=1.5).contains(&share) {
        fact
    } else {
        fact.derive(|volts| volts * share)
    }
}

/// How current follows voltage, by the unit of the draw and the type of the load.
fn law(draw: &Quantity, kind: Option<&str>, rated: Fact<Volts>) -> Option<Law> {
    if let Some(ohms) = draw.stated::<Ohms>() {
        return Some(Law::Resistance(Fact::stated(ohms)));
    }
    let amps = current(draw, rated)?;
    Some(match kind {
        Some("heater") => Law::Resistance(amps.combine(rated, |i, u| u / i)),
        Some("filament") => Law::Filament(amps),
        Some("motor" | "starter") => Law::Current(amps),
        _ => match draw.stated::<Watts>() {
            Some(watts) => Law::Power(Fact::stated(watts)),
            None => Law::Current(amps),
        },
    })
}

/// The current of a draw at its rated voltage.
fn current(draw: &Quantity, rated: Fact<Volts>) -> Option<Fact<Amps>> {
    if let Some(amps) = draw.stated::<Amps>() {
        return Some(Fact::stated(amps));
    }
    if let Some(watts) = draw.stated::<Watts>() {
        return Some(Fact::stated(watts).combine(rated, |p, u| p / u));
    }
    let ohms = draw.stated::<Ohms>()?;
    Some(Fact::stated(ohms).combine(rated, |r, u| u / r))
}

/// What a timer or cutoff draws itself, from its `in` to its return.
pub(in crate::model) fn own_draw(
    maker: &mut Maker<'_, '_>,
    from: TerminalId,
    back: TerminalId,
    draw: Fact<Amps>,
) {
    let rated = rated_voltage(maker.builder);
    let load = Load {
        law: Some(Law::Current(draw)),
        parked: None,
        settles: None,
        modes: Vec::new(),
        duty: super::battery::given(Fraction(1.0)),
        rated,
        min_voltage: min_voltage(maker.builder),
    };
    maker.branch("own", from, back, Element::Load(load));
}
