//! Changes of a record in its own text: comments, layout and spelling of everything else stay as they are.

mod append;
mod names;
mod text;
mod wires;

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::document::{Document, PartIndex};
use super::part::child;
use super::yaml::{self, Id, Node, Tree};
use super::{Limits, Unreadable};
use crate::source::{FileId, Problem, Problems, Span};
pub use append::with_reading;
use names::Walker;
use text::Changes;

/// A part that takes the place of terminals of one that is taken out.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Stand {
    /// Its name.
    pub name: String,
    /// Its kind, as written: `splice`, `stub`.
    pub kind: &'static str,
    /// Its other keys, as written: `end: capped`.
    pub keys: String,
}

/// What is to be taken out of a record.
#[derive(Clone, Debug, Default)]
pub struct TakeOut {
    /// Parts.
    pub parts: BTreeSet<PartIndex>,
    /// Wires, by their number in [`Document::wires`].
    pub wires: BTreeSet<usize>,
    /// What wires that stay land on instead of a terminal (its number in the part) of a part that goes.
    pub stands: BTreeMap<(PartIndex, u16), Stand>,
}

/// The text of a record without some of its parts and wires.
///
/// Everything that names them goes too: situations' switches, accepted findings. Readings go whole, for they were taken on the
/// vehicle as it was. Accepted findings about wires follow the wires' new numbers.
///
/// # Errors
/// What cannot be taken out of the text, with its place: a part that another is fed from, text that is repeated elsewhere by
/// an alias, a library file.
pub fn without(document: &Document, out: &TakeOut) -> Result<String, Vec<Problem>> {
    let unreadable = || {
        vec![Problem::new(
            Span::default(),
            "the text of the record cannot be read again",
        )]
    };
    let source = document.sources.get(FileId(0)).ok_or_else(unreadable)?;
    let limits = Limits {
        max_bytes: usize::MAX,
        ..Limits::default()
    };
    let mut faults = Problems::new();
    let tree =
        yaml::parse(source.text(), FileId(0), &limits, &mut faults).ok_or_else(unreadable)?;
    let mut editor = Editor {
        document,
        out,
        tree: &tree,
        changes: Changes::new(&tree),
        problems: Problems::new(),
    };
    editor.edit();
    let (changes, mut problems) = (editor.changes, editor.problems);
    repeated(&tree, &changes.taken_out(), &mut problems);
    if problems.is_empty() {
        Ok(changes.made())
    } else {
        Err(problems.into_sorted())
    }
}

/// Reads a changed text of a record, with the libraries that it was read with.
///
/// # Errors
/// As [`super::read`].
pub fn read_again(document: &Document, text: &str) -> Result<Document, Unreadable> {
    let texts = document.sources.texts();
    let name = texts.first().map_or("", |text| text.name());
    let mut library = |wanted: &str| {
        let found = texts.iter().skip(1).find(|text| text.name() == wanted);
        found
            .map(|text| text.text().as_bytes().to_vec())
            .ok_or_else(|| "it was not read before".to_owned())
    };
    let limits = Limits {
        max_bytes: u32::MAX as usize / 2,
        ..Limits::default()
    };
    super::read(name, text.as_bytes(), &mut library, &limits)
}

/// Text that goes must not be repeated by what stays.
fn repeated(tree: &Tree<'_>, gone: &[(u32, u32)], problems: &mut Problems) {
    let within = |at: Span| {
        gone.iter()
            .any(|&(start, end)| start <= at.start && at.end <= end)
    };
    for (alias, target) in tree.aliases() {
        if within(tree.written(target)) && !within(alias) {
            problems.push(
                Problem::new(alias, "this repeats words that would be taken out")
                    .label("repeated here")
                    .also(tree.written(target), "from here")
                    .help("write them out here, then try again"),
            );
        }
    }
}

