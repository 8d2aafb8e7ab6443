//! Parts, their templates, and their terminals.

use std::collections::HashMap;

use super::decode::{Asked, Decoder, Entry, Out};
use super::document::{Fields, Kind, Part, PartIndex, Value};
use super::keys::Scope;
use super::meant::kind_meant;
use super::names::{CHASSIS, Names, OWN_LOAD};
use super::words;
use super::yaml::{Id, Node, Tree};
use crate::source::{Problem, Span, Spanned};

/// A part template: in which text it stands, and where.
pub(super) struct Template {
    /// Index of its tree.
    pub tree: usize,
    /// Its node.
    pub node: Id,
    /// Its name.
    pub name: Spanned<String>,
}

/// Everything that reading parts needs.
pub(super) struct Parts<'t, 's> {
    /// The trees; the record's first.
    pub trees: &'t [Tree<'s>],
    /// Templates by name.
    pub templates: &'t HashMap<String, Template>,
}

const EXAMPLE: &str = "F1: {kind: fuse, rating: 30 A}";

impl Parts<'_, '_> {
    /// Reads all entries under `parts:`.
    pub fn read(&mut self, node: Id, names: &mut Names, out: &mut Out) -> Vec<Part> {
        let tree = &self.trees[0];
        let mut decoder = Decoder { tree, out };
        let Some(entries) = decoder.entries(node, "`parts`", EXAMPLE) else {
            return Vec::new();
        };
        if entries.is_empty() {
            out.problems.push(
                Problem::new(tree.at(node), "there is no part in the record")
                    .label("nothing to look at")
                    .help(format!("write the parts by name: `{EXAMPLE}`")),
            );
        }
        let mut parts: Vec<Part> = Vec::with_capacity(entries.len());
        for entry in entries {
            let sound = name_is_sound(&entry.name, out);
            let index = PartIndex(parts.len() as u32);
            match self.part(&entry, out) {
                Some(part) if sound => {
                    names.add(&entry.name.value, index, &part.terminals);
                    parts.push(part);
                }
                _ => names.add_broken(&entry.name.value),
            }
        }
        parts
    }

    fn part(&mut self, entry: &Entry, out: &mut Out) -> Option<Part> {
        let tree = &self.trees[0];
        let name = &entry.name;
        let shown = format!("`{}`", words::short(&name.value));
        if let (Some((text, at)), false) = (tree.scalar(entry.value), tree.is_empty(entry.value)) {
            let kind = text.trim();
            let kind = if Kind::ALL.iter().any(|one| one.text() == kind) {
                kind
            } else {
                "fuse"
            };
            out.problems.push(
                Problem::new(
                    at,
                    format!("part {shown} needs keys with values, not words alone"),
                )
                .label("not keys with values")
                .help(format!(
                    "write `{}: {{kind: {kind}, what: …}}`",
                    words::short(&name.value)
                )),
            );
            return None;
        }
        if tree.is_empty(entry.value) {
            out.problems.push(
                Problem::new(
                    name.at,
                    format!("part {shown} has nothing written after it"),
                )
                .label("empty")
                .help(format!(
                    "say at least what it is: `{}: {{kind: …}}`",
                    words::short(&name.value)
                )),
            );
            return None;
        }
        let template = self.template(entry, out);
        let own = child(tree, entry.value, "kind").map(|id| (0, id));
        let inherited = template.and_then(|template| {
            child(&self.trees[template.tree], template.node, "kind").map(|id| (template.tree, id))
        });
        let Some((at_tree, kind_node)) = own.or(inherited) else {
            // What else is wrong with it can not be told while its kind is not known.
            let what = format!("part {shown}");
            let map = Decoder { tree, out }.entries(entry.value, &what, EXAMPLE);
            let lost = template.is_none() && child(tree, entry.value, "use").is_some();
            let merged = child(tree, entry.value, "<<").is_some();
            if map.is_some() && !lost && !merged {
                out.problems.push(
                    Problem::new(name.at, format!("part {shown} does not say what it is"))
                        .label("no `kind` in it")
                        .help(format!(
                            "add `kind:` with one of {}",
                            words::any_of(Kind::ALL.iter().map(|kind| kind.text()))
                        )),
                );
            }
            return None;
        };
        let kind = kind_of(&self.trees[at_tree], kind_node, out)?;
        let owner = format!("{} {shown}", kind.value.text());
        let mut fields =
            Decoder { tree, out }.fields(entry.value, Scope::Part(kind.value), &owner, EXAMPLE)?;
        if let Some(template) = template {
            let inherited = self.inherited(template, kind.value, out);
            for field in inherited.list {
                if fields.get(&field.key.value).is_none() {
                    fields.list.push(field);
                }
            }
        }
        fields.list.retain(|field| field.key.value != "kind");
        let terminals = terminals(kind.value, name, &fields, out);
        Some(Part {
            name: name.clone(),
            kind,
            fields,
            terminals,
        })
    }

