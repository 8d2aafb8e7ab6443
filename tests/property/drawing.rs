//! Laws of the wiring diagram, on every record of the corpus and on vehicles made at random.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use keyoff::draw::drawing::{Anchor, Frame, Point, Shape};
use keyoff::draw::measure;
use keyoff::draw::{Drawing, Options, Sheet, View, diagram};
use keyoff::model::{TerminalId, Vehicle};
use keyoff::render::svg;

use crate::random_vehicle;

/// Reads and builds; every record used here can be read.
pub fn vehicle(name: &str, text: &str) -> Vehicle {
    let document = keyoff::read::read(
        name,
        text.as_bytes(),
        &mut |_| Err("no library here".to_owned()),
        &keyoff::read::Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{name}: {:#?}\n{text}", fault.problems));
    keyoff::model::build(Arc::new(document))
}

/// Records of the examples and of the corpus that can be read.
pub fn records() -> Vec<(String, String)> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut list = Vec::new();
    for folder in ["examples", "tests/data/clean", "tests/data/faulty"] {
        let Ok(entries) = std::fs::read_dir(root.join(folder)) else {
            continue;
        };
        for entry in entries {
            let path = entry.expect("an entry").path();
            if path.extension().is_some_and(|ending| ending == "yaml") {
                let text = std::fs::read_to_string(&path).expect("a text");
                let readable = keyoff::read::read(
                    "x",
                    text.as_bytes(),
                    &mut |_| Err("no library here".to_owned()),
                    &keyoff::read::Limits::default(),
                )
                .is_ok();
                if readable {
                    list.push((path.display().to_string(), text));
                }
            }
        }
    }
    list.sort();
    assert!(list.len() >= 25, "only {} records found", list.len());
    list
}

pub fn drawn(vehicle: &Vehicle, view: View) -> Drawing {
    diagram(
        vehicle,
        &Options {
            view,
            ..Options::default()
        },
    )
}

/// The part that a terminal's label belongs to.
pub fn owners(vehicle: &Vehicle) -> BTreeMap<String, String> {
    vehicle
        .terminals
        .iter()
        .filter_map(|terminal| {
            let part = vehicle.part(terminal.part?);
            Some((terminal.label.clone(), part.name.value.clone()))
        })
        .collect()
}

pub const CLOSE: f64 = 1e-6;

fn same(a: Point, b: Point) -> bool {
    (a.0 - b.0).abs() < CLOSE && (a.1 - b.1).abs() < CLOSE
}

/// Whether a level or upright line runs through the inside of a frame.
fn enters(frame: &Frame, a: Point, b: Point) -> bool {
    let inner = Frame {
        x: frame.x + 0.5,
        y: frame.y + 0.5,
        width: frame.width - 1.0,
        height: frame.height - 1.0,
    };
    let line = Frame {
        x: a.0.min(b.0),
        y: a.1.min(b.1),
        width: (a.0 - b.0).abs(),
        height: (a.1 - b.1).abs(),
    };
    line.x <= inner.x + inner.width
        && inner.x <= line.x + line.width
        && line.y <= inner.y + inner.height
        && inner.y <= line.y + line.height
        && inner.width > 0.0
        && inner.height > 0.0
}

/// Two lines of different nets may cross; they may not lie on each other or touch.
fn touch(a: (Point, Point), b: (Point, Point)) -> bool {
    let level = |line: (Point, Point)| (line.0.1 - line.1.1).abs() < CLOSE;
    let between = |x: f64, p: f64, q: f64| p.min(q) - CLOSE <= x && x <= p.max(q) + CLOSE;
    let inside = |x: f64, p: f64, q: f64| p.min(q) + CLOSE < x && x < p.max(q) - CLOSE;
    match (level(a), level(b)) {
        (true, true) => {
            (a.0.1 - b.0.1).abs() < CLOSE
                && a.0.0.min(a.1.0) <= b.0.0.max(b.1.0) + CLOSE
                && b.0.0.min(b.1.0) <= a.0.0.max(a.1.0) + CLOSE
        }
        (false, false) => {
            (a.0.0 - b.0.0).abs() < CLOSE
                && a.0.1.min(a.1.1) <= b.0.1.max(b.1.1) + CLOSE
                && b.0.1.min(b.1.1) <= a.0.1.max(a.1.1) + CLOSE
        }
        (true, false) => {
            let (x, y) = (b.0.0, a.0.1);
            let met = between(x, a.0.0, a.1.0) && between(y, b.0.1, b.1.1);
            met && !(inside(x, a.0.0, a.1.0) && inside(y, b.0.1, b.1.1))
        }
        (false, true) => touch(b, a),
    }
}

/// Frame of a text as it is measured, without the margin for wider fonts above and below.
pub fn text_frame(shape: &Shape) -> Option<(Frame, &str)> {
    let Shape::Text {
        at,
        text,
        size,
        bold,
        anchor,
        ..
    } = shape
    else {
        return None;
    };
    let width = f64::from(measure::width(text, *size, *bold));
    let x = match anchor {
        Anchor::Start => at.0,
        Anchor::Middle => at.0 - width / 2.0,
        Anchor::End => at.0 - width,
    };
    // Height of capitals of sans-serif letters: 0.72 of the size.
    let frame = Frame {
        x,
        y: at.1 - 0.72 * size,
        width,
        height: 0.72 * size,
    };
    Some((frame, text))
}

/// Whether a point lies on the line of a wire or of its net: a dot there is part of what the text is about.
fn on_own_line(sheet: &Sheet, name: &str, at: Point) -> bool {
    let nets: Vec<usize> = sheet
        .plan
        .runs
        .iter()
        .filter(|run| run.wire == name || run.ends.iter().any(|end| end == name))
        .map(|run| run.net)
        .collect();
    sheet
        .plan
        .runs
        .iter()
        .filter(|run| nets.contains(&run.net))
        .flat_map(|run| run.points.windows(2))
        .any(|pair| {
            let line = Frame {
                x: pair[0].0.min(pair[1].0) - CLOSE,
                y: pair[0].1.min(pair[1].1) - CLOSE,
                width: (pair[0].0 - pair[1].0).abs() + 2.0 * CLOSE,
                height: (pair[0].1 - pair[1].1).abs() + 2.0 * CLOSE,
            };
            line.holds(&Frame {
                x: at.0,
                y: at.1,
                width: 0.0,
                height: 0.0,
            })
        })
}

/// Laws of one sheet; gives what breaks them.
fn faults(vehicle: &Vehicle, sheet: &Sheet) -> Vec<String> {
    let mut faults = Vec::new();
    let owner = owners(vehicle);
    let plan = &sheet.plan;
    for (index, (name, frame)) in plan.parts.iter().enumerate() {
        if frame.width == 0.0 {
            continue;
        }
        for (other, second) in &plan.parts[index + 1..] {
            if second.width > 0.0 && frame.meets(second) {
                faults.push(format!("{name} lies over {other}"));
            }
        }
        for tag in &plan.tags {
            if frame.meets(&tag.frame) {
                faults.push(format!("{name} lies over tag {}", tag.text));
            }
        }
    }
    let lines: Vec<(usize, &str, [&str; 2], Point, Point)> = plan
        .runs
        .iter()
        .flat_map(|run| {
            run.points.windows(2).map(|pair| {
                (
                    run.net,
                    run.wire.as_str(),
                    [run.ends[0].as_str(), run.ends[1].as_str()],
                    pair[0],
                    pair[1],
                )
            })
        })
        .collect();
    let of_net = |net: usize, part: &str| {
        plan.runs
            .iter()
            .filter(|run| run.net == net)
            .flat_map(|run| &run.ends)
            .any(|end| owner.get(end).is_some_and(|name| name == part))
    };
    for (net, wire, _, a, b) in &lines {
        if (a.0 - b.0).abs() > CLOSE && (a.1 - b.1).abs() > CLOSE {
            faults.push(format!("{wire} has a slanting run"));
        }
        for (name, frame) in &plan.parts {
            if enters(frame, *a, *b) && !of_net(*net, name) {
                faults.push(format!("{wire} runs through {name}"));
            }
            // A part's own wire comes in from its edge, level, and ends there.
            let inside = |at: &Point| enters(frame, *at, *at);
            if of_net(*net, name) && frame.width > 0.0 && inside(a) && inside(b) && !same(*a, *b) {
                faults.push(format!("{wire} turns inside {name}"));
            }
        }
    }
    for (index, (net, wire, _, a, b)) in lines.iter().enumerate() {
        for (other_net, other, _, c, d) in &lines[index + 1..] {
            if net != other_net && touch((*a, *b), (*c, *d)) {
                faults.push(format!("{wire} touches {other}"));
            }
        }
    }
    for run in &plan.runs {
        let ends = [run.points.first(), run.points.last()];
        for (end, at) in run.ends.iter().zip(ends) {
            let at = *at.expect("a run has points");
            let met = plan
                .terminals
                .iter()
                .any(|(label, point)| label == end && same(*point, at));
            if !met {
                faults.push(format!("{} does not end on {end}", run.wire));
            }
        }
    }
    for (index, (name, frame)) in plan.labels.iter().enumerate() {
        for (other, second) in &plan.labels[index + 1..] {
            if frame.meets(second) {
                faults.push(format!("text of {name} lies over text of {other}"));
            }
        }
        for (net, wire, _, a, b) in &lines {
            let own = plan
                .runs
                .iter()
                .any(|run| run.net == *net && (run.wire == *name || run.ends.contains(name)));
            if !own && enters(frame, *a, *b) {
                faults.push(format!("{wire} runs through the text of {name}"));
            }
        }
        for dot in &plan.dots {
            if enters(frame, *dot, *dot) && !on_own_line(sheet, name, *dot) {
                faults.push(format!("the text of {name} lies over a dot"));
            }
        }
        for (part, room) in &plan.parts {
            let mine = plan.runs.iter().any(|run| {
                run.wire == *name
                    && run
                        .ends
                        .iter()
                        .any(|end| end == part || owner.get(end).is_some_and(|one| one == part))
            });
            let lead = plan.leads.iter().any(|lead| lead.wire == *name);
            if name != part && !mine && !lead && frame.meets(room) && room.width > 0.0 {
                faults.push(format!("the text of {name} lies over {part}"));
            }
        }
    }
    let texts: Vec<(Frame, &str)> = sheet
        .items
        .iter()
        .filter_map(|item| text_frame(&item.shape))
        .collect();
    let whole = Frame {
        x: 0.0,
        y: 0.0,
        width: sheet.width,
        height: sheet.height,
    };
    for (index, (frame, text)) in texts.iter().enumerate() {
        if text.contains("/?") || text.contains('\u{e000}') {
            faults.push(format!("`{text}` refers to no place"));
        }
        if !whole.holds(frame) {
            faults.push(format!("`{text}` is off the sheet"));
        }
        for (second, other) in &texts[index + 1..] {
            if frame.meets(second) {
                faults.push(format!("`{text}` lies over `{other}`"));
            }
        }
    }
    for (name, frame) in &plan.parts {
        if !plan.frame.holds(frame) {
            faults.push(format!("{name} is outside the frame"));
        }
    }
    faults
}

/// Laws of a drawing: everything is there, once.
fn all_faults(vehicle: &Vehicle, drawing: &Drawing, view: View) -> Vec<String> {
    let mut list: Vec<String> = Vec::new();
    for (index, sheet) in drawing.sheets.iter().enumerate() {
        list.extend(
            faults(vehicle, sheet)
                .into_iter()
                .map(|fault| format!("sheet {}: {fault}", index + 1)),
        );
    }
    let mut parts: BTreeMap<&str, usize> = BTreeMap::new();
    let mut terminals: Vec<&str> = Vec::new();
    let mut runs: BTreeMap<&str, usize> = BTreeMap::new();
    let mut leads: BTreeMap<&str, usize> = BTreeMap::new();
    let mut tags: BTreeMap<&str, usize> = BTreeMap::new();
    for sheet in &drawing.sheets {
        for (name, _) in &sheet.plan.parts {
            *parts.entry(name).or_default() += 1;
        }
        terminals.extend(sheet.plan.terminals.iter().map(|one| one.0.as_str()));
        for run in &sheet.plan.runs {
            *runs.entry(&run.wire).or_default() += 1;
        }
        for lead in &sheet.plan.leads {
            *leads.entry(&lead.wire).or_default() += 1;
            terminals.push(&lead.from);
        }
        for tag in &sheet.plan.tags {
            *tags.entry(&tag.wire).or_default() += 1;
        }
    }
    for part in vehicle
        .parts
        .iter()
        .filter(|part| !part.terminals.is_empty())
    {
        let count = parts.get(part.name.value.as_str()).copied().unwrap_or(0);
        // On tracks a part stands in pieces.
        if count != 1 && !(view == View::Tracks && count > 1) {
            list.push(format!("{} is drawn {count} times", part.name.value));
        }
    }
    for wire in &vehicle.wires {
        let count = |map: &BTreeMap<&str, usize>| map.get(wire.id.as_str()).copied().unwrap_or(0);
        let (run, lead, tag) = (count(&runs), count(&leads), count(&tags));
        let ends = [wire.from, wire.to]
            .iter()
            .filter(|&&end| end != TerminalId::CHASSIS)
            .count();
        // Once as a line; or at each end by itself, to ground or with a tag.
        let whole = run == 1 && lead == 0;
        let by_ends = lead + run == ends && (lead > 0 || tag > 0 || run > 0);
        if !whole && !by_ends {
            list.push(format!(
                "{} is drawn {run} times as a line, {lead} as a lead, {tag} with a tag",
                wire.id
            ));
        }
        for end in [wire.from, wire.to] {
            let label = vehicle.terminal(end).label.as_str();
            if end != TerminalId::CHASSIS && !terminals.contains(&label) {
                list.push(format!("terminal {label} of {} is not drawn", wire.id));
            }
        }
    }
    // What goes on elsewhere has a place on both sides.
    let places: Vec<&str> = drawing
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.plan.anchors)
        .map(|place| place.0.as_str())
        .collect();
    for place in &places {
        let other = match place.strip_suffix(".in") {
            Some(source) => source.to_owned(),
            None => format!("{place}.in"),
        };
        if !places.contains(&other.as_str()) {
            list.push(format!("place {place} has no counterpart"));
        }
    }
    list
}

