//! Laws of a wire's checks over whole records: more copper never fails what less passed, a shorter run never fails what a
//! longer one passed.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use proptest::prelude::*;

use crate::checks::audit;

const THIN_TO_THICK: [&str; 11] = [
    "20 AWG", "18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG", "4 AWG", "2 AWG",
    "1/0 AWG",
];

/// What is judged of a wire for itself.
const OF_WIRES: [&str; 6] = [
    "fuse-exceeds-wire",
    "short-not-cleared",
    "voltage-drop",
    "wire-below-minimum",
    "wire-overloaded",
    "load-undervoltage",
];

#[derive(Clone, Debug)]
struct Circuit {
    battery: u32,
    fuse: &'static str,
    insulation: &'static str,
    amps: f64,
    meters: f64,
    zone: &'static str,
    second_fuse: bool,
    home: bool,
}

impl Circuit {
    fn record(&self, size: &str, meters: f64) -> String {
        let Self {
            battery,
            fuse,
            insulation,
            amps,
            zone,
            ..
        } = self;
        let mut text = format!(
            "keyoff: 1
vehicle: {{name: Test truck, system: 12 V, own-load: {{off: 15 mA, run: 20 A}}, climate: {{engine-bay: 70 C}}}}
parts:
  B1: {{kind: battery, chemistry: flooded, capacity: 75 Ah, cold-cranking: {battery} A}}
  F1: {{kind: fuse, rating: {fuse}}}
  F2: {{kind: fuse, rating: 60 A, form: blade-maxi}}
  LAMP: {{kind: load, type: led, draw: {amps} A}}
wires:
"
        );
        if self.second_fuse {
            text +=
                "  - {run: [B1, F2, F1], size: 6 AWG, lengths: [10 cm, 50 cm], insulation: sgx}\n";
        } else {
            text += "  - {from: B1, to: F1, size: 6 AWG, length: 10 cm, insulation: sgx}\n";
        }
        let _ = writeln!(
            text,
            "  - {{id: out, from: F1, to: LAMP, size: {size}, length: {meters} m, insulation: {insulation}, zone: {zone}}}"
        );
        if self.home {
            let _ = writeln!(
                text,
                "  - {{id: home, from: LAMP, to: B1.-, size: {size}, length: {meters} m, insulation: {insulation}, zone: {zone}}}"
            );
        }
        text
    }

    fn fails(&self, size: &str, meters: f64) -> Fails {
        let (vehicle, report) = audit(&self.record(size, meters));
        report
            .findings
            .iter()
            .filter(|found| OF_WIRES.contains(&found.check.name))
            .flat_map(|found| {
                let name = found.check.name.to_owned();
                let wires = found.finding.wires.iter().copied();
                let mut about: Vec<String> = wires
                    .map(|wire| vehicle.wire(wire).id.clone())
                    .filter(|id| id == "out" || id == "home")
                    .collect();
                about.push(found.check.name.to_owned());
                about.into_iter().map(move |one| (name.clone(), one))
            })
            .collect()
    }
}

type Fails = BTreeSet<(String, String)>;

/// What fails now and did not before. A load that a poor wire starves draws less through it: more current on the better one
/// is no fault of that law, and the poor one had failed its voltage.
fn newly(before: &Fails, now: &Fails) -> Vec<(String, String)> {
    let starved = before.iter().any(|(check, _)| check == "voltage-drop");
    now.difference(before)
        .filter(|(check, _)| !(starved && check == "wire-overloaded"))
        .cloned()
        .collect()
}

fn circuit() -> impl Strategy<Value = Circuit> {
    (
        (
            400_u32..1000,
            prop::sample::select(vec![
                "3 A, form: blade-mini",
                "5 A, form: blade",
                "10 A, form: blade",
                "15 A, form: blade",
                "20 A, form: blade-mini",
                "30 A, form: blade",
                "40 A, form: blade-maxi",
                "60 A, form: blade-maxi",
                "20 A, form: glass",
                "100 A, form: bolt-down",
            ]),
            prop::sample::select(vec!["gpt", "gxl", "105 C"]),
            prop::sample::select(vec!["engine-bay", "exterior"]),
        ),
        (0.2_f64..40.0, 0.5_f64..30.0, any::<bool>(), any::<bool>()),
    )
        .prop_map(
            |((battery, fuse, insulation, zone), (amps, meters, second_fuse, home))| Circuit {
                battery,
                fuse,
                insulation,
                amps: (amps * 10.0).round() / 10.0,
                meters: (meters * 10.0).round() / 10.0,
                zone,
                second_fuse,
                home,
            },
        )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn more_copper_never_fails_what_less_passed(circuit in circuit()) {
        let mut before = circuit.fails(THIN_TO_THICK[0], circuit.meters);
        for size in &THIN_TO_THICK[1..] {
            let now = circuit.fails(size, circuit.meters);
            let new = newly(&before, &now);
            prop_assert!(new.is_empty(), "{size}: {new:?}\n{}", circuit.record(size, circuit.meters));
            before = now;
        }
    }

    #[test]
    fn a_shorter_run_never_fails_what_a_longer_one_passed(
        circuit in circuit(),
        size in prop::sample::select(THIN_TO_THICK.to_vec()),
    ) {
        let mut before = circuit.fails(size, circuit.meters);
        for share in [0.9, 0.7, 0.5, 0.3, 0.1, 0.03] {
            let meters = circuit.meters * share;
            let now = circuit.fails(size, meters);
            let new = newly(&before, &now);
            prop_assert!(new.is_empty(), "{meters} m: {new:?}\n{}", circuit.record(size, meters));
            before = now;
        }
    }
}
