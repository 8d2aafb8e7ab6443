//! What comes in from outside: licences, sources, and the oldest compiler that all of it asks for.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

use crate::run::root;

/// The locked packages that are built on this system, without asking anybody.
fn packages() -> Vec<Value> {
    let version = Command::new("rustc").arg("-vV").output().unwrap();
    let version = String::from_utf8(version.stdout).unwrap();
    let host = version
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .unwrap();
    let output = Command::new(env!("CARGO"))
        .current_dir(root())
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .args(["--filter-platform", host])
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let all: Value = serde_json::from_slice(&output.stdout).unwrap();
    let used: BTreeSet<&str> = all["resolve"]["nodes"]
        .as_array()
        .unwrap()
        .iter()
        .map(|node| node["id"].as_str().unwrap())
        .collect();
    let packages = all["packages"].as_array().unwrap().iter();
    let packages: Vec<Value> = packages
        .filter(|package| used.contains(package["id"].as_str().unwrap()))
        .cloned()
        .collect();
    assert!(packages.len() > 100, "{}", packages.len());
    packages
}

/// The licences of `.deny.toml`.
fn allowed() -> BTreeSet<String> {
    let text = std::fs::read_to_string(root().join(".deny.toml")).unwrap();
    let list = text.split("allow = [").nth(1).unwrap();
    let list = list.split(']').next().unwrap();
    list.split('"')
        .skip(1)
        .step_by(2)
        .map(str::to_owned)
        .collect()
}

/// Whether a licence expression can be met with what is allowed: `AND` binds more tightly than `OR` (SPDX annex D).
fn met(expression: &str, allowed: &BTreeSet<String>) -> bool {
    // The old way to write `OR`.
    let expression = expression.replace('/', " OR ");
    let mut depth = 0;
    let mut pieces = vec![(String::new(), "")];
    for word in expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .split_whitespace()
    {
        match word {
            "(" => depth += 1,
            ")" => depth -= 1,
            "OR" if depth == 0 => {
                pieces.push((String::new(), "OR"));
                continue;
            }
            "AND" if depth == 0 => {
                pieces.push((String::new(), "AND"));
                continue;
            }
            _ => {}
        }
        let piece = &mut pieces.last_mut().unwrap().0;
        if !piece.is_empty() {
            piece.push(' ');
        }
        piece.push_str(word);
    }
    let one = |text: &str| match text
        .strip_prefix("( ")
        .and_then(|rest| rest.strip_suffix(" )"))
    {
        Some(inner) => met(inner, allowed),
        None => allowed.contains(text),
    };
    let mut ways = vec![true];
    for (text, joint) in &pieces {
        if *joint == "OR" {
            ways.push(true);
        }
        let last = ways.last_mut().unwrap();
        *last &= one(text);
    }
    ways.contains(&true)
}

#[test]
fn every_package_has_a_licence_that_is_allowed() {
    let allowed = allowed();
    assert!(met("(MIT OR GPL-3.0) AND Unicode-3.0", &allowed));
    assert!(met("GPL-3.0/MIT", &allowed));
    assert!(!met("MIT AND GPL-3.0", &allowed));
    assert!(!met("GPL-3.0", &allowed) && !met("", &allowed));
    let mut wrong = String::new();
    for package in packages() {
        let (name, licence) = (&package["name"], package["license"].as_str().unwrap_or(""));
        if !met(licence, &allowed) {
            wrong += &format!("{name}: `{licence}`\n");
        }
        let source = package["source"].as_str().unwrap_or("registry+ours");
        if !source.starts_with("registry+") {
            wrong += &format!("{name} is from {source}\n");
        }
    }
    assert!(wrong.is_empty(), "not allowed by .deny.toml:\n{wrong}");
}

#[test]
fn no_package_asks_for_a_newer_compiler_than_is_promised() {
    let number = |text: &str| -> Vec<u32> {
        let mut parts: Vec<u32> = text.split('.').map(|part| part.parse().unwrap()).collect();
        parts.resize(3, 0);
        parts
    };
    let promised = number(env!("CARGO_PKG_RUST_VERSION"));
    let mut most = vec![0; 3];
    for package in packages() {
        let Some(asked) = package["rust_version"].as_str() else {
            continue;
        };
        let asked = number(asked);
        assert!(asked <= promised, "{}: {asked:?}", package["name"]);
        if package["name"] != "keyoff" {
            most = most.max(asked);
        }
    }
    // Nor is more promised away than is asked for.
    assert_eq!(most[..2], promised[..2], "rust-version can be lower");
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let said = format!("({} or newer)", env!("CARGO_PKG_RUST_VERSION"));
    assert!(readme.contains(&said), "the README does not say {said}");
}

/// Every package that is named in Cargo.toml has its reason in the contributor's guide.
#[test]
fn every_dependency_is_justified() {
    let manifest = std::fs::read_to_string(root().join("Cargo.toml")).unwrap();
    let guide = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let table = guide.split("## Dependencies, and why each").nth(1).unwrap();
    let mut names = 0;
    let mut inside = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            inside = line.ends_with("dependencies]");
        } else if let Some((name, _)) = line.split_once(" = ").filter(|_| inside) {
            names += 1;
            assert!(
                table.contains(name),
                "{name} has no reason in DEVELOPERS.md"
            );
        }
    }
    assert!(names > 20, "{names}");
}
