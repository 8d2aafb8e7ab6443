//! Records, damaged: as a slip of the hand does it, as a broken disk does it, and as somebody with ill will does it.

use super::random::Dice;

/// Words of the format, numbers of no vehicle and signs that make trouble, put where others stood.
const PIECES: &[&str] = &[
    "NaN A",
    ".nan",
    "inf V",
    "-5 A",
    "0 A",
    "0 m",
    "-1 m",
    "1e308 A",
    "1e-308 ohm",
    "1e400 A",
    "0..0 A",
    "5..1 A",
    "0.000001 ohm",
    "1e10 A",
    "1e-12 m",
    "unknown",
    "~",
    "0 mm2",
    "4/0 AWG",
    "40 AWG",
    "0 V",
    "48 V",
    "1e9 Ah",
    "0 %",
    "100 %",
    "200 %",
    "-40 C",
    "900 C",
    "{kind: splice}",
    "kind: battery",
    "kind: relay, latching: true",
    "kind: isolator",
    "kind: converter",
    "kind: diode",
    "chassis",
    "B1.+",
    "B1.-",
    "K1.30",
    "K1.86",
    "[]",
    "{}",
    "[B1, B1]",
    "*a",
    "&a ",
    "<<: ",
    "\n",
    "\t",
    ": ",
    ", ",
    "- ",
    "#",
    "\"",
    "'",
    "|",
    ">",
    "---\n",
    "\u{0}",
    "\u{feff}",
    "\r\n",
    "ü",
    "𝄞",
    "(guess)",
    " for 2 s",
    "always",
    "[run]",
    "hot-in: [run]",
    "left: closed",
    "momentary: true",
    "normally: closed",
    "use: lamp",
    "library: x.yaml",
    "accept:\n",
    "situations: {x: {key: run}}\n",
    "rules: {}\n",
    "readings: []\n",
];

/// A damaged copy of one of the seeds.
pub fn mutated(seeds: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut text = seeds[dice.below(seeds.len())].clone();
    for _ in 0..=dice.below(3) {
        match dice.below(12) {
            // Lines: gone, twice, moved, from another record.
            0 => lines(&mut text, dice, |lines, at, _| {
                lines.remove(at);
            }),
            1 => lines(&mut text, dice, |lines, at, _| {
                let copy = lines[at].clone();
                lines.insert(at, copy);
            }),
            2 => lines(&mut text, dice, |lines, at, dice| {
                let to = dice.below(lines.len());
                lines.swap(at, to);
            }),
            3 => {
                let other = &seeds[dice.below(seeds.len())];
                let theirs: Vec<&[u8]> = other.split(|byte| *byte == b'\n').collect();
                let line = theirs[dice.below(theirs.len())].to_vec();
                lines(&mut text, dice, |lines, at, _| lines.insert(at, line));
            }
            // A word for another word of the same record: wires that run in circles, sources joined to themselves.
            4 | 5 => {
                let words = words(&text);
                if words.len() > 1 {
                    let from = words[dice.below(words.len())].clone();
                    let to = text[words[dice.below(words.len())].clone()].to_vec();
                    text.splice(from, to);
                }
            }
            // Another end for a wire, another value of the same kind for a key: what comes through to the solver.
            6..=8 => alike(&mut text, dice),
            // A value for one of no vehicle.
            9 | 10 => {
                let words = words(&text);
                if !words.is_empty() {
                    let at = words[dice.below(words.len())].clone();
                    text.splice(at, dice.one(PIECES).bytes());
                }
            }
            // Bytes.
            _ => {
                let at = dice.below(text.len() + 1);
                let end = (at + dice.below(6)).min(text.len());
                let piece: Vec<u8> = match dice.below(3) {
                    0 => vec![dice.below(256) as u8],
                    1 => dice.one(PIECES).bytes().collect(),
                    _ => Vec::new(),
                };
                text.splice(at..end, piece);
            }
        }
    }
    text
}

/// One word for another that is made alike: a name for a name, a length for a length.
fn alike(text: &mut Vec<u8>, dice: &mut Dice) {
    let words = words(text);
    if words.is_empty() {
        return;
    }
    let kind = |at: &std::ops::Range<usize>| {
        let word = &text[at.clone()];
        let letters = word.iter().filter(|byte| byte.is_ascii_lowercase()).count();
        let digits = word.iter().filter(|byte| byte.is_ascii_digit()).count();
        (digits == word.len(), letters == 0, word.contains(&b':'))
    };
    let from = words[dice.below(words.len())].clone();
    let others: Vec<_> = words.iter().filter(|at| kind(at) == kind(&from)).collect();
    let to = text[others[dice.below(others.len())].clone()].to_vec();
    text.splice(from, to);
}

fn lines(
    text: &mut Vec<u8>,
    dice: &mut Dice,
    change: impl FnOnce(&mut Vec<Vec<u8>>, usize, &mut Dice),
) {
    let mut lines: Vec<Vec<u8>> = text
        .split(|byte| *byte == b'\n')
        .map(<[u8]>::to_vec)
        .collect();
    let at = dice.below(lines.len());
    change(&mut lines, at, dice);
    *text = lines.join(&b'\n');
}

/// Where the words stand: what lies between blanks, commas, brackets and line ends.
fn words(text: &[u8]) -> Vec<std::ops::Range<usize>> {
    let mut words = Vec::new();
    let mut start = None;
    for (at, byte) in text.iter().enumerate() {
        match (start, b" ,[]{}\n\r".contains(byte)) {
            (None, false) => start = Some(at),
            (Some(from), true) => {
                words.push(from..at);
                start = None;
            }
            _ => {}
        }
    }
    words.extend(start.map(|from| from..text.len()));
    words
}
