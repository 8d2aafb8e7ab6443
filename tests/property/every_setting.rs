//! What is explored group by group is held to what every single setting shows.

use std::collections::BTreeMap;
use std::collections::BTreeSet;

use keyoff::analyze::analyze_explored;
use keyoff::check::Report;
use keyoff::model::BranchId;
use keyoff::model::Control;
use keyoff::model::Element;
use keyoff::model::Engine;
use keyoff::model::Key;
use keyoff::model::PartId;
use keyoff::model::Setting;
use keyoff::model::TerminalId;
use keyoff::model::Vehicle;
use keyoff::model::element::CoilRole;
use keyoff::quantity::Amps;
use keyoff::solve::Explored;
use keyoff::solve::Extreme;
use keyoff::solve::LIVE;
use keyoff::solve::Memory;
use keyoff::solve::Shown;
use keyoff::solve::Solution;
use keyoff::solve::Solver;
use keyoff::solve::State;
use keyoff::solve::explore;
use keyoff::solve::explore_one_by_one;

use crate::small_vehicle;

/// Settings of switches and modes of the vehicles looked at, at most.
const MOST: usize = 96;
/// A smaller setting that shows this share of an extreme is told instead of a larger one that shows all of it.
const AS_GOOD: f64 = 0.98;

fn vehicle(text: &str) -> Vehicle {
    let document = keyoff::read::read(
        "small.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &keyoff::read::Limits::default(),
    )
    .unwrap_or_else(|fault| panic!("{:#?}\n{text}", fault.problems));
    keyoff::model::build(std::sync::Arc::new(document))
}

/// One setting, how much of it is changed, and whether a person can go away from it.
struct Chosen {
    state: State,
    setting: Setting,
    cost: u32,
    left: bool,
    from_in: bool,
}

/// Positions of the key and what goes with each.
fn keys(vehicle: &Vehicle) -> Vec<(State, u32, Setting)> {
    let parked = State::parked(vehicle);
    let mut all = vec![(parked.clone(), 0, Setting::default())];
    let mut add = |key: Key, engine: Engine, also: Option<&str>, change: &dyn Fn(&mut State)| {
        let mut state = State {
            key,
            engine,
            settled: key == Key::Off,
            ..parked.clone()
        };
        change(&mut state);
        let setting = Setting {
            key: Some(key),
            also: also.map(str::to_owned),
            ..Setting::default()
        };
        let cost = u32::from(key != Key::Off) + u32::from(also.is_some());
        all.push((state, cost, setting));
    };
    let contacts = |of: &dyn Fn(&Control) -> bool| {
        vehicle.branches.iter().any(|branch| match &branch.element {
            Element::Contact { control, .. } | Element::Charger { control, .. } => of(control),
            _ => false,
        })
    };
    let timed = contacts(&|control| match control {
        Control::Hot { stays_on, .. } => stays_on.is_some(),
        Control::Delay { .. } => true,
        _ => false,
    });
    let settles = vehicle
        .branches
        .iter()
        .any(|branch| matches!(&branch.element, Element::Load(load) if load.settles.is_some()));
    if timed || settles {
        add(Key::Off, Engine::Stopped, Some("just off"), &|state| {
            state.settled = false;
        });
    }
    let shore = contacts(&|control| match control {
        Control::Hot { hot, .. } => hot.shore,
        _ => false,
    });
    if shore {
        add(Key::Off, Engine::Stopped, Some("shore"), &|state| {
            state.shore = true;
        });
    }
    add(Key::Accessory, Engine::Stopped, None, &|_| {});
    add(Key::Run, Engine::Stopped, None, &|_| {});
    add(Key::Run, Engine::Idle, Some("idle"), &|_| {});
    add(Key::Run, Engine::Cruise, Some("speed"), &|_| {});
    add(Key::Start, Engine::Stopped, None, &|_| {});
    all
}

