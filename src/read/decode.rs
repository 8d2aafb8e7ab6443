//! Maps of the tree, key by key. Never stops at the first fault.

use std::collections::HashMap;

use super::document::{Field, Fields, Remark, Value};
use super::keys::{Key, Scope};
use super::value::may_be_unknown;
use super::wording::{self, Wording};
use super::words;
use super::yaml::{Id, Node, Tree};
use crate::source::{Problem, Problems, Span, Spanned};

/// What reading has gathered so far.
#[derive(Debug)]
pub(super) struct Out {
    /// All complaints.
    pub problems: Problems,
    /// What was read in a way worth telling.
    pub remarks: Vec<Remark>,
    /// How many more values may be read; repetitions of one node count each time.
    pub budget: usize,
    /// How many more suggestions may be searched for: each compares one word with many.
    pub hints: usize,
    /// Whether it has been said that the budget is spent.
    pub spent: bool,
}

impl Out {
    /// Nothing gathered.
    pub fn new(budget: usize) -> Self {
        Self {
            problems: Problems::new(),
            remarks: Vec::new(),
            budget,
            hints: 200,
            spent: false,
        }
    }

    /// Whether one more suggestion may be searched for.
    pub fn hint(&mut self) -> bool {
        let more = self.hints > 0;
        self.hints = self.hints.saturating_sub(1);
        more
    }

    /// Adds a complaint that is worded already.
    pub fn worded(&mut self, at: Span, wording: Wording) {
        let problem = Problem::new(at, wording.message)
            .label(wording.label)
            .help(wording.help);
        self.problems.push(problem);
    }
}

/// A tree being read.
pub(super) struct Decoder<'t, 's> {
    /// The nodes.
    pub tree: &'t Tree<'s>,
    /// What is gathered.
    pub out: &'t mut Out,
}

/// The key whose value is read, for messages.
#[derive(Clone, Copy)]
pub(super) struct Asked<'k> {
    /// As written.
    pub name: &'k str,
    /// A value that would do.
    pub example: &'k str,
}

impl Decoder<'_, '_> {
    /// The entries of a map with text keys; complains where it is something else, and about a key given twice.
    pub fn entries(&mut self, id: Id, what: &str, example: &str) -> Option<Vec<Entry>> {
        let tree = self.tree;
        let Node::Map { entries, flow } = tree.node(id) else {
            let at = tree.at(id);
            let problem = if tree.is_empty(id) {
                Problem::new(at, format!("{what} has nothing written after it")).label("empty")
            } else {
                Problem::new(at, format!("{what} needs keys with values"))
                    .label("not keys with values")
            };
            self.out
                .problems
                .push(problem.help(format!("write it as in `{example}`")));
            return None;
        };
        let mut list: Vec<Entry> = Vec::with_capacity(entries.len());
        let mut large: HashMap<String, usize> = HashMap::new();
        for &(key, value) in entries {
            let Some((name, at)) = tree.scalar(key) else {
                self.out.problems.push(
                    Problem::new(tree.at(key), "a key must be a word, not a list or a map")
                        .label("not a word")
                        .help("look at the braces and colons of this entry"),
                );
                continue;
            };
            if name == "<<" {
                self.out.problems.push(
                    Problem::new(at, "`<<` does not merge anything here")
                        .label("YAML merge key")
                        .help("put what is shared into a part template: `library: {NAME: {…}}`, then `use: NAME`"),
                );
                continue;
            }
            let before = if entries.len() > 16 {
                large.insert(name.to_owned(), list.len())
            } else {
                list.iter().position(|entry| entry.name.value == name)
            };
            if let Some(first) = before {
                large.insert(name.to_owned(), first);
                let first = list[first].name.at;
                self.out.problems.push(
                    Problem::new(
                        at,
                        format!("`{}` is given twice in {what}", words::short(name)),
                    )
                    .label("again here")
                    .also(first, "first here")
                    .help("keep one of the two, or rename one if they are two things"),
                );
                continue;
            }
            list.push(Entry {
                name: Spanned::new(name.to_owned(), at),
                value,
                // `{what: left, right}` makes `right` a key without a colon.
                lone: *flow && tree.is_empty(value) && tree.at(value).is_empty(),
            });
        }
        Some(list)
    }

    /// Reads a map whose keys are in a list.
    pub fn fields(&mut self, id: Id, scope: Scope, owner: &str, example: &str) -> Option<Fields> {
        let entries = self.entries(id, owner, example)?;
        let mut fields = Fields {
            list: Vec::with_capacity(entries.len()),
            at: self.tree.at(id),
        };
        let mut previous: Option<Span> = None;
        let mut written: Vec<&'static str> = Vec::new();
        let mut entries = entries.into_iter().peekable();
        while let Some(entry) = entries.next() {
            if let Some(lone) =
                entries.next_if(|next| next.lone && self.decimal_comma(&entry, next))
            {
                self.say_decimal_comma(&entry, &lone);
                written.extend(scope.find(&entry.name.value).map(|key| key.name));
                continue;
            }
            let place = entry.name.at;
            match scope.find(&entry.name.value) {
                Some(key) => {
                    written.push(key.name);
                    if let Some(value) = self.value_of(key, &entry) {
                        let key = entry.name;
                        fields.list.push(Field { key, value });
                    }
                }
                None if entry.lone => match glued(&entry.name.value, scope) {
                    Some((key, value)) => {
                        written.push(key.name);
                        self.say_glued(place, key, value);
                    }
                    None => self.lone_word(&entry, previous),
                },
                None => {
                    let hint = self.out.hint();
                    let (message, help) =
                        wording::unknown_key(&entry.name.value, scope, owner, hint);
                    self.out.problems.push(
                        Problem::new(entry.name.at, message)
                            .label("not a key here")
                            .help(help),
                    );
                }
            }
            previous = Some(place);
        }
        // The kind of a part is known before its keys are read.
        let lacks = match scope {
            Scope::Part(_) => None,
            Scope::Fixed(_) => words::missing(scope, |name| written.contains(&name)),
        };
        if let Some(key) = lacks {
            let at = first_line(self.tree, fields.at);
            self.out.problems.push(
                Problem::new(at, format!("{owner} needs `{}`", key.name))
                    .label(format!("no `{}` in it", key.name))
                    .help(format!(
                        "add `{}: {}`: {}",
                        key.name,
                        key.example,
                        lower_first(key.meaning)
                    )),
            );
        }
        Some(fields)
    }

