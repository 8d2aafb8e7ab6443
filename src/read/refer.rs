//! What one part of the record says about another: names of parts, terminals, switches, positions and modes.

use std::collections::HashSet;

use super::decode::Out;
use super::document::{Document, Fields, Kind, Part, PartIndex, Value};
use super::keys::{self, Key, Scope, Shape};
use super::names::{Names, Way};
use super::wire;
use super::words;
use crate::source::{Problem, Spanned};

/// Checks every name in the record that stands for something else in it.
pub(super) fn check(document: &Document, out: &mut Out) {
    let wires = document.wires.iter().map(|wire| wire.id.as_str()).collect();
    let detachable = document
        .parts
        .iter()
        .filter_map(|part| part.fields.text("detach"))
        .map(|text| text.value.as_str())
        .collect();
    let mut checker = Checker {
        parts: &document.parts,
        names: &document.names,
        wires,
        detachable,
        out,
    };
    checker.fields(&document.vehicle, Scope::Fixed(keys::VEHICLE), None);
    for part in &document.parts {
        checker.fields(&part.fields, Scope::Part(part.kind.value), Some(part));
        if part.kind.value == Kind::Switch {
            checker.switch_left(part);
        }
    }
    for situation in &document.situations {
        checker.fields(&situation.fields, Scope::Fixed(keys::SITUATION), None);
        checker.situation(&situation.fields);
        for phase in situation.fields.list("phases") {
            if let Value::Map(phase) = phase {
                checker.situation(phase);
            }
        }
    }
    let mut pulled: HashSet<String> = HashSet::new();
    for reading in &document.readings {
        checker.fields(&reading.fields, Scope::Fixed(keys::READING), None);
        checker.pulls(&reading.fields, &mut pulled);
    }
    for accept in &document.accept {
        if let Some(subject) = &accept.subject {
            checker.subject(subject);
        }
    }
}

struct Checker<'d, 'o> {
    parts: &'d [Part],
    names: &'d Names,
    wires: HashSet<&'d str>,
    detachable: HashSet<&'d str>,
    out: &'o mut Out,
}

