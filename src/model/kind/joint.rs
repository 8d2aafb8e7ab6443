//! Diodes, connectors, splices, studs, bus bars and ground points.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element};
use crate::model::vehicle::TerminalId;
use crate::quantity::Ohms;
use crate::read::document::Kind;

/// One way only.
pub(in crate::model) fn diode(maker: &mut Maker<'_, '_>) {
    let Some((from, to)) = maker.pair("in", "out") else {
        return;
    };
    let drop = maker.stated_or("drop", "forward drop", default::diode_drop());
    let ohms = maker.stated_or("resistance", "resistance", default::diode_ohms());
    maker.branch("", from, to, Element::Diode { drop, ohms });
}

/// A pin joins its two sides, for as long as the connector is plugged together.
pub(in crate::model) fn connector(maker: &mut Maker<'_, '_>) {
    let terminals = maker.builder.parts[maker.id.index()].terminals.clone();
    let pins: Vec<String> = terminals
        .iter()
        .filter_map(|id| {
            let name = &maker.builder.terminals[id.index()].name;
            name.strip_suffix(".a").map(str::to_owned)
        })
        .collect();
    if pins.is_empty() {
        return;
    }
    let ohms = maker.stated_or("resistance", "contact resistance of a pin", default::pin());
    let detach = maker.fields.text("detach").map(|group| group.value.clone());
    for pin in pins {
        let Some((a, b)) = maker.pair(&format!("{pin}.a"), &format!("{pin}.b")) else {
            continue;
        };
        let element = match &detach {
            None => Element::Joint(ohms),
            Some(group) => Element::Contact {
                ohms,
                control: Control::Attached(group.clone()),
            },
        };
        maker.branch(&pin, a, b, element);
    }
}

/// Half of its resistance stands in series with each wire that lands there.
pub(in crate::model) fn landing(maker: &mut Maker<'_, '_>) {
    let Some(terminal) = maker.terminal("") else {
        return;
    };
    if !maker.builder.landed[terminal.index()] {
        return;
    }
    let default = match maker.kind {
        Kind::Splice => default::splice(),
        _ => default::stud(),
    };
    let half = maker
        .stated_or("resistance", "resistance", default)
        .derive(|ohms: Ohms| ohms / 2.0);
    maker.builder.halves.insert(terminal, half);
}

/// To the chassis.
pub(in crate::model) fn ground(maker: &mut Maker<'_, '_>) {
    let Some(terminal) = maker.terminal("") else {
        return;
    };
    let ohms = maker.stated_or("resistance", "resistance to the chassis", default::ground());
    maker.branch("", terminal, TerminalId::CHASSIS, Element::Joint(ohms));
}
