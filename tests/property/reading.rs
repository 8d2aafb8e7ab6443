//! Records, generated and damaged.

use std::fmt::Write;

use keyoff::quantity::Dimension;
use keyoff::read::Limits;
use keyoff::read::document::Document;
use keyoff::read::document::Fields;
use keyoff::read::document::Kind;
use keyoff::read::document::Value;
use keyoff::read::keys::Bound;
use keyoff::read::keys::Key;
use keyoff::read::keys::PART;
use keyoff::read::keys::Shape;
use keyoff::read::keys::WIRE;
use keyoff::render::diagnostic::plain;
use keyoff::render::diagnostic::report;
use keyoff::render::snippet::Look;
use keyoff::source::Sources;
use keyoff::source::Span;
use proptest::prelude::*;
use proptest::sample::Index;

use crate::two_readers::agree;

/// The parts that values of the key list refer to.
const FIXED: &str = "  B1: {kind: battery, capacity: 75 Ah}\n  B2: {kind: battery, capacity: 75 Ah}\n  S1: {kind: switch}\n  \
MASTER: {kind: disconnect}\n  K1: {kind: relay}\n  F1: {kind: fuse}\n";

/// One number written in two ways.
fn two_ways(dimension: Dimension, number: u32) -> [String; 2] {
    let thousandth = format!("{}.{:03}", number / 1000, number % 1000);
    match dimension {
        Dimension::Current => [format!("{number} mA"), format!("{thousandth} amps")],
        Dimension::Voltage => [format!("{number} mV"), format!("{thousandth} V")],
        Dimension::Resistance => [format!("{number} mohm"), format!("{thousandth} Ω")],
        Dimension::Power => [format!("{number}W"), format!("{thousandth} kW")],
        Dimension::Charge => [format!("{number} mAh"), format!("{thousandth} Ah")],
        Dimension::Time => [format!("{number} min"), format!("{} s", number * 60)],
        Dimension::Length => {
            let scaled = number * 3048;
            let meters = format!("{}.{:04} m", scaled / 10_000, scaled % 10_000);
            [format!("{number} ft"), meters]
        }
        Dimension::Temperature => {
            let tenths = number * 18 + 320;
            [
                format!("{number} °C"),
                format!("{}.{} F", tenths / 10, tenths % 10),
            ]
        }
        Dimension::Fraction => [
            format!("{} %", number % 100 + 1),
            format!("{} percent", number % 100 + 1),
        ],
        Dimension::Speed => [format!("{number} rpm"), format!("{number} r/min")],
        Dimension::Multiple => [format!("{number}x"), format!("{number} times")],
        Dimension::Count => [number.to_string(), number.to_string()],
    }
}

/// A value of a key in two spellings: generated for quantities, else the example of the list.
fn value(key: &Key, number: u32) -> [String; 2] {
    match key.shape {
        Shape::Quantity(_, Bound::Whole) => {
            [(number % 9 + 1).to_string(), (number % 9 + 1).to_string()]
        }
        Shape::Quantity(wanted, _) => two_ways(wanted[number as usize % wanted.len()], number),
        _ => [key.example.to_owned(), key.example.to_owned()],
    }
}

#[derive(Clone, Debug)]
struct Made {
    kind: usize,
    /// Chosen keys, each with the number that its value is made of.
    keys: Vec<(Index, u32)>,
    /// Order of the keys in the second spelling.
    order: Vec<u32>,
    /// Written as a block in the second spelling.
    block: bool,
}

fn made() -> impl Strategy<Value = Made> {
    let keys = prop::collection::vec((any::<Index>(), 1u32..5_000), 0..6);
    let order = prop::collection::vec(any::<u32>(), 8);
    (0..Kind::ALL.len(), keys, order, any::<bool>()).prop_map(|(kind, keys, order, block)| Made {
        kind,
        keys,
        order,
        block,
    })
}

/// One entry in both spellings.
fn entry(
    head: &[(&str, String)],
    rows: &[&Key],
    made: &Made,
    not: &[&str],
) -> [Vec<(String, String)>; 2] {
    let mut both = [Vec::new(), Vec::new()];
    for (key, text) in head {
        for list in &mut both {
            list.push(((*key).to_owned(), text.clone()));
        }
    }
    for (index, number) in &made.keys {
        let key = index.get(rows);
        let known = both[0].iter().any(|(name, _)| name == key.name);
        // A template, a way of its own to name terminals, or what goes with another key.
        if known || not.contains(&key.name) {
            continue;
        }
        for (list, text) in both.iter_mut().zip(value(key, *number)) {
            list.push((key.name.to_owned(), text));
        }
    }
    let mut keyed: Vec<(u32, (String, String))> = made
        .order
        .iter()
        .copied()
        .cycle()
        .zip(both[1].drain(..))
        .collect();
    keyed.sort_by_key(|(order, _)| *order);
    both[1] = keyed.into_iter().map(|(_, pair)| pair).collect();
    both
}

