//! What was left behind: ends, stubs, parts that nobody needs any more.

pub(super) mod abandoned_left;
pub(super) mod abandoned_live;
pub(super) mod carries_factory_circuit;
pub(super) mod coil_control_stub;
pub(super) mod dead_stub;
pub(super) mod fuse_feeds_nothing;
pub(super) mod live_stub;
pub(super) mod loose_end;
pub(super) mod surplus_return;
pub(super) mod switch_does_nothing;
pub(super) mod unconnected_part;
pub(super) mod unknown_live;

use super::context::Context;
use super::finding::Gap;
use super::rule::Verdict;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Status;
use crate::model::TerminalId;
use crate::model::WireId;
use crate::source::Span;

/// When a terminal is live.
#[derive(Clone, Debug)]
enum Live {
    /// With the key off, as the vehicle is left.
    Parked,
    /// With the key off, in this setting.
    KeyOff(Setting),
    /// In this setting.
    Sometimes(Setting),
    /// In no setting that was looked at.
    Never,
}

fn live(context: &Context<'_>, terminal: TerminalId) -> Live {
    let Some(seen) = context.solved.explored.terminals.get(terminal.index()) else {
        return Live::Never;
    };
    if seen.parked {
        Live::Parked
    } else if let Some(setting) = &seen.key_off {
        Live::KeyOff(Setting::clone(setting))
    } else if let Some(setting) = &seen.ever {
        Live::Sometimes(Setting::clone(setting))
    } else {
        Live::Never
    }
}

impl Live {
    /// `at all times`, `with the key in run`: how it is said.
    fn words(&self) -> String {
        match self {
            Self::Parked => "with the key off".to_owned(),
            Self::KeyOff(setting) => {
                format!("with the key off{}", super::words::left(setting))
            }
            Self::Sometimes(setting) => {
                let key = setting.key.map_or_else(
                    || "with the key on".to_owned(),
                    |key| format!("with the key in {}", key.text()),
                );
                format!("{key}{}", super::words::when(setting))
            }
            Self::Never => "never".to_owned(),
        }
    }

    fn setting(&self) -> Setting {
        match self {
            Self::Parked | Self::Never => Setting::default(),
            Self::KeyOff(setting) | Self::Sometimes(setting) => setting.clone(),
        }
    }
}

/// A part or wire of one status, as leftovers are told.
struct Left {
    part: Option<PartId>,
    wires: Vec<WireId>,
    name: String,
    at: Span,
    terminals: Vec<TerminalId>,
}

/// Parts of a status that have a wire on them, and wires of it that lead to no such part; in document order.
fn of_status(context: &Context<'_>, status: Status) -> Vec<Left> {
    let is = |part: PartId| context.vehicle.part(part).status == status;
    let mut found = Vec::new();
    for (id, part) in context.parts().filter(|&(id, _)| is(id)) {
        let terminals: Vec<TerminalId> = part
            .terminals
            .iter()
            .copied()
            .filter(|&at| !context.landing(at).is_empty() || context.joined_inside(id, at))
            .collect();
        if !terminals.is_empty() {
            found.push(Left {
                part: Some(id),
                wires: terminals
                    .iter()
                    .flat_map(|&at| context.landing(at))
                    .collect(),
                name: super::words::called(part),
                at: part.name.at,
                terminals,
            });
        }
    }
    for (id, wire) in context.wires().filter(|(_, wire)| wire.status == status) {
        let ends = [wire.from, wire.to];
        let told = ends
            .iter()
            .any(|&end| context.vehicle.terminal(end).part.is_some_and(is));
        if !told {
            found.push(Left {
                part: None,
                wires: vec![id],
                name: wire.id.clone(),
                at: context.wire_from(id),
                terminals: ends.to_vec(),
            });
        }
    }
    found
}

impl Left {
    /// When any of its terminals is live, the worst of them.
    fn live(&self, context: &Context<'_>) -> Live {
        self.terminals
            .iter()
            .map(|&terminal| live(context, terminal))
            .min_by_key(Live::rank)
            .unwrap_or(Live::Never)
    }

    /// It was never seen live, but not every setting was looked at.
    fn not_explored(&self, context: &Context<'_>) -> Verdict {
        let mut gap = Gap::of([context.not_explored()]);
        gap.parts.extend(self.part);
        gap.wires.extend(&self.wires);
        Verdict::CannotJudge(gap)
    }
}

impl Live {
    const fn rank(&self) -> u8 {
        match self {
            Self::Parked => 0,
            Self::KeyOff(_) => 1,
            Self::Sometimes(_) => 2,
            Self::Never => 3,
        }
    }
}

/// More switches than can be looked at in every combination, so that a dead end may yet be live in some.
#[cfg(test)]
const MANY_SWITCHES: &str = "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  RUN: {kind: feed, hot-in: [run], rating: 10 A, limit: 10 A}
  A: {kind: splice}
  B: {kind: splice}
  LAMP: {kind: load, type: led, draw: 1 A}
  OLD: {kind: stub, end: bare}
  BOX: {kind: load, type: electronics, status: abandoned}
  RACK: {kind: load, type: electronics, status: unknown}
  S1: {kind: switch, rating: 10 A}
  S2: {kind: switch, rating: 10 A}
  S3: {kind: switch, rating: 10 A}
  S4: {kind: switch, rating: 10 A}
  S5: {kind: switch, rating: 10 A}
  S6: {kind: switch, rating: 10 A}
  S7: {kind: switch, rating: 10 A}
  S8: {kind: switch, rating: 10 A}
  S9: {kind: switch, rating: 10 A}
  S10: {kind: switch, rating: 10 A}
  S11: {kind: switch, rating: 10 A}
  S12: {kind: switch, rating: 10 A}
  S13: {kind: switch, rating: 10 A}
  S14: {kind: switch, rating: 10 A}
wires:
  - {from: RUN, to: A, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: B, to: LAMP, size: 14 AWG, length: 1 m, insulation: gxl}
  - {from: OLD, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: BOX, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {from: RACK, to: chassis, size: 14 AWG, length: 2 m, insulation: gxl}
  - {run: [A, S1, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S2, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S3, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S4, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S5, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S6, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S7, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S8, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S9, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S10, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S11, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S12, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S13, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [A, S14, B], size: 14 AWG, lengths: [1 m, 1 m], insulation: gxl}
";