#[test]
fn every_record_is_drawn_whole_and_nothing_lies_over_anything() {
    let mut bad = Vec::new();
    for (name, text) in records() {
        let vehicle = vehicle(&name, &text);
        for view in [View::Overview, View::Strips, View::Tracks] {
            let drawing = drawn(&vehicle, view);
            for fault in all_faults(&vehicle, &drawing, view) {
                bad.push(format!("{name} {view:?}: {fault}"));
            }
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
}

#[test]
fn overviews_of_vehicles_made_at_random_are_whole_and_nothing_lies_over_anything() {
    random_vehicles_are_drawn_whole(View::Overview);
}

#[test]
fn strips_of_vehicles_made_at_random_are_whole_and_nothing_lies_over_anything() {
    random_vehicles_are_drawn_whole(View::Strips);
}

#[test]
fn tracks_of_vehicles_made_at_random_are_whole_and_nothing_lies_over_anything() {
    random_vehicles_are_drawn_whole(View::Tracks);
}

fn random_vehicles_are_drawn_whole(view: View) {
    let mut bad = Vec::new();
    let mut crowded = 0;
    for seed in 0..200 {
        let text = random_vehicle::record(seed);
        let vehicle = vehicle(&format!("seed {seed}"), &text);
        let drawing = drawn(&vehicle, view);
        crowded += drawing
            .sheets
            .iter()
            .map(|sheet| sheet.plan.crowded.len())
            .sum::<usize>();
        for fault in all_faults(&vehicle, &drawing, view) {
            bad.push(format!("seed {seed} {view:?}: {fault}"));
        }
        if bad.len() > 40 {
            break;
        }
    }
    assert!(bad.is_empty(), "{}", bad.join("\n"));
    assert!(crowded <= 10, "{crowded} names found no clear place");
}

#[test]
fn the_same_record_gives_the_same_bytes() {
    for seed in 0..10 {
        let text = random_vehicle::record(seed);
        let once = svg::svg(&drawn(&vehicle("a", &text), View::Auto));
        let again = svg::svg(&drawn(&vehicle("b", &text), View::Auto));
        assert_eq!(once, again, "seed {seed}");
    }
}
