//! The vehicle as a circuit: every wire and every branch an element between two terminals, the chassis as reference.
//!
//! The structure holds for all states; a state only decides which contacts conduct, what loads take and which sources give.

use crate::model::element::{CoilRole, Control, Element, HotIn, Load};
use crate::model::fact::Fact;
use crate::model::{BranchId, Key, PartId, TerminalId, Vehicle, Wire};
use crate::quantity::Seconds;
use crate::read::document::Kind;

use super::device::{Draw, IDEAL, Piecewise, output};
use super::linear::Elimination;
use super::newton::Newton;
use super::sets::Sets;
use super::{Memory, State};

/// Forward drop of a suppression diode, in volt. Silicon; common practice, no source.
const SUPPRESSION_DROP: f64 = 0.7;
/// Resistance of a conducting suppression diode, in ohm. Common practice, no source.
const SUPPRESSION_OHMS: f64 = 0.05;

/// A suppression diode that would take more than this is none any more: it burns, or a fuse opens ahead of it. In ampere, well
/// above what such a diode carries for long. Common practice, no source.
const SUPPRESSION_MOST: f64 = 5.0;

/// The structure of a vehicle's circuit.
pub(super) struct Network<'v> {
    pub vehicle: &'v Vehicle,
    /// Of each element: where positive current flows from and to, as nodes.
    pub ends: Vec<(u32, u32)>,
    /// Of each element: its slot in the conductance matrix.
    pub slots: Vec<u32>,
    pub elimination: Elimination,
    /// Elements that always conduct, with their conductance.
    pub fixed: Vec<(u32, f64)>,
    /// Sum of the fixed conductances, by slot.
    pub base: Vec<f64>,
    pub contacts: Vec<Contact<'v>>,
    pub loads: Vec<Site<'v>>,
    pub pieces: Vec<PieceSite<'v>>,
    pub converters: Vec<Converter>,
    /// Suppression diodes and the coils that they stand across the other way round.
    pub suppressors: Vec<Suppressor>,
    pub deciders: Vec<Decider>,
    /// Of each node: the lowest of those that what always conducts joins it to.
    pub joined: Vec<u32>,
}

/// A diode across a coil.
pub(super) struct Suppressor {
    pub element: u32,
    /// Its place among the pieces.
    pub piece: u32,
    /// The element of the coil.
    pub coil: u32,
}

/// A conductor that something opens and closes.
pub(super) struct Contact<'v> {
    pub element: u32,
    pub conductance: f64,
    pub control: &'v Control,
}

/// A user of current: of the record, or a converter's input.
pub(super) struct Site<'v> {
    pub element: u32,
    pub part: PartId,
    /// Nothing for a converter's input.
    pub load: Option<&'v Load>,
    /// Draws when connected the wrong way round too.
    pub both_ways: bool,
}

/// A source or diode.
pub(super) struct PieceSite<'v> {
    pub element: u32,
    pub branch: Option<BranchId>,
    pub part: PartId,
    kind: PieceKind<'v>,
}

enum PieceKind<'v> {
    Cell,
    Alternator,
    Charger(&'v Control),
    Converter,
    Diode,
}

/// A converter ties what it takes to what it gives.
pub(super) struct Converter {
    /// Index into `pieces`.
    pub source: u32,
    /// Index into `loads`.
    pub input: u32,
    pub efficiency: f64,
    pub standby: f64,
    /// Least voltage at its input.
    pub least: f64,
}

/// What moves a part that remembers.
pub(super) struct Decider {
    pub part: PartId,
    pub rule: Rule,
}

/// How it decides, from solved voltages.
pub(super) enum Rule {
    /// A coil holds it in.
    Coil {
        ends: (u32, u32),
        pull_in: f64,
        drop_out: f64,
    },
    /// Two coils put it in and out.
    Latch { set: Vec<Pull>, reset: Vec<Pull> },
    /// In while the voltage is high; each pair of points is looked at and the highest counts.
    Level {
        points: Vec<(u32, u32)>,
        rises: f64,
        falls: f64,
    },
}

/// A coil of a latching relay: where, and from which voltage it acts.
pub(super) struct Pull {
    pub ends: (u32, u32),
    pub pull_in: f64,
}

