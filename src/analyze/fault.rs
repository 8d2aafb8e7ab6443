//! Current of a bolted short to the chassis, everywhere, in one pass from each source.
//!
//! A battery stands behind its resistance; the conductors of the way to the short, the chassis and the way home stand in
//! series with it. *Strong* is a full battery with everything cold, *weak* a worn one at its lowest charge. Each source is
//! reckoned by itself along its shortest way: others beside it only make a protection of their own way open. Alternators give
//! little more than they are rated for and are left out; chargers and converters give no more than their limit.

use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::model::walk::Tree;
use crate::model::walk::Walks;
use crate::model::walk::is_protection;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::quantity::Fraction;
use crate::quantity::Interval;
use crate::quantity::Ohms;
use crate::quantity::Volts;
use crate::table::battery;
use crate::table::battery::Chemistry;
use crate::table::joint;

/// What nothing is taken for, so that no current is without end.
const LEAST: Ohms = Ohms(1e-5);

/// The currents of shorts, from every source that reaches the chassis.
#[derive(Clone, Debug, Default)]
pub struct Faults {
    /// One a source, in the order of the walks' sources.
    pub sources: Vec<Spread>,
    /// By terminal: the strongest short over all sources by themselves.
    strongest: Vec<Option<Amps>>,
}

/// One source and everything that its current can get to.
#[derive(Clone, Debug)]
pub struct Spread {
    /// Index into the walks' sources.
    pub source: usize,
    /// The source seen from its `+`, with its way home.
    pub supply: Supply,
    /// Every place of its tree, and of wires that close a loop, in breadth-first order.
    pub places: Vec<Place>,
}

/// A source as a short sees it.
#[derive(Clone, PartialEq, Debug)]
pub struct Supply {
    /// The source's part.
    pub part: PartId,
    /// Voltage with nothing drawn, weak and strong.
    pub volts: Interval<Volts>,
    /// Of the source alone, strong and weak.
    pub inside: Interval<Ohms>,
    /// Chassis, posts, cables between batteries in series.
    pub home: Interval<Ohms>,
    /// The most that it gives; nothing of a battery.
    pub limit: Option<Amps>,
    /// What is not stated of it.
    pub missing: Vec<String>,
}

/// A place that current gets to.
#[derive(Clone, PartialEq, Debug)]
pub struct Place {
    /// The terminal.
    pub at: TerminalId,
    /// The place before it and the conductor between; nothing for the source's `+`.
    pub from: Option<(usize, Link)>,
    /// All conductors from the source's `+` to here.
    pub ohms: Interval<Ohms>,
    /// Drop of the diodes between.
    pub drop: Volts,
    /// The nearest protection on the way: the place right behind it.
    pub guard: Option<usize>,
    /// The nearest place on the way, this one included, whose conductor has no known resistance.
    pub lacking: Option<usize>,
    /// The place with the weakest short that this one's protection has to clear: itself or something behind it, up to the
    /// next protection.
    pub farthest: usize,
}

impl Faults {
    /// Reckons them; costs one pass over the graph for each source.
    #[must_use]
    pub fn of(vehicle: &Vehicle, walks: &Walks) -> Self {
        let sources = (0..walks.sources.len()).filter_map(|source| {
            let supply = supply(vehicle, walks, source)?;
            let tree = walks.spread(vehicle, source);
            Some(Spread {
                source,
                supply,
                places: places(vehicle, &tree),
            })
        });
        let sources: Vec<Spread> = sources.collect();
        let mut strongest: Vec<Option<Amps>> = vec![None; vehicle.terminals.len()];
        for spread in &sources {
            for (number, place) in spread.places.iter().enumerate() {
                let here = spread.amps(number).high;
                let most = &mut strongest[place.at.index()];
                *most = Some(most.map_or(here, |most| most.max(here)));
            }
        }
        Self { sources, strongest }
    }

    /// The strongest short at a terminal over all batteries by themselves.
    #[must_use]
    pub fn strongest(&self, at: TerminalId) -> Option<Amps> {
        self.strongest.get(at.index()).copied().flatten()
    }
}

