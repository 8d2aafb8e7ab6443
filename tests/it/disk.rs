//! Disks that are full, folders that may not be written, an end in the middle: no half file, nothing lost, and it is told.

#![cfg(unix)]

use std::fs;
use std::fs::File;
use std::process::Command;
use std::process::Stdio;

use crate::run::Folder;
use crate::run::finish;
use crate::run::keyoff;
use crate::run::root;
use crate::run::run;
use crate::run::run_in;

const SOUND: &str = "tests/data/clean/work-lamps-on-a-relay.yaml";

fn sound() -> String {
    root().join(SOUND).display().to_string()
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    for args in [
        &["audit", SOUND][..],
        &["audit", "--format", "json", SOUND],
        &["audit", "tests/data/clean"],
        &["audit", "--format", "sarif", "tests/data/clean"],
        &["diagram", SOUND],
        &["tables"],
        &["schema", "vehicle"],
    ] {
        let full = File::options().write(true).open("/dev/full").unwrap();
        let mut child = keyoff();
        child.args(args).stdout(full).stderr(Stdio::piped());
        let output = child.spawn().unwrap().wait_with_output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}: {told}");
        assert!(told.contains("cannot be written"), "{args:?}: {told}");
    }
    let device = run(["diagram", SOUND, "-o", "/dev/full"]);
    assert_eq!(device.code, Some(2), "{device:?}");
    assert!(
        device.err.contains("`/dev/full` cannot be written"),
        "{device:?}"
    );
    // Where even the complaint cannot be written, the exit code still says it.
    let full = || File::options().write(true).open("/dev/full").unwrap();
    let ended = keyoff()
        .args(["audit", SOUND])
        .stdout(full())
        .stderr(full())
        .status();
    assert_eq!(ended.unwrap().code(), Some(2));
}

#[test]
fn a_folder_that_may_not_be_written_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let folder = Folder::new();
    folder.file("shut/old.svg", "old");
    let shut = folder.0.join("shut");
    fs::set_permissions(&shut, fs::Permissions::from_mode(0o555)).unwrap();
    // Whoever may do everything is not stopped by permissions; what the kernel itself owns stops him too.
    let free = File::create(shut.join("try")).is_ok();
    let places = if free {
        vec!["/proc/x"]
    } else {
        vec!["shut/x", "/proc/x"]
    };
    for place in places {
        let wanted = format!("{place}.svg");
        let ran = run_in(&folder.0, ["diagram", &sound(), "-o", &wanted]);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{ran:?}");
        assert!(ran.err.contains("cannot be written"), "{ran:?}");
        let summary = format!("{place}.csv");
        let ran = run_in(&folder.0, ["audit", &sound(), "--summary", &summary]);
        // Told before any work is done.
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{ran:?}");
    }
    fs::set_permissions(&shut, fs::Permissions::from_mode(0o755)).unwrap();
    assert_eq!(folder.read("shut/old.svg"), "old");
}

