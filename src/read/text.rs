//! From bytes to text: size, encoding, characters that no text file has.

use super::Limits;
use crate::source::{FileId, Problem, Problems, Sources, Span, Text};

/// Takes bytes as a text and adds it to the sources, even where it cannot be used, so that messages can show it.
pub(super) fn open(
    name: &str,
    bytes: &[u8],
    limits: &Limits,
    sources: &mut Sources,
    problems: &mut Problems,
) -> Option<Text> {
    let most = limits.max_bytes.min(u32::MAX as usize / 2);
    if bytes.len() > most {
        let id = sources.add(Text::new(name, ""));
        problems.push(
            Problem::new(
                Span::new(id, 0, 0),
                format!(
                    "the file has {:.1} MiB, and at most {:.1} MiB are read",
                    mebibytes(bytes.len()),
                    mebibytes(most)
                ),
            )
            .label("too large")
            .help("one file holds one vehicle; if it really is that large, raise the limit with `--max-size`"),
        );
        return None;
    }
    if let Some(encoding) = other_encoding(bytes) {
        let id = sources.add(Text::new(name, ""));
        problems.push(
            Problem::new(
                Span::new(id, 0, 0),
                format!("the file is saved as {encoding}"),
            )
            .label("not UTF-8")
            .help("save it again as UTF-8: in most editors a choice in the `Save as` window"),
        );
        return None;
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => {
            let Some((at, found)) = controls(text).next() else {
                let id = sources.add(Text::new(name, text));
                return sources.get(id).cloned();
            };
            let id = sources.add(Text::new(name, &harmless(text)));
            problems.push(control(at, found, id));
            None
        }
        Err(error) => {
            let start = error.valid_up_to();
            let byte = bytes.get(start).copied().unwrap_or(0);
            let shown = harmless(&String::from_utf8_lossy(bytes));
            let id = sources.add(Text::new(name, &shown));
            let end = start + char::REPLACEMENT_CHARACTER.len_utf8();
            let hint = match byte {
                0xb0 => ", most likely a degree sign",
                0xb2 => ", most likely a raised 2",
                0xb5 => ", most likely a micro sign",
                0x80..=0xff => ", most likely a letter with an accent or a special sign",
                _ => "",
            };
            problems.push(
                Problem::new(
                    Span::new(id, start as u32, end as u32),
                    format!("the file is not UTF-8: byte {start} is 0x{byte:02X}{hint}"),
                )
                .label("saved in another encoding")
                .help("save the file again as UTF-8, then look at this sign"),
            );
            None
        }
    }
}

#[allow(clippy::cast_precision_loss)]
fn mebibytes(bytes: usize) -> f64 {
    bytes as f64 / f64::from(1 << 20)
}

fn other_encoding(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..] => Some("UTF-32"),
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => Some("UTF-16"),
        [a, 0, b, 0, ..] | [0, a, 0, b, ..] if a.is_ascii_graphic() && b.is_ascii_graphic() => {
            Some("UTF-16")
        }
        _ => None,
    }
}

/// Characters that no text file has, and on which a terminal may act.
fn is_control(c: char) -> bool {
    c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\u{85}')
}

/// What is shown to people must not hold characters that a terminal acts on; no byte moves.
fn harmless(text: &str) -> String {
    let mut shown = String::with_capacity(text.len());
    let mut from = 0;
    for (at, found) in controls(text) {
        shown.push_str(&text[from..at]);
        shown.extend(std::iter::repeat_n('?', found.len_utf8()));
        from = at + found.len_utf8();
    }
    shown.push_str(&text[from..]);
    shown
}

/// Where such characters stand; a carriage return is one unless it belongs to a line end.
fn controls(text: &str) -> impl Iterator<Item = (usize, char)> + '_ {
    let line_end = |at: usize| text.as_bytes().get(at + 1) == Some(&b'\n');
    text.char_indices()
        .filter(move |&(at, c)| is_control(c) || (c == '\r' && !line_end(at)))
}

fn control(at: usize, found: char, id: FileId) -> Problem {
    let what = if found == '\0' {
        "a NUL byte".to_owned()
    } else if found == '\r' {
        "a carriage return without a line feed".to_owned()
    } else {
        format!("the control character 0x{:02X}", found as u32)
    };
    let start = at as u32;
    Problem::new(
        Span::new(id, start, start + found.len_utf8() as u32),
        format!("{what} stands in the text, at byte {at}"),
    )
    .label("a character that cannot be seen, shown as `?`")
    .help("the file may be damaged, or not a text file; delete this character and type the line again")
}
