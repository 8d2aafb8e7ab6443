//! The situations of a vehicle: two that are always there, then those of the record.

use std::collections::BTreeSet;
use std::collections::HashMap;

use super::build::Builder;
use super::fact::Fact;
use super::situation::{Engine, Key, Situation, SwitchUnit};
use super::vehicle::PartId;
use crate::quantity::Rpm;
use crate::read::document::{self, Fields, Value};
use crate::source::Span;

/// `parked`, `all on`, then the named ones in document order.
pub(super) fn build(builder: &Builder<'_>) -> Vec<Situation> {
    let mut all = vec![parked(&builder.switches), all_on(&builder.switches)];
    let named = builder.document.situations.iter();
    all.extend(named.map(|record| recorded(builder, record)));
    all
}

fn plain(name: &str, key: Key, engine: Engine, positions: Vec<u8>) -> Situation {
    Situation {
        name: name.to_owned(),
        key,
        engine,
        positions,
        modes: Vec::new(),
        duty: Vec::new(),
        ambient: None,
        lasts: None,
        shore: false,
        detached: BTreeSet::new(),
        at: None,
        phases: Vec::new(),
    }
}

/// Key off, everything as it is left.
fn parked(switches: &[SwitchUnit]) -> Situation {
    let positions = switches.iter().map(|unit| unit.left).collect();
    plain("parked", Key::Off, Engine::Stopped, positions)
}

/// Key in run, engine at idle, everything switched on.
fn all_on(switches: &[SwitchUnit]) -> Situation {
    let positions = switches.iter().map(|unit| unit.on).collect();
    plain("all on", Key::Run, Engine::Idle, positions)
}

fn recorded(builder: &Builder<'_>, record: &document::Situation) -> Situation {
    let fields = &record.fields;
    let whole = described(builder, &record.name.value, &[fields], record.name.at);
    let phases = fields.list("phases").iter().zip(1..);
    let phases = phases.filter_map(|(phase, number)| match phase {
        Value::Map(phase) => {
            let what = phase.text("what").map(|what| what.value.clone());
            let name = what.unwrap_or_else(|| format!("phase {number}"));
            Some(described(builder, &name, &[fields, phase], phase.at))
        }
        _ => None,
    });
    Situation {
        phases: phases.collect(),
        ..whole
    }
}

/// A situation from one set of keys on top of another; of each key the last that states it counts, switches add up.
fn described(builder: &Builder<'_>, name: &str, layers: &[&Fields], at: Span) -> Situation {
    let stating = |key: &str| {
        let layer = layers.iter().rev().find(|layer| layer.field(key).is_some());
        layer.copied().unwrap_or(layers[0])
    };
    let engine = engine(stating("engine"));
    let key = key(stating("key"), engine);
    let mut positions: Vec<u8> = builder.switches.iter().map(|unit| unit.left).collect();
    for layer in layers {
        set_positions(builder, layer, &mut positions);
    }
    Situation {
        modes: of_parts(builder, stating("modes"), "modes", |value| match value {
            Value::Text(mode) => Some(mode.value.clone()),
            _ => None,
        }),
        duty: of_parts(builder, stating("duty"), "duty", |value| match value {
            Value::Quantity(share) => share.stated().map(Fact::stated),
            _ => None,
        }),
        ambient: stating("ambient").stated("ambient").map(Fact::stated),
        lasts: stating("for").stated("for").map(Fact::stated),
        shore: stating("shore").flag("shore"),
        detached: words(stating("detached"), "detached")
            .map(str::to_owned)
            .collect(),
        at: Some(at),
        ..plain(name, key, engine, positions)
    }
}

fn words<'f>(fields: &'f Fields, key: &str) -> impl Iterator<Item = &'f str> {
    fields.list(key).iter().filter_map(|value| match value {
        Value::Text(word) => Some(word.value.as_str()),
        _ => None,
    })
}

/// Stopped where nothing is said.
fn engine(fields: &Fields) -> Engine {
    if let Some(speed) = fields.stated::<Rpm>("engine") {
        return Engine::Speed(speed.value.middle());
    }
    match fields.text("engine").map(|word| word.value.as_str()) {
        Some("idle") => Engine::Idle,
        Some("cruise") => Engine::Cruise,
        _ => Engine::Stopped,
    }
}

/// Where nothing is said: run with the engine running, else off.
fn key(fields: &Fields, engine: Engine) -> Key {
    let stated = fields.text("key");
    let named = |word: &str| Key::ALL.into_iter().find(|key| key.text() == word);
    stated
        .and_then(|word| named(&word.value))
        .unwrap_or(if engine.runs() { Key::Run } else { Key::Off })
}

