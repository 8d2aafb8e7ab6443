//! The symbol of each part, and the side of each of its terminals.

use super::Gatherer;
use crate::draw::net::{Across, Symbol};
use crate::draw::pass::Side;
use crate::draw::words;
use crate::model::{Part, PartId, TerminalId};
use crate::read::document::{Kind, Value};

impl Gatherer<'_> {
    pub(super) fn symbol(&self, id: PartId) -> Symbol {
        let part = self.vehicle.part(id);
        let home = |index: usize| {
            part.terminals
                .get(index)
                .is_some_and(|&end| self.flow.home(end))
        };
        match part.kind {
            Kind::Battery => Symbol::Battery,
            Kind::Alternator => Symbol::Alternator,
            Kind::Charger => Symbol::Charger,
            Kind::Feed => Symbol::Feed(words::heat(&part.fields)),
            Kind::Fuse => Symbol::Fuse,
            Kind::FusibleLink => Symbol::FusibleLink,
            Kind::Breaker => Symbol::Breaker,
            Kind::Switch if part.fields.map("positions").is_none() => Symbol::Switch {
                momentary: part.fields.flag("momentary"),
            },
            Kind::Disconnect => Symbol::Disconnect,
            Kind::Diode => Symbol::Diode { back: false },
            // One of diode style passes one way only.
            Kind::Isolator
                if part
                    .fields
                    .text("style")
                    .is_some_and(|style| style.value == "diode") =>
            {
                Symbol::Diode { back: false }
            }
            Kind::Isolator => Symbol::Isolator,
            Kind::Relay => Symbol::Relay {
                across: match part
                    .fields
                    .text("suppression")
                    .map(|word| word.value.as_str())
                {
                    Some("resistor") => Across::Resistor,
                    Some("diode") => Across::Diode,
                    _ => Across::Nothing,
                },
            },
            Kind::Load => Symbol::Load(words::glyph(&part.fields)),
            Kind::Connector => Symbol::Connector,
            Kind::Splice if home(0) => Symbol::Home,
            Kind::Stud if home(0) => Symbol::Home,
            Kind::Busbar if home(0) => Symbol::Home,
            Kind::Splice => Symbol::Splice,
            Kind::Stud => Symbol::Stud,
            Kind::Busbar => Symbol::Busbar,
            Kind::Ground => Symbol::GroundPoint,
            Kind::Stub => Symbol::Stub,
            Kind::KeySwitch
            | Kind::Switch
            | Kind::Controller
            | Kind::Delay
            | Kind::Cutoff
            | Kind::Converter => Symbol::Unit,
        }
    }

    /// The side of each terminal of a part: what is nearer to a source is on the left.
    pub(super) fn sides(&self, id: PartId) -> Vec<Side> {
        let part = self.vehicle.part(id);
        let depth = |name: &str| {
            part.terminals
                .iter()
                .filter(|&&end| {
                    self.vehicle.terminal(end).name == name && !self.landed[end.index()].is_empty()
                })
                .map(|&end| self.flow.depth(end))
                .min()
        };
        let later = |a: Option<u32>, b: Option<u32>| matches!((a, b), (Some(a), Some(b)) if a > b);
        let turned = match part.kind {
            Kind::Fuse
            | Kind::Breaker
            | Kind::FusibleLink
            | Kind::Disconnect
            | Kind::Switch
            | Kind::Diode
            | Kind::Delay
            | Kind::Cutoff
            | Kind::Converter => match (self.charged(part, "in"), self.charged(part, "out")) {
                (false, true) => true,
                (true, false) => false,
                _ => later(depth("in"), depth("out")),
            },
            Kind::Isolator => later(depth("a"), depth("b")),
            Kind::Relay => later(depth("30"), {
                let ends = [depth("87"), depth("87a")];
                ends.into_iter().flatten().min()
            }),
            Kind::Connector => self.connector_turned(part),
            _ => false,
        };
        let coil_turned = part.kind == Kind::Relay && {
            let home = |name: &str| {
                part.terminals
                    .iter()
                    .any(|&end| self.vehicle.terminal(end).name == name && self.flow.home(end))
            };
            home("86") && !home("85") || (!home("85") && later(depth("86"), depth("85")))
        };
        let flip = |side: Side, turned: bool| match (side, turned) {
            (Side::West, true) => Side::East,
            (Side::East, true) => Side::West,
            (side, false) => side,
        };
        part.terminals
            .iter()
            .map(|&end| {
                let name = self.vehicle.terminal(end).name.as_str();
                match (part.kind, name) {
                    (Kind::Battery | Kind::Alternator | Kind::Charger, "+") => Side::East,
                    (Kind::Battery | Kind::Alternator | Kind::Charger, _) => Side::West,
                    (Kind::Feed, _) => Side::East,
                    (Kind::KeySwitch, "30") => Side::West,
                    (Kind::KeySwitch, _) => Side::East,
                    (Kind::Relay, "86" | "set" | "reset") => flip(Side::West, coil_turned),
                    (Kind::Relay, "85") => flip(Side::East, coil_turned),
                    (Kind::Relay, "30") => flip(Side::West, turned),
                    (Kind::Relay, _) => flip(Side::East, turned),
                    (Kind::Load, "-") => Side::East,
                    (Kind::Load, _) => Side::West,
                    (Kind::Controller, name) => self.controller_side(id, name, end),
                    (Kind::Connector, name) if name.ends_with(".b") => flip(Side::East, turned),
                    (Kind::Connector, _) => flip(Side::West, turned),
                    (Kind::Isolator, "b") => flip(Side::East, turned),
                    (Kind::Isolator, _) => flip(Side::West, turned),
                    (Kind::Switch, _) if part.fields.map("positions").is_some() => {
                        self.position_side(end)
                    }
                    (Kind::Stub, _) => Side::West,
                    (_, "out") => flip(Side::East, turned),
                    (_, "-") => Side::East,
                    _ => flip(Side::West, turned),
                }
            })
            .collect()
    }

    /// Whether a terminal is wired to what charges: current comes from there, however near a battery is.
    fn charged(&self, part: &Part, name: &str) -> bool {
        let own = |end: &&TerminalId| self.vehicle.terminal(**end).name == name;
        let mut wires = part.terminals.iter().filter(own).flat_map(|&end| {
            let landed = &self.landed[end.index()];
            landed.iter().map(move |&wire| self.other(wire, end))
        });
        wires.any(|other| {
            matches!(self.kind(other), Some(Kind::Alternator | Kind::Charger))
                && self.vehicle.terminal(other).name == "+"
        })
    }

    fn controller_side(&self, id: PartId, name: &str, end: TerminalId) -> Side {
        let fields = &self.vehicle.part(id).fields;
        let output = fields.map("outputs").and_then(|outputs| outputs.get(name));
        let low = match output {
            Some(Value::Map(output)) => output.text("side").is_some_and(|side| side.value == "low"),
            _ => false,
        };
        match output {
            Some(_) if low => Side::West,
            Some(_) => Side::East,
            None if name == "-" && !self.flow.home(end) => Side::East,
            None => Side::West,
        }
    }

    /// A terminal of a switch with positions: on the left when its wires come from the source.
    fn position_side(&self, end: TerminalId) -> Side {
        let wires = &self.landed[end.index()];
        if wires.iter().any(|&wire| self.feeds(wire, end)) {
            Side::West
        } else {
            Side::East
        }
    }

    /// Whether most pins of a connector are fed from their `b` side.
    fn connector_turned(&self, part: &Part) -> bool {
        let mut votes = 0_i64;
        for pair in part.terminals.chunks(2) {
            if let [a, b] = pair
                && !self.flow.home(*a)
                && !self.flow.home(*b)
            {
                votes += match self.flow.depth(*a).cmp(&self.flow.depth(*b)) {
                    std::cmp::Ordering::Less => -1,
                    std::cmp::Ordering::Equal => 0,
                    std::cmp::Ordering::Greater => 1,
                };
            }
        }
        votes > 0
    }
}
