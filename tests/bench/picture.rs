//! The whole overview of 300 parts, from the start of the process to its end, against Graphviz `dot` with right-angled lines
//! on the same graph: the same boxes, an edge for each wire that is drawn. By turns, as for the audit.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::Arc;
use std::time::{Duration, Instant};

use keyoff::draw::{Options, View, diagram};
use keyoff::model::{TerminalId, Vehicle};

/// Parts of the vehicle measured.
const PARTS: usize = super::make_up::SIZES[3].0;
/// Turns; the first is thrown away.
const TURNS: usize = 6;
/// More than this share of the other's time stops the measurement.
const SHARE: f64 = 0.1;

/// Measures, and writes the section of `docs/speed.md`.
pub fn measure() {
    let folder = std::env::temp_dir().join(format!("keyoff-picture-{}", std::process::id()));
    fs::create_dir_all(&folder).unwrap();
    let text = super::make_up::record(PARTS);
    let record = folder.join("vehicle.yaml");
    fs::write(&record, &text).unwrap();
    let vehicle = keyoff::model::build(Arc::new(super::document(&text)));
    let (graph, edges) = graph(&vehicle);
    let dot = folder.join("vehicle.dot");
    fs::write(&dot, graph).unwrap();
    let ours = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_keyoff"));
        command.args(["diagram", "--view", "overview"]).arg(&record);
        timed(&mut command)
    };
    let theirs = || {
        timed(
            Command::new("dot")
                .args(["-Tsvg", "-Gsplines=ortho"])
                .arg(&dot),
        )
    };
    let turns: Vec<(f64, f64)> = (0..TURNS)
        .map(|_| (ours().as_secs_f64(), theirs().as_secs_f64()))
        .skip(1)
        .collect();
    fs::remove_dir_all(&folder).unwrap();
    let middle =
        |of: fn(&(f64, f64)) -> f64| super::pair::middle_of(turns.iter().map(of).collect());
    let (ours, theirs, ratio) = (
        middle(|turn| turn.0),
        middle(|turn| turn.1),
        middle(|turn| turn.0 / turn.1),
    );
    let row = format!(
        "| {PARTS} | {edges} | {:.0} ms | {:.0} ms | {ratio:.3} |",
        ours * 1e3,
        theirs * 1e3
    );
    println!("{row}");
    assert!(ratio < SHARE, "a share of {ratio:.3} of the other's time");
    put(&page(&row));
}

fn timed(command: &mut Command) -> Duration {
    let start = Instant::now();
    let output = command.stderr(Stdio::null()).output().unwrap();
    let took = start.elapsed();
    assert!(output.status.success(), "{command:?}: {:?}", output.status);
    assert!(output.stdout.len() > 10_000, "{command:?} drew nothing");
    took
}

/// The same graph in the words of `dot`, and how many edges it has. Sizes are in inch.
fn graph(vehicle: &Vehicle) -> (String, usize) {
    let drawing = diagram(
        vehicle,
        &Options {
            view: View::Overview,
            ..Options::default()
        },
    );
    let mut text = String::from(
        "digraph {\n  rankdir=LR; node [shape=box, fixedsize=true]; edge [arrowhead=none];\n",
    );
    for (name, frame) in drawing.sheets.iter().flat_map(|sheet| &sheet.plan.parts) {
        let _ = writeln!(
            text,
            "  {name} [width={:.3}, height={:.3}];",
            frame.width.max(8.0) / 101.6,
            frame.height.max(8.0) / 101.6
        );
    }
    let mut edges = 0;
    for wire in &vehicle.wires {
        let part = |end: TerminalId| {
            let id = vehicle.terminal(end).part?;
            Some(vehicle.part(id).name.value.clone())
        };
        if let (Some(from), Some(to)) = (part(wire.from), part(wire.to)) {
            let _ = writeln!(text, "  {from} -> {to};");
            edges += 1;
        }
    }
    text.push_str("}\n");
    assert!(edges >= PARTS, "{edges} edges");
    (text, edges)
}

fn page(row: &str) -> String {
    format!(
        "{}## Drawing

The whole `keyoff diagram --view overview` of a generated vehicle, from the start of the process to its end (reading,
layout, texts, SVG), against Graphviz `dot -Tsvg` with right-angled lines (`splines=ortho`) on the same graph: the same boxes,
an edge for each wire. `dot` sets no texts on wires and may land a wire anywhere on a box. By turns, {} pairs after one to
warm up; the middle of each, and of the ratios of the pairs. A tenth or more of the other's time stops the measurement. The
vehicle is one of those by which crossings are counted ([source](../tests/property/make_up.rs)).

| parts | wires | keyoff | dot | ratio |
|---:|---:|---:|---:|---:|
{row}

`DRAWING=1 cargo bench` ([source](../tests/bench/picture.rs)) measures it again.
{}",
        MARKS[0],
        TURNS - 1,
        MARKS[1]
    )
}

/// Where the section stands in `docs/speed.md`.
const MARKS: [&str; 2] = ["<!-- drawing -->\n", "<!-- end of drawing -->\n"];

/// Puts the section into the page, in the place of the one that is there.
fn put(text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/speed.md");
    let page = fs::read_to_string(&path).unwrap();
    let page = match section(&page) {
        Some(old) => page.replace(old, text),
        None => format!("{page}\n{text}"),
    };
    fs::write(path, page).unwrap();
}

/// The section as it stands in a page.
pub fn section(page: &str) -> Option<&str> {
    let start = page.find(MARKS[0])?;
    let end = page.find(MARKS[1])? + MARKS[1].len();
    page.get(start..end)
}
