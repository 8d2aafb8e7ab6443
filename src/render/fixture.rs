//! A small vehicle with figures and findings made up by hand, so that what is printed about them stays put.

use std::sync::Arc;

use crate::analyze::Draw;
use crate::analyze::Explored;
use crate::analyze::KeyOff;
use crate::analyze::Solved;
use crate::analyze::joined::Joined;
use crate::analyze::sample::Uncertain;
use crate::check::Accepted;
use crate::check::Cause;
use crate::check::Finding;
use crate::check::Gap;
use crate::check::Harm;
use crate::check::Level;
use crate::check::Measure;
use crate::check::Meta;
use crate::check::Report;
use crate::check::Reported;
use crate::model;
use crate::model::Element;
use crate::model::Key;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::TerminalId;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::quantity::Seconds;
use crate::quantity::Volts;
use crate::read;
use crate::read::Limits;
use crate::solve::Solution;
use crate::solve::state::Memory;
use crate::source::FileId;
use crate::source::Span;

const TEXT: &str = "\
keyoff: 1
vehicle: {name: Test <truck>, system: 12 V, own-load: {off: 18 mA (measured), run: 30 A}}
library: shelf.yaml
parts:
  B1:   {kind: battery, chemistry: flooded, capacity: 75 Ah (label), cold-cranking: 750 A}
  ALT:  {kind: alternator, rated: 180 A, at-idle: 90 A}
  F1:   {kind: fuse, rating: 30 A, form: blade}
  K1:   {kind: relay, coil: 90 ohm, contact: 40 A}
  S2:   {kind: switch, rating: 10 A, left: open}
  WORK: {use: lamp}
wires:
  - {run: [B1, F1, K1.30], size: 14 AWG, lengths: [20 cm, 1.5 m], insulation: gxl}
  - {from: K1.87, to: WORK, size: 14 AWG, length: unknown}
  - {run: [B1, S2, K1.86], size: 18 AWG, lengths: [1 m, 2 m], insulation: gxl}
accept:
  - {check: lamp-glows, part: WORK, because: it has to}
";

const SHELF: &str =
    "keyoff: 1\nlibrary:\n  lamp: {kind: load, type: led, what: four lamps, draw: 14 A}\n";

const FUSE: Meta = Meta {
    name: "fuse-too-large",
    level: Level::Error,
    harm: Harm::Fire,
    summary: "a fuse above what its wire carries",
    page: "# fuse-too-large\n\nA page.\n",
};

const LEFT: Meta = Meta {
    name: "left-on",
    level: Level::Warning,
    harm: Harm::Stranded,
    summary: "draws when left on",
    page: "# left-on\n\nA page.\n",
};

const GLOWS: Meta = Meta {
    name: "lamp-glows",
    level: Level::Note,
    harm: Harm::Nuisance,
    summary: "a lamp that glows",
    page: "# lamp-glows\n\nA page.\n",
};

pub(crate) static METAS: [Meta; 3] = [FUSE, LEFT, GLOWS];

/// The vehicle, its figures and its findings.
pub(crate) fn audit() -> (Vehicle, Solved, Report) {
    let mut shelf = |_: &str| Ok(SHELF.as_bytes().to_vec());
    let document = read::read(
        "truck.yaml",
        TEXT.as_bytes(),
        &mut shelf,
        &Limits::default(),
    )
    .unwrap();
    let vehicle = model::build(Arc::new(document));
    let solved = solved(&vehicle);
    let report = report(&vehicle);
    (vehicle, solved, report)
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle
        .part_ids()
        .find(|id| vehicle.part(*id).name.value == name)
        .unwrap()
}

fn words(file: u16, text: &str, from: &str, words: &str) -> Span {
    let start = text.find(from).unwrap();
    let start = start + text[start..].find(words).unwrap();
    Span::new(FileId(file), start as u32, (start + words.len()) as u32)
}

/// 12.5 V at every terminal but the chassis; every load takes what it is given here.
fn solution(vehicle: &Vehicle, lamp: f64, alternator: f64) -> Solution {
    let branches = vehicle.branches.len();
    let mut solution = Solution {
        burnt: Vec::new(),
        volts: vec![Volts(12.5); vehicle.terminals.len()],
        live: vec![true; vehicle.terminals.len()],
        wire_amps: vec![Amps(0.0); vehicle.wires.len()],
        branch_amps: vec![Amps(0.0); branches],
        inputs: Vec::new(),
        closed: vec![true; branches],
        memory: Memory::all_out(vehicle),
        chatter: Vec::new(),
        ways: Vec::new(),
        trouble: None,
    };
    solution.volts[TerminalId::CHASSIS.index()] = Volts(0.0);
    let lamp_part = part(vehicle, "WORK");
    let returned = vehicle.part(lamp_part).terminals[1];
    solution.volts[returned.index()] = Volts(0.25);
    let minus = vehicle.part(part(vehicle, "B1")).terminals[1];
    solution.volts[minus.index()] = Volts(0.0);
    for id in vehicle.branch_ids() {
        let branch = vehicle.branch(id);
        solution.branch_amps[id.index()] = match branch.element {
            Element::Load(_) if branch.part == lamp_part => Amps(lamp),
            Element::Coil { .. } => Amps(-0.14),
            Element::Alternator { .. } => Amps(alternator),
            Element::Cell { .. } => Amps(lamp + 0.14 - alternator),
            _ => Amps(0.0),
        };
    }
    solution
}

