//! Format 1. Fields may be added here; none is renamed, retyped or removed. `schemas/` is made from these types.

mod audit;
mod budget;
mod checks;
mod compare;
mod fleet;
mod fuse_chart;
mod hunt;
mod layout;
mod park;
mod removal;
mod size;
mod states;
mod tables;
mod unreadable;
mod walkround;
mod wire_list;

pub use audit::{
    Amount, Assumed, Audit, BatteryCurrent, BatteryDraw, Explored, Finding, FuseDraw, Harm, Key,
    KeyOff, Level, NoStart, NotChecked, PartCurrent, PartDraw, RunsOn, Setting, Situation, Step,
    Summary, TerminalVoltage, WireCurrent,
};
pub use budget::{Analysis, Budget, BudgetRow, ChargeAt, Intermittent, Phase, Power, Shed, Shift};
pub use checks::{Check, Checks};
pub use compare::{
    Changed, Changes, Compare, DrawChange, FindingChanges, KeyChange, LoadChange, LoadSide, Raised,
};
pub use fleet::{FirstFault, FleetRow, FleetVerdict, Worst};
pub use fuse_chart::{FuseChart, FuseLine};
pub use hunt::{
    Between, Hunt, HuntLocated, HuntNext, HuntPart, HuntProblem, HuntProblemKind, HuntReading,
    HuntStage, HuntSuspect, HuntUnproven,
};
pub use layout::{Layout, LayoutLead, LayoutRun, LayoutSheet, LayoutTag, Named, Rectangle, Spot};
pub use park::{Event, FloorBy, Park, StandingAt, Starts, Verdict};
pub use removal::{
    Dead, DrawsMore, Freed, LiveEnd, LiveRun, Lost, Minimum, NewPlace, NewPlaceKind, Removal, Side,
    Unrecorded, WireEnd, WireStays,
};
pub use size::{Size, SizedFuse, SizedRow, SizedStep, SizedWire};
pub use states::{
    DeadBy, DoesWord, Hot, HotLine, HotWhen, Matrix, MatrixCell, MatrixColumn, MatrixRow,
    RouteLine, Trace, TraceKey, TraceLine,
};
pub use tables::{Table, Tables};
pub use unreadable::{Fault, Unreadable};
pub use walkround::{BareEnd, Stop, ThereIs, ToMend, Unknown, WalkRound, ZoneOfStop};
pub use wire_list::{WireLine, WireList, WireTotal};

use serde::Serialize;

/// The number of this format.
pub const FORMAT: u32 = 1;

/// Which record an answer is about.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Document {
    /// The file as it was named, or `-` for standard input.
    pub path: String,
    /// The vehicle's name; null where the record gives none or could not be read.
    pub name: Option<String>,
}

/// A place in a text.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Place {
    /// The file, where it is not the record itself but a library that the record names.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Length in characters.
    pub length: usize,
}

/// A further place that belongs to a message.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LabelledPlace {
    /// The place.
    #[serde(flatten)]
    pub place: Place,
    /// What it has to do with the message.
    pub label: String,
}

/// What a command prints: its answer, or why the input could not be used.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(untagged)]
pub enum Printed<T> {
    /// The answer.
    Answer(Box<T>),
    /// The input could not be used.
    Unreadable(Unreadable),
}
