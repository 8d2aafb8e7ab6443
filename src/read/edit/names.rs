//! Finds what names a part that goes, by the shapes of the keys.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::super::document::{Kind, PartIndex, Point};
use super::super::keys::{ACCEPT, Key, SITUATION, Scope, Shape, VEHICLE};
use super::super::names::Way;
use super::super::part::child;
use super::super::yaml::{Id, Node};
use super::Editor;
use crate::source::Problem;

/// Walks over the sections of a record.
pub(super) struct Walker<'e, 'd, 't, 's> {
    editor: &'e mut Editor<'d, 't, 's>,
    /// New ids of wires that stay, by their old ones.
    renamed: &'e BTreeMap<String, String>,
    /// `detach` groups of connectors that stay.
    groups: BTreeSet<String>,
}

impl<'e, 'd, 't, 's> Walker<'e, 'd, 't, 's> {
    pub fn new(editor: &'e mut Editor<'d, 't, 's>, renamed: &'e BTreeMap<String, String>) -> Self {
        let out = &editor.out.parts;
        let parts = (0..).map(PartIndex).zip(&editor.document.parts);
        let groups = parts
            .filter(|(index, _)| !out.contains(index))
            .filter_map(|(_, part)| part.fields.text("detach"))
            .map(|group| group.value.clone())
            .collect();
        Self {
            editor,
            renamed,
            groups,
        }
    }

    pub fn vehicle(&mut self, node: Id) {
        let _ = self.keys(node, Scope::Fixed(VEHICLE));
    }

    /// Parts that stay.
    pub fn parts(&mut self, node: Id) {
        for (name, value) in self.named(node) {
            let Some(index) = self.editor.document.part_index(&name) else {
                continue;
            };
            if self.editor.out.parts.contains(&index) {
                continue;
            }
            let part = &self.editor.document.parts[index.0 as usize];
            let kind = part.kind.value;
            let _ = self.keys(value, Scope::Part(kind));
            self.names_from_library_files(index, kind);
        }
    }

    /// What a part has from a file of its own cannot be changed here.
    fn names_from_library_files(&mut self, index: PartIndex, kind: Kind) {
        let part = &self.editor.document.parts[index.0 as usize];
        for field in &part.fields.list {
            let Some(key) = Scope::Part(kind).find(&field.key.value) else {
                continue;
            };
            let super::super::document::Value::Text(text) = &field.value else {
                continue;
            };
            if field.key.at.file.0 != 0 && self.names_gone(&text.value, &key.shape) {
                self.editor.problems.push(
                    Problem::new(
                        text.at,
                        format!(
                            "`{}` stays and names `{}` by a library file",
                            part.name.value, text.value
                        ),
                    )
                    .label("named here")
                    .help(format!(
                        "write `{}` in the record itself, or take this part out too",
                        field.key.value
                    )),
                );
            }
        }
    }

    /// Templates of the record itself.
    pub fn library(&mut self, node: Id) {
        for (name, value) in self.named(node) {
            let tree = self.editor.tree;
            let written = child(tree, value, "kind").and_then(|kind| tree.scalar(kind));
            let own = written.and_then(|(text, _)| {
                Kind::ALL
                    .iter()
                    .copied()
                    .find(|kind| kind.text() == text.trim())
            });
            let user = || {
                let mut users = self.editor.document.parts.iter();
                let user = users.find(|part| {
                    part.fields
                        .text("use")
                        .is_some_and(|template| template.value == name)
                });
                user.map(|part| part.kind.value)
            };
            if let Some(kind) = own.or_else(user) {
                let _ = self.keys(value, Scope::Part(kind));
            }
        }
    }

    /// A situation that named nothing but what goes stays, as the vehicle stands.
    pub fn situations(&mut self, node: Id) {
        for (_, value) in self.named(node) {
            if self.keys(value, Scope::Fixed(SITUATION)) {
                let at = self.editor.tree.written(value);
                self.editor
                    .changes
                    .replace(at.start, at.end, "{key: off}".to_owned());
            }
        }
    }

    /// Entries about what goes go with it; whether none is left.
    pub fn accepted(&mut self, node: Id) -> bool {
        let tree = self.editor.tree;
        let Node::List(items) = tree.node(node) else {
            return false;
        };
        let mut left = items.len();
        for (number, &item) in items.iter().enumerate() {
            let part = child(tree, item, "part").and_then(|part| tree.scalar(part));
            let key = ACCEPT.iter().find(|key| key.name == "part");
            let about = part.zip(key);
            let mut goes = about.is_some_and(|((name, _), key)| self.names_gone(name, &key.shape));
            if let Some((id, at)) = child(tree, item, "wire").and_then(|wire| tree.scalar(wire)) {
                let known = self.editor.document.wires.iter().any(|wire| wire.id == id);
                match self.renamed.get(id) {
                    Some(new) if new != id => {
                        let new = super::text::quoted(new);
                        self.editor.changes.replace(at.start, at.end, new);
                    }
                    Some(_) => {}
                    None => goes |= known || self.names_gone(id, &Shape::Point),
                }
            }
            if goes {
                self.editor.changes.take_out(node, number);
                left -= 1;
            }
        }
        left == 0 && !items.is_empty()
    }

