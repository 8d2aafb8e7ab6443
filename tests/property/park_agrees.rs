//! The closed sum of standing and the timeline that is followed event by event come to the same.

use std::fmt::Write as _;

use keyoff::analyze::park;
use keyoff::model::Vehicle;
use keyoff::solve::Solver;

use crate::random_circuit::Random;

/// A record with a few modules that settle, timed feeds and delays, on one battery or two that are joined. Draws are currents:
/// what changes with the voltage on the way down is followed by the timeline alone.
fn record(seed: u64) -> String {
    let mut random = Random::new(seed);
    let mut parts = String::new();
    let mut wires = String::new();
    let battery = |random: &mut Random| {
        format!(
            "kind: battery, chemistry: flooded, capacity: {} Ah, cold-cranking: 800 A, charge: {} %, health: 90 %",
            40 + random.below(100),
            80 + random.below(21)
        )
    };
    let _ = writeln!(parts, "  B1: {{{}}}", battery(&mut random));
    if random.below(2) == 0 {
        let _ = writeln!(parts, "  B2: {{{}}}", battery(&mut random));
        wires += "  - {from: B1, to: B2, size: 2 AWG, length: 1 m}\n";
        wires += "  - {from: B2.-, to: chassis, size: 2 AWG, length: 1 m}\n";
    }
    for number in 0..1 + random.below(4) {
        let most = 1 + random.below(60);
        let lasts = 1 + random.below(20);
        let load = format!("kind: load, type: electronics, draw: {}00 mA", most);
        match random.below(4) {
            0 => {
                let parked = 1 + random.below(80);
                let _ = writeln!(
                    parts,
                    "  M{number}: {{{load}, parked: {parked} mA, settles: {{draw: {most}00 mA, for: {lasts} h}}}}"
                );
                let _ = writeln!(
                    wires,
                    "  - {{from: B1, to: M{number}, size: 4 AWG, length: 1 m}}"
                );
            }
            1 => {
                let _ = writeln!(
                    parts,
                    "  T{number}: {{kind: feed, hot-in: [run], stays-on: {lasts} h}}"
                );
                let _ = writeln!(parts, "  L{number}: {{{load}}}");
                let _ = writeln!(
                    wires,
                    "  - {{from: T{number}, to: L{number}, size: 4 AWG, length: 1 m}}"
                );
            }
            2 => {
                let _ = writeln!(
                    parts,
                    "  D{number}: {{kind: delay, keeps-on: {lasts} h, draw: 5 mA, rating: 20 A}}"
                );
                let _ = writeln!(parts, "  L{number}: {{{load}}}");
                let _ = writeln!(
                    wires,
                    "  - {{run: [B1, D{number}, L{number}], size: 4 AWG, lengths: [1 m, 1 m]}}"
                );
                let _ = writeln!(
                    wires,
                    "  - {{from: D{number}.-, to: chassis, size: 16 AWG, length: 1 m}}"
                );
            }
            _ => {
                let duty = 5 + random.below(90);
                let _ = writeln!(parts, "  C{number}: {{{load}, duty: {duty} %}}");
                let _ = writeln!(
                    wires,
                    "  - {{from: B1, to: C{number}, size: 4 AWG, length: 1 m}}"
                );
            }
        }
    }
    format!(
        "keyoff: 1
vehicle:
  name: parked {seed}
  system: 12 V
  climate: {{parked: 5 C}}
  engine: {{cranking: 200 A}}
  own-load: {{off: 30 mA, run: 8 A}}
parts:
{parts}wires:
{wires}"
    )
}

/// Tolerance 0.5 %: the timeline goes in steps of 2 % of a charge, and a controller's own draw moves a little with the voltage.
#[test]
fn the_sum_and_the_timeline_end_at_the_same_time() {
    let mut before_settling = 0;
    for seed in 0..120 {
        let text = record(seed);
        let vehicle = vehicle(&text);
        let key_off = keyoff::analyze::analyze(&vehicle).key_off;
        let parked = park::park(&vehicle, &key_off);
        let bank = parked.starter().expect("it has a battery");
        let days = bank.here.as_ref().expect("something is drawn").days.likely;
        let ends = park::follow(&mut Solver::new(&vehicle), &parked).ends;
        let ends = ends.map_or(f64::INFINITY, |ends| ends.days());
        if key_off
            .runs_on
            .last()
            .is_some_and(|last| last.until.likely > days * 24.0)
        {
            before_settling += 1;
        }
        assert!(
            (days - ends).abs() <= 0.005 * days + 1e-6,
            "{days} by the sum, {ends} on the way\n{text}"
        );
    }
    assert!(
        before_settling > 10,
        "{before_settling} reach the floor before everything has settled"
    );
}

fn vehicle(text: &str) -> Vehicle {
    let document = keyoff::read::read(
        "random.yaml",
        text.as_bytes(),
        &mut |_| Err(String::new()),
        &keyoff::read::Limits::default(),
    );
    match document {
        Ok(document) => keyoff::model::build(std::sync::Arc::new(document)),
        Err(unreadable) => panic!("{:#?}\n{text}", unreadable.problems),
    }
}
