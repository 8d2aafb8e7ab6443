//! The pages as texts: order of headings, names of everything, nothing that escapes.

use std::collections::BTreeSet;

use crate::run::records;
use crate::run::run;
use crate::run::run_with_input;

/// Every place that takes words has words that would do harm if they were not escaped.
pub const HOSTILE: &str = r#"keyoff: 1
vehicle: {name: "</title><script>alert(1)</script>", system: 12 V, stands: 7 days, own-load: {off: 20 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 75 Ah, what: "</svg><script>alert(2)</script>"}
  ALT: {kind: alternator, rated: 120 A, at-idle: 60 A}
  "<script>": {kind: fuse, rating: 30 A, form: blade, what: "<img src=x onerror=alert(3)>", place: "\"><b>"}
  "=1+1": {kind: fuse, rating: 5 A, form: blade, what: "@SUM(A1)"}
  S1: {kind: switch, left: closed, what: "' onmouseover='alert(4)"}
  LAMP: {kind: load, type: led, draw: 6 A, what: "<!-- --><style>*{display:none}</style>"}
  HORN: {kind: load, type: motor, draw: 3 A}
  CUT: {kind: stub, end: bare, found: "]]>&amp;<a href='javascript:alert(5)'>"}
wires:
  - {run: [B1, "<script>", S1, LAMP], size: 18 AWG, lengths: [10 cm, 1 m, 2 m], insulation: gpt, color: "red<i>", note: "</pre>"}
  - {id: "<b>id", from: "<script>", to: CUT, size: 16 AWG, length: unknown}
  - {id: "+w", from: LAMP, to: chassis, size: 18 AWG, length: 10 cm, insulation: gpt, color: "-black", note: "=cmd|' /C calc'!A0"}
  - {run: [B1, "=1+1", HORN], size: 18 AWG, lengths: [10 cm, 1 m], insulation: gpt}
situations:
  "<u>night</u>": {key: run, engine: idle, phases: [{what: "<s>go", engine: cruise, for: 1 h}]}
accept:
  - {check: can-be-left-on, because: "<script>alert(6)</script>"}
"#;

/// The papers of the trade.
pub const PAPERS: [&str; 3] = ["hand-over", "condition", "load-analysis"];

/// A removal, as its record is asked for.
pub const REMOVAL: [&str; 11] = [
    "report",
    "examples/before-removal.yaml",
    "--paper",
    "removal-record",
    "--remove",
    "SIREN",
    "K1",
    "SDOOR",
    "SLAMP",
    "LOADLAMP",
    "F2",
];

/// The tags of a page in order, without those of the pictures.
fn tags(page: &str) -> Vec<&str> {
    page.split('<')
        .skip(1)
        .filter_map(|rest| rest.split('>').next())
        .collect()
}

/// A section of a page.
fn section<'p>(page: &'p str, id: &str) -> &'p str {
    let from = page.find(&format!("<section id=\"{id}\"")).unwrap();
    let to = page[from..].find("</section>").unwrap();
    &page[from..from + to]
}

/// A row of a table.
fn row<'p>(section: &'p str, name: &str) -> &'p str {
    let from = section.find(&format!(">{name}</th>")).unwrap();
    let to = section[from..].find("</tr>").unwrap();
    &section[from..from + to]
}

fn report(record: &str) -> String {
    let ran = run(["report", record]);
    assert_eq!(ran.code, Some(0), "{record}: {ran:?}");
    ran.out
}

