//! A message with the words that it is about underlined in their own file.

use std::fmt;

use miette::Diagnostic;
use miette::GraphicalReportHandler;
use miette::GraphicalTheme;
use miette::LabeledSpan;
use miette::Severity;
use miette::SourceCode;

use crate::source::Sources;
use crate::source::Span;
use crate::source::Text;

/// How the words come out: decided by whoever knows where they go.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Look {
    /// Columns; lines are wrapped to it.
    pub width: usize,
    /// Whether terminal colours are wanted.
    pub colour: bool,
}

impl Default for Look {
    /// As for a file: 100 columns, no colour.
    fn default() -> Self {
        Self {
            width: 100,
            colour: false,
        }
    }
}

/// One message about words of the record.
#[derive(Clone, Debug)]
pub struct Snippet<'a> {
    /// Where the words stand.
    pub sources: &'a Sources,
    /// Error, warning or advice: decides the mark before the message.
    pub severity: Severity,
    /// What stands above the message, e.g. `error: fuse-exceeds-wire`.
    pub code: Option<String>,
    /// What is wrong.
    pub message: String,
    /// What to do; may have several lines.
    pub help: Option<String>,
    /// The words; nothing is shown where they are in no text.
    pub at: Span,
    /// What stands under the underline.
    pub label: String,
    /// Further places, each with its own few words.
    pub also: &'a [(Span, String)],
}

impl Snippet<'_> {
    /// The message as a person reads it, ending in a line break.
    #[must_use]
    pub fn text(&self, look: Look) -> String {
        let theme = if look.colour {
            GraphicalTheme::unicode()
        } else {
            GraphicalTheme::unicode_nocolor()
        };
        let handler = GraphicalReportHandler::new_themed(theme)
            .with_width(look.width)
            .with_wrap_lines(false)
            .with_links(false);
        // The marks before them take four and eight columns.
        let message = wrapped(&self.message, look.width.saturating_sub(4));
        let help = self
            .help
            .as_ref()
            .map(|help| wrapped(help, look.width.saturating_sub(8)));
        let mut out = String::new();
        for place in self.places(&message, help.as_deref()) {
            // Writing to a string does not fail; a text that miette cannot show still gives its message.
            if handler.render_report(&mut out, &place).is_err() {
                out.push_str(place.message);
                out.push('\n');
            }
        }
        // A byte order mark takes no room; where the text goes on to something else it would only be in the way.
        trim_line_ends(&out).replace('\u{feff}', "")
    }

    /// The message with all its words in one file, then a remark for each further place in another.
    fn places<'p>(&'p self, message: &'p str, help: Option<&'p str>) -> Vec<Place<'p>> {
        let mut places = vec![Place {
            severity: self.severity,
            code: self.code.as_deref(),
            message,
            help,
            text: self.sources.get(self.at.file),
            labels: vec![label(self.at, &self.label, true)],
        }];
        for (at, words) in self.also {
            if at.file == self.at.file {
                places[0].labels.push(label(*at, words, false));
            } else {
                places.push(Place {
                    severity: Severity::Advice,
                    code: None,
                    message: words,
                    help: None,
                    text: self.sources.get(at.file),
                    labels: vec![label(*at, "", true)],
                });
            }
        }
        places
    }
}

/// Breaks lines at spaces, but not within back quotes: what is to be copied stays in one piece where it can.
fn wrapped(text: &str, width: usize) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    for (number, line) in text.lines().enumerate() {
        if number > 0 {
            out.push('\n');
        }
        let mut column = 0;
        for piece in pieces(line) {
            let length = piece.chars().count();
            if column > 0 && column + 1 + length > width {
                out.push('\n');
                column = 0;
            } else if column > 0 {
                out.push(' ');
                column += 1;
            }
            out.push_str(piece);
            column += length;
        }
    }
    out
}

/// The words of a line; what stands between back quotes is one word.
fn pieces(line: &str) -> Vec<&str> {
    let mut pieces = Vec::new();
    let (mut start, mut quoted) = (0, false);
    for (at, c) in line.char_indices() {
        match c {
            '`' => quoted = !quoted,
            ' ' if !quoted => {
                pieces.push(&line[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    pieces.push(&line[start..]);
    pieces.retain(|piece| !piece.is_empty());
    pieces
}

fn label(at: Span, words: &str, primary: bool) -> LabeledSpan {
    let words = (!words.is_empty()).then(|| words.to_owned());
    let range = (at.start as usize, at.len() as usize);
    if primary {
        LabeledSpan::new_primary_with_span(words, range)
    } else {
        LabeledSpan::new_with_span(words, range)
    }
}

fn trim_line_ends(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out
}

/// A message and its words in one file.
#[derive(Debug)]
struct Place<'a> {
    severity: Severity,
    code: Option<&'a str>,
    message: &'a str,
    help: Option<&'a str>,
    text: Option<&'a Text>,
    labels: Vec<LabeledSpan>,
}

impl fmt::Display for Place<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.message)
    }
}

impl std::error::Error for Place<'_> {}

impl Diagnostic for Place<'_> {
    fn code<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.code
            .map(|code| Box::new(code) as Box<dyn fmt::Display>)
    }

    fn severity(&self) -> Option<Severity> {
        Some(self.severity)
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        self.help
            .map(|help| Box::new(help) as Box<dyn fmt::Display>)
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        self.text.map(|text| text as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        Some(Box::new(self.labels.iter().cloned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::FileId;

    fn sources() -> Sources {
        let mut sources = Sources::default();
        let filler = "# a line\n".repeat(40);
        sources.add(Text::new(
            "truck.yaml",
            &format!("parts:\n  F1: {{kind: fuse, rating: 30 A}}\n{filler}  W: {{size: 14 AWG}}\n"),
        ));
        sources.add(Text::new("shelf.yaml", "lamp:\n  draw: 14 A\n"));
        sources
    }

    #[test]
    fn far_places_of_one_file_are_shown_without_what_lies_between_and_other_files_apart() {
        let sources = sources();
        let text = sources.texts()[0].text();
        let rating = text.find("30 A").unwrap() as u32;
        let size = text.find("14 AWG").unwrap() as u32;
        let also = [
            (
                Span::new(FileId(0), size, size + 6),
                "thinnest wire behind it".to_owned(),
            ),
            (
                Span::new(FileId(1), 14, 18),
                "drawn by this lamp".to_owned(),
            ),
        ];
        let shown = Snippet {
            sources: &sources,
            severity: Severity::Error,
            code: Some("error: fuse-exceeds-wire".into()),
            message: "fuse F1 of 30 A is more than its wire carries".into(),
            help: Some("fit a fuse of 15 A\nlimit 15 A".into()),
            at: Span::new(FileId(0), rating, rating + 4),
            label: "rated here".into(),
            also: &also,
        }
        .text(Look::default());
        insta::assert_snapshot!(shown);
    }
}
