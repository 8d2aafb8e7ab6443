//! Builds the vehicle from the record, in this order: terminals, the vehicle's own facts, the insides of parts, wires and
//! what is taken for granted about them, situations.

use std::collections::HashMap;
use std::sync::Arc;

use petgraph::graph::UnGraph;

use super::default;
use super::default::Ledger;
use super::element::{Branch, Element};
use super::fact::{AssumedId, Fact};
use super::kind;
use super::part::{Part, Status, StaysLive, Zone};
use super::situation::SwitchUnit;
use super::situations;
use super::vehicle::{
    Battery, BranchId, Climate, Link, PartId, Terminal, TerminalId, Vehicle, Wire,
};
use super::whole;
use super::wiring;
use super::wiring::Strings;
use crate::quantity::{Scalar, Volts};
use crate::read::Way;
use crate::read::document::{self, Document, Field, Fields, Kind, PartIndex, Point, Value};
use crate::source::Spanned;
use crate::table::Cited;
use crate::table::typical;

/// Builds the vehicle. Never fails: what the record leaves out is taken from a listed default or stays absent.
///
/// Cost: linear in the size of the record.
#[must_use]
pub fn build(document: Arc<Document>) -> Vehicle {
    build_with(document, None)
}

/// The same with one of the assumptions ([`Vehicle::assumed`]) taken at another amount, and exactly: to see what hangs on it.
#[must_use]
pub fn build_with(document: Arc<Document>, moved: Option<(AssumedId, f64)>) -> Vehicle {
    let mut builder = Builder::new(&document, moved);
    builder.add_parts();
    whole::add_missing_battery(&mut builder);
    builder.strings = Strings::of(&builder);
    for index in 0..document.parts.len() as u32 {
        let mut maker = Maker::new(&mut builder, PartId(index));
        kind::build(&mut maker);
        let part = &document.parts[index as usize];
        if matches!(
            part.kind.value,
            Kind::Fuse | Kind::Breaker | Kind::FusibleLink | Kind::Battery
        ) {
            assume_zone(&mut builder, &part.fields, &part.name.value);
        }
    }
    let own_load = whole::add_own_load(&mut builder);
    wiring::add_recorded(&mut builder);
    wiring::add_assumed(&mut builder);
    let situations = situations::build(&builder);
    let starter = builder.starter;
    let whole::Facts {
        name,
        cranking,
        own_off,
        own_run,
        stands,
    } = whole::facts(&document);
    let Builder {
        system,
        climate,
        ledger,
        terminals,
        parts,
        wires,
        branches,
        switches,
        batteries,
        ..
    } = builder;
    let graph = join(&terminals, &wires, &branches);
    Vehicle {
        name,
        system,
        climate,
        cranking,
        starter,
        batteries,
        own_load,
        own_off,
        own_run,
        stands,
        parts,
        wires,
        branches,
        terminals,
        graph,
        switches,
        situations,
        assumed: ledger.into_list(),
        document,
    }
}

/// Nodes are terminals, edges are wires and then branches.
fn join(terminals: &[Terminal], wires: &[Wire], branches: &[Branch]) -> UnGraph<TerminalId, Link> {
    let mut graph = UnGraph::with_capacity(terminals.len(), wires.len() + branches.len());
    for id in 0..terminals.len() as u32 {
        graph.add_node(TerminalId(id));
    }
    for (id, wire) in (0..).zip(wires) {
        let link = Link::Wire(super::WireId(id));
        graph.add_edge(wire.from.node(), wire.to.node(), link);
    }
    for (id, branch) in (0..).zip(branches) {
        let link = Link::Branch(BranchId(id));
        graph.add_edge(branch.from.node(), branch.to.node(), link);
    }
    graph
}

/// The vehicle while it is being built.
pub(super) struct Builder<'d> {
    /// The record.
    pub(super) document: &'d Document,
    /// Nominal voltage of the system.
    pub(super) system: Fact<Volts>,
    /// Temperatures by zone.
    pub(super) climate: Climate,
    /// Defaults taken so far.
    pub(super) ledger: Ledger,
    /// The battery that starts the engine.
    pub(super) starter: Option<PartId>,
    /// Which batteries stand in series.
    pub(super) strings: Strings,
    /// By terminal: whether a wire of the record lands on it.
    pub(super) landed: Vec<bool>,
    /// Terminals, the chassis first.
    pub(super) terminals: Vec<Terminal>,
    /// Parts in document order.
    pub(super) parts: Vec<Part>,
    /// Wires in document order.
    pub(super) wires: Vec<Wire>,
    /// Insides of parts.
    pub(super) branches: Vec<Branch>,
    /// Things with positions.
    pub(super) switches: Vec<SwitchUnit>,
    /// Batteries.
    pub(super) batteries: Vec<Battery>,
    /// Half the resistance of a splice, stud or bus bar, by terminal.
    pub(super) halves: HashMap<TerminalId, Fact<crate::quantity::Ohms>>,
}

