//! Random circuits, written as records: every kind of element, many of them badly chosen on purpose.

use std::fmt::Write as _;

/// A small generator of random numbers, the same on every machine.
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0xD1B5_4A32_D192_ED03)
    }
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    /// Between the two, in steps that print shortly.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let share = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        let value = low + share * (high - low);
        (value * 1e4).round() / 1e4
    }
    pub fn below(&mut self, count: usize) -> usize {
        (self.next() % count as u64) as usize
    }
    pub fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }
    fn of<'a>(&mut self, list: &[&'a str]) -> &'a str {
        list[self.below(list.len())]
    }
}

struct Writer {
    random: Random,
    parts: String,
    wires: String,
    count: usize,
    scale: f64,
    relays: usize,
    rails: Vec<String>,
    returns: Vec<String>,
}

/// The record of a random circuit; the same seed gives the same text.
pub fn circuit(seed: u64) -> String {
    with_relays(seed, 35)
}

/// A random circuit of which so many in a hundred loads hang on a relay; none: nothing in it moves by its voltage.
pub fn with_relays(seed: u64, relays: usize) -> String {
    let mut random = Random::new(seed);
    let scale = if random.chance(33) { 2.0 } else { 1.0 };
    let mut writer = Writer {
        random,
        parts: String::new(),
        wires: String::new(),
        count: 0,
        scale,
        relays,
        rails: Vec::new(),
        returns: Vec::new(),
    };
    writer.sources();
    writer.rails();
    let loads = 2 + writer.random.below(10);
    for _ in 0..loads {
        writer.circuit();
    }
    for _ in 0..writer.random.below(3) {
        let (a, b) = (writer.rail(), writer.rail());
        if a != b {
            writer.wire(&a, &b);
        }
    }
    let warm = writer.random.between(-30.0, 70.0);
    let Writer { parts, wires, .. } = writer;
    format!(
        "keyoff: 1
vehicle:
  name: random circuit {seed}
  system: {:.0} V
  climate: {{parked: {warm} C, engine-bay: 80 C, cabin: {warm} C, exterior: -15 C}}
parts:
{parts}wires:
{wires}",
        12.0 * scale
    )
}

impl Writer {
    fn part(&mut self, prefix: &str, text: &str) -> String {
        self.count += 1;
        let name = format!("{prefix}{}", self.count);
        let _ = writeln!(self.parts, "  {name}: {{{text}}}");
        name
    }

    fn wire(&mut self, from: &str, to: &str) {
        let sizes = [
            "18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "2.5 mm2", "16 SAE",
        ];
        let (size, most) = if self.random.chance(7) {
            ("22 AWG", 15.0)
        } else {
            (self.random.of(&sizes), 6.0)
        };
        let length = self.random.between(0.1, most);
        let zone = self.random.of(&["cabin", "exterior", "engine-bay"]);
        let _ = writeln!(
            self.wires,
            "  - {{from: {from}, to: {to}, size: {size}, length: {length} m, zone: {zone}}}"
        );
    }

    fn cable(&mut self, from: &str, to: &str) {
        let length = self.random.between(0.1, 3.0);
        let size = self.random.of(&["2 AWG", "1/0 AWG", "4 AWG", "35 mm2"]);
        let _ = writeln!(
            self.wires,
            "  - {{from: {from}, to: {to}, size: {size}, length: {length} m}}"
        );
    }

    fn battery(&mut self, prefix: &str, cells: f64) -> String {
        let rest = self.random.between(12.1, 12.9) * cells;
        let ohms = self.random.between(4.0, 25.0) * cells;
        // Of two in series both have one, since two equal limits leave the voltage between them open.
        let in_series = cells < self.scale;
        let limit = if in_series || self.random.chance(50) {
            format!(", charge-limit: {} A", self.random.between(3.0, 40.0))
        } else {
            String::new()
        };
        let text = format!(
            "kind: battery, chemistry: flooded, capacity: 80 Ah, voltage: {:.0} V, rest-voltage: {rest:.3} V, \
             internal-resistance: {ohms:.3} mohm{limit}",
            12.0 * cells
        );
        self.part(prefix, &text)
    }

