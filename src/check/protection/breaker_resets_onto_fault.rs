//! A breaker that closes by itself: it closes onto the short again and again.

use crate::check::prelude::*;
use crate::model::Part;
use crate::model::PartId;
use crate::read::document::Kind;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "breaker-resets-onto-fault",
        level: Level::Warning,
        harm: Harm::Fire,
        summary: "a breaker closes by itself onto the short that opened it",
        page: include_str!("../../../docs/checks/breaker-resets-onto-fault.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Breaker])
        .filter(|&(id, _)| context.is_added(id))
        .map(|(id, part)| judge_breaker(context, id, part))
        .collect()
}

fn judge_breaker(context: &Context<'_>, id: PartId, part: &Part) -> Verdict {
    let rule = context.rules.auto_reset_counts();
    if rule.value.0 > 0.5 {
        return Verdict::NoneShown;
    }
    let Some(reset) = part.fields.text("reset") else {
        return Gap::of([part.missing("reset")]).part(id).shown();
    };
    if reset.value != "automatic" {
        return Verdict::NoneShown;
    }
    let name = &part.name.value;
    Finding::new(
        part.at("reset"),
        format!(
            "{} closes by itself: a short behind it is switched on again and again",
            words::called(part)
        ),
    )
    .label("closes onto the short")
    .part(id)
    .help(format!(
        "use a fuse or a breaker with manual reset in place of {name}; where the loss of the circuit is worse than a short that cycles, choose `rules: {{auto-reset: allowed}}`"
    ))
    .source(rule.said())
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB1: {kind: breaker, rating: 20 A, reset: automatic}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "CB1",
    )],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB1: {kind: breaker, rating: 20 A, reset: manual}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // The breaker of the wipers is the vehicle's own, and modified reset stays open until the power is taken away.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB0: {kind: breaker, rating: 30 A, reset: automatic, status: factory}
  CB1: {kind: breaker, rating: 20 A, reset: modified}
  WIPE: {kind: load, type: motor, draw: 6 A, status: factory}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB0, WIPE], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl, status: factory}
  - {run: [B1, CB1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        // The record chooses the rule that allows it.
        "
rules: {auto-reset: allowed}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB1: {kind: breaker, rating: 20 A, reset: automatic}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
    ],
    cannot: &[(
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  CB1: {kind: breaker, rating: 20 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, CB1, LAMP], size: 12 AWG, lengths: [10 cm, 1 m], insulation: gxl}
",
        "CB1.reset",
    )],
};