impl<'v> Network<'v> {
    pub(super) fn new(vehicle: &'v Vehicle) -> Self {
        let mut ends: Vec<(u32, u32)> = Vec::new();
        let mut fixed = Vec::new();
        for (at, wire) in vehicle.wires.iter().enumerate() {
            ends.push((wire.from.0, wire.to.0));
            fixed.push((at as u32, 1.0 / ohms_of(wire)));
        }
        let first_branch = ends.len();
        ends.extend(
            vehicle
                .branches
                .iter()
                .map(|branch| (branch.from.0, branch.to.0)),
        );
        let mut this = Self {
            vehicle,
            ends,
            slots: Vec::new(),
            elimination: Elimination::new(1, &[], &[]).0,
            fixed,
            base: Vec::new(),
            contacts: Vec::new(),
            loads: Vec::new(),
            pieces: Vec::new(),
            converters: Vec::new(),
            suppressors: Vec::new(),
            deciders: Vec::new(),
            joined: Vec::new(),
        };
        for at in 0..vehicle.branches.len() {
            this.add_branch(BranchId(at as u32), (first_branch + at) as u32);
        }
        let laws = this.loads.iter().map(|site| site.element);
        let laws = laws.chain(this.pieces.iter().map(|site| site.element));
        let asked: Vec<u32> = laws
            .flat_map(|element| <[u32; 2]>::from(this.ends[element as usize]))
            .collect();
        let nodes = vehicle.terminals.len().max(1);
        let (elimination, slots) = Elimination::new(nodes, &this.ends, &asked);
        this.base = vec![0.0; elimination.slots()];
        for &(element, conductance) in &this.fixed {
            this.base[slots[element as usize] as usize] += conductance;
        }
        this.slots = slots;
        this.elimination = elimination;
        this.deciders = deciders(vehicle);
        let mut sets = Sets::new(nodes);
        for &(element, conductance) in &this.fixed {
            if conductance > 0.0 {
                let (a, b) = this.ends[element as usize];
                sets.join(a, b);
            }
        }
        this.joined = (0..nodes as u32).map(|node| sets.lead(node)).collect();
        this
    }

    fn add_branch(&mut self, id: BranchId, element: u32) {
        let vehicle = self.vehicle;
        let branch = vehicle.branch(id);
        let part = branch.part;
        let ends = (branch.from.0, branch.to.0);
        let mut piece = |kind| {
            self.pieces.push(PieceSite {
                element,
                branch: Some(id),
                part,
                kind,
            });
        };
        match &branch.element {
            Element::Joint(ohms) => self.fixed.push((element, siemens(ohms.likely.0))),
            Element::Coil { ohms, diode, .. } => {
                self.fixed.push((element, siemens(ohms.likely.0)));
                if *diode {
                    let coil = element;
                    let element = self.add_element((ends.1, ends.0));
                    self.suppressors.push(Suppressor {
                        element,
                        piece: self.pieces.len() as u32,
                        coil,
                    });
                    self.pieces.push(PieceSite {
                        element,
                        branch: None,
                        part,
                        kind: PieceKind::Diode,
                    });
                }
            }
            Element::Contact { ohms, control } => self.contacts.push(Contact {
                element,
                conductance: siemens(ohms.likely.0),
                control,
            }),
            Element::Load(load) => {
                let kind = vehicle.part(part).fields.text("type");
                let both_ways =
                    kind.is_some_and(|kind| matches!(kind.value.as_str(), "motor" | "starter"));
                self.loads.push(Site {
                    element,
                    part,
                    load: Some(load),
                    both_ways,
                });
            }
            Element::Cell { .. } => piece(PieceKind::Cell),
            Element::Alternator { .. } => piece(PieceKind::Alternator),
            Element::Charger { control, .. } => piece(PieceKind::Charger(control)),
            Element::Diode { .. } => piece(PieceKind::Diode),
            Element::Converter {
                back,
                efficiency,
                standby,
                ..
            } => {
                piece(PieceKind::Converter);
                // The branch's own element is the output side; the input is one more.
                self.ends[element as usize] = (back.0, ends.1);
                let input = self.add_element((ends.0, back.0));
                self.converters.push(Converter {
                    source: self.pieces.len() as u32 - 1,
                    input: self.loads.len() as u32,
                    efficiency: efficiency.likely.0.clamp(0.01, 1.0),
                    standby: standby.likely.0.max(0.0),
                    least: half(vehicle),
                });
                self.loads.push(Site {
                    element: input,
                    part,
                    load: None,
                    both_ways: false,
                });
            }
        }
    }

    fn add_element(&mut self, ends: (u32, u32)) -> u32 {
        self.ends.push(ends);
        self.ends.len() as u32 - 1
    }

    /// Element of a branch.
    pub(super) fn element(&self, branch: BranchId) -> usize {
        self.vehicle.wires.len() + branch.index()
    }

