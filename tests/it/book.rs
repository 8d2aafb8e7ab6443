//! README, guide and book say what is so: their links lead somewhere, their output is that of the tool, their picture is
//! current. `REWRITE=1 cargo test` writes outputs and pictures anew.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub(crate) fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// Standard output of the tool, run where the README's reader stands.
fn keyoff(words: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_keyoff"))
        .current_dir(root())
        .env_clear()
        .args(words)
        .output()
        .unwrap();
    assert!(
        output.status.code() != Some(2),
        "{words:?}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

/// Writes a file anew where asked to, else sees that it is current.
pub(crate) fn hold(path: &str, current: &str) {
    if std::env::var_os("REWRITE").is_some() {
        fs::write(root().join(path), current).unwrap();
    }
    let there = fs::read_to_string(root().join(path)).unwrap_or_default();
    assert!(
        there == current,
        "{path} is not current: REWRITE=1 cargo test writes it anew"
    );
}

fn pages(folder: &str, into: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(root().join(folder)).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            pages(path.to_str().unwrap(), into);
        } else if path.extension().is_some_and(|ending| ending == "md") {
            into.push(path);
        }
    }
}

#[test]
fn every_link_leads_to_a_file() {
    let mut all = vec![root().join("README.md"), root().join("DEVELOPERS.md")];
    pages("docs", &mut all);
    let mut links = 0;
    for page in all {
        let text = fs::read_to_string(&page).unwrap();
        for link in text
            .split("](")
            .skip(1)
            .filter_map(|rest| rest.split(')').next())
        {
            let target = link.split('#').next().unwrap();
            if target.is_empty() || target.contains("://") {
                continue;
            }
            links += 1;
            let path = page.parent().unwrap().join(target);
            assert!(path.exists(), "{}: nothing at {link}", page.display());
        }
    }
    assert!(links > 10, "only {links} links were found");
}

/// `<!-- keyoff WORDS, first N lines -->` or `…, all lines -->` before a fenced block: the block is that output, of commands run
/// one after the other in a folder of their own that holds the examples.
fn outputs(page: &str) -> (String, usize) {
    let folder = crate::run::Folder::new();
    for example in crate::run::records("examples") {
        folder.file(&example, &text(&example));
    }
    let mut current = String::new();
    let mut lines = page.lines();
    let mut outputs = 0;
    while let Some(line) = lines.next() {
        current += line;
        current += "\n";
        let Some(marker) = line.strip_prefix("<!-- keyoff ") else {
            continue;
        };
        let (words, count) = marker.rsplit_once(", ").unwrap();
        let count: usize = match count.trim_end_matches(" lines -->") {
            "all" => usize::MAX,
            first => first.strip_prefix("first ").unwrap().parse().unwrap(),
        };
        assert_eq!(lines.next(), Some("```text"), "{line}");
        for skipped in lines.by_ref() {
            if skipped == "```" {
                break;
            }
        }
        let ran = crate::run::run_in(&folder.0, words.split(' '));
        assert!(ran.code != Some(2), "{words}: {}", ran.err);
        current += "```text\n";
        for shown in ran.out.lines().take(count) {
            current += shown;
            current += "\n";
        }
        current += "```\n";
        outputs += 1;
    }
    (current, outputs)
}

#[test]
fn the_outputs_in_readme_and_book_are_those_of_the_tool() {
    let walks = ["docs/upfitter.md", "docs/inspector.md", "docs/owner.md"];
    for page in ["README.md"].into_iter().chain(walks) {
        let (current, outputs) = outputs(&text(page));
        assert!(outputs > 0, "{page} shows no output");
        hold(page, &current);
    }
}

/// The list of all checks, from the code.
#[test]
fn the_list_of_checks_is_current() {
    let mut page = String::from(
        "# Checks\n\nWhat is looked for, one page each; `keyoff explain NAME` prints the same. A finding is an *error* where it can burn,\n\
         strand or break the law, a *warning* where it annoys or wears out, a *note* where it is worth knowing. A check whose facts are\n\
         not stated says which, and passes nothing.\n\n| check | level | harm | what it looks for |\n|---|---|---|---|\n",
    );
    let mut checks: Vec<_> = keyoff::check::ALL.iter().map(|check| &check.meta).collect();
    checks.sort_by_key(|meta| meta.name);
    for meta in checks {
        page += &format!(
            "| [{0}]({0}.md) | {1} | {2} | {3} |\n",
            meta.name,
            keyoff::render::words::level(meta.level),
            keyoff::render::words::harm(meta.harm),
            meta.summary
        );
    }
    hold("docs/checks/README.md", &page);
    // A page for every check, and no page for none.
    let mut files = Vec::new();
    pages("docs/checks", &mut files);
    assert_eq!(files.len(), keyoff::check::ALL.len() + 1);
}

