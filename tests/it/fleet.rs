//! Many vehicles at once: folders and patterns, one line each, summaries, what a bad file does to the rest.

use std::fs;

use serde_json::Value;

use crate::run::Folder;
use crate::run::finish;
use crate::run::keyoff;
use crate::run::root;
use crate::run::run;
use crate::run::run_in;

const SOUND: &str = "tests/data/clean/work-lamps-on-a-relay.yaml";
const FAULTY: &str = "tests/data/faulty/fuse-exceeds-wire--F1.yaml";

fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap()
}

/// Sound, faulty and unreadable records, and files that are none.
fn fleet() -> Folder {
    let folder = Folder::new();
    folder.file("fleet/b.yaml", &text(SOUND));
    folder.file("fleet/a.yml", &text(FAULTY));
    folder.file("fleet/north/c.YAML", &text(SOUND));
    folder.file(
        "fleet/north/broken.yaml",
        "keyoff: 1\nparts: {F1: {kind: fuse, rating: 30}}\n",
    );
    folder.file(
        "fleet/shelf.yaml",
        "keyoff: 1\nlibrary: {lamp: {kind: load}}\n",
    );
    folder.file("fleet/services.yaml", "services:\n  db: {image: x}\n");
    folder.file("fleet/.hidden/d.yaml", &text(SOUND));
    folder.file("fleet/notes.txt", "parts\n");
    folder
}

fn paths(table: &str) -> Vec<&str> {
    table
        .lines()
        .filter_map(|line| line.split_whitespace().find(|word| word.contains("fleet/")))
        .map(|word| word.trim_end_matches(':'))
        .collect()
}

#[test]
fn a_folder_is_a_line_for_each_record_in_the_order_of_names() {
    let folder = fleet();
    let ran = run_in(&folder.0, ["audit", "fleet"]);
    assert_eq!(ran.code, Some(2), "{ran:?}");
    assert_eq!(
        paths(&ran.out),
        [
            "fleet/a.yml",
            "fleet/b.yaml",
            "fleet/north/broken.yaml",
            "fleet/north/c.YAML"
        ],
        "{ran:?}"
    );
    assert!(ran.out.contains("line 2: `rating: 30` has no unit"));
    assert!(
        ran.out
            .contains("4 records: 1 with errors, 2 without findings and 1 that could not be used."),
        "{}",
        ran.out
    );
    assert_eq!(
        ran.err,
        "passed over 2 files that are no record of a vehicle: fleet/services.yaml, fleet/shelf.yaml\n"
    );
    // A file that is named is told that it is no record.
    let named = run_in(&folder.0, ["audit", "fleet/services.yaml", "fleet/b.yaml"]);
    assert_eq!(named.code, Some(2));
    assert!(
        named.out.contains("this is not a keyoff record"),
        "{named:?}"
    );
}

#[test]
fn the_exit_code_is_that_of_the_worst_record() {
    let folder = fleet();
    let code = |args: &[&str]| run_in(&folder.0, args).code;
    assert_eq!(
        code(&["audit", "fleet/b.yaml", "fleet/north/c.YAML"]),
        Some(0)
    );
    assert_eq!(code(&["audit", "fleet/a.yml", "fleet/b.yaml"]), Some(1));
    let never = ["audit", "fleet/a.yml", "fleet/b.yaml", "--fail-on", "never"];
    assert_eq!(code(&never), Some(0));
    assert_eq!(code(&["audit", "fleet", "--fail-on", "never"]), Some(2));
}

#[test]
fn patterns_that_the_shell_left_alone_are_followed() {
    let folder = fleet();
    let ran = run_in(&folder.0, ["audit", "fleet/*.y*ml", "fleet/nor*"]);
    assert_eq!(
        paths(&ran.out),
        [
            "fleet/a.yml",
            "fleet/b.yaml",
            "fleet/services.yaml",
            "fleet/shelf.yaml",
            "fleet/north/broken.yaml",
            "fleet/north/c.YAML"
        ],
        "{ran:?}"
    );
    // A name with brackets in it is a name.
    folder.file("fleet/[1].yaml", &text(SOUND));
    let one = run_in(&folder.0, ["audit", "fleet/[1].yaml"]);
    assert_eq!(one.code, Some(0));
    assert!(one.out.contains("Key off"), "{one:?}");
}

#[test]
fn where_nothing_is_found_that_is_told() {
    let folder = fleet();
    folder.file("empty/readme.txt", "");
    for (nothing, why) in [
        ("empty", "none of its files ends in .yaml"),
        ("fleet/*.json", "no file has such a name"),
        ("fleet/[", "is no pattern"),
    ] {
        let ran = run_in(&folder.0, ["audit", nothing, "fleet/b.yaml"]);
        assert_eq!(ran.code, Some(2), "{ran:?}");
        assert!(ran.out.contains(why), "{ran:?}");
        assert!(ran.out.contains("fleet/b.yaml"), "{ran:?}");
    }
}

#[test]
fn threads_do_not_change_a_byte() {
    let folder = fleet();
    for form in ["text", "json", "csv", "sarif", "junit"] {
        for full in [&[][..], &["--full"]] {
            let with = |jobs: &str| {
                let mut args = vec!["audit", "fleet", "--format", form, "--jobs", jobs];
                args.extend(full);
                args.extend(["--force", "--summary", "s.html", "--summary", "s.csv"]);
                let ran = run_in(&folder.0, args);
                (ran, folder.read("s.html"), folder.read("s.csv"))
            };
            assert_eq!(with("1"), with("4"), "{form}");
        }
    }
}