    /// What a load takes in a state.
    pub(super) fn draw(&self, site: &Site<'v>, state: &State) -> Draw {
        let Some(load) = site.load else {
            return Draw::NOTHING;
        };
        let chosen = state
            .modes
            .iter()
            .filter(|(part, _)| *part == site.part)
            .find_map(|(_, mode)| load.modes.iter().find(|(name, _)| name == mode));
        if let Some((_, law)) = chosen {
            return Draw::new(load, Some(*law), site.both_ways);
        }
        if state.key == Key::Off {
            if state.settled {
                if let Some(parked) = load.parked {
                    return Draw::current(load, parked, site.both_ways);
                }
            } else if let Some((awake, lasts)) = load.settles {
                if state.elapsed < lasts.likely {
                    return Draw::current(load, awake, site.both_ways);
                }
                if let Some(parked) = load.parked {
                    return Draw::current(load, parked, site.both_ways);
                }
            } else if let (Some(parked), true) = (load.parked, state.elapsed > Seconds::ZERO) {
                return Draw::current(load, parked, site.both_ways);
            }
        }
        Draw::new(load, load.law, site.both_ways)
    }

    /// Takes out what suppression diodes do not stand; whether there were any.
    pub(super) fn burns(&self, newton: &Newton, burnt: &mut Vec<(u32, f64)>) -> bool {
        let before = burnt.len();
        for diode in &self.suppressors {
            let (from, to) = self.ends[diode.element as usize];
            let volts = newton.volts[from as usize] - newton.volts[to as usize];
            let piece = diode.piece as usize;
            let amps = newton.pieces[piece]
                .line(newton.ways[piece], volts)
                .at(volts);
            if amps > SUPPRESSION_MOST {
                burnt.push((diode.coil, amps));
            }
        }
        burnt.len() > before
    }

    /// What a source or diode is in a state.
    pub(super) fn piece(&self, site: &PieceSite<'v>, state: &State, memory: &Memory) -> Piecewise {
        let Some(branch) = site.branch else {
            return Piecewise::diode(SUPPRESSION_DROP, SUPPRESSION_OHMS);
        };
        match &self.vehicle.branch(branch).element {
            Element::Cell {
                rest,
                ohms,
                charge_limit,
            } => Piecewise::Cell {
                rest: state
                    .rest
                    .iter()
                    .find(|&&(cell, _)| cell == branch)
                    .map_or(rest.likely.0, |&(_, volts)| volts.0),
                ohms: ohms.likely.0.max(IDEAL),
                limit: charge_limit.map_or(f64::INFINITY, |limit| limit.likely.0.max(0.0)),
            },
            Element::Alternator { volts, output: of } => Piecewise::Source {
                volts: volts.likely.0,
                limit: output(of, state.engine),
                on: state.engine.runs(),
            },
            Element::Charger { volts, limit, .. } => Piecewise::Source {
                volts: volts.likely.0,
                limit: limit.map_or(f64::INFINITY, |limit| limit.likely.0.max(0.0)),
                on: match site.kind {
                    PieceKind::Charger(control) => self.closed(control, state, memory),
                    _ => false,
                },
            },
            Element::Converter { volts, limit, .. } => Piecewise::Source {
                volts: volts.likely.0,
                limit: limit.map_or(f64::INFINITY, |limit| limit.likely.0.max(0.0)),
                on: memory.0[site.part.index()],
            },
            Element::Diode { drop, ohms } => Piecewise::diode(drop.likely.0, ohms.likely.0),
            _ => Piecewise::diode(0.0, 0.0),
        }
    }

    /// Whether it can drive current by itself.
    pub(super) const fn is_source(site: &PieceSite<'v>) -> bool {
        !matches!(site.kind, PieceKind::Diode)
    }

    /// Whether what is moved by a control is closed.
    pub(super) fn closed(&self, control: &Control, state: &State, memory: &Memory) -> bool {
        let on = |unit: &Option<u32>| {
            unit.is_none_or(|unit| {
                state
                    .positions
                    .get(unit as usize)
                    .is_some_and(|&at| at != 0)
            })
        };
        let hot = |hot: &HotIn| hot.live(state.key, state.engine, state.shore);
        let just_off = state.key == Key::Off && !state.settled;
        let still = |lasts: Fact<Seconds>| just_off && state.elapsed < lasts.likely;
        let remembers = |part: &PartId| memory.0[part.index()];
        match control {
            Control::Always => true,
            Control::Switch { unit, closed_in } => state
                .positions
                .get(*unit as usize)
                .is_some_and(|at| closed_in.contains(at)),
            Control::Relay { relay, when_in } => remembers(relay) == *when_in,
            Control::Hot {
                hot: when,
                stays_on,
                unit,
            } => on(unit) && (hot(when) || stays_on.is_some_and(still)),
            Control::Delay { keeps_on, part } => {
                let timed = match state.key {
                    Key::Accessory | Key::Run => true,
                    Key::Off => keeps_on.is_some_and(still),
                    // What is fed by the accessory terminal is dropped while the engine is cranked.
                    Key::Start => false,
                };
                timed && remembers(part)
            }
            Control::Cutoff { part, .. } | Control::Isolator { part, .. } => remembers(part),
            Control::Output {
                part,
                hot: when,
                unit,
            } => remembers(part) && on(unit) && hot(when),
            Control::Attached(group) => !state.detached.contains(group),
        }
    }
}

