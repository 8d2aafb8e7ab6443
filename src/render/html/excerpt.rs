//! The lines of the record that a finding is about, with its words marked.

use std::collections::BTreeMap;

use maud::Markup;
use maud::html;

use crate::check::Finding;
use crate::source::FileId;
use crate::source::Sources;
use crate::source::Span;
use crate::source::Text;

/// So many characters of a line are shown before and after its marks.
const AROUND: usize = 160;

/// Marks of one line: bytes within it, and what is said about them.
type Marks<'a> = Vec<(usize, usize, &'a str)>;

/// The lines with the words at fault and those that bear on it, file by file.
pub(super) fn excerpt(sources: &Sources, finding: &Finding) -> Markup {
    let mut files: BTreeMap<FileId, BTreeMap<usize, Marks<'_>>> = BTreeMap::new();
    let first = std::iter::once((finding.at, finding.label.as_str()));
    let also = finding.also.iter().map(|(at, label)| (*at, label.as_str()));
    for (at, label) in first.chain(also) {
        let Some((line, start, end)) = place(sources, at) else {
            continue;
        };
        let lines = files.entry(at.file).or_default();
        lines.entry(line).or_default().push((start, end, label));
    }
    html! {
        @for (file, lines) in &files {
            @if let Some(text) = sources.get(*file) {
                figure class="excerpt" {
                    figcaption { (text.name()) }
                    ol {
                        @for (number, marks) in lines {
                            (line(text, *number, marks))
                        }
                    }
                }
            }
        }
    }
}

/// Line, and the bytes within it; of words over several lines, those of the first.
fn place(sources: &Sources, at: Span) -> Option<(usize, usize, usize)> {
    if at.is_empty() {
        return None;
    }
    let text = sources.get(at.file)?;
    let number = sources.position(at).line;
    let line = text.line(number)?;
    let before = text.text().get(..at.start as usize)?;
    let start = before
        .rfind('\n')
        .map_or(before.len(), |end| before.len() - end - 1);
    let end = (start + at.len() as usize).min(line.len());
    (start < end).then_some((number, start, end))
}

fn line(text: &Text, number: usize, marks: &Marks<'_>) -> Markup {
    let words = text.line(number).unwrap_or_default();
    let mut sorted = marks.clone();
    sorted.sort_unstable();
    let mut labels: Vec<&str> = Vec::new();
    for (_, _, label) in &sorted {
        if !label.is_empty() && !labels.contains(label) {
            labels.push(label);
        }
    }
    html! {
        li value=(number) {
            code { @for piece in pieces(words, &sorted) {
                @match piece {
                    Piece::Plain(words) => (words),
                    Piece::Marked(words) => mark { (words) },
                    Piece::Left => span class="left" { "…" },
                }
            } }
            @for label in labels {
                span class="label" { (label) }
            }
        }
    }
}

#[derive(PartialEq, Eq, Debug)]
enum Piece<'a> {
    Plain(&'a str),
    Marked(&'a str),
    /// Something is left out here.
    Left,
}

/// A line cut at its marks; what lies far from all of them is left out.
fn pieces<'a>(line: &'a str, marks: &[(usize, usize, &str)]) -> Vec<Piece<'a>> {
    let mut pieces = Vec::new();
    let mut at = 0;
    for &(start, end, _) in marks {
        let start = start.max(at);
        let (Some(before), Some(words)) = (line.get(at..start), line.get(start..end.max(start)))
        else {
            continue;
        };
        plain(before, at > 0, true, &mut pieces);
        if !words.is_empty() {
            pieces.push(Piece::Marked(words));
        }
        at = end.max(start);
    }
    plain(
        line.get(at..).unwrap_or_default(),
        at > 0,
        false,
        &mut pieces,
    );
    pieces
}

/// Words between marks, or at an end of the line: only what stands close to a mark.
fn plain<'a>(words: &'a str, marked_before: bool, marked_after: bool, pieces: &mut Vec<Piece<'a>>) {
    let head = if marked_before { AROUND } else { 0 };
    let tail = if marked_after { AROUND } else { 0 };
    if words.chars().count() <= head + tail + 20 {
        if !words.is_empty() {
            pieces.push(Piece::Plain(words));
        }
        return;
    }
    let first = words.char_indices().nth(head).map_or(0, |(at, _)| at);
    let last = words.char_indices().rev().nth(tail.saturating_sub(1));
    let last = if tail == 0 {
        words.len()
    } else {
        last.map_or(0, |(at, _)| at)
    };
    if first > 0 {
        pieces.push(Piece::Plain(&words[..first]));
    }
    pieces.push(Piece::Left);
    if last < words.len() {
        pieces.push(Piece::Plain(&words[last..]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_at_its_marks() {
        let line = "F1: {rating: 30 A}";
        assert_eq!(
            pieces(line, &[(13, 17, "here")]),
            [
                Piece::Plain("F1: {rating: "),
                Piece::Marked("30 A"),
                Piece::Plain("}")
            ]
        );
        assert_eq!(
            pieces(line, &[(0, 2, ""), (0, 18, "")]),
            [Piece::Marked("F1"), Piece::Marked(": {rating: 30 A}")]
        );
    }

    #[test]
    fn of_an_endless_line_only_what_is_near_is_shown() {
        let line = format!("{}WORD{}", "é".repeat(5000), "x".repeat(5000));
        let at = line.find("WORD").unwrap();
        let cut = pieces(&line, &[(at, at + 4, "")]);
        let near = "é".repeat(AROUND);
        let after = "x".repeat(AROUND);
        assert_eq!(
            cut,
            [
                Piece::Left,
                Piece::Plain(&near),
                Piece::Marked("WORD"),
                Piece::Plain(&after),
                Piece::Left,
            ]
        );
    }
}
