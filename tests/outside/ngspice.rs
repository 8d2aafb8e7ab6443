//! Random circuits solved by ngspice, an independent circuit simulator: every voltage must agree within 0.1 mV.
//!
//! The netlist is written here from the vehicle model, not by the solver. Sources and diodes are written in the way in which the
//! solver found them, since a simulator's own iteration may not find them at all; that each agrees with its way is
//! checked apart, and so is the rest of every relay.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stderr,
    clippy::print_stdout,
    reason = "a test fails by panic, and says on the terminal what it did not compare"
)]

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::Arc;

use keyoff::model::element::{CoilRole, Element};
use keyoff::model::{BranchId, Control, Engine, Key, Law, Vehicle, build};
use keyoff::read::{Limits, read};
use keyoff::solve::{Memory, Solution, Solver, State, Way};

use crate::random_circuit::{Random, circuit};

/// Circuits compared; each with the engine stopped and at idle.
const CIRCUITS: u64 = 130;
/// How far voltages may differ, in volt.
const AGREE: f64 = 1e-4;
/// An ideal joint in the netlist, in ohm.
const JOINT: f64 = 1e-7;

pub fn vehicle(text: &str) -> Vehicle {
    match read(
        "random.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &Limits::default(),
    ) {
        Ok(document) => build(Arc::new(document)),
        Err(unreadable) => panic!("{:#?}\n{text}", unreadable.problems),
    }
}

pub fn states(vehicle: &Vehicle, seed: u64) -> Vec<State> {
    let mut random = Random::new(seed ^ 0x55);
    [Engine::Stopped, Engine::Idle]
        .into_iter()
        .map(|engine| {
            let mut state = State::parked(vehicle);
            state.key = Key::Run;
            state.engine = engine;
            state.settled = false;
            for position in &mut state.positions {
                *position = u8::from(random.chance(75));
            }
            state
        })
        .collect()
}

