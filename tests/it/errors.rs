//! What people read when a record has a fault: every file of `tests/data/errors`, shown as on paper.

use std::path::PathBuf;

use keyoff::read::Limits;
use keyoff::read::Unreadable;
use keyoff::read::read;
use keyoff::render::diagnostic::report;
use keyoff::render::snippet::Look;

fn faults(name: &str, bytes: &[u8], limits: &Limits) -> Unreadable {
    let mut none = |_: &str| Err("there is no such file".to_owned());
    match read(name, bytes, &mut none, limits) {
        Ok(_) => panic!("{name} was read without a fault"),
        Err(unreadable) => unreadable,
    }
}

fn shown(unreadable: &Unreadable) -> String {
    let one = |problem| report(problem, &unreadable.sources, Look::default());
    let all: Vec<String> = unreadable.problems.iter().map(one).collect();
    all.join("\n")
}

#[test]
fn every_faulty_record_is_answered_with_advice() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/data/errors");
    let mut files: Vec<PathBuf> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .collect();
    files.sort();
    assert!(files.len() > 40, "{} files", files.len());
    insta::with_settings!({
        snapshot_path => &folder,
        prepend_module_to_snapshot => false,
        omit_expression => true,
    }, {
        for path in files {
            let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
            let bytes = std::fs::read(&path).unwrap();
            let unreadable = faults(&format!("{stem}.yaml"), &bytes, &Limits::default());
            for problem in &unreadable.problems {
                assert!(problem.help.is_some(), "{stem}: {}", problem.message);
                assert!(!problem.message.ends_with('.'), "{stem}: {}", problem.message);
            }
            insta::assert_snapshot!(stem, shown(&unreadable));
        }
    });
}

/// The messages, without the words around them.
fn messages(name: &str, text: &str, limits: &Limits) -> Vec<String> {
    let unreadable = faults(name, text.as_bytes(), limits);
    unreadable
        .problems
        .into_iter()
        .map(|problem| problem.message)
        .collect()
}

#[test]
fn what_would_take_for_ever_is_refused_at_once() {
    let limits = Limits::default();
    let start = std::time::Instant::now();
    let deep = |open: &str, count: usize| format!("keyoff: 1\nparts: {}", open.repeat(count));
    for (name, text) in [
        ("brackets", deep("[", 100_000)),
        ("braces", deep("{a: ", 100_000)),
        (
            "dashes",
            deep("\n- ", 1).replace("- ", &"- ".repeat(20_000)),
        ),
        (
            "questions",
            deep("\n? ", 1).replace("? ", &"? ".repeat(20_000)),
        ),
    ] {
        let found = messages(name, &text, &limits);
        assert_eq!(found.len(), 1, "{name}: {found:?}");
        assert!(found[0].contains("deep"), "{name}: {found:?}");
    }
    // Nine lists, each nine times the one before: 387 million values if they were written out.
    let mut bomb = String::from("keyoff: 1\nparts:\n  A: &a0 {kind: load, near: [airbag]}\n  B:\n");
    for level in 1..10 {
        let again = format!("*a{}, ", level - 1).repeat(9);
        bomb.push_str(&format!("    k{level}: &a{level} [{again}]\n"));
    }
    assert!(!messages("bomb", &bomb, &limits).is_empty());
    // One long list of hazards, repeated by many parts.
    let mut repeated = String::from("keyoff: 1\nparts:\n");
    let hazards = "fuel, ".repeat(5_000);
    repeated.push_str(&format!("  A: {{kind: load, near: &a [{hazards}]}}\n"));
    for part in 0..5_000 {
        repeated.push_str(&format!("  P{part}: {{kind: load, near: *a}}\n"));
    }
    let found = messages("repeated", &repeated, &limits);
    assert!(
        found
            .iter()
            .any(|message| message.contains("repeats its own values")),
        "{found:?}"
    );
    // A fault in each of many lines: all are told, and no search for a better word slows it down.
    let mut faulty = String::from("keyoff: 1\nparts:\n");
    for part in 0..20_000 {
        faulty.push_str(&format!("  P{part}: {{kind: fuse, ratting: 3 A}}\n"));
    }
    faulty.push_str("wires:\n");
    for wire in 0..20_000 {
        faulty.push_str(&format!("  - {{from: Q{wire}, to: P{wire}}}\n"));
    }
    assert_eq!(messages("faulty", &faulty, &limits).len(), 40_000);
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
}

#[test]
fn limits_are_told_with_their_figures() {
    let record = "keyoff: 1\nparts:\n  F1: {kind: fuse, rating: 30 A}\n";
    let small = Limits {
        max_bytes: 40,
        ..Limits::default()
    };
    assert!(messages("large", record, &small)[0].contains("MiB are read"));
    let few = Limits {
        max_nodes: 8,
        ..Limits::default()
    };
    assert_eq!(
        messages("many", record, &few),
        ["the file holds more than 8 values"]
    );
    let large = format!("keyoff: 1\n#{}\n", "x".repeat(17 << 20));
    assert_eq!(
        messages("large", &large, &Limits::default()),
        ["the file has 17.0 MiB, and at most 16.0 MiB are read"]
    );
}

#[test]
fn faults_of_a_library_are_shown_in_the_library() {
    let record = "keyoff: 1\nlibrary: [shelf.yaml, lost.yaml]\nparts:\n  K1: {use: mini}\n  K2: {use: mini, kind: fuse}\n";
    let shelf = "keyoff: 1\nlibrary:\n  mini: {kind: relay, coil: 90, contact: 40 A}\n";
    let mut library = |name: &str| match name {
        "shelf.yaml" => Ok(shelf.as_bytes().to_vec()),
        _ => Err("there is no such file".to_owned()),
    };
    let unreadable = read(
        "truck.yaml",
        record.as_bytes(),
        &mut library,
        &Limits::default(),
    )
    .expect_err("it has faults");
    insta::assert_snapshot!(shown(&unreadable));
}