/// Every setting of everything.
fn settings(vehicle: &Vehicle) -> Vec<Chosen> {
    let mut all = Vec::new();
    for (state, cost, setting) in keys(vehicle) {
        for from_in in [false, true] {
            all.push(Chosen {
                state: state.clone(),
                setting: setting.clone(),
                cost: cost + u32::from(from_in),
                left: true,
                from_in,
            });
        }
    }
    for (at, unit) in vehicle.switches.iter().enumerate() {
        let known = all.len();
        for position in (0..unit.positions.len() as u8).filter(|&position| position != unit.left) {
            for known in 0..known {
                let of: &Chosen = &all[known];
                let mut state = of.state.clone();
                state.positions[at] = position;
                let mut setting = of.setting.clone();
                if unit.positions.len() > 2 {
                    let name = &unit.positions[position as usize];
                    setting.closed.push(format!("{} ({name})", unit.label));
                } else if position == unit.on {
                    setting.closed.push(unit.label.clone());
                } else {
                    setting.opened.push(unit.label.clone());
                }
                all.push(Chosen {
                    state,
                    setting,
                    cost: of.cost + 1,
                    left: of.left && !unit.momentary,
                    from_in: of.from_in,
                });
            }
        }
    }
    for part in vehicle.part_ids() {
        let mut modes = BTreeSet::new();
        for &branch in &vehicle.part(part).branches {
            if let Element::Load(load) = &vehicle.branch(branch).element {
                modes.extend(load.modes.iter().map(|(name, _)| name.clone()));
            }
        }
        let known = all.len();
        for mode in modes {
            for known in 0..known {
                let of: &Chosen = &all[known];
                let mut state = of.state.clone();
                state.modes.push((part, mode.clone()));
                let mut setting = of.setting.clone();
                let words = format!("with {} in {mode}", vehicle.part(part).name.value);
                setting.also = Some(match setting.also {
                    Some(also) => format!("{also}, {words}"),
                    None => words,
                });
                all.push(Chosen {
                    state,
                    setting,
                    cost: of.cost + 1,
                    left: of.left,
                    from_in: of.from_in,
                });
            }
        }
    }
    all
}

/// The largest of a value, and the smallest setting that shows it.
#[derive(Clone, Default)]
struct Largest(Vec<(f64, usize)>);

impl Largest {
    fn see(&mut self, value: f64, at: usize) {
        if value.abs() > 1e-7 {
            self.0.push((value, at));
        }
    }

    fn most(&self) -> f64 {
        let most = self.0.iter().map(|(value, _)| *value);
        most.fold(0.0, |a, b| if b.abs() > a.abs() { b } else { a })
    }

    /// What the smallest setting costs that shows this share of the most.
    fn cost(&self, settings: &[Chosen], share: f64) -> Option<u32> {
        let enough = self.most().abs() * share;
        let good = self.0.iter().filter(|(value, _)| value.abs() >= enough);
        good.map(|&(_, at)| settings[at].cost).min()
    }

    /// The one that costs least of those that show as much.
    fn told<'a>(&self, settings: &'a [Chosen]) -> Option<&'a Chosen> {
        let enough = self.most().abs() * AS_GOOD;
        let good = self.0.iter().filter(|(value, _)| value.abs() >= enough);
        good.map(|&(_, at)| &settings[at]).min_by_key(|of| of.cost)
    }
}

/// Every setting solved.
struct Every {
    settings: Vec<Chosen>,
    wires: Vec<Largest>,
    branches: Vec<Largest>,
    key_off: Vec<Largest>,
    highest: Vec<Largest>,
    /// By terminal: costs of the smallest settings in which it is live, with the key off and ever.
    live: Vec<[Option<(u32, usize)>; 2]>,
    parked: Vec<bool>,
    chatter: BTreeSet<Vec<PartId>>,
    /// Consumers that draw with a terminal joined to nothing.
    adrift: BTreeMap<(BranchId, TerminalId), Largest>,
}

/// Less current than this through another consumer does no harm, in ampere, unless it moves a relay.
const HARMLESS: f64 = 0.010;

/// The setting that is told for the most of something shows at least this share of it: it names only what the current itself runs
/// through, and what else is on moves the voltage.
const NEARLY: f64 = 0.93;

