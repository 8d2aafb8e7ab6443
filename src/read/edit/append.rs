//! A reading put at the end of `readings:`, in the record's own text.

use super::{Document, read_again};
use crate::read::Limits;
use crate::read::part::child;
use crate::read::yaml::{self, Node, Tree};
use crate::source::{FileId, Problem, Problems, Span};

/// The text of a record with one more reading, as `{pulled: [F1], current: 31 mA}`; all else, comments and layout included,
/// stays as it is.
///
/// # Errors
/// What is wrong with the reading, and a record whose text leaves no place for one.
pub fn with_reading(document: &Document, entry: &str) -> Result<String, Vec<Problem>> {
    let unreadable = || no_place("the text of the record cannot be read again");
    let source = document.sources.get(FileId(0)).ok_or_else(unreadable)?;
    let limits = Limits {
        max_bytes: usize::MAX,
        ..Limits::default()
    };
    let mut faults = Problems::new();
    let text = source.text();
    let tree = yaml::parse(text, FileId(0), &limits, &mut faults).ok_or_else(unreadable)?;
    let (at, words) = place(&tree, text, entry)?;
    let mut changed = text.to_owned();
    changed.insert_str(at, &words);
    let again = read_again(document, &changed).map_err(|unreadable| unreadable.problems)?;
    if again.readings.len() == document.readings.len() + 1 {
        Ok(changed)
    } else {
        Err(no_place(
            "the reading would stand where it is not read as one",
        ))
    }
}

fn no_place(message: &str) -> Vec<Problem> {
    vec![Problem::new(Span::default(), message).help("write the reading into the file by hand")]
}

/// Where the words go, and the words.
fn place(tree: &Tree<'_>, text: &str, entry: &str) -> Result<(usize, String), Vec<Problem>> {
    let end_of_line = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let root = tree.root();
    let Some(list) = child(tree, root, "readings") else {
        if tree.in_brackets(root) {
            return Err(no_place("the whole record stands in one pair of braces"));
        }
        let gap = if text.ends_with('\n') {
            ""
        } else {
            end_of_line
        };
        let words = format!("{gap}{end_of_line}readings:{end_of_line}  - {entry}{end_of_line}");
        return Ok((text.len(), words));
    };
    if tree.is_alias(list) {
        return Err(no_place(
            "the readings are a copy of something else in the record",
        ));
    }
    let Node::List(items) = tree.node(list) else {
        return Err(no_place("`readings` is not a list"));
    };
    if tree.in_brackets(list) {
        let at = (tree.written(list).end as usize).saturating_sub(1);
        let comma = if items.is_empty() { "" } else { ", " };
        return Ok((at, format!("{comma}{entry}")));
    }
    let Some(&last) = items.last() else {
        return Err(no_place("`readings` is not a list"));
    };
    let written = tree.written(last);
    let (start, end) = (written.start as usize, written.end as usize);
    let line = text[..start].rfind('\n').map_or(0, |end| end + 1);
    // The dash of the last reading says how far in the next one stands.
    let Some(dash) = text[line..start].find('-') else {
        return Err(no_place(
            "the last reading does not stand on a line of its own",
        ));
    };
    let indent = &text[line..line + dash];
    let end = start + text[start..end].trim_end().len();
    let (at, gap) = match text[end..].find('\n') {
        Some(stop) => (end + stop + 1, ""),
        None => (text.len(), end_of_line),
    };
    Ok((at, format!("{gap}{indent}- {entry}{end_of_line}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Document {
        crate::read::read(
            "t.yaml",
            text.as_bytes(),
            &mut |_| Err(String::new()),
            &Limits::default(),
        )
        .unwrap_or_else(|fault| panic!("{:#?}\n{text}", fault.problems))
    }

    const HEAD: &str =
        "keyoff: 1 # a truck\nvehicle: {name: T}\nparts: {B1: {kind: battery}, F1: {kind: fuse}}\n";

    fn added(tail: &str) -> String {
        let changed = with_reading(
            &read(&format!("{HEAD}{tail}")),
            "{pulled: [F1], current: 31 mA}",
        );
        let changed = changed.unwrap_or_else(|fault| panic!("{fault:#?}"));
        changed.strip_prefix(HEAD).unwrap().to_owned()
    }

    #[test]
    fn a_reading_goes_to_the_end_of_the_list_and_comments_stay() {
        assert_eq!(
            added(
                "readings:\n    - {current: 1 A}  # just off\n    # next: the fuses\n\naccept: []\n"
            ),
            "readings:\n    - {current: 1 A}  # just off\n    - {pulled: [F1], current: 31 mA}\n    # next: the fuses\n\naccept: []\n"
        );
        assert_eq!(
            added("readings:\n- current: 1 A\n  after: 5 min # short\nrules: {}\n"),
            "readings:\n- current: 1 A\n  after: 5 min # short\n- {pulled: [F1], current: 31 mA}\nrules: {}\n"
        );
        assert_eq!(
            added("readings: [{current: 1 A}] # one\n"),
            "readings: [{current: 1 A}, {pulled: [F1], current: 31 mA}] # one\n"
        );
    }

    #[test]
    fn without_a_list_one_is_begun() {
        assert_eq!(
            added(""),
            "\nreadings:\n  - {pulled: [F1], current: 31 mA}\n"
        );
        assert_eq!(
            added("readings:\n  - {current: 1 A}"),
            "readings:\n  - {current: 1 A}\n  - {pulled: [F1], current: 31 mA}\n"
        );
    }

    #[test]
    fn lines_end_as_they_did() {
        let text = format!("{HEAD}readings:\n  - {{current: 1 A}}\n").replace('\n', "\r\n");
        let changed = with_reading(&read(&text), "{current: 2 A}").unwrap();
        assert!(
            changed.ends_with("1 A}\r\n  - {current: 2 A}\r\n"),
            "{changed}"
        );
    }

    #[test]
    fn what_is_no_reading_changes_nothing() {
        let document = read(&format!("{HEAD}readings:\n  - {{current: 1 A}}\n"));
        for wrong in [
            "{current: 12}",
            "{pulled: [F9], current: 1 A}",
            "{current",
            "1 A",
        ] {
            assert!(with_reading(&document, wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn where_there_is_no_place_one_is_told_to_write_it_by_hand() {
        let copied = "situations: {a: {detached: &none []}}\nreadings: *none\n";
        for (text, why) in [
            (
                "{keyoff: 1, parts: {F1: {kind: fuse}}}\n".to_owned(),
                "the whole record stands in one pair of braces",
            ),
            (
                format!("{HEAD}{copied}"),
                "the readings are a copy of something else in the record",
            ),
        ] {
            let problems = with_reading(&read(&text), "{current: 1 A}").unwrap_err();
            assert_eq!(problems[0].message, why);
            let help = problems[0].help.as_deref();
            assert_eq!(help, Some("write the reading into the file by hand"));
        }
    }
}
