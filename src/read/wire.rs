//! Wires: runs to segments, ids, and where their ends land.

use std::collections::HashMap;

use super::decode::{Decoder, Out, first_line};
use super::document::{End, Field, Fields, Kind, Part, PartIndex, Value, Wire};
use super::keys::{Scope, WIRE};
use super::names::{CHASSIS, Miss, Names, Way};
use super::part::child;
use super::words;
use super::yaml::{Id, Node, Tree};
use crate::source::{Problem, Span, Spanned};

const EXAMPLE: &str = "{from: F1, to: WORK, size: 12 AWG, length: 5 m}";

/// Reads all entries under `wires:`.
pub(super) fn read(
    tree: &Tree<'_>,
    node: Id,
    parts: &[Part],
    names: &Names,
    out: &mut Out,
) -> Vec<Wire> {
    let Node::List(entries) = tree.node(node) else {
        if !tree.is_empty(node) {
            out.problems.push(
                Problem::new(
                    first_line(tree, tree.at(node)),
                    "`wires` is a list, one entry for each wire",
                )
                .label("not a list")
                .help(format!(
                    "start each wire on a line of its own with a dash: `- {EXAMPLE}`"
                )),
            );
        }
        return Vec::new();
    };
    let mut reader = Reader {
        parts,
        names,
        wires: Vec::with_capacity(entries.len()),
        ids: Vec::new(),
        segments: 0,
    };
    for (number, &entry) in entries.iter().enumerate() {
        let mut decoder = Decoder { tree, out };
        let owner = "a wire";
        if let Some(fields) = decoder.fields(entry, Scope::Fixed(WIRE), owner, EXAMPLE) {
            let place = first_line(tree, fields.at);
            let written = |key: &str| child(tree, entry, key).is_some();
            reader.entry(fields, &written, place, number as u32, out);
        }
    }
    reader.check_ids(out);
    reader.wires
}

struct Reader<'p> {
    parts: &'p [Part],
    names: &'p Names,
    wires: Vec<Wire>,
    /// Ids as written, with the wire that each belongs to; of a run, with its number in it.
    ids: Vec<(String, Span)>,
    /// Segments so far, those with a fault included, so that `w7` stays the seventh.
    segments: u32,
}

impl Reader<'_> {
    fn entry(
        &mut self,
        mut fields: Fields,
        written: &dyn Fn(&str) -> bool,
        place: Span,
        entry: u32,
        out: &mut Out,
    ) {
        let id = take_text(&mut fields, "id");
        let stops = match fields.field("run").cloned() {
            Some(field) => self.run(&field, &fields, out),
            None if written("run") => Vec::new(),
            None => ends(&fields, written, place, out),
        };
        let count = stops.len().saturating_sub(1);
        let lengths = segment_lengths(&mut fields, count, out);
        fields
            .list
            .retain(|field| !matches!(field.key.value.as_str(), "run" | "from" | "to"));
        for segment in 0..count {
            self.segments += 1;
            let own = match &id {
                Some(id) if count == 1 => id.value.clone(),
                Some(id) => format!("{}.{}", id.value, segment + 1),
                None => format!("w{}", self.segments),
            };
            self.ids
                .push((own.clone(), id.as_ref().map_or(place, |id| id.at)));
            let from = self.end(&stops[segment], Way::From, out);
            let to = self.end(&stops[segment + 1], Way::To, out);
            let (Some(from), Some(to)) = (from, to) else {
                continue;
            };
            if from.point == to.point || stops[segment].value == stops[segment + 1].value {
                out.problems.push(
                    Problem::new(
                        to.at,
                        format!(
                            "this wire goes from `{}` back to `{}`",
                            stops[segment].value,
                            stops[segment + 1].value
                        ),
                    )
                    .label("ends where it starts")
                    .also(from.at, "starts here")
                    .help("name the two different terminals that it joins"),
                );
                continue;
            }
            let mut fields = fields.clone();
            if let Some(length) = lengths.get(segment).and_then(Option::as_ref) {
                fields.list.push(length.clone());
            }
            self.wires.push(Wire {
                id: own,
                from,
                to,
                fields,
                at: place,
                entry,
            });
        }
    }

    fn run(&self, run: &Field, fields: &Fields, out: &mut Out) -> Vec<Spanned<String>> {
        for key in ["from", "to"] {
            if let Some(field) = fields.field(key) {
                out.problems.push(
                    Problem::new(
                        field.key.at,
                        "a wire has either `run` or `from` and `to`, and this has both",
                    )
                    .label("and here")
                    .also(run.key.at, "here")
                    .help("put all stops into `run`, first and last included"),
                );
            }
        }
        let Value::List(items, at) = &run.value else {
            return Vec::new();
        };
        let stops: Vec<Spanned<String>> = items
            .iter()
            .filter_map(|item| match item {
                Value::Text(text) => Some(text.clone()),
                _ => None,
            })
            .collect();
        if stops.len() < 2 && stops.len() == items.len() {
            out.problems.push(
                Problem::new(*at, "a run needs two stops at least")
                    .label("not a way from one to another")
                    .help("list every stop in order: `run: [B1, F1, K1.30]`"),
            );
        }
        stops
    }

    fn end(&self, text: &Spanned<String>, way: Way, out: &mut Out) -> Option<End> {
        match self.names.resolve(self.parts, &text.value, way) {
            Ok(point) => Some(End { point, at: text.at }),
            Err(miss) => {
                if let Some(problem) = missed(&miss, text, self.parts, out) {
                    out.problems.push(problem);
                }
                None
            }
        }
    }

    fn check_ids(&self, out: &mut Out) {
        let mut seen: HashMap<&str, Span> = HashMap::with_capacity(self.ids.len());
        for (id, at) in &self.ids {
            if let Some(&first) = seen.get(id.as_str()) {
                out.problems.push(
                    Problem::new(*at, format!("two wires are called `{}`", words::short(id)))
                        .label("again here")
                        .also(first, "first here")
                        .help("give each wire an id of its own; a wire without `id` is called w1, w2, … in the order of the record"),
                );
            } else {
                seen.insert(id, *at);
            }
        }
    }
}