    fn sources(&mut self) {
        let whole = self.scale;
        let first = if whole > 1.5 && self.random.chance(50) {
            let upper = self.battery("B", 1.0);
            let lower = self.battery("B", 1.0);
            self.cable(&format!("{lower}.+"), &format!("{upper}.-"));
            upper
        } else {
            let only = self.battery("B", whole);
            if self.random.chance(40) {
                let ohms = self.random.between(0.2, 5.0);
                let ground = self.part("G", &format!("kind: ground, resistance: {ohms} mohm"));
                self.cable(&format!("{only}.-"), &ground);
            }
            only
        };
        self.rails.push(format!("{first}.+"));
        if self.random.chance(65) {
            let idle = self.random.between(8.0, 120.0);
            let volts = self.random.between(13.6, 14.6) * whole;
            let text = format!(
                "kind: alternator, rated: {:.1} A, at-idle: {idle} A, voltage: {volts:.3} V",
                idle * 1.8
            );
            let alternator = self.part("A", &text);
            self.cable(&format!("{alternator}.+"), &format!("{first}.+"));
        }
        if self.random.chance(20) {
            let volts = self.random.between(13.0, 14.4) * whole;
            let amps = self.random.between(2.0, 25.0);
            let text =
                format!("kind: charger, hot-in: always, output: {amps} A, voltage: {volts:.3} V");
            let charger = self.part("C", &text);
            self.wire(&format!("{charger}.+"), &format!("{first}.+"));
        }
        if self.random.chance(35) {
            let second = self.battery("B", whole);
            let plus = format!("{second}.+");
            match self.random.below(if self.relays > 0 { 3 } else { 2 }) {
                0 => self.cable(&format!("{first}.+"), &plus),
                1 => {
                    let drop = self.random.between(0.3, 0.8);
                    let text =
                        format!("kind: isolator, style: diode, drop: {drop} V, resistance: 3 mohm");
                    let isolator = self.part("I", &text);
                    self.cable(&format!("{first}.+"), &format!("{isolator}.a"));
                    self.cable(&format!("{isolator}.b"), &plus);
                }
                _ => {
                    let text = format!(
                        "kind: isolator, style: relay, resistance: 2 mohm, closes: {} V, opens: {} V",
                        13.3 * whole,
                        12.7 * whole
                    );
                    let isolator = self.part("I", &text);
                    self.cable(&format!("{first}.+"), &format!("{isolator}.a"));
                    self.cable(&format!("{isolator}.b"), &plus);
                }
            }
            self.rails.push(plus);
        }
    }

    fn rails(&mut self) {
        for _ in 0..1 + self.random.below(3) {
            let from = self.rail();
            let fuse = self.part("F", "kind: fuse, rating: 60 A, form: bolt-down");
            let ohms = self.random.between(0.05, 3.0);
            let kind = self.random.of(&["splice", "busbar", "stud"]);
            let rail = self.part("R", &format!("kind: {kind}, resistance: {ohms} mohm"));
            self.wire(&from, &format!("{fuse}.in"));
            self.wire(&format!("{fuse}.out"), &rail);
            self.rails.push(rail);
        }
        if self.random.chance(60) {
            let hot = self
                .random
                .of(&["[run]", "[run, accessory]", "[start]", "always"]);
            let feed = self.part("H", &format!("kind: feed, hot-in: {hot}, limit: 30 A"));
            self.rails.push(format!("{feed}.out"));
        }
        if self.relays > 0 && self.random.chance(25) {
            let from = self.rail();
            let out = self.random.between(5.0, 13.0);
            let rating = self.random.between(2.0, 12.0);
            let text = format!(
                "kind: converter, output: {out} V, rating: {rating} A, efficiency: 85 %, standby: 30 mA"
            );
            let converter = self.part("V", &text);
            self.wire(&from, &format!("{converter}.in"));
            if self.random.chance(50) {
                self.wire(&format!("{converter}.-"), "chassis");
            }
            let rail = self.part("R", "kind: splice, resistance: 1 mohm");
            self.wire(&format!("{converter}.out"), &rail);
            for _ in 0..1 + self.random.below(2) {
                let ohms = self.random.between(1.0, 30.0);
                let load = self.part("L", &format!("kind: load, type: heater, draw: {ohms} ohm"));
                self.wire(&rail, &format!("{load}.+"));
            }
        }
        for _ in 0..self.random.below(3) {
            let ohms = self.random.between(0.1, 40.0);
            if self.random.chance(50) {
                let ground = self.part("G", &format!("kind: ground, resistance: {ohms} mohm"));
                self.returns.push(ground);
            } else {
                let bar = self.part("Q", "kind: busbar, resistance: 0.4 mohm");
                self.wire(&bar, "chassis");
                self.returns.push(bar);
            }
        }
    }

