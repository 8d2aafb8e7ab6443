//! Feeds of the vehicle, and the key switch.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, HotIn};
use crate::model::fact::Fact;
use crate::model::situation::{Key, SwitchUnit};
use crate::quantity::{Amps, Fraction};
use crate::read::document::{Fields, Kind, Value};
use crate::table::joint;

/// What `hot-in` says.
pub(in crate::model) fn hot_in(fields: &Fields) -> HotIn {
    let mut hot = HotIn::default();
    for value in fields.list("hot-in") {
        let Value::Text(word) = value else { continue };
        match word.value.as_str() {
            "always" => hot.always = true,
            "accessory" => hot.keys.push(Key::Accessory),
            "run" => hot.keys.push(Key::Run),
            "start" => hot.keys.push(Key::Start),
            "engine" => hot.engine = true,
            "shore" => hot.shore = true,
            _ => {}
        }
    }
    hot.keys.sort_unstable();
    hot.keys.dedup();
    hot
}

/// As stated; where it is not, always, because that is what must not be missed.
pub(in crate::model) fn hot_in_or_always(
    maker: &mut Maker<'_, '_>,
    fields: &Fields,
    subject: &str,
) -> HotIn {
    let stated = hot_in(fields);
    if stated != HotIn::default() {
        return stated;
    }
    maker.builder.ledger.take(
        format!("{subject} taken as hot at all times"),
        subject,
        "hot-in",
        default::exact(Fraction(1.0), default::CAUTION),
    );
    HotIn {
        always: true,
        ..stated
    }
}

/// From its battery, or from the point behind which it lies, to `out`.
pub(in crate::model) fn feed(maker: &mut Maker<'_, '_>) {
    let Some(out) = maker.terminal("out") else {
        return;
    };
    let text = |key: &str| maker.fields.text(key).map(|text| text.value.as_str());
    let builder = &maker.builder;
    let from = text("from").and_then(|words| builder.point(words));
    let battery = || {
        let id = builder.part_named(text("battery")?)?;
        let is = builder.parts[id.index()].kind == Kind::Battery;
        is.then(|| builder.terminal(id, "+")).flatten()
    };
    let Some(from) = from.or_else(battery).or_else(|| builder.supply()) else {
        return;
    };
    if from == out {
        return;
    }
    let hot = hot_in_or_always(maker, maker.fields, maker.name);
    let unit = maker
        .fields
        .flag("driver-switched")
        .then(|| driver(maker, maker.name.to_owned()));
    let rating: Option<Fact<Amps>> = maker.stated("rating").or_else(|| maker.stated("limit"));
    let rating = rating.map(|rating| rating.likely);
    let ohms = maker.stated_or("resistance", "resistance", joint::feed(rating));
    let control = Control::Hot {
        hot,
        stays_on: maker.stated("stays-on"),
        unit,
    };
    maker.branch("", from, out, Element::Contact { ohms, control });
}

/// The driver's choice of a feed or output: off when left, unless the record says otherwise.
pub(in crate::model) fn driver(maker: &mut Maker<'_, '_>, label: String) -> u32 {
    maker.unit(SwitchUnit {
        part: maker.id,
        label,
        positions: vec!["off".to_owned(), "on".to_owned()],
        left: 0,
        left_stated: false,
        on: 1,
        momentary: false,
        disconnect: false,
    })
}

