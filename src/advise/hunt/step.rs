//! What to do next, in one sentence, and what to heed with the meter.

use super::Case;
use super::Of;
use super::Stage;
use super::TRACE;
use super::plan;
use super::plan::Puzzle;
use super::plan::Step;
use super::plan::Work;
use super::words::minutes;
use crate::analyze::reading::Shown;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::table::meter;

/// The next handling and reading.
#[derive(Clone, PartialEq, Debug)]
pub struct Next {
    /// Fuses to pull, all before the one reading.
    pub pull: Vec<PartId>,
    /// Fuses to put back first.
    pub refit: Vec<PartId>,
    /// The fuse to read across; the total where none.
    pub across: Option<PartId>,
    /// How long to wait before the reading; nothing where nothing is likely to have woken.
    pub wait: Option<Seconds>,
    /// Share of the suspicion that is on what goes dark, or behind the fuse that is read across.
    pub share: f64,
    /// What the meter should show if the draw is not there, and if it is.
    pub shows: (Amps, Amps),
    /// Work left on average, this step included.
    pub work: Work,
    /// The line to add under `readings:`, its value left open.
    pub line: String,
}

/// How long modules take to sleep: as long as the record's readings waited, else as practice has it.
pub(super) fn settled(case: &Case<'_>) -> Seconds {
    let waited = case.readings.iter().filter_map(|reading| reading.after);
    let enough = waited.filter(|after| after.0 >= meter::settled().low.0);
    let longest = enough.fold(Seconds::ZERO, Seconds::max);
    if longest.0 > 0.0 {
        longest
    } else {
        meter::settled().value
    }
}

/// What one step costs and tells, as far as the readings leave anything to tell.
pub(super) fn next(case: &Case<'_>) -> Option<Next> {
    match case.stage {
        Stage::Hunting => {}
        Stage::NotMeasured => return Some(first(case)),
        _ => return None,
    }
    let puzzle = puzzle(case);
    let step = match case.unsure {
        Some(fuse) => pull_one(&puzzle, fuse),
        None => plan::next(&puzzle.without_what_is_small(case))
            .or_else(|| plan::next(&puzzle))
            .or_else(|| confirm(case, &puzzle))?,
    };
    let fuse = |number: usize| case.circuits.fuses[number];
    let pull: Vec<PartId> = step.pull.iter().map(|&number| fuse(number)).collect();
    let refit: Vec<PartId> = step.refit.iter().map(|&number| fuse(number)).collect();
    let wakes = step.refit.iter().any(|&fuse| puzzle.refit_wait[fuse] > 0.0);
    let stirs = step.pull.iter().any(|&fuse| puzzle.pull_wait[fuse] > 0.0);
    let out: Vec<PartId> = case
        .out
        .iter()
        .copied()
        .filter(|fuse| !refit.contains(fuse))
        .chain(pull.iter().copied())
        .collect();
    let across = step.across.map(fuse);
    // A pull seldom wakes anything; a few minutes show whether it did.
    let wait = if wakes {
        Some(settled(case))
    } else {
        stirs.then_some(Seconds(300.0))
    };
    Some(Next {
        shows: shows(case, &out, step.across),
        line: line(case, &pull, &refit, across, wait),
        wait,
        pull,
        refit,
        across,
        share: share(case, &out, step.across),
        work: step.work,
    })
}

/// Nothing was read yet: the total comes first.
fn first(case: &Case<'_>) -> Next {
    Next {
        pull: Vec::new(),
        refit: case.out.clone(),
        across: None,
        wait: Some(settled(case)),
        share: 1.0,
        shows: (
            Amps(
                (0..case.circuits.places.len())
                    .map(|place| case.explained(place))
                    .sum(),
            ),
            Amps::ZERO,
        ),
        work: Work {
            units: 1.0 + settled(case).0 / 60.0,
            handled: case.out.len() as f64,
            readings: 1.0,
        },
        line: format!(
            "- {{{}where: battery negative, after: {}, current: ? mA}}",
            if case.out.is_empty() {
                String::new()
            } else {
                format!("refitted: [{}], ", case.names(&case.out).join(", "))
            },
            minutes(settled(case))
        ),
    }
}

