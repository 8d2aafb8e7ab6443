//! Several batteries side by side, as one.

use super::Own;
use crate::analyze::sample::Uncertain;
use crate::table::battery::Chemistry;

/// One of them.
pub(super) struct Cell {
    pub(super) own: Own,
    pub(super) chemistry: Chemistry,
    /// Nothing where it does not help to crank; what it is rated at, if that is stated.
    pub(super) cold_cranking: Option<Option<Uncertain>>,
}

/// The ends of an input.
const ENDS: [fn(&Uncertain) -> f64; 3] = [|one| one.low, |one| one.likely, |one| one.high];

fn of_ends(of: impl Fn(fn(&Uncertain) -> f64) -> f64) -> Uncertain {
    let [low, likely, high] = ENDS.map(of);
    Uncertain {
        low: low.min(likely),
        likely,
        high: high.max(likely),
    }
}

/// What they hold together: capacities add up, health and charge count by what each holds.
pub(super) fn together(cells: &[Cell]) -> Own {
    if let [one] = cells {
        return one.own;
    }
    let capacity = of_ends(|end| cells.iter().map(|one| end(&one.own.capacity)).sum());
    let holds = |end: fn(&Uncertain) -> f64| -> f64 {
        let each = cells.iter();
        each.map(|one| end(&one.own.capacity) * end(&one.own.health))
            .sum()
    };
    let health = of_ends(|end| holds(end) / end(&capacity));
    let charge = of_ends(|end| {
        let each = cells.iter();
        let charged: f64 = each
            .map(|one| end(&one.own.capacity) * end(&one.own.health) * end(&one.own.charge))
            .sum();
        charged / holds(end)
    });
    Own {
        capacity,
        health,
        charge,
    }
}

/// What those that crank give together, over the health of all: the sums take it times that health.
pub(super) fn cold_cranking(cells: &[Cell], health: Uncertain) -> Option<Uncertain> {
    let crank: Vec<(&Cell, Uncertain)> = cells
        .iter()
        .filter_map(|one| Some((one, one.cold_cranking?)))
        .map(|(one, rated)| Some((one, rated?)))
        .collect::<Option<_>>()?;
    if let ([_], [(_, one)]) = (cells, crank.as_slice()) {
        return Some(*one);
    }
    let gives = |end: fn(&Uncertain) -> f64| {
        let each = crank.iter();
        let sum: f64 = each
            .map(|(one, rated)| end(rated) * end(&one.own.health))
            .sum();
        sum / end(&health)
    };
    (!crank.is_empty()).then(|| of_ends(gives))
}

/// Each chemistry with its share of what they hold, where they are not all of one.
pub(super) fn mix(cells: &[Cell]) -> Vec<(Chemistry, f64)> {
    let holds = |one: &Cell| one.own.capacity.likely * one.own.health.likely;
    let whole: f64 = cells.iter().map(holds).sum();
    let same = cells
        .windows(2)
        .all(|pair| pair[0].chemistry == pair[1].chemistry);
    if same || whole <= 0.0 {
        return Vec::new();
    }
    let share = |one: &Cell| (one.chemistry, holds(one) / whole);
    cells.iter().map(share).collect()
}