impl<'d> Builder<'d> {
    fn new(document: &'d Document, moved: Option<(AssumedId, f64)>) -> Self {
        let mut ledger = Ledger::with(moved);
        let system = whole::system(document, &mut ledger);
        let climate = whole::climate(document, &mut ledger);
        let mut builder = Self {
            document,
            system,
            climate,
            ledger,
            starter: None,
            strings: Strings::default(),
            landed: Vec::new(),
            terminals: vec![Terminal {
                part: None,
                name: String::new(),
                label: "chassis".to_owned(),
            }],
            parts: Vec::with_capacity(document.parts.len() + 2),
            wires: Vec::with_capacity(document.wires.len()),
            branches: Vec::with_capacity(document.parts.len()),
            switches: Vec::new(),
            batteries: Vec::new(),
            halves: HashMap::new(),
        };
        builder.starter = whole::starter(&builder);
        builder
    }

    fn add_parts(&mut self) {
        for index in 0..self.document.parts.len() as u32 {
            let record = &self.document.parts[index as usize];
            let part = part(record, PartIndex(index));
            let id = PartId(index);
            self.parts.push(part);
            for name in &record.terminals {
                self.add_terminal(id, name);
            }
        }
        self.landed = vec![false; self.terminals.len()];
        let ends = self
            .document
            .wires
            .iter()
            .flat_map(|wire| [&wire.from, &wire.to]);
        for end in ends {
            let at = self.terminal_of(&end.point).index();
            self.landed[at] = true;
        }
    }

    /// Adds a terminal to a part.
    pub(super) fn add_terminal(&mut self, id: PartId, name: &str) -> TerminalId {
        let terminal = TerminalId(self.terminals.len() as u32);
        let part = &mut self.parts[id.index()];
        let label = if name.is_empty() {
            part.name.value.clone()
        } else {
            format!("{}.{name}", part.name.value)
        };
        part.terminals.push(terminal);
        self.terminals.push(Terminal {
            part: Some(id),
            name: name.to_owned(),
            label,
        });
        terminal
    }

    /// Adds a branch to a part.
    pub(super) fn add_branch(
        &mut self,
        part: PartId,
        name: &str,
        from: TerminalId,
        to: TerminalId,
        element: Element,
    ) -> BranchId {
        let id = BranchId(self.branches.len() as u32);
        self.branches.push(Branch {
            part,
            name: name.to_owned(),
            from,
            to,
            element,
        });
        self.parts[part.index()].branches.push(id);
        id
    }

    /// A point of the record as a terminal; the chassis where there is no such terminal.
    pub(super) fn terminal_of(&self, point: &Point) -> TerminalId {
        match *point {
            Point::Chassis => TerminalId::CHASSIS,
            Point::Terminal(part, terminal) => self
                .parts
                .get(part.0 as usize)
                .and_then(|part| part.terminals.get(terminal as usize))
                .copied()
                .unwrap_or(TerminalId::CHASSIS),
        }
    }

    /// The part of this name.
    pub(super) fn part_named(&self, name: &str) -> Option<PartId> {
        self.document.part_index(name).map(|index| PartId(index.0))
    }

    /// A terminal of a part by its name.
    pub(super) fn terminal(&self, part: PartId, name: &str) -> Option<TerminalId> {
        let part = &self.parts[part.index()];
        let of = |id: &&TerminalId| self.terminals[id.index()].name == name;
        part.terminals.iter().find(of).copied()
    }

    /// A point written as words: `BUS`, `K1.30`, `chassis`. A bare part name means the end that current leaves by.
    pub(super) fn point(&self, words: &str) -> Option<TerminalId> {
        let point = self.document.point(words, Way::From)?;
        Some(self.terminal_of(&point))
    }

    /// Nominal voltage over 12 V.
    pub(super) fn scale(&self) -> f64 {
        self.system.likely.0 / 12.0
    }

    /// The `+` that a thing hangs on which names no battery: the top of the string of the battery that starts.
    pub(super) fn supply(&self) -> Option<TerminalId> {
        let starter = self.starter?;
        self.terminal(self.strings.top(starter), "+")
    }
}

fn part(record: &document::Part, index: PartIndex) -> Part {
    let fields = &record.fields;
    let words = |key: &str| fields.text(key).map(|text| text.value.clone());
    let near = fields.list("near").iter().filter_map(|value| match value {
        Value::Text(text) => Some(text.clone()),
        _ => None,
    });
    Part {
        name: record.name.clone(),
        kind: record.kind.value,
        what: words("what"),
        place: words("place"),
        zone: zone(fields),
        status: status(fields),
        near: near.collect(),
        stays_live: stays_live(fields),
        fields: with_typical(fields),
        index,
        terminals: Vec::with_capacity(record.terminals.len()),
        branches: Vec::new(),
    }
}

