//! What checks look at.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::around::Around;
use super::carries::Carries;
use super::rules::Rules;
use crate::analyze::Draw;
use crate::analyze::Solved;
use crate::analyze::fault::Faults;
use crate::model::BranchId;
use crate::model::Element;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::Wire;
use crate::model::WireId;
use crate::model::Zone;
use crate::model::walk::Walks;
use crate::quantity::Celsius;
use crate::read::document::Kind;
use crate::source::Span;

/// The vehicle and everything that was solved and summed up about it.
pub struct Context<'a> {
    /// The vehicle.
    pub vehicle: &'a Vehicle,
    /// States and sums.
    pub solved: &'a Solved,
    /// The ways of its currents.
    pub walks: Walks,
    /// What a short would draw, everywhere.
    pub faults: Faults,
    /// The rules that its record chooses, else the defaults.
    pub rules: Rules,
    /// Returns by a way round that lack a draw.
    pub(super) around: Around,
    draws: BTreeMap<PartId, usize>,
    lacking: BTreeMap<String, Vec<String>>,
    bundles: BTreeMap<&'a str, u32>,
    /// By wire: what it carries, once that was asked for.
    pub(super) carried: Vec<OnceLock<Result<Carries, Vec<String>>>>,
}

impl<'a> Context<'a> {
    /// Finds the ways once for all checks.
    #[must_use]
    pub fn new(vehicle: &'a Vehicle, solved: &'a Solved) -> Self {
        let draws = solved.key_off.by_part.iter().enumerate();
        let mut lacking: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for fact in &solved.key_off.missing {
            if let Some((part, _)) = fact.split_once('.') {
                lacking
                    .entry(part.to_owned())
                    .or_default()
                    .push(fact.clone());
            }
        }
        let mut bundles: BTreeMap<&str, u32> = BTreeMap::new();
        for (wire, extreme) in vehicle.wires.iter().zip(&solved.explored.wires) {
            if let Some(bundle) = &wire.bundle
                && extreme.value.0.abs() > 1e-3
            {
                *bundles.entry(bundle.as_str()).or_default() += wire.parallel.max(1);
            }
        }
        let walks = Walks::new(vehicle);
        Self {
            vehicle,
            solved,
            faults: Faults::of(vehicle, &walks),
            around: Around::of(vehicle, &walks),
            walks,
            rules: Rules::of(vehicle),
            draws: draws.map(|(at, draw)| (draw.part, at)).collect(),
            lacking,
            bundles,
            carried: vec![OnceLock::new(); vehicle.wires.len()],
        }
    }

