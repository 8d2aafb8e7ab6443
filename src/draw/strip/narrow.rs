//! Strips that are too wide for the paper: control wires are cut first, then the wires between two columns.

use crate::draw::compose::{Block, compose};
use crate::draw::net::Schematic;
use crate::draw::split::{ends, find};

use super::group::{Control, keep_tags};
use super::{Strip, heading, pieces};

/// Splits a strip that is larger than this. `path` keeps the names of places apart.
#[must_use]
pub fn narrow(one: Strip, most: (f64, f64), path: &str) -> Vec<Strip> {
    narrower(one, most, (i32::MAX, i32::MAX), path)
}

/// `before` is the size of what it was cut from: where cutting gains nothing, because one symbol alone is that large, there is
/// an end of it.
fn narrower(one: Strip, most: (f64, f64), before: (i32, i32), path: &str) -> Vec<Strip> {
    let block = compose(&one.schematic, None);
    let size = (block.width, block.height);
    let wide = f64::from(size.0) > most.0 && size.0 < before.0;
    let tall = f64::from(size.1) > most.1 && size.1 < before.1;
    if !wide && !tall {
        return vec![one];
    }
    let (group, apart) = match by_control(&one.schematic) {
        Some(group) => (Some(group), true),
        None if wide => (by_column(&one.schematic, &block), false),
        None => (by_row(&one.schematic, &block), false),
    };
    let Some(group) = group else {
        return vec![one];
    };
    let mut names: Vec<usize> = group.iter().flatten().copied().collect();
    names.sort_unstable();
    names.dedup();
    if names.len() < 2 {
        return vec![one];
    }
    pieces(&one.schematic, &group, &names, path)
        .into_iter()
        .enumerate()
        .flat_map(|(index, schematic)| {
            let heading = if apart && !one.supply {
                heading(&schematic)
            } else if index == 0 {
                one.heading.clone()
            } else {
                format!("{}, continued", one.heading)
            };
            let part = Strip {
                heading,
                schematic,
                supply: one.supply,
            };
            narrower(part, most, size, &format!("{path}{index}-"))
        })
        .collect()
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
    let mut group: Vec<Option<usize>> = (0..root.len())
        .map(|device| Some(find(&mut root, device)))
        .collect();
    keep_tags(schematic, &mut group);
    let first = group.first()?;
    group.iter().any(|one| one != first).then_some(group)
}

/// Halves between two columns: near the middle, and where few wires have to be cut.
fn by_column(schematic: &Schematic, block: &Block) -> Option<Vec<Option<usize>>> {
    let columns = block.columns.column.len();
    let mut x = 0;
    let mut best: Option<(i32, usize)> = None;
    for column in 0..columns {
        x += block.columns.channel[column].iter().sum::<i32>();
        if column > 0 {
            let cut = schematic.joints.iter().filter(|joint| {
                let before = |device: usize| block.layers[device] < column;
                ends(joint).any(|end| before(end.device))
                    && ends(joint).any(|end| !before(end.device))
            });
            // A wire cut is as bad as a cut so far from the middle.
            let price = (2 * x - block.width).abs() + 150 * cut.count() as i32;
            if best.is_none_or(|other| price < other.0) {
                best = Some((price, column));
            }
        }
        x += block.columns.column[column];
    }
    let (_, at) = best.filter(|_| columns >= 3)?;
    let mut group: Vec<Option<usize>> = block
        .layers
        .iter()
        .map(|&layer| Some(usize::from(layer >= at)))
        .collect();
    keep_tags(schematic, &mut group);
    Some(group)
}

/// Halves above and below a level: near the middle, and where few wires have to be cut.
fn by_row(schematic: &Schematic, block: &Block) -> Option<Vec<Option<usize>>> {
    let mut levels: Vec<i32> = block.tops.clone();
    levels.sort_unstable();
    levels.dedup();
    let best = levels.into_iter().skip(1).min_by_key(|&level| {
        let cut = schematic.joints.iter().filter(|joint| {
            let above = |device: usize| block.tops[device] < level;
            ends(joint).any(|end| above(end.device)) && ends(joint).any(|end| !above(end.device))
        });
        (2 * level - block.height).abs() + 150 * cut.count() as i32
    })?;
    let mut group: Vec<Option<usize>> = block
        .tops
        .iter()
        .map(|&top| Some(usize::from(top >= best)))
        .collect();
    keep_tags(schematic, &mut group);
    Some(group)
}