    fn template(&self, entry: &Entry, out: &mut Out) -> Option<&'_ Template> {
        let tree = &self.trees[0];
        let node = child(tree, entry.value, "use")?;
        let (text, at) = tree.scalar(node)?;
        let found = self.templates.get(text.trim());
        if found.is_none() {
            let meant = if out.hint() {
                let mut names: Vec<&str> = self.templates.keys().map(String::as_str).collect();
                names.sort_unstable();
                words::nearest(text, names)
            } else {
                None
            };
            let help = match meant {
                Some(meant) => format!("did you mean `{meant}`?"),
                None if self.templates.is_empty() => {
                    "templates stand under `library:`, or in a file that it names; there is none yet".to_owned()
                }
                None => "templates stand under `library:`, or in a file that it names".to_owned(),
            };
            out.problems.push(
                Problem::new(at, format!("there is no template `{}`", words::short(text)))
                    .label("not in the library")
                    .help(help),
            );
        }
        found
    }

    fn inherited(&self, template: &Template, kind: Kind, out: &mut Out) -> Fields {
        let owner = format!("template `{}`", words::short(&template.name.value));
        let tree = &self.trees[template.tree];
        if let Some(node) = child(tree, template.node, "use") {
            out.problems.push(
                Problem::new(tree.at(node), format!("{owner} takes another template"))
                    .label("not possible here")
                    .help("write all its keys out in this one"),
            );
        }
        Decoder { tree, out }
            .fields(template.node, Scope::Part(kind), &owner, EXAMPLE)
            .unwrap_or_default()
    }
}

/// The value of a key, without reading the rest.
pub(super) fn child(tree: &Tree<'_>, node: Id, name: &str) -> Option<Id> {
    let Node::Map { entries, .. } = tree.node(node) else {
        return None;
    };
    entries
        .iter()
        .find(|(key, _)| tree.scalar(*key).is_some_and(|(text, _)| text == name))
        .map(|&(_, value)| value)
}

fn kind_of(tree: &Tree<'_>, node: Id, out: &mut Out) -> Option<Spanned<Kind>> {
    if tree.is_empty(node) {
        out.problems.push(
            Problem::new(tree.at(node), "`kind` has nothing written after it")
                .label("empty")
                .help("say what the part is, as in `kind: fuse`"),
        );
        return None;
    }
    let text = Decoder { tree, out }.text(
        node,
        Asked {
            name: "kind",
            example: "fuse",
        },
    )?;
    if let Some(&kind) = Kind::ALL.iter().find(|kind| kind.text() == text.value) {
        return Some(Spanned::new(kind, text.at));
    }
    let kinds = Kind::ALL.iter().map(|kind| kind.text());
    let list = words::any_of(kinds.clone());
    let meant = out.hint().then(|| kind_meant(&text.value, kinds)).flatten();
    let help = match meant {
        Some(meant) => format!("did you mean `kind: {meant}`?"),
        None => format!("the kinds are {list}"),
    };
    out.problems.push(
        Problem::new(
            text.at,
            format!(
                "there is no kind of part called `{}`",
                words::short(&text.value)
            ),
        )
        .label("no such kind")
        .help(help),
    );
    None
}

