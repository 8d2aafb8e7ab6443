//! Feeds of the vehicle, and the key switch.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element, HotIn};
use crate::model::situation::{Key, SwitchUnit};
use crate::quantity::Fraction;
use crate::read::document::{Fields, Kind, Value};

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
    let ohms = maker.stated_or("resistance", "resistance", default::feed());
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
    let ohms = maker.stated_or("resistance", "contact resistance", default::key_switch());
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
