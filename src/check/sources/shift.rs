//! A situation with phases: whether the battery comes out of it lower than it went in.

use super::average;
use super::drained;
use super::output;
use super::output::cannot;
use crate::analyze::budget;
use crate::analyze::budget::Shift;
use crate::analyze::park::Parked;
use crate::check::prelude::*;
use crate::model::Setting;
use crate::model::Situation;
use crate::quantity::Fraction;
use crate::quantity::show::digits;
use crate::solve::Memory;
use crate::solve::Solver;
use crate::solve::State;

/// A shift that ends this much lower than it began is one that runs the battery down.
const LOST: f64 = 0.02;

/// Charge at the start of a shift, and the hours and the charge at its end.
fn ends(shift: &Shift) -> (f64, f64, f64) {
    let first = shift.charge.first().map_or(1.0, |&(_, charge)| charge);
    let (hours, last) = shift.charge.last().copied().unwrap_or((0.0, first));
    (first, hours, last)
}

fn falls(shift: &Shift) -> bool {
    let (first, _, last) = ends(shift);
    last < first - LOST
}

/// Follows a shift with what is likely, with most drawn and least given, and with least drawn and most given.
pub(super) fn judge(context: &Context<'_>, parked: &Parked, situation: &Situation) -> Verdict {
    let mut lacking = output::missing(context);
    if parked.starter().is_none_or(|bank| bank.battery.is_none()) {
        lacking.push("the capacity of the battery that starts".to_owned());
    }
    if !lacking.is_empty() {
        return cannot(context, lacking);
    }
    let follow = |most: bool| {
        let vehicle = drained::vehicle(context.vehicle, most);
        let situation = drained::situation(situation, most);
        budget::shift(&mut Solver::new(&vehicle), &situation, parked)
    };
    let likely = budget::shift(&mut Solver::new(context.vehicle), situation, parked);
    let (Some(likely), Some(worst), Some(best)) = (likely, follow(true), follow(false)) else {
        return cannot(context, vec![format!("{}.phases", situation.name)]);
    };
    if !falls(&worst) {
        return if likely.missing.is_empty() {
            Verdict::NoneShown
        } else {
            cannot(context, likely.missing)
        };
    }
    // Away from idle an alternator without a nameplate may give any amount.
    let any_amount = situation.phases.iter().any(|phase| {
        output::gives(context, phase.engine).is_some_and(|gives| gives.high.0.is_infinite())
    });
    if any_amount || !falls(&best) {
        let mut open = likely.missing;
        open.extend(self::open(context, situation));
        open.sort();
        open.dedup();
        return cannot(context, open);
    }
    fault(parked, situation, &likely, &best)
}

/// What would have to be known more closely in some phase.
fn open(context: &Context<'_>, situation: &Situation) -> Vec<String> {
    let vehicle = context.vehicle;
    let mut solver = Solver::new(vehicle);
    let mut open = Vec::new();
    for phase in &situation.phases {
        if phase.engine.runs() {
            open.extend(output::open(context, phase.engine));
        }
        let solution = solver.solve(&State::of(phase), &Memory::charged(vehicle));
        open.extend(average::open(context, phase, &solution, |_| true));
    }
    open
}

fn fault(parked: &Parked, situation: &Situation, likely: &Shift, best: &Shift) -> Verdict {
    let (first, hours, last) = ends(likely);
    let reached = match likely.reaches_floor {
        Some(hours) if hours <= 0.0 => {
            ", and the engine does not start even before that".to_owned()
        }
        Some(hours) => format!(
            ", and after {} h the engine no longer starts",
            digits(hours, 2)
        ),
        None => String::new(),
    };
    let show = |charge: f64| words::show(Fraction(charge));
    let (last_words, best_words) = (show(last), show(ends(best).2));
    let at_best = if last_words == best_words {
        String::new()
    } else {
        format!(", at best to {best_words},")
    };
    Finding::new(
        situation.at.unwrap_or_default(),
        format!(
            "over `{}` the charge falls from {} to {last_words}{at_best} in {} h{reached}",
            situation.name,
            show(first),
            digits(hours, 2)
        ),
    )
    .label("ends lower than it began")
    .parts(parked.starter().map(|bank| bank.part))
    .measured(Fraction(last), Fraction(first), "charge followed phase by phase, weighted by duty")
    .setting(Setting { situation: Some(situation.name.clone()), ..Setting::default() })
    .help("let the phases that charge last longer, raise the idle, shorten the duty, or fit an alternator that gives more")
    .shown()
}