impl<'d> Checker<'d, '_> {
    fn part(&self, index: PartIndex) -> Option<&'d Part> {
        self.parts.get(index.0 as usize)
    }

    fn fields(&mut self, fields: &Fields, scope: Scope, owner: Option<&Part>) {
        for field in &fields.list {
            if let Some(key) = scope.find(&field.key.value) {
                self.value(&field.value, &key.shape, key, owner);
            }
        }
    }

    fn value(&mut self, value: &Value, shape: &Shape, key: &Key, owner: Option<&Part>) {
        match (value, shape) {
            (Value::Text(text), Shape::Part(kinds)) => {
                self.named_part(text, kinds, key.name);
            }
            (Value::Text(text), Shape::Switch) => self.switch(text, key.name),
            (Value::Text(text), Shape::Point) => self.point(text),
            (Value::Text(text), Shape::Cable) => self.cable(text),
            (Value::Text(text), Shape::Own) => self.own(text, owner),
            (Value::List(items, _), Shape::List(item) | Shape::OneOrList(item)) => {
                for one in items {
                    self.value(one, item, key, owner);
                }
            }
            (one, Shape::OneOrList(item)) => self.value(one, item, key, owner),
            (Value::Map(map), Shape::Map(keys)) => self.fields(map, Scope::Fixed(keys), owner),
            (Value::Map(map), Shape::Named(item)) => {
                for field in &map.list {
                    self.value(&field.value, item, key, owner);
                }
            }
            (Value::Map(map), Shape::PerPart(kinds, _)) => self.per_part(map, kinds, key.name),
            (
                Value::Map(_),
                Shape::Form {
                    map: Some(shape), ..
                },
            )
            | (
                Value::List(..),
                Shape::Form {
                    list: Some(shape), ..
                },
            )
            | (
                Value::Text(_),
                Shape::Form {
                    scalar: Some(shape),
                    ..
                },
            ) => {
                self.value(value, shape, key, owner);
            }
            _ => {}
        }
    }

    /// A part of one of some kinds.
    fn named_part(
        &mut self,
        text: &Spanned<String>,
        kinds: &[Kind],
        key: &str,
    ) -> Option<&'d Part> {
        if self.names.is_broken(&text.value) {
            return None;
        }
        let Some(part) = self
            .names
            .part(&text.value)
            .and_then(|index| self.part(index))
        else {
            let problem = wire::no_part(text, self.parts, self.out, "");
            self.out.problems.push(problem);
            return None;
        };
        if kinds.is_empty() || kinds.contains(&part.kind.value) {
            return Some(part);
        }
        let wanted = kinds
            .iter()
            .map(|kind| words::with_article(kind.text()))
            .collect();
        let found = words::with_article(part.kind.value.text());
        self.out.problems.push(
            Problem::new(
                text.at,
                format!(
                    "`{}` is {found}; `{key}` takes {}",
                    text.value,
                    words::joined(wanted, "or")
                ),
            )
            .label(found)
            .help("name another part, or look whether its kind is right"),
        );
        None
    }

    /// Something that a person can open and close.
    fn switch(&mut self, text: &Spanned<String>, key: &str) {
        if let Some(index) = self.names.part(&text.value) {
            let Some(part) = self.part(index) else {
                return;
            };
            let driver = part.fields.flag("driver-switched");
            let (message, help) = match part.kind.value {
                Kind::Switch if part.fields.get("positions").is_some() => (
                    format!("`{}` has positions with names", text.value),
                    format!(
                        "say which: `positions: {{{}: {}}}`",
                        text.value,
                        first_position(part)
                    ),
                ),
                Kind::Switch | Kind::Disconnect => return,
                Kind::Feed if driver => return,
                Kind::Feed => (
                    format!("`{}` is a feed that nobody switches by hand", text.value),
                    "if the driver switches it, add `driver-switched: true` to it".to_owned(),
                ),
                Kind::Relay | Kind::Cutoff | Kind::Delay | Kind::Isolator => (
                    format!(
                        "`{}` is {}: whether it is closed follows from the circuit",
                        text.value,
                        words::with_article(part.kind.value.text())
                    ),
                    "name the switch that works it".to_owned(),
                ),
                kind => (
                    format!(
                        "`{}` is {}, not a switch",
                        text.value,
                        words::with_article(kind.text())
                    ),
                    format!("`{key}` takes switches and disconnects"),
                ),
            };
            self.out.problems.push(
                Problem::new(text.at, message)
                    .label("not set by hand")
                    .help(help),
            );
            return;
        }
        if let Some((name, output)) = text.value.split_once('.')
            && let Some(part) = self.names.part(name).and_then(|index| self.part(index))
        {
            let outputs = part.fields.map("outputs");
            match outputs.and_then(|outputs| outputs.map(output)) {
                Some(fields) if fields.flag("driver-switched") => {}
                Some(_) => self.out.problems.push(
                    Problem::new(
                        text.at,
                        format!("`{}` is an output that nobody switches by hand", text.value),
                    )
                    .label("not set by hand")
                    .help("if the driver switches it, add `driver-switched: true` to the output"),
                ),
                None => {
                    let help = match outputs {
                        Some(outputs) => has(outputs, output),
                        None => format!(
                            "`{key}` takes switches, disconnects and driver-switched outputs"
                        ),
                    };
                    self.out.problems.push(
                        Problem::new(
                            text.at,
                            format!("`{}` has no output `{}`", name, words::short(output)),
                        )
                        .label("not a switch")
                        .help(help),
                    );
                }
            }
            return;
        }
        self.named_part(text, &[], key);
    }

    fn point(&mut self, text: &Spanned<String>) {
        if let Err(miss) = self.names.resolve(self.parts, &text.value, Way::From) {
            let problem = wire::missed(&miss, text, self.parts, self.out);
            self.out.problems.extend(problem);
        }
    }

    /// `battery negative`, `B1 positive`, a wire's id, or a terminal.
    fn cable(&mut self, text: &Spanned<String>) {
        let value = text.value.as_str();
        let post = value
            .strip_suffix("negative")
            .or_else(|| value.strip_suffix("positive"))
            .map(str::trim);
        let battery = |name: &str| {
            let part = self.names.part(name).and_then(|index| self.part(index));
            part.is_some_and(|part| part.kind.value == Kind::Battery)
        };
        let known = post.is_some_and(|name| name == "battery" || battery(name))
            || self.wires.contains(value)
            || self.names.resolve(self.parts, value, Way::From).is_ok();
        if !known && !self.names.is_broken(value) {
            let meant = words::nearest(value, ["battery negative", "battery positive"]);
            self.out.problems.push(
                Problem::new(
                    text.at,
                    format!(
                        "`{}` is neither a battery cable nor a wire of the record",
                        words::short(value)
                    ),
                )
                .label("where is that?")
                .help(match meant {
                    Some(meant) => format!("did you mean `{meant}`?"),
                    None => "write `battery negative`, `B2 positive`, or a wire's id such as `w3`"
                        .to_owned(),
                }),
            );
        }
    }

    fn own(&mut self, text: &Spanned<String>, owner: Option<&Part>) {
        let Some(part) = owner else {
            return;
        };
        let name = text
            .value
            .strip_prefix(part.name.value.as_str())
            .and_then(|rest| rest.strip_prefix('.'))
            .unwrap_or(&text.value);
        if !part.terminals.iter().any(|terminal| terminal == name) {
            let list = words::any_of(part.terminals.iter().map(String::as_str));
            self.out.problems.push(
                Problem::new(
                    text.at,
                    format!(
                        "`{}` has no terminal `{}`",
                        part.name.value,
                        words::short(&text.value)
                    ),
                )
                .label("no such terminal")
                .help(format!("it is one of {list}")),
            );
        }
    }

    fn per_part(&mut self, map: &Fields, kinds: &[Kind], key: &str) {
        for field in &map.list {
            let Some(part) = self.named_part(&field.key, kinds, key) else {
                continue;
            };
            let Value::Text(word) = &field.value else {
                continue;
            };
            match key {
                "positions" => self.position(part, word),
                "modes" => self.mode(part, word),
                _ => {}
            }
        }
    }

    fn position(&mut self, part: &Part, word: &Spanned<String>) {
        let name = &part.name.value;
        let Some(positions) = part.fields.map("positions") else {
            if !matches!(word.value.as_str(), "open" | "closed") {
                self.out.problems.push(
                    Problem::new(word.at, format!("`{name}` has no positions with names"))
                        .label("it is open or closed")
                        .help(format!(
                            "write `closed: [{name}]`, or give the switch `positions`"
                        )),
                );
            }
            return;
        };
        self.one_of(word, positions, &format!("switch `{name}` has no position"));
    }

    fn mode(&mut self, part: &Part, word: &Spanned<String>) {
        let mut all = Fields::default();
        let supplies = part.fields.map("supplies").map_or(&[][..], |map| &map.list);
        let each = supplies.iter().filter_map(|supply| match &supply.value {
            Value::Map(map) => map.map("modes"),
            _ => None,
        });
        for modes in part.fields.map("modes").into_iter().chain(each) {
            all.list.extend(modes.list.iter().cloned());
        }
        if word.value == "on" || word.value == "off" {
            return;
        }
        self.one_of(word, &all, &format!("`{}` has no mode", part.name.value));
    }

    fn one_of(&mut self, word: &Spanned<String>, all: &Fields, what: &str) {
        if all.get(&word.value).is_some() {
            return;
        }
        self.out.problems.push(
            Problem::new(word.at, format!("{what} `{}`", words::short(&word.value)))
                .label("not one of its own")
                .help(has(all, &word.value)),
        );
    }

    fn switch_left(&mut self, part: &Part) {
        let Some(left) = part.fields.text("left") else {
            return;
        };
        let name = &part.name.value;
        match part.fields.map("positions") {
            Some(positions) => {
                self.one_of(left, positions, &format!("switch `{name}` has no position"))
            }
            None if !matches!(left.value.as_str(), "open" | "closed") => self.out.problems.push(
                Problem::new(
                    left.at,
                    format!(
                        "`{name}` can be left open or closed, not `{}`",
                        words::short(&left.value)
                    ),
                )
                .label("neither open nor closed")
                .help("write `left: open` or `left: closed`; named positions stand in `positions`"),
            ),
            None => {}
        }
    }

    fn situation(&mut self, fields: &Fields) {
        for one in fields.list("closed") {
            for other in fields.list("opened") {
                if let (Value::Text(closed), Value::Text(opened)) = (one, other)
                    && closed.value == opened.value
                {
                    self.out.problems.push(
                        Problem::new(
                            opened.at,
                            format!("`{}` is both closed and opened here", opened.value),
                        )
                        .label("opened here")
                        .also(closed.at, "closed here")
                        .help("keep one of the two"),
                    );
                }
            }
        }
        for group in fields.list("detached") {
            if let Value::Text(text) = group
                && !self.detachable.contains(text.value.as_str())
            {
                let mut known: Vec<&str> = self.detachable.iter().copied().collect();
                known.sort_unstable();
                let help = if known.is_empty() {
                    format!(
                        "give the connectors that part there `detach: {}`",
                        text.value
                    )
                } else {
                    format!("the record has {}", words::all_of(known))
                };
                self.out.problems.push(
                    Problem::new(
                        text.at,
                        format!(
                            "no connector is detached under the name `{}`",
                            words::short(&text.value)
                        ),
                    )
                    .label("no such group")
                    .help(help),
                );
            }
        }
    }

    fn pulls(&mut self, fields: &Fields, pulled: &mut HashSet<String>) {
        for one in fields.list("refitted") {
            if let Value::Text(text) = one
                && self.names.part(&text.value).is_some()
                && !pulled.remove(&text.value)
            {
                self.out.problems.push(
                    Problem::new(text.at, format!("`{}` is refitted, but no reading before this one pulled it", text.value))
                        .label("still in")
                        .help("readings stand in the order they were taken: look whether one is missing or out of place"),
                );
            }
        }
        for one in fields.list("pulled") {
            if let Value::Text(text) = one {
                pulled.insert(text.value.clone());
            }
        }
    }

    fn subject(&mut self, subject: &Spanned<String>) {
        let name = subject.value.as_str();
        let known = self.names.part(name).is_some()
            || self.names.is_broken(name)
            || self.wires.contains(name)
            || self.names.resolve(self.parts, name, Way::From).is_ok();
        if !known {
            let meant = if self.out.hint() {
                let all = self.parts.iter().map(|part| part.name.value.as_str());
                words::nearest(name, all)
            } else {
                None
            };
            self.out.problems.push(
                Problem::new(subject.at, format!("there is no part or wire `{}`", words::short(name)))
                    .label("not in the record")
                    .help(match meant {
                        Some(meant) => format!("did you mean `{meant}`?"),
                        None => "name the part or the wire that the finding is about, as the finding gives it".to_owned(),
                    }),
            );
        }
    }
}

fn first_position(part: &Part) -> &str {
    part.fields
        .map("positions")
        .and_then(|positions| positions.list.first())
        .map_or("…", |field| field.key.value.as_str())
}

/// What there is instead of a name that there is not.
fn has(all: &Fields, wanted: &str) -> String {
    let names = || all.list.iter().map(|field| field.key.value.as_str());
    match words::nearest(wanted, names()) {
        Some(meant) if all.list.len() == 1 => format!("did you mean `{meant}`?"),
        Some(meant) => format!("did you mean `{meant}`? It has {}", words::all_of(names())),
        None if all.list.is_empty() => "give it some first".to_owned(),
        None => format!("it has {}", words::all_of(names())),
    }
}
