//! The vehicle: parts, wires, terminals, and the graph that joins them.

use std::sync::Arc;

use petgraph::graph::{NodeIndex, UnGraph};

use super::element::Branch;
use super::fact::{Assumed, Basis, Fact};
use super::part::Part;
use super::situation::{Situation, SwitchUnit};
use super::{Status, Zone};
use crate::quantity::{AmpHours, Amps, Celsius, Fraction, Meters, Ohms, Seconds, Volts};
use crate::read::document::{Document, Fields, Value, WireSize};
use crate::source::Span;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(pub u32);
        impl $name {
            /// As an index.
            #[must_use]
            pub const fn index(self) -> usize { self.0 as usize }
        }
    )*};
}

ids! {
    /// Index into [`Vehicle::parts`].
    PartId;
    /// Index into [`Vehicle::wires`].
    WireId;
    /// Index into [`Vehicle::branches`].
    BranchId;
    /// Index into [`Vehicle::terminals`], and the node of [`Vehicle::graph`].
    TerminalId;
}

impl TerminalId {
    /// The vehicle's metal: always the first terminal.
    pub const CHASSIS: Self = Self(0);

    /// As a node of the graph.
    #[must_use]
    pub fn node(self) -> NodeIndex<u32> {
        NodeIndex::new(self.0 as usize)
    }
}

/// A point where wires land.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Terminal {
    /// The part it belongs to; nothing for the chassis.
    pub part: Option<PartId>,
    /// Its name within the part; empty for parts with one terminal.
    pub name: String,
    /// As it is written in a record and in output: `K1.30`, `SP1`, `chassis`.
    pub label: String,
}

/// What joins two terminals.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Link {
    /// A wire.
    Wire(WireId),
    /// The inside of a part.
    Branch(BranchId),
}

/// A conductor of the record, or one that is taken for granted.
#[derive(Clone, Debug)]
pub struct Wire {
    /// `id` as written, else `w1`, `w2`, …
    pub id: String,
    /// Where it starts.
    pub from: TerminalId,
    /// Where it ends.
    pub to: TerminalId,
    /// Its size.
    pub size: Option<WireSize>,
    /// Its own length, one way.
    pub length: Option<Fact<Meters>>,
    /// Temperature class of its insulation.
    pub insulation: Option<Fact<Celsius>>,
    /// How many run side by side.
    pub parallel: u32,
    /// Name of the bundle it lies in.
    pub bundle: Option<String>,
    /// Words of `route`.
    pub route: Vec<String>,
    /// Where it runs.
    pub zone: Zone,
    /// Temperature of its surroundings, in the situation the record's climate describes.
    pub ambient: Fact<Celsius>,
    /// Colour as written.
    pub color: Option<String>,
    /// Factory, added, planned, abandoned or unknown.
    pub status: Status,
    /// Resistance at 20 C of all its parallel conductors together, or as stated; absent where length or size is not
    /// stated.
    pub resistance: Option<Fact<Ohms>>,
    /// Half the resistance of the splice, stud or busbar that it lands on, at `from` and at `to`; in series with it.
    pub landing: [Option<Fact<Ohms>>; 2],
    /// What of it is not stated, as `w3.length`.
    pub missing: Vec<String>,
    /// Its keys as written.
    pub fields: Fields,
    /// Its entry in the record; nothing for a return or joint that is taken for granted.
    pub at: Option<Span>,
    /// Taken for granted (`a load with no return wire is taken as returned to the chassis`): not in the record.
    pub assumed: bool,
}

/// From here on a wire that has a resistance and no size is a resistor, meant to lose voltage: a fan's for its low speed.
const RESISTOR: Ohms = Ohms(0.2);

impl Wire {
    /// Whether it stands for a resistor: the record gives it a resistance of 0.2 ohm or more, and neither size nor length. One
    /// with a size, though it be unknown, is a wire in which that much was measured.
    #[must_use]
    pub fn is_resistor(&self) -> bool {
        let says_nothing = |key| self.fields.get(key).is_none();
        says_nothing("size")
            && says_nothing("length")
            && self.resistance.is_some_and(|ohms| ohms.likely >= RESISTOR)
    }

    /// A resistance of this wire at a temperature: what its size and length give grows with it, one that the record states is
    /// taken as it was measured.
    #[must_use]
    pub fn ohms_at(&self, ohms: Ohms, at: Celsius) -> Ohms {
        let measured = self
            .resistance
            .is_some_and(|resistance| matches!(resistance.basis, Basis::Stated(..)));
        if measured {
            ohms
        } else {
            Ohms(crate::table::wire::at_temperature(ohms.0, at))
        }
    }
}

/// Temperatures by zone.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Climate {
    /// Where the vehicle stands with the engine off.
    pub parked: Fact<Celsius>,
    /// Engine bay at work.
    pub engine_bay: Fact<Celsius>,
    /// Cabin.
    pub cabin: Fact<Celsius>,
    /// Outside on the body.
    pub exterior: Fact<Celsius>,
}

