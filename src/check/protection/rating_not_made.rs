//! A fuse of a rating that is not made in its form.

use crate::check::prelude::*;
use crate::check::sizing;
use crate::model::Part;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::table::fuse;
use crate::table::fuse::Form;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "rating-not-made",
        level: Level::Warning,
        harm: Harm::Record,
        summary: "no fuse of this rating is made in this form",
        page: include_str!("../../../docs/checks/rating-not-made.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    context
        .parts_of(&[Kind::Fuse])
        .map(|(id, part)| judge_fuse(id, part))
        .collect()
}

fn judge_fuse(id: PartId, part: &Part) -> Verdict {
    let Some(rating) = part.stated::<Amps>("rating") else {
        return Gap::of([part.missing("rating")]).part(id).shown();
    };
    if !rating.range.is_exact() {
        return Gap::of([part.missing("rating")]).part(id).shown();
    }
    let rated = rating.likely;
    let form = sizing::form(part);
    let forms: &[Form] = form.as_ref().map_or(&Form::ALL, std::slice::from_ref);
    let made = |form: &Form| {
        fuse::standard_ratings(*form)
            .iter()
            .any(|made| (made.0 - rated.0).abs() < 1e-9)
    };
    let fits = forms.iter().filter(|form| made(form)).count();
    // Of some forms it is made and of others not.
    if fits > 0 {
        return if fits == forms.len() {
            Verdict::NoneShown
        } else {
            Gap::of([part.missing("form")]).part(id).shown()
        };
    }
    let name = &part.name.value;
    let shown = words::rated(rated);
    let of = form.map_or_else(
        || "in any form".to_owned(),
        |form| format!("as {}", form.name()),
    );
    let nearest = form.unwrap_or_else(|| fuse::default_form(rated).value);
    let next: Vec<String> = [
        fuse::next_down(nearest, rated),
        fuse::next_up(nearest, rated),
    ]
    .into_iter()
    .flatten()
    .map(words::rated)
    .collect();
    let help = format!(
        "read the figure off the fuse once more; the next that are made are {}",
        words::list(&next, 2)
    );
    Finding::new(
        part.at("rating"),
        format!("{name} is said to be rated {shown}, and no fuse of {shown} is made {of}"),
    )
    .label("not made")
    .part(id)
    .value(rated)
    .help(help)
    .source(fuse::ratings_source(nearest))
    .shown()
}

#[cfg(test)]
const CASES: Cases = Cases {
    trips: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 8 A, form: blade-mini}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
        // Between 35 A and 40 A no form has a fuse.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 37 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1",
        ),
    ],
    quiet: &[
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 7.5 A, form: blade-mini}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
        // 30 A is made in every form.
        "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 30 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
    ],
    cannot: &[
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, form: blade}
  RUN: {kind: feed, hot-in: [run], rating: 40 A, limit: 40 A}
  LAMP: {kind: load, type: led, draw: 1 A}
wires:
  - {run: [RUN, F1, LAMP], size: 8 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
        // Two ratings that are made, and no telling which it is.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 10..15 A, form: blade}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.rating",
        ),
        // 4 A is made as a blade and not as glass.
        (
            "
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah}
  F1: {kind: fuse, rating: 4 A}
  LAMP: {kind: load, type: led, draw: 2 A}
wires:
  - {run: [B1, F1, LAMP], size: 14 AWG, lengths: [10 cm, 2 m], insulation: 105 C}
",
            "F1.form",
        ),
    ],
};
