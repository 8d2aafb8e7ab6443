//! Two records of a vehicle held against each other: what was added, what is gone, what reads otherwise, and what that does to
//! findings, draw and load.

use std::collections::BTreeMap;

use crate::Audit;
use crate::analyze::Balance;
use crate::check::Level;
use crate::check::Reported;
use crate::model::Vehicle;
use crate::quantity::Amps;
use crate::read::document::Fields;
use crate::read::document::Point;
use crate::read::document::Value;
use crate::read::document::Wire;
use crate::source::Sources;

/// The difference of two records.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Difference {
    /// Keys under `vehicle:`.
    pub vehicle: Vec<KeyChange>,
    /// Parts by name.
    pub parts: Changes,
    /// Wires by the terminals that they join.
    pub wires: Changes,
    /// Situations by name.
    pub situations: Changes,
    /// Findings that are only in the first; what a record accepts counts as a finding too.
    pub findings_gone: Vec<Raised>,
    /// Findings that are only in the second.
    pub findings_new: Vec<Raised>,
    /// How many are in both.
    pub findings_kept: usize,
    /// Parts whose draw with the key off differs, the largest difference first.
    pub draws: Vec<Moved>,
    /// What each situation takes that has the same name in both, or nothing where it is in one only.
    pub loads: Vec<Load>,
}

/// What is in one only, and what reads otherwise.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Changes {
    /// Only in the first.
    pub gone: Vec<String>,
    /// Only in the second.
    pub new: Vec<String>,
    /// In both, with keys that read otherwise.
    pub changed: Vec<Changed>,
}

impl Changes {
    /// Whether nothing differs.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.gone.is_empty() && self.new.is_empty() && self.changed.is_empty()
    }
}

/// A thing that reads otherwise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Changed {
    /// Its name in the second.
    pub name: String,
    /// Its keys.
    pub keys: Vec<KeyChange>,
}

/// A key that reads otherwise.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct KeyChange {
    /// The key; of one within another, both with a point between.
    pub key: String,
    /// As written in the first; nothing where it is not there.
    pub before: Option<String>,
    /// As written in the second.
    pub after: Option<String>,
}

/// A finding in short.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Raised {
    /// The check.
    pub check: &'static str,
    /// Its level.
    pub level: Level,
    /// What it is about.
    pub subjects: Vec<String>,
    /// What it says.
    pub message: String,
}

/// A draw with the key off that differs.
#[derive(Clone, PartialEq, Debug)]
pub struct Moved {
    /// The part.
    pub part: String,
    /// In the first.
    pub before: Amps,
    /// In the second.
    pub after: Amps,
}

/// What a situation takes.
#[derive(Clone, PartialEq, Debug)]
pub struct Load {
    /// The situation.
    pub name: String,
    /// In the first and in the second.
    pub sides: [Option<Side>; 2],
}

/// One side of a situation.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Side {
    /// What everything takes.
    pub load: Amps,
    /// The same by duty.
    pub average: Amps,
    /// What the alternators give.
    pub alternator: Option<Amps>,
    /// Out of the battery that starts the engine; negative where it is charged.
    pub battery: Amps,
    /// Whether all draws that make it up are stated.
    pub whole: bool,
}

/// Draws that differ by less, in ampere, are the same.
const SAME: f64 = 0.5e-6;
/// So small a share of a draw is the voltage that another draw left it, not a change of the part.
const SHARE: f64 = 3e-3;

impl Difference {
    /// Holds the second against the first.
    #[must_use]
    pub fn of(before: &Audit, after: &Audit) -> Self {
        let (one, other) = (&before.vehicle.document, &after.vehicle.document);
        let (findings_gone, findings_new, findings_kept) = findings(before, after);
        Self {
            vehicle: keys(
                (&one.sources, &one.vehicle),
                (&other.sources, &other.vehicle),
            ),
            parts: parts(&before.vehicle, &after.vehicle),
            wires: wires(&before.vehicle, &after.vehicle),
            situations: situations(&before.vehicle, &after.vehicle),
            findings_gone,
            findings_new,
            findings_kept,
            draws: draws(before, after),
            loads: loads(before, after),
        }
    }
}

type Written<'a> = (&'a Sources, &'a Fields);

/// Keys that read otherwise, in the order of the second, then those that are gone.
fn keys(before: Written<'_>, after: Written<'_>) -> Vec<KeyChange> {
    let (one, other) = (flat(before), flat(after));
    let find = |list: &[(String, String)], key: &str| {
        let found = list.iter().find(|(own, _)| own == key);
        found.map(|(_, words)| words.clone())
    };
    let mut changes = Vec::new();
    for (key, words) in &other {
        let was = find(&one, key);
        if was.as_ref() != Some(words) {
            changes.push(KeyChange {
                key: key.clone(),
                before: was,
                after: Some(words.clone()),
            });
        }
    }
    for (key, words) in one {
        if find(&other, &key).is_none() {
            changes.push(KeyChange {
                key,
                before: Some(words),
                after: None,
            });
        }
    }
    changes
}