/// The circuit as a netlist. Nodes are `n` and the terminal's number; the chassis is 0.
fn netlist(vehicle: &Vehicle, solution: &Solution) -> String {
    let node = |terminal: keyoff::model::TerminalId| match terminal.0 {
        0 => "0".to_owned(),
        other => format!("n{other}"),
    };
    let mut text = String::from("random circuit\n");
    for (at, wire) in vehicle.wires.iter().enumerate() {
        let warm = 1.0 + 0.00393 * (wire.ambient.likely.0 - 20.0);
        let mut ohms = wire.resistance.map_or(0.0, |ohms| ohms.likely.0) * warm;
        ohms += wire
            .landing
            .iter()
            .flatten()
            .map(|ohms| ohms.likely.0)
            .sum::<f64>();
        if wire.from != wire.to {
            let _ = writeln!(
                text,
                "RW{at} {} {} {:.17e}",
                node(wire.from),
                node(wire.to),
                ohms.max(JOINT)
            );
        }
    }
    for (at, branch) in vehicle.branches.iter().enumerate() {
        let (a, b) = (node(branch.from), node(branch.to));
        let across = format!("v({a},{b})")
            .replace("v(0,", "(-1)*v(")
            .replace(",0)", ")");
        let way = solution
            .ways
            .iter()
            .find(|(id, _)| *id == BranchId(at as u32))
            .map(|(_, way)| *way);
        if !solution.closed[at] || a == b {
            continue;
        }
        match &branch.element {
            Element::Joint(ohms) | Element::Contact { ohms, .. } | Element::Coil { ohms, .. } => {
                let _ = writeln!(text, "RB{at} {a} {b} {:.17e}", ohms.likely.0.max(JOINT));
            }
            Element::Load(load) => {
                let fades = load.min_voltage.likely.0;
                let kind = vehicle
                    .part(branch.part)
                    .fields
                    .text("type")
                    .map(|kind| kind.value.as_str());
                // Both ways round: motors; all else takes nothing when it is connected the wrong way round.
                let both = kind == Some("motor");
                let steady = |amps: String, faded: f64| {
                    let backwards = format!("{faded:.17e}*@");
                    // Nothing but a trace, which settles the voltage of a point that hangs on such a load alone.
                    let below = if both {
                        format!("(@ < -{fades:.17e} ? -1*({amps}) : {backwards})")
                    } else {
                        "1e-7*@".to_owned()
                    };
                    format!("@ >= {fades:.17e} ? ({amps}) : (@ >= 0 ? {faded:.17e}*@ : {below})")
                };
                let law = match load.law {
                    None => continue,
                    Some(Law::Resistance(ohms)) => format!("@/{:.17e}", ohms.likely.0),
                    Some(Law::Power(watts)) => {
                        let watts = watts.likely.0;
                        steady(
                            format!("{watts:.17e}/max(abs(@),{fades:.17e})"),
                            watts / fades / fades,
                        )
                    }
                    Some(Law::Current(amps)) => {
                        let amps = amps.likely.0;
                        steady(format!("{amps:.17e}"), amps / fades)
                    }
                    Some(Law::Filament(amps)) => {
                        let (amps, rated) = (amps.likely.0, load.rated.likely.0);
                        let cold = amps * 0.1_f64.powf(0.55) / (0.1 * rated);
                        format!(
                            "abs(@) <= {:.17e} ? {cold:.17e}*@ : sgn(@)*{amps:.17e}*exp(0.55*ln(max(abs(@),{:.17e})/{rated:.17e}))",
                            0.1 * rated,
                            0.1 * rated
                        )
                    }
                };
                let law = law.replace('@', &format!("({across})"));
                let _ = writeln!(text, "BB{at} {a} {b} I = {law}");
            }
            Element::Cell {
                rest,
                ohms,
                charge_limit,
            } => match (way, charge_limit) {
                (Some(Way::ChargeLimit), Some(limit)) => {
                    let _ = writeln!(text, "IB{at} {b} {a} {:.17e}", limit.likely.0);
                }
                _ => {
                    // As a current beside its resistance: the simulator's elimination loses digits on the other form.
                    let _ = writeln!(
                        text,
                        "IB{at} {a} {b} {:.17e}\nRB{at} {a} {b} {:.17e}",
                        rest.likely.0 / ohms.likely.0,
                        ohms.likely.0
                    );
                }
            },
            Element::Alternator { volts, output } => {
                let limit = output
                    .iter()
                    .find(|(at, _)| *at == Engine::Idle)
                    .map(|(_, amps)| amps.likely.0);
                source(&mut text, at, &a, &b, way, volts.likely.0, limit);
            }
            Element::Charger { volts, limit, .. } => {
                source(
                    &mut text,
                    at,
                    &a,
                    &b,
                    way,
                    volts.likely.0,
                    limit.map(|limit| limit.likely.0),
                );
            }
            Element::Diode { drop, ohms } => {
                let _ = writeln!(
                    text,
                    "IB{at} {b} {a} {:.17e}\nRB{at} {a} {b} {:.17e}",
                    drop.likely.0 / ohms.likely.0,
                    ohms.likely.0
                );
            }
            Element::Converter {
                back,
                volts,
                limit,
                efficiency,
                standby,
            } => {
                let back = node(*back);
                source(
                    &mut text,
                    at,
                    &back,
                    &b,
                    way,
                    volts.likely.0,
                    limit.map(|limit| limit.likely.0),
                );
                let held = format!("(v({b})-v({back}))").replace("v(0)", "0");
                let given = match way {
                    Some(Way::AtLimit) => {
                        format!("{:.17e}", limit.map_or(0.0, |limit| limit.likely.0))
                    }
                    _ => format!("({:.17e}-{held})/{JOINT:e}", volts.likely.0),
                };
                let input = format!("(v({a})-v({back}))").replace("v(0)", "0");
                let _ = writeln!(
                    text,
                    "BC{at} {a} {back} I = {given}*{held}/{:.17e}/{input} + {:.17e}",
                    efficiency.likely.0, standby.likely.0
                );
            }
        }
    }
    text.push_str(
        ".options reltol=1e-10 vntol=1e-10 abstol=1e-13 gmin=1e-18 rshunt=1e13 itl1=2000\n",
    );
    // Where it starts from: full voltage, so that the same of several solutions is found.
    for (at, volts) in solution.volts.iter().enumerate().skip(1) {
        let start = if volts.0 > 1.0 {
            1.1 * vehicle.system.likely.0
        } else {
            0.0
        };
        let _ = writeln!(text, ".nodeset v(n{at})={start}");
    }
    text.push_str(".control\nset numdgt=15\nset width=200\nop\nprint all\nquit\n.endc\n.end\n");
    text
}