    /// `{parked: 1,5 mA}`: between braces the comma ends the value after the 1.
    fn decimal_comma(&self, entry: &Entry, next: &Entry) -> bool {
        let digits =
            |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        let value = self.tree.scalar(entry.value);
        let gap = |at: Span| next.name.at.start == at.end + 1;
        value.is_some_and(|(text, at)| digits(text) && gap(at))
            && next.name.value.starts_with(|c: char| c.is_ascii_digit())
    }

    fn say_decimal_comma(&mut self, entry: &Entry, next: &Entry) {
        let start = self.tree.at(entry.value);
        let at = Span::new(start.file, start.start, next.name.at.end);
        let text = self.tree_slice(at.start, at.end);
        self.out.problems.push(
            Problem::new(
                at,
                format!("`{text}` cannot be read: the decimal sign is a point"),
            )
            .label("a comma ends the value here")
            .help(format!(
                "write `{}: {}`",
                entry.name.value,
                text.replace(',', ".")
            )),
        );
    }

    fn say_glued(&mut self, at: Span, key: &Key, value: &str) {
        let colon = self.tree.slice(at.start, at.end).contains(':');
        let missing = if colon {
            format!("a space is missing after `{}:`", key.name)
        } else {
            format!("a colon and a space are missing after `{}`", key.name)
        };
        self.out.problems.push(
            Problem::new(at, missing)
                .label("key and value run together")
                .help(format!("write `{}: {}`", key.name, words::short(value))),
        );
    }

    fn lone_word(&mut self, entry: &Entry, previous: Option<Span>) {
        let problem = Problem::new(
            entry.name.at,
            format!(
                "`{}` stands alone, without a colon and a value",
                words::short(&entry.name.value)
            ),
        )
        .label("between braces a comma ends a value");
        let problem = match previous {
            Some(key) => {
                let all = self.tree_slice(key.end, entry.name.at.end);
                let value = all.trim_start_matches(':').trim();
                let name = self.tree_slice(key.start, key.end);
                problem.also(key, "does it belong to this?").help(format!(
                    "if the comma is part of the words, quote them: `{name}: \"{value}\"`"
                ))
            }
            None => problem.help("write `key: value`"),
        };
        self.out.problems.push(problem);
    }

    fn tree_slice(&self, start: u32, end: u32) -> String {
        words::short(self.tree.slice(start, end))
    }

    /// Reads the value of a key that is in the list.
    fn value_of(&mut self, key: &'static Key, entry: &Entry) -> Option<Value> {
        if self.tree.is_empty(entry.value) {
            self.out.problems.push(
                Problem::new(
                    entry.name.at,
                    format!("`{}` has nothing written after it", key.name),
                )
                .label("empty")
                .help(format!(
                    "write a value, as in `{}: {}`; where nobody knows it, {}",
                    key.name,
                    key.example,
                    if may_be_unknown(&key.shape) {
                        format!("write `{}: unknown` or take the key out", key.name)
                    } else {
                        "take the key out".to_owned()
                    }
                )),
            );
            return None;
        }
        let asked = Asked {
            name: key.name,
            example: key.example,
        };
        self.value(entry.value, &key.shape, asked)
    }
}

/// `{size 14 AWG}`, `{length:30 cm}`: a key of the list with its value, for want of a colon or a space one word to YAML. Words
/// that begin like a key and go on are words: `{what: lamps, left and right}`.
fn glued(text: &str, scope: Scope) -> Option<(&'static Key, &str)> {
    let (name, value) = text.split_once([':', ' '])?;
    let value = value.trim_start_matches([':', ' ']);
    let colon = text[name.len()..].starts_with([':']);
    let one = value.starts_with(|c: char| c.is_ascii_digit()) || !value.contains(' ');
    let key = scope.find(name)?;
    (!value.is_empty() && (colon || one)).then_some((key, value))
}

/// One entry of a map.
pub(super) struct Entry {
    /// The key.
    pub name: Spanned<String>,
    /// Its value.
    pub value: Id,
    /// A word between braces without a colon.
    pub lone: bool,
}

/// The part of a place that is on its first line, so that a long entry is not underlined whole.
pub(super) fn first_line(tree: &Tree<'_>, at: Span) -> Span {
    let words = tree.slice(at.start, at.end);
    let line = words.lines().next().unwrap_or("").trim_end();
    Span::new(at.file, at.start, at.start + line.len() as u32)
}

fn lower_first(sentence: &str) -> String {
    let mut chars = sentence.trim_end_matches('.').chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}
