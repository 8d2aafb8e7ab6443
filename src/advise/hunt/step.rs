//! What to do next, in one sentence, and what to heed with the meter.

use super::Case;
use super::Located;
use super::Of;
use super::Stage;
use super::TRACE;
use super::TroubleKind;
use super::located;
use super::plan;
use super::plan::Puzzle;
use super::plan::Step;
use super::plan::Work;
use crate::analyze::reading::Shown;
use crate::model::PartId;
use crate::phrase;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::quantity::show::Units;
use crate::quantity::show::digits;
use crate::quantity::show::show;
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
fn settled(case: &Case<'_>) -> Seconds {
    let waited = case.readings.iter().filter_map(|reading| reading.after);
    let longest = waited.fold(Seconds::ZERO, Seconds::max);
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
        Some(fuse) => pull_one(case, &puzzle, fuse),
        None => plan::next(&puzzle).or_else(|| confirm(case, &puzzle))?,
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
        share: step.share,
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
            "- {{where: battery negative, after: {}, current: ? mA}}",
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
    (!seen).then(|| pull_one(case, puzzle, fuse))
}

fn pull_one(case: &Case<'_>, puzzle: &Puzzle, fuse: usize) -> Step {
    Step {
        pull: vec![fuse],
        refit: Vec::new(),
        across: None,
        share: case.beliefs.places[fuse].probability,
        work: Work {
            units: 2.0 + puzzle.pull_wait[fuse],
            handled: 1.0,
            readings: 1.0,
        },
    }
}

impl Puzzle {
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
        pull_wait: waits(meter::pull_wakes().value.0),
        refit_wait: waits(meter::refit_wakes().value.0),
    }
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
fn least_volts(case: &Case<'_>) -> Volts {
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
        None if case
            .readings
            .iter()
            .any(|reading| matches!(reading.shown, Shown::Battery(..))) =>
        {
            "current: ? mA".to_owned()
        }
        None => "where: battery negative, current: ? mA".to_owned(),
    });
    format!("- {{{}}}", keys.join(", "))
}

fn amps(value: Amps) -> String {
    show(value, Units::Metric)
}

