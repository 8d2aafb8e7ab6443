//! Wires out of the list: runs grow shorter, and one that is cut in the middle becomes two entries.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::super::document::{Document, Point, Wire};
use super::super::part::child;
use super::super::yaml::{Id, Node};
use super::Editor;
use super::text::{made, quoted};
use crate::source::Problem;

/// A stretch of an entry that stays: its segments, from the first to the last.
type Stretch = (usize, usize);

/// What becomes of one entry.
struct Entry<'d> {
    segments: &'d [Wire],
    stretches: Vec<Stretch>,
}

impl<'d> Editor<'d, '_, '_> {
    /// Edits the list of wires; new ids of those that stay, by their old ones.
    pub(super) fn wires(&mut self, node: Id) -> BTreeMap<String, String> {
        let tree = self.tree;
        let mut renamed = BTreeMap::new();
        let Node::List(items) = tree.node(node) else {
            return renamed;
        };
        let mut taken: BTreeSet<String> = BTreeSet::new();
        let ids = items.iter().filter_map(|&item| child(tree, item, "id"));
        taken.extend(ids.filter_map(|id| Some(tree.scalar(id)?.0.to_owned())));
        let mut count = 0;
        for (number, &item) in items.iter().enumerate() {
            let entry = self.entry(number);
            let id = child(tree, item, "id")
                .and_then(|id| tree.scalar(id))
                .map(|(id, _)| id.to_owned());
            let mut ids: Vec<Option<String>> = Vec::new();
            for (at, &(from, to)) in entry.stretches.iter().enumerate() {
                let own = id.as_ref().map(|id| match at {
                    0 => id.clone(),
                    _ => free(id, &mut taken),
                });
                for segment in from..=to {
                    count += 1;
                    let new = match &own {
                        Some(id) if from == to => id.clone(),
                        Some(id) => format!("{id}.{}", segment - from + 1),
                        None => format!("w{count}"),
                    };
                    renamed.insert(entry.segments[segment].id.clone(), new);
                }
                ids.push(own);
            }
            self.put(node, number, item, &entry, &ids);
        }
        renamed
    }

