//! Something that must run down or write its files first can be cut off sooner.

#[cfg(test)]
mod cases;

use crate::check::flow;
use crate::check::prelude::*;
use crate::check::search::Base;
use crate::check::search::search;
use crate::check::weigh::Weighed;
use crate::check::weigh::weigh;
use crate::model::BranchId;
use crate::model::Control;
use crate::model::Element;
use crate::model::Engine;
use crate::model::Fact;
use crate::model::Key;
use crate::model::Link;
use crate::model::Part;
use crate::model::PartId;
use crate::model::Setting;
use crate::model::SwitchUnit;
use crate::model::Vehicle;
use crate::model::walk::Consumer;
use crate::quantity::Seconds;
use crate::read::document::Kind;
use crate::read::document::Value;
use crate::solve::LIVE;
use crate::solve::Memory;
use crate::solve::Solution;
use crate::solve::Solver;
use crate::solve::State;

pub(in crate::check) static CHECK: Check = Check {
    meta: Meta {
        name: "shutdown-cut-short",
        level: Level::Error,
        harm: Harm::Damage,
        summary: "a disconnect, cutoff or key feed cuts off what must run down first",
        page: include_str!("../../../docs/checks/shutdown-cut-short.md"),
    },
    judge: Judge::Vehicle(judge),
    #[cfg(test)]
    cases: cases::CASES,
};

fn judge(context: &Context<'_>) -> Vec<Verdict> {
    let mut parts: Vec<(PartId, &Part, Fact<Seconds>)> = context
        .parts_of(&[Kind::Load, Kind::Controller])
        .filter_map(|(id, part)| Some((id, part, part.stated("needs-shutdown")?)))
        .collect();
    parts.retain(|(id, ..)| {
        let mut consumers = context.walks.consumers_of(*id);
        consumers.any(|consumer| !consumer.sources.is_empty())
    });
    let unknown = context.parts_of(&[Kind::Load, Kind::Controller]);
    let mut verdicts: Vec<Verdict> = unknown
        .filter(|(_, part)| part.fields.is_unknown("needs-shutdown"))
        .map(|(id, part)| Gap::of([part.missing("needs-shutdown")]).part(id).shown())
        .collect();
    if parts.is_empty() {
        return verdicts;
    }
    let mut solver = Solver::new(context.vehicle);
    let judged = parts
        .into_iter()
        .flat_map(|(id, part, needs)| judge_part(context, &mut solver, id, part, needs));
    verdicts.extend(judged);
    verdicts
}

/// What ends its supply, and how.
struct Cut {
    by: Option<PartId>,
    words: String,
    help: String,
    setting: Setting,
}

