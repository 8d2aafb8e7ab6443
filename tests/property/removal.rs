//! Laws of taking parts out, on random vehicles: nothing that is shared is cut, no live end, dead load or missing return comes
//! about that the plan does not name, and the record afterwards is what the plan says.

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::sync::Arc;

use keyoff::Audit;
use keyoff::advise::removal;
use keyoff::advise::removal::Plan;
use keyoff::check::Report;
use keyoff::model::Key;
use keyoff::model::Link;
use keyoff::model::PartId;
use keyoff::model::TerminalId;
use keyoff::model::Vehicle;
use keyoff::model::walk::Walks;
use keyoff::read::document::Kind;
use keyoff::read::document::PartIndex;
use keyoff::read::edit;
use keyoff::read::edit::Stand;
use keyoff::read::edit::TakeOut;

use crate::random_vehicle;
use crate::random_vehicle::Dice;
use crate::small_vehicle;
use crate::sound_vehicle;

fn document(text: &str) -> keyoff::read::document::Document {
    keyoff::read::read(
        "case.yaml",
        text.as_bytes(),
        &mut |_| Err("no library here".to_owned()),
        &keyoff::read::Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}\n{text}", fault.problems))
}

fn read(text: &str) -> Vehicle {
    keyoff::model::build(Arc::new(document(text)))
}

/// A vehicle from its record, solved; the checks are left out, they say nothing about what is asked here.
fn solved(text: &str) -> Audit {
    let vehicle = read(text);
    Audit {
        solved: keyoff::analyze::analyze(&vehicle),
        report: Report {
            findings: Vec::new(),
            gaps: Vec::new(),
            checked: 0,
            ampacities: Vec::new(),
        },
        vehicle,
    }
}

/// Some parts of the record; never the battery that starts the engine.
fn some(vehicle: &Vehicle, dice: &mut Dice) -> BTreeSet<PartId> {
    let count = vehicle.document.parts.len();
    let picks = 1 + dice.below(3);
    (0..picks)
        .map(|_| PartId(dice.below(count) as u32))
        .filter(|&part| Some(part) != vehicle.starter)
        .collect()
}

/// Consumers by part and name: whether they take current in any setting, and whether current finds a way to them and home.
fn consumers(audit: &Audit) -> BTreeMap<(String, String), (bool, bool, bool)> {
    let walks = Walks::new(&audit.vehicle);
    let mut found = BTreeMap::new();
    for consumer in &walks.consumers {
        let inside = audit.vehicle.branch(consumer.branch);
        let name = audit.vehicle.part(inside.part).name.value.clone();
        let most = &audit.solved.explored.branches[consumer.branch.index()];
        // Between two grounds a little flows through what is not fed at all.
        let terminals = &audit.solved.explored.terminals;
        let live = [inside.from, inside.to]
            .iter()
            .any(|end| terminals[end.index()].ever.is_some());
        found.insert(
            (name, inside.name.clone()),
            (
                live && most.value.0.abs() > 1e-6,
                !consumer.sources.is_empty(),
                consumer.comes_home,
            ),
        );
    }
    found
}

/// Bare ends that are live, with the positions of the key; counted from the record's wires alone.
fn live_ends(audit: &Audit) -> BTreeMap<String, [bool; Key::ALL.len()]> {
    let vehicle = &audit.vehicle;
    let mut found = BTreeMap::new();
    for (id, terminal) in (0..).map(TerminalId).zip(&vehicle.terminals) {
        let Some(part) = terminal.part else { continue };
        let stub = vehicle.part(part).kind == Kind::Stub;
        let joined = vehicle
            .graph
            .edges(id.node())
            .any(|edge| match *edge.weight() {
                Link::Wire(_) => !stub,
                Link::Branch(branch) => vehicle.branch(branch).part != part,
            });
        let by_key = audit.solved.explored.terminals[id.index()].by_key;
        if !joined && by_key.contains(&true) {
            found.insert(terminal.label.clone(), by_key);
        }
    }
    found
}

fn granted(audit: &Audit) -> BTreeSet<String> {
    let wires = audit.vehicle.wires.iter().filter(|wire| wire.assumed);
    wires.map(|wire| wire.id.clone()).collect()
}

/// The record without the parts alone: every wire is left, and those that met on a terminal still meet.
fn parts_alone(audit: &Audit, parts: &BTreeSet<PartId>) -> Audit {
    let document = &audit.vehicle.document;
    let mut take = TakeOut {
        parts: parts.iter().map(|part| PartIndex(part.0)).collect(),
        ..TakeOut::default()
    };
    for wire in &document.wires {
        for end in [&wire.from, &wire.to] {
            if let keyoff::read::document::Point::Terminal(part, terminal) = end.point
                && take.parts.contains(&part)
            {
                let kind = document.parts[part.0 as usize].kind.value;
                let stand = Stand {
                    name: format!("was-{}-{terminal}", part.0),
                    kind: if kind == Kind::Ground {
                        "ground"
                    } else {
                        "splice"
                    },
                    keys: String::new(),
                };
                take.stands.insert((part, terminal), stand);
            }
        }
    }
    let text = edit::without(document, &take).unwrap_or_else(|problems| panic!("{problems:#?}"));
    solved(&text)
}