/// Consumers that draw while conductors join one of their terminals to no source and not to the chassis.
fn adrift(vehicle: &Vehicle, solution: &Solution) -> Vec<(BranchId, TerminalId)> {
    let mut joined: Vec<usize> = (0..vehicle.terminals.len()).collect();
    let join = |joined: &mut Vec<usize>, a: TerminalId, b: TerminalId| {
        let (from, to) = (joined[a.index()], joined[b.index()]);
        for one in joined.iter_mut().filter(|one| **one == from) {
            *one = to;
        }
    };
    for wire in &vehicle.wires {
        join(&mut joined, wire.from, wire.to);
    }
    let mut posts = vec![TerminalId::CHASSIS];
    for id in vehicle.branch_ids() {
        let branch = vehicle.branch(id);
        let closed = solution.closed[id.index()];
        match &branch.element {
            Element::Joint(_) => join(&mut joined, branch.from, branch.to),
            Element::Contact { .. } | Element::Diode { .. } if closed => {
                join(&mut joined, branch.from, branch.to);
            }
            Element::Cell { .. } => posts.extend([branch.from, branch.to]),
            Element::Alternator { .. } | Element::Charger { .. } if closed => {
                posts.extend([branch.from, branch.to]);
            }
            Element::Converter { back, .. } if closed => posts.extend([*back, branch.to]),
            _ => {}
        }
    }
    let posts: BTreeSet<usize> = posts.iter().map(|post| joined[post.index()]).collect();
    let mut found = Vec::new();
    for id in vehicle.branch_ids() {
        let branch = vehicle.branch(id);
        let counts = match &branch.element {
            Element::Load(_) => HARMLESS,
            Element::Coil {
                ohms,
                pull_in,
                drop_out,
                role,
                ..
            } => {
                let moves = if *role == CoilRole::Hold {
                    drop_out
                } else {
                    pull_in
                };
                let moves = moves.likely.0 / ohms.likely.0;
                if moves > 0.0 {
                    moves.min(HARMLESS)
                } else {
                    HARMLESS
                }
            }
            _ => continue,
        };
        if solution.branch(id).0.abs() > counts {
            let ends = [branch.from, branch.to];
            let floats = ends
                .into_iter()
                .filter(|end| !posts.contains(&joined[end.index()]));
            found.extend(floats.map(|end| (id, end)));
        }
    }
    found
}

/// The setting that grouped exploration tells for the most of something costs what the smallest costs that shows it, and the first
/// what the smallest costs that shows anything.
fn hold_settings<T>(
    wrong: &mut Vec<String>,
    what: &str,
    seen: &Extreme<T>,
    largest: &Largest,
    settings: &[Chosen],
) where
    T: keyoff::quantity::Scalar,
{
    if largest.most() == 0.0 {
        return;
    }
    let told = seen.setting.changes() as u32;
    // Settings that show nearly as much are told for one another: one that shows a few per cent less, and each step towards the
    // most has to be worth one.
    let [least, most] = [NEARLY, AS_GOOD / 0.99 + 2e-3].map(|share| largest.cost(settings, share));
    if least.is_none_or(|least| told < least) || most.is_none_or(|most| told > most) {
        wrong.push(format!(
            "{what}: told in {:?}, which costs {told} and not {least:?} to {most:?}: {:?}",
            seen.setting,
            largest.told(settings).map(|of| &of.setting)
        ));
    }
    let first = seen.first().1.changes() as u32;
    if largest.cost(settings, 0.0) != Some(first) {
        let cost = largest.cost(settings, 0.0);
        wrong.push(format!(
            "{what}: first in {:?}, not at {cost:?}",
            seen.first().1
        ));
    }
}

/// What is told of some groups alone is moved a little by the others.
fn hold_nearly(wrong: &mut Vec<String>, what: &str, grouped: f64, single: f64) {
    if (grouped.abs() - single.abs()).abs() > 6e-3 * single.abs() + 1e-6 {
        wrong.push(format!("{what}: {grouped} against {single}"));
    }
}

