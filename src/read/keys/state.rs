//! Keys of situations, readings and accepted findings.

use super::shape::{SHARE, SPEED, TEMPERATURE, TIME};
use super::{Bound, Key, Shape, key, must};
use crate::quantity::Dimension;
use crate::read::document::Kind;

const KEYS: Shape = Shape::Choice(&["off", "accessory", "run", "start"]);
const ENGINES: Shape = Shape::ChoiceOr(&["stopped", "idle", "cruise"], &SPEED);
const SWITCHES: Shape = Shape::OneOrList(&Shape::Switch);
const USERS: &[Kind] = &[Kind::Load, Kind::Controller];

/// Keys of an entry under `situations:`.
#[rustfmt::skip]
pub const SITUATION: &[Key] = &[
    key("key", KEYS, "Position of the key; off if left out.", "run"),
    key("engine", ENGINES, "What the engine does, or its speed; stopped if left out.", "idle"),
    key("closed", SWITCHES, "Switches and disconnects that are closed.", "[S1, S2]"),
    key("opened", SWITCHES, "Switches and disconnects that are open.", "[MASTER]"),
    key("positions", Shape::PerPart(&[Kind::Switch], &Shape::Name), "Positions of switches that have names for them.", "{S2: high}"),
    key("modes", Shape::PerPart(USERS, &Shape::Name), "What loads with several modes do.", "{RADIO: transmit}"),
    key("duty", Shape::PerPart(USERS, &SHARE), "Share of the time that a load is on; else its own `duty`, else 100 %.", "{PUMP: 15 %}"),
    key("ambient", TEMPERATURE, "Temperature around, instead of the climate's.", "-20 C"),
    key("for", TIME, "How long it lasts.", "5 h"),
    key("shore", Shape::Flag, "Shore power is connected.", "true"),
    key("detached", Shape::OneOrList(&Shape::Name), "Groups of connectors that are unplugged, by the name in their `detach`.", "[trailer]"),
    key("phases", Shape::List(&Shape::Map(PHASE)), "A shift that is not the same all the time: what changes, and for how long.", "[{engine: cruise, for: 1 h}, {engine: idle, for: 3 h}]"),
    key("note", Shape::Words, "Free words.", "worst case of a winter night"),
];

/// Keys of a phase of a situation.
#[rustfmt::skip]
pub const PHASE: &[Key] = &[
    key("what", Shape::Words, "What is done in it.", "drive to the site"),
    must(key("for", TIME, "How long it lasts.", "1 h")),
    key("key", KEYS, "Position of the key, else the situation's.", "run"),
    key("engine", ENGINES, "What the engine does, else the situation's.", "cruise"),
    key("closed", SWITCHES, "Switches closed in it.", "[S1]"),
    key("opened", SWITCHES, "Switches open in it.", "[S2]"),
    key("positions", Shape::PerPart(&[Kind::Switch], &Shape::Name), "Positions of switches in it.", "{S2: high}"),
    key("modes", Shape::PerPart(USERS, &Shape::Name), "Modes of loads in it.", "{RADIO: transmit}"),
    key("duty", Shape::PerPart(USERS, &SHARE), "Duty of loads in it.", "{PUMP: 15 %}"),
];

const PROTECTIONS: &[Kind] = &[Kind::Fuse, Kind::Breaker, Kind::FusibleLink];

/// Keys of an entry under `readings:`.
#[rustfmt::skip]
pub const READING: &[Key] = &[
    key("when", Shape::Words, "Date and time.", "2026-11-02 14:05"),
    key("where", Shape::Cable, "The battery cable or wire that the meter was on; that of the reading before if left out.", "battery negative"),
    key("current", Shape::Quantity(&[Dimension::Current], Bound::Any), "The current that it showed.", "182 mA"),
    key("across", Shape::Part(&[]), "The part, a fuse most often, across which a voltage was taken; with `drop`.", "F3"),
    key("drop", Shape::Quantity(&[Dimension::Voltage], Bound::Any), "The voltage across it.", "0.8 mV"),
    key("at", Shape::Point, "The terminal at which a voltage to the battery's negative post was taken; with `voltage`.", "K1.30"),
    key("voltage", Shape::Quantity(&[Dimension::Voltage], Bound::Any), "The voltage there.", "12.4 V"),
    key("pulled", Shape::OneOrList(&Shape::Part(PROTECTIONS)), "Fuses pulled before it; they stay out until `refitted`.", "[F1]"),
    key("refitted", Shape::OneOrList(&Shape::Part(PROTECTIONS)), "Fuses put back before it.", "[F1]"),
    key("after", TIME, "How long was waited before it.", "25 min"),
    key("key", KEYS, "Position of the key; off if left out.", "off"),
    key("closed", SWITCHES, "Switches that were closed.", "[S1]"),
    key("opened", SWITCHES, "Switches and disconnects that were open.", "[MASTER]"),
    key("ambient", TEMPERATURE, "Temperature around; that of the climate where it stands if left out.", "-5 C"),
    key("meter", Shape::Map(METER), "What the meter can tell.", "{resolution: 1 mA, accuracy: 1 %}"),
    key("note", Shape::Words, "Free words.", "door switch held shut with a clamp"),
];

/// Keys under `meter:`.
#[rustfmt::skip]
pub const METER: &[Key] = &[
    key("resolution", Shape::Quantity(&[Dimension::Current, Dimension::Voltage], Bound::Positive), "The last digit that it shows on this range.", "1 mA"),
    key("accuracy", SHARE, "Its accuracy, as a share of the reading.", "1 %"),
];

/// Keys of an entry under `accept:`.
#[rustfmt::skip]
pub const ACCEPT: &[Key] = &[
    must(key("check", Shape::Name, "Name of the check, as the finding gives it.", "ahead-of-ignition")),
    key("part", Shape::Part(&[]), "The part that it is about.", "CLOCK"),
    key("wire", Shape::Name, "The wire that it is about, by its id.", "w3"),
    must(key("because", Shape::Words, "Why it is wanted.", "keeps the radio presets")),
];
