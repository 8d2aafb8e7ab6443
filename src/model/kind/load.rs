//! Loads and controllers.

use crate::model::build::Builder;
use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, Law, Load};
use crate::model::fact::Fact;
use crate::model::vehicle::TerminalId;
use crate::quantity::{Amps, Fraction, Ohms, Volts, Watts};
use crate::read::document::{Fields, Quantity, Value};
use crate::table::Cited;
use crate::table::joint;
use crate::table::typical;
use crate::table::typical::Typical;

/// What a load takes parked is what it takes at work from this share of it on.
const WORKS: f64 = 0.95;

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
            .take(what, &label, "resistance", joint::output())
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
    let typical = typical(maker);
    let kind = kind.or_else(|| typical.map(|typical| typical.kind.as_str()));
    let duty = get("duty").and_then(Quantity::stated).map(Fact::stated);
    let duty = duty.unwrap_or_else(|| match typical {
        Some(typical) => maker.assume("duty", "duty", typical.duty()),
        None => maker
            .builder
            .ledger
            .once("duty of what states none", "duty", default::duty()),
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
    let system = maker.builder.system.likely;
    let stated = own.quantity("draw").and_then(|draw| law(draw, kind, rated));
    let on = typical
        .filter(|_| stated.is_none())
        .and_then(|typical| typical.on(system))
        .map(|on| maker.assume("draw", "typical draw", on));
    let parked = own.quantity("parked").and_then(|draw| current(draw, rated));
    let parked = parked.or_else(|| {
        let parked = typical.and_then(|typical| typical.parked(system))?;
        Some(maker.assume("parked", "typical draw with the key off", parked))
    });
    let law = stated.or_else(|| on.map(|on| law_of_current(on, kind, rated)));
    // A duty of the whole part says nothing of a supply that keeps its memory.
    let own_duty = own.quantity("duty").and(Some(duty));
    let parked_duty = parked_duty(maker, law, parked, rated, own_duty);
    let load = Load {
        law,
        parked,
        parked_duty,
        settles,
        modes,
        duty,
        rated,
        min_voltage,
    };
    maker.branch(name, plus, back, Element::Load(load));
}

/// What takes as much with the key off as when it works, and works part of the time, goes on working so: a fridge. What takes
/// less is asleep, or its average is stated: that it takes all the time.
fn parked_duty(
    maker: &mut Maker<'_, '_>,
    law: Option<Law>,
    parked: Option<Fact<Amps>>,
    rated: Fact<Volts>,
    duty: Option<Fact<Fraction>>,
) -> Option<Fact<Fraction>> {
    let duty = duty?;
    let works = match law? {
        Law::Current(amps) | Law::Filament(amps) => amps.likely.0,
        Law::Power(watts) => watts.likely.0 / rated.likely.0,
        Law::Resistance(ohms) => rated.likely.0 / ohms.likely.0,
    };
    if parked?.likely.0 < WORKS * works || duty.likely.0 >= 1.0 {
        return None;
    }
    let duty = Cited {
        value: duty.likely,
        low: duty.range.low,
        high: duty.range.high,
        source: "its own duty: what it takes parked is what it takes at work",
    };
    Some(maker.assume("parked", "duty with the key off", duty))
}

/// 13.5 V in a 12 V system, 27 V in a 24 V one.
pub(in crate::model) fn rated_voltage(builder: &mut Builder<'_>) -> Fact<Volts> {
    let default = default::rated(builder.system.likely);
    builder.ledger.once(
        "voltage at which loads take what is stated",
        "rated-voltage",
        default,
    )
}

/// 6 V in a 12 V system.
pub(in crate::model) fn min_voltage(builder: &mut Builder<'_>) -> Fact<Volts> {
    let default = default::min_voltage(builder.system.likely);
    builder
        .ledger
        .once("voltage below which loads fade", "min-voltage", default)
}

/// A load made for another voltage than the system's fades at another one too.
fn min_voltage_of(builder: &mut Builder<'_>, rated: Fact<Volts>) -> Fact<Volts> {
    let usual = default::rated(builder.system.likely).value.0;
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
    let steady = !matches!(kind, Some("heater" | "filament" | "motor" | "starter"));
    if steady && let Some(watts) = draw.stated::<Watts>() {
        return Some(Law::Power(Fact::stated(watts)));
    }
    Some(law_of_current(current(draw, rated)?, kind, rated))
}

/// The law of what takes this current at its rated voltage.
fn law_of_current(amps: Fact<Amps>, kind: Option<&str>, rated: Fact<Volts>) -> Law {
    match kind {
        // A heater that takes nothing has no resistance that could be told.
        Some("heater") if amps.range.low > Amps::ZERO => {
            Law::Resistance(amps.combine(rated, |i, u| u / i))
        }
        Some("filament") => Law::Filament(amps),
        _ => Law::Current(amps),
    }
}

/// The generic entry that the part names.
fn typical(maker: &Maker<'_, '_>) -> Option<&'static Typical> {
    let name = maker.fields.text("typical")?;
    typical::get(&name.value)
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

/// A current that may be written in watt, at the system's rated voltage.
pub(in crate::model) fn stated_current(
    maker: &mut Maker<'_, '_>,
    key: &'static str,
    what: &str,
    default: Cited<Amps>,
) -> Fact<Amps> {
    match maker.fields.quantity(key) {
        Some(draw) => {
            let rated = rated_voltage(maker.builder);
            current(draw, rated).unwrap_or_else(|| maker.assume(key, what, default))
        }
        None => maker.assume(key, what, default),
    }
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
        parked_duty: None,
        settles: None,
        modes: Vec::new(),
        duty: super::battery::given(Fraction(1.0)),
        rated,
        min_voltage: min_voltage(maker.builder),
    };
    maker.branch("own", from, back, Element::Load(load));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Vehicle;
    use crate::model::testing::vehicle;

    fn of<'v>(vehicle: &'v Vehicle, part: &str, name: &str) -> &'v Load {
        match vehicle.element(part, name) {
            Element::Load(load) => load,
            other => panic!("{other:?}"),
        }
    }

    fn law_of(system: &str, keys: &str) -> (&'static str, f64) {
        let text =
            format!("vehicle: {{system: {system}}}\nparts: {{LAMP: {{kind: load, {keys}}}}}");
        let vehicle = vehicle(&text);
        match of(&vehicle, "LAMP", "").law {
            Some(Law::Resistance(ohms)) => ("resistance", ohms.likely.0),
            Some(Law::Power(watts)) => ("power", watts.likely.0),
            Some(Law::Current(amps)) => ("current", amps.likely.0),
            Some(Law::Filament(amps)) => ("filament", amps.likely.0),
            None => ("none", 0.0),
        }
    }

    #[test]
    fn the_law_follows_from_unit_and_type() {
        for (keys, expected) in [
            ("type: led, draw: 14 A", ("current", 14.0)),
            ("type: led, draw: 54 W", ("power", 54.0)),
            ("type: electronics, draw: 27 W", ("power", 27.0)),
            ("type: motor, draw: 20 A", ("current", 20.0)),
            ("type: motor, draw: 135 W", ("current", 10.0)),
            ("type: heater, draw: 10 A", ("resistance", 1.35)),
            ("type: heater, draw: 135 W", ("resistance", 1.35)),
            ("type: filament, draw: 54 W", ("filament", 4.0)),
            ("type: filament, draw: 4 A", ("filament", 4.0)),
            ("type: led, draw: 5 ohm", ("resistance", 5.0)),
            ("draw: 3 A", ("current", 3.0)),
            ("draw: 40 W", ("power", 40.0)),
            ("type: led", ("none", 0.0)),
            ("type: led, draw: unknown", ("none", 0.0)),
        ] {
            let (law, value) = law_of("12 V", keys);
            assert_eq!(law, expected.0, "{keys}");
            assert!((value - expected.1).abs() < 1e-9, "{keys}: {value}");
        }
    }

    #[test]
    fn a_24_volt_system_means_draws_at_27_volts() {
        let (law, ohms) = law_of("24 V", "type: heater, draw: 270 W");
        assert_eq!(law, "resistance");
        assert!((ohms - 2.7).abs() < 1e-9);
        let (_, ohms) = law_of("24 V", "type: heater, draw: 120 W, rated-voltage: 12 V");
        assert!((ohms - 1.2).abs() < 1e-9);
    }

    #[test]
    fn what_it_takes_parked_and_until_it_settles() {
        let vehicle = vehicle(
            "parts: {R: {kind: load, type: electronics, draw: 2 A, parked: 5..10 mA, settles: {draw: 800 mA, for: 20 min},
             modes: {transmit: 9 A}, duty: 10 %, min-voltage: 10.5 V}}",
        );
        let load = of(&vehicle, "R", "");
        let parked = load.parked.unwrap();
        assert_eq!(
            (parked.range.low, parked.range.high),
            (Amps(0.005), Amps(0.01))
        );
        let (draw, lasts) = load.settles.unwrap();
        assert_eq!((draw.likely.0, lasts.likely.0), (0.8, 1200.0));
        assert!(matches!(load.modes.as_slice(), [(name, Law::Current(amps))]
            if name == "transmit" && amps.likely.0 == 9.0));
        assert_eq!(load.duty.likely, Fraction(0.1));
        assert_eq!(load.min_voltage.likely, Volts(10.5));
    }

    #[test]
    fn a_typical_entry_fills_what_is_not_stated_and_is_listed() {
        let vehicle = vehicle(
            "parts:
  W1: {kind: load, typical: led-work-lamp-large}
  W2: {kind: load, typical: led-work-lamp-large, draw: 3 A, duty: 50 %}",
        );
        let load = of(&vehicle, "W1", "");
        let Some(Law::Current(draw)) = load.law else {
            panic!("{load:?}");
        };
        assert!(draw.range.low < draw.likely && draw.likely < draw.range.high);
        assert_eq!(load.parked.unwrap().likely, Amps::ZERO);
        let defaults = vehicle.defaults();
        assert!(defaults.contains(&"W1.draw".to_owned()));
        assert!(!defaults.contains(&"W2.draw".to_owned()));
        assert!(
            matches!(of(&vehicle, "W2", "").law, Some(Law::Current(amps)) if amps.likely == Amps(3.0))
        );
        let kind = vehicle.parts[0].fields.text("type").unwrap();
        assert_eq!(kind.value, "led", "checks read it there");
    }

    #[test]
    fn one_branch_for_each_supply() {
        let vehicle = vehicle(
            "parts: {R: {kind: load, type: electronics, duty: 10 %, supplies: {memory: {draw: 5 mA, parked: 5 mA}, main: {draw: 9 A}}}}",
        );
        assert_eq!(vehicle.ends("R", "memory"), ["R.memory", "R.-"]);
        assert_eq!(vehicle.ends("R", "main"), ["R.main", "R.-"]);
        assert_eq!(of(&vehicle, "R", "main").duty.likely, Fraction(0.1));
        assert!(of(&vehicle, "R", "main").parked.is_none());
        assert!(of(&vehicle, "R", "memory").parked.is_some());
    }

    #[test]
    fn a_return_is_taken_for_granted_once_and_listed() {
        let text = "parts: {F1: {kind: fuse, rating: 10 A}, LAMP: {kind: load, draw: 2 A}, SPARE: {kind: load, draw: 2 A}}
wires: [{from: F1, to: LAMP, size: 14 AWG, length: 1 m}]";
        let vehicle = vehicle(text);
        assert_eq!(vehicle.granted(), ["LAMP.- to chassis"]);
        let wire = vehicle.wires.last().unwrap();
        assert_eq!(wire.resistance.unwrap().likely, Ohms(0.0));
        assert!(vehicle.defaults().contains(&"LAMP.return".to_owned()));
    }

    #[test]
    fn outputs_of_a_controller() {
        let vehicle = vehicle(
            "parts:
  C1:
    kind: controller
    draw: 0.15 A
    parked: 2 mA
    outputs:
      O1: {hot-in: run, driver-switched: true, resistance: 20 mohm}
      O2: {hot-in: [accessory, run], side: low}
      O3: {limit: 5 A}
    senses: [IGN]
wires:
  - {from: C1.O1, to: C1.IGN, size: 18 AWG, length: 1 m}",
        );
        assert_eq!(vehicle.ends("C1", ""), ["C1.+", "C1.-"]);
        assert_eq!(vehicle.ends("C1", "O1"), ["C1.+", "C1.O1"]);
        assert_eq!(vehicle.ends("C1", "O2"), ["C1.O2", "C1.-"]);
        let hot = |name: &str| match vehicle.element("C1", name) {
            Element::Contact {
                control: Control::Output { hot, unit, .. },
                ..
            } => (hot.clone(), *unit),
            other => panic!("{other:?}"),
        };
        assert_eq!(hot("O1").1, Some(0));
        assert_eq!(vehicle.switches[0].label, "C1.O1");
        assert_eq!(hot("O2").1, None);
        assert!(hot("O3").0.always, "the careful choice");
        assert!(vehicle.defaults().contains(&"C1.O3.hot-in".to_owned()));
        assert_eq!(vehicle.granted(), ["C1.- to chassis"]);
    }

    #[test]
    fn the_vehicles_own_equipment_is_the_last_part() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, own-load: {off: 18 mA, run: 32 A}}
parts: {B1: {kind: battery}, B2: {kind: battery}}",
        );
        let id = vehicle.own_load.unwrap();
        assert_eq!(id.index(), vehicle.parts.len() - 1);
        assert_eq!(vehicle.ends("own-load", ""), ["B1.+", "chassis"]);
        let load = of(&vehicle, "own-load", "");
        assert_eq!(load.parked.unwrap().likely, Amps(0.018));
        assert!(matches!(load.law, Some(Law::Current(amps)) if amps.likely == Amps(32.0)));
        let none = crate::model::testing::vehicle("parts: {B1: {kind: battery}}");
        assert_eq!(none.own_load, None);
    }

    #[test]
    fn own_load_counts_at_the_battery_that_starts() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, engine: {battery: B2}, own-load: {off: 18 mA}}
parts: {B1: {kind: battery}, B2: {kind: battery}}",
        );
        assert_eq!(vehicle.ends("own-load", ""), ["B2.+", "chassis"]);
    }
}