#[test]
fn nothing_of_a_record_gets_out_of_its_place() {
    let ran = run_with_input(HOSTILE.as_bytes(), ["report", "-"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let known: BTreeSet<&str> = [
        "!DOCTYPE",
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "a",
        "header",
        "h1",
        "p",
        "nav",
        "ul",
        "li",
        "main",
        "section",
        "h2",
        "h3",
        "h4",
        "dl",
        "div",
        "dt",
        "dd",
        "ol",
        "span",
        "article",
        "figure",
        "figcaption",
        "code",
        "mark",
        "strong",
        "table",
        "caption",
        "thead",
        "tr",
        "th",
        "tbody",
        "td",
        "fieldset",
        "legend",
        "input",
        "label",
        "footer",
        "svg",
        "g",
        "path",
        "rect",
        "polygon",
        "polyline",
        "circle",
        "line",
        "text",
        "abbr",
    ]
    .into();
    for tag in tags(&ran.out) {
        let name = tag
            .trim_start_matches('/')
            .split([' ', '/', '\n'])
            .next()
            .unwrap();
        assert!(known.contains(name), "<{tag}>");
        let outside_quotes: String = tag.split('"').step_by(2).collect();
        assert!(!outside_quotes.contains(" on"), "<{tag}>");
        assert!(!tag.contains("href=\"javascript:"), "<{tag}>");
    }
    for shown in [
        "&lt;script&gt;",
        "&lt;img src=x onerror=alert(3)&gt;",
        "&lt;u&gt;night&lt;/u&gt;",
    ] {
        assert!(ran.out.contains(shown), "{shown} is not shown");
    }
    assert_eq!(ran.out.matches("<style>").count(), 1);
    assert_eq!(
        ran.out.matches("</title>").count(),
        1 + ran.out.matches("<svg").count()
    );
}

#[test]
fn a_paper_leaves_room_for_a_pen_and_says_its_conditions() {
    for paper in PAPERS {
        let ran = run(["report", "examples/used-truck.yaml", "--paper", paper]);
        assert_eq!(ran.code, Some(0), "{ran:?}");
        let page = ran.out;
        for wanted in [
            "Who, what, when",
            "Identification number",
            "Date and place",
            "Signature",
            "To be measured at the vehicle",
            "Temperature",
            "160 mA in battery negative",
            "40 min",
            "certifies nothing",
        ] {
            assert!(page.contains(wanted), "{paper}: {wanted}");
        }
        assert!(page.matches("class=\"blank\"").count() > 20, "{paper}");
        let text = page.to_lowercase();
        assert!(
            text.split(|c: char| !c.is_alphanumeric())
                .all(|word| word != "safe"),
            "{paper}"
        );
    }
    // A reading without its conditions says that they are missing.
    let record = "keyoff: 1\nvehicle: {name: T, system: 12 V}\nparts:\n  B1: {kind: battery, chemistry: agm, capacity: 70 Ah}\nreadings:\n  - {where: battery negative, current: 90 mA}\n";
    let ran = run_with_input(record.as_bytes(), ["report", "-", "--paper", "condition"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert!(ran.out.matches(">not stated<").count() >= 3, "{}", ran.out);
    let round = run(["report", "examples/used-truck.yaml", "--paper", "condition"]);
    let stops = [
        "Before going round",
        "Behind the front bumper (outside)",
        "Dash (cab or body)",
        "Everywhere",
    ];
    let order: Vec<usize> = stops
        .iter()
        .map(|stop| round.out.find(stop).unwrap_or_else(|| panic!("no {stop}")))
        .collect();
    assert!(order.is_sorted());
}

#[test]
fn a_removal_has_its_order_of_work_and_its_proof() {
    let ran = run(REMOVAL);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let plan = run([
        "remove",
        "examples/before-removal.yaml",
        "SIREN",
        "K1",
        "SDOOR",
        "SLAMP",
        "LOADLAMP",
        "F2",
    ]);
    assert_eq!(plan.code, Some(0), "{plan:?}");
    let order: Vec<usize> = [
        "Who, what, when",
        "Before and after",
        "Order of work",
        "Isolate at the source",
        "Prove dead",
        "Wires that come out, from end to end",
        "Minimum or full",
        "The same measurement twice",
        "Wiring diagram afterwards",
        "To be signed",
    ]
    .iter()
    .map(|words| ran.out.find(words).unwrap_or_else(|| panic!("no {words}")))
    .collect();
    assert!(order.is_sorted(), "{order:?}");
    assert!(ran.out.matches("class=\"box\"").count() > 20);
    // The minimum is in the record as it is in words.
    let said = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let plan = said(&plan.out);
    let minimum = section(&ran.out, "minimum");
    let told: Vec<&str> = minimum
        .split("<li>")
        .skip(1)
        .filter_map(|rest| rest.split("</li>").next())
        .filter(|line| !line.contains('<'))
        .collect();
    assert!(told.len() >= 6, "{minimum}");
    for line in told {
        assert!(plan.contains(line), "{line}");
    }
    assert!(
        row(minimum, "Ends to cap and label").contains("data-column=\"minimum\">12</td>"),
        "{minimum}"
    );
    assert!(minimum.contains("Pull F1 and F2"), "{minimum}");
    let none = run([
        "report",
        "examples/before-removal.yaml",
        "--paper",
        "removal-record",
    ]);
    assert_eq!(none.code, Some(2));
    let other = run([
        "report",
        "examples/before-removal.yaml",
        "--paper",
        "condition",
        "--remove",
        "K1",
    ]);
    assert_eq!(other.code, Some(2));
    assert!(other.err.contains("removal-record"), "{other:?}");
    let unknown = run([
        "report",
        "examples/before-removal.yaml",
        "--paper",
        "removal-record",
        "--remove",
        "K9",
    ]);
    assert!(unknown.err.contains("there is no part `K9`"), "{unknown:?}");
}

#[test]
fn a_report_says_what_differs_from_another_record() {
    let record =
        std::fs::read_to_string(crate::run::root().join("examples/service-body.yaml")).unwrap();
    let folder = crate::run::Folder::new();
    let changed = record.replacen(
        "F1: {kind: fuse, rating: 30 A",
        "F1: {kind: fuse, rating: 40 A",
        1,
    );
    assert_ne!(record, changed);
    let changed = folder.file("changed.yaml", &changed).display().to_string();
    let ran = run([
        "report",
        &changed,
        "--against",
        "examples/service-body.yaml",
    ]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let compared = section(&ran.out, "compare");
    assert!(compared.contains("rating 40 A"), "{compared}");
    assert!(compared.contains("Findings that are new"), "{compared}");
    let alone = run(["report", &changed]);
    assert!(!alone.out.contains("id=\"compare\""));
}

#[test]
fn a_picture_and_a_spreadsheet_hold_no_trap() {
    let drawn = run_with_input(HOSTILE.as_bytes(), ["diagram", "-", "--findings"]);
    assert_eq!(drawn.code, Some(0), "{drawn:?}");
    for bad in ["<script", "<img", "<b>", "<style", "<a "] {
        assert!(!drawn.out.contains(bad), "{bad}");
    }
    assert!(drawn.out.contains("&lt;script&gt;"));
    let mut guarded = 0;
    for command in [
        &["wirelist", "-", "--format", "csv"][..],
        &["wirelist", "-", "--labels"],
        &["wirelist", "-", "--totals"],
        &["fuses", "-", "--format", "csv"],
        &["audit", "-", "--format", "csv", "--fail-on", "never"],
    ] {
        let ran = run_with_input(HOSTILE.as_bytes(), command);
        assert_eq!(ran.code, Some(0), "{ran:?}");
        let mut reader = csv::Reader::from_reader(ran.out.as_bytes());
        for row in reader.records() {
            for cell in &row.unwrap() {
                // A stroke alone stands for nothing to say, or for standard input.
                let runs = cell != "-" && cell.trim_start().starts_with(['=', '+', '-', '@']);
                assert!(!runs || cell.parse::<f64>().is_ok(), "{command:?}: {cell}");
                guarded += usize::from(cell.starts_with('\''));
            }
        }
    }
    assert!(guarded > 4, "{guarded}");
}

#[test]
fn every_report_has_its_sections_and_says_no_more_than_it_knows() {
    for folder in ["examples", "tests/data/clean"] {
        for record in records(folder) {
            let page = report(&record);
            let order: Vec<usize> = [
                "summary",
                "findings",
                "not-judged",
                "diagram",
                "key-off",
                "live",
                "works",
                "hunt",
                "load",
                "fuses",
                "wires",
                "assumed",
                "not-checked",
                "cautions",
                "sources",
            ]
            .iter()
            .map(|id| {
                page.find(&format!("<section id=\"{id}\""))
                    .unwrap_or_else(|| panic!("{record}: no {id}"))
            })
            .collect();
            assert!(order.is_sorted(), "{record}: {order:?}");
            let text = page.to_lowercase();
            let words: BTreeSet<&str> = text.split(|c: char| !c.is_alphanumeric()).collect();
            assert!(!words.contains("safe"), "{record}");
            assert!(page.contains("certifies nothing"), "{record}");
            let away: Vec<&str> = tags(&page)
                .into_iter()
                .filter(|tag| !tag.starts_with("svg"))
                .filter(|tag| {
                    tag.contains("http") || tag.contains("src=") || tag.starts_with("link")
                })
                .filter(|tag| !tag.starts_with("meta http-equiv"))
                .collect();
            assert!(away.is_empty(), "{record}: {away:?}");
        }
    }
}

#[test]
fn a_report_says_what_is_live_and_what_works_when() {
    let page = report("examples/before-removal.yaml");
    // The cable from the battery to its first fuse is live and bare; the lamp's wire only with its switch closed.
    let live = section(&page, "live");
    assert!(row(live, "w1").contains(">nothing</td>"), "{live}");
    assert!(
        row(live, "lamps.2").contains("only with SLAMP closed"),
        "{live}"
    );
    assert!(
        row(live, "coil.2").contains("FMAIN (60 A), then F1 (15 A)"),
        "{live}"
    );
    assert!(
        !live.contains(">w17</th>"),
        "a wire on the accessory feed: {live}"
    );
    let works = section(&page, "works");
    assert!(
        row(works, "LOADLAMP").contains("on: SLAMP closed"),
        "{works}"
    );
    assert!(
        row(works, "K1").contains("data-column=\"off\">on</td>"),
        "{works}"
    );
    assert!(
        row(works, "SCANNER").contains("data-column=\"off\">-</td>"),
        "{works}"
    );
}

#[test]
fn a_report_is_the_same_every_time_and_never_over_a_file() {
    let folder = crate::run::Folder::new();
    let file = folder.0.join("truck.html");
    let file = file.to_str().unwrap();
    let record = "examples/two-batteries.yaml";
    let ran = run(["report", record, "-o", file]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    assert_eq!(folder.read("truck.html"), report(record));
    let refused = run(["report", record, "-o", file]);
    assert_eq!(refused.code, Some(2));
    assert!(refused.err.contains("there already"), "{refused:?}");
    let forced = run(["report", record, "-o", file, "--force"]);
    assert_eq!(forced.code, Some(0));
}
