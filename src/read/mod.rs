//! From text to a [`document::Document`], or to every problem in it.

mod decode;
pub mod document;
pub mod edit;
pub mod format;
pub mod keys;
mod library;
mod meant;
mod names;
mod nature;
mod part;
mod refer;
mod rules;
pub mod schema;
mod state;
mod syntax;
mod text;
mod value;
mod wire;
mod wording;
mod words;
mod yaml;

pub use names::{Names, Way};
pub use nature::{Nature, nature};

use self::decode::{Decoder, Out};
use self::document::{Document, Fields};
use self::keys::{FORMAT, RECORD, Scope, VEHICLE};
use self::part::Parts;
use self::yaml::{Id, Node, Tree};
use crate::source::{FileId, Problem, Problems, Sources, Span};

/// How large a record may be.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Limits {
    /// Bytes of one text.
    pub max_bytes: usize,
    /// Values of one text, keys and words counted each.
    pub max_nodes: usize,
    /// How deep lists and maps may lie in one another.
    pub max_depth: usize,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            max_bytes: 16 << 20,
            max_nodes: 6_000_000,
            max_depth: 64,
        }
    }
}

/// A record that cannot be used, with every reason.
#[derive(Clone, Debug)]
pub struct Unreadable {
    /// The texts that the places are in.
    pub sources: Sources,
    /// What is wrong, in the order of the text.
    pub problems: Vec<Problem>,
}

/// Reads a record.
///
/// `name` is how messages call it, `bytes` its content. `library` is asked for the content of each file that `library:` names
/// and answers with it, or with the reason why it cannot be had.
///
/// # Errors
/// Every problem in the record and in the libraries that it names, sorted by place.
pub fn read(
    name: &str,
    bytes: &[u8],
    library: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
    limits: &Limits,
) -> Result<Document, Unreadable> {
    let mut sources = Sources::default();
    // A value takes two bytes at least: a file that does not repeat itself stays far below this.
    let mut out = Out::new(200_000 + 2 * bytes.len());
    let document =
        text::open(name, bytes, limits, &mut sources, &mut out.problems).and_then(|text| {
            let tree = yaml::parse(text.text(), FileId(0), limits, &mut out.problems);
            let tree = record(tree, text.text(), &mut out.problems)?;
            let sections = Sections::find(&tree, &mut out)?;
            let named = library::open(
                &tree,
                sections.library,
                library,
                limits,
                &mut sources,
                &mut out,
            );
            let mut trees = vec![tree];
            for (id, text) in &named {
                trees.extend(yaml::parse(text.text(), *id, limits, &mut out.problems));
            }
            Some(build(&trees, &sections, &mut out))
        });
    match document {
        Some(mut document) if out.problems.is_empty() => {
            document.sources = sources;
            document.remarks = out.remarks;
            Ok(document)
        }
        _ => Err(Unreadable {
            sources,
            problems: out.problems.into_sorted(),
        }),
    }
}

/// Sees that a text is a record at all.
fn record<'s>(tree: Option<Tree<'s>>, text: &str, problems: &mut Problems) -> Option<Tree<'s>> {
    let Some(tree) = tree else {
        // Nothing but remarks and white space.
        if problems.is_empty() {
            problems.push(
                Problem::new(Span::new(FileId(0), 0, 0), "the file is empty")
                    .label("nothing in it")
                    .help("`keyoff new NAME` writes a record to start from"),
            );
        }
        return None;
    };
    let Node::Map { entries, .. } = tree.node(tree.root()) else {
        let at = if tree.is_empty(tree.root()) {
            Span::new(FileId(0), 0, 0)
        } else {
            decode::first_line(&tree, tree.at(tree.root()))
        };
        problems.push(not_a_record(at));
        return None;
    };
    let known = |id: &Id| {
        let name = tree.scalar(*id).map(|(name, _)| name);
        name.is_some_and(|name| RECORD.iter().any(|key| key.name == name))
    };
    if !entries.iter().any(|(key, _)| known(key)) {
        let at = entries
            .first()
            .map_or(Span::new(FileId(0), 0, 0), |(key, _)| tree.at(*key));
        let at = if text.is_empty() { Span::default() } else { at };
        problems.push(not_a_record(at));
        return None;
    }
    Some(tree)
}

fn not_a_record(at: Span) -> Problem {
    Problem::new(at, "this is not a keyoff record")
        .label("none of a record's keys in it")
        .help("a record starts with `keyoff: 1` and has its parts under `parts:`; `keyoff new NAME` writes one to start from")
}

/// The sections of a record, as nodes of its tree.
#[derive(Default)]
struct Sections {
    vehicle: Option<Id>,
    library: Option<Id>,
    parts: Option<Id>,
    wires: Option<Id>,
    situations: Option<Id>,
    readings: Option<Id>,
    rules: Option<Id>,
    accept: Option<Id>,
}

