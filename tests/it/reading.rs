//! Records from text to document, the same in two readers, and their schema.

use std::path::PathBuf;

use keyoff::read::Limits;
use keyoff::read::document::Document;

use crate::two_readers::agree;

/// Every record of the repository that is meant to be read: its name and its text.
fn corpus() -> Vec<(PathBuf, String)> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut records = Vec::new();
    for folder in ["examples", "tests/data/clean", "tests/data/faulty"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_some_and(|ending| ending == "yaml") {
                let text = std::fs::read_to_string(&path).unwrap();
                records.push((path, text));
            }
        }
    }
    records.sort();
    assert!(records.len() > 50, "{} records", records.len());
    records
}

fn read(path: &std::path::Path, text: &str) -> Document {
    let mut beside =
        |file: &str| std::fs::read(path.with_file_name(file)).map_err(|error| error.to_string());
    let name = path.to_string_lossy();
    match keyoff::read::read(&name, text.as_bytes(), &mut beside, &Limits::default()) {
        Ok(document) => document,
        Err(unreadable) => {
            let first = &unreadable.problems[0];
            let line = unreadable.sources.position(first.at).line;
            panic!("{name}:{line}: {}", first.message);
        }
    }
}

#[test]
fn every_record_of_the_corpus_is_read() {
    for (path, text) in corpus() {
        let document = read(&path, &text);
        assert!(!document.parts.is_empty(), "{}", path.display());
        for part in &document.parts {
            assert_eq!(document.sources.slice(part.name.at), part.name.value);
        }
    }
}

#[test]
fn a_second_reader_finds_the_same_words() {
    let mut count = 0;
    for (path, text) in corpus() {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        count += agree(&name, &text, &read(&path, &text));
    }
    assert!(count > 2_000, "only {count} values were compared");
}

fn schema() -> jsonschema::Validator {
    jsonschema::validator_for(&keyoff::read::schema::record()).unwrap()
}

#[test]
fn every_record_of_the_corpus_fits_the_schema() {
    let schema = schema();
    for (path, text) in corpus() {
        let value: serde_json::Value = serde_yaml::from_str(&text).unwrap();
        let faults: Vec<String> = schema
            .iter_errors(&value)
            .map(|fault| format!("{}: {fault}", fault.instance_path()))
            .collect();
        assert!(faults.is_empty(), "{}: {faults:#?}", path.display());
    }
}

#[test]
fn faults_that_a_schema_can_see_do_not_fit_it() {
    let schema = schema();
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/errors");
    for stem in [
        "missing-unit",
        "unknown-key",
        "key-of-another-kind",
        "no-kind",
        "unknown-kind",
        "choices",
        "accepted",
        "no-parts",
        "no-format",
        "future-format",
        "not-a-record",
        "sections-of-wrong-form",
    ] {
        let text = std::fs::read_to_string(folder.join(format!("{stem}.yaml"))).unwrap();
        let value: serde_json::Value = serde_yaml::from_str(&text).unwrap();
        assert!(!schema.is_valid(&value), "{stem}");
    }
}
