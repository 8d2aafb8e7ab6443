//! From a node of the tree to a value of the shape that its key has.

use super::decode::{Asked, Decoder, first_line};
use super::document::{Dimension, Field, Fields, Quantity, Remark, Value};
use super::keys::{Bound, Listed, Scope, Shape};
use super::meant::choice_meant;
use super::wording;
use super::words;
use super::yaml::{Id, Node};
use crate::quantity::parse::{parse, parse_size};
use crate::source::{Problem, Spanned};

impl Decoder<'_, '_> {
    /// Reads a node as a value of a shape.
    pub fn value(&mut self, id: Id, shape: &'static Shape, asked: Asked<'_>) -> Option<Value> {
        if !self.spend(id) {
            return None;
        }
        if let Some((text, at)) = self.tree.scalar(id)
            && text.trim() == "unknown"
            && may_be_unknown(shape)
        {
            return Some(Value::Unknown(at));
        }
        match shape {
            Shape::Words
            | Shape::Name
            | Shape::Part(_)
            | Shape::Switch
            | Shape::Point
            | Shape::Cable
            | Shape::Own => self.text(id, asked).map(Value::Text),
            Shape::Listed(listed) => self.listed(id, *listed, asked),
            Shape::Flag => self.flag(id, asked),
            Shape::Quantity(wanted, bound) => self.quantity(id, wanted, *bound, asked),
            Shape::Size => self.size(id, asked),
            Shape::Choice(choices) => self.choice(id, choices, asked),
            Shape::ChoiceOr(choices, other) => self.choice_or(id, choices, other, asked),
            Shape::List(item) => self.list(id, item, asked),
            Shape::OneOrList(item) => match self.tree.node(id) {
                Node::List(_) => self.list(id, item, asked),
                _ => self.value(id, item, asked),
            },
            Shape::Tuple(items) => self.tuple(id, items, asked),
            Shape::Map(keys) => {
                let owner = format!("`{}`", asked.name);
                let example = format!("{}: {}", asked.name, asked.example);
                self.fields(id, Scope::Fixed(keys), &owner, &example)
                    .map(Value::Map)
            }
            Shape::Named(item) | Shape::PerPart(_, item) => self.named(id, item, asked),
            Shape::Form { scalar, list, map } => {
                let chosen = match self.tree.node(id) {
                    Node::List(_) => list,
                    Node::Map { .. } => map,
                    _ => scalar,
                };
                match chosen {
                    Some(shape) => self.value(id, shape, asked),
                    None => self.misfit(id, asked, "another form is wanted here"),
                }
            }
            // Read by the sections themselves.
            Shape::Parts | Shape::Templates | Shape::Rules => None,
        }
    }

    /// Counts a value; says once that the file repeats itself beyond all measure.
    fn spend(&mut self, id: Id) -> bool {
        if self.out.budget > 0 {
            self.out.budget -= 1;
            return true;
        }
        if !self.out.spent {
            self.out.spent = true;
            self.out.problems.push(
                Problem::new(self.tree.at(id), "the file repeats its own values too many times")
                    .label("reading stops here")
                    .help("write fewer repetitions with `*`; parts that are alike can share a template: `use:`"),
            );
        }
        false
    }

    fn misfit<T>(&mut self, id: Id, asked: Asked<'_>, why: &str) -> Option<T> {
        let at = first_line(self.tree, self.tree.at(id));
        self.out.problems.push(
            Problem::new(
                at,
                format!("`{}` has a value of the wrong form: {why}", asked.name),
            )
            .label("wrong form")
            .help(format!(
                "write it as in `{}: {}`",
                asked.name, asked.example
            )),
        );
        None
    }

    /// The text of a scalar that is not empty.
    pub fn text(&mut self, id: Id, asked: Asked<'_>) -> Option<Spanned<String>> {
        match self.tree.scalar(id) {
            Some((text, at)) if !self.tree.is_empty(id) => {
                let text = text.trim();
                // Words of several lines are shown on one.
                let text = if text.contains(['\n', '\t']) {
                    text.split_whitespace().collect::<Vec<_>>().join(" ")
                } else {
                    text.to_owned()
                };
                Some(Spanned::new(text, at))
            }
            Some((_, at)) => {
                self.out.problems.push(
                    Problem::new(at, format!("an entry of `{}` is empty", asked.name))
                        .label("empty")
                        .help(format!(
                            "write it as in `{}: {}`",
                            asked.name, asked.example
                        )),
                );
                None
            }
            None => self.misfit(
                id,
                asked,
                "one word or value is wanted, not a list or a map",
            ),
        }
    }