/// The same of what is shared by many: against every setting looked at by itself.
fn hold_shown<T>(
    wrong: &mut Vec<String>,
    what: &str,
    grouped: Option<&Shown<T>>,
    single: Option<&Shown<T>>,
) where
    T: keyoff::quantity::Scalar,
{
    let (Some(grouped), Some(single)) = (grouped, single) else {
        if grouped.is_some() != single.is_some() {
            wrong.push(format!("{what}: {grouped:?} against {single:?}"));
        }
        return;
    };
    hold_nearly(wrong, what, grouped.value.get(), single.value.get());
    let first = |shown: &Shown<T>| {
        let first = shown.smaller.first().map(|(_, setting)| setting);
        first.unwrap_or(&shown.setting).changes()
    };
    if first(grouped) != first(single) {
        wrong.push(format!("{what}: first {:?} against {:?}", grouped, single));
    }
}

fn every(vehicle: &Vehicle) -> Every {
    let settings = settings(vehicle);
    let (wires, branches) = (vehicle.wires.len(), vehicle.branches.len());
    let terminals = vehicle.terminals.len();
    let mut every = Every {
        wires: vec![Largest::default(); wires],
        branches: vec![Largest::default(); branches],
        key_off: vec![Largest::default(); branches],
        highest: vec![Largest::default(); terminals],
        live: vec![[None, None]; terminals],
        parked: vec![false; terminals],
        chatter: BTreeSet::new(),
        adrift: BTreeMap::new(),
        settings: Vec::new(),
    };
    let mut solver = Solver::new(vehicle);
    for (number, of) in settings.iter().enumerate() {
        let memory = if of.from_in {
            Memory::all_in(vehicle)
        } else {
            Memory::charged(vehicle)
        };
        let solution = solver.solve(&of.state, &memory);
        assert_eq!(solution.trouble, None);
        every.note(number, of, &solution);
        for (branch, end) in adrift(vehicle, &solution) {
            let largest = every.adrift.entry((branch, end)).or_default();
            largest.see(solution.branch(branch).0, number);
        }
    }
    every.settings = settings;
    every
}

impl Every {
    fn note(&mut self, number: usize, of: &Chosen, solution: &Solution) {
        let off = of.state.key == Key::Off && of.state.settled && !of.state.shore;
        for (largest, amps) in self.wires.iter_mut().zip(&solution.wire_amps) {
            largest.see(amps.0, number);
        }
        for (at, amps) in solution.branch_amps.iter().enumerate() {
            self.branches[at].see(amps.0, number);
            if off && of.left {
                self.key_off[at].see(amps.0, number);
            }
        }
        for (at, volts) in solution.volts.iter().enumerate() {
            self.highest[at].see(volts.0, number);
            if volts.0.abs() <= LIVE {
                continue;
            }
            let wanted = [off && of.left, true];
            for (best, wanted) in self.live[at].iter_mut().zip(wanted) {
                if wanted && best.is_none_or(|(cost, _)| of.cost < cost) {
                    *best = Some((of.cost, number));
                }
            }
            self.parked[at] |= number == 0;
        }
        self.chatter.extend(solution.chatter.iter().cloned());
    }
}

/// Findings by check, level and what they are about.
fn findings(vehicle: &Vehicle, report: &Report) -> BTreeSet<String> {
    report
        .findings
        .iter()
        .map(|reported| {
            let finding = &reported.finding;
            let part = |part: &PartId| vehicle.part(*part).name.value.clone();
            let wires = finding
                .wires
                .iter()
                .map(|wire| vehicle.wire(*wire).id.clone());
            let mut about: Vec<String> = finding.parts.iter().map(part).chain(wires).collect();
            about.truncate(1);
            format!("{} {:?} {about:?}", reported.check.name, reported.level)
        })
        .collect()
}

fn small(seed: u64) -> Option<(String, Vehicle)> {
    let text = small_vehicle::record(seed);
    let vehicle = vehicle(&text);
    (settings(&vehicle).len() / keys(&vehicle).len() <= 2 * MOST).then_some((text, vehicle))
}

