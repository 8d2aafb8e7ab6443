//! What is printed about whole records: words as snapshots, data against its own schema.

use jsonschema::Validator;
use serde_json::Value;

use crate::run::records;
use crate::run::run;

fn validator(name: &str) -> Validator {
    let schema = run(["schema", name]);
    assert_eq!(schema.code, Some(0), "{schema:?}");
    let schema: Value = serde_json::from_str(&schema.out).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

fn valid(validator: &Validator, what: &str, text: &str) -> Value {
    let value: Value = serde_json::from_str(text).unwrap_or_else(|error| panic!("{what}: {error}"));
    let faults: Vec<String> = validator
        .iter_errors(&value)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(faults.is_empty(), "{what}: {faults:#?}");
    value
}

#[test]
fn every_audit_in_json_is_as_its_schema_says() {
    let validator = validator("audit");
    let mut read = 0;
    let mut refused = 0;
    for folder in [
        "examples",
        "tests/data/clean",
        "tests/data/faulty",
        "tests/data/errors",
        "tests/data/hostile",
    ] {
        for record in records(folder) {
            let ran = run(["audit", "--format", "json", &record]);
            assert!(matches!(ran.code, Some(0..=2)), "{record}: {ran:?}");
            let value = valid(&validator, &record, &ran.out);
            if ran.code == Some(2) {
                refused += 1;
                assert!(
                    value["unreadable"]
                        .as_array()
                        .is_some_and(|faults| !faults.is_empty()),
                    "{record}"
                );
            } else {
                read += 1;
                agrees_with_itself(&record, &value);
            }
        }
    }
    assert!(read > 0 && refused > 0, "{read} read, {refused} refused");
}

/// Counts count what is listed, and a place is where it says.
fn agrees_with_itself(record: &str, value: &Value) {
    let findings = value["findings"].as_array().unwrap();
    let count = |level: &str| {
        findings
            .iter()
            .filter(|one| one["accepted"].is_null() && one["level"] == level)
            .count() as u64
    };
    assert_eq!(value["summary"]["errors"], count("error"), "{record}");
    assert_eq!(value["summary"]["warnings"], count("warning"), "{record}");
    assert_eq!(value["summary"]["notes"], count("note"), "{record}");
    let gaps = value["not_checked"].as_array().unwrap().len() as u64;
    assert_eq!(value["summary"]["not_checked"], gaps, "{record}");
    let text = std::fs::read_to_string(crate::run::root().join(record)).unwrap();
    let lines: Vec<&str> = text.trim_start_matches('\u{feff}').lines().collect();
    for finding in findings {
        let line = finding["at"]["line"].as_u64().unwrap() as usize;
        let column = finding["at"]["column"].as_u64().unwrap() as usize;
        assert!(
            column <= lines[line - 1].chars().count() + 1,
            "{record}: {finding}"
        );
    }
    let names: Vec<&str> = value["situations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|situation| situation["name"].as_str().unwrap())
        .collect();
    assert_eq!(names[..2], ["parked", "all on"], "{record}");
}

#[test]
fn the_checks_in_json_are_as_their_schema_says() {
    let ran = run(["explain", "--format", "json"]);
    let value = valid(&validator("explain"), "explain", &ran.out);
    assert_eq!(
        value["checks"].as_array().unwrap().len(),
        keyoff::check::ALL.len()
    );
}

#[test]
fn standing_and_budget_in_json_are_as_their_schemas_say() {
    for (command, folder) in [
        ("park", "examples"),
        ("budget", "examples"),
        ("wirelist", "examples"),
        ("fuses", "examples"),
        ("hot", "examples"),
        ("hot", "tests/data/clean"),
        ("matrix", "examples"),
        ("matrix", "tests/data/clean"),
        ("hunt", "examples"),
        ("hunt", "tests/data/clean"),
        ("walkround", "examples"),
        ("walkround", "tests/data/faulty"),
        ("diagram", "examples"),
        ("park", "tests/data/clean"),
        ("budget", "tests/data/clean"),
    ] {
        let validator = validator(command);
        for record in records(folder) {
            let ran = run([command, "--format", "json", &record]);
            assert_eq!(ran.code, Some(0), "{command} {record}: {ran:?}");
            valid(&validator, &record, &ran.out);
        }
        let refused = run([command, "--format", "json", "no-such.yaml"]);
        assert_eq!(refused.code, Some(2));
        valid(&validator, "no-such.yaml", &refused.out);
    }
}

/// Every part of every example, taken out alone, and all added parts at once.
#[test]
fn removals_in_json_are_as_their_schema_says() {
    let validator = validator("remove");
    let mut planned = 0;
    for record in records("examples") {
        let audit = run(["park", "--format", "json", &record]);
        let park: Value = serde_json::from_str(&audit.out).unwrap();
        for part in ["F1", "K1", "S1", "G1", "ALT", "RUN", "B1"] {
            let ran = run(["remove", "--format", "json", &record, part]);
            if ran.code == Some(2) {
                // Not a part of this record, or one that stays.
                assert!(
                    !(ran.out.is_empty() && ran.err.is_empty()),
                    "{record} {part}"
                );
                continue;
            }
            assert_eq!(ran.code, Some(0), "{record} {part}: {ran:?}");
            let value = valid(&validator, &record, &ran.out);
            assert_eq!(value["before"]["draw_a"], park["draw_a"], "{record} {part}");
            assert_eq!(value["remove"][0], part);
            planned += 1;
        }
    }
    assert!(planned > 10, "{planned}");
    let refused = run(["remove", "--format", "json", "no-such.yaml", "F1"]);
    assert_eq!(refused.code, Some(2));
    valid(&validator, "no-such.yaml", &refused.out);
}

#[test]
fn comparisons_are_as_their_schema_says_and_agree_with_removals() {
    let validator = validator("compare");
    let folder = crate::run::Folder::new();
    let after = folder.0.join("after.yaml");
    let after = after.to_str().unwrap();
    let record = "examples/before-removal.yaml";
    let parts = ["SIREN", "F2", "K1"];
    let removed = ["remove", record, "--format", "json", "--write", after];
    let plan = run(removed.iter().chain(&parts));
    let plan: Value = serde_json::from_str(&plan.out).unwrap();
    let ran = run(["compare", record, after, "--format", "json"]);
    let value = valid(&validator, record, &ran.out);
    assert_eq!(value["before"], plan["before"]);
    assert_eq!(value["after"], plan["after"]);
    let mut gone: Vec<&str> = value["parts"]["only_a"]
        .as_array()
        .unwrap()
        .iter()
        .map(|name| name.as_str().unwrap())
        .collect();
    gone.sort_unstable();
    assert_eq!(gone, ["F2", "K1", "SIREN"]);
    let wires = plan["wires_out"].as_array().unwrap().len();
    assert_eq!(value["wires"]["only_a"].as_array().unwrap().len(), wires);
    let same = run(["compare", record, record, "--format", "json"]);
    let same = valid(&validator, record, &same.out);
    for list in ["vehicle", "draws"] {
        assert!(same[list].as_array().unwrap().is_empty(), "{list}");
    }
    assert!(same["findings"]["both"].as_u64().unwrap() > 0);
    let refused = run(["compare", record, "no-such.yaml", "--format", "json"]);
    assert_eq!(refused.code, Some(2));
    valid(&validator, "no-such.yaml", &refused.out);
}

#[test]
fn what_differs_in_words() {
    told_of(
        "compare",
        "examples/service-body.yaml",
        &["tests/data/clean/work-lamps-on-a-relay.yaml"],
    );
}

#[test]
fn removals_in_words() {
    let before = "examples/before-removal.yaml";
    told_of(
        "remove",
        before,
        &["K1", "SDOOR", "SLAMP", "LOADLAMP", "SIREN", "F1", "F2"],
    );
    told_of("remove", "examples/used-truck.yaml", &["S2", "F1"]);
}

#[test]
fn tables_in_json_are_as_their_schema_says() {
    let validator = validator("tables");
    let ran = run(["tables", "--format", "json"]);
    let value = valid(&validator, "tables", &ran.out);
    for table in value["tables"].as_array().unwrap() {
        let name = table["name"].as_str().unwrap();
        assert_eq!(run(["tables", name]).code, Some(0), "{name}");
        let columns = table["columns"].as_array().unwrap().len();
        for row in table["rows"].as_array().unwrap() {
            assert_eq!(row.as_array().unwrap().len(), columns, "{name}");
        }
    }
}

/// The same figures in an audit and in the command that is about them alone.
#[test]
fn commands_agree_on_the_draw() {
    for record in records("examples") {
        let audit = run(["audit", "--format", "json", &record]);
        let park = run(["park", "--format", "json", &record]);
        let audit: Value = serde_json::from_str(&audit.out).unwrap();
        let park: Value = serde_json::from_str(&park.out).unwrap();
        for figure in [
            "draw_a",
            "draw_low_a",
            "draw_high_a",
            "by_part",
            "by_fuse",
            "simple_days",
        ] {
            assert_eq!(audit["key_off"][figure], park[figure], "{record}: {figure}");
        }
    }
}

/// Of several records each has its own line, and one that cannot be used does not hide the others.
#[test]
fn several_records_are_a_line_each() {
    let validator = validator("audit");
    let ran = run([
        "audit",
        "--format",
        "json",
        "examples/service-body.yaml",
        "no-such.yaml",
        "examples/used-truck.yaml",
    ]);
    assert_eq!(ran.code, Some(2));
    let lines: Vec<&str> = ran.out.lines().collect();
    assert_eq!(lines.len(), 3);
    for line in &lines {
        valid(&validator, line, line);
    }
    assert!(lines[1].contains("unreadable"));
}

#[test]
fn sizes_are_as_their_schema_says_and_what_fits_nothing_is_told() {
    let validator = validator("size");
    for (args, code) in [
        (vec!["--draw", "14A", "--length", "6m"], 0),
        (
            vec![
                "--draw",
                "160W",
                "--length",
                "20ft",
                "--inrush",
                "6x for 500ms",
                "--voltage",
                "24V",
            ],
            0,
        ),
        (vec!["--draw", "3000A", "--length", "2m"], 1),
        (vec!["examples/service-body.yaml", "--for", "COMP"], 0),
        (vec!["no-such.yaml", "--for", "COMP"], 2),
    ] {
        let all = ["size", "--format", "json"]
            .into_iter()
            .chain(args.iter().copied());
        let ran = run(all);
        assert_eq!(ran.code, Some(code), "{args:?} {ran:?}");
        let value = valid(&validator, "size", &ran.out);
        if code == 0 {
            let fits = |row: &serde_json::Value| row["fits"] == true;
            let first = value["table"]
                .as_array()
                .unwrap()
                .iter()
                .find(|row| fits(row));
            assert_eq!(first.unwrap()["size"], value["wire"]["size"], "{args:?}");
        }
    }
    for wrong in [
        vec!["size"],
        vec!["size", "--draw", "14", "--length", "6m"],
        vec!["size", "--draw", "14A", "--length", "-6m"],
        vec![
            "size",
            "--draw",
            "14A",
            "--length",
            "6m",
            "--rule",
            "none-such",
        ],
        vec!["size", "examples/service-body.yaml", "--for", "NOBODY"],
    ] {
        let ran = run(wrong.clone());
        assert_eq!(ran.code, Some(2), "{wrong:?} {ran:?}");
        assert!(!ran.err.is_empty());
    }
}

#[test]
fn examples_in_words() {
    for record in records("examples") {
        told("audit", &record);
    }
    told("walkround", "examples/used-truck.yaml");
    for command in ["park", "budget", "fuses", "wirelist"] {
        told(command, "examples/plow-and-spreader.yaml");
    }
}

#[test]
fn states_in_words() {
    for command in ["hot", "matrix"] {
        told(command, "examples/used-truck.yaml");
    }
    let ran = run(["trace", "examples/used-truck.yaml", "K1"]);
    insta::assert_snapshot!("trace-used-truck", ran.out);
}

/// Every part and every wire of the examples can be traced; what is said of a point agrees with what the list of all says.
#[test]
fn points_are_traced() {
    let validator = validator("trace");
    let record = "examples/used-truck.yaml";
    let hot: Value = serde_json::from_str(&run(["hot", "--format", "json", record]).out).unwrap();
    for line in hot["hot"].as_array().unwrap() {
        let name = line["wire"].as_str().or(line["point"].as_str()).unwrap();
        let ran = run(["trace", "--format", "json", record, name]);
        assert_eq!(ran.code, Some(0), "{name}: {ran:?}");
        let trace = valid(&validator, name, &ran.out);
        let live = trace["terminals"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|terminal| terminal["keys"].as_array().unwrap())
            .any(|key| key["key"] == "off" && key["live"] == true);
        assert!(live, "{name}: {trace}");
    }
    let nothing = run(["trace", record, "BEACONN"]);
    assert_eq!(nothing.code, Some(2));
    assert!(nothing.err.contains("did you mean"), "{nothing:?}");
    let csv = run(["hot", "--format", "csv", record]);
    assert!(csv.out.starts_with("wire,point,from"), "{csv:?}");
    let csv = run(["matrix", "--format", "csv", record]);
    assert!(csv.out.contains("on: S1 closed"), "{csv:?}");
}

#[test]
fn a_hunt_in_words() {
    told("hunt", "examples/dead-battery.yaml");
}

fn told(command: &str, record: &str) {
    told_of(command, record, &[]);
}

fn told_of(command: &str, record: &str, more: &[&str]) {
    let ran = run([command, record].iter().chain(more));
    assert_eq!(ran.err, "", "{record}");
    for line in ran.out.lines() {
        // Lines of the record are shown as they are.
        let shown = line.contains(['│', '·']);
        let columns = line.chars().count();
        assert!(
            shown || columns <= 100,
            "{record}: {columns} columns: {line}"
        );
    }
    // Nothing that has been looked at is promised to be harmless.
    let lower = ran.out.to_lowercase();
    assert!(
        !lower
            .split(|c: char| !c.is_alphabetic())
            .any(|word| word == "safe"),
        "{record}"
    );
    let name = record.rsplit('/').next().unwrap().trim_end_matches(".yaml");
    insta::assert_snapshot!(format!("{command}-{name}"), ran.out);
}

/// The log of every record there is, sound, faulty or unreadable, against the schema that the standard publishes.
#[test]
fn sarif_is_as_the_standard_says() {
    let schema = include_str!("../data/sarif/sarif-schema-2.1.0.json");
    // As published, the pattern of `language`, which we do not write, is no regular expression: it has a bracket too many.
    let schema = schema.replace("[a-zA-Z]{2}]?$", "[a-zA-Z]{2}$");
    let schema: Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::options()
        .should_validate_formats(true)
        .build(&schema)
        .unwrap();
    let folder = crate::run::Folder::new();
    let faulty = crate::run::root().join("tests/data/faulty/fuse-exceeds-wire--F1.yaml");
    let accepted = std::fs::read_to_string(faulty).unwrap()
        + "accept:\n  - {check: fuse-exceeds-wire, part: F1, because: it will be changed on Monday}\n";
    let accepted = folder.file("accepted.yaml", &accepted);
    let mut args = vec!["audit", "--format", "sarif", accepted.to_str().unwrap()];
    args.extend(["examples", "tests/data/faulty", "tests/data/hostile"]);
    args.extend(["tests/data/errors", "no-such file.yaml"]);
    let ran = run(args);
    assert_eq!(ran.code, Some(2));
    let log = valid(&validator, "the log", &ran.out);
    let run_of = &log["runs"][0];
    let results = run_of["results"].as_array().unwrap();
    let with = |kind: &str| results.iter().filter(|one| one["kind"] == kind).count();
    assert!(results.len() > 100 && with("open") > 10);
    assert!(results.iter().any(|one| one["suppressions"].is_array()));
    let told = &run_of["invocations"][0]["toolExecutionNotifications"];
    assert!(told.as_array().unwrap().len() > 50);
    // The schema can say no.
    let mut wrong = log.clone();
    wrong["runs"][0]["results"][0]["level"] = "bad".into();
    assert!(!validator.is_valid(&wrong));
}

/// An XML parser of others reads it, and its counts count what is listed.
#[test]
fn junit_is_xml_whose_counts_are_right() {
    let mut args = vec!["audit", "--format", "junit", "--fail-on", "warning"];
    args.extend(["examples", "tests/data/faulty", "tests/data/hostile"]);
    args.extend(["tests/data/errors", "no-such <file>.yaml"]);
    let ran = run(args);
    assert_eq!(ran.code, Some(2));
    let document = roxmltree::Document::parse(&ran.out).unwrap_or_else(|error| panic!("{error}"));
    let mut suites = 0;
    let mut seen = [0; 3];
    for suite in document
        .root_element()
        .children()
        .filter(roxmltree::Node::is_element)
    {
        suites += 1;
        let listed = |name: &str| {
            suite
                .descendants()
                .filter(|node| node.has_tag_name(name))
                .count()
        };
        for (at, (count, element)) in [
            ("failures", "failure"),
            ("errors", "error"),
            ("skipped", "skipped"),
        ]
        .into_iter()
        .enumerate()
        {
            let said: usize = suite.attribute(count).unwrap().parse().unwrap();
            assert_eq!(said, listed(element), "{suite:?}");
            seen[at] += said;
        }
        let tests: usize = suite.attribute("tests").unwrap().parse().unwrap();
        assert_eq!(tests, listed("testcase"), "{suite:?}");
    }
    assert!(
        suites > 50 && seen.iter().all(|count| *count > 10),
        "{suites} {seen:?}"
    );
}
