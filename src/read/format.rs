//! The page about the format, from the list of keys.

use std::fmt::Write;

use super::document::Kind;
use super::keys::{self, Bound, Key, Listed, PART, Shape};
use crate::quantity::Dimension;

/// The page as it stands in `docs/format.md`.
#[must_use]
pub fn page() -> String {
    let mut page = include_str!("format_intro.md").to_owned();
    section(&mut page, 2, "The record", "", keys::RECORD.iter());
    section(
        &mut page,
        2,
        "Vehicle",
        "Keys under `vehicle:`.",
        keys::VEHICLE.iter(),
    );
    section(
        &mut page,
        3,
        "Climate",
        "Keys under `climate:`.",
        keys::CLIMATE.iter(),
    );
    section(
        &mut page,
        3,
        "Engine",
        "Keys under `engine:`.",
        keys::ENGINE.iter(),
    );
    section(
        &mut page,
        3,
        "Own load",
        "Keys under `own-load:`.",
        keys::OWN_LOAD.iter(),
    );
    parts(&mut page);
    section(&mut page, 2, "Wires", WIRES, keys::WIRE.iter());
    section(
        &mut page,
        2,
        "Situations",
        SITUATIONS,
        keys::SITUATION.iter(),
    );
    section(
        &mut page,
        3,
        "Phases",
        "Keys of an entry of `phases:`.",
        keys::PHASE.iter(),
    );
    section(&mut page, 2, "Readings", READINGS, keys::READING.iter());
    section(
        &mut page,
        3,
        "Meter",
        "Keys under `meter:`.",
        keys::METER.iter(),
    );
    section(
        &mut page,
        2,
        "Accepted findings",
        ACCEPTED,
        keys::ACCEPT.iter(),
    );
    page.push_str(RULES);
    page.push_str(LIBRARY);
    page
}

const WIRES: &str = "An entry for each wire; return wires are wires too. Give `from` and `to`, or `run` with every stop: a run \
of four stops is three wires, and `lengths` has three entries.";
const SITUATIONS: &str = "Ways in which the vehicle is used, by name. Two are always there: `parked` (key off, everything as \
`left`, settled) and `all on` (key in run, engine at idle, everything switched on).";
const READINGS: &str = "What a meter showed, in the order taken. A fuse that was pulled stays out until it is `refitted`.";
const ACCEPTED: &str = "A finding that is known and wanted is still listed, but no longer counted. An entry that matches \
nothing is itself reported.";
const RULES: &str = "\n## Rules\n\nWhere published rules differ, the strictest is applied unless the record chooses another, \
as in `rules: {standing-draw: 60 mA}`. `keyoff tables rules` lists the rules and their choices, each with its source.\n";
const LIBRARY: &str = "\n## Libraries\n\nParts that are fitted again and again are described once. Templates stand in the record \
itself, or in files of their own that it names:\n\n```yaml\nlibrary:\n  mini-relay: {kind: relay, coil: 90 ohm, contact: 40 A}\n\
parts:\n  K1: {use: mini-relay, what: work lamps}\n```\n\nA file of templates has `keyoff: 1` and `library:` with the templates \
by name, and a record takes it with `library: house-parts.yaml`, or a list of such names. The name is that of a file, seen from the folder \
of the record. Keys that a part has itself go before those of its template. A template cannot use another.\n";

fn parts(page: &mut String) {
    let general = PART.iter().filter(|key| key.on.is_empty());
    let about = "Everything that wires land on, by name. A name holds no dot, because a dot stands before a terminal. Keys of every \
kind of part:";
    section(page, 2, "Parts", about, general);
    for &kind in Kind::ALL {
        let own = PART.iter().filter(|key| key.on.contains(&kind));
        let about = format!("Terminals: {}.", terminals(kind));
        section(page, 3, &format!("`{}`", kind.text()), &about, own);
        for (kind_of, name, keys) in [
            (Kind::Load, "settles", keys::SETTLES),
            (Kind::Load, "supplies", keys::SUPPLY),
            (Kind::Controller, "outputs", keys::OUTPUT),
        ] {
            if kind_of == kind {
                let about = format!("Keys of one entry of `{name}:`.");
                let about = if name == "settles" {
                    "Keys under `settles:`."
                } else {
                    &about
                };
                section(page, 4, &format!("`{name}`"), about, keys.iter());
            }
        }
    }
}

/// The terminals of a kind, as the page says them.
fn terminals(kind: Kind) -> &'static str {
    match kind {
        Kind::Battery | Kind::Alternator | Kind::Charger => "`+`, `-`",
        Kind::Feed => "`out`",
        Kind::KeySwitch => {
            "`30` in; `15` (run and start), `15R` (accessory and run), `50` (start) out, as in DIN 72552"
        }
        Kind::Disconnect | Kind::Fuse | Kind::Breaker | Kind::FusibleLink | Kind::Diode => {
            "`in`, `out`"
        }
        Kind::Switch => "`in`, `out`, or those that `positions` names",
        Kind::Relay => {
            "`30`, `87`, `87a`, `85`, `86`, as in DIN 72552; a latching one has `set` and `reset` instead of `86`"
        }
        Kind::Load => "`+`, `-`; with `supplies` their names and `-`",
        Kind::Controller => "`+`, `-`, its outputs, its senses",
        Kind::Delay | Kind::Cutoff | Kind::Converter => "`in`, `out`, `-`",
        Kind::Isolator => "`a`, `b`",
        Kind::Connector => "its pins; pin 1 has the sides `1.a` and `1.b`",
        Kind::Splice | Kind::Stud | Kind::Busbar | Kind::Ground | Kind::Stub => {
            "one, without a name"
        }
    }
}