    fn named(&self, node: Id) -> Vec<(String, Id)> {
        let tree = self.editor.tree;
        let Node::Map { entries, .. } = tree.node(node) else {
            return Vec::new();
        };
        let named = |&(key, value): &(Id, Id)| Some((tree.scalar(key)?.0.to_owned(), value));
        entries.iter().filter_map(named).collect()
    }

    /// Drops keys of a map that name what goes; whether all of it went.
    fn keys(&mut self, node: Id, scope: Scope) -> bool {
        self.entries(node, |walker, name, value| {
            let Some(key) = scope.find(name) else {
                return false;
            };
            walker.value(value, &key.shape, key)
        })
    }

    fn entries(&mut self, node: Id, mut goes: impl FnMut(&mut Self, &str, Id) -> bool) -> bool {
        let tree = self.editor.tree;
        let Node::Map { entries, .. } = tree.node(node) else {
            return false;
        };
        let mut gone = Vec::new();
        for (number, &(key, value)) in entries.iter().enumerate() {
            let Some((name, _)) = tree.scalar(key) else {
                continue;
            };
            if goes(self, name, value) {
                gone.push(number);
            }
        }
        self.drop_or_tell(node, &gone, entries.len())
    }

    /// Where all of it goes, its owner decides what becomes of it.
    fn drop_or_tell(&mut self, node: Id, gone: &[usize], of: usize) -> bool {
        if !gone.is_empty() && gone.len() == of {
            return true;
        }
        for &number in gone {
            self.editor.changes.take_out(node, number);
        }
        false
    }

    /// Whether a value goes because of what it names.
    fn value(&mut self, value: Id, shape: &Shape, key: &Key) -> bool {
        let tree = self.editor.tree;
        match (tree.node(value), shape) {
            (Node::Scalar { text, .. }, Shape::Part(_) | Shape::Switch | Shape::Point) => {
                let gone = self.names_gone(text, shape);
                if gone && matches!(key.name, "from" | "battery") {
                    self.fed_from(value, text);
                    return false;
                }
                gone
            }
            (Node::Scalar { text, .. }, Shape::Name) if key.name == "detached" => {
                !self.groups.contains(text.trim())
            }
            (Node::List(items), Shape::List(item) | Shape::OneOrList(item)) => {
                let mut gone = Vec::new();
                for (number, &one) in items.iter().enumerate() {
                    if self.value(one, item, key) {
                        gone.push(number);
                    }
                }
                self.drop_or_tell(value, &gone, items.len())
            }
            (_, Shape::OneOrList(item)) => self.value(value, item, key),
            (Node::Map { .. }, Shape::Map(keys)) => self.keys(value, Scope::Fixed(keys)),
            (Node::Map { .. }, Shape::Named(item)) => {
                self.entries(value, |walker, _, value| walker.value(value, item, key))
            }
            (Node::Map { .. }, Shape::PerPart(..)) => self.entries(value, |walker, name, _| {
                walker.names_gone(name, &Shape::Part(&[]))
            }),
            (
                Node::Scalar { .. },
                Shape::Form {
                    scalar: Some(shape),
                    ..
                },
            )
            | (
                Node::List(_),
                Shape::Form {
                    list: Some(shape), ..
                },
            )
            | (
                Node::Map { .. },
                Shape::Form {
                    map: Some(shape), ..
                },
            ) => self.value(value, shape, key),
            _ => false,
        }
    }

    /// Whether these words stand for a part that goes.
    fn names_gone(&self, words: &str, shape: &Shape) -> bool {
        let document = self.editor.document;
        let gone = |index: PartIndex| self.editor.out.parts.contains(&index);
        match shape {
            Shape::Point => {
                matches!(document.point(words, Way::From), Some(Point::Terminal(part, _)) if gone(part))
            }
            Shape::Part(_) => document.part_index(words).is_some_and(gone),
            Shape::Switch => {
                let own = document.part_index(words);
                let owner = || document.part_index(words.split_once('.')?.0);
                own.or_else(owner).is_some_and(gone)
            }
            _ => false,
        }
    }

    fn fed_from(&mut self, value: Id, words: &str) {
        self.editor.problems.push(
            Problem::new(
                self.editor.tree.written(value),
                format!("`{words}` cannot be taken out: something that stays is fed from it here"),
            )
            .label("stays, and needs it")
            .help("say first what it is fed from instead, or take it out too"),
        );
    }
}
