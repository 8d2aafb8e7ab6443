//! Switches and master battery switches.

use crate::model::build::Maker;
use crate::model::element::{Control, Element};
use crate::model::fact::Fact;
use crate::model::situation::SwitchUnit;
use crate::model::vehicle::TerminalId;
use crate::quantity::{Amps, Ohms};
use crate::read::document::{Fields, Value};
use crate::table::Cited;
use crate::table::joint;

/// A master battery switch; closed unless it is left open.
pub(in crate::model) fn disconnect(maker: &mut Maker<'_, '_>) {
    plain(maker, true, joint::disconnect());
}

/// A plain switch, or one with positions.
pub(in crate::model) fn switch(maker: &mut Maker<'_, '_>) {
    match maker.fields.map("positions") {
        Some(positions) => with_positions(maker, positions),
        None => {
            let default = by_rating(maker);
            plain(maker, false, default);
        }
    }
}

/// What its closed contact is taken for where the record does not say.
fn by_rating(maker: &Maker<'_, '_>) -> Cited<Ohms> {
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    joint::switch(rating.map(|rating| rating.likely))
}

fn left<'d>(maker: &Maker<'_, 'd>) -> Option<&'d str> {
    maker.fields.text("left").map(|text| text.value.as_str())
}

fn plain(maker: &mut Maker<'_, '_>, disconnect: bool, default: Cited<Ohms>) {
    let Some((from, to)) = maker.pair("in", "out") else {
        return;
    };
    let left = left(maker).and_then(|left| match left {
        "open" => Some(0),
        "closed" => Some(1),
        _ => None,
    });
    let unit = maker.unit(SwitchUnit {
        part: maker.id,
        label: maker.name.to_owned(),
        positions: vec!["open".to_owned(), "closed".to_owned()],
        left: left.unwrap_or(u8::from(disconnect)),
        left_stated: left.is_some(),
        on: 1,
        momentary: maker.fields.flag("momentary"),
        disconnect,
    });
    let ohms = maker.stated_or("resistance", "contact resistance", default);
    let control = Control::Switch {
        unit,
        closed_in: vec![1],
    };
    maker.branch("", from, to, Element::Contact { ohms, control });
}

/// One contact for each pair of terminals that some position joins.
fn with_positions(maker: &mut Maker<'_, '_>, positions: &Fields) {
    let joined: Vec<Vec<(TerminalId, TerminalId)>> = positions
        .list
        .iter()
        .map(|field| pairs(maker, &field.value))
        .collect();
    let names: Vec<String> = positions
        .list
        .iter()
        .map(|field| field.key.value.clone())
        .collect();
    let stated = left(maker).and_then(|left| names.iter().position(|name| name == left));
    // Left in the position that joins nothing, where there is one; on in the first that joins something.
    let rest = joined.iter().position(Vec::is_empty).unwrap_or(0);
    let on = joined
        .iter()
        .position(|pairs| !pairs.is_empty())
        .unwrap_or(0);
    let unit = maker.unit(SwitchUnit {
        part: maker.id,
        label: maker.name.to_owned(),
        positions: names,
        left: stated.unwrap_or(rest) as u8,
        left_stated: stated.is_some(),
        on: on as u8,
        momentary: maker.fields.flag("momentary"),
        disconnect: false,
    });
    let mut contacts: Vec<((TerminalId, TerminalId), Vec<u8>)> = Vec::new();
    for (position, pairs) in (0..).zip(&joined) {
        for &(a, b) in pairs {
            let same = |(pair, _): &&mut (_, _)| *pair == (a, b) || *pair == (b, a);
            match contacts.iter_mut().find(same) {
                Some((_, closed_in)) => closed_in.push(position),
                None => contacts.push(((a, b), vec![position])),
            }
        }
    }
    if contacts.is_empty() {
        return;
    }
    let default = by_rating(maker);
    let ohms = maker.stated_or("resistance", "contact resistance", default);
    for ((from, to), closed_in) in contacts {
        let name = [from, to].map(|end| maker.builder.terminals[end.index()].name.clone());
        let control = Control::Switch { unit, closed_in };
        maker.branch(
            &name.join("-"),
            from,
            to,
            Element::Contact { ohms, control },
        );
    }
}

/// `[[B, L], [B, H]]`; three terminals in one bracket are joined in a row.
fn pairs(maker: &Maker<'_, '_>, value: &Value) -> Vec<(TerminalId, TerminalId)> {
    let Value::List(groups, _) = value else {
        return Vec::new();
    };
    let mut pairs = Vec::new();
    for group in groups {
        let Value::List(group, _) = group else {
            continue;
        };
        let ends: Vec<TerminalId> = group
            .iter()
            .filter_map(|end| match end {
                Value::Text(name) => maker.terminal(&name.value),
                _ => None,
            })
            .collect();
        for pair in ends.windows(2) {
            if let &[a, b] = pair
                && a != b
            {
                pairs.push((a, b));
            }
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::Vehicle;
    use crate::model::testing::vehicle;

    fn closed_in(vehicle: &Vehicle, part: &str, name: &str) -> Vec<u8> {
        match vehicle.element(part, name) {
            Element::Contact {
                control: Control::Switch { closed_in, .. },
                ..
            } => closed_in.clone(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn open_when_left_unless_it_says_closed() {
        let vehicle = vehicle(
            "parts: {S1: {kind: switch}, S2: {kind: switch, left: closed}, S3: {kind: switch, momentary: true}, S4: {kind: switch, momentary: true, left: closed}}",
        );
        let left: Vec<_> = vehicle
            .switches
            .iter()
            .map(|unit| (unit.left, unit.left_stated))
            .collect();
        assert_eq!(left, [(0, false), (1, true), (0, false), (1, true)]);
        assert_eq!(closed_in(&vehicle, "S1", ""), [1]);
        assert!(vehicle.switches[2].momentary);
        // A stop button: closed until it is pressed.
        assert!(vehicle.switches[3].momentary);
    }

    #[test]
    fn a_master_switch_is_closed_unless_it_says_open() {
        let vehicle =
            vehicle("parts: {M1: {kind: disconnect}, M2: {kind: disconnect, left: open}}");
        let left: Vec<_> = vehicle
            .switches
            .iter()
            .map(|unit| (unit.left, unit.disconnect))
            .collect();
        assert_eq!(left, [(1, true), (0, true)]);
    }

    #[test]
    fn one_contact_for_each_pair_that_positions_join() {
        let vehicle = vehicle(
            "parts: {S1: {kind: switch, positions: {off: [], low: [[B, L]], high: [[B, L], [B, H]]}, left: off}}",
        );
        assert_eq!(closed_in(&vehicle, "S1", "B-L"), [1, 2]);
        assert_eq!(closed_in(&vehicle, "S1", "B-H"), [2]);
        let unit = &vehicle.switches[0];
        assert_eq!(unit.positions, ["off", "low", "high"]);
        assert_eq!((unit.left, unit.left_stated, unit.on), (0, true, 1));
    }

    #[test]
    fn left_in_the_position_that_joins_nothing() {
        let vehicle = vehicle(
            "parts: {S1: {kind: switch, positions: {low: [[B, L]], off: [], high: [[B, H]]}}}",
        );
        let unit = &vehicle.switches[0];
        assert_eq!((unit.left, unit.left_stated, unit.on), (1, false, 0));
    }
}
