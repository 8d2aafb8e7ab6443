//! Small vehicles at random, with few switches and much that they have in common: weak batteries, long thin rails, returns
//! that are shared, relays that hold themselves in.

use std::fmt::Write as _;

use crate::random_circuit::Random;

struct Writer {
    random: Random,
    parts: String,
    wires: String,
    count: usize,
    /// Switches and modes so far.
    units: usize,
    rails: Vec<String>,
    /// Points behind switches.
    switched: Vec<String>,
    returns: Vec<String>,
}

/// The record; the same seed gives the same text.
pub fn record(seed: u64) -> String {
    let mut writer = Writer {
        random: Random::new(seed),
        parts: String::new(),
        wires: String::new(),
        count: 0,
        units: 0,
        rails: Vec::new(),
        switched: Vec::new(),
        returns: vec!["chassis".to_owned()],
    };
    writer.sources();
    let circuits = 2 + writer.random.below(4);
    for _ in 0..circuits {
        writer.circuit();
    }
    let Writer { parts, wires, .. } = writer;
    format!(
        "keyoff: 1
vehicle:
  name: small vehicle {seed}
  system: 12 V
  climate: {{parked: 5 C, engine-bay: 60 C, cabin: 20 C, exterior: 10 C}}
  engine: {{cranking: 200 A}}
  own-load: {{off: 12 mA, run: 8 A}}
parts:
{parts}wires:
{wires}"
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
        let size = ["18 AWG", "16 AWG", "14 AWG", "12 AWG"][self.random.below(4)];
        let length = self.random.between(0.2, 6.0);
        let _ = writeln!(
            self.wires,
            "  - {{from: {from}, to: {to}, size: {size}, length: {length} m, insulation: gxl, route: loom}}"
        );
    }

    fn sources(&mut self) {
        let ohms = self.random.between(4.0, 60.0);
        let _ = writeln!(
            self.parts,
            "  BAT: {{kind: battery, chemistry: flooded, capacity: 70 Ah, cold-cranking: 600 A, rest-voltage: 12.6 V, internal-resistance: {ohms} mohm}}"
        );
        let mut plus = "BAT.+".to_owned();
        if self.random.chance(60) {
            let idle = self.random.between(10.0, 60.0);
            let alternator = self.part(
                "A",
                &format!(
                    "kind: alternator, rated: {} A, at-idle: {idle} A",
                    idle * 2.0
                ),
            );
            self.wire(&format!("{alternator}.+"), "BAT.+");
        }
        match self.random.below(6) {
            0 => {
                let master = self.part("M", "kind: disconnect, rating: 200 A");
                self.wire("BAT.+", &format!("{master}.in"));
                plus = format!("{master}.out");
            }
            1 => {
                let master = self.part("M", "kind: disconnect, rating: 200 A");
                self.wire("BAT.-", &format!("{master}.in"));
                self.wire(&format!("{master}.out"), "chassis");
            }
            2 => {
                let second = self.part("B", "kind: battery, chemistry: agm, capacity: 60 Ah, rest-voltage: 12.7 V, internal-resistance: 15 mohm");
                let style = ["relay", "diode"][self.random.below(2)];
                let isolator = self.part(
                    "I",
                    &format!("kind: isolator, style: {style}, rating: 100 A"),
                );
                self.wire("BAT.+", &format!("{isolator}.a"));
                self.wire(&format!("{isolator}.b"), &format!("{second}.+"));
                self.rails.push(format!("{second}.+"));
            }
            3 => {
                let charger = self.part(
                    "C",
                    "kind: charger, hot-in: shore, output: 8 A, voltage: 13.8 V",
                );
                self.wire(&format!("{charger}.+"), "BAT.+");
            }
            _ => {}
        }
        self.rails.push(plus.clone());
        for _ in 0..1 + self.random.below(2) {
            let fuse = self.part("F", "kind: fuse, rating: 30 A, form: blade");
            let ohms = self.random.between(0.1, 60.0);
            let rail = self.part("R", &format!("kind: splice, resistance: {ohms} mohm"));
            let from = plus.clone();
            self.wire(&from, &format!("{fuse}.in"));
            self.wire(&format!("{fuse}.out"), &rail);
            self.rails.push(rail);
        }
        if self.random.chance(70) {
            let hot = ["[run]", "[run, accessory]", "[engine]", "always"][self.random.below(4)];
            let stays = if self.random.chance(20) {
                ", stays-on: 10 min"
            } else {
                ""
            };
            let feed = self.part(
                "H",
                &format!("kind: feed, hot-in: {hot}, limit: 20 A{stays}"),
            );
            self.rails.push(format!("{feed}.out"));
        }
        if self.random.chance(50) {
            let ohms = self.random.between(1.0, 80.0);
            let ground = self.part("G", &format!("kind: ground, resistance: {ohms} mohm"));
            self.returns.push(ground);
        }
    }

    fn rail(&mut self) -> String {
        let at = self.random.below(self.rails.len());
        self.rails[at].clone()
    }

    fn home(&mut self, from: &str) {
        let at = self.random.below(self.returns.len());
        let to = self.returns[at].clone();
        self.wire(from, &to);
    }

    fn switch(&mut self) -> String {
        self.units += 1;
        let keys = match self.random.below(8) {
            0 => ", momentary: true",
            1 => ", left: closed",
            _ => ", left: open",
        };
        self.part("S", &format!("kind: switch, rating: 20 A{keys}"))
    }

    fn load(&mut self) -> String {
        let random = &mut self.random;
        let text = match random.below(7) {
            0 => format!("type: heater, draw: {} ohm", random.between(0.8, 20.0)),
            1 => format!("type: led, draw: {} W", random.between(10.0, 150.0)),
            2 => format!("type: motor, draw: {} A", random.between(1.0, 20.0)),
            3 => format!(
                "type: electronics, draw: {} A, parked: 20 mA",
                random.between(0.1, 3.0)
            ),
            4 => format!("type: filament, draw: {} W", random.between(5.0, 110.0)),
            5 if self.units < 5 => {
                self.units += 1;
                format!(
                    "type: electronics, draw: {} A, modes: {{transmit: {} A}}",
                    random.between(0.1, 1.0),
                    random.between(2.0, 12.0)
                )
            }
            _ => format!("type: led, draw: {} A", random.between(0.5, 8.0)),
        };
        self.part("L", &format!("kind: load, {text}"))
    }

    fn relay(&mut self) -> String {
        let ohms = self.random.between(50.0, 110.0);
        let pull_in = self.random.between(6.5, 8.5);
        self.part(
            "K",
            &format!("kind: relay, coil: {ohms} ohm, contact: 30 A, pull-in: {pull_in} V, drop-out: 2.5 V"),
        )
    }

    /// A load with its way home from a point.
    fn ending(&mut self, from: &str) {
        let load = self.load();
        self.wire(from, &format!("{load}.+"));
        self.home(&format!("{load}.-"));
    }

    fn circuit(&mut self) {
        let rail = self.rail();
        if self.units >= 5 {
            return self.ending(&rail);
        }
        match self.random.below(10) {
            0 | 1 => {
                let switch = self.switch();
                self.wire(&rail, &format!("{switch}.in"));
                let out = format!("{switch}.out");
                self.ending(&out);
                self.switched.push(out);
            }
            2 | 3 => {
                let (switch, relay) = (self.switch(), self.relay());
                self.wire(&rail, &format!("{switch}.in"));
                self.wire(&format!("{switch}.out"), &format!("{relay}.86"));
                self.home(&format!("{relay}.85"));
                let supply = self.rail();
                self.wire(&supply, &format!("{relay}.30"));
                let contact = ["87", "87", "87a"][self.random.below(3)];
                self.ending(&format!("{relay}.{contact}"));
                self.switched.push(format!("{relay}.{contact}"));
            }
            4 => {
                // Holds itself in through its own contact; a button starts it.
                let relay = self.relay();
                let start = self.part("S", "kind: switch, rating: 10 A, momentary: true");
                self.units += 1;
                self.wire(&rail, &format!("{relay}.30"));
                self.wire(&rail, &format!("{start}.in"));
                self.wire(&format!("{start}.out"), &format!("{relay}.86"));
                self.wire(&format!("{relay}.87"), &format!("{relay}.86"));
                self.home(&format!("{relay}.85"));
                self.ending(&format!("{relay}.87"));
            }
            5 => {
                let (first, second) = (self.switch(), self.switch());
                let joint = self.part("R", "kind: splice, resistance: 0.5 mohm");
                let other = self.rail();
                self.wire(&rail, &format!("{first}.in"));
                self.wire(&other, &format!("{second}.in"));
                self.wire(&format!("{first}.out"), &joint);
                if self.random.chance(50) {
                    let diode = self.part("D", "kind: diode, rating: 20 A");
                    self.wire(&format!("{second}.out"), &format!("{diode}.in"));
                    self.wire(&format!("{diode}.out"), &joint);
                } else {
                    self.wire(&format!("{second}.out"), &joint);
                }
                self.ending(&joint);
            }
            6 => {
                let unit = self.part("S", "kind: switch, rating: 20 A, positions: {off: [], low: [[B, L]], high: [[B, H]]}, left: off");
                self.units += 1;
                self.wire(&rail, &format!("{unit}.B"));
                self.ending(&format!("{unit}.L"));
                self.ending(&format!("{unit}.H"));
            }
            7 => {
                self.units += 2;
                let relay = self.part(
                    "K",
                    "kind: relay, latching: true, coil: 80 ohm, contact: 30 A",
                );
                for coil in ["set", "reset"] {
                    let button = self.part("S", "kind: switch, rating: 10 A, momentary: true");
                    self.wire(&rail, &format!("{button}.in"));
                    self.wire(&format!("{button}.out"), &format!("{relay}.{coil}"));
                }
                self.home(&format!("{relay}.85"));
                let supply = self.rail();
                self.wire(&supply, &format!("{relay}.30"));
                self.ending(&format!("{relay}.87"));
            }
            8 => {
                let unit = match self.random.below(3) {
                    0 => self.part("U", "kind: cutoff, opens: 11.5 V, closes: 12.4 V, draw: 5 mA, rating: 30 A"),
                    1 => self.part("T", "kind: delay, keeps-on: 10 min, draw: 5 mA"),
                    _ => self.part("V", "kind: converter, output: 5 V, rating: 6 A, efficiency: 85 %, standby: 10 mA"),
                };
                let switch = self.switch();
                self.wire(&rail, &format!("{switch}.in"));
                self.wire(&format!("{switch}.out"), &format!("{unit}.in"));
                if unit.starts_with('V') {
                    let ohms = self.random.between(1.0, 20.0);
                    let load =
                        self.part("L", &format!("kind: load, type: heater, draw: {ohms} ohm"));
                    self.wire(&format!("{unit}.out"), &format!("{load}.+"));
                } else {
                    self.ending(&format!("{unit}.out"));
                }
            }
            _ => {
                // A lamp between two points, as a pilot lamp is that finds its return through another load.
                let from = if self.switched.is_empty() {
                    rail
                } else {
                    let at = self.random.below(self.switched.len());
                    self.switched[at].clone()
                };
                let switch = self.switch();
                let supply = self.rail();
                self.wire(&supply, &format!("{switch}.in"));
                let lamp = self.part("L", "kind: load, type: filament, draw: 3 W");
                self.wire(&format!("{switch}.out"), &format!("{lamp}.+"));
                self.wire(&format!("{lamp}.-"), &from);
                self.ending(&from);
            }
        }
    }
}