impl Spread {
    /// Current of a short at a place, weak and strong.
    #[must_use]
    pub fn amps(&self, place: usize) -> Interval<Amps> {
        let here = &self.places[place];
        let supply = &self.supply;
        Interval {
            low: self.weakest_with_less(place, Ohms::ZERO),
            high: self.one(
                here.drop,
                supply.volts.high,
                supply.inside.low + supply.home.low + here.ohms.low,
            ),
        }
    }

    /// Current of a short at a place when the source is weak, with so much taken out of the way there.
    #[must_use]
    pub fn weakest_with_less(&self, place: usize, saved: Ohms) -> Amps {
        let here = &self.places[place];
        let supply = &self.supply;
        let way = supply.inside.high + supply.home.high + here.ohms.high - saved;
        self.one(here.drop, supply.volts.low, way)
    }

    fn one(&self, drop: Volts, volts: Volts, way: Ohms) -> Amps {
        let driving = (volts - drop).max(Volts::ZERO);
        let amps = driving / way.max(LEAST);
        self.supply.limit.map_or(amps, |limit| amps.min(limit))
    }

    /// The protections between the source and a place, nearest to the place first.
    #[must_use]
    pub fn guards(&self, vehicle: &Vehicle, place: usize) -> Vec<PartId> {
        let mut found = Vec::new();
        let mut next = self.places[place].guard;
        while let Some(at) = next {
            let Some((before, Link::Branch(branch))) = self.places[at].from else {
                break;
            };
            found.push(vehicle.branch(branch).part);
            next = self.places[before].guard;
        }
        found
    }

    /// What is not stated of the way from the source to a place.
    #[must_use]
    pub fn missing(&self, vehicle: &Vehicle, place: usize) -> Vec<String> {
        let mut found = self.supply.missing.clone();
        let mut next = self.places[place].lacking;
        while let Some(at) = next {
            let Some((before, link)) = self.places[at].from else {
                break;
            };
            if let Link::Wire(wire) = link {
                found.extend(vehicle.wire(wire).missing.iter().cloned());
            }
            next = self.places[before].lacking;
        }
        found
    }

    /// The wire by which a place is reached.
    #[must_use]
    pub fn wire(&self, place: usize) -> Option<(usize, WireId)> {
        match self.places[place].from {
            Some((before, Link::Wire(wire))) => Some((before, wire)),
            _ => None,
        }
    }
}

fn places(vehicle: &Vehicle, tree: &Tree) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::with_capacity(tree.reached.len() + tree.loops.len());
    let closing = tree
        .loops
        .iter()
        .filter(|(_, link)| matches!(link, Link::Wire(_)))
        .map(|&(from, link)| {
            (
                other_end(vehicle, link, tree.reached[from].at),
                (from, link),
            )
        });
    let all = tree
        .reached
        .iter()
        .map(|reached| (reached.at, reached.from))
        .chain(closing.map(|(at, from)| (at, Some(from))));
    for (at, from) in all {
        let number = places.len();
        let mut place = Place {
            at,
            from,
            ohms: Interval::exact(Ohms::ZERO),
            drop: Volts::ZERO,
            guard: None,
            lacking: None,
            farthest: number,
        };
        if let Some((before, link)) = from {
            let before = &places[before];
            let (ohms, drop, known) = conductor(vehicle, link);
            place.ohms = before.ohms + ohms;
            place.drop = before.drop + drop;
            place.lacking = if known { before.lacking } else { Some(number) };
            place.guard = match link {
                Link::Branch(branch) if is_protection(vehicle, vehicle.branch(branch).part) => {
                    Some(number)
                }
                _ => before.guard,
            };
        }
        places.push(place);
    }
    for number in (1..places.len()).rev() {
        let Some((before, _)) = places[number].from else {
            continue;
        };
        let same = places[number].guard == places[before].guard;
        let (mine, known) = (places[number].farthest, places[before].farthest);
        if same && places[mine].ohms.high > places[known].ohms.high {
            places[before].farthest = mine;
        }
    }
    places
}

fn other_end(vehicle: &Vehicle, link: Link, at: TerminalId) -> TerminalId {
    let (from, to) = match link {
        Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to),
        Link::Branch(branch) => (vehicle.branch(branch).from, vehicle.branch(branch).to),
    };
    if from == at { to } else { from }
}

