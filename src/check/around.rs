//! What of a draw that is not stated can come home by a way round: over wires that lie on none of the shortest ways.
//!
//! The network cannot tell, as nothing flows in it that is not stated. A conductor can carry part of a load's return where it lies
//! on any way from the load to the chassis that passes no point twice: where, with the two joined by one more conductor, it is in
//! one loop with that one.

use super::flow;
use crate::model::walk::{Consumer, Walks};
use crate::model::{Element, Link, TerminalId, Vehicle};

/// By wire and by branch: draws that are not stated and can come home over it by a way round.
#[derive(Default)]
pub(super) struct Around {
    pub(super) wires: Vec<Vec<String>>,
    pub(super) branches: Vec<Vec<String>>,
}

impl Around {
    pub(super) fn of(vehicle: &Vehicle, walks: &Walks) -> Self {
        let mut around = Self {
            wires: vec![Vec::new(); vehicle.wires.len()],
            branches: vec![Vec::new(); vehicle.branches.len()],
        };
        for consumer in &walks.consumers {
            let Some(draw) = flow::unstated_of(vehicle, consumer) else {
                continue;
            };
            for link in in_loop(vehicle, walks, consumer) {
                match link {
                    _ if consumer.back.contains(&link) => {}
                    Link::Wire(wire) => around.wires[wire.index()].push(draw.clone()),
                    Link::Branch(branch) => around.branches[branch.index()].push(draw.clone()),
                }
            }
        }
        around
    }
}

/// A terminal on the way down, how it was come to, and its next edge.
struct Frame {
    at: usize,
    by: Option<Link>,
    next: usize,
}

/// Conductors of the returns that are in one loop with a conductor from a load's return to the chassis.
fn in_loop(vehicle: &Vehicle, walks: &Walks, consumer: &Consumer) -> Vec<Link> {
    let branch = vehicle.branch(consumer.branch);
    let Some(&start) = [branch.to, branch.from]
        .iter()
        .find(|&&end| !walks.fed(end))
    else {
        return Vec::new();
    };
    if start == TerminalId::CHASSIS {
        return Vec::new();
    }
    let near = near(vehicle, walks, start);
    // Depth first from the load's return with the chassis as its first neighbour; what is left on the pile when the chassis is
    // done with is in one loop with the conductor that was put between the two.
    let mut seen = vec![usize::MAX; near.len()];
    let mut low = seen.clone();
    let (start, home) = (start.index(), TerminalId::CHASSIS.index());
    (seen[start], low[start]) = (0, 0);
    (seen[home], low[home]) = (1, 1);
    let mut count = 2;
    let mut pile: Vec<Link> = Vec::new();
    let mut marks: Vec<usize> = vec![0];
    let mut way = vec![Frame {
        at: home,
        by: None,
        next: 0,
    }];
    while let Some(frame) = way.last_mut() {
        let at = frame.at;
        let Some(&(other, link)) = near[at].get(frame.next) else {
            let low_here = low[at];
            way.pop();
            let Some(before) = way.last() else {
                break;
            };
            let mark = marks.pop().unwrap_or_default();
            low[before.at] = low[before.at].min(low_here);
            if low_here >= seen[before.at] {
                pile.truncate(mark);
            }
            continue;
        };
        frame.next += 1;
        if frame.by == Some(link) {
            continue;
        }
        if seen[other] == usize::MAX {
            (seen[other], low[other]) = (count, count);
            count += 1;
            marks.push(pile.len());
            pile.push(link);
            way.push(Frame {
                at: other,
                by: Some(link),
                next: 0,
            });
        } else if seen[other] < seen[at] {
            pile.push(link);
            low[at] = low[at].min(seen[other]);
        }
    }
    pile
}

/// By terminal: conductors of the returns that can be come to from a terminal without passing the chassis, and their other ends.
fn near(vehicle: &Vehicle, walks: &Walks, start: TerminalId) -> Vec<Vec<(usize, Link)>> {
    let mut near: Vec<Vec<(usize, Link)>> = vec![Vec::new(); vehicle.terminals.len()];
    let mut seen = vec![false; near.len()];
    seen[start.index()] = true;
    let mut open = vec![start];
    while let Some(at) = open.pop() {
        for edge in vehicle.graph.edges(at.node()) {
            let link = *edge.weight();
            let (from, to, passes) = match link {
                Link::Wire(wire) => (vehicle.wire(wire).from, vehicle.wire(wire).to, true),
                Link::Branch(branch) => {
                    let branch = vehicle.branch(branch);
                    let passes = matches!(
                        branch.element,
                        Element::Joint(_) | Element::Contact { .. } | Element::Diode { .. }
                    );
                    (branch.from, branch.to, passes)
                }
            };
            let other = if from == at { to } else { from };
            if !passes || other == at || walks.fed(other) {
                continue;
            }
            near[at.index()].push((other.index(), link));
            if other == TerminalId::CHASSIS {
                near[other.index()].push((at.index(), link));
            } else if !seen[other.index()] {
                seen[other.index()] = true;
                open.push(other);
            }
        }
    }
    near
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    #[test]
    fn a_second_way_home_lacks_the_draw_and_a_neighbours_wire_does_not() {
        let vehicle = vehicle(
            "
parts:
  B1: {kind: battery}
  F1: {kind: fuse, rating: 10 A, form: blade}
  MOTOR: {kind: load, type: motor}
  LAMP: {kind: load, type: led, draw: 1 A}
  BLOCK: {kind: stud}
  FAR: {kind: stud}
wires:
  - {id: feed, from: B1, to: F1, size: 12 AWG, length: 1 m}
  - {id: one, from: F1, to: MOTOR, size: 12 AWG, length: 1 m}
  - {id: other, from: F1, to: LAMP, size: 12 AWG, length: 1 m}
  - {id: own, from: MOTOR, to: BLOCK, size: 12 AWG, length: 1 m}
  - {id: strap, from: BLOCK, to: chassis, size: 12 AWG, length: 1 m}
  - {id: round, from: BLOCK, to: FAR, size: 12 AWG, length: 1 m}
  - {id: home, from: FAR, to: chassis, size: 12 AWG, length: 1 m}
  - {id: lamp, from: LAMP, to: BLOCK, size: 12 AWG, length: 1 m}
",
        );
        let around = Around::of(&vehicle, &Walks::new(&vehicle));
        let lacking: Vec<&str> = vehicle
            .wires
            .iter()
            .zip(&around.wires)
            .filter(|(_, draws)| !draws.is_empty())
            .map(|(wire, _)| wire.id.as_str())
            .collect();
        assert_eq!(lacking, ["round", "home"]);
    }
}
