//! Keys of a wire.

use super::part::{STATUSES, ZONES};
use super::shape::{LENGTH, RESISTANCE, TEMPERATURE, WHOLE};
use super::{Key, Shape, key};

/// Keys of an entry under `wires:`.
#[rustfmt::skip]
pub const WIRE: &[Key] = &[
    key("id", Shape::Name, "The wire's own name, as on its label. Left out, wires are w1, w2, … in the order of the record. The segments of a run are ID.1, ID.2, ….", "W12"),
    key("from", Shape::Point, "Where it starts: the end that current leaves by. A part's name alone means `out`, a battery's or alternator's `+`, a load's `-`.", "K1.87"),
    key("to", Shape::Point, "Where it ends: the end that current enters by. A part's name alone means `in`, or `+`.", "WORK"),
    key("run", Shape::List(&Shape::Point), "Several wires in a row, stop by stop; parts with an `in` and an `out` are passed through.", "[B1, F1, K1.30]"),
    key("size", Shape::Size, "Conductor size: AWG (ASTM B258), SAE (the smaller SAE J1128 size of the same number) or mm2 (ISO).", "12 AWG"),
    key("length", LENGTH, "Its own length, one way. Return wires are wires too.", "5 m"),
    key("lengths", Shape::List(&LENGTH), "The lengths of a run's segments, one for each.", "[20 cm, 1.5 m]"),
    key("insulation", Shape::ChoiceOr(&["gpt", "hdt", "gxl", "sxl", "txl", "sgt", "sgx"], &TEMPERATURE), "Insulation type, or its temperature class.", "gxl"),
    key("material", Shape::Choice(&["copper"]), "Conductor material; copper is the only one whose figures are in the tables.", "copper"),
    key("parallel", WHOLE, "How many like conductors run side by side.", "2"),
    key("bundle", Shape::Name, "The bundle that it lies in.", "frame loom"),
    key("route", Shape::OneOrList(&Shape::Choice(&["loom", "grommet", "bare-hole", "frame", "hinge", "hinge-pin", "hitch", "painted-joint", "heat", "motion"])), "What it lies in, passes through or comes near.", "[loom, grommet]"),
    key("resistance", RESISTANCE, "Its resistance, instead of size and length: of 0.2 ohm or more, with no size beside it, it is a resistor that is meant to lose voltage.", "5 mohm"),
    key("zone", Shape::Choice(ZONES), "Where it runs; sets its temperature. Cabin if left out.", "engine-bay"),
    key("color", Shape::Words, "Colour of its insulation, tracer after a slash.", "red/black"),
    key("status", Shape::Choice(STATUSES), "Whose it is, or what became of it; added if left out.", "abandoned"),
    key("note", Shape::Words, "Free words.", "rubbed at the clamp"),
];