    fn listed(&mut self, id: Id, listed: Listed, asked: Asked<'_>) -> Option<Value> {
        let text = self.text(id, asked)?;
        let names = listed.names();
        if names.contains(&text.value.as_str()) {
            return Some(Value::Text(text));
        }
        let near = words::nearest(&text.value, names.iter().copied());
        let help = match near.or_else(|| {
            names
                .iter()
                .copied()
                .find(|name| name.contains(&text.value))
        }) {
            Some(meant) => {
                format!("did you mean `{meant}`? `keyoff tables typical` lists them all")
            }
            None => "`keyoff tables typical` lists them all".to_owned(),
        };
        self.out.problems.push(
            Problem::new(
                text.at,
                format!(
                    "the table of typical loads has no `{}`",
                    words::short(&text.value)
                ),
            )
            .label("not in the table")
            .help(help),
        );
        None
    }

    fn flag(&mut self, id: Id, asked: Asked<'_>) -> Option<Value> {
        let text = self.text(id, asked)?;
        match text.value.as_str() {
            "true" => return Some(Value::Flag(Spanned::new(true, text.at))),
            "false" => return Some(Value::Flag(Spanned::new(false, text.at))),
            _ => {}
        }
        let help = match text.value.to_lowercase().as_str() {
            "yes" | "on" | "y" | "1" | "true" | "x" => format!("write `{}: true`", asked.name),
            "no" | "off" | "n" | "0" | "false" => {
                format!("write `{}: false`, or leave it out", asked.name)
            }
            _ => format!("write `{}: true`, or leave it out", asked.name),
        };
        self.out.problems.push(
            Problem::new(
                text.at,
                format!(
                    "`{}` is true or false, not `{}`",
                    asked.name,
                    words::short(&text.value)
                ),
            )
            .label("neither true nor false")
            .help(help),
        );
        None
    }

    fn quantity(
        &mut self,
        id: Id,
        wanted: &'static [Dimension],
        bound: Bound,
        asked: Asked<'_>,
    ) -> Option<Value> {
        let (text, at) = match self.tree.scalar(id) {
            Some((text, at)) if !self.tree.is_empty(id) => (text, at),
            Some(_) => {
                self.text(id, asked)?;
                return None;
            }
            None => return self.misfit(id, asked, "one value with a unit is wanted"),
        };
        let parsed = match parse(text, wanted) {
            Ok(parsed) => parsed,
            Err(refusal) => {
                let wording =
                    wording::refusal(&refusal, text.trim(), asked.name, wanted, asked.example);
                self.out.worded(at, wording);
                return None;
            }
        };
        let fits = match bound {
            Bound::Any => true,
            Bound::NotNegative => parsed.low >= 0.0,
            // A range may start at nothing: 0..20 mA.
            Bound::Positive => parsed.low >= 0.0 && parsed.high > 0.0,
            Bound::Share => parsed.low >= 0.0 && parsed.high <= 1.0,
            Bound::Whole => {
                parsed.low >= 1.0
                    && parsed.low.fract() == 0.0
                    && parsed.low == parsed.high
                    && parsed.low <= 10_000.0
            }
        };
        if !fits {
            let wording = wording::out_of_bounds(asked.name, text.trim(), parsed.low, bound);
            self.out.worded(at, wording);
            return None;
        }
        Some(Value::Quantity(Quantity {
            dimension: parsed.dimension,
            low: parsed.low,
            high: parsed.high,
            origin: parsed.origin,
            at,
            text: text.trim().to_owned(),
            lasts: parsed.lasts,
        }))
    }

    fn size(&mut self, id: Id, asked: Asked<'_>) -> Option<Value> {
        let text = self.text(id, asked)?;
        match parse_size(&text.value) {
            Ok(parsed) => {
                if parsed.ambiguous {
                    self.out.remarks.push(Remark {
                        topic: "size-ambiguous",
                        at: text.at,
                        message: format!("`{}` is read as {}", text.value, parsed.size),
                    });
                }
                Some(Value::Size(Spanned::new(parsed.size, text.at)))
            }
            Err(refusal) => {
                let wording = wording::size_refusal(&refusal, &text.value, asked.name);
                self.out.worded(text.at, wording);
                None
            }
        }
    }