fn name_is_sound(name: &Spanned<String>, out: &mut Out) -> bool {
    let shown = words::short(&name.value);
    let (message, help) = match name.value.as_str() {
        CHASSIS => (
            "`chassis` is always there: it is the vehicle's metal".to_owned(),
            "take it out; a bolted ground point is `GND1: {kind: ground}`".to_owned(),
        ),
        OWN_LOAD => (
            "`own-load` is the vehicle's own equipment and not a part of the list".to_owned(),
            "write it under `vehicle:`, as in `own-load: {off: 18 mA, run: 32 A}`".to_owned(),
        ),
        other if other.trim().is_empty() => (
            "a part has no name".to_owned(),
            "give it the name that is on its label, such as `F1`".to_owned(),
        ),
        other if other.contains('.') => (
            format!(
                "`{shown}` cannot be the name of a part: a dot stands before a terminal, as in `K1.30`"
            ),
            format!(
                "write it with a dash: `{}`",
                words::short(&other.replace('.', "-"))
            ),
        ),
        other if other.trim() != other || other.contains(['\n', '\t']) => (
            format!("the name `{shown}` begins, ends or is broken with white space"),
            format!(
                "write `{}`",
                words::short(&other.split_whitespace().collect::<Vec<_>>().join(" "))
            ),
        ),
        _ => return true,
    };
    out.problems.push(
        Problem::new(name.at, message)
            .label("not a name for a part")
            .help(help),
    );
    false
}

/// The terminals of a part, in the order of its kind.
fn terminals(kind: Kind, name: &Spanned<String>, fields: &Fields, out: &mut Out) -> Vec<String> {
    let fixed: &[&str] = match kind {
        Kind::Battery | Kind::Alternator | Kind::Charger => &["+", "-"],
        Kind::Feed => &["out"],
        Kind::KeySwitch => &["30", "15", "15R", "50"],
        Kind::Disconnect | Kind::Fuse | Kind::Breaker | Kind::FusibleLink | Kind::Diode => {
            &["in", "out"]
        }
        Kind::Relay if fields.flag("latching") => &["30", "87", "87a", "set", "reset", "85"],
        Kind::Relay => &["30", "87", "87a", "85", "86"],
        Kind::Delay | Kind::Cutoff | Kind::Converter => &["in", "out", "-"],
        Kind::Isolator => &["a", "b"],
        Kind::Splice | Kind::Stud | Kind::Busbar | Kind::Ground | Kind::Stub => &[""],
        Kind::Load | Kind::Controller | Kind::Switch | Kind::Connector => {
            return named_terminals(kind, name, fields, out);
        }
    };
    fixed.iter().map(|&one| one.to_owned()).collect()
}