    fn rail(&mut self) -> String {
        let at = self.random.below(self.rails.len());
        self.rails[at].clone()
    }

    /// A way through none to three things from a point; gives where it ends.
    fn way(&mut self, from: String) -> String {
        let mut at = from;
        for _ in 0..self.random.below(4) {
            let (name, into, out) = match self.random.below(6) {
                0 => (
                    self.part("F", "kind: fuse, rating: 15 A, form: blade"),
                    "in",
                    "out",
                ),
                1 | 2 => {
                    let ohms = self.random.between(2.0, 30.0);
                    let text = format!("kind: switch, rating: 10 A, resistance: {ohms} mohm");
                    (self.part("S", &text), "in", "out")
                }
                3 => (self.part("X", "kind: connector, pins: [1]"), "1.a", "1.b"),
                4 => {
                    let drop = self.random.between(0.2, 0.9);
                    let ohms = self.random.between(1.0, 60.0);
                    let text = format!("kind: diode, drop: {drop} V, resistance: {ohms} mohm");
                    let name = self.part("D", &text);
                    if self.random.chance(15) {
                        (name, "out", "in")
                    } else {
                        (name, "in", "out")
                    }
                }
                _ => {
                    let ohms = self.random.between(0.1, 2.0);
                    let name = self.part("P", &format!("kind: splice, resistance: {ohms} mohm"));
                    self.rails.push(name.clone());
                    self.wire(&at, &name);
                    at = name;
                    continue;
                }
            };
            self.wire(&at, &format!("{name}.{into}"));
            at = format!("{name}.{out}");
        }
        at
    }

    fn circuit(&mut self) {
        let rail = self.rail();
        let mut at = self.way(rail);
        if self.random.chance(self.relays) {
            let ohms = self.random.between(50.0, 120.0) * self.scale * self.scale;
            let contact = self.random.between(2.0, 30.0);
            let text = format!(
                "kind: relay, coil: {ohms:.2} ohm, contact: 30 A, contact-resistance: {contact} mohm, \
                 pull-in: {} V, drop-out: {} V",
                8.0 * self.scale,
                1.2 * self.scale
            );
            let relay = self.part("K", &text);
            self.wire(&at, &format!("{relay}.30"));
            let rail = self.rail();
            let trigger = self.way(rail);
            self.wire(&trigger, &format!("{relay}.86"));
            self.return_from(&format!("{relay}.85"));
            at = format!("{relay}.{}", self.random.of(&["87", "87", "87a"]));
        }
        let load = self.load();
        if self.random.chance(4) {
            // Connected the wrong way round.
            self.wire(&at, &format!("{load}.-"));
            self.wire(&format!("{load}.+"), "chassis");
            return;
        }
        self.wire(&at, &format!("{load}.+"));
        self.return_from(&format!("{load}.-"));
    }

    fn load(&mut self) -> String {
        let s = self.scale;
        let text = match self.random.below(8) {
            0 => format!("type: heater, draw: {} ohm", self.random.between(0.8, 40.0)),
            1 => format!("type: heater, draw: {} W", self.random.between(10.0, 200.0)),
            2 | 3 => format!("type: led, draw: {} W", self.random.between(4.0, 160.0)),
            4 => format!(
                "type: electronics, draw: {} A",
                self.random.between(0.01, 6.0)
            ),
            5 => format!("type: motor, draw: {} A", self.random.between(1.0, 25.0)),
            6 => format!(
                "type: electronics, draw: {} W, min-voltage: {:.2} V",
                self.random.between(20.0, 300.0),
                self.random.between(7.0, 11.0) * s
            ),
            _ => format!(
                "type: filament, draw: {} W",
                self.random.between(5.0, 110.0)
            ),
        };
        self.part("L", &format!("kind: load, {text}"))
    }

    fn return_from(&mut self, from: &str) {
        match self.random.below(4) {
            0 => {}
            1 => self.wire(from, "chassis"),
            _ if self.returns.is_empty() => self.wire(from, "chassis"),
            _ => {
                let at = self.random.below(self.returns.len());
                let to = self.returns[at].clone();
                self.wire(from, &to);
            }
        }
    }
}