struct Editor<'d, 't, 's> {
    document: &'d Document,
    out: &'d TakeOut,
    tree: &'t Tree<'s>,
    changes: Changes<'t, 's>,
    problems: Problems,
}

impl Editor<'_, '_, '_> {
    fn edit(&mut self) {
        let root = self.tree.root();
        let Node::Map { entries, .. } = self.tree.node(root) else {
            return;
        };
        let section = |name: &str| child(self.tree, root, name);
        let mut gone: Vec<&str> = Vec::new();
        if section("readings").is_some() {
            gone.push("readings");
        }
        if let Some(parts) = section("parts") {
            self.parts(parts);
        }
        let renamed = section("wires").map(|wires| self.wires(wires));
        if renamed.as_ref().is_some_and(|renamed| renamed.is_empty()) {
            gone.push("wires");
        }
        let renamed = renamed.unwrap_or_default();
        let mut walker = Walker::new(self, &renamed);
        if let Some(vehicle) = section("vehicle") {
            walker.vehicle(vehicle);
        }
        if let Some(parts) = section("parts") {
            walker.parts(parts);
        }
        if let Some(library) = section("library") {
            walker.library(library);
        }
        if let Some(situations) = section("situations") {
            walker.situations(situations);
        }
        if let Some(accept) = section("accept")
            && walker.accepted(accept)
        {
            gone.push("accept");
        }
        for (number, (key, _)) in entries.iter().enumerate() {
            let name = self.tree.scalar(*key).map(|(name, _)| name);
            if name.is_some_and(|name| gone.contains(&name)) {
                self.changes.take_out(root, number);
            }
        }
    }

    /// Takes parts out; what stands for their terminals comes in their place.
    fn parts(&mut self, node: Id) {
        let tree = self.tree;
        let Node::Map { entries, .. } = tree.node(node) else {
            return;
        };
        for (number, &(key, value)) in entries.iter().enumerate() {
            let Some(index) = tree
                .scalar(key)
                .and_then(|(name, _)| self.document.part_index(name))
            else {
                continue;
            };
            if !self.out.parts.contains(&index) {
                continue;
            }
            let stands = self.stands_of(index);
            if stands.is_empty() {
                self.changes.take_out(node, number);
                continue;
            }
            let start = tree.written(key).start;
            let end = tree.written(value).end;
            let (between, stop) = if tree.in_brackets(node) {
                (", ".to_owned(), end)
            } else {
                let line = self.changes.line_end();
                let indent = self.changes.before(start);
                let stop = self.changes.line_stop(end);
                let rest = tree.slice(end, stop);
                let stop = end + rest.trim_end_matches(['\n', '\r']).len() as u32;
                (format!("{line}{indent}"), stop)
            };
            self.changes.replace(start, stop, stands.join(&between));
        }
        let staying = entries.len() - self.out.parts.len();
        if staying == 0 && self.out.stands.is_empty() {
            self.problems.push(
                Problem::new(tree.at(node), "nothing would be left of the record")
                    .label("all of it would go")
                    .help("leave out of the removal what stays on the vehicle"),
            );
        }
    }

    /// Entries that stand for the terminals of a part; one that stands for several is told once.
    fn stands_of(&self, index: PartIndex) -> Vec<String> {
        let mut told: Vec<&str> = Vec::new();
        let mut list = Vec::new();
        for (&(part, _), stand) in &self.out.stands {
            let first = self
                .out
                .stands
                .iter()
                .find(|(_, other)| other.name == stand.name)
                .is_some_and(|(&(owner, _), _)| owner == index);
            if part != index || !first || told.contains(&stand.name.as_str()) {
                continue;
            }
            told.push(&stand.name);
            let keys = if stand.keys.is_empty() {
                String::new()
            } else {
                format!(", {}", stand.keys)
            };
            let name = text::quoted(&stand.name);
            list.push(format!("{name}: {{kind: {}{keys}}}", stand.kind));
        }
        list
    }
}

#[cfg(test)]
mod tests;
