//! What every page is made of: the document around it, sections, tables.

use maud::DOCTYPE;
use maud::Markup;
use maud::PreEscaped;
use maud::html;

use super::Section;
use crate::check::Level;
use crate::model::Vehicle;
use crate::render::chart;
use crate::render::chart::Chart;
use crate::render::text::Grid;
use crate::render::text::page::Column;
use crate::render::text::show::Show;
use crate::render::words;

const STYLE: &str = include_str!("style.css");

/// Tables of so many columns need a wide screen.
const WIDE: usize = 8;

/// Words of so many letters may be broken over lines.
const LONG: usize = 18;

/// What stands in a cell where there is nothing to say; on a narrow screen it is left out.
const NONE: &str = "-";

/// Cells of so few letters stay on one line.
const SHORT: usize = 10;

/// Nothing may be fetched and nothing may run, whatever a record holds.
pub(super) const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'";

/// The document around the sections.
pub(super) struct Page<'a> {
    pub(super) title: &'a str,
    pub(super) heading: &'a str,
    /// What stands under the heading.
    pub(super) opening: Markup,
    /// Whether there is a list of contents.
    pub(super) contents: bool,
    /// Further rules of style, made by this program.
    pub(super) style: &'a str,
}

impl Page<'_> {
    /// The whole file.
    pub(super) fn write(self, sections: &[Section]) -> String {
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta name="viewport" content="width=device-width, initial-scale=1";
                    meta http-equiv="Content-Security-Policy" content=(POLICY);
                    meta name="generator" content={ "keyoff " (env!("CARGO_PKG_VERSION")) };
                    title { (self.title) }
                    style { (PreEscaped(STYLE)) (PreEscaped(self.style)) }
                }
                body {
                    a class="skip" href="#content" { "Skip to the content" }
                    header {
                        h1 { (self.heading) }
                        (self.opening)
                    }
                    @if self.contents {
                        nav aria-label="Contents" {
                            ul {
                                @for section in sections {
                                    li { a href={ "#" (section.anchor) } { (section.heading) } }
                                }
                            }
                        }
                    }
                    main id="content" {
                        @for section in sections {
                            section id=(section.anchor) aria-labelledby={ (section.anchor) "-heading" } {
                                h2 id={ (section.anchor) "-heading" } { (section.heading) }
                                (section.body)
                            }
                        }
                    }
                    footer {
                        p { (words::ADVICE) }
                        p { "Made by keyoff " (env!("CARGO_PKG_VERSION")) ". The same record gives the same page." }
                    }
                }
            }
        };
        page.into_string() + "\n"
    }
}

/// Which record it is.
pub(super) fn about(vehicle: &Vehicle, show: Show) -> String {
    format!(
        "{}, {} system, from the record {}",
        vehicle_kind(vehicle),
        show.one(vehicle.system.likely),
        words::path(&vehicle.document.sources)
    )
}

fn vehicle_kind(vehicle: &Vehicle) -> String {
    let parts = vehicle.document.parts.len();
    let wires = vehicle.document.wires.len();
    format!(
        "{} and {}",
        words::plural(parts, "part", "parts"),
        words::plural(wires, "wire", "wires")
    )
}

/// A table; nothing where it has no rows. The first column names the row. On a narrow screen each row becomes a block of its own,
/// which is why every cell carries the name of its column and its role.
pub(super) fn table(caption: &str, grid: Grid<'_>) -> Markup {
    table_to_fill_in(caption, grid, &[])
}

