//! Two batteries with nothing between them with the key off.

use super::tied;
use super::tied::Pair;
use super::tied::Tie;
use crate::check::prelude::*;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::Status;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "batteries-tied",
        level: Level::Error,
        harm: Harm::Stranded,
        summary: "two batteries are joined with the key off, so that what drains one drains both",
        page: include_str!("../../../docs/checks/batteries-tied.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    // A battery that can be unplugged is another check's.
    tied::pairs(context)
        .iter()
        .filter(|pair| !pair.plugged)
        .map(|pair| judge_pair(context, pair))
        .collect()
}

fn bank<'a>(context: &Context<'a>, battery: PartId) -> Option<&'a str> {
    let bank = context.vehicle.part(battery).fields.text("bank");
    bank.map(|bank| bank.value.as_str())
}

fn judge_pair(context: &Context<'_>, pair: &Pair) -> Verdict {
    let vehicle = context.vehicle;
    let (first, second) = (vehicle.part(pair.first), vehicle.part(pair.second));
    let banks = [pair.first, pair.second].map(|battery| bank(context, battery));
    let meant = banks[0].is_some() && banks[0] == banks[1];
    let factory = first.status == Status::Factory && second.status == Status::Factory;
    if meant || factory {
        return Verdict::NoneShown;
    }
    let over = match &pair.state {
        Tie::Apart => return Verdict::NoneShown,
        Tie::Unknown(missing) => {
            return Gap::of(missing.clone())
                .part(pair.first)
                .part(pair.second)
                .shown();
        }
        Tie::Joined(over) => over,
    };
    let names: Vec<&str> = over.iter().map(|&part| context.name(part)).collect();
    let over_words = if names.is_empty() {
        String::new()
    } else {
        format!(" over {}", words::list(&names, 4))
    };
    let finding = Finding::new(
        second.name.at,
        format!(
            "{} and {} are joined{over_words} with the key off: what drains one drains both",
            words::called(first),
            words::called(second)
        ),
    )
    .label("joined with the key off")
    .part(pair.second)
    .part(pair.first)
    .parts(over.iter().copied())
    .setting(Setting::default())
    .source("common practice, no source; the contacts are solved as the vehicle is left")
    .help(
        "put an isolator, or a relay that the engine holds in, between them, and leave no bypass closed; where they are meant to be one bank, write the same `bank: NAME` at both",
    )
    .also(first.name.at, "and this one");
    over.iter()
        .take(4)
        .fold(finding, |finding, &part| {
            finding.also(vehicle.part(part).name.at, "joins them")
        })
        .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  FA: {kind: fuse, rating: 80 A, form: bolt-down}
  FB: {kind: fuse, rating: 80 A, form: bolt-down}
wires:
  - {run: [B1, FA, FB, B2], size: 4 AWG, lengths: [15 cm, 3 m, 15 cm], insulation: sgx}
",
            "B2",
        ),
        // The isolator is there; the bypass beside it was left closed.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
  BYPASS: {kind: switch, rating: 100 A, left: closed}
wires:
  - {run: [B1, ISO.a], size: 4 AWG, lengths: [15 cm], insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {from: ISO.a, to: BYPASS, size: 4 AWG, length: 20 cm, insulation: sgx}
  - {from: BYPASS, to: ISO.b, size: 4 AWG, length: 20 cm, insulation: sgx}
",
            "BYPASS",
        ),
        // Post to post, over nothing; only the first is as the vehicle was made.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, status: factory}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
wires:
  - {from: B1.+, to: B2.+, size: 2/0 AWG, length: 10 cm, insulation: sgx}
",
            "B2",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
",
        // The button beside it springs back.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: diode, rating: 100 A, drop: 0.7 V}
  HELP: {kind: switch, rating: 100 A, momentary: true}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {from: ISO.a, to: HELP, size: 4 AWG, length: 20 cm, insulation: sgx}
  - {from: HELP, to: ISO.b, size: 4 AWG, length: 20 cm, insulation: sgx}
",
        // One bank on purpose.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: start}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, bank: start}
wires:
  - {from: B1, to: B2, size: 2/0 AWG, length: 15 cm, insulation: sgx}
",
        // A relay joins them while a switch holds it, and that is left open.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  K1: {kind: relay, coil: 20 ohm, contact: 100 A, duty: continuous}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A, left: open}
