//! What lies behind a protection, and what lies ahead of the first one.

use super::Direction;
use super::Walks;
use super::flood::Tree;
use super::flood::flood;
use super::is_protection;
use crate::model::vehicle::BranchId;
use crate::model::vehicle::Link;
use crate::model::vehicle::TerminalId;
use crate::model::vehicle::Vehicle;
use crate::model::vehicle::WireId;
use crate::quantity::Interval;
use crate::quantity::Meters;

/// Everything that a protection has to protect: where its current flows up to the next protection, out to the consumers
/// and home by their own returns.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Downstream {
    /// Wires, those on the way out first, nearest first.
    pub wires: Vec<Behind>,
    /// The next protections on the way out.
    pub next: Vec<BranchId>,
    /// Indices into [`Walks::consumers`] of what it feeds without a further protection.
    pub consumers: Vec<usize>,
}

/// A wire behind a protection.
#[derive(Clone, PartialEq, Debug)]
pub struct Behind {
    /// The wire.
    pub wire: WireId,
    /// It is on the way home.
    pub returns: bool,
    /// It leads to nothing but further protections.
    pub tap: Option<Tap>,
}

/// The length of conductor from the start of a wire to the protections behind it, at most.
#[derive(Clone, PartialEq, Debug)]
pub struct Tap {
    /// Of the wires whose length is stated.
    pub length: Interval<Meters>,
    /// Wires whose length is not stated.
    pub unmeasured: Vec<WireId>,
}

/// A way from a source that meets no protection.
#[derive(Clone, PartialEq, Debug)]
pub struct Reach {
    /// Conductors, nearest to the source first.
    pub way: Vec<Link>,
    /// Where it ends.
    pub end: End,
}

/// Where an unprotected way ends.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum End {
    /// At the first protection.
    Protection(BranchId),
    /// At a consumer: an index into [`Walks::consumers`].
    Consumer(usize),
    /// At another source: an index into [`Walks::sources`].
    Source(usize),
    /// At the chassis or at the `-` of a source.
    Home(TerminalId),
    /// At a terminal from which nothing leads on.
    Open(TerminalId),
}

impl Walks {
    /// What a protection protects; its branch is given. Empty where it feeds nothing.
    #[must_use]
    pub fn downstream(&self, vehicle: &Vehicle, protection: BranchId) -> Downstream {
        let branch = vehicle.branch(protection);
        let ends = [branch.from, branch.to];
        let mut starts: Vec<TerminalId> = Vec::new();
        for hops in &self.hops {
            let [a, b] = ends.map(|end| hops[end.index()]);
            let start = match a.cmp(&b) {
                std::cmp::Ordering::Less => ends[1],
                std::cmp::Ordering::Greater => ends[0],
                std::cmp::Ordering::Equal => continue,
            };
            if !starts.contains(&start) {
                starts.push(start);
            }
        }
        let mut found = Downstream::default();
        for start in starts {
            self.behind(vehicle, start, protection, &mut found);
        }
        found
    }

    fn behind(
        &self,
        vehicle: &Vehicle,
        start: TerminalId,
        protection: BranchId,
        found: &mut Downstream,
    ) {
        let tree = flood(vehicle, &[start], Direction::Downstream, |at, link| {
            link != Link::Branch(protection)
                && protects(vehicle, link).is_none()
                && !self.is_end(at)
        });
        let taps = self.taps(vehicle, &tree, protection);
        for (entry, reached) in tree.reached.iter().enumerate() {
            if let Some((_, Link::Wire(wire))) = reached.from {
                push_wire(
                    found,
                    Behind {
                        wire,
                        returns: false,
                        tap: taps[entry].clone(),
                    },
                );
            }
        }
        for &(_, link) in &tree.loops {
            if let Link::Wire(wire) = link {
                push_wire(
                    found,
                    Behind {
                        wire,
                        returns: false,
                        tap: None,
                    },
                );
            }
        }
        for &(_, link) in &tree.stopped {
            if let Some(next) = protects(vehicle, link).filter(|&next| next != protection)
                && !found.next.contains(&next)
            {
                found.next.push(next);
            }
        }
        let mut consumers: Vec<usize> = Vec::new();
        for reached in &tree.reached {
            // The chassis and the posts belong to everybody.
            if !self.is_end(reached.at) {
                consumers.extend(self.at(reached.at));
            }
        }
        consumers.sort_unstable();
        consumers.dedup();
        for number in consumers {
            if found.consumers.contains(&number) {
                continue;
            }
            found.consumers.push(number);
            for link in &self.consumers[number].back {
                match *link {
                    Link::Wire(wire) => push_wire(
                        found,
                        Behind {
                            wire,
                            returns: true,
                            tap: None,
                        },
                    ),
                    Link::Branch(_) if protects(vehicle, *link).is_some() => break,
                    Link::Branch(_) => {}
                }
            }
        }
    }

