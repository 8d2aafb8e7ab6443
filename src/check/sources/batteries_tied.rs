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
        // Post to post, over nothing.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
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
    ],
    cannot: &[(
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
    )],
};
