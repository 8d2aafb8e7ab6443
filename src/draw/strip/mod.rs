//! Cutting the vehicle into circuit strips: the supply first, then each protected circuit by itself, from its feed to its
//! loads. What is cut carries a tag on both sides, with the sheet and field of the other.

mod builder;
mod group;
mod narrow;
mod share;

pub use narrow::narrow;

use std::collections::BTreeMap;

use crate::draw::net::{End, Schematic, Symbol};
use crate::draw::pass::Side;
use builder::Builder;
use group::{SUPPLY, groups, protects};
use share::share;

/// One strip.
#[derive(Clone, Debug)]
pub struct Strip {
    /// What the strip is called.
    pub heading: String,
    /// What it shows.
    pub schematic: Schematic,
    /// It is the supply, or part of it.
    pub supply: bool,
}

/// Cuts a schematic. The first strip is the supply, where there is any; what no net joins is left out.
#[must_use]
pub fn cut(schematic: &Schematic) -> Vec<Strip> {
    let group = groups(schematic);
    let mut names: Vec<usize> = group.iter().flatten().copied().collect();
    names.sort_unstable();
    names.dedup();
    pieces(schematic, &group, &names, "")
        .into_iter()
        .enumerate()
        .map(|(index, piece)| Strip {
            heading: if names[index] == SUPPLY {
                "Supply and distribution".to_owned()
            } else {
                heading(&piece)
            },
            supply: names[index] == SUPPLY,
            schematic: piece,
        })
        .collect()
}

fn side(schematic: &Schematic, end: End) -> Side {
    schematic.devices[end.device].pins[end.pin].side
}

/// What a strip is called: its protection or feed, then what it serves.
fn heading(piece: &Schematic) -> String {
    let list = |wanted: &dyn Fn(&Symbol) -> bool| -> Vec<&str> {
        piece
            .devices
            .iter()
            .filter(|device| wanted(&device.symbol))
            .map(|device| device.name.as_str())
            .collect()
    };
    let fuses = list(&|symbol| protects(symbol));
    let feeds = list(&|symbol| matches!(symbol, Symbol::Feed(_)));
    let loads = list(&|symbol| matches!(symbol, Symbol::Load(_) | Symbol::Unit));
    let from = if fuses.is_empty() { feeds } else { fuses };
    let few = |names: &[&str]| {
        let mut names = names.to_vec();
        names.dedup();
        let shown: Vec<&str> = names.iter().copied().take(4).collect();
        if names.len() > 4 {
            format!("{} and {} more", shown.join(", "), names.len() - 4)
        } else {
            shown.join(", ")
        }
    };
    // A circuit of control has no load of its own: what it goes on to.
    let tagged: Vec<&str> = piece
        .devices
        .iter()
        .filter(|device| {
            device
                .pins
                .first()
                .is_some_and(|pin| pin.side == Side::West)
        })
        .filter_map(|device| match &device.symbol {
            Symbol::Tag { text, .. } => Some(text.split('.').next().unwrap_or(text)),
            _ => None,
        })
        .collect();
    let loads = if loads.is_empty() { tagged } else { loads };
    match (from.is_empty(), loads.is_empty()) {
        (false, false) => format!("{}: {}", few(&from), few(&loads)),
        (false, true) => few(&from),
        (true, false) => few(&loads),
        (true, true) => piece
            .devices
            .iter()
            .find(|device| device.is_part())
            .map_or_else(String::new, |device| device.name.clone()),
    }
}

/// Makes a schematic of each group, in the order of `names`. `path` keeps the names of places apart where what was cut is cut
/// again.
#[must_use]
pub fn pieces(
    schematic: &Schematic,
    group: &[Option<usize>],
    names: &[usize],
    path: &str,
) -> Vec<Schematic> {
    let mut builders: BTreeMap<usize, Builder> = names
        .iter()
        .map(|&name| (name, Builder::default()))
        .collect();
    // Tags that nets hang on are made anew for each piece.
    let remade: Vec<usize> = schematic
        .joints
        .iter()
        .filter_map(|joint| joint.centre)
        .map(|end| end.device)
        .filter(|&device| matches!(schematic.devices[device].symbol, Symbol::Tag { .. }))
        .collect();
    for (index, device) in schematic.devices.iter().enumerate() {
        if remade.contains(&index) {
            continue;
        }
        if let Some(builder) = group[index].and_then(|name| builders.get_mut(&name)) {
            builder.take(index, device);
        }
    }
    for (number, joint) in schematic.joints.iter().enumerate() {
        share(
            schematic,
            group,
            &mut builders,
            &format!("{path}{number}"),
            joint,
        );
    }
    names
        .iter()
        .filter_map(|name| builders.remove(name))
        .map(Builder::finish)
        .collect()
}
