//! Hunts with a truth that only the meter knows: the tool says what to do, a meter with digits, scale and noise answers, until
//! the fuse and the part are named. What that takes is told in `docs/hunt.md`, beside the habit of pulling one fuse after another.

use std::sync::Arc;

use keyoff::advise::hunt;
use keyoff::advise::hunt::Hunt;
use keyoff::advise::hunt::Stage;
use keyoff::analyze::Solved;
use keyoff::model::PartId;
use keyoff::model::Vehicle;
use keyoff::read;

use crate::book::hold;
use crate::book::text;
use crate::sixty;

/// A draw that is not in the record.
#[derive(Clone, Copy)]
struct Hidden {
    /// The fuse that it is behind; nothing past all of them.
    fuse: Option<&'static str>,
    /// The part, where the record has it.
    part: Option<&'static str>,
    amps: f64,
}

struct Scenario {
    title: &'static str,
    record: String,
    /// What the vehicle draws itself, unknown to the record.
    own: f64,
    /// Each is one hunt.
    truths: Vec<Vec<Hidden>>,
    /// In how many places the draw can be, where nothing else is known: what must be told apart.
    places: Option<usize>,
}

/// Fuse and rating.
type Fuse = (&'static str, f64);

const PANEL: [Fuse; 12] = [
    ("F1", 10.0),
    ("F2", 15.0),
    ("F3", 20.0),
    ("F4", 5.0),
    ("F5", 10.0),
    ("F6", 30.0),
    ("F7", 15.0),
    ("F8", 7.5),
    ("F9", 20.0),
    ("F10", 10.0),
    ("F11", 3.0),
    ("F12", 25.0),
];

const PANEL_NAMES: [&str; 12] = [
    "F1", "F2", "F3", "F4", "F5", "F6", "F7", "F8", "F9", "F10", "F11", "F12",
];

fn bare(fuses: &[(String, f64)]) -> String {
    let mut record = String::from(
        "keyoff: 1\nvehicle: {name: a truck, system: 12 V, climate: {parked: 5 C}}\nparts:\n  B1: {kind: battery, capacity: 75 Ah}\n",
    );
    for (name, rating) in fuses {
        record += &format!("  {name}: {{kind: fuse, rating: {rating} A, form: blade}}\n");
    }
    record
}

const BLOCK: &str = "keyoff: 1
vehicle: {name: a truck, system: 12 V, climate: {parked: 5 C}, own-load: {off: 20 mA (measured), run: 20 A}}
parts:
  B1: {kind: battery, capacity: 75 Ah}
  FM: {kind: fuse, rating: 60 A, form: bolt-down}
  SP: {kind: busbar}
  A1: {kind: fuse, rating: 15 A, form: blade}
  A2: {kind: fuse, rating: 15 A, form: blade}
  A3: {kind: fuse, rating: 10 A, form: blade}
  A4: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, left: open}
  S2: {kind: switch, left: open}
  K1: {kind: relay, coil: 88 ohm, contact: 30 A}
  BEACON: {kind: load, type: led, draw: 1.5 A}
  BOXLAMP: {kind: load, type: led, draw: 0.9 A}
  RADIO: {kind: load, type: electronics, draw: 0.4 A, parked: 5 mA}
  TRACKER: {kind: load, type: electronics, draw: 90 mA, parked: 6 mA}