    fn choice(&mut self, id: Id, choices: &[&'static str], asked: Asked<'_>) -> Option<Value> {
        self.one_of(id, choices, "", asked)
    }

    fn one_of(
        &mut self,
        id: Id,
        choices: &[&'static str],
        or: &str,
        asked: Asked<'_>,
    ) -> Option<Value> {
        let text = self.text(id, asked)?;
        if choices.contains(&text.value.as_str()) {
            return Some(Value::Text(text));
        }
        self.out.problems.push(
            Problem::new(
                text.at,
                format!("`{}` cannot be `{}`", asked.name, words::short(&text.value)),
            )
            .label("not one of its words")
            .help(format!("{}{or}", one_of(&text.value, choices))),
        );
        None
    }

    fn choice_or(
        &mut self,
        id: Id,
        choices: &[&'static str],
        other: &'static Shape,
        asked: Asked<'_>,
    ) -> Option<Value> {
        let number = self
            .tree
            .scalar(id)
            .is_some_and(|(text, _)| text.contains(|c: char| c.is_ascii_digit()));
        let example = match other {
            Shape::Quantity([Dimension::Temperature], _) => "105 C",
            Shape::Quantity([Dimension::Speed], _) => "900 rpm",
            _ => asked.example,
        };
        if number {
            return self.value(id, other, Asked { example, ..asked });
        }
        self.one_of(
            id,
            choices,
            &format!("; or write a number, as in `{example}`"),
            asked,
        )
    }

    fn list(&mut self, id: Id, item: &'static Shape, asked: Asked<'_>) -> Option<Value> {
        let tree = self.tree;
        let Node::List(items) = tree.node(id) else {
            return self.misfit(id, asked, "a list between `[` and `]` is wanted");
        };
        if let Shape::Map(keys) = item {
            let owner = format!("an entry of `{}`", asked.name);
            let maps = items
                .iter()
                .filter_map(|&one| self.fields(one, Scope::Fixed(keys), &owner, asked.example));
            return Some(Value::List(maps.map(Value::Map).collect(), tree.at(id)));
        }
        let values = items
            .iter()
            .take(self.out.budget + 1)
            .filter_map(|&one| self.value(one, item, asked))
            .collect();
        Some(Value::List(values, tree.at(id)))
    }

    fn tuple(&mut self, id: Id, items: &'static [Shape], asked: Asked<'_>) -> Option<Value> {
        let tree = self.tree;
        match tree.node(id) {
            Node::List(found) if found.len() == items.len() => {
                let values: Option<Vec<Value>> = found
                    .iter()
                    .zip(items)
                    .map(|(&one, shape)| self.value(one, shape, asked))
                    .collect();
                Some(Value::List(values?, tree.at(id)))
            }
            _ => self.misfit(
                id,
                asked,
                &format!("lists of {} values each are wanted", items.len()),
            ),
        }
    }

    fn named(&mut self, id: Id, item: &'static Shape, asked: Asked<'_>) -> Option<Value> {
        let owner = format!("`{}`", asked.name);
        let example = format!("{}: {}", asked.name, asked.example);
        let entries = self.entries(id, &owner, &example)?;
        let mut fields = Fields {
            list: Vec::with_capacity(entries.len()),
            at: self.tree.at(id),
        };
        for entry in entries {
            if self.tree.is_empty(entry.value) {
                let name = words::short(&entry.name.value);
                self.out.problems.push(
                    Problem::new(
                        entry.name.at,
                        format!("`{name}` in {owner} has nothing written after it"),
                    )
                    .label("empty")
                    .help(format!("write it as in `{example}`")),
                );
                continue;
            }
            let asked = match item {
                Shape::Map(_) => Asked {
                    name: &entry.name.value,
                    ..asked
                },
                _ => asked,
            };
            if let Some(value) = self.value(entry.value, item, asked) {
                fields.list.push(Field {
                    key: entry.name,
                    value,
                });
            }
        }
        Some(Value::Map(fields))
    }
}

fn one_of(word: &str, choices: &[&'static str]) -> String {
    let list = words::any_of(choices.iter().copied());
    match choice_meant(word, choices) {
        Some(meant) if choices.len() > 1 => format!("did you mean `{meant}`? It is one of {list}"),
        _ if choices.len() == 1 => format!("it can only be {list}"),
        _ => format!("it is one of {list}"),
    }
}

/// Whether `unknown` may stand for a value of this shape.
pub(super) fn may_be_unknown(shape: &Shape) -> bool {
    match shape {
        Shape::Quantity(..) | Shape::Size | Shape::ChoiceOr(..) => true,
        Shape::Choice(choices) => choices.len() > 1 && !choices.contains(&"unknown"),
        Shape::OneOrList(item) | Shape::List(item) => may_be_unknown(item),
        Shape::Tuple(_) | Shape::Form { .. } => true,
        _ => false,
    }
}
