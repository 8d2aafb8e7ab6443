//! How wide text is, from a table of our own: the layout must not depend on the fonts of a machine.
//!
//! Advance widths of Liberation Sans (SIL Open Font License) in thousandths of the size, read from the font files; other sans-serif
//! fonts of the same design measure the same. `MARGIN` covers those that run a little wider.

/// Regular weight, ASCII 32 to 126.
const REGULAR: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];

/// Bold weight, ASCII 32 to 126.
const BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667,
    611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556,
    278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
];

/// Room added for fonts that run wider, in per cent.
const MARGIN: u32 = 4;

/// Marks of a name within a text, in place of which the sheet and field of that place will stand. Two characters that no
/// text means anything by: from the private use area of Unicode.
const REFERENCE: (char, char) = ('\u{e000}', '\u{e001}');
/// What takes as much room as any sheet and field.
const WIDEST_REFERENCE: &str = "/00.D0";

/// A place in a text for the sheet and field of a named place; see [`resolve`].
#[must_use]
pub fn reference(name: &str) -> String {
    format!("{}{name}{}", REFERENCE.0, REFERENCE.1)
}

/// Puts sheets and fields in place of names; `place` answers with what is to stand there.
#[must_use]
pub fn resolve(text: &str, place: impl Fn(&str) -> Option<String>) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(REFERENCE.0) {
        out.push_str(before);
        let Some((name, tail)) = after.split_once(REFERENCE.1) else {
            rest = after;
            continue;
        };
        if let Some(found) = place(name) {
            out.push('/');
            out.push_str(&found);
        }
        rest = tail;
    }
    out.push_str(rest);
    out
}

/// Width of a text in units, rounded up.
#[must_use]
pub fn width(text: &str, size: f64, bold: bool) -> i32 {
    let exact = f64::from(thousandths(text, bold) * (100 + MARGIN)) * size / 100_000.0;
    exact.ceil() as i32
}

/// Width of a text as a viewer has to set it, whatever font it has: that of the table, without the room to spare. Spaces in a
/// row count as one, as they are shown. None where the table does not hold every letter.
#[must_use]
pub fn set_width(text: &str, size: f64, bold: bool) -> Option<f64> {
    let shown = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let known = |letter: char| matches!(u32::from(letter), 32..=126) || letter == '…';
    if shown.chars().count() < 2 || !shown.chars().all(known) {
        return None;
    }
    Some(f64::from(thousandths(&shown, bold)) * size / 1000.0)
}

fn thousandths(text: &str, bold: bool) -> u32 {
    let table = if bold { &BOLD } else { &REGULAR };
    let whole;
    let text = if text.contains(REFERENCE.0) {
        whole = resolve(text, |_| Some(WIDEST_REFERENCE[1..].to_owned()));
        whole.as_str()
    } else {
        text
    };
    text.chars()
        .map(|letter| match u32::from(letter) {
            code @ 32..=126 => u32::from(table[code as usize - 32]),
            // Wide scripts take a whole square; what is left is mostly Latin with accents.
            0x1100..=0x11ff
            | 0x2e80..=0xa4cf
            | 0xac00..=0xd7a3
            | 0xf900..=0xfaff
            | 0xfe30..=0xfe6f
            | 0xff00..=0xff60
            | 0x1f000.. => 1000,
            // Dashes, the ellipsis, arrows.
            0x2010..=0x2bff => 1000,
            _ => 722,
        })
        .sum()
}

/// Breaks words into lines of at most this width; a word that is wider is broken; the last of `most` lines ends in an
/// ellipsis when more is left.
#[must_use]
pub fn wrap(text: &str, size: f64, limit: i32, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    let mut rest = false;
    'words: for word in text.split_whitespace() {
        let mut word = word.to_owned();
        loop {
            let longer = if line.is_empty() {
                word.clone()
            } else {
                format!("{line} {word}")
            };
            if width(&longer, size, false) <= limit {
                line = longer;
                continue 'words;
            }
            if line.is_empty() {
                // One word wider than the line.
                let mut head = String::new();
                let mut tail = String::new();
                for letter in word.chars() {
                    head.push(letter);
                    if !tail.is_empty()
                        || (width(&head, size, false) > limit && head.chars().count() > 1)
                    {
                        head.pop();
                        tail.push(letter);
                    }
                }
                lines.push(head);
                word = tail;
            } else {
                lines.push(std::mem::take(&mut line));
            }
            if lines.len() == most {
                rest = true;
                break 'words;
            }
            if word.is_empty() {
                continue 'words;
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    if rest && let Some(last) = lines.last_mut() {
        last.push('…');
        while width(last, size, false) > limit && last.chars().count() > 1 {
            last.pop();
            last.pop();
            last.push('…');
        }
    }
    lines
}

/// Breaks words into as few lines as [`wrap`] does, and makes those about as long as each other.
#[must_use]
pub fn even(text: &str, size: f64, limit: i32, most: usize) -> Vec<String> {
    let mut best = wrap(text, size, limit, most);
    let cut = best.last().is_some_and(|last| last.ends_with('…'));
    if best.len() < 2 || cut {
        return best;
    }
    let mut narrower = limit;
    while narrower > limit / 2 {
        narrower -= 2;
        let lines = wrap(text, size, narrower, most + 1);
        let broken = lines.iter().map(String::len).sum::<usize>() + lines.len() - 1 != text.len();
        if lines.len() != best.len() || broken {
            break;
        }
        best = lines;
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_and_capitals_are_measured() {
        // 5 digits of 0.556 em at 10 units, and 4 % for other fonts.
        assert_eq!(width("12345", 10.0, false), 29);
        assert!(width("WWW", 10.0, true) > width("iii", 10.0, true) * 3);
    }

    #[test]
    fn lines_are_about_as_long_as_each_other() {
        let lines = even("tapped into fuse panel slot 7", 9.0, 90, 3);
        assert_eq!(lines, ["tapped into fuse", "panel slot 7"]);
        let word = even("Donaudampfschifffahrtsgesellschaft", 9.0, 110, 5);
        assert_eq!(
            word,
            wrap("Donaudampfschifffahrtsgesellschaft", 9.0, 110, 5)
        );
    }

    #[test]
    fn words_are_wrapped_and_what_is_cut_is_marked() {
        let lines = wrap("spare slot nine of the fuse panel", 9.0, 80, 2);
        assert_eq!(lines, ["spare slot nine of", "the fuse panel"]);
        let cut = wrap("spare slot nine of the fuse panel", 9.0, 80, 1);
        assert_eq!(cut.len(), 1);
        assert!(cut[0].ends_with('…') && width(&cut[0], 9.0, false) <= 80);
        let broken = wrap("Donaudampfschifffahrtsgesellschaft", 9.0, 60, 5);
        assert!(broken.iter().all(|line| width(line, 9.0, false) <= 60));
        assert_eq!(broken.concat(), "Donaudampfschifffahrtsgesellschaft");
    }
}