wires:
  - {from: B1, to: K1.30, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: K1.87, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {run: [B1, F1, S1, K1.86], size: 18 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
",
        // The vehicle was made so.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, status: factory}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, status: factory}
wires:
  - {from: B1, to: B2, size: 2/0 AWG, length: 15 cm, insulation: sgx}
",
        // A switch that turns a motor round reaches the chassis as well, and the chassis is no way from one battery to another.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
  F1: {kind: fuse, rating: 30 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  S1: {kind: switch, rating: 30 A, positions: {stop: [], out: [[B, M], [G, N]], in: [[G, M], [B, N]]}}
  S2: {kind: switch, rating: 30 A, positions: {stop: [], up: [[B, M], [G, N]], down: [[G, M], [B, N]]}}
  TARP: {kind: load, type: motor, draw: 20 A}
  GATE: {kind: load, type: motor, draw: 20 A}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {run: [B1, F1, S1.B], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.M, to: TARP.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: TARP.-, to: S1.N, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S1.G, to: chassis, size: 10 AWG, length: 1 m, insulation: gxl}
  - {run: [B2, F2, S2.B], size: 10 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S2.M, to: GATE.+, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: GATE.-, to: S2.N, size: 10 AWG, length: 1 m, insulation: gxl}
  - {from: S2.G, to: chassis, size: 10 AWG, length: 1 m, insulation: gxl}
",
        // One fan runs slow from the lower of two in series and fast from both: those two are one supply. The third is apart.
        "
vehicle: {name: coach, system: 24 V, engine: {cranking: 300 A, battery: BUP}, own-load: {off: 10 mA, run: 20 A}}
parts:
  BUP: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BLO: {kind: battery, voltage: 12 V, chemistry: agm, capacity: 100 Ah}
  BH: {kind: battery, voltage: 24 V, chemistry: agm, capacity: 100 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 26.6 V, opens: 25.6 V}
  F1: {kind: fuse, rating: 20 A, form: blade}
  F2: {kind: fuse, rating: 20 A, form: blade}
  S1: {kind: switch, rating: 20 A, positions: {off: [], slow: [[L, M]], fast: [[H, M]]}}
  FAN: {kind: load, type: motor, draw: 10 A}
wires:
  - {from: BLO.+, to: BUP.-, size: 2/0 AWG, length: 20 cm, insulation: sgx}
  - {run: [BUP, F1, S1.H], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {run: [BLO, F2, S1.L], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
  - {from: S1.M, to: FAN, size: 12 AWG, length: 1 m, insulation: gxl}
  - {from: BUP, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: BH, size: 4 AWG, length: 3 m, insulation: sgx}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.8 V}
  BYPASS: {kind: switch, rating: 100 A}
wires:
  - {from: B1, to: ISO.a, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {from: ISO.a, to: BYPASS, size: 4 AWG, length: 20 cm, insulation: sgx}
  - {from: BYPASS, to: ISO.b, size: 4 AWG, length: 20 cm, insulation: sgx}
",
            "BYPASS.left",
        ),
        // How the switch is left decides it, though it stands in no cable between the two; the button springs back.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  K1: {kind: relay, coil: 20 ohm, contact: 100 A, duty: continuous}
  F1: {kind: fuse, rating: 5 A, form: blade}
  S1: {kind: switch, rating: 10 A}
  HELP: {kind: switch, rating: 10 A, momentary: true}
  LIGHT: {kind: switch, rating: 10 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {from: B1, to: K1.30, size: 4 AWG, length: 15 cm, insulation: sgx}
  - {from: K1.87, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
  - {run: [B1, F1, S1, K1.86], size: 18 AWG, lengths: [10 cm, 1 m, 1 m], insulation: gxl}
  - {run: [F1, HELP, K1.86], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
  - {run: [F1, LIGHT, LAMP], size: 18 AWG, lengths: [1 m, 1 m], insulation: gxl}
",
            "S1.left",
        ),
        // Between the two ends of where it opens lies what the batteries rest at.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, rest-voltage: 12.7 V}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah, rest-voltage: 12.6 V}
  MASTER: {kind: disconnect, rating: 300 A}
  ISO: {kind: isolator, style: relay, rating: 100 A, closes: 13.3 V, opens: 12.4..13 V}
wires:
  - {run: [B1, MASTER, ISO.a], size: 4 AWG, lengths: [15 cm, 15 cm], insulation: sgx}
  - {from: ISO.b, to: B2, size: 4 AWG, length: 3 m, insulation: sgx}
",
            "ISO.opens",
        ),
        // The disconnect is closed where nobody says how it is left.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  B2: {kind: battery, chemistry: agm, capacity: 80 Ah}
  MASTER: {kind: disconnect, rating: 300 A}
  BYPASS: {kind: switch, rating: 100 A}
wires:
  - {run: [B1, MASTER, BYPASS, B2], size: 4 AWG, lengths: [15 cm, 20 cm, 3 m], insulation: sgx}
",
            "BYPASS.left",
        ),
    ],
};