wires:
  - {run: [B1, FM, SP], size: 8 AWG, lengths: [10 cm, 2 m]}
  - {run: [SP, A1, K1.30], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {run: [A1, S1, K1.86], size: 18 AWG, lengths: [1 m, 1 m]}
  - {from: K1.87, to: BEACON, size: 14 AWG, length: 3 m}
  - {run: [SP, A2, S2, BOXLAMP], size: 16 AWG, lengths: [10 cm, 1 m, 1 m]}
  - {run: [SP, A3, RADIO], size: 14 AWG, lengths: [10 cm, 1 m]}
  - {run: [SP, A4, TRACKER], size: 18 AWG, lengths: [10 cm, 1 m]}
";

fn scenarios() -> Vec<Scenario> {
    let panel: Vec<(String, f64)> = PANEL
        .iter()
        .map(|(name, rating)| ((*name).to_owned(), *rating))
        .collect();
    let everywhere = |amps: f64| {
        PANEL
            .iter()
            .map(|(fuse, _)| Some(*fuse))
            .chain([None])
            .map(|fuse| {
                vec![Hidden {
                    fuse,
                    part: None,
                    amps,
                }]
            })
            .collect()
    };
    let behind = |fuse, part, amps| {
        vec![Hidden {
            fuse: Some(fuse),
            part: Some(part),
            amps,
        }]
    };
    let two = |one, other| {
        [(one, 0.31), (other, 0.15)]
            .into_iter()
            .map(|(fuse, amps)| Hidden {
                fuse: Some(fuse),
                part: None,
                amps,
            })
            .collect()
    };
    vec![
        Scenario {
            title: "12 fuses, nothing else known, 0.35 A",
            record: bare(&panel),
            own: 0.027,
            truths: everywhere(0.35),
            places: Some(13),
        },
        Scenario {
            title: "12 fuses, nothing else known, 90 mA",
            record: bare(&panel),
            own: 0.022,
            truths: everywhere(0.09),
            places: Some(13),
        },
        Scenario {
            title: "12 fuses of 30 A, 70 mA: nothing shows in millivolts",
            record: bare(
                &panel
                    .iter()
                    .map(|(name, _)| (name.clone(), 30.0))
                    .collect::<Vec<_>>(),
            ),
            own: 0.022,
            truths: everywhere(0.07),
            places: Some(13),
        },
        Scenario {
            title: "12 fuses, two draws at once",
            record: bare(&panel),
            own: 0.025,
            truths: vec![two("F2", "F8"), two("F5", "F1"), two("F9", "F10")],
            places: None,
        },
        Scenario {
            title: "added block of four behind a main fuse, parts in the record",
            record: BLOCK.to_owned(),
            own: 0.020,
            truths: vec![
                behind("A1", "K1", 0.141),
                behind("A2", "BOXLAMP", 0.91),
                behind("A3", "RADIO", 0.38),
                behind("A4", "TRACKER", 0.086),
            ],
            places: None,
        },
    ]
}

fn scenarios_of_sixty() -> Vec<Scenario> {
    vec![
        Scenario {
            title: "60 fuses, 4 of them feeding 14 each, 0.35 A",
            record: sixty::record(&["10 A", "15 A", "20 A", "5 A", "7.5 A"]),
            own: 0.025,
            truths: among_sixty(0.35, 21),
            places: Some(61),
        },
        Scenario {
            title: "60 fuses, 4 of them feeding 14 of 30 A each, 70 mA: nothing shows in millivolts",
            record: sixty::record(&["30 A"]),
            own: 0.025,
            truths: among_sixty(0.07, 9),
            places: Some(61),
        },
    ]
}

/// One draw past all fuses, one behind a main fuse, and behind fuses that lie all over the panel; behind every one of the sixty
/// with `HUNTS=all`.
fn among_sixty(amps: f64, every: usize) -> Vec<Vec<Hidden>> {
    let all = std::env::var_os("HUNTS").is_some();
    let mut places: Vec<Option<&'static str>> = vec![None];
    for main in 1..=sixty::MAINS {
        let name: &'static str = Box::leak(format!("M{main}").into_boxed_str());
        if all || main == 2 {
            places.push(Some(name));
        }
        for leaf in 1..=sixty::LEAVES {
            let name: &'static str = Box::leak(format!("L{main}-{leaf}").into_boxed_str());
            if all || (main * sixty::LEAVES + leaf).is_multiple_of(every) {
                places.push(Some(name));
            }
        }
    }
    let hidden = |fuse| {
        vec![Hidden {
            fuse,
            part: None,
            amps,
        }]
    };
    places.into_iter().map(hidden).collect()
}

/// Numbers without a source of chance outside the test.
struct Chance(u64);

impl Chance {
    /// Between -1 and 1.
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 52) as f64 - 1.0
    }
}