/// DIN 72552: 15 in run and start, 15R in accessory and run, 50 in start.
pub(in crate::model) fn key_switch(maker: &mut Maker<'_, '_>) {
    let Some(supply) = maker.terminal("30") else {
        return;
    };
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    let default = joint::key_switch(rating.map(|rating| rating.likely));
    let ohms = maker.stated_or("resistance", "contact resistance", default);
    let ways = [
        ("15", vec![Key::Run, Key::Start]),
        ("15R", vec![Key::Accessory, Key::Run]),
        ("50", vec![Key::Start]),
    ];
    for (name, keys) in ways {
        let Some(out) = maker.terminal(name) else {
            continue;
        };
        let control = Control::Hot {
            hot: HotIn {
                keys,
                ..HotIn::default()
            },
            stays_on: None,
            unit: None,
        };
        maker.branch(name, supply, out, Element::Contact { ohms, control });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::situation::Engine;
    use crate::model::testing::vehicle;

    fn hot(text: &str) -> (HotIn, Option<f64>, Option<u32>) {
        let vehicle = vehicle(&format!("parts: {{B1: {{kind: battery}}, RUN: {text}}}"));
        match vehicle.element("RUN", "") {
            Element::Contact {
                control:
                    Control::Hot {
                        hot,
                        stays_on,
                        unit,
                    },
                ..
            } => (hot.clone(), stays_on.map(|time| time.likely.0), *unit),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn live_in_the_keys_that_it_names() {
        let (hot, ..) = hot("{kind: feed, hot-in: [run, start]}");
        let live = |key| hot.live(key, Engine::Idle, true);
        assert_eq!(Key::ALL.map(live), [false, false, true, true]);
    }

    #[test]
    fn live_only_while_the_engine_runs() {
        let (hot, ..) = hot("{kind: feed, hot-in: engine}");
        assert!(hot.live(Key::Run, Engine::Idle, false));
        assert!(!hot.live(Key::Run, Engine::Stopped, false));
    }

    #[test]
    fn not_stated_is_taken_as_always() {
        let (hot, ..) = hot("{kind: feed}");
        assert!(hot.live(Key::Off, Engine::Stopped, false));
    }

    #[test]
    fn timed_and_driver_switched() {
        let (_, stays_on, unit) =
            hot("{kind: feed, hot-in: run, stays-on: 30 min, driver-switched: true}");
        assert_eq!(stays_on, Some(1800.0));
        assert_eq!(unit, Some(0));
    }

    #[test]
    fn hangs_on_its_battery_or_the_point_that_it_names() {
        let vehicle = vehicle(
            "parts:
  B1: {kind: battery}
  B2: {kind: battery}
  MASTER: {kind: disconnect}
  A: {kind: feed, hot-in: run}
  B: {kind: feed, hot-in: run, battery: B2}
  C: {kind: feed, hot-in: run, from: MASTER}",
        );
        assert_eq!(vehicle.ends("A", ""), ["B1.+", "A.out"]);
        assert_eq!(vehicle.ends("B", ""), ["B2.+", "B.out"]);
        assert_eq!(vehicle.ends("C", ""), ["MASTER.out", "C.out"]);
    }

    #[test]
    fn without_a_name_it_hangs_on_the_top_of_a_series_pair() {
        let vehicle = vehicle(
            "vehicle: {system: 24 V, own-load: {off: 10 mA}}
parts:
  LO: {kind: battery}
  UP: {kind: battery}
  RUN: {kind: feed, hot-in: run}
  ALT: {kind: alternator}
wires: [{from: LO.+, to: UP.-, size: 1/0 AWG, length: 30 cm}]",
        );
        assert_eq!(vehicle.ends("RUN", ""), ["UP.+", "RUN.out"]);
        assert_eq!(vehicle.ends("own-load", ""), ["UP.+", "chassis"]);
        let expected = ["ALT.+ to UP.+", "ALT.- to chassis", "LO.- to chassis"];
        assert_eq!(vehicle.granted(), expected);
    }

    // DIN 72552: 15 switched by the key, 50 starter; from memory.
    #[test]
    fn key_switch_terminals() {
        let vehicle = vehicle("parts: {KEY: {kind: key-switch}}");
        for (name, expected) in [
            ("15", [false, false, true, true]),
            ("15R", [false, true, true, false]),
            ("50", [false, false, false, true]),
        ] {
            let Element::Contact {
                control: Control::Hot { hot, .. },
                ..
            } = vehicle.element("KEY", name)
            else {
                panic!("{name}");
            };
            let live = |key| hot.live(key, Engine::Stopped, false);
            assert_eq!(Key::ALL.map(live), expected, "{name}");
            assert_eq!(vehicle.ends("KEY", name)[0], "KEY.30");
        }
    }
}
