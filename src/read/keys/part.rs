//! Keys of parts.

use super::shape::{
    CURRENT, CURRENT_OR_NONE, DRAW, DRAW_OR_NONE, RESISTANCE, RESISTANCE_OR_NONE, SHARE, SPEED,
    TIME, VOLTAGE, VOLTAGE_OR_NONE, WHOLE,
};
use super::{Bound, Key, Listed, Shape, key, must, of};
use crate::quantity::Dimension;
use crate::read::document::Kind;

pub(super) const ZONES: &[&str] = &["engine-bay", "cabin", "exterior"];
pub(super) const STATUSES: &[&str] = &["factory", "added", "planned", "abandoned", "unknown"];

const HOT_IN: Shape = Shape::OneOrList(&Shape::Choice(&[
    "always",
    "accessory",
    "run",
    "start",
    "engine",
    "shore",
]));
const KIND: Shape = Shape::Choice(&[
    "battery",
    "alternator",
    "feed",
    "disconnect",
    "charger",
    "key-switch",
    "fuse",
    "breaker",
    "fusible-link",
    "switch",
    "relay",
    "load",
    "controller",
    "delay",
    "cutoff",
    "isolator",
    "converter",
    "diode",
    "connector",
    "splice",
    "stud",
    "busbar",
    "ground",
    "stub",
]);
const SUPPRESSION: Shape = Shape::Choice(&["none", "resistor", "diode"]);
const INRUSH: Shape = Shape::Quantity(&[Dimension::Multiple, Dimension::Current], Bound::Positive);
const OPEN_CLOSED: Shape = Shape::Choice(&["open", "closed"]);

use Kind::{
    Alternator, Battery, Breaker, Busbar, Charger, Connector, Controller, Converter, Cutoff, Delay,
    Diode, Disconnect, Feed, Fuse, FusibleLink, Ground, Isolator, KeySwitch, Load, Relay, Splice,
    Stub, Stud, Switch,
};

const CONDUCTS: &[Kind] = &[
    Feed,
    Disconnect,
    KeySwitch,
    Fuse,
    Breaker,
    FusibleLink,
    Switch,
    Delay,
    Cutoff,
    Isolator,
    Diode,
    Connector,
    Splice,
    Stud,
    Busbar,
    Ground,
];
const USERS: &[Kind] = &[Load, Controller];

