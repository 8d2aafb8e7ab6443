//! Breadth-first spreading over conductors, kept as a tree.

use std::collections::VecDeque;

use super::Direction;
use super::FAR;
use super::exclude_each_other;
use super::steps;
use crate::model::vehicle::Link;
use crate::model::vehicle::TerminalId;
use crate::model::vehicle::Vehicle;

/// One terminal reached, and how.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Reached {
    /// The terminal.
    pub at: TerminalId,
    /// The entry of the tree that it was reached from, and the conductor between; nothing for a start.
    pub from: Option<(usize, Link)>,
}

/// Terminals in the order they were reached. A terminal stands in it twice where it was first reached over a contact that
/// bars the way on through its twin, and then by another way.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Tree {
    /// In breadth-first order: an entry comes after the one that it was reached from.
    pub reached: Vec<Reached>,
    /// Conductors that close a loop: both ends were reached by other ways. With the entry that they were seen from.
    pub loops: Vec<(usize, Link)>,
    /// Conductors that were not passed, with the entry that they were seen from.
    pub stopped: Vec<(usize, Link)>,
}

impl Tree {
    /// Hops to each of `terminals` terminals, [`FAR`] where not reached.
    pub(super) fn hops(&self, terminals: usize) -> Vec<u32> {
        let mut by_entry: Vec<u32> = Vec::with_capacity(self.reached.len());
        let mut hops = vec![FAR; terminals];
        for entry in &self.reached {
            let count = entry.from.map_or(0, |(from, _)| by_entry[from] + 1);
            by_entry.push(count);
            let best = &mut hops[entry.at.index()];
            *best = (*best).min(count);
        }
        hops
    }

    /// The conductors from an entry back to its start, nearest first.
    #[must_use]
    pub fn way_back(&self, entry: usize) -> Vec<Link> {
        let mut way = Vec::new();
        let mut at = entry;
        while let Some((from, link)) = self.reached[at].from {
            way.push(link);
            at = from;
        }
        way
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Mark {
    Not,
    Over(Link),
    Open,
}

/// Spreads from `starts` over conductors. `passes` is given a terminal and a conductor at it, and decides whether to leave
/// the terminal by it; the terminal itself is kept either way.
pub(super) fn flood(
    vehicle: &Vehicle,
    starts: &[TerminalId],
    direction: Direction,
    passes: impl Fn(TerminalId, Link) -> bool,
) -> Tree {
    let mut tree = Tree::default();
    let mut marks = Marks::default();
    let mut queue: VecDeque<usize> = VecDeque::new();
    for &start in starts {
        marks.set(start, Mark::Open);
        queue.push_back(tree.reached.len());
        tree.reached.push(Reached {
            at: start,
            from: None,
        });
    }
    while let Some(entry) = queue.pop_front() {
        let Reached { at, from } = tree.reached[entry];
        let over = from.map(|(_, link)| link);
        for (link, next) in steps(vehicle, at, direction) {
            if over == Some(link) {
                continue;
            }
            if !passes(at, link) {
                tree.stopped.push((entry, link));
                continue;
            }
            if over.is_some_and(|over| exclude_each_other(vehicle, over, link)) {
                continue;
            }
            let mark = match marks.get(next) {
                Mark::Not if has_twin(vehicle, next, link) => Mark::Over(link),
                Mark::Not => Mark::Open,
                Mark::Over(first) if first != link => Mark::Open,
                Mark::Over(_) | Mark::Open => {
                    tree.loops.push((entry, link));
                    continue;
                }
            };
            marks.set(next, mark);
            queue.push_back(tree.reached.len());
            tree.reached.push(Reached {
                at: next,
                from: Some((entry, link)),
            });
        }
    }
    tree
}

/// Whether a conductor has a contact of the same part at this terminal that is never closed with it.
fn has_twin(vehicle: &Vehicle, at: TerminalId, link: Link) -> bool {
    let Link::Branch(id) = link else {
        return false;
    };
    let own = vehicle.part(vehicle.branch(id).part);
    own.branches.iter().any(|&other| {
        let branch = vehicle.branch(other);
        (branch.from == at || branch.to == at)
            && exclude_each_other(vehicle, link, Link::Branch(other))
    })
}

/// Marks of the few terminals that a flood reaches; most floods are small beside the vehicle.
#[derive(Default)]
struct Marks(std::collections::BTreeMap<TerminalId, Mark>);

impl Marks {
    fn get(&self, at: TerminalId) -> Mark {
        self.0.get(&at).copied().unwrap_or(Mark::Not)
    }
    fn set(&mut self, at: TerminalId, mark: Mark) {
        self.0.insert(at, mark);
    }
}
