//! Vehicles made at random from a seed: any kind of part, wired any way that a record allows. Not sound, only readable.

use std::fmt::Write as _;

/// A small generator of numbers; the same seed gives the same vehicle on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }

    pub fn below(&mut self, limit: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % limit.max(1)
    }

    pub fn one<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.below(list.len())]
    }
}

const WHAT: &[&str] = &[
    "",
    "what: work lamps, ",
    "what: four work lamps on the headache rack, ",
    "what: two-way radio behind the passenger seat with its own memory, ",
    "what: pump, ",
];
const SIZES: &[&str] = &[
    "18 AWG", "16 AWG", "12 AWG", "10 AWG", "6 AWG", "1/0 AWG", "2.5 mm2",
];
const COLORS: &[&str] = &[
    "red",
    "black",
    "yellow",
    "white/blue",
    "green",
    "ivory",
    "orange",
];

/// The record of a vehicle.
pub fn record(seed: u64) -> String {
    let mut dice = Dice::new(seed);
    let circuits = 1 + dice.below(if seed % 10 == 9 { 40 } else { 12 });
    let mut parts = String::new();
    let mut wires: Vec<String> = Vec::new();
    // Points that can feed something, and points that take returns.
    let mut feeds: Vec<String> = vec!["B1".to_owned()];
    let mut grounds: Vec<String> = vec!["chassis".to_owned()];
    let _ = writeln!(
        parts,
        "  B1: {{kind: battery, capacity: 75 Ah, cold-cranking: 700 A}}"
    );
    let _ = writeln!(parts, "  ALT: {{kind: alternator, rated: 120 A}}");
    if dice.below(3) == 0 {
        wire(&mut dice, &mut wires, "ALT", "B1");
    }
    for index in 0..dice.below(3) {
        let hot = dice.one(&["[run]", "always", "[accessory, run]", "[shore]", "[engine]"]);
        let _ = writeln!(
            parts,
            "  FEED{index}: {{kind: feed, hot-in: {hot}, limit: 20 A}}"
        );
        feeds.push(format!("FEED{index}"));
    }
    for index in 0..dice.below(3) {
        let kind = dice.one(&["busbar", "stud", "splice", "ground"]);
        let _ = writeln!(parts, "  G{index}: {{kind: {kind}}}");
        wire(&mut dice, &mut wires, &format!("G{index}"), "chassis");
        grounds.push(format!("G{index}"));
    }
    if dice.below(4) == 0 {
        let _ = writeln!(parts, "  B2: {{kind: battery, capacity: 50 Ah}}");
        let _ = writeln!(parts, "  ISO: {{kind: isolator, style: relay}}");
        wire(&mut dice, &mut wires, "B1", "ISO.a");
        wire(&mut dice, &mut wires, "ISO.b", "B2");
        feeds.push("B2".to_owned());
    }
    if dice.below(3) == 0 {
        let _ = writeln!(parts, "  BAR: {{kind: busbar, limit: 100 A}}");
        let _ = writeln!(parts, "  FM: {{kind: fuse, rating: 80 A, form: bolt-down}}");
        wire(&mut dice, &mut wires, "B1", "FM");
        wire(&mut dice, &mut wires, "FM", "BAR");
        feeds.push("BAR".to_owned());
        feeds.push("BAR".to_owned());
    }
    for circuit in 0..circuits {
        let mut at = feeds[dice.below(feeds.len())].clone();
        let mut step = |parts: &mut String,
                        wires: &mut Vec<String>,
                        dice: &mut Dice,
                        name: String,
                        kind: &str,
                        into: &str,
                        out: &str| {
            let what = dice.one(WHAT);
            let _ = writeln!(parts, "  {name}: {{{what}{kind}}}");
            wire(dice, wires, &at, &format!("{name}{into}"));
            at = format!("{name}{out}");
        };
        if dice.below(5) > 0 {
            let kind = dice.one(&[
                "kind: fuse, rating: 20 A",
                "kind: breaker, rating: 30 A",
                "kind: fusible-link, size: 16 AWG",
                "kind: fuse",
            ]);
            step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("F{circuit}"),
                kind,
                "",
                "",
            );
        }
        match dice.below(10) {
            0..=2 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("S{circuit}"),
                "kind: switch, rating: 10 A",
                "",
                "",
            ),
            3 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("S{circuit}"),
                "kind: switch, momentary: true",
                ".out",
                ".in",
            ),
            4 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("D{circuit}"),
                "kind: diode",
                "",
                "",
            ),
            5 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("X{circuit}"),
                "kind: connector, pins: [1, 2, 3]",
                ".1",
                ".1",
            ),
            6 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("SP{circuit}"),
                "kind: splice",
                "",
                "",
            ),
            7 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("T{circuit}"),
                "kind: delay, keeps-on: 10 min",
                ".in",
                ".out",
            ),
            8 => step(
                &mut parts,
                &mut wires,
                &mut dice,
                format!("L{circuit}"),
                "kind: cutoff, opens: 11.8 V, closes: 12.6 V",
                ".in",
                ".out",
            ),
            _ => {}
        }
        if dice.below(2) == 0 {
            let name = format!("K{circuit}");
            let across = dice.one(&[
                "",
                ", suppression: diode",
                ", suppression: resistor",
                ", latching: true",
            ]);
            let (into, out) = if dice.below(5) == 0 {
                (".87", ".30")
            } else {
                (".30", ".87")
            };
            step(
                &mut parts,
                &mut wires,
                &mut dice,
                name.clone(),
                &format!("kind: relay, coil: 90 ohm, contact: 40 A{across}"),
                into,
                out,
            );
            let trigger = feeds[dice.below(feeds.len())].clone();
            if across.contains("latching") {
                wire(&mut dice, &mut wires, &trigger, &format!("{name}.set"));
                if dice.below(2) == 0 {
                    wire(&mut dice, &mut wires, &trigger, &format!("{name}.reset"));
                }
            } else {
                match dice.below(4) {
                    0 => {
                        wire(&mut dice, &mut wires, &trigger, &format!("{name}.85"));
                        wire(&mut dice, &mut wires, &format!("{name}.86"), "chassis");
                    }
                    1 => {
                        let _ = writeln!(parts, "  SK{circuit}: {{kind: switch}}");
                        wire(&mut dice, &mut wires, &trigger, &format!("{name}.86"));
                        wire(
                            &mut dice,
                            &mut wires,
                            &format!("{name}.85"),
                            &format!("SK{circuit}"),
                        );
                        wire(&mut dice, &mut wires, &format!("SK{circuit}"), "chassis");
                    }
                    _ => {
                        wire(&mut dice, &mut wires, &trigger, &format!("{name}.86"));
                        let ground = grounds[dice.below(grounds.len())].clone();
                        wire(&mut dice, &mut wires, &format!("{name}.85"), &ground);
                    }
                }
                if dice.below(4) == 0 {
                    feeds.push(format!("{name}.87a"));
                }
            }
        }
        for lamp in 0..1 + dice.below(3) {
            let name = format!("LOAD{circuit}{}", ["A", "B", "C"][lamp]);
            let kind = match dice.below(8) {
                0 => "kind: load, supplies: {memory: {draw: 5 mA}, main: {draw: 2 A}}".to_owned(),
                1 => "kind: controller, draw: 100 mA, senses: [IGN], outputs: {OUT1: {limit: 5 A}, OUT2: {limit: 5 A, side: low}}".to_owned(),
                2 => "kind: stub, end: capped".to_owned(),
                3 => "kind: load".to_owned(),
                _ => format!("kind: load, type: {}, draw: 4 A", dice.one(&["led", "filament", "motor", "heater", "electronics"])),
            };
            let what = dice.one(WHAT);
            let _ = writeln!(parts, "  {name}: {{{what}{kind}}}");
            if kind.contains("supplies") {
                wire(&mut dice, &mut wires, &at, &format!("{name}.main"));
                wire(&mut dice, &mut wires, &at, &format!("{name}.memory"));
                continue;
            }
            if kind.contains("stub") {
                wire(&mut dice, &mut wires, &at, &name);
                continue;
            }
            wire(&mut dice, &mut wires, &at, &format!("{name}.+"));
            if kind.contains("outputs") && dice.below(2) == 0 {
                feeds.push(format!("{name}.OUT1"));
            }
            match dice.below(5) {
                0 => {}
                1 => {
                    wire(&mut dice, &mut wires, &format!("{name}.-"), "chassis");
                    let ground = grounds[dice.below(grounds.len())].clone();
                    if ground != "chassis" {
                        wire(&mut dice, &mut wires, &format!("{name}.-"), &ground);
                    }
                }
                _ => {
                    let ground = grounds[dice.below(grounds.len())].clone();
                    wire(&mut dice, &mut wires, &format!("{name}.-"), &ground);
                }
            }
        }
        if dice.below(3) == 0 && !at.starts_with("BAR") {
            feeds.push(at.clone());
        }
    }
    format!(
        "keyoff: 1
vehicle:
  name: Vehicle {seed} <made & \"drawn\" at random>
  system: 12 V
parts:
{parts}wires:
{}",
        wires.concat()
    )
}

fn wire(dice: &mut Dice, wires: &mut Vec<String>, from: &str, to: &str) {
    let mut keys = String::new();
    if dice.below(10) > 0 {
        let _ = write!(keys, ", size: {}", dice.one(SIZES));
    }
    if dice.below(10) > 0 {
        let _ = write!(keys, ", length: {} cm", 10 + 10 * dice.below(60));
    }
    if dice.below(10) > 1 {
        let _ = write!(keys, ", color: {}", dice.one(COLORS));
    }
    if dice.below(12) == 0 {
        let _ = write!(keys, ", id: cable-{}", wires.len());
    }
    wires.push(format!("  - {{from: {from}, to: {to}{keys}}}\n"));
}
