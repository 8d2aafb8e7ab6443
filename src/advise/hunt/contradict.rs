//! Which readings cannot be so beside one another.

use std::collections::BTreeSet;

use super::circuits::Circuits;
use super::log::Line;
use super::log::Log;
use super::log::Of;
use super::log::Trouble;
use super::log::TroubleKind;
use super::log::set;
use super::words::amps;
use crate::model::PartId;
use crate::model::Vehicle;
use crate::phrase;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::show::Units;

impl Log {
    /// Everything that two or more readings say against one another.
    pub(super) fn compare(&mut self, vehicle: &Vehicle, circuits: &Circuits) {
        let mut troubles = self.through_fuses(vehicle, circuits);
        troubles.extend(self.taken_away(vehicle, circuits));
        self.tell(troubles);
    }

    /// Currents through fuses against the total, against the fuse that feeds them, and against what pulling them took away.
    fn through_fuses(&self, vehicle: &Vehicle, circuits: &Circuits) -> Vec<Trouble> {
        let name = |fuse: PartId| vehicle.part(fuse).name.value.as_str();
        let mut troubles: Vec<Trouble> = Vec::new();
        let used = self.used();
        let mut against = |reading: &Line, other: &Line, message: String| {
            troubles.push(Trouble {
                reading: reading.number,
                against: Some(other.number),
                kind: TroubleKind::Contradicts,
                message,
            });
        };
        for &at in &used {
            let line = &self.lines[at];
            let Some(fuse) = line.of.fuse() else { continue };
            let above: Vec<PartId> = circuits.number(fuse).map_or_else(Vec::new, |number| {
                circuits
                    .chain(number)
                    .skip(1)
                    .map(|above| circuits.fuses[above])
                    .collect()
            });
            for &other in &used {
                let whole = &self.lines[other];
                let more = line.current.low > whole.current.high;
                // What more fuses out would leave is less still.
                let as_many_in = set(&whole.out).is_subset(&set(&line.out));
                if whole.of == Of::Total && as_many_in && more {
                    against(
                        line,
                        whole,
                        format!(
                            "reading {} puts at least {} through {}, more than the {} in all of reading {}: look at the fuse's rating and form, its resistance is taken from them",
                            line.number,
                            amps(line.current.low),
                            name(fuse),
                            amps(whole.current.high),
                            whole.number
                        ),
                    );
                } else if let Some(feeder) = whole.of.fuse().filter(|of| above.contains(of))
                    && more
                    && as_many_in
                {
                    against(
                        line,
                        whole,
                        format!(
                            "reading {} puts at least {} through {}, and {} that feeds it carries at most {} in reading {}",
                            line.number,
                            amps(line.current.low),
                            name(fuse),
                            name(feeder),
                            amps(whole.current.high),
                            whole.number
                        ),
                    );
                }
            }
            for (before, after) in pulls_of(&self.lines, &used, fuse) {
                let (before, after) = (&self.lines[before], &self.lines[after]);
                let took = Interval {
                    low: Amps((before.current.low - after.current.high).0.max(0.0)),
                    high: Amps((before.current.high - after.current.low).0.max(0.0)),
                };
                let apart = line.current.low > took.high || line.current.high < took.low;
                if apart && set(&line.out).is_subset(&set(&before.out)) {
                    against(
                        line,
                        after,
                        format!(
                            "pulling {} took {} away, and reading {} puts {} through it",
                            name(fuse),
                            between(took),
                            line.number,
                            between(line.current)
                        ),
                    );
                }
            }
        }
        troubles
    }

