//! The JSON Schema (2020-12) of a record, from the list of keys: what an editor completes, explains and underlines.

use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use super::document::Kind;
use super::keys::{Bound, Key, PART, RECORD, Shape};
use crate::quantity::Dimension;

/// The schema of a record.
#[must_use]
pub fn record() -> Value {
    let mut schema = object(RECORD.iter());
    schema.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    schema.insert("title".to_owned(), json!("keyoff vehicle record, format 1"));
    schema.insert(
        "description".to_owned(),
        json!(
            "The electrical equipment of one vehicle: parts, the wires between them, how it is used, and what a meter showed."
        ),
    );
    let mut defs = Map::new();
    for key in PART {
        defs.insert(definition(key), property(key));
    }
    for &kind in Kind::ALL {
        let keys = PART.iter().filter(|key| key.applies(kind));
        let properties: Map<String, Value> = keys
            .map(|key| {
                let reference = format!("#/$defs/{}", definition(key));
                (key.name.to_owned(), json!({"$ref": reference}))
            })
            .collect();
        let of_kind = json!({"properties": properties, "additionalProperties": false});
        defs.insert(kind.text().to_owned(), of_kind);
    }
    defs.insert("part".to_owned(), part());
    defs.insert("template".to_owned(), template());
    schema.insert("$defs".to_owned(), Value::Object(defs));
    Value::Object(schema)
}

/// The schema as it stands in `schemas/vehicle.schema.json`.
#[must_use]
pub fn text() -> String {
    format!("{:#}\n", record())
}

/// The name under which a key of parts is defined: several kinds share it.
fn definition(key: &Key) -> String {
    let rows = PART.iter().filter(|row| row.name == key.name);
    let number = rows.take_while(|row| !std::ptr::eq(*row, key)).count() + 1;
    if number == 1 {
        format!("key-{}", key.name)
    } else {
        format!("key-{}-{number}", key.name)
    }
}

fn part() -> Value {
    let mut part = template();
    part["anyOf"] = json!([{"required": ["kind"]}, {"required": ["use"]}]);
    part
}

/// A part, whose other keys depend on its kind.
fn template() -> Value {
    let kinds: Vec<&str> = Kind::ALL.iter().map(|kind| kind.text()).collect();
    let by_kind: Vec<Value> = kinds
        .iter()
        .map(|kind| {
            json!({
                "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
                "then": {"$ref": format!("#/$defs/{kind}")},
            })
        })
        .collect();
    json!({
        "type": "object",
        "properties": {"kind": {"enum": kinds, "description": "What the part is."}},
        "allOf": by_kind,
    })
}

fn object<'k>(keys: impl Iterator<Item = &'k Key>) -> Map<String, Value> {
    let mut properties = Map::new();
    let mut required = Vec::new();
    for key in keys {
        properties.insert(key.name.to_owned(), property(key));
        if key.required {
            required.push(json!(key.name));
        }
    }
    let mut object = Map::new();
    object.insert("type".to_owned(), json!("object"));
    object.insert("properties".to_owned(), Value::Object(properties));
    object.insert("additionalProperties".to_owned(), json!(false));
    if !required.is_empty() {
        object.insert("required".to_owned(), Value::Array(required));
    }
    object
}

fn property(key: &Key) -> Value {
    let mut schema = shape(&key.shape);
    schema["description"] = json!(format!(
        "{} Example: {}: {}",
        key.meaning, key.name, key.example
    ));
    schema
}

