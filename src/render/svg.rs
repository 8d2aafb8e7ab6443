//! A finished drawing as SVG.
//!
//! One drawing is one file: sheets one below the other, each a nested `svg` of its own, so that a viewer shows them all and a
//! printer can be given one ([`sheet`]).

use std::fmt::Write as _;

use svg::Document;
use svg::node::element::{Circle, Group, Path, Polygon, Rectangle, SVG, Text, Title};

use crate::draw::drawing::{About, Anchor, Colour, Drawing, Frame, Ink, Point, Shape, Sheet};
use crate::draw::measure;

/// Gap between sheets, in millimetre.
const GAP: f64 = 5.0;
/// Text is set in this; the layout measures it from a table of its own.
const FONT: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

/// All sheets in one file.
#[must_use]
pub fn svg(drawing: &Drawing) -> String {
    let width = drawing
        .sheets
        .iter()
        .map(|sheet| sheet.paper_mm.0)
        .fold(0.0, f64::max);
    let mut height = 0.0;
    let mut body: Vec<SVG> = Vec::new();
    for one in &drawing.sheets {
        // Sheets are shown at their size on paper, whatever their scale.
        body.push(
            element(one)
                .set("x", 0)
                .set("y", round(height))
                .set("width", round(one.paper_mm.0))
                .set("height", round(one.paper_mm.1)),
        );
        height += one.paper_mm.1 + GAP;
    }
    let height = (height - GAP).max(0.0);
    let mut document = Document::new()
        .set("viewBox", format!("0 0 {} {}", round(width), round(height)))
        .set("width", format!("{}mm", round(width)))
        .set("height", format!("{}mm", round(height)))
        .set("font-family", FONT)
        .set("role", "img")
        .add(Title::new(clean(&format!(
            "Wiring diagram: {}",
            drawing.title
        ))));
    for one in body {
        document = document.add(one);
    }
    format!("{document}\n")
}

/// One sheet as a file of its own.
#[must_use]
pub fn sheet(sheet: &Sheet) -> String {
    let document = element(sheet)
        .set("width", format!("{}mm", round(sheet.paper_mm.0)))
        .set("height", format!("{}mm", round(sheet.paper_mm.1)))
        .set("font-family", FONT)
        .set("role", "img");
    format!("{document}\n")
}

/// One sheet to stand in a page: it takes the width that it is given, is named by `label`, and has no marks for tests.
#[must_use]
pub fn inline(sheet: &Sheet, label: &str) -> String {
    let picture = plain(sheet, label)
        .set("font-family", FONT)
        .set("role", "img")
        .set("aria-label", clean(label));
    format!("{picture}\n")
}

fn element(sheet: &Sheet) -> SVG {
    plain(sheet, &sheet.describes).add(marks(sheet))
}

fn plain(sheet: &Sheet, title: &str) -> SVG {
    let mut group = Group::new();
    for item in &sheet.items {
        group = draw(group, &item.shape, &item.about);
    }
    SVG::new()
        .set("xmlns", "http://www.w3.org/2000/svg")
        .set(
            "viewBox",
            format!("0 0 {} {}", round(sheet.width), round(sheet.height)),
        )
        .add(Title::new(clean(title)))
        .add(
            Rectangle::new()
                .set("width", round(sheet.width))
                .set("height", round(sheet.height))
                .set("fill", "#ffffff"),
        )
        .add(group)
}

/// Invisible marks with names, for links, overlays and tests.
fn marks(sheet: &Sheet) -> Group {
    let mut group = Group::new().set("fill", "none").set("stroke", "none");
    for (name, frame) in &sheet.plan.parts {
        group = group.add(mark(frame).set("data-box", clean(name)));
    }
    for (wire, frame) in &sheet.plan.labels {
        group = group.add(mark(frame).set("data-label", clean(wire)));
    }
    for run in &sheet.plan.runs {
        let mut points = String::new();
        for at in &run.points {
            let _ = write!(points, "{},{} ", round(at.0), round(at.1));
        }
        group = group.add(
            svg::node::element::Polyline::new()
                .set("points", points.trim_end())
                .set("data-run", clean(&run.wire))
                .set("data-net", run.net)
                .set("data-from", clean(&run.ends[0]))
                .set("data-to", clean(&run.ends[1])),
        );
    }
    group
}

fn mark(frame: &Frame) -> Rectangle {
    Rectangle::new()
        .set("x", round(frame.x))
        .set("y", round(frame.y))
        .set("width", round(frame.width))
        .set("height", round(frame.height))
}