/// What a limit leaves out is never passed over: it is found, or the check says that it cannot judge it.
#[test]
fn what_a_limit_hides_cannot_be_judged() {
    let (mut hidden, mut said) = (0, 0);
    let mut passed_over = BTreeSet::new();
    for seed in 0..60 {
        let text = small_vehicle::record(seed);
        let vehicle = vehicle(&text);
        let report = |limit: usize| {
            let explored = explore(&mut Solver::new(&vehicle), limit);
            let complete = explored.complete;
            let solved = analyze_explored(&vehicle, explored);
            (complete, keyoff::check::run(&vehicle, &solved))
        };
        let (whole, all) = report(4096);
        let (finished, some) = report(2);
        if !whole || finished {
            continue;
        }
        // What speaks of another finding's assumption has nothing to say where that finding itself cannot be judged.
        let of_the_vehicle = |name: &str| name != "assumption-decides";
        let findings = all.findings.iter();
        for reported in findings.filter(|found| of_the_vehicle(found.check.name)) {
            let same = |name: &str| name == reported.check.name;
            let about = |parts: &[PartId], wires: &[keyoff::model::WireId]| {
                let finding = &reported.finding;
                parts.iter().any(|part| finding.parts.contains(part))
                    || wires.iter().any(|wire| finding.wires.contains(wire))
            };
            let found = some
                .findings
                .iter()
                .any(|one| same(one.check.name) && about(&one.finding.parts, &one.finding.wires));
            let told = some
                .gaps
                .iter()
                .any(|(check, gap)| same(check.name) && about(&gap.parts, &gap.wires));
            hidden += usize::from(!found);
            said += usize::from(told);
            if !found && !told {
                passed_over.insert(format!(
                    "{} of seed {seed}: {}",
                    reported.check.name, reported.finding.message
                ));
            }
        }
    }
    assert!(passed_over.is_empty(), "{passed_over:#?}");
    assert!(hidden > 0 && said > hidden, "{hidden} hidden, {said} said");
}

