//! Texts with quick line look-up.

use std::sync::Arc;

use miette::{MietteError, MietteSpanContents, SourceCode, SourceSpan, SpanContents};

use super::{FileId, Span};

/// One text and where its lines start. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Text {
    name: Arc<str>,
    text: Arc<str>,
    starts: Arc<[u32]>,
}

/// A place as people say it: both count from 1, the column in characters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

impl Text {
    /// A text under the name that messages show.
    #[must_use]
    pub fn new(name: &str, text: &str) -> Self {
        let breaks = text.bytes().enumerate().filter(|&(_, byte)| byte == b'\n');
        let starts = std::iter::once(0)
            .chain(breaks.map(|(at, _)| at as u32 + 1))
            .collect();
        Self {
            name: name.into(),
            text: text.into(),
            starts,
        }
    }

    /// The name that messages show.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The whole text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The words at a place; empty where the place is not in this text.
    #[must_use]
    pub fn slice(&self, at: Span) -> &str {
        self.text.get(at.range()).unwrap_or("")
    }

    /// Line and column of a byte.
    #[must_use]
    pub fn position(&self, byte: u32) -> Position {
        let line = self.line_of(byte as usize);
        let before = self
            .text
            .get(self.starts[line] as usize..byte as usize)
            .unwrap_or("");
        Position {
            line: line + 1,
            column: before.chars().count() + 1,
        }
    }

    /// A line without its end, counted from 1; nothing where there is none.
    #[must_use]
    pub fn line(&self, number: usize) -> Option<&str> {
        let at = number.checked_sub(1)?;
        let start = *self.starts.get(at)? as usize;
        let end = self
            .starts
            .get(at + 1)
            .map_or(self.text.len(), |&next| next as usize);
        let line = self.text.get(start..end)?;
        Some(line.trim_end_matches(['\n', '\r']))
    }

    fn line_of(&self, byte: usize) -> usize {
        self.starts
            .partition_point(|&start| start as usize <= byte)
            .saturating_sub(1)
    }
}

/// The document and the libraries that it names.
#[derive(Clone, Debug, Default)]
pub struct Sources {
    texts: Vec<Text>,
}

impl Sources {
    /// Adds a text and returns its number.
    pub fn add(&mut self, text: Text) -> FileId {
        self.texts.push(text);
        FileId((self.texts.len() - 1) as u16)
    }

    /// The text with this number.
    #[must_use]
    pub fn get(&self, id: FileId) -> Option<&Text> {
        self.texts.get(id.0 as usize)
    }

    /// All texts, the document first.
    #[must_use]
    pub fn texts(&self) -> &[Text] {
        &self.texts
    }

    /// The words at a place.
    #[must_use]
    pub fn slice(&self, at: Span) -> &str {
        self.get(at.file).map_or("", |text| text.slice(at))
    }

    /// Line and column where a place starts.
    #[must_use]
    pub fn position(&self, at: Span) -> Position {
        self.get(at.file)
            .map_or(Position { line: 1, column: 1 }, |text| {
                text.position(at.start)
            })
    }
}

/// More than this many bytes of context, and only what stands close to the words is shown.
const LONG: usize = 4096;
/// How much of a line is shown on either side of the words then, in bytes.
const BESIDE: usize = 60;

impl Text {
    /// The words with a little of their line on either side: a line can be as long as the file.
    fn clipped(&self, start: usize, end: usize) -> MietteSpanContents<'_> {
        let line = self.line_of(start);
        let mut from = start.saturating_sub(BESIDE).max(self.starts[line] as usize);
        while !self.text.is_char_boundary(from) {
            from += 1;
        }
        let rest = self.text.get(end..).unwrap_or("");
        let mut stop = end + rest.find('\n').unwrap_or(rest.len()).min(BESIDE);
        while !self.text.is_char_boundary(stop) {
            stop -= 1;
        }
        let column = self.text[self.starts[line] as usize..from].chars().count();
        let lines = self.text[from..stop].matches('\n').count() + 1;
        MietteSpanContents::new_named(
            self.name.to_string(),
            &self.text.as_bytes()[from..stop],
            (from, stop - from).into(),
            line,
            column,
            lines,
        )
    }
}

// miette's own sources walk from the top of the text for every label and print everything between two labels.
impl SourceCode for Text {
    fn read_span<'a>(
        &'a self,
        span: &SourceSpan,
        before: usize,
        after: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let (start, end) = (span.offset(), span.offset() + span.len());
        if end > self.text.len() {
            return Err(MietteError::OutOfBounds);
        }
        let last = self.line_of(if end > start { end - 1 } else { end });
        let first = self.line_of(start).saturating_sub(before);
        let stop = self
            .starts
            .get(last + after + 1)
            .map_or(self.text.len(), |&at| at as usize);
        let line_start = self.starts[first] as usize;
        // Without context miette takes the header's line:column from what is returned here.
        let (from, column) = if before == 0 {
            (
                start,
                self.text
                    .get(line_start..start)
                    .unwrap_or("")
                    .chars()
                    .count(),
            )
        } else {
            (line_start, 0)
        };
        let lines = (last + after + 1).min(self.starts.len()) - first;
        if before > 0 && stop - from > LONG {
            return Ok(Box::new(self.clipped(start, end)));
        }
        Ok(Box::new(MietteSpanContents::new_named(
            self.name.to_string(),
            &self.text.as_bytes()[from..stop],
            (from, stop - from).into(),
            first,
            column,
            lines,
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_endless_line_only_what_stands_close_is_shown() {
        let text = Text::new("t", &format!("a: 1\n{}é\n", "é[".repeat(50_000)));
        let shown = text.read_span(&(60_007, 1).into(), 1, 1).unwrap();
        assert!(shown.data().len() < 200 && std::str::from_utf8(shown.data()).is_ok());
        let end = text.text().len();
        assert!(text.read_span(&(end - 1, 1).into(), 1, 1).is_ok());
    }

    #[test]
    fn positions_count_lines_and_characters_from_one() {
        let text = Text::new("t", "ab\nçd\n");
        assert_eq!(text.position(0), Position { line: 1, column: 1 });
        assert_eq!(text.position(5), Position { line: 2, column: 2 });
        assert_eq!(text.position(7), Position { line: 3, column: 1 });
    }
}
