//! The next step of a hunt in words, and what to heed with the meter.

use super::Case;
use super::Located;
use super::Of;
use super::Stage;
use super::TRACE;
use super::TroubleKind;
use super::located;
use super::plan::Work;
use super::step::Next;
use super::step::least_volts;
use super::step::settled;
use super::words::amps;
use super::words::millivolts;
use super::words::minutes;
use super::words::percent;
use crate::model::PartId;
use crate::phrase;
use crate::quantity::Amps;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::table::meter;

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
            let back = match case.names(&case.out) {
                out if out.is_empty() => None,
                out => Some(format!("put back {}", phrase::and(&out))),
            };
            let why = match case.log.troubles.last() {
                Some(trouble) => format!("because {}", trouble.message),
                None => "for without it nothing can be told apart".to_owned(),
            };
            let mut steps: Vec<String> = back.into_iter().collect();
            if !use_first.is_empty() {
                steps.push(use_first.join("; "));
            }
            steps.push(format!(
                "read the whole current at the battery's negative cable with the key off, everything shut, after {wait}, {why}"
            ));
            phrase::capital(&steps.join("; then "))
        }
        Stage::Awake => {
            let message = last_trouble(case, TroubleKind::Woken);
            format!("Touch nothing, wait {wait} and read again, because {message}")
        }
        Stage::Contradicted => {
            let message = last_trouble(case, TroubleKind::Contradicts);
            let number = case.log.last().map_or(0, |line| line.number);
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
        phrase::and(&open)
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
                millivolts(current * ohms.map_or(crate::quantity::Ohms(0.0), |ohms| ohms[1]))
            };
            format!(
                "{} of the suspicion is behind it, and a draw there would show as about {} instead of {}",
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
    let again_across = match case.log.last().map(|line| line.of) {
        Some(Of::Across(fuse)) if case.stage == Stage::Contradicted => Some(fuse),
        _ => None,
    };
    if let Some(fuse) = again_across.or_else(|| reads?.across) {
        list.push(format!(
            "Red lead in the V jack, millivolt range: touch {}, pull nothing and open no door",
            ends(case, fuse)
        ));
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
    } else if reads.is_some() || case.stage != Stage::Hunting {
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

/// Where the leads touch what is read across.
fn ends(case: &Case<'_>, fuse: PartId) -> String {
    let part = case.vehicle.part(fuse);
    let form = part.fields.text("form");
    let blade = form.is_none_or(|form| form.value.starts_with("blade"));
    if part.kind == Kind::Fuse && blade {
        "the two test pads on the fuse's back".to_owned()
    } else {
        format!("the bare metal at both ends of {}", case.name(fuse))
    }
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

/// Words for work left: `about 2.1 fuses to handle and 3 readings on average`.
#[must_use]
pub fn left(work: Work) -> String {
    let readings = counted(work.readings, "reading");
    if work.handled < 0.05 {
        format!("about {readings} on average, and no fuse to handle")
    } else {
        let fuses = counted(work.handled, "fuse");
        format!("about {fuses} to handle and {readings} on average")
    }
}

/// `1 fuse`, `1.4 fuses`, `3 fuses`.
fn counted(count: f64, what: &str) -> String {
    match format!("{count:.1}").trim_end_matches(".0") {
        "1" => format!("1 {what}"),
        number => format!("{number} {what}s"),
    }
}
