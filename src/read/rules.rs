//! `rules:`: which published rule is applied where rules differ.

use serde_json::Value as Json;
use serde_json::json;

use super::decode::{Asked, Decoder, Out};
use super::document::{Dimension, Value};
use super::keys::Shape;
use super::wording;
use super::words;
use super::yaml::{Id, Tree};
use crate::quantity::parse::parse;
use crate::source::{Problem, Spanned};
use crate::table::rules::{RULES, Rule, rule};

/// Rules with the choice made for each.
type Chosen = Vec<(Spanned<String>, Spanned<String>)>;

/// Reads `rules:`.
pub(super) fn read(tree: &Tree<'_>, node: Id, out: &mut Out) -> Chosen {
    const EXAMPLE: &str = "rules: {standing-draw: 50 mA}";
    let mut decoder = Decoder { tree, out };
    let entries = decoder
        .entries(node, "`rules`", EXAMPLE)
        .unwrap_or_default();
    let mut chosen = Vec::with_capacity(entries.len());
    for entry in entries {
        let asked = Asked {
            name: &entry.name.value,
            example: "…",
        };
        let Some(rule) = rule(&entry.name.value) else {
            decoder.out.problems.push(no_rule(&entry.name));
            continue;
        };
        if tree.is_empty(entry.value) {
            decoder.out.problems.push(no_choice(&entry.name, rule));
            continue;
        }
        if let Some(Value::Text(choice)) = decoder.value(entry.value, &Shape::Words, asked)
            && fits(rule, &choice, decoder.out)
        {
            chosen.push((entry.name, choice));
        }
    }
    chosen
}

fn no_choice(name: &Spanned<String>, rule: &Rule) -> Problem {
    let names = rule.choices.iter().map(|choice| choice.name.as_str());
    Problem::new(
        name.at,
        format!("`{}` has nothing written after it", name.value),
    )
    .label("empty")
    .help(format!(
        "choose {}, or take the rule out",
        words::any_of(names)
    ))
}

fn no_rule(name: &Spanned<String>) -> Problem {
    let names = || RULES.iter().map(|rule| rule.name.as_str());
    let help = match words::nearest(&name.value, names()) {
        Some(meant) => format!("did you mean `{meant}`?"),
        None => format!("the rules are {}", words::all_of(names())),
    };
    Problem::new(
        name.at,
        format!("there is no rule `{}`", words::short(&name.value)),
    )
    .label("no such rule")
    .help(help)
}

/// What a figure of a rule measures; nothing for rules that are chosen by name alone.
fn dimension(rule: &Rule) -> Option<Dimension> {
    let unit = rule.choices.first().map(|choice| choice.unit.as_str());
    let of_unit = match unit {
        Some("A") => Dimension::Current,
        Some("m") => Dimension::Length,
        _ => Dimension::Fraction,
    };
    rule.takes_a_figure().then_some(of_unit)
}

fn fits(rule: &Rule, choice: &Spanned<String>, out: &mut Out) -> bool {
    let names = || rule.choices.iter().map(|choice| choice.name.as_str());
    if names().any(|name| name == choice.value) {
        return true;
    }
    let listed = words::any_of(names());
    let figure = dimension(rule).map(|dimension| (dimension, example(dimension)));
    if let Some((dimension, example)) = figure {
        match parse(&choice.value, &[dimension]) {
            Ok(parsed) if parsed.low >= 0.0 => return true,
            Ok(parsed) => {
                let bound = super::keys::Bound::NotNegative;
                let wording = wording::out_of_bounds(&rule.name, &choice.value, parsed.low, bound);
                out.worded(choice.at, wording);
                return false;
            }
            // A figure that is not quite right, rather than a name.
            Err(refusal) if choice.value.starts_with(|c: char| c.is_ascii_digit()) => {
                let wording =
                    wording::refusal(&refusal, &choice.value, &rule.name, &[dimension], example);
                out.worded(choice.at, wording);
                return false;
            }
            Err(_) => {}
        }
    }
    let figure = figure.map_or_else(String::new, |(_, example)| {
        format!(", or a figure such as `{example}`")
    });
    let spelled = choice
        .value
        .replace(" %", "-percent")
        .replace(['%', ' '], "-");
    let help = match words::nearest(&spelled, names()) {
        Some(meant) => format!("did you mean `{meant}`? It is one of {listed}{figure}"),
        None => format!("it is one of {listed}{figure}"),
    };
    out.problems.push(
        Problem::new(
            choice.at,
            format!(
                "the rule `{}` has no choice `{}`",
                rule.name,
                words::short(&choice.value)
            ),
        )
        .label("not one of its choices")
        .help(format!(
            "{help}; `keyoff tables rules` tells what each asks"
        )),
    );
    false
}

fn example(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Current => "60 mA",
        Dimension::Length => "7 in",
        _ => "3 %",
    }
}

/// The schema of `rules:`.
pub(super) fn schema() -> Json {
    let properties: serde_json::Map<String, Json> = RULES
        .iter()
        .map(|rule| {
            let names: Vec<&str> = rule
                .choices
                .iter()
                .map(|choice| choice.name.as_str())
                .collect();
            let meanings: Vec<String> = rule
                .choices
                .iter()
                .map(|choice| format!("{}: {}", choice.name, choice.meaning))
                .collect();
            let mut one = json!({"enum": names});
            if dimension(rule).is_some() {
                one = json!({"anyOf": [one, {"type": "string", "pattern": "[0-9]"}]});
            }
            one["description"] = json!(meanings.join("; "));
            (rule.name.clone(), one)
        })
        .collect();
    json!({"type": "object", "properties": properties, "additionalProperties": false})
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_published_choice_can_be_chosen_and_a_figure_where_it_makes_sense() {
        let mut lines: Vec<String> = Vec::new();
        for rule in RULES.iter() {
            for choice in &rule.choices {
                lines.push(format!("{}: {}", rule.name, choice.name));
            }
        }
        lines.extend(
            [
                "standing-draw: 60 mA",
                "drop: 5 %",
                "protection-distance: 20 cm",
            ]
            .map(str::to_owned),
        );
        for line in &lines {
            let text = format!("keyoff: 1\nparts: {{F1: {{kind: fuse}}}}\nrules: {{{line}}}\n");
            let mut none = |_: &str| Err(String::new());
            let document = crate::read::read("t", text.as_bytes(), &mut none, &Default::default());
            assert_eq!(document.unwrap().rules.len(), 1, "{line}");
        }
        assert!(lines.len() > 20);
    }
}