fn take_text(fields: &mut Fields, key: &str) -> Option<Spanned<String>> {
    let text = fields.text(key).cloned();
    fields.list.retain(|field| field.key.value != key);
    text
}

fn ends(
    fields: &Fields,
    written: &dyn Fn(&str) -> bool,
    place: Span,
    out: &mut Out,
) -> Vec<Spanned<String>> {
    let (from, to) = (fields.text("from"), fields.text("to"));
    if let (Some(from), Some(to)) = (from, to) {
        return vec![from.clone(), to.clone()];
    }
    let (message, help) = match (written("from"), written("to")) {
        // What has a fault of its own has been complained about.
        (true, true) => return Vec::new(),
        (true, false) => (
            "this wire does not say where it ends",
            "add `to:`; where nobody knows, make it a part: `END1: {kind: stub, end: cut}`",
        ),
        (false, true) => (
            "this wire does not say where it starts",
            "add `from:`; where nobody knows, make it a part: `END1: {kind: stub, end: cut}`",
        ),
        _ => (
            "this wire does not say what it joins",
            "add `from:` and `to:`, or `run:` with every stop",
        ),
    };
    out.problems.push(
        Problem::new(place, message)
            .label("an end is missing")
            .help(help),
    );
    Vec::new()
}

/// The length of each segment, as a field of its own.
fn segment_lengths(fields: &mut Fields, count: usize, out: &mut Out) -> Vec<Option<Field>> {
    let take = |fields: &mut Fields, key: &str| {
        let at = fields
            .list
            .iter()
            .position(|field| field.key.value == key)?;
        Some(fields.list.remove(at))
    };
    let is_run = fields.field("run").is_some();
    let length = take(fields, "length");
    let lengths = take(fields, "lengths");
    if count == 0 {
        return Vec::new();
    }
    if count > 1
        && let Some(length) = &length
    {
        out.problems.push(
            Problem::new(
                length.key.at,
                format!("a run of {count} wires needs a length for each"),
            )
            .label("one length for several wires")
            .help(format!(
                "write `lengths: [{}]`, one for each stretch between two stops",
                vec!["…"; count].join(", ")
            )),
        );
    }
    if count > 1
        && let Some(resistance) = fields.field("resistance")
    {
        out.problems.push(
            Problem::new(
                resistance.key.at,
                format!("one resistance for a run of {count} wires does not say whose it is"),
            )
            .label("whose?")
            .help("write the wires one by one with `from` and `to`"),
        );
    }
    let Some(lengths) = lengths else {
        return vec![length; count.min(1)];
    };
    if !is_run && length.is_none() {
        out.problems.push(
            Problem::new(lengths.key.at, "`lengths` belongs to a `run`")
                .label("one wire has one length")
                .help("write `length: 5 m`"),
        );
    }
    let Value::List(values, at) = lengths.value else {
        return Vec::new();
    };
    // Lengths that were refused are not missing.
    let refused = out
        .problems
        .recent_within(at, count.saturating_add(values.len()));
    if values.len() != count && is_run && !refused {
        out.problems.push(
            Problem::new(
                at,
                format!(
                    "this run has {count} stretches between its stops, and {} lengths",
                    values.len()
                ),
            )
            .label(if values.len() < count {
                "too few"
            } else {
                "too many"
            })
            .help(format!(
                "give {count} lengths, `unknown` for those that nobody has measured"
            )),
        );
        return Vec::new();
    }
    values
        .into_iter()
        .map(|value| {
            let key = Spanned::new("length".to_owned(), lengths.key.at);
            Some(Field { key, value })
        })
        .collect()
}

