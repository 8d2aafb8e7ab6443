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