/// Every key with its value as written, those of maps by both names.
fn flat((sources, fields): Written<'_>) -> Vec<(String, String)> {
    let mut all = Vec::new();
    for field in &fields.list {
        let key = &field.key.value;
        match &field.value {
            Value::Map(map) => {
                let inner = flat((sources, map)).into_iter();
                all.extend(inner.map(|(inner, words)| (format!("{key}.{inner}"), words)));
            }
            value => all.push((key.clone(), words(sources, value))),
        }
    }
    all
}

fn words(sources: &Sources, value: &Value) -> String {
    let written = sources.slice(value.at());
    written.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn parts(before: &Vehicle, after: &Vehicle) -> Changes {
    let mut changes = Changes::default();
    let (one, other) = (&before.document, &after.document);
    for part in &one.parts {
        if other.part_index(&part.name.value).is_none() {
            changes.gone.push(part.name.value.clone());
        }
    }
    for part in &other.parts {
        let name = &part.name.value;
        let Some(index) = one.part_index(name) else {
            changes.new.push(name.clone());
            continue;
        };
        let was = &one.parts[index.0 as usize];
        let mut differ = Vec::new();
        if was.kind.value != part.kind.value {
            differ.push(KeyChange {
                key: "kind".to_owned(),
                before: Some(was.kind.value.text().to_owned()),
                after: Some(part.kind.value.text().to_owned()),
            });
        }
        differ.extend(keys(
            (&one.sources, &was.fields),
            (&other.sources, &part.fields),
        ));
        if !differ.is_empty() {
            changes.changed.push(Changed {
                name: name.clone(),
                keys: differ,
            });
        }
    }
    changes
}

/// A terminal as any record names it.
fn label(vehicle: &Vehicle, point: &Point) -> String {
    match point {
        Point::Chassis => "chassis".to_owned(),
        Point::Terminal(part, terminal) => {
            let part = &vehicle.document.parts[part.0 as usize];
            match part.terminals.get(*terminal as usize) {
                Some(name) if !name.is_empty() => format!("{}.{name}", part.name.value),
                _ => part.name.value.clone(),
            }
        }
    }
}

/// Both ends, in an order of their own: a wire that is written the other way round is the same.
fn ends(vehicle: &Vehicle, wire: &Wire) -> [String; 2] {
    let mut ends = [&wire.from, &wire.to].map(|end| label(vehicle, &end.point));
    ends.sort();
    ends
}

/// `w3 from F1.out to WORK`.
fn called(vehicle: &Vehicle, wire: &Wire) -> String {
    let [from, to] = [&wire.from, &wire.to].map(|end| label(vehicle, &end.point));
    format!("{} from {from} to {to}", wire.id)
}

/// Wires have numbers that move when one is added: they are known by what they join, several between the same two in their
/// order.
fn wires(before: &Vehicle, after: &Vehicle) -> Changes {
    let mut known: BTreeMap<[String; 2], Vec<&Wire>> = BTreeMap::new();
    for wire in before.document.wires.iter().rev() {
        known.entry(ends(before, wire)).or_default().push(wire);
    }
    let mut changes = Changes::default();
    for wire in &after.document.wires {
        let was = known.get_mut(&ends(after, wire)).and_then(Vec::pop);
        let Some(was) = was else {
            changes.new.push(called(after, wire));
            continue;
        };
        let differ = keys(
            (&before.document.sources, &was.fields),
            (&after.document.sources, &wire.fields),
        );
        if !differ.is_empty() {
            changes.changed.push(Changed {
                name: called(after, wire),
                keys: differ,
            });
        }
    }
    let left = |wire: &&Wire| {
        let same = known.get(&ends(before, wire));
        same.is_some_and(|left| left.iter().any(|one| std::ptr::eq(*one, *wire)))
    };
    let gone = before.document.wires.iter().filter(left);
    changes.gone = gone.map(|wire| called(before, wire)).collect();
    changes
}

fn situations(before: &Vehicle, after: &Vehicle) -> Changes {
    let mut changes = Changes::default();
    let (one, other) = (&before.document, &after.document);
    let name = |situation: &crate::read::document::Situation| situation.name.value.clone();
    let known: Vec<String> = other.situations.iter().map(name).collect();
    let gone = one.situations.iter().map(name);
    changes.gone = gone.filter(|name| !known.contains(name)).collect();
    for situation in &other.situations {
        let mut all = one.situations.iter();
        let Some(was) = all.find(|was| was.name.value == situation.name.value) else {
            changes.new.push(name(situation));
            continue;
        };
        let differ = keys(
            (&one.sources, &was.fields),
            (&other.sources, &situation.fields),
        );
        if !differ.is_empty() {
            changes.changed.push(Changed {
                name: name(situation),
                keys: differ,
            });
        }
    }
    changes
}

/// What a finding is about, with wires by what they join.
fn about(vehicle: &Vehicle, reported: &Reported) -> (&'static str, Level, Vec<String>) {
    let finding = &reported.finding;
    let parts = finding
        .parts
        .iter()
        .map(|&part| vehicle.part(part).name.value.clone());
    let wires = finding.wires.iter().map(|&wire| {
        let wire = vehicle.wire(wire);
        let mut ends = [wire.from, wire.to].map(|end| vehicle.terminal(end).label.clone());
        ends.sort();
        ends.join(" to ")
    });
    // The one at fault is named first; what else is near it may change.
    let first: Vec<String> = parts.chain(wires).take(1).collect();
    (reported.check.name, reported.level, first)
}

fn findings(before: &Audit, after: &Audit) -> (Vec<Raised>, Vec<Raised>, usize) {
    let mut known: Vec<_> = before
        .report
        .findings
        .iter()
        .map(|reported| (about(&before.vehicle, reported), reported))
        .collect();
    let mut new = Vec::new();
    let mut kept = 0;
    for reported in &after.report.findings {
        let own = about(&after.vehicle, reported);
        match known.iter().position(|(other, _)| *other == own) {
            Some(at) => {
                known.remove(at);
                kept += 1;
            }
            None => new.push(raised(&after.vehicle, reported)),
        }
    }
    let gone = known.into_iter();
    let gone = gone.map(|(_, reported)| raised(&before.vehicle, reported));
    (gone.collect(), new, kept)
}

fn raised(vehicle: &Vehicle, reported: &Reported) -> Raised {
    let finding = &reported.finding;
    let parts = finding
        .parts
        .iter()
        .map(|&part| vehicle.part(part).name.value.clone());
    let wires = finding
        .wires
        .iter()
        .map(|&wire| vehicle.wire(wire).id.clone());
    Raised {
        check: reported.check.name,
        level: reported.level,
        subjects: parts.chain(wires).collect(),
        message: finding.message.clone(),
    }
}

fn draws(before: &Audit, after: &Audit) -> Vec<Moved> {
    let mut by_part: BTreeMap<String, [f64; 2]> = BTreeMap::new();
    for (side, audit) in [before, after].into_iter().enumerate() {
        let as_left = audit
            .solved
            .key_off
            .by_part
            .iter()
            .filter(|draw| draw.only_if.is_none());
        for draw in as_left {
            let name = audit.vehicle.part(draw.part).name.value.clone();
            by_part.entry(name).or_default()[side] += draw.current.0;
        }
    }
    let mut moved: Vec<Moved> = by_part
        .into_iter()
        .filter(|(_, [before, after])| {
            let least = SAME.max(SHARE * before.abs().max(after.abs()));
            (after - before).abs() > least
        })
        .map(|(part, [before, after])| Moved {
            part,
            before: Amps(before),
            after: Amps(after),
        })
        .collect();
    let size = |moved: &Moved| (moved.after.0 - moved.before.0).abs();
    moved.sort_by(|a, b| {
        size(b)
            .total_cmp(&size(a))
            .then_with(|| a.part.cmp(&b.part))
    });
    moved
}

fn loads(before: &Audit, after: &Audit) -> Vec<Load> {
    let mut loads: Vec<Load> = Vec::new();
    for (number, audit) in [before, after].into_iter().enumerate() {
        for (situation, solution) in &audit.solved.situations {
            let balance = Balance::of(&audit.vehicle, situation, solution);
            let starter = balance.starter(&audit.vehicle);
            let side = Side {
                load: balance.load,
                average: balance.average,
                alternator: balance.alternator,
                battery: starter.map_or(Amps::default(), |flow| flow.current),
                whole: balance.missing.is_empty(),
            };
            match loads.iter_mut().find(|load| load.name == situation.name) {
                Some(load) => load.sides[number] = Some(side),
                None => {
                    let mut sides = [None, None];
                    sides[number] = Some(side);
                    loads.push(Load {
                        name: situation.name.clone(),
                        sides,
                    });
                }
            }
        }
    }
    loads
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read;

    fn audit(text: &str) -> Audit {
        let read = read::read(
            "t.yaml",
            text.as_bytes(),
            &mut |_| Err(String::new()),
            &read::Limits::default(),
        );
        crate::audit(read.unwrap_or_else(|fault| panic!("{:#?}", fault.problems)))
    }

    const ONE: &str = "keyoff: 1
vehicle: {system: 12 V, climate: {parked: 0 C}}
parts:
  B1: {kind: battery, capacity: 70 Ah}
  F1: {kind: fuse, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 2 A}
  CUT: {kind: stub, end: bare}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m]}
  - {from: F1, to: CUT, size: 18 AWG}