fn flow(pairs: &[(String, String)]) -> String {
    let pairs: Vec<String> = pairs
        .iter()
        .map(|(key, text)| format!("{key}: {text}"))
        .collect();
    format!("{{{}}}", pairs.join(", "))
}

fn block(pairs: &[(String, String)], indent: &str) -> String {
    let mut out = String::new();
    for (key, text) in pairs {
        let _ = write!(out, "\n{indent}{key}: {text}");
    }
    out
}

/// A record in two spellings: other units, other order of keys, braces or lines.
fn records(parts: &[Made], wires: &[Made]) -> [String; 2] {
    let mut texts = [
        String::from("keyoff: 1\nparts:\n"),
        String::from("keyoff: 1\nparts:\n"),
    ];
    for text in &mut texts {
        text.push_str(FIXED);
    }
    for (number, made) in parts.iter().enumerate() {
        let kind = Kind::ALL[made.kind];
        let rows: Vec<&Key> = PART.iter().filter(|key| key.applies(kind)).collect();
        let mut head = vec![("kind", kind.text().to_owned())];
        if kind == Kind::Connector {
            head.push(("pins", "[1, 2]".to_owned()));
        }
        let not = ["use", "positions", "left", "momentary", "typical"];
        let [first, second] = entry(&head, &rows, made, &not);
        let _ = writeln!(texts[0], "  P{number}: {}", flow(&first));
        let second = if made.block {
            block(&second, "    ")
        } else {
            format!(" {}", flow(&second))
        };
        let _ = writeln!(texts[1], "  P{number}:{second}");
    }
    for text in &mut texts {
        text.push_str("wires:\n");
    }
    for made in wires {
        let rows: Vec<&Key> = WIRE.iter().collect();
        let ends = [("from", "B1".to_owned()), ("to", "F1".to_owned())];
        let [first, second] = entry(&ends, &rows, made, &["id", "run", "lengths"]);
        let _ = writeln!(texts[0], "  - {}", flow(&first));
        let second = if made.block {
            block(&second, "    ").replacen("\n    ", " ", 1)
        } else {
            format!(" {}", flow(&second))
        };
        let _ = writeln!(texts[1], "  -{second}");
    }
    let _ = writeln!(texts[0], "  - {{from: F1, to: S1}}");
    let _ = writeln!(texts[1], "  - {{to: S1, from: F1}}");
    texts
}

/// What a set of keys says, without places and spellings, in the order of names.
fn says(fields: &Fields) -> String {
    let mut list: Vec<String> = fields
        .list
        .iter()
        .map(|field| format!("{}={}", field.key.value, told(&field.value)))
        .collect();
    list.sort();
    list.join(";")
}

fn told(value: &Value) -> String {
    match value {
        Value::Unknown(_) => "unknown".to_owned(),
        Value::Text(text) => text.value.clone(),
        Value::Flag(flag) => flag.value.to_string(),
        // Fahrenheit is not an exact multiple; all else is equal to the last bit.
        Value::Quantity(one) if one.dimension == Dimension::Temperature => {
            format!("{:.9} C", one.low)
        }
        Value::Quantity(one) => format!(
            "{:?} {} {} {:?} {:?}",
            one.dimension, one.low, one.high, one.origin, one.lasts
        ),
        Value::Size(size) => size.value.to_string(),
        Value::List(items, _) => items.iter().map(told).collect::<Vec<_>>().join(","),
        Value::Map(fields) => format!("{{{}}}", says(fields)),
    }
}

fn all(document: &Document) -> Vec<String> {
    let parts = document.parts.iter().map(|part| {
        format!(
            "{} {:?} {:?} {}",
            part.name.value,
            part.kind.value,
            part.terminals,
            says(&part.fields)
        )
    });
    let wires = document.wires.iter().map(|wire| {
        format!(
            "{} {:?} {:?} {}",
            wire.id,
            wire.from.point,
            wire.to.point,
            says(&wire.fields)
        )
    });
    parts.chain(wires).collect()
}

fn open(text: &str) -> Document {
    let mut none = |_: &str| Err(String::new());
    keyoff::read::read("made.yaml", text.as_bytes(), &mut none, &Limits::default())
        .unwrap_or_else(|unreadable| panic!("{}\n{text}", unreadable.problems[0].message))
}

fn place_is_sound(sources: &Sources, at: Span) -> bool {
    let text = sources.get(at.file).map(|text| text.text());
    at.start <= at.end && text.is_some_and(|text| text.get(at.range()).is_some())
}