    fn entry(&self, number: usize) -> Entry<'d> {
        let document: &'d Document = self.document;
        let wires = &document.wires;
        let first = wires.partition_point(|wire| (wire.entry as usize) < number);
        let stop = wires.partition_point(|wire| (wire.entry as usize) <= number);
        let mut stretches: Vec<Stretch> = Vec::new();
        for segment in 0..stop - first {
            if self.out.wires.contains(&(first + segment)) {
                continue;
            }
            match stretches.last_mut() {
                Some((_, last)) if *last + 1 == segment && self.passes(first + segment) => {
                    *last = segment;
                }
                _ => stretches.push((segment, segment)),
            }
        }
        Entry {
            segments: &wires[first..stop],
            stretches,
        }
    }

    /// Whether a run can go on over the stop where this segment starts: what stands for a stop has one terminal for both sides,
    /// or none that goes on.
    fn passes(&self, segment: usize) -> bool {
        let wires = &self.document.wires;
        let (before, after) = (&wires[segment - 1].to.point, &wires[segment].from.point);
        let stand = |point: &Point| match point {
            Point::Terminal(part, terminal) => self.out.stands.get(&(*part, *terminal)),
            Point::Chassis => None,
        };
        match (stand(before), stand(after)) {
            (None, None) => true,
            (Some(one), Some(other)) => one.name == other.name,
            _ => false,
        }
    }

    fn put(
        &mut self,
        node: Id,
        number: usize,
        item: Id,
        entry: &Entry<'_>,
        ids: &[Option<String>],
    ) {
        let tree = self.tree;
        let count = entry.segments.len();
        if entry.stretches.is_empty() {
            self.changes.take_out(node, number);
            return;
        }
        let lands = entry.stretches.iter().flat_map(|&(from, to)| from..=to);
        let moved = lands.into_iter().any(|segment| {
            let wire = &entry.segments[segment];
            [&wire.from.point, &wire.to.point]
                .into_iter()
                .any(|point| self.instead(point).is_some())
        });
        if entry.stretches == [(0, count - 1)] && !moved {
            return;
        }
        let at = tree.written(item);
        let nodes = ["run", "from", "to", "lengths"].map(|key| child(tree, item, key));
        let repeats = tree.is_alias(item) || nodes.iter().flatten().any(|&one| tree.is_alias(one));
        if repeats || tree.aliases().any(|(_, target)| target == item) {
            self.problems.push(
                Problem::new(at, "this wire is written by repeating other words")
                    .label("an anchor or an alias")
                    .help("write it out, then try again"),
            );
            return;
        }
        let copies: Vec<String> = entry
            .stretches
            .iter()
            .zip(ids)
            .enumerate()
            .map(|(which, (&stretch, id))| self.copy(item, entry, stretch, which, id.as_deref()))
            .collect();
        let between = if tree.in_brackets(node) {
            ", ".to_owned()
        } else {
            format!(
                "{}{}",
                self.changes.line_end(),
                self.changes.before(at.start)
            )
        };
        self.changes
            .replace(at.start, at.end, copies.join(&between));
    }

    /// The name of what stands for a terminal that goes.
    fn instead(&self, point: &Point) -> Option<String> {
        match point {
            Point::Terminal(part, terminal) => {
                let stand = self.out.stands.get(&(*part, *terminal))?;
                Some(quoted(&stand.name))
            }
            Point::Chassis => None,
        }
    }

    /// The words of an entry, with the stops of one stretch.
    fn copy(
        &self,
        item: Id,
        entry: &Entry<'_>,
        (from, to): Stretch,
        which: usize,
        id: Option<&str>,
    ) -> String {
        let tree = self.tree;
        let at = tree.written(item);
        let mut changes: Vec<(u32, u32, String)> = Vec::new();
        if let Some(run) = child(tree, item, "run")
            && let Node::List(stops) = tree.node(run)
        {
            let mut kept: Vec<String> = Vec::new();
            for (number, &stop) in stops.iter().enumerate().take(to + 2).skip(from) {
                let wire = &entry.segments[number.min(to).max(from)];
                let point = if number > to {
                    &wire.to.point
                } else {
                    &wire.from.point
                };
                let here = tree.written(stop);
                let as_is = tree.slice(here.start, here.end).to_owned();
                // A stop that is passed through has two terminals; where it goes, one thing stands for both.
                kept.push(self.instead(point).unwrap_or(as_is));
            }
            changes.push(self.list(run, &kept));
        }
        for (key, point) in [
            ("from", &entry.segments[from].from.point),
            ("to", &entry.segments[to].to.point),
        ] {
            if let (Some(end), Some(name)) = (child(tree, item, key), self.instead(point)) {
                let here = tree.written(end);
                changes.push((here.start, here.end, name));
            }
        }
        if let Some(lengths) = child(tree, item, "lengths")
            && let Node::List(values) = tree.node(lengths)
            && values.len() == entry.segments.len()
        {
            let kept: Vec<String> = values[from..=to]
                .iter()
                .map(|&value| {
                    let here = tree.written(value);
                    tree.slice(here.start, here.end).to_owned()
                })
                .collect();
            changes.push(self.list(lengths, &kept));
        }
        if which > 0
            && let (Some(old), Some(id)) = (child(tree, item, "id"), id)
        {
            let here = tree.written(old);
            changes.push((here.start, here.end, quoted(id)));
        }
        let changes = changes
            .into_iter()
            .map(|(start, end, words)| (start - at.start, end - at.start, words))
            .collect();
        made(tree.slice(at.start, at.end), changes)
    }

    /// A list with other items; one on lines of its own is put between brackets.
    fn list(&self, list: Id, items: &[String]) -> (u32, u32, String) {
        let at = self.tree.written(list);
        (at.start, at.end, format!("[{}]", items.join(", ")))
    }
}

/// An id like this one that no wire has.
fn free(id: &str, taken: &mut BTreeSet<String>) -> String {
    let found = (2..)
        .map(|number| format!("{id}-{number}"))
        .find(|id| !taken.contains(id))
        .unwrap_or_else(|| id.to_owned());
    taken.insert(found.clone());
    found
}
