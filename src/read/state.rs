//! Situations, readings and accepted findings.

use super::decode::{Decoder, Out, first_line};
use super::document::{Accept, Reading, Situation};
use super::keys::{ACCEPT, READING, SITUATION, Scope};
use super::part::child;
use super::words;
use super::yaml::{Id, Node, Tree};
use crate::source::{Problem, Span};

/// Reads `situations:`.
pub(super) fn situations(tree: &Tree<'_>, node: Id, out: &mut Out) -> Vec<Situation> {
    const EXAMPLE: &str = "chipping at night: {key: run, engine: idle, closed: [S1], for: 5 h}";
    let mut decoder = Decoder { tree, out };
    let Some(entries) = decoder.entries(node, "`situations`", EXAMPLE) else {
        return Vec::new();
    };
    let mut list = Vec::with_capacity(entries.len());
    for entry in entries {
        let shown = words::short(&entry.name.value);
        if matches!(entry.name.value.as_str(), "parked" | "all on") {
            decoder.out.problems.push(
                Problem::new(entry.name.at, format!("the situation `{shown}` is always there and cannot be written again"))
                    .label("taken")
                    .help("give this one another name; how things are found when parked is said by `left` of a switch"),
            );
        }
        let owner = format!("situation `{shown}`");
        if let Some(fields) = decoder.fields(entry.value, Scope::Fixed(SITUATION), &owner, EXAMPLE)
        {
            list.push(Situation {
                name: entry.name,
                fields,
            });
        }
    }
    list
}

/// Reads `readings:`.
pub(super) fn readings(tree: &Tree<'_>, node: Id, out: &mut Out) -> Vec<Reading> {
    const EXAMPLE: &str = "{where: battery negative, current: 182 mA}";
    let mut list = Vec::new();
    for entry in entries(tree, node, "readings", EXAMPLE, out) {
        let mut decoder = Decoder { tree, out };
        let Some(fields) = decoder.fields(entry, Scope::Fixed(READING), "a reading", EXAMPLE)
        else {
            continue;
        };
        for (place, value) in [("across", "drop"), ("at", "voltage")] {
            for (one, other) in [(place, value), (value, place)] {
                if let (Some(field), None) = (fields.field(one), child(tree, entry, other)) {
                    let example = READING
                        .iter()
                        .find(|key| key.name == other)
                        .map_or("", |key| key.example);
                    out.problems.push(
                        Problem::new(
                            field.key.at,
                            format!("`{one}` goes with `{other}`, and there is none"),
                        )
                        .label(format!("no `{other}`"))
                        .help(format!("add `{other}: {example}`")),
                    );
                }
            }
        }
        let told = ["current", "drop", "voltage", "pulled", "refitted", "after"];
        if !told.iter().any(|key| child(tree, entry, key).is_some()) {
            out.problems.push(
                Problem::new(
                    first_line(tree, fields.at),
                    "this reading says neither what the meter showed nor what was done",
                )
                .label("no value")
                .help("add `current: 182 mA`, or take the entry out"),
            );
        }
        list.push(Reading { fields });
    }
    list
}

/// Reads `accept:`.
pub(super) fn accepted(tree: &Tree<'_>, node: Id, out: &mut Out) -> Vec<Accept> {
    const EXAMPLE: &str =
        "{check: ahead-of-ignition, part: CLOCK, because: keeps the radio presets}";
    let mut list = Vec::new();
    for entry in entries(tree, node, "accept", EXAMPLE, out) {
        let mut decoder = Decoder { tree, out };
        let Some(fields) =
            decoder.fields(entry, Scope::Fixed(ACCEPT), "an accepted finding", EXAMPLE)
        else {
            continue;
        };
        if let (Some(part), Some(wire)) = (fields.field("part"), fields.field("wire")) {
            out.problems.push(
                Problem::new(
                    wire.key.at,
                    "an accepted finding is about a part or about a wire, not both",
                )
                .label("and here")
                .also(part.key.at, "here")
                .help("make two entries of it"),
            );
        }
        let (Some(check), Some(because)) = (fields.text("check"), fields.text("because")) else {
            continue;
        };
        list.push(Accept {
            check: check.clone(),
            subject: fields.text("part").or_else(|| fields.text("wire")).cloned(),
            because: because.clone(),
            at: first_line(tree, fields.at),
        });
    }
    list
}

fn entries(tree: &Tree<'_>, node: Id, key: &str, example: &str, out: &mut Out) -> Vec<Id> {
    if let Node::List(entries) = tree.node(node) {
        return entries.clone();
    }
    if !tree.is_empty(node) {
        out.problems.push(
            Problem::new(
                first_line(tree, tree.at(node)),
                format!("`{key}` is a list of entries"),
            )
            .label("not a list")
            .help(format!(
                "start each on a line of its own with a dash: `- {example}`"
            )),
        );
    }
    Vec::new()
}

/// A place of no length at the start of a text.
pub(super) fn start(tree: &Tree<'_>) -> Span {
    Span::new(tree.file(), 0, 0)
}
