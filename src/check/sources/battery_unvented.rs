//! A battery that gasses, in a cab or body, without a box vented to the outside.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Status;
use crate::model::Zone;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "battery-unvented",
        level: Level::Error,
        harm: Harm::Fire,
        summary: "a battery that gasses sits in the cab or body without a vent to the outside",
        page: include_str!("../../../docs/checks/battery-unvented.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Battery])
        .filter(|(_, part)| part.status != Status::Factory)
        .map(|(id, part)| judge_battery(id, part))
        .collect()
}

fn judge_battery(id: PartId, part: &Part) -> Verdict {
    let chemistry = part.fields.text("chemistry");
    let gasses = chemistry.map(|word| matches!(word.value.as_str(), "flooded" | "efb"));
    let vented = part
        .fields
        .get("vented")
        .map(|_| part.fields.flag("vented"));
    if gasses == Some(false) || part.zone != Zone::Cabin || vented == Some(true) {
        return Verdict::NoneShown;
    }
    // What is taken where nothing is said of the zone is the cab: no proof that the battery is there.
    let lacking = [
        ("chemistry", gasses.is_none()),
        ("zone", part.fields.text("zone").is_none()),
        ("vented", vented.is_none()),
    ];
    let missing: Vec<String> = lacking
        .into_iter()
        .filter(|&(_, lacks)| lacks)
        .map(|(key, _)| part.missing(key))
        .collect();
    if !missing.is_empty() {
        return Gap::of(missing).part(id).shown();
    }
    let kind = chemistry.map_or("", |word| word.value.as_str());
    Finding::new(
        part.at("vented"),
        format!(
            "{} ({kind}) sits in the cab or body without a vent to the outside: the gas that it gives off while charging can \
             explode",
            words::called(part)
        ),
    )
    .label("no vent to the outside")
    .part(id)
    .also(part.at("zone"), "inside the cab or body")
    .source("49 CFR 393.30 and 33 CFR 183.420 (as restated in what was read)")
    .help("put it outside, or into a box that is tight to the inside and vented to the outside, and write `vented: true`")
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, zone: cabin, vented: false}
",
        "B1",
    )],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, zone: cabin, vented: true}
",
        "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, zone: engine-bay}
",
        // It keeps its gas but for a fault.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, zone: cabin}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, zone: cabin}
",
            "B1.vented",
        ),
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah}
",
            "B1.zone",
        ),
        // Nobody knows where it sits, and the record says so.
        (
            "
parts:
  B1: {kind: battery, chemistry: flooded, capacity: 80 Ah, zone: unknown, vented: false}
",
            "B1.zone",
        ),
    ],
};