#[test]
fn groups_find_what_every_single_setting_shows() {
    let count: u64 = std::env::var("CASES").map_or(40, |cases| cases.parse().unwrap());
    let from: u64 = std::env::var("FROM").map_or(0, |from| from.parse().unwrap());
    let (mut tried, mut saved, mut adrift_ones) = (0, 0, 0);
    let mut failed = Vec::new();
    for seed in from..from + count {
        let Some((text, vehicle)) = small(seed) else {
            continue;
        };
        tried += 1;
        let every = every(&vehicle);
        let explored = explore(&mut Solver::new(&vehicle), 4096);
        assert!(explored.complete, "{text}");
        let one_by_one = explore_one_by_one(&mut Solver::new(&vehicle));
        saved += u64::from(explored.settings * 2 < every.settings.len() as u64);
        let mut wrong = Vec::new();
        let hold = |wrong: &mut Vec<String>, what: String, grouped: f64, single: f64| {
            if (grouped.abs() - single.abs()).abs() > 2e-3 * single.abs() + 1e-6 {
                wrong.push(format!("{what}: {grouped} against {single}"));
            }
        };
        for (at, largest) in every.wires.iter().enumerate() {
            let told = largest.told(&every.settings).map(|of| &of.setting);
            hold(
                &mut wrong,
                format!(
                    "{} {told:?} {:?}",
                    vehicle.wires[at].id, explored.wires[at].setting
                ),
                explored.wires[at].value.0,
                largest.most(),
            );
            let id = &vehicle.wires[at].id;
            hold_settings(
                &mut wrong,
                id,
                &explored.wires[at],
                largest,
                &every.settings,
            );
        }
        for (at, largest) in every.branches.iter().enumerate() {
            let branch = &vehicle.branches[at];
            let name = format!("{}.{}", vehicle.part(branch.part).name.value, branch.name);
            let told = largest.told(&every.settings).map(|of| &of.setting);
            hold(
                &mut wrong,
                format!("{name} {told:?}"),
                explored.branches[at].value.0,
                largest.most(),
            );
            hold_settings(
                &mut wrong,
                &name,
                &explored.branches[at],
                largest,
                &every.settings,
            );
            hold_settings(
                &mut wrong,
                &format!("{name} off"),
                &explored.key_off[at],
                &every.key_off[at],
                &every.settings,
            );
            hold(
                &mut wrong,
                format!("{name} off"),
                explored.key_off[at].value.0,
                every.key_off[at].most(),
            );
            let (grouped, single) = (&explored.uses[at], &one_by_one.uses[at]);
            let name = |what: &str| format!("{name} {what}");
            let (many, one) = (grouped.lowest.as_ref(), single.lowest.as_ref());
            hold_shown(&mut wrong, &name("lowest"), many, one);
            let (many, one) = (
                grouped.lowest_running.as_ref(),
                single.lowest_running.as_ref(),
            );
            hold_shown(
                &mut wrong,
                &name("lowest with the engine running"),
                many,
                one,
            );
            let (many, one) = (grouped.lasting.as_ref(), single.lasting.as_ref());
            hold_shown(&mut wrong, &name("lasting"), many, one);
            let (many, one) = (grouped.lost.as_ref(), single.lost.as_ref());
            hold_shown(&mut wrong, &name("lost"), many, one);
        }
        for (at, largest) in every.highest.iter().enumerate() {
            let name = &vehicle.terminals[at].label;
            let told = largest.told(&every.settings).map(|of| &of.setting);
            hold(
                &mut wrong,
                format!("{name} highest {told:?}"),
                explored.highest[at].value.0,
                largest.most(),
            );
            let seen = &explored.terminals[at];
            let [key_off, ever] = every.live[at];
            if (seen.ever.is_some(), seen.key_off.is_some(), seen.parked)
                != (ever.is_some(), key_off.is_some(), every.parked[at])
            {
                wrong.push(format!(
                    "{name} live: {seen:?} against {key_off:?} {ever:?}"
                ));
            }
        }
        let chatter: BTreeSet<Vec<PartId>> = explored
            .chatter
            .iter()
            .map(|(circle, _)| circle.clone())
            .collect();
        if chatter != every.chatter {
            wrong.push(format!("chatter {chatter:?} against {:?}", every.chatter));
        }
        let floats = |explored: &Explored| -> BTreeSet<(BranchId, TerminalId)> {
            explored
                .adrift
                .iter()
                .map(|one| (one.branch, one.at))
                .collect()
        };
        let floating: BTreeSet<(BranchId, TerminalId)> = every.adrift.keys().copied().collect();
        if floats(&explored) != floating {
            wrong.push(format!(
                "adrift {:?} against {floating:?}",
                floats(&explored)
            ));
        }
        for one in &explored.adrift {
            let Some(largest) = every.adrift.get(&(one.branch, one.at)) else {
                continue;
            };
            let part = vehicle.branch(one.branch).part;
            let what = format!("{} adrift", vehicle.part(part).name.value);
            hold_nearly(&mut wrong, &what, one.seen.value.0, largest.most());
            hold_settings(&mut wrong, &what, &one.seen, largest, &every.settings);
        }
        for (grouped, single) in [
            (&explored.lasting_wires, &one_by_one.lasting_wires),
            (&explored.lasting_branches, &one_by_one.lasting_branches),
        ] {
            for (at, (grouped, single)) in grouped.iter().zip(single).enumerate() {
                let value = |of: &Option<Extreme<Amps>>| of.as_ref().map_or(0.0, |of| of.value.0);
                hold(
                    &mut wrong,
                    format!("lasting {at}"),
                    value(grouped),
                    value(single),
                );
            }
        }
        adrift_ones += floating.len();
        let by_groups = analyze_explored(&vehicle, explored);
        let by_every = analyze_explored(&vehicle, one_by_one);
        let by_groups = findings(&vehicle, &keyoff::check::run(&vehicle, &by_groups));
        let by_every = findings(&vehicle, &keyoff::check::run(&vehicle, &by_every));
        for only in by_groups.symmetric_difference(&by_every) {
            let who = if by_groups.contains(only) {
                "groups"
            } else {
                "every"
            };
            wrong.push(format!("only {who}: {only}"));
        }
        if !wrong.is_empty() {
            failed.push(format!(
                "seed {seed}:\n  {}\n{}",
                wrong.join("\n  "),
                if std::env::var_os("SHOW").is_some() {
                    &text
                } else {
                    ""
                }
            ));
        }
    }
    assert!(tried > count / 3, "only {tried} were small enough");
    assert!(
        saved > tried / 3,
        "only in {saved} of {tried} did it save half of the work"
    );
    assert!(
        failed.is_empty(),
        "{} of {tried}:\n{}",
        failed.len(),
        failed.join("\n")
    );
    assert!(adrift_ones > 0, "nothing was adrift in any of them");
}
