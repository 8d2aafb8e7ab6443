//! Charts of charge over time, as SVG: axes with words, a band, a floor, readable in black and white.

mod charge;

pub use charge::{over_shift, while_parked};

use svg::Document;
use svg::node::element::{Group, Line, Path, Polyline, Text, Title};

use crate::draw::measure;

/// What a chart shows.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Chart {
    /// Its title.
    pub title: String,
    /// What the axis to the right counts: `days`, `hours`.
    pub across: String,
    /// Lines of time and charge (1.0 is full), each with its name.
    pub lines: Vec<(String, Vec<(f64, f64)>)>,
    /// Time, least and most charge.
    pub band: Vec<(f64, f64, f64)>,
    /// Charge below which the engine does not start.
    pub floor: Option<f64>,
    /// Moments worth a mark, with their words.
    pub marks: Vec<(f64, String)>,
}

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 400.0;
const LEFT: f64 = 64.0;
const RIGHT: f64 = 24.0;
/// Size of its letters.
const TEXT: f64 = 12.0;
const TOP: f64 = 48.0;
const BOTTOM: f64 = 56.0;
const FONT: &str = "Liberation Sans, Arial, Helvetica, sans-serif";
/// So many marks have room for their words.
const MOST_MARKS: usize = 6;
/// Dashes by which lines differ on paper.
const DASHES: [&str; 4] = ["none", "8 4", "2 4", "10 3 2 3"];

/// The chart as an SVG file.
#[must_use]
pub fn svg(chart: &Chart) -> String {
    let ends = chart
        .lines
        .iter()
        .flat_map(|(_, points)| points.last())
        .map(|point| point.0);
    let longest = ends
        .chain(chart.band.last().map(|point| point.0))
        .fold(0.0, f64::max);
    let span = if longest > 0.0 { longest } else { 1.0 };
    let x = |at: f64| round(LEFT + (WIDTH - LEFT - RIGHT) * (at / span).clamp(0.0, 1.0));
    let y = |charge: f64| round(TOP + (HEIGHT - TOP - BOTTOM) * (1.0 - charge.clamp(0.0, 1.0)));
    let mut document = Document::new()
        .set("viewBox", format!("0 0 {WIDTH} {HEIGHT}"))
        .set("width", WIDTH)
        .set("height", HEIGHT)
        .set("font-family", FONT)
        .set("font-size", TEXT)
        .set("role", "img")
        .add(Title::new(clean(&chart.title)))
        .add(
            text(LEFT, 24.0, "start", &chart.title)
                .set("font-size", 15)
                .set("font-weight", "bold"),
        );
    let mut grid = Group::new()
        .set("stroke", "#bbbbbb")
        .set("stroke-width", 0.8);
    let mut words = Group::new().set("fill", "#222222");
    for tenth in (0..=10).step_by(2) {
        let charge = f64::from(tenth) / 10.0;
        grid = grid.add(line(LEFT, y(charge), WIDTH - RIGHT, y(charge)));
        words = words.add(text(
            LEFT - 8.0,
            y(charge) + 4.0,
            "end",
            &format!("{} %", tenth * 10),
        ));
    }
    let step = step(span);
    let mut at = 0.0;
    while at <= span * 1.0001 {
        grid = grid.add(line(x(at), TOP, x(at), HEIGHT - BOTTOM));
        words = words.add(text(x(at), HEIGHT - BOTTOM + 18.0, "middle", &plain(at)));
        at += step;
    }
    words = words.add(text(
        (LEFT + WIDTH - RIGHT) / 2.0,
        HEIGHT - BOTTOM + 38.0,
        "middle",
        &chart.across,
    ));
    document = document.add(grid).add(words);
    if !chart.band.is_empty() {
        let over = chart
            .band
            .iter()
            .map(|&(at, _, most)| format!("{},{}", x(at), y(most)));
        let under = chart
            .band
            .iter()
            .rev()
            .map(|&(at, least, _)| format!("{},{}", x(at), y(least)));
        let outline: Vec<String> = over.chain(under).collect();
        let band = Path::new()
            .set("d", format!("M{} Z", outline.join(" L")))
            .set("fill", "#9fb8d8")
            .set("fill-opacity", 0.45)
            .set("stroke", "#5a7090")
            .set("stroke-width", 0.6);
        document = document.add(band);
    }
    if let Some(floor) = chart.floor {
        let mark = line(LEFT, y(floor), WIDTH - RIGHT, y(floor))
            .set("stroke", "#b00020")
            .set("stroke-width", 1.6)
            .set("stroke-dasharray", "6 3");
        let says = if floor > 1.0 {
            "cannot start even from full".to_owned()
        } else {
            format!("no start below {} %", plain((floor * 100.0).round()))
        };
        let label = text(LEFT + 6.0, y(floor) - 5.0, "start", &says).set("fill", "#b00020");
        document = document.add(mark).add(label);
    }
    for (number, (name, points)) in chart.lines.iter().enumerate() {
        let path: Vec<String> = points
            .iter()
            .map(|&(at, charge)| format!("{},{}", x(at), y(charge)))
            .collect();
        let curve = Polyline::new()
            .set("points", path.join(" "))
            .set("fill", "none")
            .set("stroke", "#102a50")
            .set("stroke-width", 2)
            .set("stroke-dasharray", DASHES[number % DASHES.len()]);
        document = document.add(curve);
        if chart.lines.len() > 1
            && let Some(&(at, charge)) = points.get(points.len() / 2)
        {
            document = document
                .add(text(x(at) + 6.0, y(charge) - 6.0, "start", name).set("fill", "#102a50"));
        }
    }
    for (number, (at, says)) in chart.marks.iter().take(MOST_MARKS).enumerate() {
        // Near the foot: a charge is seldom there, and a white edge keeps the words readable where it is.
        let down = HEIGHT - BOTTOM - 8.0 - 14.0 * number as f64;
        let mark = line(x(*at), TOP, x(*at), HEIGHT - BOTTOM)
            .set("stroke", "#444444")
            .set("stroke-width", 0.8)
            .set("stroke-dasharray", "2 3");
        // Behind its line, where what it tells of begins; before it only where there is no room.
        let end = x(*at) + 4.0 + f64::from(measure::width(says, TEXT, false));
        let right = end > WIDTH - RIGHT;
        let (shift, anchor) = if right { (-4.0, "end") } else { (4.0, "start") };
        document = document.add(mark).add(
            text(x(*at) + shift, down, anchor, says)
                .set("fill", "#222222")
                .set("stroke", "#ffffff")
                .set("stroke-width", 3)
                .set("paint-order", "stroke"),
        );
    }
    format!("{document}\n")
}

