//! Strips that are too wide for the paper: control wires are cut first, then the wires between two columns.

use crate::draw::compose::{Block, compose};
use crate::draw::net::Schematic;
use crate::draw::split::{ends, find};

use super::group::{Control, keep_tags};
use super::{Strip, heading, pieces};

/// Splits a strip that is larger than this. `path` keeps the names of places apart.
///
/// Every cut leaves fewer parts on each side of it, so there is an end: one symbol alone is not cut.
#[must_use]
pub fn narrow(one: Strip, most: (f64, f64), path: &str) -> Vec<Strip> {
    let block = compose(&one.schematic, None);
    let wide = f64::from(block.width) > most.0;
    let tall = f64::from(block.height) > most.1;
    if !wide && !tall {
        return vec![one];
    }
    let by_control = by_control(&one.schematic);
    let apart = by_control.is_some();
    let by_column = || by_column(&one.schematic, &block);
    let by_row = || by_row(&one.schematic, &block);
    let cut = match by_control {
        Some(group) => Some(group),
        None if wide => by_column().or_else(by_row),
        None => by_row().or_else(by_column),
    };
    let Some(group) = cut else {
        return vec![one];
    };
    let names = names(&group);
    pieces(&one.schematic, &group, &names, path)
        .into_iter()
        .enumerate()
        .flat_map(|(index, schematic)| {
            let heading = if apart && !one.supply {
                heading(&schematic)
            } else if index == 0 {
                one.heading.clone()
            } else {
                format!("{}, continued", one.heading.trim_end_matches(", continued"))
            };
            let part = Strip {
                heading,
                schematic,
                supply: one.supply,
            };
            narrow(part, most, &format!("{path}{index}-"))
        })
        .collect()
}

fn names(group: &[Option<usize>]) -> Vec<usize> {
    let mut names: Vec<usize> = group.iter().flatten().copied().collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// Tags go with their parts; nothing where no two parts come apart.
fn parted(schematic: &Schematic, mut group: Vec<Option<usize>>) -> Option<Vec<Option<usize>>> {
    keep_tags(schematic, &mut group);
    let devices = schematic.devices.iter().zip(&group);
    let mut of_parts = devices.filter(|(device, _)| device.is_part());
    let first = of_parts.next()?.1;
    of_parts.any(|(_, own)| own != first).then_some(group)
}

/// What hangs together by more than the wires of coils; nothing where that is everything.
fn by_control(schematic: &Schematic) -> Option<Vec<Option<usize>>> {
    let mut root: Vec<usize> = (0..schematic.devices.len()).collect();
    let control = Control::of(schematic);
    for joint in &schematic.joints {
        let mut last: Option<usize> = None;
        for end in ends(joint).filter(|end| !control.has(**end)) {
            let device = end.device;
            if let Some(other) = last {
                let (a, b) = (find(&mut root, other), find(&mut root, device));
                root[a.max(b)] = a.min(b);
            }
            last = Some(device);
        }
    }
    let group = (0..root.len()).map(|device| Some(find(&mut root, device)));
    parted(schematic, group.collect())
}

/// Halves between two columns: near the middle, and where few wires have to be cut.
fn by_column(schematic: &Schematic, block: &Block) -> Option<Vec<Option<usize>>> {
    let columns = block.columns.column.len();
    let mut x = 0;
    let mut cuts: Vec<(i32, usize)> = Vec::new();
    for column in 0..columns {
        x += block.columns.channel[column].iter().sum::<i32>();
        if column > 0 {
            let before = |device: usize| block.layers[device] < column;
            let price = (2 * x - block.width).abs() + price(schematic, before);
            cuts.push((price, column));
        }
        x += block.columns.column[column];
    }
    cuts.sort_unstable();
    cuts.into_iter().find_map(|(_, at)| {
        let side = |&layer: &usize| Some(usize::from(layer >= at));
        parted(schematic, block.layers.iter().map(side).collect())
    })
}

/// Halves above and below a level: near the middle, and where few wires have to be cut.
fn by_row(schematic: &Schematic, block: &Block) -> Option<Vec<Option<usize>>> {
    let mut levels: Vec<i32> = block.tops.clone();
    levels.sort_unstable();
    levels.dedup();
    let mut cuts: Vec<(i32, i32)> = Vec::new();
    for level in levels.into_iter().skip(1) {
        let above = |device: usize| block.tops[device] < level;
        let price = (2 * level - block.height).abs() + price(schematic, above);
        cuts.push((price, level));
    }
    cuts.sort_unstable();
    cuts.into_iter().find_map(|(_, at)| {
        let side = |&top: &i32| Some(usize::from(top >= at));
        parted(schematic, block.tops.iter().map(side).collect())
    })
}

/// What the nets cost that are cut: each as much as a cut so far from the middle.
fn price(schematic: &Schematic, one_side: impl Fn(usize) -> bool) -> i32 {
    let cut = schematic.joints.iter().filter(|joint| {
        ends(joint).any(|end| one_side(end.device)) && ends(joint).any(|end| !one_side(end.device))
    });
    150 * cut.count() as i32
}