fn holds(
    seed: u64,
    record: &str,
    before: &Audit,
    parts: &BTreeSet<PartId>,
) -> Option<(Plan, Audit)> {
    let about = || {
        let names: Vec<&str> = parts
            .iter()
            .map(|&part| before.vehicle.part(part).name.value.as_str())
            .collect();
        format!("seed {seed}, without {names:?}\n{record}")
    };
    let plan = match removal::plan(before.clone(), parts) {
        Ok(plan) => plan,
        Err(removal::Refused::Words { message, help }) => {
            assert!(!message.is_empty() && !help.is_empty());
            return None;
        }
        Err(removal::Refused::Text(_, problems)) => panic!("{problems:#?}\n{}", about()),
    };
    // The record that is written is the one that was judged.
    let judged = &plan.after.vehicle.document.sources.texts()[0];
    assert_eq!(judged.text(), plan.text);
    let vehicle = &plan.before.vehicle;
    let dead: BTreeSet<(String, String)> = plan
        .goes_dead
        .iter()
        .map(|dead| {
            let name = vehicle.part(dead.part).name.value.clone();
            (name, dead.within.clone())
        })
        .collect();
    let removed: BTreeSet<&str> = parts
        .iter()
        .map(|&part| vehicle.part(part).name.value.as_str())
        .collect();
    let was = consumers(&plan.before);
    let is = consumers(&plan.after);
    let bare = parts_alone(&plan.before, parts);
    let alone = consumers(&bare);
    for (name, (ran, fed, home)) in &was {
        if removed.contains(name.0.as_str()) {
            continue;
        }
        let (runs, feeds, homes) = is[name];
        if *ran && !runs {
            assert!(
                dead.contains(name),
                "{name:?} goes dead unnamed: {}",
                about()
            );
        }
        if *fed && *home && feeds && !homes {
            assert!(
                dead.contains(name),
                "{name:?} has no way home, unnamed: {}",
                about()
            );
        }
        // What still works with the parts gone and every wire left is not cut off by taking wires out.
        let (left, ..) = alone[name];
        assert!(
            runs || !left,
            "a wire that {name:?} shares is cut: {}",
            about()
        );
    }
    let known = live_ends(&plan.before);
    let named: BTreeMap<&str, [bool; 4]> = plan
        .live_ends
        .iter()
        .map(|end| (end.at.as_str(), end.hot_in))
        .collect();
    for (label, by_key) in live_ends(&plan.after) {
        let before = known.get(&label).copied().unwrap_or_default();
        let new = by_key
            .iter()
            .zip(before)
            .any(|(now, before)| *now && !before);
        if new {
            assert_eq!(
                named.get(label.as_str()),
                Some(&by_key),
                "{label}: {}",
                about()
            );
        }
    }
    let taken: Vec<String> = granted(&plan.after)
        .difference(&granted(&plan.before))
        .cloned()
        .collect();
    assert!(
        taken.is_empty(),
        "taken for granted anew: {taken:?} {}",
        about()
    );
    assert!(!plan.steps.is_empty());
    // A wire that nobody wrote down, on what goes, is told.
    for wire in vehicle.wires.iter().filter(|wire| wire.assumed) {
        let goes = |at: TerminalId| {
            vehicle
                .terminal(at)
                .part
                .is_some_and(|part| parts.contains(&part))
        };
        let ends = [wire.from, wire.to];
        if !ends.contains(&TerminalId::CHASSIS) && goes(wire.from) != goes(wire.to) {
            let mut told = plan.unrecorded.iter();
            assert!(
                told.any(|told| ends.iter().all(|end| told.contains(end))),
                "{}: {}",
                wire.id,
                about()
            );
        }
    }
    Some((plan, bare))
}

