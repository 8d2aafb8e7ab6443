//! The network of one state as a netlist for a circuit simulator, with the sources in the ways that the solution found
//! them. Covers what [`super::vehicle::vehicle`] writes; a part outside that stops the measurement.

use std::fmt::Write as _;

use keyoff::model::{BranchId, Element, Law, TerminalId, Vehicle, WireId};
use keyoff::quantity::Ohms;
use keyoff::solve::{Solution, Way};

/// Stands for a joint without resistance, in ohm.
const JOINT: f64 = 1e-6;

/// The netlist: one operating point, one voltage printed.
#[must_use]
pub fn netlist(vehicle: &Vehicle, solution: &Solution) -> String {
    let mut deck = format!("* {}\n.options rshunt=1e12\n", vehicle.name);
    let node = |terminal: TerminalId| terminal.0.to_string();
    let ohms = |value: f64| if value > 0.0 { value } else { JOINT };
    for number in 0..vehicle.wires.len() {
        let wire = vehicle.wire(WireId(number as u32));
        let at_work = |ohms: Ohms| wire.ohms_at(ohms, wire.ambient.likely).0;
        let value = wire
            .resistance
            .as_ref()
            .map_or(0.0, |fact| at_work(fact.likely))
            + wire
                .landing
                .iter()
                .flatten()
                .map(|half| half.likely.0)
                .sum::<f64>();
        let _ = writeln!(
            deck,
            "RW{number} {} {} {:e}",
            node(wire.from),
            node(wire.to),
            ohms(value)
        );
    }
    for (number, branch) in vehicle.branches.iter().enumerate() {
        let (from, to) = (node(branch.from), node(branch.to));
        let id = BranchId(number as u32);
        let way = solution
            .ways
            .iter()
            .find(|(of, _)| *of == id)
            .map(|(_, way)| *way);
        let line = match &branch.element {
            Element::Joint(fact) => format!("RB{number} {from} {to} {:e}", ohms(fact.likely.0)),
            Element::Contact { .. } if !solution.closed[number] => continue,
            Element::Contact { ohms: fact, .. } => {
                format!("RB{number} {from} {to} {:e}", ohms(fact.likely.0))
            }
            Element::Coil { ohms: fact, .. } => {
                format!("RB{number} {from} {to} {:e}", fact.likely.0)
            }
            Element::Cell {
                rest, ohms: fact, ..
            } => match way {
                Some(Way::ChargeLimit) => {
                    format!("IB{number} {from} {to} {:e}", solution.branch(id).0)
                }
                _ => format!(
                    "VB{number} m{number} {from} {:e}\nRB{number} m{number} {to} {:e}",
                    rest.likely.0,
                    ohms(fact.likely.0)
                ),
            },
            Element::Alternator { volts, .. } => match way {
                Some(Way::Holding) => format!("VB{number} {to} {from} {:e}", volts.likely.0),
                Some(Way::AtLimit) => format!("IB{number} {from} {to} {:e}", solution.branch(id).0),
                _ => continue,
            },
            Element::Load(load) => match &load.law {
                None => continue,
                Some(Law::Resistance(fact)) => {
                    format!("RB{number} {from} {to} {:e}", fact.likely.0)
                }
                Some(Law::Current(fact)) => format!("IB{number} {from} {to} {:e}", fact.likely.0),
                Some(Law::Power(fact)) => {
                    format!(
                        "BB{number} {from} {to} I={:e}/max(V({from},{to}),0.1)",
                        fact.likely.0
                    )
                }
                Some(Law::Filament(fact)) => format!(
                    "BB{number} {from} {to} I={:e}*pwr(max(V({from},{to})/{:e},0.01),0.55)",
                    fact.likely.0, load.rated.likely.0
                ),
            },
            // The two would no longer be of the same network: no figure is better than a wrong one.
            other => panic!(
                "the generated vehicles hold none of these, and the netlist does not write them: {other:?}"
            ),
        };
        deck.push_str(&line);
        deck.push('\n');
    }
    deck.push_str(".save v(1)\n.op\n.end\n");
    deck
}
