//! What the alternators can give at an engine speed, and what would have to be known to say it closely.

use crate::analyze::budget;
use crate::check::prelude::*;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Fact;
use crate::model::Part;
use crate::quantity::Amps;
use crate::quantity::Interval;
use crate::read::document::Kind;

/// Output by engine speed.
pub(super) type Output = [(Engine, Fact<Amps>)];

/// The alternators, each with its output.
fn alternators<'a>(context: &Context<'a>) -> Vec<(&'a Part, &'a Output)> {
    let vehicle = context.vehicle;
    let parts = context.parts_of(&[Kind::Alternator]);
    parts
        .flat_map(|(_, part)| part.branches.iter().map(move |&id| (part, id)))
        .filter_map(|(part, id)| match &vehicle.branch(id).element {
            Element::Alternator { output, .. } => Some((part, output.as_slice())),
            _ => None,
        })
        .collect()
}

/// What would be needed to know anything of them.
pub(super) fn missing(context: &Context<'_>) -> Vec<String> {
    let alternators = alternators(context);
    if alternators.is_empty() {
        return vec!["an alternator".to_owned()];
    }
    let silent = alternators.iter().filter(|(_, output)| output.is_empty());
    silent.map(|(part, _)| part.missing("rated")).collect()
}

/// Whether the record has a table of speeds.
pub(super) fn by_speed(output: &Output) -> bool {
    let mut speeds = output.iter().map(|(speed, _)| speed);
    speeds.any(|speed| matches!(speed, Engine::Speed(_)))
}

/// The least and the most that the alternators can give. A table of speeds says it. Without one it is at least what they give
/// at idle, and away from idle up to what they give on the road, of which only a nameplate tells.
pub(super) fn gives(context: &Context<'_>, engine: Engine) -> Option<Interval<Amps>> {
    let mut gives = budget::limit(context.vehicle, engine)?;
    if engine == Engine::Idle || !engine.runs() {
        return Some(gives);
    }
    for (part, output) in alternators(context) {
        if by_speed(output) {
            continue;
        }
        let most = match part.stated::<Amps>("rated") {
            Some(_) => budget::limit(context.vehicle, Engine::Cruise)?.high,
            None => Amps(f64::INFINITY),
        };
        gives.high = gives.high.max(most);
    }
    Some(gives)
}

/// For want of these facts, what the alternators have to carry cannot be judged.
pub(super) fn cannot(context: &Context<'_>, missing: Vec<String>) -> Verdict {
    let alternators = context.parts_of(&[Kind::Alternator]).map(|(id, _)| id);
    alternators.fold(Gap::of(missing), Gap::part).shown()
}

/// Figures that would close the range of what the alternators give at an engine speed.
pub(super) fn open(context: &Context<'_>, engine: Engine) -> Vec<String> {
    let each = alternators(context).into_iter();
    each.filter_map(|(part, output)| Some(part.missing(open_at(part, output, engine)?)))
        .collect()
}

fn open_at(part: &Part, output: &Output, engine: Engine) -> Option<&'static str> {
    let idle = engine == Engine::Idle;
    let mut points = output
        .iter()
        .filter(|(speed, _)| (*speed == Engine::Idle) == idle);
    let exact = points.all(|(_, amps)| amps.range.is_exact());
    let rated = part.stated::<Amps>("rated");
    if idle {
        (!exact).then_some("at-idle")
    } else if by_speed(output) {
        (!exact).then_some("output")
    } else if rated.is_none_or(|rated| !rated.range.is_exact()) {
        Some("rated")
    } else {
        // A nameplate alone is no exact figure for the road.
        Some("output")
    }
}

#[cfg(test)]
mod tests {
    use crate::analyze::analyze;
    use crate::analyze::budget;
    use crate::model::Engine;
    use crate::model::testing::vehicle;
    use crate::quantity::Amps;
    use crate::quantity::show::digits;

    /// What is told is the range of what is made up, not its best end.
    #[test]
    fn an_output_that_is_a_range_gives_a_range() {
        let vehicle = vehicle(
            "vehicle: {system: 12 V, engine: {cranking: 100 A}, own-load: {off: 10 mA, run: 130 A}}
parts:
  B1: {kind: battery, chemistry: agm, capacity: 80 Ah, cold-cranking: 800 A, charge: 100 %, health: 100 %}
  ALT: {kind: alternator, rated: 120 A}
situations:
  waiting: {key: run, engine: idle, for: 1 h}
",
        );
        let limit = budget::limit(&vehicle, Engine::Idle).unwrap();
        assert!(limit.low < limit.high && limit.high < Amps(130.0));
        let report = crate::check::run(&vehicle, &analyze(&vehicle));
        let said = |name: &str| {
            let mut all = report.findings.iter();
            let found = all.find(|reported| reported.check.name == name);
            found.unwrap().finding.message.clone()
        };
        // 130 A less what it gives at most and at least.
        let least = digits(130.0 - limit.high.0, 3);
        let most = digits(130.0 - limit.low.0, 3);
        for name in ["discharges-while-running", "alternator-overloaded"] {
            let message = said(name);
            assert!(
                message.contains(&format!("{least} A to {most} A, likely ")),
                "{message}"
            );
        }
        assert!(said("discharges-while-running").contains(" to "));
    }
}
