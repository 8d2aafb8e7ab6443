//! Keys of the record itself and of the vehicle.

use super::shape::{CURRENT, CURRENT_OR_NONE, TEMPERATURE, TIME, VOLTAGE};
use super::{ACCEPT, READING, SITUATION, WIRE};
use super::{Key, Shape, key, must};
use crate::read::document::Kind;

/// Keys of the whole record.
#[rustfmt::skip]
pub const RECORD: &[Key] = &[
    must(key("keyoff", Shape::Choice(&["1"]), "The format of the record; always 1.", "1")),
    key("vehicle", Shape::Map(VEHICLE), "The vehicle as a whole.", "{name: Truck 7, system: 12 V}"),
    key("library", Shape::Form {
        scalar: Some(&Shape::Words),
        list: Some(&Shape::List(&Shape::Words)),
        map: Some(&Shape::Templates),
    }, "Part templates that `use:` takes: written here by name, or in files of their own that are named here.", "house-parts.yaml"),
    must(key("parts", Shape::Parts, "The parts by name: everything that wires land on.", "{F1: {kind: fuse, rating: 30 A}}")),
    key("wires", Shape::List(&Shape::Map(WIRE)), "The wires.", "[{from: F1, to: WORK, size: 12 AWG, length: 5 m}]"),
    key("situations", Shape::Named(&Shape::Map(SITUATION)), "Ways in which the vehicle is used. Two are always there: `parked` and `all on`.", "{chipping at night: {key: run, engine: idle, closed: [S1], for: 5 h}}"),
    key("readings", Shape::List(&Shape::Map(READING)), "What a meter showed, in the order taken.", "[{where: battery negative, current: 182 mA}]"),
    key("rules", Shape::Rules, "Which published rule is applied where rules differ; `keyoff tables rules` lists them with their sources.", "{standing-draw: 50 mA}"),
    key("accept", Shape::List(&Shape::Map(ACCEPT)), "Findings that are known and wanted, with the reason.", "[{check: ahead-of-ignition, part: CLOCK, because: keeps the radio presets}]"),
];

/// Keys of a file that `library:` names.
pub const LIBRARY_FILE: &[Key] = &[
    must(key(
        "keyoff",
        Shape::Choice(&["1"]),
        "The format of the file; always 1.",
        "1",
    )),
    must(key(
        "library",
        Shape::Templates,
        "Part templates by name.",
        "{mini-relay: {kind: relay, coil: 90 ohm, contact: 40 A}}",
    )),
];

/// Keys under `vehicle:`.
#[rustfmt::skip]
pub const VEHICLE: &[Key] = &[
    key("name", Shape::Words, "What the vehicle is called.", "Tree crew chipper truck 7"),
    key("system", VOLTAGE, "Nominal voltage of the system.", "12 V"),
    key("climate", Shape::Map(CLIMATE), "Temperatures by zone.", "{parked: -10 C, engine-bay: 80 C}"),
    key("engine", Shape::Map(ENGINE), "The engine, as far as its battery is concerned.", "{cranking: 220 A}"),
    key("own-load", Shape::Map(OWN_LOAD), "What the vehicle's own equipment draws, taken on the meter before anything was added. Left out, all totals are of the added equipment alone.", "{off: 18 mA, run: 32 A}"),
    key("stands", TIME, "How long it must be able to stand and still start.", "14 days"),
    key("note", Shape::Words, "Free words.", "second owner"),
];

/// Keys under `climate:`.
#[rustfmt::skip]
pub const CLIMATE: &[Key] = &[
    key("parked", TEMPERATURE, "Where the vehicle stands with the engine off.", "-10 C"),
    key("engine-bay", TEMPERATURE, "In the engine bay at work.", "80 C"),
    key("cabin", TEMPERATURE, "In the cab at work.", "25 C"),
    key("exterior", TEMPERATURE, "Outside on the body at work.", "10 C"),
];

/// Keys under `engine:`.
#[rustfmt::skip]
pub const ENGINE: &[Key] = &[
    key("cranking", CURRENT, "Current that the engine needs to start at -18 C.", "220 A"),
    key("battery", Shape::Part(&[Kind::Battery]), "The battery that starts the engine; the first in the record if left out.", "B1"),
];

/// Keys under `own-load:`.
#[rustfmt::skip]
pub const OWN_LOAD: &[Key] = &[
    key("off", CURRENT_OR_NONE, "With the key off, settled.", "18 mA"),
    key("run", CURRENT_OR_NONE, "With the engine running.", "32 A"),
];
