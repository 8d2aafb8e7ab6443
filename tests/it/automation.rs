//! What the book says about builds and hooks is so: its commands run, the hook's definition fits the command line.

use std::fs;
use std::process::Command;

use serde_yaml::Value;

use crate::run::Folder;
use crate::run::root;

fn page() -> String {
    fs::read_to_string(root().join("docs/automation.md")).unwrap()
}

fn records() -> Folder {
    let folder = Folder::new();
    for (name, from) in [
        ("one", "tests/data/clean/work-lamps-on-a-relay.yaml"),
        ("two", "tests/data/clean/liftgate.yaml"),
    ] {
        let text = fs::read_to_string(root().join(from)).unwrap();
        folder.file(&format!("records/{name}.yaml"), &text);
    }
    folder
}

/// A shell that finds the tool by its name.
fn shell(folder: &Folder, script: &str) -> std::process::Output {
    let tool = std::path::Path::new(env!("CARGO_BIN_EXE_keyoff"));
    let path = format!(
        "{}:{}",
        tool.parent().unwrap().display(),
        std::env::var("PATH").unwrap_or_default()
    );
    Command::new("sh")
        .args(["-c", script])
        .current_dir(&folder.0)
        .env("PATH", path)
        .output()
        .unwrap()
}

/// Every shell block of the page that installs nothing, in order.
#[cfg(unix)]
#[test]
fn the_commands_of_the_page_run() {
    let folder = records();
    let page = page();
    let mut ran = 0;
    for block in page.split("```sh\n").skip(1) {
        let script = block.split("```").next().unwrap();
        if script.contains("cargo install") || script.contains("git diff") {
            continue;
        }
        let output = shell(&folder, script);
        assert!(output.status.success(), "{script}: {output:?}");
        ran += 1;
    }
    assert_eq!(ran, 3);
    assert!(folder.read("keyoff.sarif").contains("2.1.0"));
    assert!(folder.read("keyoff.xml").starts_with("<?xml"));
    assert!(folder.read("fleet.html").contains("records/one.yaml"));
    assert!(folder.read("fleet.csv").contains("records/two.yaml"));
}

#[cfg(unix)]
#[test]
fn the_job_of_the_page_fails_with_the_records() {
    let folder = records();
    let page = page();
    let job = page
        .split("```sh\n")
        .skip(1)
        .map(|block| block.split("```").next().unwrap())
        .find(|block| block.contains("cargo install"))
        .unwrap();
    let job: String = job
        .lines()
        .filter(|line| !line.starts_with("cargo install"))
        .map(|line| format!("{line}\n"))
        .collect();
    assert_eq!(shell(&folder, &job).status.code(), Some(0));
    folder.file(
        "records/bad.yaml",
        "keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
    );
    assert_eq!(shell(&folder, &job).status.code(), Some(2));
    assert!(folder.read("keyoff.xml").contains("has no unit"));
}

/// The hook of the page, in a real repository.
#[cfg(unix)]
#[test]
fn the_plain_hook_stops_a_faulty_record() {
    use std::os::unix::fs::PermissionsExt;
    let folder = records();
    let page = page();
    let hook = page
        .split("```sh\n")
        .skip(1)
        .map(|block| block.split("```").next().unwrap())
        .find(|block| block.contains("git diff"))
        .unwrap();
    let commit = "git add -A && git -c user.name=x -c user.email=x@example.org commit -qm x";
    assert!(
        shell(&folder, "git init -q . && mkdir -p .git/hooks")
            .status
            .success()
    );
    let path = folder.file(".git/hooks/pre-commit", hook);
    fs::set_permissions(path, fs::Permissions::from_mode(0o755)).unwrap();
    let output = shell(&folder, commit);
    assert!(output.status.success(), "{output:?}");
    folder.file(
        "records/bad.yaml",
        "keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
    );
    let output = shell(&folder, commit);
    assert!(!output.status.success(), "{output:?}");
}

#[test]
fn the_hook_for_the_framework_is_whole() {
    let text = fs::read_to_string(root().join(".pre-commit-hooks.yaml")).unwrap();
    let hooks: Value = serde_yaml::from_str(&text).unwrap();
    let hook = &hooks[0];
    for key in ["id", "name", "entry", "language"] {
        assert!(hook[key].is_string(), "{key}");
    }
    let mut entry = hook["entry"].as_str().unwrap().split(' ');
    assert_eq!(entry.next(), Some("keyoff"));
    let ran =
        crate::run::run(entry.chain(["--fail-on", "error", "tests/data/clean/liftgate.yaml"]));
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(page().contains(&format!("- id: {}", hook["id"].as_str().unwrap())));
}
