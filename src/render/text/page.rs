//! A page of text that grows from the top.

use anstyle::AnsiColor;
use anstyle::Style;
use comfy_table::CellAlignment;
use comfy_table::ColumnConstraint;
use comfy_table::ContentArrangement;
use comfy_table::Table;
use comfy_table::Width;
use comfy_table::presets;

use super::Grid;
use crate::check::Level;
use crate::render::snippet::Look;

/// Text in the making.
#[derive(Clone, Debug)]
pub struct Page {
    look: Look,
    out: String,
}

/// One column of a table.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Column<'a> {
    /// Words: to the left.
    Words(&'a str),
    /// Figures: to the right.
    Figures(&'a str),
}

impl Column<'_> {
    /// Its name.
    #[must_use]
    pub const fn name(&self) -> &str {
        match self {
            Self::Words(name) | Self::Figures(name) => name,
        }
    }
}

impl Page {
    /// An empty page.
    #[must_use]
    pub const fn new(look: Look) -> Self {
        Self {
            look,
            out: String::new(),
        }
    }

    /// How it looks.
    #[must_use]
    pub const fn look(&self) -> Look {
        self.look
    }

    /// The whole text.
    #[must_use]
    pub fn into_text(self) -> String {
        self.out
    }

    /// A heading with an empty line before it.
    pub fn heading(&mut self, words: &str) {
        self.blank();
        let words = self.paint(Style::new().bold().underline(), words);
        self.line(0, &words);
    }

    /// An empty line, but never two, and none at the top.
    pub fn blank(&mut self) {
        if !self.out.is_empty() && !self.out.ends_with("\n\n") {
            self.out.push('\n');
        }
    }

    /// Words indented by so many columns and wrapped.
    pub fn line(&mut self, indent: usize, words: &str) {
        self.hang("", indent, indent, words);
    }

    /// Words whose further lines are indented deeper than the first.
    pub fn item(&mut self, indent: usize, hang: usize, words: &str) {
        self.hang("", indent, hang, words);
    }

    /// Words after a mark of `hang - indent` columns; what is wrapped stands below the words.
    pub fn marked(&mut self, indent: usize, mark: &str, hang: usize, words: &str) {
        let shown = textwrap::core::display_width(mark);
        let gap = " ".repeat((hang - indent).saturating_sub(shown));
        self.hang(&format!("{mark}{gap}"), indent, hang, words);
    }

    /// Text that is laid out already.
    pub fn raw(&mut self, text: &str) {
        self.out.push_str(text);
        if !text.ends_with('\n') {
            self.out.push('\n');
        }
    }

    /// A table; nothing where it has no rows. A column without anything in it is left out.
    pub fn table(&mut self, indent: usize, columns: &[Column<'_>], rows: Vec<Vec<String>>) {
        self.grid(indent, Grid::new(columns, rows));
    }

    /// The same of a table that is there already.
    pub fn grid(&mut self, indent: usize, grid: Grid<'_>) {
        if grid.is_empty() {
            return;
        }
        let grid = grid.filled();
        let room = self.look.width.saturating_sub(indent);
        let Some(widths) = widths(&grid, room) else {
            self.blocks(indent, &grid);
            return;
        };
        let Grid { columns, rows } = grid;
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Dynamic);
        table.set_header(columns.iter().map(Column::name));
        table.add_rows(rows);
        for (number, column) in columns.iter().enumerate() {
            if let Some(shown) = table.column_mut(number) {
                shown.set_padding((0, 2));
                if matches!(column, Column::Figures(_)) {
                    shown.set_cell_alignment(CellAlignment::Right);
                }
                let width = u16::try_from(widths[number] + 2).unwrap_or(u16::MAX);
                shown.set_constraint(ColumnConstraint::Absolute(Width::Fixed(width)));
            }
        }
        let heading = Style::new().bold();
        for (number, line) in table.lines().enumerate() {
            let line = line.trim_end();
            let line = if number == 0 {
                self.paint(heading, line)
            } else {
                line.to_owned()
            };
            self.out.push_str(&" ".repeat(indent));
            self.out.push_str(&line);
            self.out.push('\n');
        }
    }

    /// A table that is too wide for the page, a few lines a row: its first cell, then the others with their names.
    fn blocks(&mut self, indent: usize, grid: &Grid<'_>) {
        for row in &grid.rows {
            let mut cells = grid.columns.iter().zip(row);
            if let Some((_, first)) = cells.next() {
                let first = self.strong(first);
                self.line(indent, &first);
            }
            let named: Vec<String> = cells
                .filter(|(_, cell)| !cell.is_empty())
                .map(|(column, cell)| format!("{} {cell}", column.name()))
                .collect();
            self.item(indent + 2, indent + 4, &named.join("; "));
        }
    }

    /// A word in the colour of a level.
    #[must_use]
    pub fn level(&self, level: Level, words: &str) -> String {
        let colour = match level {
            Level::Error => AnsiColor::Red,
            Level::Warning => AnsiColor::Yellow,
            Level::Note => AnsiColor::Cyan,
        };
        self.paint(Style::new().bold().fg_color(Some(colour.into())), words)
    }

    /// Words that matter.
    #[must_use]
    pub fn strong(&self, words: &str) -> String {
        self.paint(Style::new().bold(), words)
    }