situations:
  night: {key: run}
";

    #[test]
    fn a_record_differs_from_itself_in_nothing() {
        let one = audit(ONE);
        let same = Difference::of(&one, &one);
        assert!(same.parts.is_empty() && same.wires.is_empty() && same.situations.is_empty());
        assert!(same.vehicle.is_empty() && same.draws.is_empty());
        assert!(same.findings_gone.is_empty() && same.findings_new.is_empty());
        assert!(same.findings_kept > 0);
    }

    #[test]
    fn parts_wires_findings_draw_and_load() {
        let text = ONE
            .replace("parked: 0 C", "parked: -5 C")
            .replace("rating: 10 A", "rating: 15 A")
            .replace("  CUT: {kind: stub, end: bare}\n", "  S1: {kind: switch}\n")
            .replace(
                "[B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m]",
                "[B1, F1, S1, LAMP], size: 12 AWG, lengths: [10 cm, 2 m, 1 m]",
            )
            .replace("  - {from: F1, to: CUT, size: 18 AWG}\n", "")
            .replace("night: {key: run}", "night: {key: run, closed: [S1]}");
        let difference = Difference::of(&audit(ONE), &audit(&text));
        assert_eq!(difference.vehicle[0].key, "climate.parked");
        assert_eq!(difference.parts.gone, ["CUT"]);
        assert_eq!(difference.parts.new, ["S1"]);
        assert_eq!(difference.parts.changed[0].name, "F1");
        assert_eq!(
            difference.parts.changed[0].keys,
            [KeyChange {
                key: "rating".to_owned(),
                before: Some("10 A".to_owned()),
                after: Some("15 A".to_owned()),
            }]
        );
        assert_eq!(
            difference.wires.gone,
            ["w2 from F1.out to LAMP.+", "w3 from F1.out to CUT"]
        );
        assert_eq!(
            difference.wires.new,
            ["w2 from F1.out to S1.in", "w3 from S1.out to LAMP.+"]
        );
        assert_eq!(difference.wires.changed[0].name, "w1 from B1.+ to F1.in");
        assert_eq!(difference.situations.changed[0].keys[0].key, "closed");
        let gone = |raised: &Raised| raised.check == "live-stub";
        assert!(difference.findings_gone.iter().any(gone));
        assert!(!difference.findings_new.iter().any(gone));
        assert_eq!(difference.draws.len(), 1);
        let lamp = &difference.draws[0];
        assert!(lamp.part == "LAMP" && lamp.before.0 > 1.5 && lamp.after.0 < 1e-9);
        assert_eq!(difference.loads.len(), 3);
    }

    #[test]
    fn a_part_of_another_kind_and_a_situation_more_are_told_and_the_other_way_round() {
        let text = ONE
            .replace(
                "F1: {kind: fuse, rating: 10 A}",
                "F1: {kind: breaker, rating: 10 A, reset: manual}",
            )
            .replace("night: {key: run}", "night: {key: run}\n  day: {key: run}");
        let (one, other) = (audit(ONE), audit(&text));
        let there = Difference::of(&one, &other);
        let told = |difference: &Difference| {
            let changed = &difference.parts.changed[0];
            let keys = changed.keys.iter().map(|one| {
                let of = |value: &Option<String>| value.clone().unwrap_or_default();
                [one.key.clone(), of(&one.before), of(&one.after)]
            });
            (changed.name.clone(), keys.collect::<Vec<_>>())
        };
        let changed = |keys: [[&str; 3]; 2]| {
            let keys = keys.map(|key| key.map(str::to_owned));
            ("F1".to_owned(), keys.to_vec())
        };
        assert_eq!(
            told(&there),
            changed([["kind", "fuse", "breaker"], ["reset", "", "manual"]])
        );
        assert_eq!(there.situations.new, ["day"]);
        let back = Difference::of(&other, &one);
        assert_eq!(
            told(&back),
            changed([["kind", "breaker", "fuse"], ["reset", "manual", ""]])
        );
        assert_eq!(back.situations.gone, ["day"]);
    }
}
