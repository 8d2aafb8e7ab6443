//! The facts of a record where they stand in its text.

use std::path::Path;

/// A value that the record states.
#[derive(Clone, Debug)]
pub struct Fact {
    /// Name of the part, wire or section that states it.
    pub owner: String,
    pub key: String,
    pub line: usize,
    from: usize,
    to: usize,
}

impl Fact {
    /// The record with this fact unknown.
    pub fn unknown(&self, text: &str) -> String {
        format!("{}unknown{}", &text[..self.from], &text[self.to..])
    }

    /// What the record states.
    pub fn value<'a>(&self, text: &'a str) -> &'a str {
        &text[self.from..self.to]
    }
}

/// Name and text of every faulty record.
pub fn faulty() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/faulty");
    let mut files: Vec<_> = std::fs::read_dir(folder)
        .expect("the corpus")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .collect();
    files.sort();
    let read = |path: &std::path::PathBuf| {
        let name = path
            .file_name()
            .expect("a name")
            .to_string_lossy()
            .into_owned();
        (name, std::fs::read_to_string(path).expect("a text"))
    };
    files.iter().map(read).collect()
}

/// Every `key: value` whose value is a scalar or a list of them. The records keep one part or wire to a line or in a block.
pub fn of(text: &str) -> Vec<Fact> {
    let mut facts = Vec::new();
    let mut start = 0;
    // Key of each line that opens a block, with its indent.
    let mut blocks: Vec<(usize, String)> = Vec::new();
    for (number, line) in text.split('\n').enumerate() {
        let bare = comment_off(line);
        let indent = bare.len() - bare.trim_start().len();
        if !bare.trim().is_empty() {
            blocks.retain(|(other, _)| *other < indent);
            in_line(bare, start, number + 1, &mut blocks, indent, &mut facts);
        }
        start += line.len() + 1;
    }
    // A name is no fact.
    facts.retain(|fact| fact.value(text) != "unknown" && fact.key != "id");
    facts
}

fn comment_off(line: &str) -> &str {
    let mut quoted = None;
    for (at, letter) in line.char_indices() {
        match (letter, quoted) {
            ('"' | '\'', None) => quoted = Some(letter),
            (_, Some(quote)) if quote == letter => quoted = None,
            ('#', None) if at == 0 || line[..at].ends_with(' ') => return &line[..at],
            _ => {}
        }
    }
    line
}

fn in_line(
    line: &str,
    start: usize,
    number: usize,
    blocks: &mut Vec<(usize, String)>,
    indent: usize,
    facts: &mut Vec<Fact>,
) {
    let flow = line.contains('{');
    let mut at = 0;
    while let Some(colon) = line[at..].find(": ").map(|found| at + found) {
        let key_from = line[..colon]
            .rfind(|letter: char| " {,[".contains(letter))
            .map_or(0, |found| found + 1);
        let key = line[key_from..colon].trim();
        let from = colon + 2 + (line[colon + 2..].len() - line[colon + 2..].trim_start().len());
        let rest = &line[from..];
        let to = from + length(rest, flow);
        at = from;
        if rest.starts_with('{') || rest.is_empty() || key.starts_with('"') {
            if flow && key_from == indent {
                blocks.push((indent, key.to_owned()));
            }
            continue;
        }
        let owner = blocks
            .iter()
            .skip(1)
            .map(|(_, key)| key.clone())
            .next_back()
            .or_else(|| blocks.first().map(|(_, key)| key.clone()));
        let value = line[from..to].trim_end();
        if !value.contains('{') && !value.is_empty() {
            facts.push(Fact {
                owner: owner.unwrap_or_default(),
                key: key.to_owned(),
                line: number,
                from: start + from,
                to: start + from + value.len(),
            });
        }
        at = to;
    }
    if !flow && line.trim_end().ends_with(':') {
        blocks.push((indent, line.trim().trim_end_matches(':').to_owned()));
    }
}

/// How long the value is that starts here.
fn length(rest: &str, flow: bool) -> usize {
    let ends: &[char] = if rest.starts_with('[') {
        &[']']
    } else if flow {
        &[',', '}']
    } else {
        &[]
    };
    if let Some(quote) = rest
        .chars()
        .next()
        .filter(|letter| ['"', '\''].contains(letter))
    {
        return rest[1..].find(quote).map_or(rest.len(), |found| found + 2);
    }
    if rest.starts_with('[') {
        let mut depth = 0;
        for (at, letter) in rest.char_indices() {
            match letter {
                '[' => depth += 1,
                ']' if depth == 1 => return at + 1,
                ']' => depth -= 1,
                _ => {}
            }
        }
        return rest.len();
    }
    rest.find(ends).unwrap_or(rest.len())
}