    /// For each entry of a tree that is reached over a conductor leading to nothing but protections: how far they are from
    /// that conductor's start.
    fn taps(&self, vehicle: &Vehicle, tree: &Tree, own: BranchId) -> Vec<Option<Tap>> {
        let count = tree.reached.len();
        let mut leads_on = vec![false; count];
        let mut clean = vec![true; count];
        for &(entry, link) in &tree.stopped {
            if protects(vehicle, link).is_some_and(|next| next != own) {
                leads_on[entry] = true;
            }
        }
        for &(entry, _) in &tree.loops {
            clean[entry] = false;
        }
        let mut beyond: Vec<Option<Tap>> = vec![None; count];
        let mut taps = vec![None; count];
        for entry in (0..count).rev() {
            let reached = tree.reached[entry];
            if self.is_end(reached.at) || self.at(reached.at).next().is_some() {
                clean[entry] = false;
            }
            let here = beyond[entry].take().or_else(|| {
                leads_on[entry].then(|| Tap {
                    length: Interval::exact(Meters::ZERO),
                    unmeasured: Vec::new(),
                })
            });
            let tap = match here {
                Some(tap) if clean[entry] => tap,
                _ => {
                    if let Some((from, _)) = reached.from {
                        clean[from] = false;
                    }
                    continue;
                }
            };
            let Some((from, link)) = reached.from else {
                continue;
            };
            let tap = longer_by(vehicle, tap, link);
            beyond[from] = Some(match beyond[from].take() {
                Some(other) => longest(other, tap.clone()),
                None => tap.clone(),
            });
            taps[entry] = Some(tap);
        }
        taps
    }

    /// The ways from a source that meet no protection, one for each conductor that leaves it and each place where such a way
    /// ends.
    #[must_use]
    pub fn unprotected(&self, vehicle: &Vehicle, source: usize) -> Vec<Reach> {
        let start = self.sources[source].plus;
        let tree = flood(vehicle, &[start], Direction::Downstream, |at, link| {
            protects(vehicle, link).is_none() && (at == start || !self.is_end(at))
        });
        let mut passed = vec![false; tree.reached.len()];
        for reached in &tree.reached {
            if let Some((from, _)) = reached.from {
                passed[from] = true;
            }
        }
        for &(entry, _) in &tree.loops {
            passed[entry] = true;
        }
        let mut ends: Vec<(usize, End)> = Vec::new();
        for &(entry, link) in &tree.stopped {
            if let Some(next) = protects(vehicle, link) {
                ends.push((entry, End::Protection(next)));
                passed[entry] = true;
            }
        }
        for (entry, reached) in tree.reached.iter().enumerate().skip(1) {
            let at = reached.at;
            if let Some(other) = self.sources.iter().position(|other| other.plus == at) {
                ends.push((entry, End::Source(other)));
            } else if self.is_end(at) {
                ends.push((entry, End::Home(at)));
            } else {
                let consumers: Vec<usize> = self.at(at).collect();
                if consumers.is_empty() && !passed[entry] {
                    ends.push((entry, End::Open(at)));
                }
                ends.extend(
                    consumers
                        .into_iter()
                        .map(|consumer| (entry, End::Consumer(consumer))),
                );
            }
        }
        ends.sort_by_key(|&(entry, _)| entry);
        ends.into_iter()
            .map(|(entry, end)| {
                let mut way = tree.way_back(entry);
                way.reverse();
                Reach { way, end }
            })
            .collect()
    }

    fn at(&self, terminal: TerminalId) -> impl Iterator<Item = usize> {
        self.at_terminal[terminal.index()]
            .iter()
            .map(|&number| number as usize)
    }

    /// The chassis, or a post of a source: where a way ends.
    fn is_end(&self, terminal: TerminalId) -> bool {
        self.ends[terminal.index()]
    }
}

/// The branch of a protection, where a conductor is one.
fn protects(vehicle: &Vehicle, link: Link) -> Option<BranchId> {
    match link {
        Link::Branch(branch) if is_protection(vehicle, vehicle.branch(branch).part) => Some(branch),
        _ => None,
    }
}

fn push_wire(found: &mut Downstream, behind: Behind) {
    match found
        .wires
        .iter_mut()
        .find(|other| other.wire == behind.wire)
    {
        // Reached by two ways it is no longer a mere tap.
        Some(other) => other.tap = None,
        None => found.wires.push(behind),
    }
}

fn longer_by(vehicle: &Vehicle, mut tap: Tap, link: Link) -> Tap {
    if let Link::Wire(wire) = link {
        match &vehicle.wire(wire).length {
            Some(length) => tap.length = tap.length + length.range,
            None if vehicle.wire(wire).assumed => {}
            None => tap.unmeasured.push(wire),
        }
    }
    tap
}

fn longest(a: Tap, b: Tap) -> Tap {
    let mut unmeasured = a.unmeasured;
    unmeasured.extend(b.unmeasured);
    Tap {
        length: Interval {
            low: a.length.low.max(b.length.low),
            high: a.length.high.max(b.length.high),
        },
        unmeasured,
    }
}