fn source(
    text: &mut String,
    at: usize,
    minus: &str,
    plus: &str,
    way: Option<Way>,
    volts: f64,
    limit: Option<f64>,
) {
    let _ = match way {
        Some(Way::AtLimit) => writeln!(text, "IB{at} {minus} {plus} {:.17e}", limit.unwrap_or(0.0)),
        _ => writeln!(
            text,
            "IB{at} {minus} {plus} {:.17e}\nRB{at} {minus} {plus} {JOINT:e}",
            volts / JOINT
        ),
    };
}

/// Voltages by terminal number, as ngspice finds them.
fn simulate(netlist: &str) -> Result<Vec<(usize, f64)>, String> {
    let mut child = Command::new("ngspice")
        .args(["-b", "-n", "/dev/stdin"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| error.to_string())?;
    let mut input = child.stdin.take().unwrap();
    input.write_all(netlist.as_bytes()).unwrap();
    drop(input);
    let output = child.wait_with_output().unwrap();
    let words = String::from_utf8_lossy(&output.stdout).into_owned();
    let mut found = Vec::new();
    for line in words.lines() {
        let Some((name, value)) = line.split_once('=') else {
            continue;
        };
        let Some(number) = name.trim().strip_prefix('n') else {
            continue;
        };
        if let (Ok(number), Ok(value)) = (number.parse(), value.trim().parse()) {
            found.push((number, value));
        }
    }
    if found.is_empty() {
        return Err(format!(
            "{words}\n{}",
            String::from_utf8_lossy(&output.stderr)
        ));
    }
    Ok(found)
}

/// Every source, diode and relay is in a way that its voltage and current allow.
fn agrees(vehicle: &Vehicle, state: &State, solution: &Solution) -> Vec<String> {
    let mut wrong = Vec::new();
    let small = 2e-6;
    for (at, branch) in vehicle.branches.iter().enumerate() {
        let id = BranchId(at as u32);
        let amps = solution.branch(id).0;
        let volts = solution.at(branch.from).0 - solution.at(branch.to).0;
        let way = solution
            .ways
            .iter()
            .find(|(other, _)| *other == id)
            .map(|(_, way)| *way);
        let mut must = |truth: bool, words: &str| {
            if !truth {
                wrong.push(format!(
                    "{} {words}: {way:?} {amps} A {volts} V",
                    vehicle.part(branch.part).name.value
                ));
            }
        };
        let held = |must: &mut dyn FnMut(bool, &str), held: f64, volts: f64, limit: f64| match way {
            Some(Way::Holding) => {
                must(
                    (-small..=limit + small).contains(&amps),
                    "holds within its limit",
                );
                must((volts - held).abs() < 1e-4, "holds its voltage");
            }
            Some(Way::AtLimit) => must(
                volts <= held + small && (amps - limit).abs() < small,
                "gives its limit",
            ),
            Some(Way::Off) => must(amps.abs() < small, "is off"),
            _ => must(false, "has a way"),
        };
        match &branch.element {
            Element::Cell {
                rest,
                ohms,
                charge_limit,
            } => {
                let free = (rest.likely.0 + volts) / ohms.likely.0;
                let limit = charge_limit.map_or(f64::INFINITY, |limit| limit.likely.0);
                match way {
                    Some(Way::Free) => must(
                        amps >= -limit - small && (amps - free).abs() < 1e-5,
                        "is free",
                    ),
                    Some(Way::ChargeLimit) => must(
                        free <= -limit + small && (amps + limit).abs() < small,
                        "takes its limit",
                    ),
                    _ => must(false, "has a way"),
                }
            }
            Element::Alternator {
                volts: held_at,
                output,
            } => {
                let limit = output
                    .iter()
                    .find(|(at, _)| *at == Engine::Idle)
                    .map_or(f64::INFINITY, |(_, amps)| amps.likely.0);
                held(&mut must, held_at.likely.0, -volts, limit);
                let off = way == Some(Way::Off);
                must(
                    !off || !state.engine.runs() || -volts >= held_at.likely.0 - small,
                    "is off with cause",
                );
            }
            Element::Charger {
                volts: held_at,
                limit,
                ..
            } => {
                held(
                    &mut must,
                    held_at.likely.0,
                    -volts,
                    limit.map_or(f64::INFINITY, |limit| limit.likely.0),
                );
                must(
                    way != Some(Way::Off) || -volts >= held_at.likely.0 - small,
                    "is off with cause",
                );
            }
            Element::Diode { drop, .. } => {
                if solution.closed[at] {
                    must(amps >= -small, "passes forwards");
                } else {
                    must(
                        volts <= drop.likely.0 + small && amps.abs() < small,
                        "blocks",
                    );
                }
            }
            Element::Coil {
                pull_in,
                drop_out,
                role: CoilRole::Hold,
                ..
            } => {
                let chatters = solution
                    .chatter
                    .iter()
                    .flatten()
                    .any(|part| *part == branch.part);
                let is_in = solution.memory.0[branch.part.index()];
                let rests = if is_in {
                    volts.abs() >= drop_out.likely.0
                } else {
                    volts.abs() < pull_in.likely.0
                };
                must(chatters || rests, "rests");
            }
            Element::Contact {
                control: Control::Relay { relay, when_in },
                ..
            } => {
                must(
                    solution.closed[at] == (solution.memory.0[relay.index()] == *when_in),
                    "follows its coil",
                );
            }
            Element::Contact {
                control: Control::Switch { unit, closed_in },
                ..
            } => {
                must(
                    solution.closed[at] == closed_in.contains(&state.positions[*unit as usize]),
                    "follows its switch",
                );
            }
            _ => {}
        }
    }
    wrong
}

#[test]
fn random_circuits_agree_with_ngspice() {
    if Command::new("ngspice").arg("--version").output().is_err() {
        assert!(
            std::env::var("CI").is_err(),
            "ngspice must be installed where CI is set"
        );
        eprintln!("NOT COMPARED: ngspice is not installed (Debian package `ngspice`)");
        return;
    }
    let (mut compared, mut worst, mut faded, mut limited, mut failed) =
        (0, 0.0_f64, 0, 0, Vec::new());
    for seed in 0..CIRCUITS {
        let text = circuit(seed);
        let vehicle = vehicle(&text);
        let mut solver = Solver::new(&vehicle);
        for state in states(&vehicle, seed) {
            let solution = solver.solve(&state, &Memory::all_out(&vehicle));
            let place = format!("circuit {seed}, engine {:?}", state.engine);
            assert_eq!(solution.trouble, None, "{place}\n{text}");
            assert_eq!(
                agrees(&vehicle, &state, &solution),
                Vec::<String>::new(),
                "{place}\n{text}"
            );
            let (point, lost) = keyoff::solve::laws::lost_current(&vehicle, &solution);
            assert!(
                lost < 1e-9,
                "{place}: {lost} at {}",
                vehicle.terminal(point).label
            );
            limited += solution
                .ways
                .iter()
                .filter(|(_, way)| matches!(way, Way::AtLimit | Way::ChargeLimit))
                .count();
            faded += vehicle
                .branches
                .iter()
                .filter(|branch| match &branch.element {
                    Element::Load(load) => {
                        let volts = solution.at(branch.from).0 - solution.at(branch.to).0;
                        matches!(load.law, Some(Law::Power(_) | Law::Current(_)))
                            && volts > 0.5
                            && volts < load.min_voltage.likely.0
                    }
                    _ => false,
                })
                .count();
            match simulate(&netlist(&vehicle, &solution)) {
                Err(words) => failed.push(format!("{place}: {words}")),
                Ok(found) => {
                    compared += 1;
                    for (at, volts) in found {
                        if at >= solution.volts.len() {
                            continue;
                        }
                        let differs = (volts - solution.volts[at].0).abs();
                        worst = worst.max(differs);
                        assert!(
                            differs < AGREE,
                            "{place}: {} is {volts} V there and {} V here\n{text}\n{}",
                            vehicle.terminals[at].label,
                            solution.volts[at].0,
                            netlist(&vehicle, &solution)
                        );
                    }
                }
            }
        }
    }
    println!(
        "{compared} compared, worst {worst:.1e} V, {faded} faded loads, {limited} limited sources, {} not simulated",
        failed.len()
    );
    assert!(
        compared >= 200,
        "only {compared} compared; first failure: {:?}",
        failed.first()
    );
    assert!(
        faded > 3 && limited > 20,
        "too tame: {faded} faded, {limited} limited"
    );
}
