//! Faults of YAML syntax, in the words of somebody who writes such files by hand.

use granit_parser::{ErrorKind, ScanError};

use crate::source::{FileId, Problem, Span};

/// A fault of YAML syntax, in the words of somebody who writes such files by hand.
pub(super) fn syntax(error: &ScanError, source: &str, file: FileId) -> Problem {
    let byte = error.marker().byte_offset().unwrap_or(source.len());
    let mut start = boundary(source, byte.min(source.len()));
    if let Some(problem) = glued(error.kind(), source, start, file)
        .or_else(|| colon(error.kind(), source, start, file))
    {
        return problem;
    }
    let (message, label, help) = words(error.kind());
    if label == TAB && source[..start].ends_with('\t') {
        start -= 1;
    }
    let end = source[start..]
        .chars()
        .next()
        .filter(|c| *c != '\n' && *c != '\r')
        .map_or(start, |c| start + c.len_utf8());
    let at = Span::new(file, start as u32, end as u32);
    let problem = match message {
        Some(_) if label == TAB => Problem::new(at, tabs(source, start)),
        Some(message) => Problem::new(at, message),
        None => Problem::new(at, format!("this is not YAML: {}", error.info())),
    };
    problem.label(label).help(format!("{help}{UNREAD}"))
}

fn boundary(source: &str, mut at: usize) -> usize {
    while !source.is_char_boundary(at) {
        at -= 1;
    }
    at
}

const TAB: &str = "a tab";

/// All lines from here on that begin with a tab: whoever uses tabs uses them on more than one.
fn tabs(source: &str, at: usize) -> String {
    let first = source[..at].matches('\n').count();
    let lines: Vec<usize> = source
        .lines()
        .enumerate()
        .skip(first)
        .filter(|(number, line)| {
            let words = line.trim_start_matches([' ', '\t']);
            let indent = &line[..line.len() - words.len()];
            *number == first || (indent.contains('\t') && !words.trim().is_empty())
        })
        .map(|(number, _)| number + 1)
        .collect();
    if lines.len() < 2 {
        return "a tab stands where only spaces may".to_owned();
    }
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for line in lines {
        match stretches.last_mut() {
            Some((_, last)) if *last + 1 == line => *last = line,
            _ => stretches.push((line, line)),
        }
    }
    let most = 12;
    let mut words: Vec<String> = stretches
        .iter()
        .take(most)
        .map(|&(from, to)| match to - from {
            0 => from.to_string(),
            1 => format!("{from}, {to}"),
            _ => format!("{from} to {to}"),
        })
        .collect();
    if stretches.len() > most {
        words.push("and further ones".to_owned());
    }
    format!(
        "tabs stand where only spaces may, on lines {}",
        words.join(", ")
    )
}

/// `name:T` on this line or the one above it: without a space the colon makes no key, and the line after it is blamed.
fn glued(kind: &ErrorKind, source: &str, at: usize, file: FileId) -> Option<Problem> {
    if !matches!(
        kind,
        ErrorKind::MappingValueNotAllowed
            | ErrorKind::SimpleKeyExpected
            | ErrorKind::InvalidSimpleKey
            | ErrorKind::ExpectedBlockMappingKey
            | ErrorKind::MappingKeyNotAllowed
    ) {
        return None;
    }
    let this = source[..at].rfind('\n').map_or(0, |at| at + 1);
    let above = source[..this.saturating_sub(1)]
        .rfind('\n')
        .map_or(0, |at| at + 1);
    [this, above].into_iter().find_map(|start| {
        let line = source[start..].lines().next().unwrap_or("");
        let words = line.trim_start_matches([' ', '-']);
        let (key, value) = words.split_once(':')?;
        let word = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        let is_key = key.starts_with(|c: char| c.is_ascii_alphabetic()) && key.chars().all(word);
        if !is_key || value.is_empty() || value.starts_with([' ', '\t', '/', ':']) {
            return None;
        }
        let colon = start + line.len() - words.len() + key.len();
        Some(
            Problem::new(
                Span::new(file, colon as u32, colon as u32 + 1),
                format!("a space is missing after `{key}:`"),
            )
            .label("no space after this colon")
            .help(format!("write `{key}: {}`{UNREAD}", value.trim_end())),
        )
    })
}

/// A colon where none is expected: in the middle of words, or after a key that is indented unlike its neighbours.
fn colon(kind: &ErrorKind, source: &str, at: usize, file: FileId) -> Option<Problem> {
    if !matches!(kind, ErrorKind::MappingValueNotAllowed) {
        return None;
    }
    let line_start = source[..at].rfind('\n').map_or(0, |at| at + 1);
    let line_end = source[at..].find('\n').map_or(source.len(), |end| at + end);
    let line = source[line_start..line_end].trim_end();
    let before = &source[line_start..at];
    let span = |start: usize, end: usize| Span::new(file, start as u32, end as u32);
    if let Some((key, _)) = before.split_once(": ") {
        let value = line[key.len() + 1..].trim();
        let key = key.trim_start_matches([' ', '-']);
        let quoted = value.replace('"', "'");
        return Some(
            Problem::new(
                span(at, at + 1),
                "a colon stands in the middle of the words",
            )
            .label("this colon")
            .help(format!(
                "put the words between quotation marks: `{key}: \"{quoted}\"`{UNREAD}"
            )),
        );
    }
    let indent = before.len() - before.trim_start().len();
    Some(
        Problem::new(span(line_start + indent, at), "this line is indented unlike its neighbours")
            .label("where does it belong?")
            .help(format!("keys of one part or wire start in the same column; those that belong to the line above it start two spaces further right, and that line then ends in a colon{UNREAD}")),
    )
}

