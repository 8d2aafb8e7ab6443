//! What a drawing has to be on paper: inside its sheet, large enough to read, in black and white too; tags that lead somewhere.

use std::collections::BTreeMap;

use keyoff::draw::drawing::{About, Colour, Frame, Point, Shape};
use keyoff::draw::{Drawing, Options, Paper, Sheet, Turn, View, diagram};
use keyoff::model::{TerminalId, Vehicle};
use keyoff::read::document::Kind;

use crate::drawing::{CLOSE, drawn, owners, records, text_frame, vehicle};
use crate::{make_up, random_vehicle};

/// Records of the corpus, vehicles of set sizes and vehicles made at random.
fn vehicles() -> Vec<(String, Vehicle)> {
    let sizes = make_up::SIZES[..3]
        .iter()
        .map(|size| (format!("{} parts", size.0), make_up::record(size.0)));
    let random = (0..25).map(|seed| (format!("seed {seed}"), random_vehicle::record(seed)));
    records()
        .into_iter()
        .chain(sizes)
        .chain(random)
        .map(|(name, text)| {
            let vehicle = vehicle(&name, &text);
            (name, vehicle)
        })
        .collect()
}

/// The room that a shape takes, its strokes included.
fn extent(shape: &Shape) -> Frame {
    let around = |points: &[Point], more: f64| {
        let low = |of: fn(&Point) -> f64| points.iter().map(of).fold(f64::INFINITY, f64::min);
        let high = |of: fn(&Point) -> f64| points.iter().map(of).fold(-f64::INFINITY, f64::max);
        let (left, top) = (low(|at| at.0) - more, low(|at| at.1) - more);
        Frame {
            x: left,
            y: top,
            width: high(|at| at.0) + more - left,
            height: high(|at| at.1) + more - top,
        }
    };
    match shape {
        Shape::Line { points, ink, .. } => around(points, ink.width / 2.0),
        Shape::Area { points, ink, .. } => around(points, ink.map_or(0.0, |ink| ink.width / 2.0)),
        Shape::Circle {
            centre,
            radius,
            ink,
            ..
        } => around(&[*centre], radius + ink.map_or(0.0, |ink| ink.width / 2.0)),
        // An arc of less than half a circle lies within its radius of both ends.
        Shape::Arc { from, to, ink, .. } => around(&[*from, *to], ink.width / 2.0),
        Shape::Text { .. } => text_frame(shape).expect("a text").0,
    }
}

#[test]
fn everything_that_is_drawn_lies_on_the_sheet_and_inside_its_frame() {
    for (name, vehicle) in vehicles() {
        for view in [View::Overview, View::Strips, View::Tracks] {
            for sheet in drawn(&vehicle, view).sheets {
                let whole = Frame {
                    x: 0.0,
                    y: 0.0,
                    width: sheet.width,
                    height: sheet.height,
                };
                for item in &sheet.items {
                    let room = extent(&item.shape);
                    assert!(whole.holds(&room), "{name} {view:?}: {:?}", item.shape);
                    if item.about != About::Sheet {
                        let inside = sheet.plan.frame.holds(&room);
                        assert!(inside, "{name} {view:?}: {:?}", item.shape);
                    }
                }
            }
        }
    }
}

#[test]
fn strips_and_tracks_fit_every_paper_at_a_size_that_can_be_read() {
    let mut over: Vec<String> = Vec::new();
    for (name, vehicle) in vehicles() {
        for paper in [Paper::A4, Paper::Letter] {
            for turn in [Turn::Landscape, Turn::Portrait] {
                for view in [View::Strips, View::Tracks] {
                    let options = Options {
                        view,
                        paper,
                        turn,
                        ..Options::default()
                    };
                    let drawing = diagram(&vehicle, &options);
                    let told = format!("{name} {view:?} {paper:?} {turn:?}");
                    for (index, sheet) in drawing.sheets.iter().enumerate() {
                        let told = format!("{told} sheet {}", index + 1);
                        if sheet.paper_mm != options.sheet_mm() {
                            over.push(told);
                            continue;
                        }
                        assert!(sheet.scale() >= 0.85 - CLOSE, "{told}: {}", sheet.scale());
                        letters(sheet, &told);
                    }
                }
            }
        }
    }
    // What is too large for the paper is cut and goes on elsewhere.
    assert!(over.is_empty(), "{}", over.join("\n"));
}

