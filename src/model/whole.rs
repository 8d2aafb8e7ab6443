//! What the record says of the whole vehicle.

use super::build::Builder;
use super::default;
use super::default::Ledger;
use super::element::{Element, Law, Load};
use super::fact::{Basis, Fact};
use super::part::{Part, Status, Zone};
use super::vehicle::{Climate, PartId, TerminalId};
use crate::quantity::Interval;
use crate::quantity::{Amps, Celsius, Fraction, Scalar, Seconds, Volts};
use crate::read::document::{Document, Fields, Kind, PartIndex};
use crate::source::{Span, Spanned};
use crate::table;
use crate::table::Cited;

/// Facts of the vehicle that need no building.
pub(super) struct Facts {
    pub(super) name: String,
    pub(super) cranking: Option<Fact<Amps>>,
    pub(super) own_off: Option<Fact<Amps>>,
    pub(super) own_run: Option<Fact<Amps>>,
    pub(super) stands: Option<Fact<Seconds>>,
}

/// What a vehicle is called of which the record gives no name: a line about nothing would read as a mistake.
const NAMELESS: &str = "Vehicle without a name";

/// Reads them.
pub(super) fn facts(document: &Document) -> Facts {
    let fields = &document.vehicle;
    Facts {
        name: fields
            .text("name")
            .map_or_else(|| NAMELESS.to_owned(), |text| text.value.clone()),
        cranking: inner(fields, "engine", "cranking"),
        own_off: inner(fields, "own-load", "off"),
        own_run: inner(fields, "own-load", "run"),
        stands: fields.stated("stands").map(Fact::stated),
    }
}

fn inner<T: Scalar>(fields: &Fields, map: &str, key: &str) -> Option<Fact<T>> {
    fields.map(map)?.stated(key).map(Fact::stated)
}

/// Nominal voltage.
pub(super) fn system(document: &Document, ledger: &mut Ledger) -> Fact<Volts> {
    document.vehicle.stated("system").map_or_else(
        || ledger.once("system voltage", "system", table::vehicle::system()),
        Fact::stated,
    )
}

/// Temperatures; a default is listed only where something of the record is in that zone.
pub(super) fn climate(document: &Document, ledger: &mut Ledger) -> Climate {
    let parts = document.parts.iter().map(|part| &part.fields);
    let wires = document.wires.iter().map(|wire| &wire.fields);
    let mut used = [false; 3];
    for fields in parts.chain(wires) {
        used[super::build::zone(fields) as usize] = true;
    }
    let mut at = |key: &'static str, what: &'static str, default: Cited<Celsius>, used: bool| {
        let stated = inner(&document.vehicle, "climate", key);
        stated.unwrap_or_else(|| {
            if used {
                ledger.once(what, key, default)
            } else {
                Fact {
                    range: Interval::between(default.low, default.high),
                    likely: default.value,
                    basis: Basis::Derived(None),
                }
            }
        })
    };
    let [engine_bay, cabin, exterior] =
        [Zone::EngineBay, Zone::Cabin, Zone::Exterior].map(|zone| used[zone as usize]);
    Climate {
        parked: at(
            "parked",
            "temperature where it stands",
            table::vehicle::parked(),
            true,
        ),
        engine_bay: at(
            "engine-bay",
            "temperature of the engine bay at work",
            table::vehicle::engine_bay(),
            engine_bay,
        ),
        cabin: at(
            "cabin",
            "temperature of the cabin",
            table::vehicle::cabin(),
            cabin,
        ),
        exterior: at(
            "exterior",
            "temperature outside on the body",
            table::vehicle::exterior(),
            exterior,
        ),
    }
}

/// `engine: {battery: B1}`, else the first battery of the record.
pub(super) fn starter(builder: &Builder<'_>) -> Option<PartId> {
    let parts = &builder.document.parts;
    let battery = |id: &PartId| parts[id.index()].kind.value == Kind::Battery;
    let engine = builder.document.vehicle.map("engine");
    let named = engine.and_then(|engine| engine.text("battery"));
    let named = named.and_then(|name| builder.part_named(&name.value));
    let first = || (0..parts.len() as u32).map(PartId).find(battery);
    named.filter(battery).or_else(first)
}

/// A vehicle has a battery even where the record leaves it out: what it feeds would else count as dead.
pub(super) fn add_missing_battery(builder: &mut Builder<'_>) {
    if builder.starter.is_some() {
        return;
    }
    let needed = builder.document.vehicle.map("own-load").is_some()
        || builder.document.parts.iter().any(|part| {
            (part.kind.value == Kind::Feed && part.fields.get("from").is_none())
                || part.kind.value == Kind::Alternator
        });
    if !needed {
        return;
    }
    let id = add_part(
        builder,
        "battery",
        Kind::Battery,
        builder.document.vehicle.at,
    );
    for name in ["+", "-"] {
        builder.add_terminal(id, name);
        builder.landed.push(false);
    }
    builder.starter = Some(id);
    builder.ledger.take(
        "a battery that the record does not have".to_owned(),
        "battery",
        "kind",
        default::exact(builder.system.likely, default::CAUTION),
    );
    super::kind::battery::build_missing(builder, id);
}

/// The vehicle's own equipment as one load from the `+` of the battery that starts the engine to the chassis.
pub(super) fn add_own_load(builder: &mut Builder<'_>) -> Option<PartId> {
    let own = builder.document.vehicle.map("own-load")?;
    let run: Option<Fact<Amps>> = own.stated("run").map(Fact::stated);
    let off: Option<Fact<Amps>> = own.stated("off").map(Fact::stated);
    if run.is_none() && off.is_none() {
        return None;
    }
    let supply = builder.supply()?;
    let id = add_part(builder, "own-load", Kind::Load, own.at);
    // Totals are of the added equipment alone where nothing is stated, and say so: here it is taken as nothing.
    let parked = off.unwrap_or(Fact {
        range: Interval::exact(Amps::ZERO),
        likely: Amps::ZERO,
        basis: Basis::Derived(None),
    });
    let load = Load {
        law: run.map(Law::Current),
        parked: Some(parked),
        parked_duty: None,
        // Its figure with the key off is what the meter showed at rest; on the way there it is taken as the same.
        settles: Some((
            parked,
            Fact {
                range: Interval::exact(Seconds::ZERO),
                likely: Seconds::ZERO,
                basis: Basis::Derived(None),
            },
        )),
        modes: Vec::new(),
        duty: Fact {
            range: Interval::exact(Fraction(1.0)),
            likely: Fraction(1.0),
            basis: Basis::Derived(None),
        },
        rated: super::kind::load::rated_voltage(builder),
        min_voltage: super::kind::load::min_voltage(builder),
    };
    builder.add_branch(id, "", supply, TerminalId::CHASSIS, Element::Load(load));
    Some(id)
}

fn add_part(builder: &mut Builder<'_>, name: &str, kind: Kind, at: Span) -> PartId {
    let id = PartId(builder.parts.len() as u32);
    builder.parts.push(Part {
        name: Spanned::new(name.to_owned(), at),
        kind,
        what: Some(match kind {
            Kind::Battery => "battery that the record does not have".to_owned(),
            _ => "the vehicle's own equipment".to_owned(),
        }),
        place: None,
        zone: Zone::Cabin,
        status: Status::Factory,
        near: Vec::new(),
        stays_live: None,
        fields: Fields::default(),
        index: PartIndex(id.0),
        terminals: Vec::new(),
        branches: Vec::new(),
    });
    id
}