/// A fault of syntax hides what comes after it.
const UNREAD: &str =
    "; the rest of the file was not read because of this, and may hold more faults";

type Words = (Option<&'static str>, &'static str, &'static str);

fn words(kind: &ErrorKind) -> Words {
    match kind {
        ErrorKind::TabNotAllowed
        | ErrorKind::TabInBlockIndentation
        | ErrorKind::TabInIndentation
        | ErrorKind::TabAtBlockScalarStart
        | ErrorKind::TabInPlainScalar => (
            Some("a tab stands where only spaces may"),
            TAB,
            "indent with spaces, two for each step; most editors can turn tabs into spaces",
        ),
        ErrorKind::UnexpectedEofFlowSequence
        | ErrorKind::UnexpectedEofFlowMapping
        | ErrorKind::UnexpectedEofImplicitFlowMapping
        | ErrorKind::UnclosedFlowCollection { .. } => (
            Some("a bracket is opened and never closed"),
            "the file ended, or the next entry began, before it was",
            "every `{` needs its `}` and every `[` its `]`",
        ),
        ErrorKind::MisplacedFlowCollectionEnd | ErrorKind::MismatchedFlowCollectionEnd { .. } => (
            Some("this bracket closes nothing that is open"),
            "no match",
            "every `{` needs its `}` and every `[` its `]`, in the right order",
        ),
        ErrorKind::ExpectedFlowMappingSeparator | ErrorKind::ExpectedFlowSequenceSeparator => (
            Some("a comma or a closing bracket is missing"),
            "before this",
            "between braces, keys are separated by commas, and a brace closes them: `{kind: fuse, rating: 30 A}`; look at the line above too",
        ),
        ErrorKind::UnclosedQuotedScalar | ErrorKind::DocumentIndicatorInQuotedScalar => (
            Some("a quotation mark is opened and never closed"),
            "opened here, or on a line above",
            "close it, or write the inch mark as `in` and the foot mark as `ft`",
        ),
        ErrorKind::InvalidTrailingDoubleQuotedScalar
        | ErrorKind::InvalidTrailingSingleQuotedScalar => (
            Some("words go on after the closing quotation mark"),
            "not expected here",
            "put the whole value between the quotation marks, or none of it; inches are written `6 in`",
        ),
        ErrorKind::UnknownQuotedScalarEscape
        | ErrorKind::InvalidQuotedScalarHexEscape
        | ErrorKind::InvalidUnicodeEscape => (
            Some("a backslash between double quotation marks has a meaning that this one has not"),
            "here",
            "use single quotation marks, or write the backslash twice",
        ),
        ErrorKind::UnknownAnchor => (
            Some("`*` repeats something that has been given a name with `&`, and this has not"),
            "no such name above",
            "if the star belongs to the words, put them between quotation marks",
        ),
        ErrorKind::MappingValueNotAllowed
        | ErrorKind::InvalidColonPlacement
        | ErrorKind::SimpleKeyExpected
        | ErrorKind::InvalidMappingValueWhitespace => (
            Some("a colon stands where no key is expected"),
            "this colon",
            "if it belongs to the words, put them between quotation marks: `note: \"later: check\"`; \
             else look whether this line is indented like its neighbours",
        ),
        ErrorKind::ExpectedBlockMappingKey
        | ErrorKind::ExpectedBlockSequenceEntry
        | ErrorKind::InvalidIndentation
        | ErrorKind::MappingKeyNotAllowed
        | ErrorKind::BlockSequenceEntryNotAllowed
        | ErrorKind::InvalidSimpleKey => (
            Some("this line does not fit to the lines above it"),
            "indented unlike its neighbours, or a colon or dash is missing",
            "entries of one list or map start in the same column, and every key has a colon and a space after it",
        ),
        ErrorKind::RecursionLimitExceeded => (
            Some("lists and maps lie too deep in one another"),
            "reading stops here",
            "a record is never that deep: look for brackets that are not closed",
        ),
        ErrorKind::UnexpectedCharacter { .. }
        | ErrorKind::PlainScalarStartsWithDashFlowIndicator => (
            Some("words cannot start with this sign"),
            "here",
            "put the words between quotation marks",
        ),
        ErrorKind::CommentNotSeparated => (
            Some("a remark starts with a space and `#`"),
            "no space before it",
            "put a space before the `#`, or the words between quotation marks",
        ),
        ErrorKind::BomInsideDocument => (
            Some("an invisible byte-order mark stands in the middle of the file"),
            "here",
            "delete it and type the line again",
        ),
        ErrorKind::UnexpectedEof
        | ErrorKind::UnexpectedEofBlockMapping
        | ErrorKind::UnexpectedEofBlockSequence => (
            Some("the file ends in the middle of an entry"),
            "end of file",
            "finish the entry",
        ),
        _ => (
            None,
            "reading stops here",
            "put words with signs such as `: # { } [ ] , & * ! | > % @` between quotation marks",
        ),
    }
}
