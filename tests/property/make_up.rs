//! Vehicles of a set number of parts, wired as added equipment is: a bar and a feed, circuits of five makes in turn, and
//! control wires that reach across from one circuit to another, more of them in larger vehicles. The four sizes are those on
//! which the method of layout was tried first.

use std::fmt::Write as _;

/// The sizes, and what was reached on vehicles of this make-up when the method was tried: crossings, bends and length of the
/// overview, crossings of all strips. Measured then, on other vehicles of the same number of parts and wires.
pub const SIZES: [(usize, usize, usize, i64, usize); 4] = [
    (8, 0, 5, 836, 0),
    (35, 17, 54, 12_456, 0),
    (120, 223, 175, 61_272, 2),
    (300, 1474, 508, 338_235, 8),
];

struct Maker {
    parts: String,
    wires: String,
    count: usize,
    ends: usize,
    switches: Vec<String>,
    seed: u64,
}

impl Maker {
    fn part(&mut self, text: &str) {
        let _ = writeln!(self.parts, "  {text}");
        self.count += 1;
    }

    fn wire(&mut self, from: &str, to: &str, size: &str) {
        self.ends += 1;
        let _ = writeln!(
            self.wires,
            "  - {{id: w{}, from: {from}, to: {to}, size: {size}, length: 2 m}}",
            self.ends
        );
    }

    fn load(&mut self, name: &str) {
        self.part(&format!("{name}: {{kind: load, draw: 3 A}}"));
        self.wire(name, "chassis", "14 AWG");
    }

    fn relay(&mut self, name: &str) {
        self.part(&format!(
            "{name}: {{kind: relay, coil: 90 ohm, contact: 30 A}}"
        ));
        self.wire(&format!("{name}.85"), "chassis", "18 AWG");
    }

    fn fuse(&mut self, name: &str) {
        self.part(&format!("{name}: {{kind: fuse, rating: 15 A}}"));
    }

    fn switch(&mut self, name: &str) {
        self.part(&format!("{name}: {{kind: switch}}"));
        self.switches.push(name.to_owned());
    }

    /// A switch of another circuit.
    fn other(&mut self) -> Option<String> {
        self.seed = self
            .seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let at = (self.seed >> 33) as usize % self.switches.len().max(1);
        self.switches.get(at).cloned()
    }
}

/// The record of a vehicle of so many parts.
#[must_use]
pub fn record(parts: usize) -> String {
    let mut maker = Maker {
        parts: String::new(),
        wires: String::new(),
        count: 0,
        ends: 0,
        switches: Vec::new(),
        seed: 7,
    };
    maker.part("B1: {kind: battery, capacity: 100 Ah, cold-cranking: 800 A}");
    let (supply, key) = if parts < 20 {
        ("B1", "B1")
    } else {
        maker.part("ALT: {kind: alternator, rated: 200 A}");
        maker.part("FM: {kind: fuse, rating: 100 A}");
        maker.part("BAR: {kind: busbar}");
        maker.part("RUN: {kind: feed, hot-in: [run]}");
        maker.wire("ALT", "B1", "4 AWG");
        maker.wire("B1", "FM", "4 AWG");
        maker.wire("FM", "BAR", "4 AWG");
        ("BAR", "RUN")
    };
    let mut circuit = 0;
    while maker.count < parts {
        circuit += 1;
        one_circuit(&mut maker, circuit, parts, supply, key);
    }
    format!(
        "keyoff: 1\nvehicle: {{name: {parts} parts, system: 12 V}}\nparts:\n{}wires:\n{}",
        maker.parts, maker.wires
    )
}

fn one_circuit(maker: &mut Maker, n: usize, parts: usize, supply: &str, key: &str) {
    let left = parts - maker.count;
    let f = |name: &str| format!("{name}{n}");
    let (fuse, switch, relay, load) = (f("F"), f("S"), f("K"), f("L"));
    let make = match left {
        0..=2 => 5,
        3 => 1,
        4 => n % 2 * 3,
        _ => (n + 4) % 5,
    };
    let end = |name: &str, pin: &str| format!("{name}.{pin}");
    if make != 5 {
        maker.fuse(&fuse);
        maker.wire(supply, &fuse, "12 AWG");
    }
    match make {
        // A load on a relay.
        0 => {
            maker.switch(&switch);
            maker.relay(&relay);
            maker.load(&load);
            maker.wire(&fuse, &end(&relay, "30"), "12 AWG");
            maker.wire(&end(&relay, "87"), &load, "12 AWG");
            maker.wire(key, &switch, "18 AWG");
            maker.wire(&switch, &end(&relay, "86"), "18 AWG");
        }
        // A load on a switch.
        1 => {
            maker.switch(&switch);
            maker.load(&load);
            maker.wire(&fuse, &switch, "14 AWG");
            maker.wire(&switch, &load, "14 AWG");
        }
        // Two loads on a switch.
        2 => {
            let (splice, second) = (f("SP"), f("M"));
            maker.switch(&switch);
            maker.part(&format!("{splice}: {{kind: splice}}"));
            maker.load(&load);
            maker.load(&second);
            maker.wire(&fuse, &switch, "14 AWG");
            maker.wire(&switch, &splice, "14 AWG");
            maker.wire(&splice, &load, "14 AWG");
            maker.wire(&splice, &second, "14 AWG");
        }
        // A relay that switches of other circuits pull in through diodes.
        3 => {
            let diode = f("D");
            maker.relay(&relay);
            maker.load(&load);
            maker.part(&format!("{diode}: {{kind: diode, rating: 3 A}}"));
            maker.wire(&fuse, &end(&relay, "30"), "12 AWG");
            maker.wire(&end(&relay, "87"), &load, "12 AWG");
            maker.wire(&diode, &end(&relay, "86"), "18 AWG");
            match maker.other() {
                Some(other) => maker.wire(&other, &diode, "18 AWG"),
                None => maker.wire(key, &diode, "18 AWG"),
            }
        }
        // A box with outputs, which follows switches of other circuits.
        4 => {
            let unit = f("C");
            let outputs = left.min(5) - 2;
            let inputs = if parts >= 300 { 4 } else { 2 };
            let list = |word: &str, count: usize, more: &str| {
                let all = (1..=count).map(|one| format!("{word}{one}{more}"));
                all.collect::<Vec<_>>().join(", ")
            };
            maker.part(&format!(
                "{unit}: {{kind: controller, draw: 0.1 A, outputs: {{{}}}, senses: [{}]}}",
                list("O", outputs, ": {hot-in: [run], side: high}"),
                list("I", inputs, ""),
            ));
            maker.wire(&fuse, &end(&unit, "+"), "14 AWG");
            maker.wire(&end(&unit, "-"), "chassis", "14 AWG");
            for output in 1..=outputs {
                let load = format!("L{n}{}", char::from(b'a' + output as u8 - 1));
                maker.load(&load);
                maker.wire(&end(&unit, &format!("O{output}")), &load, "16 AWG");
            }
            for input in 1..=inputs {
                if let Some(other) = maker.other() {
                    maker.wire(&other, &end(&unit, &format!("I{input}")), "18 AWG");
                }
            }
        }
        // What is left over: loads on the key.
        _ => {
            maker.load(&load);
            maker.wire(key, &load, "14 AWG");
        }
    }
}
