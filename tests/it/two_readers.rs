//! A second, independent reader of YAML, against which ours is held.

use keyoff::read::document::Document;
use keyoff::read::document::Field;
use keyoff::read::document::Fields;
use keyoff::read::document::Value;
use serde_yaml::Value as Other;

/// Asserts that a record says the same in both readers; gives the number of words compared.
pub fn agree(name: &str, text: &str, document: &Document) -> usize {
    let other: Other = serde_yaml::from_str(text).unwrap();
    let mut count = 0;
    let mut entries: Vec<u32> = document.wires.iter().map(|wire| wire.entry).collect();
    entries.dedup();
    let wires = other
        .get("wires")
        .and_then(Other::as_sequence)
        .map_or(0, Vec::len);
    assert_eq!(entries.len(), wires, "{name}");
    let parts = other.get("parts").and_then(Other::as_mapping).unwrap();
    assert_eq!(document.parts.len(), parts.len(), "{name}");
    for (part, (key, theirs)) in document.parts.iter().zip(parts) {
        assert_eq!(Some(&part.name.value), typed(key).as_ref(), "{name}");
        if part.fields.get("use").is_none() {
            let place = format!("{name}: {}", part.name.value);
            compare_fields(&part.fields, theirs, &place, &mut count, &["kind"]);
            assert_eq!(
                theirs["kind"].as_str(),
                Some(part.kind.value.text()),
                "{place}"
            );
        }
    }
    for wire in &document.wires {
        let theirs = &other["wires"][wire.entry as usize];
        let place = format!("{name}: {}", wire.id);
        // Ends, ids and lengths are read into fields of their own.
        let apart = ["id", "from", "to", "run", "length", "lengths"];
        compare_fields(&wire.fields, theirs, &place, &mut count, &apart);
    }
    if let Some(theirs) = other.get("vehicle") {
        compare_fields(
            &document.vehicle,
            theirs,
            &format!("{name}: vehicle"),
            &mut count,
            &[],
        );
    }
    for situation in &document.situations {
        let theirs = &other["situations"][situation.name.value.as_str()];
        compare_fields(
            &situation.fields,
            theirs,
            &situation.name.value,
            &mut count,
            &[],
        );
    }
    for (number, reading) in document.readings.iter().enumerate() {
        let theirs = &other["readings"][number];
        compare_fields(
            &reading.fields,
            theirs,
            &format!("{name}: reading {number}"),
            &mut count,
            &[],
        );
    }
    count
}

/// A scalar of the other reader as it was typed; nothing where it was retyped on the way.
fn typed(value: &Other) -> Option<String> {
    match value {
        Other::String(text) => Some(text.trim().to_owned()),
        Other::Bool(flag) => Some(flag.to_string()),
        Other::Number(number) => Some(number.to_string()),
        _ => None,
    }
}

/// Counts the scalars of which both readers say the same; stops where they differ.
fn compare(ours: &Value, theirs: &Other, place: &str, count: &mut usize) {
    let ours_text = match ours {
        Value::Unknown(_) => "unknown".to_owned(),
        Value::Text(text) => text.value.clone(),
        Value::Flag(flag) => flag.value.to_string(),
        Value::Quantity(quantity) => quantity.text.clone(),
        Value::Size(_) => return,
        Value::List(items, _) => {
            let others = theirs.as_sequence().unwrap_or_else(|| panic!("{place}"));
            assert_eq!(items.len(), others.len(), "{place}");
            for (number, (one, other)) in items.iter().zip(others).enumerate() {
                compare(one, other, &format!("{place}[{number}]"), count);
            }
            return;
        }
        Value::Map(fields) => {
            compare_fields(fields, theirs, place, count, &[]);
            return;
        }
    };
    assert_eq!(Some(ours_text), typed(theirs), "{place}");
    *count += 1;
}

fn compare_fields(ours: &Fields, theirs: &Other, place: &str, count: &mut usize, apart: &[&str]) {
    let map = theirs.as_mapping().unwrap_or_else(|| panic!("{place}"));
    let kept = map
        .iter()
        .filter(|(key, _)| !apart.contains(&typed(key).unwrap().as_str()))
        .count();
    let own = |field: &&Field| !apart.contains(&field.key.value.as_str());
    assert_eq!(ours.list.iter().filter(own).count(), kept, "{place}");
    for field in ours.list.iter().filter(own) {
        let key = &field.key.value;
        let found = map
            .iter()
            .find(|(other, _)| typed(other).as_ref() == Some(key));
        let (_, other) = found.unwrap_or_else(|| panic!("{place}.{key}"));
        compare(&field.value, other, &format!("{place}.{key}"), count);
    }
}