    /// Parts of the record with their ids; the one that stands for the vehicle's own equipment is none of them.
    pub fn parts(&self) -> impl Iterator<Item = (PartId, &'a Part)> + use<'a> {
        let vehicle = self.vehicle;
        vehicle
            .part_ids()
            .filter(move |&id| vehicle.own_load != Some(id))
            .map(move |id| (id, vehicle.part(id)))
    }

    /// Parts of the record of these kinds.
    pub fn parts_of(&self, kinds: &'static [Kind]) -> impl Iterator<Item = (PartId, &'a Part)> {
        self.parts().filter(|(_, part)| kinds.contains(&part.kind))
    }

    /// Wires of the record with their ids; those taken for granted are none of them.
    pub fn wires(&self) -> impl Iterator<Item = (WireId, &'a Wire)> + use<'a> {
        let vehicle = self.vehicle;
        vehicle
            .wire_ids()
            .map(move |id| (id, vehicle.wire(id)))
            .filter(|(_, wire)| !wire.assumed)
    }

    /// Name of a part.
    #[must_use]
    pub fn name(&self, part: PartId) -> &'a str {
        &self.vehicle.part(part).name.value
    }

    /// Where a wire's key stands, else its entry.
    #[must_use]
    pub fn wire_at(&self, wire: WireId, key: &str) -> Span {
        let wire = self.vehicle.wire(wire);
        let stated = wire.fields.get(key).map(crate::read::document::Value::at);
        stated.or(wire.at).unwrap_or_default()
    }

    /// Where the record names the end that a wire starts from.
    #[must_use]
    pub fn wire_from(&self, wire: WireId) -> Span {
        let wires = &self.vehicle.document.wires;
        wires
            .get(wire.index())
            .map_or(Span::default(), |wire| wire.from.at)
    }

    /// Where the record names the end that a wire leads to.
    #[must_use]
    pub fn wire_to(&self, wire: WireId) -> Span {
        let wires = &self.vehicle.document.wires;
        wires
            .get(wire.index())
            .map_or(Span::default(), |wire| wire.to.at)
    }

    /// How many conductors of the bundle that a wire lies in carry current in any setting, this one included; one where it
    /// lies in none.
    #[must_use]
    pub fn loaded_in_bundle(&self, wire: WireId) -> u32 {
        let bundle = self.vehicle.wire(wire).bundle.as_deref();
        let count = bundle.and_then(|bundle| self.bundles.get(bundle));
        count.copied().unwrap_or(1).max(1)
    }

    /// What is lacking where not every setting could be looked at.
    #[must_use]
    pub fn not_explored(&self) -> String {
        let explored = &self.solved.explored;
        format!(
            "settings: {} of {} looked at",
            explored.settings, explored.of
        )
    }

    /// Its line in the key-off sums; nothing where it never draws with the key off.
    #[must_use]
    pub fn key_off(&self, part: PartId) -> Option<&'a Draw> {
        let at = *self.draws.get(&part)?;
        self.solved.key_off.by_part.get(at)
    }

    /// Facts about a part that are lacking in the key-off sums.
    #[must_use]
    pub fn lacking_key_off(&self, part: &str) -> &[String] {
        self.lacking.get(part).map_or(&[], Vec::as_slice)
    }

    /// Wires of the record that land on a terminal, in their order.
    #[must_use]
    pub fn landing(&self, terminal: TerminalId) -> Vec<WireId> {
        let mut wires: Vec<WireId> = self
            .vehicle
            .graph
            .edges(terminal.node())
            .filter_map(|edge| match *edge.weight() {
                Link::Wire(wire) if !self.vehicle.wire(wire).assumed => Some(wire),
                _ => None,
            })
            .collect();
        wires.sort_unstable();
        wires.dedup();
        wires
    }

    /// Whether a branch of another part starts or ends at a terminal (a feed hangs on a battery's post without a wire).
    #[must_use]
    pub fn joined_inside(&self, part: PartId, terminal: TerminalId) -> bool {
        self.vehicle
            .graph
            .edges(terminal.node())
            .any(|edge| match *edge.weight() {
                Link::Branch(branch) => self.vehicle.branch(branch).part != part,
                Link::Wire(_) => false,
            })
    }

    /// A terminal of a part by its name.
    #[must_use]
    pub fn terminal(&self, part: &Part, name: &str) -> Option<TerminalId> {
        let named = |id: &TerminalId| self.vehicle.terminal(*id).name == name;
        part.terminals.iter().copied().find(named)
    }

    /// The branch of a part that passes current through it, of parts that have one.
    #[must_use]
    pub fn passage(&self, part: &Part) -> Option<BranchId> {
        part.branches.iter().copied().find(|&branch| {
            matches!(
                self.vehicle.branch(branch).element,
                Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
            )
        })
    }

    /// How warm it is in a zone at work.
    #[must_use]
    pub fn temperature(&self, zone: Zone) -> Celsius {
        let climate = &self.vehicle.climate;
        match zone {
            Zone::EngineBay => climate.engine_bay.likely,
            Zone::Cabin => climate.cabin.likely,
            Zone::Exterior => climate.exterior.likely,
        }
    }

    /// Whether a part is not the vehicle's own.
    #[must_use]
    pub fn is_added(&self, part: PartId) -> bool {
        self.vehicle.part(part).status != Status::Factory
    }
}