fn vehicle(record: &str) -> Vehicle {
    let limits = read::Limits::default();
    let document = read::read(
        "hunt.yaml",
        record.as_bytes(),
        &mut |_| Err(String::new()),
        &limits,
    );
    match document {
        Ok(document) => keyoff::model::build(Arc::new(document)),
        Err(unreadable) => panic!("{:#?}\n{record}", unreadable.problems),
    }
}

/// Readings change nothing of what was solved.
fn ask(record: &str, solved: &Solved) -> (Vehicle, Hunt) {
    let vehicle = vehicle(record);
    let hunt = hunt::hunt(&vehicle, solved);
    (vehicle, hunt)
}

fn above<'v>(vehicle: &'v Vehicle, fuse: &'static str) -> Vec<&'v str> {
    let feeders = keyoff::analyze::key_off::feeders(vehicle);
    let id = vehicle
        .part_ids()
        .find(|&id| vehicle.part(id).name.value == fuse)
        .unwrap();
    let chain = feeders[&id].iter().copied().chain([id]);
    chain
        .map(|id| vehicle.part(id).name.value.as_str())
        .collect()
}

/// How a hunt went.
struct Went {
    handled: usize,
    readings: usize,
    fuses: bool,
    part: bool,
    /// The record's readings, and the end, for whoever has to see why.
    told: String,
}

/// A hunt from its beginning, the tool's advice being followed from the first reading on.
fn follow(scenario: &Scenario, truth: &[Hidden], chance: &mut Chance) -> Went {
    follow_after(scenario, truth, &[], chance)
}

/// The same, where somebody has readings of his own choice first: each is of the total, with these fuses pulled before it.
fn follow_after(
    scenario: &Scenario,
    truth: &[Hidden],
    own: &[Vec<&str>],
    chance: &mut Chance,
) -> Went {
    let mut own = own.iter();
    let mut seen: Vec<(Vec<String>, Option<String>)> = Vec::new();
    let mut record = scenario.record.clone();
    let parked = [("A3", 0.005), ("A4", 0.006)];
    // One meter, one scale error for the whole hunt; each fuse has its own resistance.
    let scale = 1.0 + 0.008 * chance.next();
    let mut out: Vec<String> = Vec::new();
    let (mut handled, mut readings) = (0, 0);
    let solved = keyoff::analyze::analyze(&vehicle(&record));
    for _ in 0..100 {
        let (vehicle, hunt) = ask(&record, &solved);
        let name = |id: PartId| vehicle.part(id).name.value.clone();
        let chosen = own.next();
        if hunt.stage == Stage::Located && chosen.is_none() {
            let mut found: Vec<Option<String>> =
                hunt.located.iter().map(|one| one.fuse.map(name)).collect();
            let mut there: Vec<Option<String>> = truth
                .iter()
                .map(|hidden| hidden.fuse.map(str::to_owned))
                .collect();
            found.sort();
            there.sort();
            let best = hunt.located[0].parts.first().map(|best| name(best.part));
            return Went {
                told: format!(
                    "{there:?} {found:?} {}\n{}",
                    hunt.say,
                    &record[scenario.record.len()..]
                ),
                handled,
                readings,
                fuses: found == there,
                part: truth[0]
                    .part
                    .is_none_or(|part| best.as_deref() == Some(part)),
            };
        }
        let step = hunt.next.clone();
        let (pull, refit, across) = match (chosen, step) {
            (Some(pull), _) => {
                let pull = pull.iter().map(|fuse| (*fuse).to_owned()).collect();
                (pull, Vec::new(), None)
            }
            (None, Some(next)) => {
                let names = |ids: &[PartId]| ids.iter().map(|&id| name(id)).collect::<Vec<_>>();
                (names(&next.pull), names(&next.refit), next.across.map(name))
            }
            (None, None) => panic!("{}: {}\n{record}", scenario.title, hunt.say),
        };
        handled += pull.len() + refit.len();
        readings += 1;
        out.retain(|fuse| !refit.contains(fuse));
        out.extend(pull.iter().cloned());
        // No reading is ever asked for twice: the same thing, with the same fuses out.
        let mut state = (out.clone(), across.clone());
        state.0.sort();
        assert!(
            !seen.contains(&state),
            "{}: {}\n{record}",
            scenario.title,
            hunt.say
        );
        seen.push(state);
        let lit = |fuse: &'static str| {
            let chain = above(&vehicle, fuse);
            !chain.iter().any(|one| out.iter().any(|gone| gone == one))
        };
        let mut keys: Vec<String> = Vec::new();
        if !refit.is_empty() {
            keys.push(format!("refitted: [{}]", refit.join(", ")));
        }
        if !pull.is_empty() {
            keys.push(format!("pulled: [{}]", pull.join(", ")));
        }
        let known = parked
            .iter()
            .filter(|_| scenario.record == BLOCK)
            .map(|&(fuse, amps)| Hidden {
                fuse: Some(fuse),
                part: None,
                amps,
            });
        let draws: Vec<Hidden> = truth.iter().copied().chain(known).collect();
        if let Some(across) = across {
            let through: f64 = draws
                .iter()
                .filter_map(|hidden| Some((hidden.fuse?, hidden.amps)))
                .filter(|&(fuse, _)| lit(fuse) && above(&vehicle, fuse).contains(&across.as_str()))
                .map(|(_, amps)| amps)
                .sum();
            let id = vehicle.part_ids().find(|&id| name(id) == across).unwrap();
            let branch = vehicle.branch(vehicle.part(id).branches[0]);
            let keyoff::model::Element::Joint(ohms) = branch.element else {
                panic!("{across} is no plain conductor");
            };
            let millivolts = through * ohms.likely.0 * (1.0 + 0.1 * chance.next()) * 1000.0;
            let shown = ((millivolts + 0.05 * chance.next()) * 10.0).round().abs() / 10.0;
            keys.push(format!("across: {across}, drop: {shown:.1} mV"));
        } else {
            let sum: f64 = draws
                .iter()
                .filter(|hidden| hidden.fuse.is_none_or(lit))
                .map(|hidden| hidden.amps)
                .sum();
            let amps = (sum + scenario.own) * scale + 0.001 * chance.next();
            let shown = (amps * 1000.0).round().max(0.0);
            keys.push(format!("after: 40 min, current: {shown} mA"));
        }
        if readings == 1 {
            record += "readings:\n";
        }
        record += &format!("  - {{{}}}\n", keys.join(", "));
    }
    panic!("{}: no end\n{record}", scenario.title);
}

