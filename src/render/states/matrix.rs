//! Parts against states.

use super::basis;
use super::key_name;
use super::needs;
use crate::analyze::Explored;
use crate::analyze::matrix::Cell;
use crate::analyze::matrix::Matrix;
use crate::analyze::matrix::Row;
use crate::analyze::matrix::Word;
use crate::model::Vehicle;
use crate::render::json::audit::document;
use crate::render::json::audit::explored;
use crate::render::json::audit::key;
use crate::render::json::audit::setting;
use crate::render::json::number;
use crate::render::json::v1;
use crate::render::snippet::Look;
use crate::render::text::Grid;
use crate::render::text::Page;
use crate::render::text::page::Column;

/// In the shape of format 1.
#[must_use]
pub fn data(vehicle: &Vehicle, matrix: &Matrix, of: &Explored) -> v1::Matrix {
    let keys = matrix.keys.iter().map(|&at| v1::MatrixColumn {
        name: key_name(at),
        key: Some(key(at.key)),
    });
    let situations = matrix.situations.iter().map(|name| v1::MatrixColumn {
        name: name.clone(),
        key: None,
    });
    let cell = |cell: &Cell| v1::MatrixCell {
        does: match cell.does {
            Word::On => v1::DoesWord::On,
            Word::Asleep => v1::DoesWord::Asleep,
            Word::Latched => v1::DoesWord::Latched,
            Word::Weak => v1::DoesWord::Weak,
            Word::Chatters => v1::DoesWord::Chatters,
            Word::Off => v1::DoesWord::Off,
            Word::Unknown => v1::DoesWord::Unknown,
        },
        setting: setting(&cell.setting),
        current_a: cell.current.map(|amps| number(amps.0)),
    };
    v1::Matrix {
        format: v1::FORMAT,
        document: document(vehicle),
        columns: keys.chain(situations).collect(),
        parts: matrix
            .rows
            .iter()
            .map(|row| v1::MatrixRow {
                part: row.name.clone(),
                cells: row.keys.iter().chain(&row.situations).map(cell).collect(),
            })
            .collect(),
        explored: explored(of),
    }
}

const fn word(of: Word) -> &'static str {
    match of {
        Word::On => "on",
        Word::Asleep => "asleep",
        Word::Latched => "latched",
        Word::Weak => "weak",
        Word::Chatters => "chatters",
        Word::Off => "-",
        Word::Unknown => "?",
    }
}

/// `on`, `on: S1 closed`, `-`.
fn told(cell: &Cell) -> String {
    let needs = needs(&cell.setting);
    if needs.is_empty() {
        word(cell.does).to_owned()
    } else if needs == HELD && cell.does == Word::On {
        word(Word::Latched).to_owned()
    } else {
        format!("{}: {needs}", word(cell.does))
    }
}

/// How a setting is told in which only what was before makes the difference.
const HELD: &str = "once what holds itself in has been put in";

/// For people.
#[must_use]
pub fn text(vehicle: &Vehicle, matrix: &Matrix, of: &Explored, look: Look) -> String {
    let mut page = Page::new(look);
    let name = page.strong(&vehicle.name);
    page.line(0, &format!("{name}: what works when"));
    if matrix.rows.is_empty() {
        page.line(0, NOTHING);
        basis(&mut page, of);
        return page.into_text();
    }
    page.heading("By position of the key, and by switch");
    let titles = titles(matrix);
    page.grid(2, by_key(matrix, &titles));
    page.blank();
    page.line(2, LEGEND);
    page.heading("By situation");
    page.grid(2, by_situation(matrix));
    basis(&mut page, of);
    page.into_text()
}

/// Where there is no row for a table.
pub const NOTHING: &str =
    "The record has nothing that works by itself, such as a part of `kind: load`.";

/// What the words in the cells mean.
pub const LEGEND: &str = "on: it works as everything is left; on: S1 closed: the least that has to be set for it; -: in no \
     setting. asleep: it draws what it draws when parked. latched: only what was used before keeps it on. weak: live, with \
     less voltage than it needs. chatters: a relay that finds no rest. ?: cannot be judged.";

/// Names of the positions of the key.
#[must_use]
pub fn titles(matrix: &Matrix) -> Vec<String> {
    matrix.keys.iter().map(|&at| key_name(at)).collect()
}

/// Parts against positions of the key; `titles` are their names.
#[must_use]
pub fn by_key<'a>(matrix: &Matrix, titles: &'a [String]) -> Grid<'a> {
    grid(titles, matrix, |row| &row.keys)
}

/// Parts against situations.
#[must_use]
pub fn by_situation(matrix: &Matrix) -> Grid<'_> {
    grid(&matrix.situations, matrix, |row| &row.situations)
}

fn grid<'a>(titles: &'a [String], matrix: &Matrix, cells: impl Fn(&Row) -> &Vec<Cell>) -> Grid<'a> {
    let columns: Vec<Column<'_>> = std::iter::once(Column::Words("Part"))
        .chain(titles.iter().map(|title| Column::Words(title)))
        .collect();
    let rows = matrix.rows.iter().map(|row| {
        let cells = cells(row).iter().map(told);
        std::iter::once(row.name.clone()).chain(cells).collect()
    });
    Grid::new(&columns, rows.collect())
}

/// As rows of a spreadsheet, the names of the columns first.
#[must_use]
pub fn rows(matrix: &Matrix) -> Vec<Vec<String>> {
    let keys = matrix
        .keys
        .iter()
        .map(|&at| format!("key {}", key_name(at)));
    let head = std::iter::once("part".to_owned())
        .chain(keys)
        .chain(matrix.situations.iter().cloned());
    let mut rows: Vec<Vec<String>> = vec![head.collect()];
    for row in &matrix.rows {
        let cells = row.keys.iter().chain(&row.situations).map(told);
        rows.push(std::iter::once(row.name.clone()).chain(cells).collect());
    }
    rows
}