fn line(x1: f64, y1: f64, x2: f64, y2: f64) -> Line {
    Line::new()
        .set("x1", round(x1))
        .set("y1", round(y1))
        .set("x2", round(x2))
        .set("y2", round(y2))
}

fn text(x: f64, y: f64, anchor: &str, words: &str) -> Text {
    Text::new(clean(words))
        .set("x", round(x))
        .set("y", round(y))
        .set("text-anchor", anchor)
}

/// Control characters have no place in SVG.
fn clean(words: &str) -> String {
    words
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}

fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A round step that gives between four and ten marks.
fn step(span: f64) -> f64 {
    let mut step = 10_f64.powf((span / 10.0).log10().floor());
    for times in [1.0, 2.0, 5.0, 10.0] {
        if span / (step * times) <= 10.0 {
            step *= times;
            break;
        }
    }
    step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_step_leaves_room_for_its_figures() {
        for span in [0.3, 1.0, 3.7, 24.0, 99.0, 401.0] {
            let marks = span / step(span);
            assert!((4.0..=10.0).contains(&marks), "{span}: {marks}");
        }
    }

    #[test]
    fn words_of_a_record_cannot_break_the_picture() {
        let chart = Chart {
            title: "<script>alert(1)</script>".to_owned(),
            lines: vec![("a".to_owned(), vec![(0.0, 1.0), (2.0, 0.5)])],
            ..Chart::default()
        };
        let text = svg(&chart);
        assert!(!text.contains("<script>") && text.contains("&lt;script&gt;"));
    }
}