fn section<'k>(
    page: &mut String,
    level: usize,
    title: &str,
    about: &str,
    keys: impl Iterator<Item = &'k Key>,
) {
    let _ = write!(page, "\n{} {title}\n", "#".repeat(level));
    if !about.is_empty() {
        let _ = write!(page, "\n{about}\n");
    }
    let rows: Vec<String> = keys.map(row).collect();
    if rows.is_empty() {
        return;
    }
    page.push_str("\n| key | value | meaning | example |\n|---|---|---|---|\n");
    for row in rows {
        page.push_str(&row);
    }
}

fn row(key: &Key) -> String {
    let must = if key.required { " (must be there)" } else { "" };
    format!(
        "| `{}`{must} | {} | {} | `{}` |\n",
        key.name,
        cell(&value(&key.shape)),
        cell(key.meaning),
        cell(key.example)
    )
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// What a value looks like, in words.
fn value(shape: &Shape) -> String {
    match shape {
        Shape::Words => "words".to_owned(),
        Shape::Name => "a name".to_owned(),
        Shape::Flag => "`true` or `false`".to_owned(),
        Shape::Quantity(wanted, bound) => quantity(wanted, *bound),
        Shape::Size => "a conductor size".to_owned(),
        Shape::Choice([only]) => format!("`{only}`"),
        Shape::Choice(choices) => any(choices),
        Shape::ChoiceOr(choices, other) => format!("{}, or {}", any(choices), value(other)),
        Shape::Listed(Listed::Typical) => "a name of the table".to_owned(),
        Shape::Part([]) => "a part".to_owned(),
        Shape::Part(kinds) => {
            let kinds: Vec<&str> = kinds.iter().map(|kind| kind.text()).collect();
            format!("a part: {}", any(&kinds))
        }
        Shape::Switch => "a switch, disconnect, or driver-switched feed or output".to_owned(),
        Shape::Point => "a terminal".to_owned(),
        Shape::Cable => "`battery negative`, `B2 positive`, or a wire's id".to_owned(),
        Shape::Own => "a terminal of the part itself".to_owned(),
        Shape::List(item) => format!("a list: {}", value(item)),
        Shape::OneOrList(item) => format!("one or a list: {}", value(item)),
        Shape::Tuple(items) => {
            let items: Vec<String> = items.iter().map(value).collect();
            format!("[{}]", items.join(", "))
        }
        Shape::Map(_) => "keys with values".to_owned(),
        Shape::Named(item) => format!("by name: {}", value(item)),
        Shape::PerPart(_, item) => format!("by part: {}", value(item)),
        Shape::Form { scalar, list, map } => {
            let forms: Vec<String> = [scalar, list, map]
                .into_iter()
                .flatten()
                .map(|form| value(form))
                .collect();
            forms.join("; or ")
        }
        Shape::Parts | Shape::Templates => "by name: a part".to_owned(),
        Shape::Rules => "by name: a choice".to_owned(),
    }
}

fn any(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
    words.join(", ")
}

fn quantity(wanted: &[Dimension], bound: Bound) -> String {
    let nouns: Vec<&str> = wanted.iter().map(|one| one.noun()).collect();
    let limits = match bound {
        Bound::Any | Bound::Positive | Bound::NotNegative => "",
        Bound::Share => ", 0 % to 100 %",
        Bound::Whole => " from 1",
    };
    format!("{}{limits}", nouns.join(" or "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_of_the_repository_is_current() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/format.md");
        if std::env::var_os("REWRITE").is_some() {
            std::fs::write(&path, page()).unwrap();
        }
        let stands = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            stands == page(),
            "docs/format.md is not that of src/read/keys: run this test with REWRITE=1"
        );
    }

    #[test]
    fn records_on_the_page_can_be_read() {
        let page = page();
        let records: Vec<&str> = page
            .split("```yaml\n")
            .skip(1)
            .filter_map(|rest| rest.split("```").next())
            .collect();
        assert_eq!(records.len(), 2);
        for record in records {
            let text = if record.contains("keyoff: 1") {
                record.to_owned()
            } else {
                format!("keyoff: 1\n{record}")
            };
            let mut none = |_: &str| Err(String::new());
            let read = crate::read::read("page", text.as_bytes(), &mut none, &Default::default());
            assert!(
                read.is_ok(),
                "{record}: {:?}",
                read.err().map(|fault| fault.problems)
            );
        }
    }

    #[test]
    fn terminals_of_the_page_are_those_that_are_read() {
        for &kind in Kind::ALL {
            let pins = if kind == Kind::Connector {
                ", pins: [1]"
            } else {
                ""
            };
            let text = format!("keyoff: 1\nparts: {{P: {{kind: {}{pins}}}}}\n", kind.text());
            let mut none = |_: &str| Err(String::new());
            let document =
                crate::read::read("t", text.as_bytes(), &mut none, &Default::default()).unwrap();
            for terminal in document.parts[0]
                .terminals
                .iter()
                .filter(|name| !name.is_empty())
            {
                assert!(
                    terminals(kind).contains(&format!("`{terminal}`")),
                    "{terminal} of {}",
                    kind.text()
                );
            }
        }
    }
}