fn judge_part(
    context: &Context<'_>,
    solver: &mut Solver<'_>,
    id: PartId,
    part: &Part,
    needs: Fact<Seconds>,
) -> Vec<Verdict> {
    let vehicle = context.vehicle;
    let supplies: Vec<&Consumer> = context
        .walks
        .consumers_of(id)
        .filter(|consumer| flow::load(context, consumer).is_some())
        .collect();
    let ways: Vec<BranchId> = supplies
        .iter()
        .flat_map(|consumer| consumer.feed.iter().chain(&consumer.back))
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(branch),
            Link::Wire(_) => None,
        })
        .collect();
    let unsure = unsure(context, part, &ways, needs);
    if !unsure.is_empty() {
        return vec![Gap::of(unsure).part(id).shown()];
    }
    let on = |solution: &Solution| {
        supplies.iter().any(|consumer| {
            let branch = vehicle.branch(consumer.branch);
            (solution.at(branch.from) - solution.at(branch.to)).abs().0 > LIVE
        })
    };
    // As it is at work: as it is left, else with as few switches moved as it takes.
    let run = Base {
        state: State {
            key: Key::Run,
            engine: Engine::Idle,
            settled: false,
            ..State::parked(vehicle)
        },
        setting: Setting::default(),
    };
    let charged = Memory::charged(vehicle);
    let as_left = on(&solver.solve(&run.state, &charged));
    let shows = search(
        vehicle,
        &[run],
        |_, unit| !as_left && !unit.momentary,
        |state| on(&solver.solve(state, &charged)).then_some(1.0),
    );
    let Some(state) = shows.map(|shows| shows.first.state) else {
        return vec![Verdict::NoneShown];
    };
    let running = solver.solve(&state, &charged);
    let mut cuts = Vec::new();
    let after = State {
        key: Key::Off,
        engine: Engine::Stopped,
        elapsed: needs.range.high * 0.999,
        ..state.clone()
    };
    let lasts = on(&solver.solve(&after, &running.memory));
    if !lasts {
        cuts.push(by_the_key(context, part, &ways, needs));
    }
    for (number, unit) in vehicle.switches.iter().enumerate() {
        let own = vehicle.part(unit.part);
        let at_work = state.positions[number];
        let mut moved = state.clone();
        let mut others = (0..unit.positions.len() as u8).filter(|&at| at != at_work);
        let cut = others.find(|&at| {
            moved.positions[number] = at;
            !on(&solver.solve(&moved, &running.memory))
        });
        if let Some(at) = cut {
            cuts.push(by_hand(own, unit, at));
        }
    }
    let while_needed = if lasts { &after } else { &state };
    let off_without = |cutoff| !on(&without(vehicle, cutoff, while_needed, &running.memory));
    cuts.extend(by_cutoffs(context, &ways, off_without));
    if cuts.is_empty() {
        return vec![Verdict::NoneShown];
    }
    cuts.iter()
        .map(|cut| fault(context, id, part, needs, cut).shown())
        .collect()
}

/// Facts without which it cannot be told whether its supply lasts for as long as it needs.
fn unsure(
    context: &Context<'_>,
    part: &Part,
    ways: &[BranchId],
    needs: Fact<Seconds>,
) -> Vec<String> {
    let open = |by: &Part, key: &str| {
        let lasts: Fact<Seconds> = by.stated(key)?;
        let depends = weigh(needs.range, lasts.range) == Weighed::Depends;
        depends.then(|| match lasts.range.is_exact() {
            true => part.missing("needs-shutdown"),
            false => by.missing(key),
        })
    };
    let mut missing: Vec<String> = ways
        .iter()
        .filter_map(|&branch| {
            let by = context.vehicle.part(context.vehicle.branch(branch).part);
            match by.kind {
                Kind::Feed if by.fields.list("hot-in").is_empty() => Some(by.missing("hot-in")),
                Kind::Feed if matches!(by.fields.get("stays-on"), Some(Value::Unknown(_))) => {
                    Some(by.missing("stays-on"))
                }
                Kind::Feed => open(by, "stays-on"),
                Kind::Delay if by.stated::<Seconds>("keeps-on").is_none() => {
                    Some(by.missing("keeps-on"))
                }
                Kind::Delay => open(by, "keeps-on"),
                _ => None,
            }
        })
        .collect();
    missing.sort();
    missing.dedup();
    missing
}

/// A person puts a switch, or a feed or output that the driver switches, to this position.
fn by_hand(own: &Part, unit: &SwitchUnit, at: u8) -> Cut {
    let moved = match unit.positions[usize::from(at)].as_str() {
        "open" => "opened".to_owned(),
        "closed" => "closed".to_owned(),
        named @ ("off" | "on") => format!("turned {named}"),
        named => format!("put to {named}"),
    };
    let label = match &own.what {
        Some(what) => format!("{} ({what})", unit.label),
        None => unit.label.clone(),
    };
    let mut setting = Setting::default();
    setting.switch(unit, at);
    let from = match own.kind {
        Kind::Feed | Kind::Controller => "from what is live at all times".to_owned(),
        _ if moved == "opened" => format!("from a point ahead of {}", own.name.value),
        _ => format!("from a point that {} does not switch", own.name.value),
    };
    Cut {
        by: Some(unit.part),
        words: format!("{label} cuts it off the moment it is {moved}"),
        help: format!("feed it {from}, with a fuse of its own, and say `stays-live: WHY`"),
        setting,
    }
}