/// Pulling one fuse after another in the order of the panel, reading each time, until the current has fallen by the draw; what
/// was in vain goes back. Of two draws until both have gone; of one past all fuses until all were out.
fn habit(scenario: &Scenario, truth: &[Hidden]) -> (usize, usize) {
    let vehicle = vehicle(&scenario.record);
    let feeders = keyoff::analyze::key_off::feeders(&vehicle);
    // Whoever pulls one after another leaves the fuse that feeds a whole block to the end.
    let feeds = |id: &PartId| feeders.values().any(|above| above.contains(id));
    let (mains, leaves): (Vec<PartId>, Vec<PartId>) =
        feeders.keys().copied().partition(|id| feeds(id));
    let fuses: Vec<&str> = leaves
        .into_iter()
        .chain(mains)
        .map(|id| vehicle.part(id).name.value.as_str())
        .collect();
    let last = truth.iter().map(|hidden| {
        let at = hidden
            .fuse
            .map(|fuse| fuses.iter().position(|one| *one == fuse).unwrap() + 1);
        at.unwrap_or(fuses.len())
    });
    let pulled = last.max().unwrap();
    (2 * pulled - 1, pulled + 1)
}

#[test]
fn the_tool_leads_to_the_fuse_and_the_part_with_fewer_pulls_than_the_habit() {
    told("simulated", scenarios(), Chance(2026));
}