fn shape(of: &Shape) -> Value {
    match of {
        Shape::Words
        | Shape::Name
        | Shape::Part(_)
        | Shape::Switch
        | Shape::Point
        | Shape::Cable
        | Shape::Own => {
            json!({"type": ["string", "number", "boolean"]})
        }
        Shape::Listed(listed) => json!({"enum": listed.names()}),
        Shape::Flag => json!({"type": "boolean"}),
        Shape::Quantity(wanted, bound) => quantity(wanted, *bound),
        Shape::Size => json!({
            "type": "string",
            "anyOf": [{"pattern": "[0-9]\\s*([A-Za-z#]|mm)|^(AWG|SAE|awg|sae|#)"}, {"const": "unknown"}],
            "examples": ["12 AWG", "2/0 AWG", "12 SAE", "3 mm2"],
        }),
        Shape::Choice(choices) => choice(choices),
        Shape::ChoiceOr(choices, other) => json!({"anyOf": [choice(choices), shape(other)]}),
        Shape::List(item) => or_unknown(item, json!({"type": "array", "items": shape(item)})),
        Shape::OneOrList(item) => {
            let one = shape(item);
            json!({"anyOf": [one, {"type": "array", "items": one}]})
        }
        Shape::Tuple(items) => {
            let shapes: Vec<Value> = items.iter().map(shape).collect();
            json!({"type": "array", "prefixItems": shapes, "minItems": items.len(), "maxItems": items.len()})
        }
        Shape::Map(keys) => Value::Object(object(keys.iter())),
        Shape::Named(item) | Shape::PerPart(_, item) => {
            json!({"type": "object", "additionalProperties": shape(item)})
        }
        Shape::Form { scalar, list, map } => {
            let forms: Vec<Value> = [scalar, list, map]
                .into_iter()
                .flatten()
                .map(|form| shape(form))
                .collect();
            json!({"anyOf": forms})
        }
        Shape::Parts => {
            json!({"type": "object", "minProperties": 1, "additionalProperties": {"$ref": "#/$defs/part"}})
        }
        Shape::Templates => {
            json!({"type": "object", "additionalProperties": {"$ref": "#/$defs/template"}})
        }
        Shape::Rules => super::rules::schema(),
    }
}

fn or_unknown(item: &Shape, list: Value) -> Value {
    match item {
        Shape::Quantity(..) | Shape::Tuple(_) => json!({"anyOf": [list, {"const": "unknown"}]}),
        _ => list,
    }
}

fn choice(choices: &[&str]) -> Value {
    let mut list: Vec<Value> = choices
        .iter()
        .map(|word| {
            word.parse::<u32>()
                .map_or_else(|_| json!(word), |number| json!(number))
        })
        .collect();
    if choices.len() > 1 && !choices.contains(&"unknown") {
        list.push(json!("unknown"));
    }
    json!({"enum": list})
}

/// A quantity is text that has a digit and ends in a unit; which units fit is for the reader to say, in words.
fn quantity(wanted: &[Dimension], bound: Bound) -> Value {
    if bound == Bound::Whole {
        return json!({"anyOf": [{"type": "integer", "minimum": 1}, {"const": "unknown"}]});
    }
    let units = crate::quantity::parse::symbols(wanted);
    json!({
        "type": "string",
        "anyOf": [{"pattern": "[0-9].*[^0-9.\\s]\\s*$"}, {"const": "unknown"}],
        "$comment": format!("a number and a unit: {}", units.join(", ")),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_schema_of_the_repository_is_current() {
        let path =
            std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("schemas/vehicle.schema.json");
        if std::env::var_os("REWRITE").is_some() {
            std::fs::write(&path, text()).unwrap();
        }
        let stands = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            stands == text(),
            "schemas/vehicle.schema.json is not that of src/read/keys: run this test with REWRITE=1"
        );
    }

    #[test]
    fn it_is_a_schema() {
        jsonschema::meta::validate(&record()).unwrap();
    }

    #[test]
    fn examples_of_keys_fit_their_own_shape() {
        let mut definitions = record();
        for key in RECORD.iter().chain(PART).chain(super::super::keys::WIRE) {
            let text = format!("{}: {}", key.name, key.example);
            let value: Value = serde_yaml::from_str(&text).unwrap();
            let mut schema = json!({"type": "object", "properties": {key.name: shape(&key.shape)}});
            schema["$defs"] = definitions["$defs"].take();
            let fits = jsonschema::validator_for(&schema)
                .unwrap()
                .validate(&value)
                .map_err(|fault| fault.to_string());
            definitions["$defs"] = schema["$defs"].take();
            assert_eq!(fits, Ok(()), "{text}");
        }
    }
}