/// Its supply ends with the key, or too soon after it.
fn by_the_key(context: &Context<'_>, part: &Part, ways: &[BranchId], needs: Fact<Seconds>) -> Cut {
    let vehicle = context.vehicle;
    let ends = ways.iter().find_map(|&branch| {
        let id = vehicle.branch(branch).part;
        let kind = vehicle.part(id).kind;
        matches!(
            kind,
            Kind::Feed | Kind::KeySwitch | Kind::Delay | Kind::Relay
        )
        .then_some(id)
    });
    let name = &part.name.value;
    let lasts = ends.and_then(|id| {
        let by = vehicle.part(id);
        let lasts: Option<Fact<Seconds>> = by.stated("keeps-on").or_else(|| by.stated("stays-on"));
        Some((by, lasts?))
    });
    let words = match (lasts, ends) {
        (Some((by, lasts)), _) => format!(
            "{} keeps it on for {} only",
            words::called(by),
            words::range(lasts.range)
        ),
        (None, Some(id)) => format!("{} goes dead with the key", words::called(vehicle.part(id))),
        (None, None) => "its supply goes dead with the key".to_owned(),
    };
    Cut {
        by: ends,
        words,
        help: format!(
            "feed {name} from what is live at all times, or through a delay that keeps on for more than {}",
            words::range(needs.range)
        ),
        setting: Setting {
            key: Some(Key::Off),
            ..Setting::default()
        },
    }
}

/// Solves the vehicle with a contact that is open for good, as if it were a plug that is pulled.
fn without(vehicle: &Vehicle, contact: BranchId, state: &State, memory: &Memory) -> Solution {
    let pulled = "pulled".to_owned();
    let (mut open, mut state) = (vehicle.clone(), state.clone());
    if let Element::Contact { control, .. } = &mut open.branches[contact.index()].element {
        *control = Control::Attached(pulled.clone());
    }
    state.detached.insert(pulled);
    Solver::new(&open).solve(&state, memory)
}

/// Cutoffs without which it is off: they open when the voltage says so, not when it has finished.
fn by_cutoffs(
    context: &Context<'_>,
    ways: &[BranchId],
    off_without: impl Fn(BranchId) -> bool,
) -> Vec<Cut> {
    let vehicle = context.vehicle;
    let mut cuts: Vec<Cut> = Vec::new();
    for &branch in ways {
        let id = vehicle.branch(branch).part;
        let cutoff = vehicle.part(id);
        let is_contact = matches!(vehicle.branch(branch).element, Element::Contact { .. });
        let known = cuts.iter().any(|cut| cut.by == Some(id));
        if cutoff.kind != Kind::Cutoff || !is_contact || known || !off_without(branch) {
            continue;
        }
        cuts.push(Cut {
            by: Some(id),
            words: format!(
                "{} opens when the battery is low, finished or not",
                words::called(cutoff)
            ),
            help: format!(
                "let {} tell it to shut down before it opens, or feed it from a point ahead of {}",
                cutoff.name.value, cutoff.name.value
            ),
            setting: Setting::default(),
        });
    }
    cuts
}

fn fault(
    context: &Context<'_>,
    id: PartId,
    part: &Part,
    needs: Fact<Seconds>,
    cut: &Cut,
) -> Finding {
    let finding = Finding::new(
        part.at("needs-shutdown"),
        format!(
            "{} needs {} to run down, and {}",
            words::called(part),
            words::range(needs.range),
            cut.words
        ),
    )
    .label("can be cut off sooner")
    .part(id)
    .setting(cut.setting.clone())
    .source("`needs-shutdown` of the record, and the network solved with its supply taken away")
    .help(cut.help.clone());
    match cut.by {
        Some(by) => finding
            .also(context.vehicle.part(by).name.at, "cuts it off")
            .part(by),
        None => finding,
    }
}