/// Names and texts of wires are at least 6 pt on paper, every other word 5 pt.
fn letters(sheet: &Sheet, told: &str) {
    for item in &sheet.items {
        let Shape::Text { size, text, .. } = &item.shape else {
            continue;
        };
        let on_paper = size * sheet.scale();
        let main = item.about != About::Sheet && *size >= 10.0;
        let least = if main { 8.5 } else { 7.2 };
        assert!(on_paper >= least - CLOSE, "{told}: `{text}` is {on_paper}");
    }
}

#[test]
fn tags_name_the_sheet_and_field_where_the_wire_goes_on() {
    let mut checked = 0;
    for (name, vehicle) in vehicles() {
        for (paper, turn) in [
            (Paper::Letter, Turn::Landscape),
            (Paper::A4, Turn::Portrait),
        ] {
            let drawing = diagram(
                &vehicle,
                &Options {
                    view: View::Strips,
                    paper,
                    turn,
                    ..Options::default()
                },
            );
            let places = places(&drawing, turn);
            for (index, sheet) in drawing.sheets.iter().enumerate() {
                for tag in &sheet.plan.tags {
                    if tag.heat.is_none() {
                        continue;
                    }
                    // The text in the tag's frame, and the places on this sheet that lie in it.
                    let shown = sheet
                        .items
                        .iter()
                        .filter_map(|item| text_frame(&item.shape))
                        .find(|(frame, _)| tag.frame.holds(frame))
                        .map(|(_, text)| text.to_owned())
                        .unwrap_or_else(|| panic!("{name}: tag {} is blank", tag.text));
                    let (_, place) = shown.rsplit_once('/').expect("a reference");
                    let here: Vec<&str> = sheet
                        .plan
                        .anchors
                        .iter()
                        .filter(|(_, at)| {
                            tag.frame.holds(&Frame {
                                x: at.0,
                                y: at.1,
                                width: 0.0,
                                height: 0.0,
                            })
                        })
                        .map(|(key, _)| key.as_str())
                        .collect();
                    assert!(!here.is_empty(), "{name} {index}: `{shown}` has no place");
                    for key in here {
                        let other = match key.strip_suffix(".in") {
                            Some(source) => source.to_owned(),
                            None => format!("{key}.in"),
                        };
                        let there = places.get(&other).map(String::as_str);
                        assert_eq!(there, Some(place), "{name}: `{shown}` for {key}");
                        checked += 1;
                    }
                }
            }
        }
    }
    assert!(checked > 500, "{checked}");
}

/// Sheet and field of every place that is referred to, worked out from the border.
fn places(drawing: &Drawing, turn: Turn) -> BTreeMap<String, String> {
    let (columns, rows) = match turn {
        Turn::Landscape => (6.0, 4.0),
        Turn::Portrait => (4.0, 6.0),
    };
    let mut places = BTreeMap::new();
    for (index, sheet) in drawing.sheets.iter().enumerate() {
        let frame = &sheet.plan.frame;
        for (key, at) in &sheet.plan.anchors {
            let column = ((at.0 - frame.x) / frame.width * columns).floor() as usize + 1;
            let row = ((at.1 - frame.y) / frame.height * rows).floor() as u8;
            let letter = char::from(b'A' + row);
            places.insert(key.clone(), format!("{}.{letter}{column}", index + 1));
        }
    }
    places
}

