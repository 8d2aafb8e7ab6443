//! The route of a net as a tree of points.

use std::collections::BTreeMap;

use crate::draw::pass::Segment;

/// The route of a net as a tree of points.
pub(super) struct Tree {
    next: BTreeMap<(i32, i32), Vec<(i32, i32)>>,
}

impl Tree {
    pub(super) fn new(route: &[Segment]) -> Self {
        let mut next: BTreeMap<(i32, i32), Vec<(i32, i32)>> = BTreeMap::new();
        for run in route {
            next.entry(run.from).or_default().push(run.to);
            next.entry(run.to).or_default().push(run.from);
        }
        Self { next }
    }

    /// A point in the middle of a run.
    pub(super) fn split(&mut self, run: Segment, at: (i32, i32)) {
        if at == run.from || at == run.to {
            return;
        }
        for (end, far) in [(run.from, run.to), (run.to, run.from)] {
            for other in self.next.entry(end).or_default() {
                if *other == far {
                    *other = at;
                }
            }
            self.next.entry(at).or_default().push(end);
        }
    }

    /// The way between two points; the two alone where there is none.
    pub(super) fn way(&self, from: (i32, i32), to: (i32, i32)) -> Vec<(i32, i32)> {
        let mut came: BTreeMap<(i32, i32), (i32, i32)> = BTreeMap::new();
        let mut waiting = std::collections::VecDeque::from([from]);
        came.insert(from, from);
        while let Some(at) = waiting.pop_front() {
            if at == to {
                break;
            }
            for &other in self.next.get(&at).into_iter().flatten() {
                came.entry(other).or_insert_with(|| {
                    waiting.push_back(other);
                    at
                });
            }
        }
        let mut way = vec![to];
        let mut at = to;
        while at != from {
            let Some(&before) = came.get(&at) else {
                return vec![from, to];
            };
            way.push(before);
            at = before;
        }
        way.reverse();
        way
    }

    /// Points where three or more runs meet.
    pub(super) fn forks(&self) -> Vec<(i32, i32)> {
        self.next
            .iter()
            .filter(|(_, ends)| ends.len() >= 3)
            .map(|(&at, _)| at)
            .collect()
    }
}