/// One place is left but not yet sure: take it out and see.
fn confirm(case: &Case<'_>, puzzle: &Puzzle) -> Option<Step> {
    let suspects = puzzle.fuses_with_suspicion();
    let fuse = suspects
        .into_iter()
        .find(|&fuse| !puzzle.out[fuse] && !puzzle.fixed[fuse])?;
    // A second look at the same thing tells nothing new.
    let seen = case.log.lines.iter().any(|line| {
        line.of == Of::Total
            && line.unused.is_none()
            && line.out.contains(&case.circuits.fuses[fuse])
    });
    (!seen).then(|| pull_one(puzzle, fuse))
}

fn pull_one(puzzle: &Puzzle, fuse: usize) -> Step {
    // It may be out already, with something else read since.
    let pull: Vec<usize> = (!puzzle.out[fuse]).then_some(fuse).into_iter().collect();
    let work = if pull.is_empty() {
        Work {
            units: 1.0,
            handled: 0.0,
            readings: 1.0,
        }
    } else {
        Work {
            units: 2.0 + puzzle.pull_wait[fuse],
            handled: 1.0,
            readings: 1.0,
        }
    };
    Step {
        pull,
        refit: Vec::new(),
        across: None,
        work,
    }
}

impl Puzzle {
    /// Without places where at most a second draw can be, far smaller than the one that is looked for: the large one first.
    fn without_what_is_small(&self, case: &Case<'_>) -> Self {
        let least = looked_for(case).0 / 4.0;
        let small = |place: usize| {
            let belief = case.beliefs.places[place];
            belief.current + 2.0 * belief.spread < least
        };
        let mut puzzle = self.clone();
        for place in (0..puzzle.weight.len()).filter(|&place| small(place)) {
            puzzle.weight[place] = 0.0;
        }
        puzzle
    }

    fn fuses_with_suspicion(&self) -> Vec<usize> {
        (0..self.parent.len())
            .filter(|&fuse| self.weight[fuse] > 0.0)
            .collect()
    }
}

fn puzzle(case: &Case<'_>) -> Puzzle {
    let circuits = case.circuits;
    let beliefs = case.beliefs;
    let open = |place: usize| {
        if beliefs.found.contains(&place) {
            0.0
        } else {
            beliefs.places[place].probability
        }
    };
    let all: f64 = (0..circuits.places.len()).map(open).sum();
    let weight = (0..circuits.places.len())
        .map(|place| {
            let share = open(place) / all.max(1e-12);
            if share < TRACE { 0.0 } else { share }
        })
        .collect();
    let wait = settled(case).0 / 60.0;
    let waits = |likely: f64| {
        let each = circuits.wakes.iter();
        each.map(|&wakes| if wakes { likely * wait } else { 0.0 })
            .collect()
    };
    let out: Vec<bool> = circuits
        .fuses
        .iter()
        .map(|fuse| case.out.contains(fuse))
        .collect();
    let looked_for = looked_for(case).0;
    let across = (0..circuits.fuses.len())
        .map(|fuse| would_show(case, fuse, looked_for))
        .collect();
    Puzzle {
        parent: circuits.parent.clone(),
        weight,
        fixed: (0..out.len())
            .map(|fuse| circuits.fixed[fuse].is_some() && !out[fuse])
            .collect(),
        out,
        across,
        told: told(case),
        pull_wait: waits(meter::pull_wakes().value.0),
        refit_wait: waits(meter::refit_wakes().value.0),
    }
}

/// What was out in the readings of the total that count.
fn told(case: &Case<'_>) -> Vec<Vec<bool>> {
    let lines = case.log.used().into_iter().map(|at| &case.log.lines[at]);
    lines
        .filter(|line| line.of == Of::Total)
        .map(|line| {
            let fuses = case.circuits.fuses.iter();
            fuses.map(|fuse| line.out.contains(fuse)).collect()
        })
        .collect()
}

/// Places that a reading sets apart from the rest: what is dark, or what is behind the fuse that is read across.
fn apart(case: &Case<'_>, out: &[PartId], across: Option<usize>) -> Vec<bool> {
    let dark = case.dark(out);
    let behind = |place: usize| match across {
        None => dark[place],
        Some(fuse) => !dark[place] && case.circuits.chain(place).any(|above| above == fuse),
    };
    (0..dark.len()).map(behind).collect()
}