/// Keys of an entry under `parts:`, in the order of the format page; a row names the kinds that it is for.
#[rustfmt::skip]
pub const PART: &[Key] = &[
    must(key("kind", KIND, "What the part is; may come from the template that `use:` names.", "fuse")),
    key("what", Shape::Words, "What it is, in words.", "four LED work lamps"),
    key("place", Shape::Words, "Where it is, in words.", "left rear corner of the body"),
    key("zone", Shape::Choice(ZONES), "Where it is; sets its temperature. Cabin if left out.", "engine-bay"),
    key("status", Shape::Choice(STATUSES), "Whose it is, or what became of it; added if left out.", "factory"),
    key("found", Shape::Words, "In what state it was found.", "corroded under the tape"),
    key("note", Shape::Words, "Free words.", "ask the owner"),
    key("use", Shape::Name, "A part template of `library:`; keys written here go before those of the template.", "mini-relay"),
    of(USERS, "typical", Shape::Listed(Listed::Typical), "A generic entry of the built-in table of typical loads (`keyoff tables typical`): always a range, always listed as assumed.", "led-light-bar-long"),
    of(CONDUCTS, "resistance", RESISTANCE_OR_NONE, "Its resistance between the terminals; else a published or listed default. Of a ground it is to the chassis; of a splice, stud or busbar half of it stands in series with each wire.", "2 mohm"),
    key("near", Shape::OneOrList(&Shape::Choice(&["airbag", "high-voltage", "fuel", "exhaust", "seat-belt"])), "A hazard that it lies near.", "[airbag]"),
    key("stays-live", Shape::Form { scalar: Some(&Shape::Words), list: None, map: Some(&Shape::Map(STAYS_LIVE)) }, "It is wanted with the key off, and why; with `at-most`, how much it may draw.", "keeps the radio presets"),

    // Sources.
    of(&[Battery], "chemistry", Shape::Choice(&["flooded", "efb", "agm", "gel", "lfp"]), "How it is built.", "agm"),
    of(&[Battery], "capacity", Shape::Quantity(&[Dimension::Charge], Bound::Positive), "Its 20-hour capacity.", "75 Ah"),
    of(&[Battery], "reserve", TIME, "Reserve capacity: minutes at 25 A; where no capacity is given, it is derived from this.", "120 min"),
    of(&[Battery], "cold-cranking", CURRENT, "Cold-cranking current at -18 C.", "750 A"),
    of(&[Battery], "age", Shape::Quantity(&[Dimension::Time], Bound::NotNegative), "How old it is.", "2 years"),
    of(&[Battery], "health", SHARE, "What is left of its capacity.", "80 %"),
    of(&[Battery], "charge", SHARE, "How full it is when the vehicle is parked.", "90 %"),
    of(&[Battery], "rest-voltage", VOLTAGE, "Its voltage after hours of rest.", "12.6 V"),
    of(&[Battery], "internal-resistance", RESISTANCE, "Its internal resistance.", "6 mohm"),
    of(&[Battery], "voltage", VOLTAGE, "Its nominal voltage; needed where it is not the system's: 12 V for each of two in series.", "12 V"),
    of(&[Battery], "in-parallel", WHOLE, "How many like batteries stand side by side under this name.", "2"),
    of(&[Battery], "sensor", Shape::Flag, "A current sensor sits on its negative post.", "true"),
    of(&[Battery], "vented", Shape::Flag, "In a cab or body: it sits in a box that is tight to the inside and vented to the outside.", "true"),
    of(&[Battery], "bank", Shape::Name, "The bank that it belongs to: batteries of one bank are meant to be joined at all times, and crank the engine together.", "house"),
    of(&[Battery], "charge-limit", CURRENT, "The most it takes while it is charged; a quarter of its capacity in amperes if left out.", "20 A"),
    of(&[Alternator], "rated", CURRENT, "Rated output, as on the nameplate; hot on the road it gives somewhat less, which is worked out.", "180 A"),
    of(&[Alternator], "at-idle", CURRENT, "Output at idle, hot.", "90 A"),
    of(&[Alternator], "output", Shape::List(&Shape::Tuple(&[SPEED, CURRENT_OR_NONE])), "Output by engine speed, hot.", "[[900 rpm, 60 A], [2000 rpm, 150 A]]"),
    of(&[Alternator], "voltage", VOLTAGE, "The voltage that it holds.", "14.2 V"),
    of(&[Feed, Charger], "hot-in", HOT_IN, "When it is live: `always`, or any of accessory, run, start, engine (running only), shore.", "[run, start]"),
    of(&[Feed], "stays-on", TIME, "How long it stays live after the key is turned off.", "30 min"),
    of(&[Feed], "limit", CURRENT, "The most that may be taken from it.", "20 A"),
    of(&[Feed], "driver-switched", Shape::Flag, "The driver switches it: a factory auxiliary switch.", "true"),
    of(&[Feed], "battery", Shape::Part(&[Battery]), "The battery that it is fed from; the starting one if left out.", "B2"),
    of(&[Feed], "from", Shape::Point, "The point that it is fed from, where it lies behind something such as a disconnect.", "MASTER.out"),
    of(&[Charger], "output", CURRENT, "The most that it gives.", "15 A"),
    of(&[Charger], "voltage", VOLTAGE, "The voltage that it holds.", "13.8 V"),

    // Protection and switching.
    of(&[Feed, Disconnect, KeySwitch, Switch, Isolator, Diode, Cutoff, Delay], "rating", CURRENT, "The current that it is made for; of a feed, its factory fuse.", "20 A"),
    of(&[Fuse, Breaker, FusibleLink], "rating", CURRENT, "Its rating, as printed on it.", "30 A"),
    of(&[Feed, Fuse, Breaker, FusibleLink], "form", Shape::Choice(&["blade-mini", "blade", "blade-maxi", "bolt-down", "glass"]), "How it is built; of a feed, its factory fuse.", "blade"),
    of(&[Breaker], "reset", Shape::Choice(&["automatic", "modified", "manual"]), "How it comes back: by itself (automatic), when the power is taken away (modified), or by hand.", "manual"),
    of(&[FusibleLink], "size", Shape::Size, "Conductor size of the link.", "16 AWG"),
    of(&[Disconnect], "left", OPEN_CLOSED, "How it is found when parked; closed if left out.", "open"),
    of(&[Switch], "left", Shape::Name, "How it is found when parked: open or closed, or one of its positions; open if left out.", "closed"),
    of(&[Switch], "momentary", Shape::Flag, "It springs back to where `left` says: closed for a button that opens while it is held.", "true"),
    of(&[Switch], "interlock", Shape::Flag, "It guards a moving part.", "true"),
    of(&[Switch], "positions", Shape::Named(&Shape::List(&Shape::Tuple(&[Shape::Name, Shape::Name]))), "Its positions, and the pairs of terminals that each joins; the names of its terminals are those that stand here.", "{low: [[B, L]], high: [[B, H]]}"),
    of(&[Relay], "coil", DRAW, "Its coil, in ohm, watt or ampere.", "90 ohm"),
    of(&[Relay], "contact", CURRENT, "What its contact may carry.", "40 A"),
    of(&[Relay, Switch], "make", CURRENT, "What its contact may close onto; of a relay three times `contact` if left out.", "120 A"),
    of(&[Relay], "pull-in", VOLTAGE, "Voltage at which it pulls in.", "8 V"),
    of(&[Relay], "drop-out", VOLTAGE_OR_NONE, "Voltage at which it drops out.", "1.2 V"),
    of(&[Relay], "contact-resistance", RESISTANCE_OR_NONE, "Resistance of its closed contact.", "5 mohm"),
    of(&[Relay, Load, Controller], "suppression", SUPPRESSION, "What takes up the kick when its coil or winding is switched off.", "diode"),
    of(&[Relay], "duty", Shape::Choice(&["continuous", "intermittent"]), "Whether its coil may stay energised.", "continuous"),
    of(&[Relay], "latching", Shape::Flag, "It stays as last put; its coils are `set` and `reset`, each to `85`.", "true"),

    // What uses current.
    of(USERS, "type", Shape::Choice(&["led", "filament", "motor", "heater", "electronics", "starter"]), "What sort of load it is; decides how its current follows the voltage.", "led"),
    of(&[Load], "indicates", Shape::Part(&[]), "It is a pilot lamp for this switch.", "S1"),
    of(USERS, "draw", Shape::Quantity(&[Dimension::Current, Dimension::Power, Dimension::Resistance], Bound::NotNegative), "What it takes when on, at its rated voltage.", "14 A"),
    of(USERS, "parked", DRAW_OR_NONE, "What it takes with the key off, while its supply is live: all the time. Where it is as much as its draw, it is taken to go on working, at its `duty`.", "5 mA"),
    of(USERS, "settles", Shape::Map(SETTLES), "It takes more for a while after the key is turned off.", "{draw: 800 mA, for: 20 min}"),
    of(USERS, "modes", Shape::Named(&DRAW), "What it takes in other ways of working.", "{transmit: 9 A}"),
    of(USERS, "inrush", INRUSH, "What it takes when switched on: a current, or a multiple of its draw, and for how long.", "6x for 2 s"),
    of(USERS, "min-voltage", VOLTAGE, "Below this it does not work; half the system voltage if left out.", "10.5 V"),
    of(USERS, "rated-voltage", VOLTAGE, "The voltage at which `draw` is meant; 13.5 V in a 12 V system, 27 V in a 24 V one if left out.", "12 V"),
    of(USERS, "drop-limit", SHARE, "The largest voltage drop out and back that it may have; 10 % if left out.", "3 %"),
    of(USERS, "duty", SHARE, "Share of the time that it is on; 100 % if left out. With the key off its average counts: this times its draw, unless a smaller `parked` is stated.", "15 %"),
    of(USERS, "required", Shape::Flag, "The law wants it: a lamp or a horn.", "true"),
    of(USERS, "moves", Shape::Flag, "It moves something that can hurt: a hoist, a crane, a liftgate.", "true"),
    of(USERS, "max-fuse", CURRENT, "The largest fuse that its papers allow.", "15 A"),
    of(USERS, "needs-shutdown", TIME, "It must not be cut off sooner than this after the key is turned off.", "3 min"),
    of(&[Load], "supplies", Shape::Named(&Shape::Map(SUPPLY)), "Where it has several supplies: each with its own terminal and draw.", "{memory: {draw: 5 mA}, main: {draw: 9 A}}"),
    of(&[Controller], "outputs", Shape::Named(&Shape::Map(OUTPUT)), "Its outputs, each a terminal.", "{OUT1: {limit: 10 A, hot-in: run}}"),
    of(&[Controller], "senses", Shape::OneOrList(&Shape::Name), "Its sense inputs, each a terminal that takes no current worth counting.", "[IGN]"),

    // What switches by itself.
    of(&[Delay], "keeps-on", TIME, "How long it stays closed after the key is turned off.", "30 min"),
    of(&[Delay, Cutoff], "draw", DRAW_OR_NONE, "What it takes itself.", "3 mA"),
    of(&[Cutoff, Isolator], "opens", VOLTAGE, "Voltage at which it opens.", "11.9 V"),
    of(&[Cutoff, Isolator], "closes", VOLTAGE, "Voltage at which it closes again.", "12.8 V"),
    of(&[Isolator], "style", Shape::Choice(&["relay", "diode", "electronic"]), "How it is built.", "relay"),
    of(&[Isolator, Diode], "drop", VOLTAGE_OR_NONE, "Voltage that is lost across it.", "0.7 V"),
    of(&[Converter], "output", VOLTAGE, "Its output voltage.", "12 V"),
    of(&[Converter], "rating", Shape::Quantity(&[Dimension::Current, Dimension::Power], Bound::Positive), "The most that it gives.", "20 A"),
    of(&[Converter], "efficiency", SHARE, "Share of the input that reaches the output.", "85 %"),
    of(&[Converter], "standby", DRAW_OR_NONE, "What it takes with nothing on its output.", "30 mA"),

    // Joints and ends.
    of(&[Connector], "limit", CURRENT, "The most for each pin.", "20 A"),
    of(&[Connector], "pins", Shape::Form {
        scalar: None,
        list: Some(&Shape::List(&Shape::Name)),
        map: Some(&Shape::Named(&CURRENT)),
    }, "Its pins, or its pins with the most that each may carry. Pin 1 has the two sides `1.a` and `1.b`.", "[1, 2, 3]"),
    of(&[Connector], "cover", Shape::Flag, "Unplugged, its pins are covered.", "true"),
    of(&[Connector], "detach", Shape::Name, "It is unplugged together with others of this name.", "trailer"),
    of(&[Splice, Stud, Busbar, Ground], "limit", CURRENT, "The most that it may carry.", "100 A"),
    of(&[Stud, Ground], "holds", Shape::Choice(&["nothing", "seat-belt", "seat", "brake", "steering", "suspension", "fuel"]), "What else its bolt holds, where it is no bolt of its own.", "seat-belt"),
    of(&[Splice], "tap", Shape::Choice(&["piercing"]), "A tap that bites through the insulation.", "piercing"),
    of(&[Stub], "end", Shape::Choice(&["capped", "bare", "cut"]), "How it ends.", "capped"),
];