/// The same with further columns that are left empty for a pen.
pub(super) fn table_to_fill_in(caption: &str, grid: Grid<'_>, blanks: &[&str]) -> Markup {
    let grid = grid.filled();
    if grid.is_empty() {
        return html! {};
    }
    let class = |at: usize| match grid.columns.get(at) {
        Some(Column::Figures(_)) => Some("figure"),
        _ => None,
    };
    let cell_class = |at: usize, cell: &str| {
        let long = cell
            .split_whitespace()
            .any(|word| word.chars().count() >= LONG);
        let short = || (cell.chars().count() <= SHORT).then_some("short");
        if cell == NONE {
            Some("none")
        } else if long {
            Some("long")
        } else {
            class(at).or_else(short)
        }
    };
    let name = |at: usize| grid.columns.get(at).map_or("", Column::name);
    html! {
        table role="table" class=[table_class(grid.columns.len(), blanks.len())] {
            caption { (caption) }
            thead role="rowgroup" {
                tr role="row" {
                    @for (at, column) in grid.columns.iter().enumerate() {
                        th role="columnheader" scope="col" class=[class(at)] { (column.name()) }
                    }
                    @for blank in blanks {
                        th role="columnheader" scope="col" { (blank) }
                    }
                }
            }
            tbody role="rowgroup" {
                @for row in &grid.rows {
                    tr role="row" {
                        @for (at, cell) in row.iter().enumerate() {
                            @if at == 0 {
                                th role="rowheader" scope="row" class=[cell_class(at, cell)] data-column=(name(at)) { (cell) }
                            } @else {
                                td role="cell" class=[cell_class(at, cell)] data-column=(name(at)) { (cell) }
                            }
                        }
                        @for blank in blanks {
                            td role="cell" class="blank" data-column=(blank) { span {} }
                        }
                    }
                }
            }
        }
    }
}

const fn table_class(columns: usize, blanks: usize) -> Option<&'static str> {
    match (columns + blanks >= WIDE, blanks > 0) {
        (true, true) => Some("wide fill"),
        (true, false) => Some("wide"),
        (false, true) => Some("fill"),
        (false, false) => None,
    }
}

/// Words of this program: with a capital first letter where no name or word of a record stands first, and what stands between
/// back quotes set as what is typed.
pub(super) fn prose(vehicle: &Vehicle, words: &str) -> Markup {
    typed(&capital(vehicle, words))
}

/// What stands between back quotes set as what is typed.
pub(super) fn typed(words: &str) -> Markup {
    let pieces: Vec<&str> = words.split('`').collect();
    // A back quote without its other half is nothing special.
    if pieces.len().is_multiple_of(2) {
        return html! { (words) };
    }
    html! {
        @for (at, piece) in pieces.iter().enumerate() {
            @if at % 2 == 0 { (piece) } @else { code { (piece) } }
        }
    }
}

pub(super) fn capital(vehicle: &Vehicle, words: &str) -> String {
    let first = words.split([' ', ',', ':', '.']).next().unwrap_or_default();
    let ordinary = !first.is_empty()
        && first
            .chars()
            .all(|letter| letter.is_ascii_lowercase() || letter == '-');
    let named = vehicle.parts.iter().any(|part| part.name.value == first)
        || vehicle
            .wires
            .iter()
            .any(|wire| wire.id.split('.').next() == Some(first));
    if !ordinary || named {
        return words.to_owned();
    }
    let (head, rest) = words.split_at(1);
    head.to_uppercase() + rest
}

/// Level in words and colour.
pub(super) fn badge(level: Level) -> Markup {
    let level = words::level(level);
    html! { span class={ "badge " (level) } { (level) } }
}

/// Sentences, one paragraph each.
pub(super) fn paragraphs<T: AsRef<str>>(
    vehicle: &Vehicle,
    sentences: impl IntoIterator<Item = T>,
) -> Markup {
    html! {
        @for sentence in sentences {
            p { (prose(vehicle, sentence.as_ref())) }
        }
    }
}

/// Sentences as a list.
pub(super) fn list<T: AsRef<str>>(
    vehicle: &Vehicle,
    sentences: impl IntoIterator<Item = T>,
) -> Markup {
    let mut sentences = sentences.into_iter().peekable();
    if sentences.peek().is_none() {
        return html! {};
    }
    html! {
        ul {
            @for sentence in sentences {
                li { (prose(vehicle, sentence.as_ref())) }
            }
        }
    }
}

/// A picture that this program drew, as SVG; its texts are escaped where it is drawn.
pub(super) fn picture(svg: String) -> Markup {
    PreEscaped(svg)
}

/// A chart with its words; on a narrow screen it is moved within its own frame, also by keys.
pub(super) fn chart(picture_of: &Chart, words: &str) -> Markup {
    html! {
        figure class="chart" {
            div role="region" tabindex="0" aria-label=(picture_of.title) {
                (picture(chart::svg(picture_of)))
            }
            figcaption { (words) }
        }
    }
}