/// How much of the suspicion a reading sets apart.
fn share(case: &Case<'_>, out: &[PartId], across: Option<usize>) -> f64 {
    let shares = case.beliefs.shares();
    let apart = apart(case, out, across).into_iter().zip(shares);
    let sum: f64 = apart
        .filter_map(|(apart, share)| share.filter(|_| apart))
        .sum();
    sum.clamp(0.0, 1.0)
}

/// The current that is still looked for.
fn looked_for(case: &Case<'_>) -> Amps {
    let open = (0..case.beliefs.places.len())
        .filter(|place| !case.beliefs.found.contains(place))
        .map(|place| case.beliefs.places[place]);
    let (mut sum, mut weight) = (0.0, 0.0);
    for belief in open {
        sum += belief.probability * belief.current;
        weight += belief.probability;
    }
    Amps(if weight > 0.0 { sum / weight } else { 0.0 })
}

/// The least voltage that the meter shows for sure.
pub(super) fn least_volts(case: &Case<'_>) -> Volts {
    let told = case
        .readings
        .iter()
        .filter_map(|reading| match reading.shown {
            Shown::Across(_, measured) => Some(measured.digits),
            _ => None,
        });
    let ordinary = Volts(meter::millivolt_digit().value.0 * meter::counts().value);
    told.fold(None, |least: Option<Volts>, one| {
        Some(least.map_or(one, |least| least.min(one)))
    })
    .unwrap_or(ordinary)
}

/// Whether a draw would show in millivolts across a fuse, and no reading there has told already.
fn would_show(case: &Case<'_>, fuse: usize, looked_for: f64) -> bool {
    let Some([low, ..]) = case.circuits.ohms[fuse] else {
        return false;
    };
    let part = case.circuits.fuses[fuse];
    let read = case
        .log
        .lines
        .iter()
        .any(|line| line.of.fuse() == Some(part) && line.unused.is_none());
    let floor = least_volts(case).0 / low.0;
    let usual = case.explained(fuse);
    !read && looked_for > floor && looked_for > 0.3 * usual
}

/// What the meter should show after a step: with the draw elsewhere, and with the draw in what the step sets apart.
fn shows(case: &Case<'_>, out: &[PartId], across: Option<usize>) -> (Amps, Amps) {
    let looked_for = looked_for(case).0;
    let dark = case.dark(out);
    let known = |place: usize| {
        let found = case.beliefs.found.contains(&place);
        let found = if found {
            case.beliefs.places[place].current
        } else {
            0.0
        };
        case.explained(place) + found
    };
    let lit = (0..dark.len()).filter(|&place| !dark[place]);
    match across {
        None => {
            let rest: f64 = lit.map(known).sum();
            (Amps(rest + looked_for), Amps(rest))
        }
        Some(fuse) => {
            let behind = lit.filter(|&place| case.circuits.chain(place).any(|above| above == fuse));
            let through: f64 = behind.map(known).sum();
            (Amps(through), Amps(through + looked_for))
        }
    }
}

fn line(
    case: &Case<'_>,
    pull: &[PartId],
    refit: &[PartId],
    across: Option<PartId>,
    wait: Option<Seconds>,
) -> String {
    let mut keys: Vec<String> = Vec::new();
    let list = |parts: &[PartId]| case.names(parts).join(", ");
    if !refit.is_empty() {
        keys.push(format!("refitted: [{}]", list(refit)));
    }
    if !pull.is_empty() {
        keys.push(format!("pulled: [{}]", list(pull)));
    }
    if let Some(wait) = wait {
        keys.push(format!("after: {}", minutes(wait)));
    }
    keys.push(match across {
        Some(fuse) => format!("across: {}, drop: ? mV", case.name(fuse)),
        None => total(case),
    });
    format!("- {{{}}}", keys.join(", "))
}

/// The keys of a reading of the total; a meter that was elsewhere last would otherwise stay there.
pub(super) fn total(case: &Case<'_>) -> String {
    let mut currents = case.readings.iter().rev();
    let there = currents.find_map(|reading| match reading.shown {
        Shown::Battery(part, _) => Some(case.vehicle.starter == Some(part)),
        Shown::Wire(..) => Some(false),
        Shown::Across(..) | Shown::At(..) | Shown::Nothing => None,
    });
    if there == Some(true) {
        "current: ? mA".to_owned()
    } else {
        "where: battery negative, current: ? mA".to_owned()
    }
}
