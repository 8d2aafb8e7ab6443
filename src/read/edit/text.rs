//! Changes of a text, gathered by place and made all at once; what is not named stays as it is, byte for byte.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use super::super::yaml::{Id, Node, Tree};

/// Changes of one text.
pub(super) struct Changes<'t, 's> {
    tree: &'t Tree<'s>,
    text: &'s str,
    /// What stands instead of `start..end`.
    list: Vec<(u32, u32, String)>,
    /// Entries to take out, by the list or map that they stand in.
    out: BTreeMap<Id, BTreeSet<usize>>,
}

impl<'t, 's> Changes<'t, 's> {
    /// None yet.
    pub fn new(tree: &'t Tree<'s>) -> Self {
        Self {
            tree,
            text: tree.slice(0, tree.length()),
            list: Vec::new(),
            out: BTreeMap::new(),
        }
    }

    /// How a line ends in this text.
    pub fn line_end(&self) -> &'static str {
        if self.text.contains("\r\n") {
            "\r\n"
        } else {
            "\n"
        }
    }

    /// Puts words in the place of others.
    pub fn replace(&mut self, start: u32, end: u32, words: String) {
        self.list.push((start, end, words));
    }

    /// Takes an entry out of a list or map, by its number there.
    pub fn take_out(&mut self, from: Id, number: usize) {
        self.out
            .entry(self.tree.resolve(from))
            .or_default()
            .insert(number);
    }

    /// Places whose words are taken out, or written anew.
    pub fn taken_out(&self) -> Vec<(u32, u32)> {
        let items = self.out.iter().flat_map(|(&from, numbers)| {
            let spans = self.spans(from);
            numbers
                .iter()
                .filter_map(move |&number| spans.get(number).copied())
                .collect::<Vec<_>>()
        });
        let anew = self.list.iter().map(|&(start, end, _)| (start, end));
        items.chain(anew).collect()
    }

    /// What stands between the start of its line and a place.
    pub fn before(&self, at: u32) -> &'s str {
        let line = self.line_start(at);
        self.tree.slice(line, at)
    }

    fn line_start(&self, at: u32) -> u32 {
        let before = self.tree.slice(0, at);
        before.rfind('\n').map_or(0, |end| end as u32 + 1)
    }

    /// The end of the line that a place is on, the line end itself included.
    pub fn line_stop(&self, at: u32) -> u32 {
        let rest = self.tree.slice(at, self.tree.length());
        rest.find('\n')
            .map_or(self.tree.length(), |end| at + end as u32 + 1)
    }

    /// From the first to the last character of each entry.
    fn spans(&self, from: Id) -> Vec<(u32, u32)> {
        let tree = self.tree;
        match tree.node(from) {
            Node::List(items) => items
                .iter()
                .map(|&item| {
                    let at = tree.written(item);
                    (at.start, at.end)
                })
                .collect(),
            Node::Map { entries, .. } => entries
                .iter()
                .map(|&(key, value)| {
                    let start = tree.written(key);
                    (start.start, tree.written(value).end.max(start.end))
                })
                .collect(),
            _ => Vec::new(),
        }
    }

    /// The text with all changes made.
    pub fn made(mut self) -> String {
        let out = std::mem::take(&mut self.out);
        for (from, numbers) in out {
            let spans = self.spans(from);
            if self.tree.in_brackets(from) {
                self.out_of_brackets(&spans, &numbers);
            } else {
                self.out_of_lines(&spans, &numbers);
            }
        }
        self.close_gaps();
        made(self.text, self.list)
    }

    /// An entry between brackets goes with one of the commas beside it.
    fn out_of_brackets(&mut self, spans: &[(u32, u32)], numbers: &BTreeSet<usize>) {
        let mut kept = false;
        for (number, &(start, end)) in spans.iter().enumerate() {
            if !numbers.contains(&number) {
                kept = true;
                continue;
            }
            let range = match (kept, spans.get(number + 1)) {
                (true, _) => (spans[number - 1].1, end),
                (false, Some(&(next, _))) => (start, next),
                (false, None) => (start, end),
            };
            self.list.push((range.0, range.1, String::new()));
        }
    }

    /// An entry on lines of its own goes with them, and with the remark at the end of its last line.
    fn out_of_lines(&mut self, spans: &[(u32, u32)], numbers: &BTreeSet<usize>) {
        for &number in numbers {
            let Some(&(start, end)) = spans.get(number) else {
                continue;
            };
            let before = self.before(start).trim();
            let own_line = before.is_empty() || before == "-";
            let first_of_item = before == "-" && self.tree.slice(start, start + 1) != "-";
            // The first key of a list's entry stands behind the entry's dash, which stays for the next one.
            let kept = (number + 1..spans.len()).find(|next| !numbers.contains(next));
            let range = match kept.and_then(|next| spans.get(next)) {
                Some(&(next, _)) if first_of_item && self.shares_dash(start, next) => (start, next),
                _ if own_line => (self.line_start(start), self.line_stop(end)),
                _ => (start, end),
            };
            self.list.push((range.0, range.1, String::new()));
        }
    }

    /// Whether what follows on another line has no dash of its own.
    fn shares_dash(&self, start: u32, next: u32) -> bool {
        self.line_start(start) != self.line_start(next) && self.before(next).trim().is_empty()
    }

    /// Where whole lines between two empty ones go, one of the empty ones goes too.
    fn close_gaps(&mut self) {
        self.list.sort_unstable();
        let mut merged: Vec<(u32, u32, String)> = Vec::with_capacity(self.list.len());
        for (start, end, words) in self.list.drain(..) {
            match merged.last_mut() {
                // What lies within something that goes needs no change of its own.
                Some((_, stop, kept)) if start < *stop && kept.is_empty() => {
                    *stop = (*stop).max(end);
                }
                Some((_, stop, kept)) if start == *stop && kept.is_empty() && words.is_empty() => {
                    *stop = end;
                }
                _ => merged.push((start, end, words)),
            }
        }
        for (start, end, words) in &mut merged {
            let lines = words.is_empty()
                && *end > *start
                && (*start == 0 || self.text[..*start as usize].ends_with('\n'))
                && self.text[..*end as usize].ends_with('\n');
            if !lines {
                continue;
            }
            let before = self.text[..*start as usize].trim_end_matches('\n');
            let gap = before.ends_with('\r') || (*start as usize) > before.len() + 1;
            let rest = &self.text[*end as usize..];
            let blank = rest
                .strip_prefix("\r\n")
                .or_else(|| rest.strip_prefix('\n'))
                .map(|after| (rest.len() - after.len()) as u32);
            if let (true, Some(length)) = (gap, blank) {
                *end += length;
            }
        }
        self.list = merged;
    }
}

/// A text with changes made that do not overlap.
pub(super) fn made(text: &str, mut changes: Vec<(u32, u32, String)>) -> String {
    changes.sort_unstable();
    let mut out = String::with_capacity(text.len());
    let mut at = 0;
    for (start, end, words) in changes {
        let (start, end) = (start as usize, end as usize);
        if start < at || end < start {
            continue;
        }
        out.push_str(text.get(at..start).unwrap_or(""));
        out.push_str(&words);
        at = end;
    }
    out.push_str(text.get(at..).unwrap_or(""));
    out
}

/// A name as YAML: plain where that is plain, else between quotation marks.
pub(super) fn quoted(name: &str) -> String {
    let plain =
        |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '/' | '.' | ' ' | '+');
    let simple = name.chars().all(plain)
        && name.starts_with(|c: char| c.is_ascii_alphanumeric())
        && !name.ends_with(' ')
        && !matches!(
            name,
            "true" | "false" | "null" | "Null" | "yes" | "no" | "on" | "off"
        );
    if simple {
        return name.to_owned();
    }
    let mut out = String::from("\"");
    for c in name.chars() {
        match c {
            '"' | '\\' => {
                out.push('\\');
                out.push(c);
            }
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