#[test]
fn the_picture_in_the_readme_is_drawn_from_the_example() {
    let picture = keyoff(&["diagram", "examples/service-body.yaml"]);
    assert!(picture.contains("<svg"), "{picture:.100}");
    hold("docs/service-body.svg", &picture);
}

/// The commands that `keyoff --help` lists.
fn commands() -> Vec<String> {
    let help = keyoff(&["--help"]);
    let commands: Vec<String> = help
        .lines()
        .skip_while(|line| *line != "Commands:")
        .skip(1)
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|command| *command != "help")
        .map(str::to_owned)
        .collect();
    assert!(commands.len() > 3, "{help}");
    commands
}

#[test]
fn every_command_has_its_section() {
    let commands: BTreeSet<String> = commands().into_iter().collect();
    let page = text("docs/commands.md");
    let sections: BTreeSet<String> = page
        .lines()
        .filter_map(|line| line.strip_prefix("## `keyoff "))
        .filter_map(|rest| rest.split([' ', '`']).next())
        .map(str::to_owned)
        .collect();
    assert_eq!(
        commands, sections,
        "docs/commands.md and keyoff --help differ"
    );
}

/// The end of `docs/commands.md` has every option of every command, as `--help` has them.
#[test]
fn every_option_is_in_the_book() {
    const MARK: &str = "<!-- every option, from --help -->\n";
    let everywhere = ["--color", "--help"];
    let mut list = String::new();
    let mut count = 0;
    for command in commands() {
        let help = keyoff(&[&command, "--help"]);
        let options: Vec<String> = help
            .lines()
            .skip_while(|line| *line != "Options:")
            .map(str::trim_start)
            .filter(|line| line.starts_with('-') && !line.starts_with("- "))
            .filter(|line| !everywhere.iter().any(|option| line.contains(option)))
            .map(|line| format!("`{}`", line.trim_end()))
            .collect();
        count += options.len();
        let options = if options.is_empty() {
            "none".to_owned()
        } else {
            options.join(", ")
        };
        let _ = writeln!(list, "- `keyoff {command}`: {options}");
    }
    assert!(count > 60, "{list}");
    let page = text("docs/commands.md");
    let (before, _) = page.split_once(MARK).expect("the mark of the list");
    hold("docs/commands.md", &format!("{before}{MARK}{list}"));
}

#[test]
fn the_changes_speak_of_this_version() {
    let version = env!("CARGO_PKG_VERSION");
    assert!(
        text("docs/CHANGELOG.md").contains(&format!("\n## {version}")),
        "no section {version}"
    );
}

#[test]
fn the_map_names_every_module() {
    let map = text("DEVELOPERS.md");
    let mut modules = 0;
    for entry in fs::read_dir(root().join("src")).unwrap() {
        let entry = entry.unwrap();
        if entry.path().is_dir() {
            let name = entry.file_name().into_string().unwrap();
            assert!(
                map.contains(&format!("`src/{name}/")),
                "src/{name}/ is not on the map"
            );
            modules += 1;
        }
    }
    assert!(modules > 5);
}

#[test]
fn examples_point_editors_at_the_schema() {
    for entry in fs::read_dir(root().join("examples")).unwrap() {
        let path = entry.unwrap().path();
        let record = fs::read_to_string(&path).unwrap();
        let first = record.lines().next().unwrap();
        let schema = first
            .strip_prefix("# yaml-language-server: $schema=")
            .unwrap_or_else(|| panic!("{}: {first}", path.display()));
        assert!(path.parent().unwrap().join(schema).exists(), "{schema}");
        assert!(
            record.contains("invented"),
            "{}: says not that it is invented",
            path.display()
        );
    }
}