fn minutes(time: Seconds) -> String {
    format!("{} min", (time.0 / 60.0).round())
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// What to do next and why, in one sentence.
pub(super) fn say(
    case: &Case<'_>,
    next: Option<&Next>,
    located: &[Located],
    use_first: &[String],
) -> String {
    let wait = minutes(settled(case));
    match case.stage {
        Stage::NotMeasured => {
            let used = if use_first.is_empty() {
                String::new()
            } else {
                format!("{}; then ", use_first.join("; "))
            };
            format!(
                "{used}Read the whole current at the battery's negative cable with the key off, everything shut, after {wait}: without it nothing can be told apart"
            )
        }
        Stage::Awake => {
            let message = last_trouble(case, TroubleKind::Woken);
            format!("Touch nothing, wait {wait} and read again, because {message}")
        }
        Stage::Contradicted => {
            let message = last_trouble(case, TroubleKind::Contradicts);
            let number = case.log.lines.last().map_or(0, |line| line.number);
            format!("Take reading {number} again, because {message}")
        }
        Stage::Explained => explained(case, use_first),
        Stage::Less => {
            let words = case.balance.map_or_else(String::new, |balance| {
                format!(
                    "the meter shows {} and the record says that at least {} is drawn",
                    amps(balance.measured),
                    amps(balance.explained_range.low)
                )
            });
            let used = use_first.first().map_or_else(
                || {
                    "see which part of the record is not connected, or draws less than it says"
                        .to_owned()
                },
                |used| format!("{used}, wait {wait} and read again"),
            );
            format!("{}: {words}", phrase::capital(&used))
        }
        Stage::Located => found(case, located),
        Stage::Hunting => match next {
            Some(next) => do_next(case, next, located),
            None => stuck(case),
        },
    }
}

fn last_trouble(case: &Case<'_>, kind: TroubleKind) -> String {
    let mut troubles = case.log.troubles.iter();
    let last = troubles.rfind(|trouble| trouble.kind == kind);
    last.map_or_else(String::new, |trouble| trouble.message.clone())
}

fn explained(case: &Case<'_>, use_first: &[String]) -> String {
    let Some(balance) = case.balance else {
        return String::new();
    };
    let largest = case
        .solved
        .key_off
        .by_part
        .iter()
        .find(|draw| draw.only_if.is_none() && case.vehicle.own_load != Some(draw.part));
    let most = largest.map_or_else(String::new, |draw| {
        let behind = draw
            .protected_by
            .first()
            .map_or_else(String::new, |&fuse| format!(" behind {}", case.name(fuse)));
        format!(
            ", most of all {} with {}{behind}",
            case.name(draw.part),
            amps(draw.current)
        )
    });
    let later = use_first.first().map_or_else(String::new, |used| {
        format!("; if it still goes flat, {used}, wait and read again")
    });
    format!(
        "Hunt no further: the record explains {} of the {} that the meter shows{most}, and what is left is within what meter and record leave open{later}",
        amps(balance.explained),
        amps(balance.measured)
    )
}

fn found(case: &Case<'_>, located: &[Located]) -> String {
    let words: Vec<String> = located
        .iter()
        .map(|one| {
            let current = amps(one.current);
            match one.fuse {
                Some(fuse) => {
                    let best = one.parts.first().filter(|best| best.match_ >= 0.3);
                    match best {
                        Some(best) => format!(
                            "unplug {} behind {}, where {current} more is drawn than the record explains",
                            case.name(best.part),
                            case.name(fuse)
                        ),
                        None => format!(
                            "follow the wires from {}, where {current} more is drawn than the record explains, and unplug what they lead to one at a time",
                            case.name(fuse)
                        ),
                    }
                }
                None => format!(
                    "leave the fuses alone and lift the ring terminals at the battery one at a time, because {current} flows past all of them"
                ),
            }
        })
        .collect();
    phrase::capital(&words.join("; then "))
}

fn stuck(case: &Case<'_>) -> String {
    let open: Vec<String> = (0..case.beliefs.places.len())
        .filter(|&place| {
            !case.beliefs.found.contains(&place) && case.beliefs.places[place].probability >= TRACE
        })
        .map(|place| match case.circuits.fuses.get(place) {
            Some(&fuse) => match case.circuits.fixed[place] {
                Some(why) => format!("{} ({why})", case.name(fuse)),
                None => case.name(fuse).to_owned(),
            },
            None => "what flows past all fuses".to_owned(),
        })
        .collect();
    format!(
        "Look at {} by hand: no fuse that may be pulled tells these apart any further",
        open.join(", ")
    )
}

fn do_next(case: &Case<'_>, next: &Next, located: &[Located]) -> String {
    let mut words = String::new();
    if let Some(one) = located.first() {
        let where_ = one.fuse.map_or("past all fuses".to_owned(), |fuse| {
            format!("behind {}", case.name(fuse))
        });
        words += &format!(
            "{} more is drawn {where_}, and more than that is unexplained: ",
            amps(one.current)
        );
    }
    let mut steps: Vec<String> = Vec::new();
    if !next.refit.is_empty() {
        steps.push(format!(
            "put back {}",
            phrase::and(&case.names(&next.refit))
        ));
    }
    if !next.pull.is_empty() {
        let together = if next.pull.len() > 1 { " together" } else { "" };
        steps.push(format!(
            "pull {}{together}",
            phrase::and(&case.names(&next.pull))
        ));
    }
    if let Some(wait) = next.wait {
        steps.push(format!("wait {}", minutes(wait)));
    }
    steps.push(match next.across {
        Some(fuse) => format!("read the millivolts across {}", case.name(fuse)),
        None => "read the total again".to_owned(),
    });
    let (elsewhere, there) = next.shows;
    let why = match next.across {
        Some(fuse) => {
            let volts = |current: Amps| {
                let number = case.circuits.number(fuse);
                let ohms = number.and_then(|number| case.circuits.ohms[number]);
                show(
                    current * ohms.map_or(crate::quantity::Ohms(0.0), |ohms| ohms[1]),
                    Units::Metric,
                )
            };
            format!(
                "{} of the suspicion is behind that fuse, and a draw there would show as about {} instead of {}",
                percent(next.share),
                volts(there),
                volts(elsewhere)
            )
        }
        None if next.pull.is_empty() && next.refit.is_empty() => format!(
            "with these fuses out it falls to about {} if the draw is behind them and stays near {} if not",
            amps(there),
            amps(elsewhere)
        ),
        None => format!(
            "{} of the suspicion is on what is dark then, the meter falls to about {} if it is there and shows about {} if not",
            percent(next.share),
            amps(there),
            amps(elsewhere)
        ),
    };
    phrase::capital(&format!("{words}{}: {why}", then(&steps)))
}

fn then(steps: &[String]) -> String {
    let steps: Vec<&str> = steps.iter().map(String::as_str).collect();
    phrase::and(&steps)
}

/// What keeps meter, fuses and people whole.
pub(super) fn heed(case: &Case<'_>, next: Option<&Next>) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    let reads = match case.stage {
        Stage::Explained | Stage::Less | Stage::Located => return located_heed(case),
        Stage::Contradicted | Stage::Awake | Stage::NotMeasured | Stage::Hunting => next,
    };
    if reads.is_some_and(|next| next.across.is_some()) {
        list.push(
            "Red lead in the V jack, millivolt range: touch the two test pads on the fuse's back, pull nothing and open no door".to_owned(),
        );
        let least = reads.and_then(|next| {
            let number = case.circuits.number(next.across?)?;
            let [low, ..] = case.circuits.ohms[number]?;
            Some(Amps(least_volts(case).0 / low.0))
        });
        if let Some(least) = least {
            list.push(format!(
                "A zero there is no zero: it only says that less than {} flows",
                amps(least)
            ));
        }
    } else {
        let most = reads.map_or(Amps::ZERO, |next| next.shows.0.max(next.shows.1));
        list.push(if most.0 > 0.2 {
            format!(
                "Red lead in the 10 A jack: about {} is expected, and the milliampere jack's fuse (0.4 A as a rule) opens when something wakes",
                amps(most)
            )
        } else {
            "Start with the red lead in the 10 A jack; go to the milliampere jack only when the reading is steady below 0.2 A, its fuse opens at about 0.4 A".to_owned()
        });
        list.push(
            "Lift the cable with the meter already across it, so that nothing restarts; never crank, work a hoist or switch a heavy load through the meter, and take its leads out of the ampere jack before measuring a voltage".to_owned(),
        );
    }
    if next.is_some_and(|next| next.wait.is_some()) || case.stage == Stage::Awake {
        list.push(format!(
            "Doors, hood and key stay as they are while you wait; the reading counts when it has stood still for some minutes (modules take up to {})",
            minutes(Seconds(meter::settled().high.0))
        ));
    }
    if next.is_some_and(|next| !next.pull.is_empty()) {
        list.push("Leave out what you pull until the record says to put it back: every fuse that goes back wakes its module".to_owned());
    }
    let fixed: Vec<String> = (0..case.circuits.fuses.len())
        .filter_map(|fuse| {
            let why = case.circuits.fixed[fuse]?;
            Some(format!(
                "{} stays in: {why}",
                case.name(case.circuits.fuses[fuse])
            ))
        })
        .collect();
    list.extend(fixed);
    list
}

fn located_heed(case: &Case<'_>) -> Vec<String> {
    if case.stage != Stage::Located {
        return Vec::new();
    }
    vec![
        format!(
            "For comparison: {}",
            located::rules_of_thumb(case.vehicle.system.likely)
        ),
        "Unplug with the meter in place and the red lead in the 10 A jack, wait until it is steady, then read".to_owned(),
    ]
}

/// Words for work left: `about 2.1 fuses to handle and 3.0 readings`.
#[must_use]
pub fn left(work: Work) -> String {
    format!(
        "about {} fuses to handle and {} readings on average",
        digits(work.handled, 2),
        digits(work.readings, 2)
    )
}