/// The minimum: nothing that works with the parts alone gone stops working but what is behind a fuse that was named, and no end
/// is live that is not named.
fn least_holds(seed: u64, plan: &Plan, alone: &Audit) -> removal::Least {
    let least = removal::least(plan).expect("a minimum beside a plan");
    let vehicle = &plan.before.vehicle;
    let names: BTreeSet<&str> = plan
        .remove
        .iter()
        .map(|&part| vehicle.part(part).name.value.as_str())
        .collect();
    let named_fuse = least.pull.iter().any(|part| plan.remove.contains(part));
    let then = Audit {
        vehicle: least.vehicle.clone(),
        solved: least.solved.clone(),
        report: alone.report.clone(),
    };
    let about = || format!("seed {seed}, the minimum without {names:?}");
    let is = consumers(&then);
    for (name, (left, ..)) in consumers(alone) {
        if !named_fuse && left {
            let runs = is.get(&name).is_none_or(|(runs, ..)| *runs);
            assert!(runs, "{name:?} is cut off: {}", about());
        }
    }
    let known = live_ends(&plan.before);
    let named: BTreeMap<&str, [bool; 4]> = least
        .live_ends
        .iter()
        .map(|end| (end.at.as_str(), end.hot_in))
        .collect();
    for (label, by_key) in live_ends(&then) {
        let before = known.get(&label).copied().unwrap_or_default();
        let mut both = by_key.iter().zip(before);
        if both.any(|(now, before)| *now && !before) {
            assert_eq!(named.get(label.as_str()), Some(&by_key), "{}", about());
        }
    }
    assert!(least.live_ends.len() <= least.live_if_only_unplugged.max(plan.live_ends.len()));
    least
}

/// Small vehicles, and of each several removals: what is solved once for all of them is the vehicle before.
#[test]
fn what_a_removal_does_is_named() {
    let (mut tried, mut planned, mut dead, mut ends, mut shared) = (0, 0, 0, 0, 0);
    let (mut lifted, mut pulled) = (0, 0);
    for seed in 0..VEHICLES {
        let record = small_vehicle::record(seed);
        let before = solved(&record);
        let mut dice = Dice::new(seed ^ 0x07A6);
        let mut seen: BTreeSet<BTreeSet<PartId>> = BTreeSet::new();
        for turn in 0..EACH {
            let parts = some(&before.vehicle, &mut dice);
            if parts.is_empty() || !seen.insert(parts.clone()) {
                continue;
            }
            tried += 1;
            let Some((plan, alone)) = holds(seed, &record, &before, &parts) else {
                continue;
            };
            planned += 1;
            dead += plan.goes_dead.len();
            ends += plan.live_ends.len();
            shared += plan.places.len();
            if turn == 0 {
                let least = least_holds(seed, &plan, &alone);
                lifted += least.lift.len();
                pulled += least.pull.len();
            }
        }
    }
    assert!(
        tried >= 200 && planned * 4 > tried * 3 && dead > 0 && ends > 0 && shared > 0,
        "{tried} tried, {planned} plans, {dead} dead, {ends} ends, {shared} places: too little was tried"
    );
    assert!(lifted > 0 && pulled > 0, "{lifted} lifted, {pulled} pulled");
}

/// Large vehicles with every kind of part, a few.
#[test]
fn what_a_removal_from_a_large_vehicle_does_is_named() {
    let mut planned = 0;
    for seed in 0..LARGE {
        let record = random_vehicle::record(seed);
        let before = solved(&record);
        let parts = some(&before.vehicle, &mut Dice::new(seed ^ 0x07A6));
        if !parts.is_empty() && holds(seed, &record, &before, &parts).is_some() {
            planned += 1;
        }
    }
    assert!(planned > LARGE / 2);
}

/// Small vehicles.
const VEHICLES: u64 = 60;
/// Removals tried of each.
const EACH: usize = 4;
/// Large ones.
const LARGE: u64 = 6;

/// A whole circuit taken out of a sound vehicle leaves a sound vehicle, and nothing of it.
#[test]
fn a_circuit_comes_out_of_a_sound_vehicle_whole() {
    let mut tried = 0;
    for seed in 0..30 {
        let record = sound_vehicle::record(seed);
        let before = read(&record);
        if before.document.part_index("L1").is_none() {
            continue;
        }
        let circuit = ["L0", "F0", "R0", "S0", "K0"];
        let parts: BTreeSet<PartId> = circuit
            .iter()
            .filter_map(|name| before.document.part_index(name))
            .map(|index| PartId(index.0))
            .collect();
        let (plan, _) = holds(seed, &record, &solved(&record), &parts).expect("a plan");
        let raised: Vec<&str> = plan
            .after
            .report
            .findings
            .iter()
            .filter(|one| one.level > keyoff::check::Level::Note)
            .map(|one| one.finding.message.as_str())
            .collect();
        assert!(raised.is_empty(), "seed {seed}: {raised:?}\n{}", plan.text);
        assert!(plan.goes_dead.is_empty() && plan.live_ends.is_empty() && plan.places.is_empty());
        for name in circuit {
            let words = [format!("[{name}"), format!(" {name},"), format!(" {name}.")];
            assert!(
                !words.iter().any(|word| plan.text.contains(word)),
                "{name}: {}",
                plan.text
            );
        }
        tried += 1;
    }
    assert!(tried > 10);
}
