//! Part templates: those of the record, and those of the files that it names.

use std::collections::HashMap;

use super::decode::{Decoder, Out};
use super::keys::{FORMAT, LIBRARY_FILE, Scope};
use super::part::{Template, child};
use super::words;
use super::yaml::{Id, Node, Tree};
use super::{Limits, text};
use crate::source::{FileId, Problem, Sources, Span, Spanned, Text};

const EXAMPLE: &str = "library: {mini-relay: {kind: relay, coil: 90 ohm, contact: 40 A}}";
/// The most files that a record may name.
const MOST: usize = 64;

/// Opens the files that a record names.
pub(super) fn open(
    tree: &Tree<'_>,
    node: Option<Id>,
    fetch: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
    limits: &Limits,
    sources: &mut Sources,
    out: &mut Out,
) -> Vec<(FileId, Text)> {
    let mut texts: Vec<(FileId, Text)> = Vec::new();
    let mut seen: HashMap<String, Span> = HashMap::new();
    for name in node
        .map(|node| file_names(tree, node, out))
        .unwrap_or_default()
    {
        if let Some(first) = seen.insert(name.value.clone(), name.at) {
            out.problems.push(
                Problem::new(
                    name.at,
                    format!("the library `{}` is named twice", words::short(&name.value)),
                )
                .label("again here")
                .also(first, "first here")
                .help("take one of the two out"),
            );
            continue;
        }
        if texts.len() == MOST {
            out.problems.push(
                Problem::new(
                    name.at,
                    format!("a record names at most {MOST} library files"),
                )
                .label("one too many")
                .help("put several libraries into one file"),
            );
            break;
        }
        match fetch(&name.value) {
            Ok(bytes) => {
                let id = FileId(sources.texts().len() as u16);
                if let Some(text) =
                    text::open(&name.value, &bytes, limits, sources, &mut out.problems)
                {
                    texts.push((id, text));
                }
            }
            Err(reason) => out.problems.push(
                Problem::new(
                    name.at,
                    format!(
                        "the library `{}` cannot be read: {reason}",
                        words::short(&name.value)
                    ),
                )
                .label("named here")
                .help("the name is that of a file, seen from the folder of the record"),
            ),
        }
    }
    texts
}

fn file_names(tree: &Tree<'_>, node: Id, out: &mut Out) -> Vec<Spanned<String>> {
    let items = match tree.node(node) {
        Node::Map { .. } => return Vec::new(),
        Node::List(items) => items.clone(),
        _ => vec![node],
    };
    let asked = super::decode::Asked {
        name: "library",
        example: "house-parts.yaml",
    };
    items
        .into_iter()
        .filter_map(|item| Decoder { tree, out }.text(item, asked))
        .collect()
}