fn solved(vehicle: &Vehicle) -> Solved {
    let parked = solution(vehicle, 0.0, 0.0);
    let situations = vehicle
        .situations
        .iter()
        .map(|situation| {
            let solution = if situation.key == Key::Off {
                parked.clone()
            } else {
                solution(vehicle, 14.0, 13.0)
            };
            (situation.clone(), solution)
        })
        .collect();
    let relay = part(vehicle, "K1");
    let fuse = part(vehicle, "F1");
    let battery = part(vehicle, "B1");
    let draw = Amps(0.182);
    let range = Interval::between(Amps(0.175), Amps(0.19));
    let simple = Some(Seconds::from_hours(75.0 / 0.182));
    Solved {
        parked_out: parked.clone(),
        parked_in: parked,
        situations,
        worst: Vec::new(),
        explored: Explored {
            settings: 8,
            of: 8,
            complete: true,
            ..Explored::default()
        },
        key_off: KeyOff {
            battery: Some(battery),
            joined: Joined::apart(vehicle),
            draw,
            range,
            missing: vec!["WORK.parked".into()],
            by_part: vec![
                Draw {
                    part: relay,
                    current: Amps(0.14),
                    range: Interval::exact(Amps(0.14)),
                    ahead_of_ignition: true,
                    only_if: Some(Setting {
                        key: Some(Key::Off),
                        closed: vec!["S2".into()],
                        ..Setting::default()
                    }),
                    protected_by: vec![fuse],
                    over: Vec::new(),
                },
                Draw {
                    part: part(vehicle, "WORK"),
                    current: Amps(0.042),
                    range: Interval::between(Amps(0.035), Amps(0.05)),
                    ahead_of_ignition: true,
                    only_if: None,
                    protected_by: vec![fuse],
                    over: Vec::new(),
                },
            ],
            by_fuse: vec![(fuse, Amps(0.14))],
            simple,
            by_battery: vec![(battery, draw, simple)],
            by_group: vec![Uncertain {
                low: range.low.0,
                likely: draw.0,
                high: range.high.0,
            }],
            runs_on: Vec::new(),
        },
    }
}

fn report(vehicle: &Vehicle) -> Report {
    let rating = words(0, TEXT, "F1:", "30 A");
    let finding = Finding {
        message: "fuse F1 of 30 A stands before wire w1, which carries 20 A".into(),
        help: "fit a fuse of 20 A, or a wire of 10 AWG".into(),
        parts: vec![part(vehicle, "F1")],
        wires: vec![WireId(0)],
        setting: Setting::default(),
        worst: None,
        value: Some(Measure {
            amount: 30.0,
            unit: "A",
        }),
        limit: Some(Measure {
            amount: 20.0,
            unit: "A",
        }),
        source: "a book, table 5, row 14 AWG".into(),
        at: rating,
        label: "rated here".into(),
        also: vec![
            (words(0, TEXT, "run: [B1, F1", "14 AWG"), "the wire".into()),
            (words(1, SHELF, "draw", "14 A"), "drawn by it".into()),
        ],
        level: None,
        why: vec![Cause {
            step: "20 A x 100 % = 20 A".into(),
            source: "a rule".into(),
        }],
        hang_on: None,
    };
    let left = Finding {
        message: "K1 draws 140 mA when S2 is left closed".into(),
        help: "feed S2 from a terminal that is hot in run".into(),
        parts: vec![part(vehicle, "K1")],
        wires: Vec::new(),
        setting: Setting {
            key: Some(Key::Off),
            closed: vec!["S2".into()],
            ..Setting::default()
        },
        worst: Some(Setting {
            key: Some(Key::Off),
            closed: vec!["S1".into(), "S2".into()],
            ..Setting::default()
        }),
        value: Some(Measure {
            amount: 0.14,
            unit: "A",
        }),
        limit: None,
        source: String::new(),
        at: words(0, TEXT, "K1:", "K1"),
        label: String::new(),
        also: Vec::new(),
        level: None,
        why: Vec::new(),
        hang_on: None,
    };
    let glows = Finding {
        message: "WORK glows".into(),
        help: "let it".into(),
        parts: vec![part(vehicle, "WORK")],
        at: words(0, TEXT, "WORK:", "WORK"),
        also: Vec::new(),
        setting: Setting::default(),
        ..left.clone()
    };
    let reported = |check: &'static Meta, finding: Finding| Reported {
        check,
        level: check.level,
        finding,
        accepted: None,
    };
    let gap = |wire: u32, missing: &[&str]| Gap {
        parts: vec![part(vehicle, "WORK")],
        wires: vec![WireId(wire)],
        missing: missing.iter().map(|name| (*name).to_owned()).collect(),
    };
    Report {
        findings: vec![
            reported(&METAS[0], finding),
            reported(&METAS[1], left),
            Reported {
                accepted: Some(Accepted {
                    because: "it has to".into(),
                    at: words(0, TEXT, "accept:", "{check"),
                }),
                ..reported(&METAS[2], glows)
            },
        ],
        gaps: vec![
            (&METAS[0], gap(2, &["w3.insulation"])),
            (&METAS[1], gap(2, &["w3.length", "w3.insulation"])),
        ],
        checked: 41,
        ampacities: vec![Some(Amps(35.0)), Some(Amps(35.0)), None],
    }
}
