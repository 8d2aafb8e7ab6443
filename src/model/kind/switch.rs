//! Switches and master battery switches.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::{Control, Element};
use crate::model::situation::SwitchUnit;
use crate::model::vehicle::TerminalId;
use crate::quantity::Ohms;
use crate::read::document::{Fields, Value};
use crate::table::Cited;

/// A master battery switch; closed unless it is left open.
pub(in crate::model) fn disconnect(maker: &mut Maker<'_, '_>) {
    plain(maker, true, default::disconnect());
}

/// A plain switch, or one with positions.
pub(in crate::model) fn switch(maker: &mut Maker<'_, '_>) {
    match maker.fields.map("positions") {
        Some(positions) => with_positions(maker, positions),
        None => plain(maker, false, default::switch()),
    }
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
    let ohms = maker.stated_or("resistance", "contact resistance", default::switch());
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