impl Sections {
    /// Finds them; nothing where the record is of another format and nothing else should be said.
    fn find(tree: &Tree<'_>, out: &mut Out) -> Option<Self> {
        let mut sections = Self::default();
        let mut decoder = Decoder { tree, out };
        let entries = decoder.entries(tree.root(), "the record", "keyoff: 1")?;
        let start = entries
            .first()
            .map_or(state::start(tree), |entry| entry.name.at);
        let has = |name: &str| entries.iter().any(|entry| entry.name.value == name);
        if !has("keyoff") {
            out.problems.push(
                Problem::new(start, "the record does not say which format it is in")
                    .label("no `keyoff` in the file")
                    .help(format!("put `keyoff: {FORMAT}` on the first line")),
            );
        }
        if !has("parts") {
            out.problems.push(
                Problem::new(start, "the record has no parts")
                    .label("no `parts` in this file")
                    .help("write the parts by name: `parts: {F1: {kind: fuse, rating: 30 A}}`"),
            );
        }
        for entry in &entries {
            let slot = match entry.name.value.as_str() {
                "keyoff" => {
                    if !format_is_known(tree, entry, out) {
                        return None;
                    }
                    continue;
                }
                "vehicle" => &mut sections.vehicle,
                "library" => &mut sections.library,
                "parts" => &mut sections.parts,
                "wires" => &mut sections.wires,
                "situations" => &mut sections.situations,
                "readings" => &mut sections.readings,
                "rules" => &mut sections.rules,
                "accept" => &mut sections.accept,
                other => {
                    let hint = out.hint();
                    let (message, help) =
                        wording::unknown_key(other, Scope::Fixed(RECORD), "the record", hint);
                    out.problems.push(
                        Problem::new(entry.name.at, message)
                            .label("not a key here")
                            .help(help),
                    );
                    continue;
                }
            };
            if tree.is_empty(entry.value) {
                out.problems.push(
                    Problem::new(
                        entry.name.at,
                        format!("`{}` has nothing written after it", entry.name.value),
                    )
                    .label("empty")
                    .help("fill it in, indented below it, or take the line out"),
                );
            } else {
                *slot = Some(entry.value);
            }
        }
        Some(sections)
    }
}

fn format_is_known(tree: &Tree<'_>, entry: &decode::Entry, out: &mut Out) -> bool {
    let (text, at) = match tree.scalar(entry.value) {
        Some((text, at)) if !tree.is_empty(entry.value) => (text.trim(), at),
        _ => ("", entry.name.at),
    };
    if text == FORMAT {
        return true;
    }
    let later = text.parse::<u32>().is_ok_and(|format| format > 1);
    out.problems.push(if later {
        Problem::new(
            at,
            format!(
                "the record is written in format {text}, and this keyoff reads format {FORMAT}"
            ),
        )
        .label("from a later version")
        .help("use a newer keyoff for it")
    } else {
        Problem::new(
            at,
            format!("`keyoff` is the number of the format: {FORMAT}"),
        )
        .label("not a format")
        .help(format!("write `keyoff: {FORMAT}`"))
    });
    !later
}

fn build(trees: &[Tree<'_>], sections: &Sections, out: &mut Out) -> Document {
    let tree = &trees[0];
    let templates = library::templates(trees, sections.library, out);
    let mut document = Document {
        sources: Sources::default(),
        vehicle: Fields::default(),
        parts: Vec::new(),
        wires: Vec::new(),
        situations: Vec::new(),
        readings: Vec::new(),
        rules: Vec::new(),
        accept: Vec::new(),
        remarks: Vec::new(),
        names: Names::default(),
    };
    if let Some(node) = sections.vehicle {
        let example = "vehicle: {name: Truck 7, system: 12 V}";
        let fields =
            Decoder { tree, out }.fields(node, Scope::Fixed(VEHICLE), "`vehicle`", example);
        document.vehicle = fields.unwrap_or_default();
    }
    if let Some(node) = sections.parts {
        let mut parts = Parts {
            trees,
            templates: &templates,
        };
        document.parts = parts.read(node, &mut document.names, out);
    }
    if let Some(node) = sections.wires {
        document.wires = wire::read(tree, node, &document.parts, &document.names, out);
    }
    if let Some(node) = sections.situations {
        document.situations = state::situations(tree, node, out);
    }
    if let Some(node) = sections.readings {
        document.readings = state::readings(tree, node, out);
    }
    if let Some(node) = sections.rules {
        document.rules = rules::read(tree, node, out);
    }
    if let Some(node) = sections.accept {
        document.accept = state::accepted(tree, node, out);
    }
    refer::check(&document, out);
    document
}