/// The keys as written, with the type of the generic entry that `typical:` names where none is stated.
fn with_typical(fields: &Fields) -> Fields {
    let mut all = fields.clone();
    if let Some(name) = fields.text("typical")
        && all.get("type").is_none()
        && let Some(entry) = typical::get(&name.value)
    {
        all.list.push(Field {
            key: Spanned::new("type".to_owned(), name.at),
            value: Value::Text(Spanned::new(entry.kind.clone(), name.at)),
        });
    }
    all
}

/// `zone` of a part or wire; the cabin where nothing is said.
pub(super) fn zone(fields: &Fields) -> Zone {
    match fields.text("zone").map(|text| text.value.as_str()) {
        Some("engine-bay") => Zone::EngineBay,
        Some("exterior") => Zone::Exterior,
        _ => Zone::Cabin,
    }
}

/// Lists that the cabin was taken where nothing is said of the zone, with how warm it is there.
pub(super) fn assume_zone(builder: &mut Builder<'_>, fields: &Fields, subject: &str) {
    if fields.text("zone").is_none() {
        let what = format!("{subject} taken as in the cabin, where it is");
        let warm = default::exact(builder.climate.cabin.likely, default::ZONE);
        builder.ledger.take(what, subject, "zone", warm);
    }
}

/// `status` of a part or wire; added where nothing is said.
pub(super) fn status(fields: &Fields) -> Status {
    match fields.text("status").map(|text| text.value.as_str()) {
        Some("factory") => Status::Factory,
        Some("planned") => Status::Planned,
        Some("abandoned") => Status::Abandoned,
        Some("unknown") => Status::Unknown,
        _ => Status::Added,
    }
}

fn stays_live(fields: &Fields) -> Option<StaysLive> {
    match fields.get("stays-live")? {
        Value::Text(text) => Some(StaysLive {
            because: text.value.clone(),
            at_most: None,
            at: text.at,
        }),
        Value::Map(map) => Some(StaysLive {
            because: map
                .text("because")
                .map(|text| text.value.clone())
                .unwrap_or_default(),
            at_most: map.stated("at-most").map(Fact::stated),
            at: map.at,
        }),
        _ => None,
    }
}

/// One part while its inside is being built.
pub(super) struct Maker<'b, 'd> {
    /// The vehicle so far.
    pub(super) builder: &'b mut Builder<'d>,
    /// The part.
    pub(super) id: PartId,
    /// Its kind.
    pub(super) kind: Kind,
    /// Its name.
    pub(super) name: &'d str,
    /// Its keys.
    pub(super) fields: &'d Fields,
}

impl<'b, 'd> Maker<'b, 'd> {
    fn new(builder: &'b mut Builder<'d>, id: PartId) -> Self {
        let record = &builder.document.parts[id.index()];
        Self {
            id,
            kind: record.kind.value,
            name: &record.name.value,
            fields: &record.fields,
            builder,
        }
    }

    /// A terminal of this part.
    pub(super) fn terminal(&self, name: &str) -> Option<TerminalId> {
        self.builder.terminal(self.id, name)
    }

    /// Two terminals of this part, where it has both.
    pub(super) fn pair(&self, from: &str, to: &str) -> Option<(TerminalId, TerminalId)> {
        Some((self.terminal(from)?, self.terminal(to)?))
    }

    /// Adds a branch.
    pub(super) fn branch(
        &mut self,
        name: &str,
        from: TerminalId,
        to: TerminalId,
        element: Element,
    ) -> BranchId {
        self.builder.add_branch(self.id, name, from, to, element)
    }

    /// A quantity of the record.
    pub(super) fn stated<T: Scalar>(&self, key: &str) -> Option<Fact<T>> {
        self.fields.stated(key).map(Fact::stated)
    }

    /// A quantity of the record, else a default that is then listed. `what` names the fact, e.g. `contact resistance`.
    pub(super) fn stated_or<T: Scalar>(
        &mut self,
        key: &'static str,
        what: &str,
        default: Cited<T>,
    ) -> Fact<T> {
        match self.stated(key) {
            Some(fact) => fact,
            None => self.assume(key, what, default),
        }
    }

    /// Takes a default for a fact of this part.
    pub(super) fn assume<T: Scalar>(
        &mut self,
        key: &'static str,
        what: &str,
        default: Cited<T>,
    ) -> Fact<T> {
        let what = format!("{} {what}", self.name);
        self.builder.ledger.take(what, self.name, key, default)
    }

    /// Adds something with positions that a person sets.
    pub(super) fn unit(&mut self, unit: SwitchUnit) -> u32 {
        let index = self.builder.switches.len() as u32;
        self.builder.switches.push(unit);
        index
    }
}
