//! Diodes, connectors, splices, studs, bus bars and ground points.

use crate::model::build::Maker;
use crate::model::element::{Control, Element};
use crate::model::vehicle::TerminalId;
use crate::quantity::Ohms;
use crate::read::document::Kind;
use crate::table::joint;

/// One way only.
pub(in crate::model) fn diode(maker: &mut Maker<'_, '_>) {
    let Some((from, to)) = maker.pair("in", "out") else {
        return;
    };
    let drop = maker.stated_or("drop", "forward drop", joint::diode_drop());
    let ohms = maker.stated_or("resistance", "resistance", joint::diode_resistance());
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
    let ohms = maker.stated_or("resistance", "contact resistance of a pin", joint::pin());
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
        Kind::Splice => joint::splice(),
        _ => joint::stud(),
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
    let ohms = maker.stated_or("resistance", "resistance to the chassis", joint::ground());
    maker.branch("", terminal, TerminalId::CHASSIS, Element::Joint(ohms));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    #[test]
    fn half_of_a_splice_stands_in_each_wire() {
        let vehicle = vehicle(
            "parts: {F1: {kind: fuse, rating: 5 A}, SP: {kind: splice, resistance: 1 mohm}, L: {kind: load, draw: 1 A}}
wires:
  - {from: F1, to: SP, size: 16 AWG, length: 1 m}
  - {from: SP, to: L, size: 16 AWG, length: 1 m}",
        );
        let landing = |wire: usize| {
            vehicle.wires[wire]
                .landing
                .map(|half| half.map(|half| half.likely.0))
        };
        assert_eq!(landing(0), [None, Some(0.0005)]);
        assert_eq!(landing(1), [Some(0.0005), None]);
    }

    #[test]
    fn pins_join_their_sides_until_unplugged() {
        let vehicle = vehicle(
            "parts:
  X1: {kind: connector, pins: [1, 2]}
  X2: {kind: connector, pins: {A: 20 A}, detach: trailer}",
        );
        assert!(matches!(vehicle.element("X1", "2"), Element::Joint(_)));
        assert_eq!(vehicle.ends("X1", "2"), ["X1.2.a", "X1.2.b"]);
        assert!(
            matches!(vehicle.element("X2", "A"), Element::Contact { control: Control::Attached(group), .. } if group == "trailer")
        );
    }

    #[test]
    fn a_ground_is_joined_to_the_chassis() {
        let vehicle = vehicle("parts: {G: {kind: ground, resistance: 2 mohm}}");
        assert_eq!(vehicle.ends("G", ""), ["G", "chassis"]);
        assert!(matches!(vehicle.element("G", ""), Element::Joint(ohms) if ohms.likely.0 == 0.002));
    }

    #[test]
    fn a_diode_has_a_direction() {
        let vehicle = vehicle("parts: {D1: {kind: diode, drop: 0.5 V}}");
        assert_eq!(vehicle.ends("D1", ""), ["D1.in", "D1.out"]);
        assert!(
            matches!(vehicle.element("D1", ""), Element::Diode { drop, .. } if drop.likely.0 == 0.5)
        );
    }
}