    /// Totals that take more away, one with this fuse out and another with that, than there was with both in: what goes dark
    /// differs, so `(w - a) + (w - b)` is at most `w`, and of `k` such totals `(k - 1) w` at most their sum.
    fn taken_away(&self, vehicle: &Vehicle, circuits: &Circuits) -> Vec<Trouble> {
        let used = self.used();
        let totals = || {
            let lines = used.iter().map(|&at| &self.lines[at]);
            lines.filter(|line| line.of == Of::Total)
        };
        let dark = |line: &Line| -> BTreeSet<usize> {
            let is_dark = |&place: &usize| {
                let mut above = circuits.chain(place);
                above.any(|above| line.out.contains(&circuits.fuses[above]))
            };
            (0..circuits.past()).filter(is_dark).collect()
        };
        let mut troubles = Vec::new();
        for whole in totals() {
            let before = dark(whole);
            let mut fewer: Vec<(&Line, BTreeSet<usize>)> = totals()
                .map(|line| (line, dark(line)))
                .filter(|(_, dark)| dark.is_superset(&before) && *dark != before)
                .map(|(line, dark)| (line, &dark - &before))
                .collect();
            // The most taken away first: the fewest that are too much together.
            fewer.sort_by(|(a, _), (b, _)| a.current.high.0.total_cmp(&b.current.high.0));
            let mut apart: Vec<(&Line, BTreeSet<usize>)> = Vec::new();
            let mut left = 0.0;
            for (line, dark) in fewer {
                if apart.iter().any(|(_, other)| !other.is_disjoint(&dark)) {
                    continue;
                }
                let times = apart.len() as f64;
                left += line.current.high.0;
                apart.push((line, dark));
                if times * whole.current.low.0 > left {
                    troubles.extend(too_much(vehicle, whole, &apart));
                    break;
                }
            }
        }
        troubles
    }

    /// A reading that was taken again since is left aside; of every other its contradictions are told, each once.
    fn tell(&mut self, troubles: Vec<Trouble>) {
        let used = self.used();
        for trouble in troubles {
            let at = trouble.reading - 1;
            let mut later = used.iter().filter(|&&later| later > at);
            let again = later.find(|&&later| {
                let (line, old) = (&self.lines[later], &self.lines[at]);
                line.of == old.of && set(&line.out) == set(&old.out)
            });
            if let Some(&again) = again {
                let number = self.lines[again].number;
                self.lines[at].unused = Some(format!("taken again in reading {number}"));
            } else if !self
                .troubles
                .iter()
                .any(|one| one.message == trouble.message)
            {
                self.troubles.push(trouble);
            }
        }
    }
}

/// That these totals take more away together than the whole was. It is the last of them that is taken again.
fn too_much(
    vehicle: &Vehicle,
    whole: &Line,
    apart: &[(&Line, BTreeSet<usize>)],
) -> Option<Trouble> {
    let mut lines: Vec<&Line> = apart.iter().map(|(line, _)| *line).collect();
    lines.sort_by_key(|line| line.number);
    let last = lines.last()?.number.max(whole.number);
    let out = |line: &Line| {
        let more = line.out.iter().filter(|part| !whole.out.contains(part));
        let names: Vec<String> = more
            .map(|&part| vehicle.part(part).name.value.clone())
            .collect();
        phrase::and(&names)
    };
    let each: Vec<String> = lines
        .iter()
        .map(|line| {
            let took = Amps((whole.likely - line.likely).0.max(0.0));
            format!(
                "{} with {} (reading {})",
                amps(took),
                out(line),
                line.number
            )
        })
        .collect();
    let against = lines.iter().map(|line| line.number).chain([whole.number]);
    Some(Trouble {
        reading: last,
        against: against.filter(|&number| number != last).max(),
        kind: TroubleKind::Contradicts,
        message: format!(
            "pulling took {} away, more than the {} in all of reading {}: what is drawn changed in between",
            phrase::and(&each),
            amps(whole.likely),
            whole.number
        ),
    })
}

/// Totals before and after a fuse alone was pulled or put back.
fn pulls_of(lines: &[Line], used: &[usize], fuse: PartId) -> Vec<(usize, usize)> {
    let totals = used.iter().filter(|&&at| lines[at].of == Of::Total);
    let totals: Vec<usize> = totals.copied().collect();
    let mut pairs = Vec::new();
    for &with in totals.iter().filter(|&&at| !lines[at].out.contains(&fuse)) {
        let mut then = set(&lines[with].out);
        then.insert(fuse);
        let without = totals.iter().find(|&&at| set(&lines[at].out) == then);
        pairs.extend(without.map(|&without| (with, without)));
    }
    pairs
}

fn between(range: Interval<Amps>) -> String {
    crate::quantity::show::range(range, Units::Metric)
}