/// Keys of `stays-live:` with an allowance.
#[rustfmt::skip]
pub const STAYS_LIVE: &[Key] = &[
    must(key("because", Shape::Words, "Why it is wanted with the key off.", "keeps the radio presets")),
    key("at-most", CURRENT, "The most that it may draw then.", "15 mA"),
];

/// Keys of `settles:`.
#[rustfmt::skip]
pub const SETTLES: &[Key] = &[
    must(key("draw", DRAW_OR_NONE, "What it takes until it has settled.", "800 mA")),
    must(key("for", TIME, "How long that lasts after the key is turned off.", "20 min")),
];

/// Keys of one of several `supplies:`.
#[rustfmt::skip]
pub const SUPPLY: &[Key] = &[
    key("draw", Shape::Quantity(&[Dimension::Current, Dimension::Power, Dimension::Resistance], Bound::NotNegative), "What it takes by this supply when on.", "9 A"),
    key("parked", DRAW_OR_NONE, "What it takes by this supply with the key off: all the time. Where it is as much as its draw, it is taken to go on working, at the `duty` of this supply.", "5 mA"),
    key("settles", Shape::Map(SETTLES), "It takes more by this supply for a while after the key is turned off.", "{draw: 800 mA, for: 20 min}"),
    key("modes", Shape::Named(&DRAW), "What it takes by this supply in other ways of working.", "{transmit: 9 A}"),
    key("inrush", INRUSH, "What it takes by this supply when switched on.", "6x for 2 s"),
    key("min-voltage", VOLTAGE, "Below this it does not work.", "10.5 V"),
    key("duty", SHARE, "Share of the time that this supply is on.", "15 %"),
    key("max-fuse", CURRENT, "The largest fuse that its papers allow for this supply.", "15 A"),
];

/// Keys of one of a controller's `outputs:`.
#[rustfmt::skip]
pub const OUTPUT: &[Key] = &[
    key("limit", CURRENT, "The most that it can give.", "10 A"),
    key("least", CURRENT_OR_NONE, "Below this it takes the load for a broken wire.", "100 mA"),
    key("pulsed", Shape::Flag, "It gives pulses, not a steady voltage.", "true"),
    key("hot-in", HOT_IN, "When it is on.", "[run]"),
    key("driver-switched", Shape::Flag, "The driver switches it.", "true"),
    key("resistance", RESISTANCE_OR_NONE, "Its resistance when on.", "20 mohm"),
    key("from", Shape::Own, "The controller's terminal that feeds it; `+` if left out.", "+"),
    key("side", Shape::Choice(&["high", "low"]), "Whether it switches the supply (high) or the return (low); high if left out.", "low"),
];