/// Moves what is named, and leaves the rest.
fn set_positions(builder: &Builder<'_>, fields: &Fields, positions: &mut [u8]) {
    let units = &builder.switches;
    let numbers: HashMap<&str, usize> = (0..)
        .zip(units)
        .map(|(number, unit)| (unit.label.as_str(), number))
        .collect();
    let mut set = |label: &str, position: &dyn Fn(&SwitchUnit) -> Option<u8>| {
        let number = numbers.get(label).copied();
        let found = number.and_then(|number| Some((number, position(&units[number])?)));
        if let Some((number, position)) = found {
            positions[number] = position;
        }
    };
    for label in words(fields, "closed") {
        set(label, &|unit| Some(unit.on));
    }
    for label in words(fields, "opened") {
        set(label, &|_| Some(0));
    }
    if let Some(map) = fields.map("positions") {
        for field in &map.list {
            if let Value::Text(name) = &field.value {
                set(&field.key.value, &|unit| {
                    let found = unit.positions.iter().position(|own| *own == name.value);
                    found.map(|found| found as u8)
                });
            }
        }
    }
}

fn of_parts<T>(
    builder: &Builder<'_>,
    fields: &Fields,
    key: &str,
    read: impl Fn(&Value) -> Option<T>,
) -> Vec<(PartId, T)> {
    let Some(map) = fields.map(key) else {
        return Vec::new();
    };
    let of_part = |field: &document::Field| {
        Some((builder.part_named(&field.key.value)?, read(&field.value)?))
    };
    map.list.iter().filter_map(of_part).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    #[test]
    fn two_are_always_there() {
        let vehicle = vehicle(
            "parts:
  M: {kind: disconnect}
  S1: {kind: switch}
  S2: {kind: switch, left: closed}
  S3: {kind: switch, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  UP: {kind: feed, hot-in: run, driver-switched: true}",
        );
        let [parked, all_on] = vehicle.situations.as_slice() else {
            panic!();
        };
        assert_eq!(
            (parked.name.as_str(), parked.key, parked.engine),
            ("parked", Key::Off, Engine::Stopped)
        );
        assert_eq!(parked.positions, [1, 0, 1, 0, 0]);
        assert_eq!(
            (all_on.name.as_str(), all_on.key, all_on.engine),
            ("all on", Key::Run, Engine::Idle)
        );
        assert_eq!(all_on.positions, [1, 1, 1, 1, 1]);
    }

    #[test]
    fn a_phase_changes_what_it_states_and_keeps_the_rest() {
        let vehicle = vehicle(
            "parts:
  S1: {kind: switch}
  S2: {kind: switch}
situations:
  shift: {key: run, closed: [S1], for: 8 h, phases: [{what: drive, engine: cruise, for: 1 h},
          {engine: idle, for: 3 h, closed: [S2], opened: [S1]}]}",
        );
        let [drive, second] = vehicle.situations[2].phases.as_slice() else {
            panic!();
        };
        assert_eq!(
            (drive.name.as_str(), drive.engine),
            ("drive", Engine::Cruise)
        );
        assert_eq!(
            (drive.positions.as_slice(), drive.key),
            ([1, 0].as_slice(), Key::Run)
        );
        assert_eq!(
            (second.name.as_str(), second.engine),
            ("phase 2", Engine::Idle)
        );
        assert_eq!(second.positions, [0, 1]);
        assert_eq!(second.lasts.map(|time| time.likely.0), Some(10_800.0));
    }

    #[test]
    fn what_is_named_is_changed_and_the_rest_is_as_left() {
        let vehicle = vehicle(
            "parts:
  M: {kind: disconnect}
  S1: {kind: switch}
  S2: {kind: switch, left: closed}
  S3: {kind: switch, positions: {off: [], low: [[B, L]], high: [[B, H]]}}
  R: {kind: load, draw: 1 A, modes: {transmit: 9 A}}
  X: {kind: connector, pins: [1], detach: trailer}
situations:
  at work: {key: run, engine: 1200 rpm, closed: [S1], opened: [M, S2], positions: {S3: high}, modes: {R: transmit},
            duty: {R: 15 %}, ambient: -20 C, for: 2 h, shore: true, detached: [trailer]}
  idling: {engine: idle}
  standing: {positions: {S3: low}}",
        );
        let work = &vehicle.situations[2];
        assert_eq!(work.positions, [0, 1, 0, 2]);
        assert_eq!(work.engine, Engine::Speed(Rpm(1200.0)));
        let radio = PartId(4);
        assert_eq!(work.modes, [(radio, "transmit".to_owned())]);
        assert_eq!(work.duty[0].1.likely.0, 0.15);
        assert_eq!(work.ambient.map(|at| at.likely.0), Some(-20.0));
        assert_eq!(work.lasts.map(|time| time.likely.0), Some(7200.0));
        assert!(work.shore && work.detached.contains("trailer") && work.at.is_some());
        assert_eq!(vehicle.situations[3].key, Key::Run, "the engine runs");
        assert_eq!(vehicle.situations[4].key, Key::Off);
        assert_eq!(vehicle.situations[4].positions, [1, 0, 1, 1]);
    }
}