/// What is known of a battery beyond what its branch gives.
#[derive(Clone, PartialEq, Debug)]
pub struct Battery {
    /// The part.
    pub part: PartId,
    /// Its branch, an [`super::Element::Cell`].
    pub cell: BranchId,
    /// Nominal voltage of the part.
    pub nominal: Fact<Volts>,
    /// 20-hour capacity of all that stand in parallel under this name, as stated or from `reserve`.
    pub capacity: Option<Fact<AmpHours>>,
    /// Cold-cranking current at -18 C of all that stand in parallel under this name.
    pub cold_cranking: Option<Fact<Amps>>,
    /// State of charge.
    pub charge: Fact<Fraction>,
    /// How many stand in parallel under this name.
    pub count: u32,
}

/// A vehicle as recorded, ready to be solved.
#[derive(Clone, Debug)]
pub struct Vehicle {
    /// The record.
    pub document: Arc<Document>,
    /// Its name, or words in its place.
    pub name: String,
    /// Nominal voltage of the system: 12 V, 24 V, …
    pub system: Fact<Volts>,
    /// Temperatures.
    pub climate: Climate,
    /// Current that the engine needs to start at -18 C.
    pub cranking: Option<Fact<Amps>>,
    /// The battery that starts the engine.
    pub starter: Option<PartId>,
    /// Batteries in document order, with what standing and starting are reckoned from.
    pub batteries: Vec<Battery>,
    /// The last part, `own-load`, which stands for the vehicle's own equipment; where the record gives its draw. It has no
    /// terminals of its own: its branch runs from the `+` of the battery that starts the engine to the chassis.
    pub own_load: Option<PartId>,
    /// The vehicle's own draw with the key off.
    pub own_off: Option<Fact<Amps>>,
    /// The vehicle's own draw with the key in run.
    pub own_run: Option<Fact<Amps>>,
    /// How long it must be able to stand and still start.
    pub stands: Option<Fact<Seconds>>,
    /// Parts in document order.
    pub parts: Vec<Part>,
    /// Wires in document order, then those taken for granted.
    pub wires: Vec<Wire>,
    /// The insides of parts.
    pub branches: Vec<Branch>,
    /// Terminals; the chassis first.
    pub terminals: Vec<Terminal>,
    /// Node n is terminal n; edges are wires and branches, in the order of their ids, wires first. The edges of a node have it
    /// as their source, whichever way round they were put in.
    pub graph: UnGraph<TerminalId, Link>,
    /// Everything with positions that a person sets: switches and disconnects, in document order.
    pub switches: Vec<SwitchUnit>,
    /// `parked`, `all on`, then the named ones in document order.
    pub situations: Vec<Situation>,
    /// Defaults that were taken.
    pub assumed: Vec<Assumed>,
}

/// From so many wires on a vehicle is large.
const LARGE: usize = 1000;

impl Vehicle {
    /// What the record says of the supply that a branch is, by this key; where it says nothing of it, of the whole part.
    #[must_use]
    pub fn of_supply(&self, branch: BranchId, key: &str) -> Option<&Value> {
        let branch = self.branch(branch);
        let fields = &self.part(branch.part).fields;
        let own = fields.map("supplies").and_then(|all| all.map(&branch.name));
        own.and_then(|own| own.get(key)).or_else(|| fields.get(key))
    }

    /// Whether work on it is worth sharing among threads: for less than this they take longer to start than they save.
    #[must_use]
    pub const fn is_large(&self) -> bool {
        self.wires.len() >= LARGE
    }

    /// Its name, where the record gives one.
    #[must_use]
    pub fn stated_name(&self) -> Option<String> {
        let name = self.document.vehicle.text("name");
        name.map(|name| name.value.clone())
    }

    /// A part.
    #[must_use]
    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.index()]
    }
    /// A wire.
    #[must_use]
    pub fn wire(&self, id: WireId) -> &Wire {
        &self.wires[id.index()]
    }
    /// A branch.
    #[must_use]
    pub fn branch(&self, id: BranchId) -> &Branch {
        &self.branches[id.index()]
    }
    /// A terminal.
    #[must_use]
    pub fn terminal(&self, id: TerminalId) -> &Terminal {
        &self.terminals[id.index()]
    }
    /// Ids of all parts.
    pub fn part_ids(&self) -> impl Iterator<Item = PartId> + use<> {
        (0..self.parts.len() as u32).map(PartId)
    }
    /// Ids of all wires.
    pub fn wire_ids(&self) -> impl Iterator<Item = WireId> + use<> {
        (0..self.wires.len() as u32).map(WireId)
    }
    /// Ids of all branches.
    pub fn branch_ids(&self) -> impl Iterator<Item = BranchId> + use<> {
        (0..self.branches.len() as u32).map(BranchId)
    }
}