#[test]
fn all_of_each_record_is_printed_where_that_is_wanted() {
    let alone = run(["audit", FAULTY]);
    let both = run(["audit", "--full", FAULTY, SOUND, "no-such.yaml"]);
    assert_eq!(both.code, Some(2));
    assert!(both.out.starts_with(&alone.out));
    assert!(both.out.contains(&format!("\n{}\n", "=".repeat(100))));
    assert!(both.err.contains("there is no file `no-such.yaml`"));
}

#[test]
fn summaries_hold_a_row_for_every_record() {
    let folder = fleet();
    let ran = run_in(
        &folder.0,
        [
            "audit",
            "fleet",
            "--summary",
            "s.csv",
            "--summary",
            "s.jsonl",
            "--summary",
            "s.html",
        ],
    );
    assert_eq!(ran.code, Some(2));
    assert!(
        ran.err
            .contains("wrote s.csv\nwrote s.jsonl\nwrote s.html\n"),
        "{ran:?}"
    );

    let schema: Value = serde_json::from_str(&run(["schema", "fleet"]).out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let lines = folder.read("s.jsonl");
    let rows: Vec<Value> = lines
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    for row in &rows {
        assert!(validator.is_valid(row), "{row}");
    }
    let verdicts: Vec<&str> = rows
        .iter()
        .map(|row| row["verdict"].as_str().unwrap())
        .collect();
    assert_eq!(verdicts, ["error", "nothing", "unreadable", "nothing"]);
    assert_eq!(rows[0]["worst"]["check"], "fuse-exceeds-wire");
    assert_eq!(rows[2]["unreadable"]["at"]["line"], 2);

    // The figures are those of the audit of that record alone.
    let alone = run_in(&folder.0, ["audit", "fleet/a.yml", "--format", "json"]);
    let alone: Value = serde_json::from_str(&alone.out).unwrap();
    assert_eq!(rows[0]["summary"], alone["summary"]);
    assert_eq!(rows[0]["draw_a"], alone["key_off"]["draw_a"]);
    assert_eq!(
        rows[0]["days_to_no_start"],
        alone["key_off"]["days_to_no_start"]
    );

    let table = folder.read("s.csv");
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    assert_eq!(reader.headers().unwrap().len(), 21);
    let files: Vec<String> = reader
        .records()
        .map(|row| row.unwrap()[0].to_owned())
        .collect();
    assert_eq!(files.len(), 4);
    let page = folder.read("s.html");
    assert_eq!(page.matches("<tr class=").count(), 4);
    assert!(page.ends_with("</html>\n"));

    // What is there is not written over, and nothing else is touched.
    let again = run_in(&folder.0, ["audit", "fleet", "--summary", "s.csv"]);
    assert_eq!((again.code, again.out.as_str()), (Some(2), ""));
    assert!(again.err.contains("--force"), "{again:?}");
    assert_eq!(folder.read("s.csv"), table);
    let odd = run_in(&folder.0, ["audit", "fleet", "--summary", "s.pdf"]);
    assert_eq!(odd.code, Some(2));
    assert!(odd.err.contains(".csv, .jsonl or .html"), "{odd:?}");
}

#[test]
fn no_progress_bar_gets_into_a_file() {
    let folder = fleet();
    let ran = finish(
        keyoff()
            .current_dir(&folder.0)
            .env("TERM", "xterm")
            .args(["audit", "fleet", "--color", "always"]),
    );
    assert!(
        !ran.err.contains('\r') && !ran.err.contains("left"),
        "{ran:?}"
    );
}

/// The most memory that an audit of `count` files takes, in KiB.
#[cfg(target_os = "linux")]
fn peak(folder: &Folder, count: usize) -> u64 {
    use std::io::Read;
    let name = format!("fleet-{count}");
    for number in 0..count {
        folder.file(&format!("{name}/{number:04}.yaml"), &text(SOUND));
    }
    let mut child = keyoff()
        .current_dir(&folder.0)
        .args(["audit", &name, "--jobs", "1", "--format", "json"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut out = child.stdout.take().unwrap();
    let mut buffer = vec![0; 1 << 16];
    let mut most = 0;
    // The pipe makes the child wait for us: its figures are read while it still runs.
    while out.read(&mut buffer).unwrap() > 0 {
        let about = fs::read_to_string(&status).unwrap_or_default();
        let figure = about
            .lines()
            .find_map(|line| line.strip_prefix("VmHWM:"))
            .and_then(|rest| rest.split_whitespace().next())
            .and_then(|figure| figure.parse().ok());
        most = most.max(figure.unwrap_or(0));
    }
    assert!(child.wait().unwrap().success());
    most
}

#[test]
#[cfg(target_os = "linux")]
fn memory_does_not_grow_with_the_fleet() {
    let folder = Folder::new();
    let (some, many) = (peak(&folder, 70), peak(&folder, 420));
    assert!(some > 1000, "{some} KiB");
    assert!(
        many < some + some / 4,
        "{some} KiB for 70, {many} KiB for 420"
    );
}