    fn paint(&self, style: Style, words: &str) -> String {
        if self.look.colour {
            format!("{style}{words}{style:#}")
        } else {
            words.to_owned()
        }
    }

    fn hang(&mut self, mark: &str, indent: usize, hang: usize, words: &str) {
        let first = format!("{}{mark}", " ".repeat(indent));
        let rest = " ".repeat(hang);
        let options = textwrap::Options::new(self.look.width)
            .initial_indent(&first)
            .subsequent_indent(&rest)
            .break_words(false)
            // A name with a stroke or a dash in it stays in one piece.
            .word_separator(textwrap::WordSeparator::AsciiSpace)
            .word_splitter(textwrap::WordSplitter::NoHyphenation);
        for line in textwrap::wrap(words, options) {
            self.out.push_str(line.trim_end());
            self.out.push('\n');
        }
    }
}

/// Words may be broken where they are longer than this: the first of these with which the table fits.
const BREAKABLE: [usize; 5] = [40, 24, 16, 12, 8];

/// The width of each column: what it needs for whole words, and of the room that is left first what those need that need
/// little. None where even broken words find no room.
fn widths(grid: &Grid<'_>, room: usize) -> Option<Vec<usize>> {
    let gaps = 2 * grid.columns.len().saturating_sub(1);
    let mut widths = BREAKABLE
        .iter()
        .map(|breakable| least_widths(grid, *breakable))
        .find(|least| least.iter().sum::<usize>() + gaps <= room)?;
    let mut left = room - gaps - widths.iter().sum::<usize>();
    let mut needs: Vec<(usize, usize)> = widths
        .iter()
        .enumerate()
        .map(|(at, least)| (natural_width(grid, at).saturating_sub(*least), at))
        .collect();
    needs.sort_unstable();
    let count = needs.len();
    for (number, (need, at)) in needs.into_iter().enumerate() {
        let given = need.min(left / (count - number));
        widths[at] += given;
        left -= given;
    }
    Some(widths)
}

/// The width in which nothing of a column is wrapped.
fn natural_width(grid: &Grid<'_>, at: usize) -> usize {
    let cells = grid.rows.iter().filter_map(|row| row.get(at));
    cells
        .map(String::as_str)
        .chain([grid.columns[at].name()])
        .map(textwrap::core::display_width)
        .max()
        .unwrap_or(0)
}

/// The least width of each column in which it can be read: whole figures, words that are not cut before so many letters, and
/// its name in whole words.
fn least_widths(grid: &Grid<'_>, breakable: usize) -> Vec<usize> {
    let wide = textwrap::core::display_width;
    let longest = |text: &str| text.split_whitespace().map(wide).max().unwrap_or(0);
    let columns = grid.columns.iter().enumerate();
    let least = columns.map(|(at, column)| {
        let cells = grid.rows.iter().filter_map(|row| row.get(at));
        match column {
            Column::Figures(name) => cells
                .map(|cell| wide(cell))
                .max()
                .unwrap_or(0)
                .max(longest(name)),
            Column::Words(name) => cells
                .map(|cell| longest(cell).min(breakable))
                .max()
                .unwrap_or(0)
                .max(longest(name)),
        }
    });
    least.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_keep_to_the_width_and_hang_under_their_mark() {
        let mut page = Page::new(Look {
            width: 30,
            colour: false,
        });
        page.heading("Found");
        page.marked(
            2,
            "error",
            10,
            "fuse F1 is rated 30 A and its wire carries 20 A",
        );
        page.blank();
        page.blank();
        page.table(
            2,
            &[Column::Words("Part"), Column::Figures("Draw")],
            vec![
                vec!["K1".into(), "140 mA".into()],
                vec!["RADIO".into(), "5 mA".into()],
            ],
        );
        insta::assert_snapshot!(page.into_text(), @r"
        Found
          error   fuse F1 is rated
                  30 A and its wire
                  carries 20 A

          Part     Draw
          K1     140 mA
          RADIO    5 mA
        ");
    }

    #[test]
    fn a_table_that_does_not_fit_is_written_in_blocks() {
        let mut page = Page::new(Look {
            width: 26,
            colour: false,
        });
        let columns = [
            Column::Words("Situation"),
            Column::Words("Engine"),
            Column::Figures("Load"),
            Column::Figures("at"),
        ];
        let row = ["at work", "idle", "39.2 A", "13.6 V"].map(str::to_owned);
        page.table(2, &columns, vec![row.to_vec()]);
        let text = page.into_text();
        assert!(text.starts_with("  at work\n    Engine idle;"), "{text}");
        assert!(
            text.lines().all(|line| line.chars().count() <= 26),
            "{text}"
        );
        let words: Vec<&str> = text.split_whitespace().collect();
        assert_eq!(
            words.join(" "),
            "at work Engine idle; Load 39.2 A; at 13.6 V"
        );
    }

    #[test]
    fn colour_is_only_there_when_wanted() {
        let plain = Page::new(Look::default()).level(Level::Error, "error");
        assert_eq!(plain, "error");
        let look = Look {
            colour: true,
            ..Look::default()
        };
        assert!(
            Page::new(look)
                .level(Level::Error, "error")
                .contains("\u{1b}[")
        );
    }
}