/// The kernel ends the process in the middle of writing, as a power cut would: at its limit for the size of a file.
#[test]
fn an_end_in_the_middle_leaves_the_old_file_whole_and_no_half_one() {
    let folder = Folder::new();
    folder.file("there.html", "old and whole");
    for (file, before) in [("there.html", Some("old and whole")), ("new.html", None)] {
        let output = Command::new("sh")
            .args([
                "-c",
                "ulimit -f 1 && exec \"$0\" report \"$1\" -o \"$2\" --force",
            ])
            .args([env!("CARGO_BIN_EXE_keyoff"), &sound(), file])
            .current_dir(&folder.0)
            .output()
            .unwrap();
        assert!(
            !output.status.success(),
            "the limit was not reached: {output:?}"
        );
        let after = fs::read_to_string(folder.0.join(file)).ok();
        assert_eq!(after.as_deref(), before, "{file}");
    }
    // What was begun lies beside under a name of its own that starts with a dot; the next run is not in its way.
    for entry in fs::read_dir(&folder.0).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(name == "there.html" || name.starts_with('.'), "{name}");
    }
    let ran = run_in(&folder.0, ["report", &sound(), "-o", "new.html"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(folder.read("new.html").ends_with("</html>\n"));
}

/// A mark at the start and line ends of another system change no word of what is said.
#[test]
fn line_ends_and_a_byte_order_mark_change_nothing() {
    let folder = Folder::new();
    for record in [
        "examples/used-truck.yaml",
        "tests/data/errors/unknown-key.yaml",
    ] {
        let text = fs::read_to_string(root().join(record)).unwrap();
        let forms = [
            text.clone(),
            text.replace('\n', "\r\n"),
            format!("\u{feff}{text}"),
            format!("\u{feff}{}", text.replace('\n', "\r\n")),
        ];
        let mut said = Vec::new();
        for form in forms {
            folder.file("record.yaml", &form);
            let ran = run_in(&folder.0, ["audit", "--format", "json", "record.yaml"]);
            let words = run_in(&folder.0, ["audit", "record.yaml"]);
            assert!(
                !words.out.contains('\r') && !words.err.contains('\r'),
                "{record}"
            );
            said.push((ran, words));
        }
        assert!(said.iter().all(|one| *one == said[0]), "{record}");
    }
}

/// Runs in a terminal of so many columns; nothing where this system cannot make one.
fn in_a_terminal(columns: usize, environment: &str, args: &str) -> Option<String> {
    let tool = env!("CARGO_BIN_EXE_keyoff");
    let command = format!("stty rows 30 cols {columns}; {environment} '{tool}' {args}");
    let mut script = Command::new("script");
    script
        .args(["-qec", &command, "/dev/null"])
        .env("TERM", "xterm");
    script
        .env_remove("NO_COLOR")
        .current_dir(root())
        .stdin(Stdio::null());
    match script.output() {
        Ok(output) => Some(String::from_utf8(output.stdout).unwrap()),
        Err(error) => {
            assert!(std::env::var_os("CI").is_none(), "script: {error}");
            None
        }
    }
}

/// The text without what colours it.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('\u{1b}') {
        out += before;
        rest = after
            .split_once(|c: char| c.is_ascii_alphabetic())
            .map_or("", |(_, rest)| rest);
    }
    out + rest
}

#[test]
fn a_terminal_gets_colour_unless_it_is_refused_and_lines_that_fit() {
    const FAULTY: &str = "audit tests/data/faulty/fuse-exceeds-wire--F1.yaml";
    let Some(coloured) = in_a_terminal(72, "", FAULTY) else {
        return;
    };
    assert!(coloured.contains("\u{1b}["), "{coloured}");
    for (environment, args) in [
        ("NO_COLOR=1", FAULTY.to_owned()),
        ("", format!("{FAULTY} --color never")),
        ("TERM=dumb", FAULTY.to_owned()),
    ] {
        let text = in_a_terminal(72, environment, &args).unwrap();
        assert!(!text.contains('\u{1b}'), "{environment} {args}");
        assert_eq!(text, plain(&coloured), "colour changes no word");
    }
    for columns in [60, 72, 80, 100] {
        let text = plain(&in_a_terminal(columns, "", FAULTY).unwrap());
        let long = text.lines().map(str::trim_end).find(|line| {
            // Lines of the record are shown as they are.
            line.chars().count() > columns && !line.contains(['│', '·'])
        });
        assert_eq!(long, None, "{columns} columns");
    }
    // What is asked for in so many words is given to a pipe too.
    let piped = finish(
        keyoff()
            .env("NO_COLOR", "1")
            .args(FAULTY.split(' '))
            .args(["--color", "always"]),
    );
    assert!(piped.out.contains("\u{1b}["));
}

#[test]
fn a_fleet_shows_its_progress_on_a_terminal() {
    let Some(text) = in_a_terminal(100, "", "audit tests/data/clean --format json > /dev/null")
    else {
        return;
    };
    assert!(text.contains("records") && text.contains('\r'), "{text:?}");
}