/// Says why a text names no point.
pub(super) fn missed(
    miss: &Miss,
    text: &Spanned<String>,
    parts: &[Part],
    out: &mut Out,
) -> Option<Problem> {
    let quoted = words::short(&text.value);
    let part = |index: &PartIndex| parts.get(index.0 as usize);
    match miss {
        Miss::Broken => None,
        Miss::OwnLoad => Some(
            Problem::new(
                text.at,
                "no wire lands on `own-load`: it is the vehicle's own wiring",
            )
            .label("not a part")
            .help("use a `feed` for a point where the vehicle's own wiring is tapped"),
        ),
        Miss::NoPart => Some(no_part(text, parts, out, "")),
        Miss::NoTerminal(index, terminal) => {
            let part = part(index)?;
            let kind = words::with_article(part.kind.value.text());
            let name = &part.name.value;
            let terminal = words::short(terminal);
            let list = terminal_list(part);
            let (label, help) = if part.terminals == [""] {
                (
                    String::from("it has only one"),
                    format!("write `{name}` alone"),
                )
            } else {
                match meant_terminal(&terminal, part) {
                    Some(meant) => (
                        format!("no terminal `{terminal}`"),
                        format!("did you mean `{name}.{meant}`? It has {list}"),
                    ),
                    None => (
                        format!("no terminal `{terminal}`"),
                        format!("it has {list}"),
                    ),
                }
            };
            Some(
                Problem::new(
                    text.at,
                    format!("`{name}` is {kind} and has no terminal `{terminal}`"),
                )
                .label(label)
                .help(help),
            )
        }
        Miss::MustName(index) => {
            let part = part(index)?;
            let kind = words::with_article(part.kind.value.text());
            Some(
                Problem::new(text.at, format!("`{quoted}` is {kind}: say which terminal"))
                    .label("on which terminal?")
                    .help(format!("it has {}", terminal_list(part))),
            )
        }
    }
}

/// Says that there is no such part.
pub(super) fn no_part(
    text: &Spanned<String>,
    parts: &[Part],
    out: &mut Out,
    tail: &str,
) -> Problem {
    let quoted = words::short(&text.value);
    let (name, rest) = match text.value.split_once('.') {
        Some((name, rest)) => (name, format!(".{rest}")),
        None => (text.value.as_str(), String::new()),
    };
    let meant = if out.hint() {
        let lower = name.to_lowercase();
        let aliases = ["frame", "body", "gnd", "earth", "mass", "metal", "ground"];
        words::nearest(name, parts.iter().map(|part| part.name.value.as_str()))
            .map(|meant| format!("{meant}{rest}"))
            .or_else(|| {
                aliases
                    .contains(&lower.as_str())
                    .then(|| CHASSIS.to_owned())
            })
            .or_else(|| words::nearest(name, [CHASSIS]).map(str::to_owned))
    } else {
        None
    };
    let help = match meant {
        Some(meant) => format!("did you mean `{meant}`?"),
        None => format!(
            "add it under `parts:`, as in `{}: {{kind: …}}`",
            words::short(name)
        ),
    };
    Problem::new(
        text.at,
        format!(
            "there is no part `{}`{tail}",
            if rest.is_empty() {
                quoted
            } else {
                words::short(name)
            }
        ),
    )
    .label("not under `parts:`")
    .help(help)
}

fn terminal_list(part: &Part) -> String {
    let name = &part.name.value;
    let full: Vec<String> = if part.kind.value == Kind::Connector {
        part.terminals
            .iter()
            .filter_map(|terminal| terminal.strip_suffix(".a"))
            .map(|pin| format!("`{name}.{pin}`"))
            .collect()
    } else {
        part.terminals
            .iter()
            .map(|terminal| format!("`{name}.{terminal}`"))
            .collect()
    };
    words::joined(full, "and")
}

fn meant_terminal<'p>(word: &str, part: &'p Part) -> Option<&'p str> {
    let lower = word.to_lowercase();
    let aliases: &[&str] = match lower.as_str() {
        "pos" | "positive" | "plus" | "b+" | "b" | "power" => &["+"],
        "neg" | "negative" | "minus" | "gnd" | "ground" | "31" => &["-"],
        "input" | "line" | "feed" | "1" => &["in"],
        "output" | "load" | "2" => &["out"],
        "com" | "common" => &["30"],
        "no" => &["87"],
        "nc" => &["87a"],
        "coil+" => &["86", "set"],
        "coil-" => &["85"],
        _ => &[],
    };
    let terminals = part.terminals.iter().map(String::as_str);
    aliases
        .iter()
        .find_map(|alias| terminals.clone().find(|terminal| terminal == alias))
        .or_else(|| words::nearest(word, terminals))
}
