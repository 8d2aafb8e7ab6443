//! A reading without its wait, temperature or range.

use crate::analyze::reading;
use crate::analyze::reading::Shown;
use crate::analyze::reading::Taken;
use crate::check::prelude::*;
use crate::model::Basis;
use crate::model::Key;
use crate::model::PartId;
use crate::read::document::Fields;
use crate::read::document::Value;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "conditions-missing",
        level: Level::Note,
        harm: Harm::Record,
        summary: "a reading of which nobody can tell later under what conditions it was taken",
        page: include_str!("../../../docs/checks/conditions-missing.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let readings = reading::readings(context.vehicle);
    let document = &context.vehicle.document;
    let mut said = Said::default();
    readings
        .iter()
        .zip(&document.readings)
        .filter_map(|(taken, written)| {
            said.waited(taken);
            let part = subject(context, taken)?;
            Some(one(context, taken, &written.fields, &mut said, part))
        })
        .collect()
}

/// What readings before one have said or were told to lack: it holds for those that follow.
#[derive(Default)]
struct Said {
    temperature: bool,
    asleep: bool,
    meter: bool,
}

impl Said {
    /// Modules sleep once; the key and a fuse that is put back wake them.
    fn waited(&mut self, taken: &Taken) {
        let still = self.asleep && taken.refitted.is_empty();
        self.asleep = taken.key == Key::Off && (still || taken.after.is_some());
    }
}

/// Only the draw with the key off depends on waits and temperature.
fn subject(context: &Context<'_>, taken: &Taken) -> Option<PartId> {
    if taken.key != Key::Off {
        return None;
    }
    match taken.shown {
        Shown::Battery(part, _) | Shown::Across(part, _) => Some(part),
        Shown::Wire(..) => context.vehicle.starter,
        Shown::At(..) | Shown::Nothing => None,
    }
}

fn one(
    context: &Context<'_>,
    taken: &Taken,
    fields: &Fields,
    said: &mut Said,
    part: PartId,
) -> Verdict {
    let unknown = |key: &str| matches!(fields.get(key), Some(Value::Unknown(_)));
    let mut missing: Vec<(&str, &str)> = Vec::new();
    let mut not_known: Vec<String> = Vec::new();
    let mut lack = |key: &'static str, words: &'static str| {
        if unknown(key) {
            not_known.push(format!("readings[{}].{key}", taken.number));
        } else {
            missing.push((key, words));
        }
    };
    if !said.asleep {
        lack("after", "how long was waited (`after: 40 min`)");
    }
    said.asleep = true;
    let stated = matches!(context.vehicle.climate.parked.basis, Basis::Stated(..));
    let here = fields.quantity("ambient").is_some();
    if !said.temperature && !stated && !here {
        lack(
            "ambient",
            "how cold it was (`ambient: -5 C`, or the climate's `parked`)",
        );
    }
    said.temperature = true;
    if !taken.meter.resolution && !said.meter {
        lack(
            "meter",
            "the last digit of the meter on its range (`meter: {resolution: 1 mA}`)",
        );
    }
    said.meter = true;
    if !missing.is_empty() {
        let words: Vec<&str> = missing.iter().map(|&(_, words)| words).collect();
        return Finding::new(
            taken.at,
            format!(
                "reading {} does not say {}",
                taken.number,
                words::list(&words, 3)
            ),
        )
        .label("under which conditions?")
        .part(part)
        .help("add it while somebody remembers: without it nobody can compare this reading with a later one")
        .source("service procedures for draw tests: wait, temperature and meter are part of the reading (read)")
        .shown();
    }
    if not_known.is_empty() {
        Verdict::NoneShown
    } else {
        Gap::of(not_known).part(part).shown()
    }
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {current: 20 mA, meter: {resolution: 1 mA}}
",
            "B1",
        ),
        // Told once of the cold and the meter, and again of the wait where a fuse went back.
        (
            "
vehicle: {name: a truck, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 20 mA}
  - {pulled: F1, current: 20 mA}
  - {refitted: F1, current: 20 mA}
",
            "B1",
        ),
        // A fuse went back, and the key was on, before what was read next.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 20 mA, meter: {resolution: 1 mA}}
  - {pulled: F1}
  - {refitted: F1}
  - {current: 20 mA}
  - {key: run, after: 1 min, current: 20.1 A}
  - {current: 20 mA}
  - {current: 20 mA}
",
            "B1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 5 A, form: blade}
readings:
  - {after: 40 min, current: 20 mA, meter: {resolution: 1 mA}}
  - {pulled: F1, current: 20 mA}
",
        "
vehicle: {name: a truck, system: 12 V, own-load: {off: 10 mA, run: 20 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 40 min, ambient: 12 C, current: 20 mA, meter: {resolution: 1 mA}}
",
        // It slept before another reading was taken.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: 40 min, at: B1.+, voltage: 12.62 V}
  - {current: 20 mA, meter: {resolution: 1 mA}}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
readings:
  - {after: unknown, current: 20 mA, meter: {resolution: 1 mA}}
",
        "readings[1].after",
    )],
};