/// Floats are written in full, so every number is rounded to a hundredth first.
fn round(value: f64) -> f64 {
    let rounded = (value * 100.0).round() / 100.0;
    // No minus before a zero.
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// Text without what XML 1.0 forbids; the rest is escaped by the writer.
fn clean(text: &str) -> String {
    text.chars()
        .map(|letter| match letter {
            '\t' | '\n' | '\r' => ' ',
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => '\u{fffd}',
            other => other,
        })
        .collect()
}

fn colour(colour: Colour) -> String {
    format!("#{:02x}{:02x}{:02x}", colour.0, colour.1, colour.2)
}

macro_rules! about {
    ($element:expr, $about:expr) => {
        match $about {
            About::Sheet => $element,
            About::Part(name) => $element.set("data-part", clean(name)),
            About::Wire(id) => $element.set("data-wire", clean(id)),
            About::Shared => $element.set("data-shared", "yes"),
        }
    };
}

macro_rules! inked {
    ($element:expr, $ink:expr) => {{
        let ink: &Ink = $ink;
        let element = $element
            .set("stroke", colour(ink.colour))
            .set("stroke-width", round(ink.width));
        match ink.dash {
            Some((dash, gap)) => element.set(
                "stroke-dasharray",
                format!("{} {}", round(dash), round(gap)),
            ),
            None => element,
        }
    }};
}

fn draw(group: Group, shape: &Shape, about: &About) -> Group {
    match shape {
        Shape::Line { points, ink, round } => {
            let path = Path::new()
                .set("d", way(points, *round))
                .set("fill", "none");
            let path = if ink.dash.is_none() && *round > 0.0 {
                path.set("stroke-linejoin", "round")
            } else {
                path
            };
            group.add(about!(inked!(path, ink), about))
        }
        Shape::Area { points, ink, fill } => {
            let mut list = String::new();
            for at in points {
                let _ = write!(list, "{},{} ", round(at.0), round(at.1));
            }
            let area = Polygon::new()
                .set("points", list.trim_end())
                .set("fill", fill.map_or_else(|| "none".to_owned(), colour));
            match ink {
                Some(ink) => group.add(about!(inked!(area, ink), about)),
                None => group.add(about!(area, about)),
            }
        }
        Shape::Circle {
            centre,
            radius,
            ink,
            fill,
        } => {
            let circle = Circle::new()
                .set("cx", round(centre.0))
                .set("cy", round(centre.1))
                .set("r", round(*radius))
                .set("fill", fill.map_or_else(|| "none".to_owned(), colour));
            match ink {
                Some(ink) => group.add(about!(inked!(circle, ink), about)),
                None => group.add(about!(circle, about)),
            }
        }
        Shape::Arc {
            from,
            to,
            radius,
            ink,
        } => {
            let path = format!(
                "M{},{} A{r},{r} 0 0 1 {},{}",
                round(from.0),
                round(from.1),
                round(to.0),
                round(to.1),
                r = round(*radius)
            );
            let path = Path::new().set("d", path).set("fill", "none");
            group.add(about!(inked!(path, ink), about))
        }
        Shape::Text {
            at,
            text,
            size,
            bold,
            anchor,
            colour: paint,
        } => {
            let mut element = Text::new(clean(text))
                .set("x", round(at.0))
                .set("y", round(at.1))
                .set("font-size", round(*size))
                .set("fill", colour(*paint));
            if *bold {
                element = element.set("font-weight", "bold");
            }
            // A machine without this font sets the text in another: it still may not be wider than the room that was left for it.
            if let Some(width) = measure::set_width(text, *size, *bold) {
                element = element
                    .set("textLength", round(width))
                    .set("lengthAdjust", "spacingAndGlyphs");
            }
            match anchor {
                Anchor::Start => {}
                Anchor::Middle => element = element.set("text-anchor", "middle"),
                Anchor::End => element = element.set("text-anchor", "end"),
            }
            group.add(about!(element, about))
        }
    }
}

/// A line through points, corners rounded; path numbers are written in full by the writer too, so it is text here.
fn way(points: &[Point], radius: f64) -> String {
    let mut data = String::new();
    let Some((first, rest)) = points.split_first() else {
        return data;
    };
    let _ = write!(data, "M{},{}", round(first.0), round(first.1));
    for (index, &at) in rest.iter().enumerate() {
        let before = points[index];
        let after = rest.get(index + 1);
        let (into, out) = match after {
            Some(&after) if radius > 0.0 => {
                let short = distance(before, at).min(distance(at, after)) / 2.0;
                let cut = radius.min(short);
                (toward(at, before, cut), toward(at, after, cut))
            }
            _ => (at, at),
        };
        let _ = write!(data, " L{},{}", round(into.0), round(into.1));
        if out != into {
            let _ = write!(
                data,
                " Q{},{} {},{}",
                round(at.0),
                round(at.1),
                round(out.0),
                round(out.1)
            );
        }
    }
    data
}

fn distance(a: Point, b: Point) -> f64 {
    (a.0 - b.0).hypot(a.1 - b.1)
}

fn toward(from: Point, to: Point, by: f64) -> Point {
    let length = distance(from, to);
    if length == 0.0 {
        return from;
    }
    (
        from.0 + (to.0 - from.0) * by / length,
        from.1 + (to.1 - from.1) * by / length,
    )
}
