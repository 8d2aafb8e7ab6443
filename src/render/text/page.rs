//! A page of text that grows from the top.

use anstyle::AnsiColor;
use anstyle::Style;
use comfy_table::CellAlignment;
use comfy_table::ColumnConstraint;
use comfy_table::ContentArrangement;
use comfy_table::Table;
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
        let Grid { columns, rows } = grid.filled();
        let mut table = Table::new();
        table.load_style(presets::NOTHING);
        table.set_content_arrangement(ContentArrangement::Dynamic);
        let room = self.look.width.saturating_sub(indent).max(40);
        table.set_width(u16::try_from(room).unwrap_or(u16::MAX));
        table.set_header(columns.iter().map(Column::name));
        table.add_rows(rows);
        for (number, column) in columns.iter().enumerate() {
            if let Some(shown) = table.column_mut(number) {
                shown.set_padding((0, 2));
                if matches!(column, Column::Figures(_)) {
                    shown.set_cell_alignment(CellAlignment::Right);
                    // Words can be broken over lines; a figure cannot.
                    shown.set_constraint(ColumnConstraint::ContentWidth);
                }
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