#[test]
fn supply_comes_from_the_left_and_contacts_stand_above_coils() {
    let (mut fed, mut relays) = (0, 0);
    for (name, vehicle) in vehicles() {
        // A fault may well be a fuse on the wrong side.
        if name.contains("faulty") {
            continue;
        }
        let owner = owners(&vehicle);
        let kind = |label: &str| {
            let part = owner.get(label)?;
            let found = vehicle.parts.iter().find(|one| one.name.value == *part)?;
            Some(found.kind)
        };
        for view in [View::Overview, View::Strips] {
            for sheet in drawn(&vehicle, view).sheets {
                for run in &sheet.plan.runs {
                    let ends = [&run.ends[0], &run.ends[1]];
                    let kinds = ends.map(|end| kind(end));
                    let source = |kind: Option<Kind>| {
                        matches!(kind, Some(Kind::Feed | Kind::Fuse | Kind::Breaker))
                    };
                    let sink = |kind: Option<Kind>| matches!(kind, Some(Kind::Load));
                    let (first, last) = (run.points[0], run.points[run.points.len() - 1]);
                    for (from, to, a, b) in [
                        (kinds[0], kinds[1], first, last),
                        (kinds[1], kinds[0], last, first),
                    ] {
                        if source(from) && sink(to) {
                            assert!(a.0 < b.0, "{name} {view:?}: {} runs back", run.wire);
                            fed += 1;
                        }
                    }
                }
                for part in vehicle.parts.iter().filter(|part| part.kind == Kind::Relay) {
                    let Some((_, room)) =
                        sheet.plan.parts.iter().find(|one| one.0 == part.name.value)
                    else {
                        continue;
                    };
                    let pin = |pin: &str| {
                        let label = format!("{}.{pin}", part.name.value);
                        let ends = sheet.plan.terminals.iter();
                        let mut own = ends.filter(|(name, at)| {
                            *name == label
                                && at.1 > room.y
                                && room.x <= at.0
                                && at.0 <= room.x + room.width
                        });
                        own.next().map(|one| one.1)
                    };
                    if let (Some(contact), Some(coil)) = (pin("30"), pin("86")) {
                        assert!(contact.1 < coil.1, "{name} {view:?}: {}", part.name.value);
                        relays += 1;
                    }
                }
                // A wire to the chassis is no line across the sheet: it ends beside its terminal.
                for wire in vehicle.wires.iter().filter(|wire| {
                    wire.from == TerminalId::CHASSIS || wire.to == TerminalId::CHASSIS
                }) {
                    for run in sheet.plan.runs.iter().filter(|run| run.wire == wire.id) {
                        assert_eq!(run.points.len(), 2, "{name}: {}", run.wire);
                        assert_eq!(run.ends[0], run.ends[1], "{name}: {}", run.wire);
                    }
                }
            }
        }
    }
    assert!(fed > 50 && relays > 100, "{fed} {relays}");
}

/// How light a colour is, from 0 to 1.
fn light(colour: Colour) -> f64 {
    (0.299 * f64::from(colour.0) + 0.587 * f64::from(colour.1) + 0.114 * f64::from(colour.2))
        / 255.0
}

#[test]
fn every_wire_has_a_dark_edge_and_every_text_is_dark_or_on_black() {
    for (name, vehicle) in vehicles() {
        for sheet in drawn(&vehicle, View::Strips).sheets {
            let mut widest: BTreeMap<String, (f64, Colour)> = BTreeMap::new();
            for item in &sheet.items {
                match (&item.about, &item.shape) {
                    (About::Wire(wire), Shape::Line { points, ink, .. }) => {
                        let key = format!("{wire} {points:?}");
                        let entry = widest.entry(key).or_insert((0.0, Colour::WHITE));
                        if ink.width > entry.0 {
                            *entry = (ink.width, ink.colour);
                        }
                    }
                    (_, Shape::Text { text, colour, .. }) => {
                        let white = *colour == Colour::WHITE;
                        assert!(light(*colour) < 0.4 || white, "{name}: `{text}` is pale");
                    }
                    _ => {}
                }
            }
            for (wire, (_, edge)) in widest {
                assert!(light(edge) < 0.2, "{name}: {wire} has a pale edge");
            }
        }
    }
}