/// Whoever pulls what he likes before he asks, the tool has to take up from there and end, and be right.
#[test]
fn it_takes_up_from_pulls_of_ones_own_choice() {
    let mut chance = Chance(29);
    let panel: &[&[&[&str]]] = &[
        &[&[], &["F1"]],
        &[&[], &["F1", "F2", "F3"]],
        &[&[], &["F9"], &["F2"], &["F6", "F7"]],
        &[&[], &PANEL_NAMES],
        &[&["F2"]],
        &[&["F1", "F2", "F3"], &["F4"]],
        &[&PANEL_NAMES],
    ];
    let block: &[&[&[&str]]] = &[
        &[&[], &["FM"]],
        &[&[], &["A1", "A2", "A3", "A4"]],
        &[&[], &["A2"], &["FM"]],
        &[&[], &["A1"]],
        &[&[], &["A3", "A4"], &["A1"]],
        &[&["FM"]],
        &[&["A1"]],
    ];
    for scenario in scenarios().into_iter().filter(|one| {
        // With two draws at once the sums are the same and the cases many.
        one.truths[0].len() == 1
    }) {
        let choices = if scenario.record == BLOCK {
            block
        } else {
            panel
        };
        for (at, own) in choices.iter().enumerate() {
            let own: Vec<Vec<&str>> = own.iter().map(|pull| pull.to_vec()).collect();
            // Every fuse by turns, so that the pulled ones are right in some and wrong in others.
            let truths = scenario.truths.iter().skip(at % 3).step_by(3);
            for truth in truths {
                let went = follow_after(&scenario, truth, &own, &mut chance);
                assert!(
                    went.fuses,
                    "{}: {own:?} led astray\n{}",
                    scenario.title, went.told
                );
                // Millivolts across every fuse, where it flows past all of them, and a few more.
                let most = own.len() + scenario.record.matches("kind: fuse").count() + 3;
                assert!(
                    went.readings <= most,
                    "{}: {own:?}\n{}",
                    scenario.title,
                    went.told
                );
            }
        }
    }
}

#[test]
fn among_sixty_fuses_too() {
    told("simulated among sixty", scenarios_of_sixty(), Chance(60));
}

/// Holds the table of these hunts, which stands between two marks in `docs/hunt.md`.
fn told(mark: &str, scenarios: Vec<Scenario>, mut chance: Chance) {
    let mut table = String::from(
        "| hunt | cases | right fuse | right part | fuses handled | by habit | readings | by habit | at least |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    for scenario in scenarios {
        let count = scenario.truths.len();
        let (mut fuses, mut parts) = (0, 0);
        let mut wrong = String::new();
        let (mut handled, mut readings, mut by_habit, mut read_by_habit) = (0, 0, 0, 0);
        for truth in &scenario.truths {
            let went = follow(&scenario, truth, &mut chance);
            if !went.fuses {
                wrong += &format!("\n{}", went.told);
            }
            fuses += usize::from(went.fuses);
            parts += usize::from(went.part);
            handled += went.handled;
            readings += went.readings;
            let (pulls, reads) = habit(&scenario, truth);
            by_habit += pulls;
            read_by_habit += reads;
        }
        assert_eq!(fuses, count, "{}: led astray{wrong}", scenario.title);
        assert_eq!(parts, count, "{}: led to the wrong part", scenario.title);
        assert!(
            handled < by_habit,
            "{}: {handled} against {by_habit}",
            scenario.title
        );
        // The whole current first; then a reading says at best whether the draw is on one side or on the other.
        let bound = scenario.places.map(|places| 1.0 + (places as f64).log2());
        let mean = |sum: usize| format!("{:.1}", sum as f64 / count as f64);
        let part = if scenario.truths[0][0].part.is_some() {
            parts.to_string()
        } else {
            String::new()
        };
        table += &format!(
            "| {} | {count} | {fuses} | {part} | {} | {} | {} | {} | {} |\n",
            scenario.title,
            mean(handled),
            mean(by_habit),
            mean(readings),
            mean(read_by_habit),
            bound.map_or_else(String::new, |bound| format!("{bound:.1}"))
        );
    }
    if std::env::var_os("HUNTS").is_some() {
        eprintln!("{table}");
        return;
    }
    let page = text("docs/hunt.md");
    let (open, shut) = (
        format!("<!-- {mark} -->\n"),
        format!("<!-- end of {mark} -->"),
    );
    let (before, rest) = page.split_once(&open).unwrap();
    let (_, after) = rest.split_once(&shut).unwrap();
    hold(
        "docs/hunt.md",
        &format!("{before}{open}{table}{shut}{after}"),
    );
}