/// Resistance and forward drop of a conductor, and whether its resistance is known.
fn conductor(vehicle: &Vehicle, link: Link) -> (Interval<Ohms>, Volts, bool) {
    match link {
        Link::Wire(id) => {
            let wire = vehicle.wire(id);
            let landing: Ohms = wire.landing.iter().flatten().map(|ohms| ohms.likely).sum();
            let cold = vehicle.climate.parked.likely.min(wire.ambient.likely);
            let at = |ohms: Ohms, temperature: Celsius| wire.ohms_at(ohms, temperature) + landing;
            match wire.resistance {
                Some(ohms) => (
                    Interval {
                        low: at(ohms.range.low, cold),
                        high: at(ohms.range.high, wire.ambient.likely),
                    },
                    Volts::ZERO,
                    true,
                ),
                None => (Interval::exact(landing), Volts::ZERO, wire.assumed),
            }
        }
        Link::Branch(id) => match &vehicle.branch(id).element {
            Element::Joint(ohms) | Element::Contact { ohms, .. } => {
                (Interval::exact(ohms.likely), Volts::ZERO, true)
            }
            Element::Diode { drop, ohms } => (Interval::exact(ohms.likely), drop.likely, true),
            _ => (Interval::exact(Ohms::ZERO), Volts::ZERO, true),
        },
    }
}

fn supply(vehicle: &Vehicle, walks: &Walks, source: usize) -> Option<Supply> {
    let home = walks.way_home(source);
    if home.is_empty() {
        return None;
    }
    let part = walks.sources[source].part;
    let metal = joint::chassis_return();
    let mut supply = Supply {
        part,
        volts: Interval::exact(Volts::ZERO),
        inside: Interval::exact(Ohms::ZERO),
        home: Interval {
            low: metal.low,
            high: metal.value,
        },
        limit: None,
        missing: Vec::new(),
    };
    let along = |supply: &mut Supply, way: &[Link]| {
        for &link in way {
            let (ohms, _, known) = conductor(vehicle, link);
            supply.home = supply.home + ohms;
            if let (Link::Wire(wire), false) = (link, known) {
                let lacks = vehicle.wire(wire).missing.iter().cloned();
                supply.missing.extend(lacks);
            }
        }
    };
    along(&mut supply, home);
    let stack = walks.stack(source);
    for pair in stack.windows(2) {
        let minus = walks.sources[pair[0]].minus;
        if let Some(way) = walks.way_up(vehicle, pair[1], minus) {
            along(&mut supply, &way);
        }
    }
    for &one in &stack {
        let source = walks.sources[one];
        match &vehicle.branch(source.branch).element {
            Element::Cell { ohms, .. } => {
                let (weak, strong) = rest(vehicle, source.part);
                supply.volts = supply.volts
                    + Interval {
                        low: weak,
                        high: strong,
                    };
                supply.inside = supply.inside
                    + Interval {
                        low: ohms.range.low,
                        high: ohms.range.high / battery::health_unknown().value.0,
                    };
            }
            Element::Charger { volts, limit, .. } | Element::Converter { volts, limit, .. } => {
                supply.volts = supply.volts + volts.range;
                match limit {
                    Some(limit) => supply.limit = Some(limit.range.high),
                    None => {
                        let of = vehicle.part(source.part);
                        let key = if matches!(
                            vehicle.branch(source.branch).element,
                            Element::Charger { .. }
                        ) {
                            "output"
                        } else {
                            "rating"
                        };
                        supply.missing.push(of.missing(key));
                    }
                }
            }
            _ => return None,
        }
    }
    Some(supply)
}

/// Rest voltage of a battery at its lowest charge in service and full.
fn rest(vehicle: &Vehicle, part: PartId) -> (Volts, Volts) {
    let of = vehicle.part(part).fields.text("chemistry");
    let chemistry = of
        .and_then(|word| Chemistry::named(&word.value))
        .unwrap_or(Chemistry::Flooded);
    let nominal = vehicle.batteries.iter().find(|one| one.part == part);
    let blocks = nominal.map_or(1.0, |one| one.nominal.likely.0 / 12.0);
    let weak = battery::rest_voltage(chemistry, battery::least_charge().value).value;
    let full = battery::rest_voltage(chemistry, Fraction(1.0)).high;
    (weak * blocks, full * blocks)
}