/// Conductance of a resistance; nothing of it is an ideal joint.
fn siemens(ohms: f64) -> f64 {
    1.0 / ohms.max(IDEAL)
}

/// Half of the system's voltage: below it nothing that must be powered works.
fn half(vehicle: &Vehicle) -> f64 {
    vehicle.system.likely.0 / 2.0
}

/// Resistance of a wire at the temperature around it, with its share of the joints that it lands on, in ohm.
fn ohms_of(wire: &Wire) -> f64 {
    let copper = wire
        .resistance
        .map_or(0.0, |ohms| wire.ohms_at(ohms.likely, wire.ambient.likely).0);
    let landing: f64 = wire
        .landing
        .iter()
        .flatten()
        .map(|ohms| ohms.likely.0)
        .sum();
    (copper + landing).max(IDEAL)
}

/// Everything that remembers, in the order of the parts.
fn deciders(vehicle: &Vehicle) -> Vec<Decider> {
    let mut all = Vec::new();
    for part in vehicle.part_ids() {
        let branches = || {
            let own = &vehicle.part(part).branches;
            own.iter().map(|&id| vehicle.branch(id))
        };
        let mut hold: Option<Rule> = None;
        let (mut set, mut reset) = (Vec::new(), Vec::new());
        for branch in branches() {
            let ends = (branch.from.0, branch.to.0);
            match &branch.element {
                Element::Coil {
                    pull_in,
                    drop_out,
                    role,
                    ..
                } => {
                    let pull_in = pull_in.likely.0;
                    match role {
                        CoilRole::Hold => {
                            hold = Some(Rule::Coil {
                                ends,
                                pull_in,
                                drop_out: drop_out.likely.0,
                            });
                        }
                        CoilRole::Set => set.push(Pull { ends, pull_in }),
                        CoilRole::Reset => reset.push(Pull { ends, pull_in }),
                    }
                }
                Element::Converter { back, .. } => {
                    hold = Some(powered(vec![(branch.from.0, back.0)], half(vehicle)));
                }
                Element::Contact { control, .. } => match control {
                    Control::Cutoff { opens, closes, .. } => {
                        hold = Some(Rule::Level {
                            points: vec![(branch.from.0, minus(vehicle, part))],
                            rises: closes.likely.0,
                            falls: opens.likely.0,
                        });
                    }
                    Control::Isolator { opens, closes, .. } => {
                        let back = minus(vehicle, part);
                        hold = Some(Rule::Level {
                            points: vec![(branch.from.0, back), (branch.to.0, back)],
                            rises: closes.likely.0,
                            falls: opens.likely.0,
                        });
                    }
                    Control::Delay { .. } | Control::Output { .. } if hold.is_none() => {
                        hold = Some(supplied(vehicle, part, branch.from));
                    }
                    _ => {}
                },
                _ => {}
            }
        }
        if vehicle.part(part).kind == Kind::Controller && hold.is_none() {
            continue;
        }
        if !set.is_empty() || !reset.is_empty() {
            hold = Some(Rule::Latch { set, reset });
        }
        all.extend(hold.map(|rule| Decider { part, rule }));
    }
    all
}

fn powered(points: Vec<(u32, u32)>, least: f64) -> Rule {
    Rule::Level {
        points,
        rises: least,
        falls: least,
    }
}

/// In while any of the part's own supplies has the voltage it needs.
fn supplied(vehicle: &Vehicle, part: PartId, otherwise: TerminalId) -> Rule {
    let own = vehicle.part(part).branches.iter();
    let mut least = half(vehicle);
    let mut points = Vec::new();
    for branch in own.map(|&id| vehicle.branch(id)) {
        if let Element::Load(load) = &branch.element {
            points.push((branch.from.0, branch.to.0));
            least = load.min_voltage.likely.0;
        }
    }
    if points.is_empty() {
        points.push((otherwise.0, TerminalId::CHASSIS.0));
    }
    powered(points, least)
}

/// The return of a part's own draw, else the chassis.
fn minus(vehicle: &Vehicle, part: PartId) -> u32 {
    let mut own = vehicle.part(part).branches.iter();
    let found = own.find_map(|&id| {
        let branch = vehicle.branch(id);
        matches!(branch.element, Element::Load(_)).then_some(branch.to)
    });
    found.unwrap_or(TerminalId::CHASSIS).0
}
