//! Two records held against each other in the shape of format 1.

use super::audit::document;
use super::audit::level;
use super::number;
use super::side::side;
use super::v1;
use crate::Audit;
use crate::advise::compare;
use crate::advise::compare::Difference;

/// The whole difference.
#[must_use]
pub fn compare(before: &Audit, after: &Audit, difference: &Difference) -> v1::Compare {
    v1::Compare {
        format: v1::FORMAT,
        a: document(&before.vehicle),
        b: document(&after.vehicle),
        vehicle: keys(&difference.vehicle),
        parts: changes(&difference.parts),
        wires: changes(&difference.wires),
        situations: changes(&difference.situations),
        findings: v1::FindingChanges {
            only_a: difference.findings_gone.iter().map(raised).collect(),
            only_b: difference.findings_new.iter().map(raised).collect(),
            both: difference.findings_kept,
        },
        draws: difference
            .draws
            .iter()
            .map(|moved| v1::DrawChange {
                part: moved.part.clone(),
                a_a: number(moved.before.0),
                b_a: number(moved.after.0),
            })
            .collect(),
        loads: difference
            .loads
            .iter()
            .map(|load| v1::LoadChange {
                name: load.name.clone(),
                a: load.sides[0].map(load_side),
                b: load.sides[1].map(load_side),
            })
            .collect(),
        before: side(before),
        after: side(after),
    }
}

fn changes(changes: &compare::Changes) -> v1::Changes {
    v1::Changes {
        only_a: changes.gone.clone(),
        only_b: changes.new.clone(),
        changed: changes
            .changed
            .iter()
            .map(|changed| v1::Changed {
                name: changed.name.clone(),
                keys: keys(&changed.keys),
            })
            .collect(),
    }
}

fn keys(keys: &[compare::KeyChange]) -> Vec<v1::KeyChange> {
    let change = |change: &compare::KeyChange| v1::KeyChange {
        key: change.key.clone(),
        a: change.before.clone(),
        b: change.after.clone(),
    };
    keys.iter().map(change).collect()
}

fn raised(raised: &compare::Raised) -> v1::Raised {
    v1::Raised {
        check: raised.check.to_owned(),
        level: level(raised.level),
        subjects: raised.subjects.clone(),
        message: raised.message.clone(),
    }
}

fn load_side(side: compare::Side) -> v1::LoadSide {
    v1::LoadSide {
        load_a: number(side.load.0),
        average_a: number(side.average.0),
        alternator_a: side.alternator.map(|amps| number(amps.0)),
        battery_a: number(side.battery.0),
        whole: side.whole,
    }
}
