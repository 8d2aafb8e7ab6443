//! House rules that the compiler does not hold: one way of data, whole words, what stands at the top.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// From left to right; a module uses only what stands left of it.
const LAYERS: [&[&str]; 9] = [
    &["source", "quantity", "table"],
    &["read"],
    &["model"],
    &["solve"],
    &["analyze"],
    &["check"],
    &["advise"],
    &["draw"],
    &["render"],
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    entries.sort();
    for path in entries {
        if path.file_stem().is_some_and(|stem| stem == "tests") {
            continue; // unit tests kept in a file of their own
        }
        if path.is_dir() {
            sources(&path, into);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            into.push(path);
        }
    }
}

fn layer(module: &str) -> Option<usize> {
    LAYERS.iter().position(|layer| layer.contains(&module))
}

#[test]
fn no_module_uses_what_stands_to_its_right() {
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    let mut uses = 0;
    let mut wrong = String::new();
    for file in files {
        let inside = file.strip_prefix(root().join("src")).unwrap();
        let Some(own) = inside
            .iter()
            .next()
            .and_then(|first| layer(first.to_str().unwrap()))
        else {
            continue;
        };
        let text = fs::read_to_string(&file).unwrap();
        // Tests may stand on the whole of the tool.
        let text = text.split("#[cfg(test)]").next().unwrap();
        for used in text.split("crate::").skip(1) {
            let module: String = used
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            let Some(other) = layer(&module) else {
                continue;
            };
            uses += 1;
            if other > own {
                wrong += &format!("{}: reaches to {module}\n", inside.display());
            }
        }
    }
    assert!(uses > 50, "only {uses} uses were found");
    assert!(wrong.is_empty(), "{wrong}");
}

#[test]
fn the_top_holds_only_what_it_should() {
    let allowed: BTreeSet<&str> = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE-MIT",
        "LICENSE-APACHE",
        "src",
        "schemas",
        "examples",
        "tests",
        "docs",
        "target",
    ]
    .into();
    for entry in fs::read_dir(root()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(
            name.starts_with('.') || allowed.contains(name.as_str()),
            "{name} does not belong at the top"
        );
    }
}

#[test]
fn the_library_does_not_print_or_touch_files() {
    let mut files = Vec::new();
    sources(&root().join("src"), &mut files);
    for file in files {
        let inside = file.strip_prefix(root()).unwrap();
        if inside.starts_with("src/bin") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let text = text.split("#[cfg(test)]").next().unwrap();
        for word in [
            "std::fs",
            "std::env",
            "std::process",
            "std::net",
            "println!",
            "eprintln!",
        ] {
            assert!(!text.contains(word), "{}: {word}", inside.display());
        }
    }
}