fn named_terminals(
    kind: Kind,
    name: &Spanned<String>,
    fields: &Fields,
    out: &mut Out,
) -> Vec<String> {
    let mut list = List {
        names: Vec::new(),
        seen: HashMap::new(),
    };
    match kind {
        Kind::Load => {
            match fields.map("supplies").filter(|map| !map.list.is_empty()) {
                Some(supplies) => {
                    for supply in &supplies.list {
                        list.add(&supply.key, out);
                    }
                }
                None => list.fixed("+", name.at),
            }
            list.fixed("-", name.at);
        }
        Kind::Controller => {
            list.fixed("+", name.at);
            list.fixed("-", name.at);
            for output in fields.map("outputs").map_or(&[][..], |map| &map.list) {
                list.add(&output.key, out);
            }
            for sense in fields.list("senses") {
                if let Value::Text(text) = sense {
                    list.add(text, out);
                }
            }
        }
        Kind::Switch => {
            let Some(positions) = fields.map("positions") else {
                return vec!["in".to_owned(), "out".to_owned()];
            };
            for pair in positions
                .list
                .iter()
                .flat_map(|position| match &position.value {
                    Value::List(pairs, _) => pairs.as_slice(),
                    _ => &[],
                })
            {
                switch_pair(pair, &mut list, out);
            }
            if list.names.is_empty() {
                out.problems.push(
                    Problem::new(positions.at, format!("no position of `{}` joins anything", words::short(&name.value)))
                        .label("no pair of terminals in it")
                        .help("write each position with the pairs that it joins: `positions: {low: [[B, L]], high: [[B, H]]}`"),
                );
            }
        }
        _ => connector_pins(name, fields, &mut list, out),
    }
    if list.names.len() > usize::from(u16::MAX) {
        out.problems.push(
            Problem::new(
                name.at,
                format!(
                    "`{}` has more than 65 000 terminals",
                    words::short(&name.value)
                ),
            )
            .label("too many")
            .help("split it into several parts"),
        );
        list.names.truncate(usize::from(u16::MAX));
    }
    list.names
}

fn switch_pair(pair: &Value, list: &mut List, out: &mut Out) {
    let Value::List(ends, at) = pair else {
        return;
    };
    let ends: Vec<&Spanned<String>> = ends
        .iter()
        .filter_map(|end| match end {
            Value::Text(text) => Some(text),
            _ => None,
        })
        .collect();
    if let [a, b] = ends.as_slice()
        && a.value == b.value
    {
        out.problems.push(
            Problem::new(
                *at,
                format!("this joins `{}` to itself", words::short(&a.value)),
            )
            .label("twice the same terminal")
            .help("write the two terminals that this position joins, as in `[B, L]`"),
        );
    }
    for end in ends {
        if !list.seen.contains_key(&end.value) {
            list.add(end, out);
        }
    }
}

fn connector_pins(name: &Spanned<String>, fields: &Fields, list: &mut List, out: &mut Out) {
    let pins: Vec<&Spanned<String>> = match fields.get("pins") {
        Some(Value::List(pins, _)) => pins
            .iter()
            .filter_map(|pin| match pin {
                Value::Text(text) => Some(text),
                _ => None,
            })
            .collect(),
        Some(Value::Map(pins)) => pins.list.iter().map(|pin| &pin.key).collect(),
        _ => Vec::new(),
    };
    if pins.is_empty() && fields.get("pins").is_none() {
        out.problems.push(
            Problem::new(
                name.at,
                format!(
                    "connector `{}` does not say which pins it has",
                    words::short(&name.value)
                ),
            )
            .label("no `pins` in it")
            .help("list them as they are marked: `pins: [1, 2]`"),
        );
    }
    for pin in pins {
        let before = list.names.len();
        list.add(pin, out);
        if list.names.len() > before {
            list.names.pop();
            list.names.push(format!("{}.a", pin.value));
            list.names.push(format!("{}.b", pin.value));
        }
    }
}

/// Terminal names as they are gathered, each once.
struct List {
    names: Vec<String>,
    seen: HashMap<String, Span>,
}

impl List {
    fn fixed(&mut self, name: &str, at: Span) {
        self.names.push(name.to_owned());
        self.seen.insert(name.to_owned(), at);
    }

    fn add(&mut self, name: &Spanned<String>, out: &mut Out) {
        if let Some(&first) = self.seen.get(&name.value) {
            let mut problem = Problem::new(
                name.at,
                format!("terminal `{}` is there twice", words::short(&name.value)),
            )
            .label("again here")
            .help("give each terminal of a part a name of its own");
            if matches!(name.value.as_str(), "+" | "-") {
                problem = problem.help(format!(
                    "`{}` is always there; give this one another name",
                    name.value
                ));
            } else {
                problem = problem.also(first, "first here");
            }
            out.problems.push(problem);
            return;
        }
        self.seen.insert(name.value.clone(), name.at);
        self.names.push(name.value.clone());
    }
}
