//! `rules:`: which published rule is applied where rules differ.

use serde_json::Value as Json;
use serde_json::json;

use super::decode::{Asked, Decoder, Out};
use super::document::Value;
use super::keys::Shape;
use super::yaml::{Id, Tree};
use crate::source::Spanned;

type Rules = Vec<(Spanned<String>, Spanned<String>)>;

/// Reads `rules:`.
pub(super) fn read(tree: &Tree<'_>, node: Id, out: &mut Out) -> Rules {
    const EXAMPLE: &str = "rules: {standing-draw: 50 mA}";
    let mut decoder = Decoder { tree, out };
    let entries = decoder
        .entries(node, "`rules`", EXAMPLE)
        .unwrap_or_default();
    entries
        .into_iter()
        .filter_map(|entry| {
            let asked = Asked {
                name: &entry.name.value,
                example: "…",
            };
            let Value::Text(choice) = decoder.value(entry.value, &Shape::Words, asked)? else {
                return None;
            };
            Some((entry.name, choice))
        })
        .collect()
}

/// The schema of `rules:`.
pub(super) fn schema() -> Json {
    json!({"type": "object", "additionalProperties": {"type": "string"}})
}