/// All templates by name.
pub(super) fn templates(
    trees: &[Tree<'_>],
    node: Option<Id>,
    out: &mut Out,
) -> HashMap<String, Template> {
    let mut all = HashMap::new();
    if let Some(node) = node.filter(|&node| matches!(trees[0].node(node), Node::Map { .. })) {
        gather(&trees[0], 0, node, &mut all, out);
    }
    for (number, tree) in trees.iter().enumerate().skip(1) {
        let root = tree.root();
        if let Some(format) = child(tree, root, "keyoff")
            && tree
                .scalar(format)
                .is_none_or(|(text, _)| text.trim() != FORMAT)
        {
            out.problems.push(
                Problem::new(
                    tree.at(format),
                    format!("this keyoff reads format {FORMAT}"),
                )
                .label("another format")
                .help(format!(
                    "write `keyoff: {FORMAT}`, or use a newer keyoff for it"
                )),
            );
            continue;
        }
        let mut decoder = Decoder { tree, out };
        // Reads the shape of the file; the templates are read when a part uses them.
        decoder.fields(root, Scope::Fixed(LIBRARY_FILE), "a library file", EXAMPLE);
        if let Some(node) = child(tree, root, "library") {
            gather(tree, number, node, &mut all, out);
        }
    }
    all
}

fn gather(
    tree: &Tree<'_>,
    number: usize,
    node: Id,
    all: &mut HashMap<String, Template>,
    out: &mut Out,
) {
    let Some(entries) = (Decoder { tree, out }).entries(node, "`library`", EXAMPLE) else {
        return;
    };
    for entry in entries {
        if !matches!(tree.node(entry.value), Node::Map { .. }) {
            out.problems.push(
                Problem::new(
                    entry.name.at,
                    format!(
                        "template `{}` needs keys with values",
                        words::short(&entry.name.value)
                    ),
                )
                .label("not keys with values")
                .help(format!("write it as in `{EXAMPLE}`")),
            );
            continue;
        }
        if let Some(first) = all.get(&entry.name.value) {
            let first: &Template = first;
            out.problems.push(
                Problem::new(
                    entry.name.at,
                    format!(
                        "there are two templates `{}`",
                        words::short(&entry.name.value)
                    ),
                )
                .label("again here")
                .also(first.name.at, "first here")
                .help("rename one of the two"),
            );
            continue;
        }
        let name = entry.name.value.clone();
        all.insert(
            name,
            Template {
                tree: number,
                node: entry.value,
                name: entry.name,
            },
        );
    }
}

#[cfg(test)]
mod tests {
    use crate::read;
    use crate::source::Problem;

    /// Faults of a record with these files beside it.
    fn faults(library: &str, files: &[(&str, &str)]) -> Vec<Problem> {
        let text = format!(
            "keyoff: 1\nvehicle: {{system: 12 V}}\nlibrary: {library}\nparts:\n  B1: {{kind: battery}}\n"
        );
        let mut fetch = |name: &str| {
            let found = files.iter().find(|(own, _)| *own == name);
            found
                .map(|(_, text)| text.as_bytes().to_vec())
                .ok_or_else(|| "no such file".to_owned())
        };
        let limits = read::Limits::default();
        let read = read::read("t.yaml", text.as_bytes(), &mut fetch, &limits);
        read.map_or_else(|fault| fault.problems, |_| Vec::new())
    }

    const LAMP: &str = "keyoff: 1\nlibrary: {lamp: {kind: load, draw: 2 A}}\n";

    fn messages(problems: &[Problem]) -> Vec<&str> {
        problems.iter().map(|one| one.message.as_str()).collect()
    }

    #[test]
    fn a_file_named_twice_is_taken_once() {
        let told = faults("[a.yaml, a.yaml]", &[("a.yaml", LAMP)]);
        assert_eq!(messages(&told), ["the library `a.yaml` is named twice"]);
    }

    #[test]
    fn one_name_in_two_files_is_two_templates() {
        let told = faults("[a.yaml, b.yaml]", &[("a.yaml", LAMP), ("b.yaml", LAMP)]);
        assert_eq!(messages(&told), ["there are two templates `lamp`"]);
        // The second one is meant, in its own file.
        assert_eq!(told[0].at.file.0, 2);
    }

    #[test]
    fn a_file_of_another_format_or_form_is_not_guessed_at() {
        let other = LAMP.replace("keyoff: 1", "keyoff: 7");
        let told = faults("a.yaml", &[("a.yaml", &other)]);
        assert_eq!(messages(&told), ["this keyoff reads format 1"]);
        let told = faults("a.yaml", &[("a.yaml", "keyoff: 1\nlibrary: [lamp]\n")]);
        assert_eq!(messages(&told), ["`library` needs keys with values"]);
    }

    #[test]
    fn sixty_five_files_are_one_too_many() {
        let names: Vec<String> = (0..65).map(|number| format!("{number}.yaml")).collect();
        let texts: Vec<String> = (0..65)
            .map(|number| LAMP.replace("lamp", &format!("lamp-{number}")))
            .collect();
        let files: Vec<(&str, &str)> = names
            .iter()
            .zip(&texts)
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        let told = faults(&format!("[{}]", names.join(", ")), &files);
        assert_eq!(messages(&told), ["a record names at most 64 library files"]);
        let told = faults(&format!("[{}]", names[..64].join(", ")), &files);
        assert!(told.is_empty(), "{:?}", messages(&told));
    }
}