/// Reads whatever it is; every place that is handed on must be a piece of its text, and every message can be shown.
fn survives(bytes: &[u8]) -> Result<(), TestCaseError> {
    let mut library = |_: &str| Ok(bytes.to_vec());
    let limits = Limits {
        max_bytes: 1 << 20,
        max_nodes: 20_000,
        max_depth: 64,
    };
    match keyoff::read::read("damaged.yaml", bytes, &mut library, &limits) {
        Ok(document) => {
            for part in &document.parts {
                prop_assert!(place_is_sound(&document.sources, part.name.at));
                prop_assert!(place_is_sound(&document.sources, part.fields.at));
                for field in &part.fields.list {
                    prop_assert!(place_is_sound(&document.sources, field.key.at));
                    prop_assert!(place_is_sound(&document.sources, field.value.at()));
                }
            }
            for wire in &document.wires {
                for at in [wire.at, wire.from.at, wire.to.at] {
                    prop_assert!(place_is_sound(&document.sources, at));
                }
            }
        }
        Err(unreadable) => {
            prop_assert!(!unreadable.problems.is_empty());
            for problem in unreadable.problems.iter().take(20) {
                prop_assert!(
                    place_is_sound(&unreadable.sources, problem.at),
                    "{problem:?}"
                );
                for (at, _) in &problem.also {
                    prop_assert!(place_is_sound(&unreadable.sources, *at), "{problem:?}");
                }
                prop_assert!(problem.help.is_some(), "{problem:?}");
                let shown = report(problem, &unreadable.sources, Look::default());
                let plain = plain(problem, &unreadable.sources);
                let control = |c: char| c.is_control() && c != '\n' && c != '\u{85}';
                prop_assert!(!plain.contains(control), "{plain:?}");
                prop_assert!(!shown.replace('\t', " ").contains(control), "{shown:?}");
            }
        }
    }
    Ok(())
}

const SAMPLES: &[&str] = &[
    include_str!("../../examples/used-truck.yaml"),
    include_str!("../data/errors/situations.yaml"),
    include_str!("../data/errors/templates.yaml"),
    include_str!("../data/errors/merge-key.yaml"),
    include_str!("../data/errors/terminals-twice.yaml"),
    include_str!("../data/clean/controller-with-outputs.yaml"),
];

/// Pieces that make trouble in YAML or in the format.
const PIECES: &[&str] = &[
    "{",
    "}",
    "[",
    "]",
    ", ",
    ": ",
    "- ",
    "\n",
    "\t",
    "\"",
    "'",
    "&a ",
    "*a",
    "!t ",
    "? ",
    "| ",
    "---\n",
    "#",
    "%",
    "@",
    "`",
    "unknown",
    "~",
    "..",
    "(guess)",
    "1e308",
    "K1.30",
    "chassis",
    "\u{0}",
    "ü",
    "𝄞",
    "\r\n",
    "\u{feff}",
    "<<: ",
    "kind: fuse",
    "\u{1b}[31m",
    "\"\\e\"",
    "\u{9b}",
    "\u{2028}",
    "library: x",
    "use: x",
];

proptest! {
    #[test]
    fn order_of_keys_units_and_layout_change_nothing(
        parts in prop::collection::vec(made(), 0..5),
        wires in prop::collection::vec(made(), 0..4),
    ) {
        let [first, second] = records(&parts, &wires);
        let (one, two) = (open(&first), open(&second));
        prop_assert_eq!(all(&one), all(&two), "{}\n{}", first, second);
        prop_assert!(agree("first", &first, &one) > 1);
        prop_assert!(agree("second", &second, &two) > 1);
    }

    #[test]
    fn any_bytes_are_answered(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        survives(&bytes)?;
    }

    #[test]
    fn any_text_is_answered(text in "(keyoff: 1\n)?(parts:\n)?\\PC{0,120}") {
        survives(text.as_bytes())?;
    }

    #[test]
    fn damaged_records_are_answered(
        sample in 0..SAMPLES.len(),
        cuts in prop::collection::vec((any::<Index>(), 0usize..12, 0..PIECES.len(), 0u8..4), 1..6),
    ) {
        let mut bytes = SAMPLES[sample].as_bytes().to_vec();
        for (place, length, piece, how) in cuts {
            let at = place.index(bytes.len() + 1);
            let end = (at + length).min(bytes.len());
            match how {
                0 => drop(bytes.drain(at..end)),
                1 => drop(bytes.splice(at..at, PIECES[piece].bytes())),
                2 => drop(bytes.splice(at..end, PIECES[piece].bytes())),
                _ => {
                    let copy = bytes[at..end].to_vec();
                    bytes.splice(at..at, copy);
                }
            }
        }
        survives(&bytes)?;
    }
}
