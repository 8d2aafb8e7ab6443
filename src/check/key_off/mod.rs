//! What draws with the key off.

pub(super) mod ahead_of_ignition;
pub(super) mod can_be_left_on;
pub(super) mod coil_held_key_off;
pub(super) mod drops_out_in_start;
pub(super) mod feeds_back;
pub(super) mod freeze_risk;
pub(super) mod key_off_without_cutoff;
pub(super) mod lamp_on_line_side;
pub(super) mod relay_switches_nothing;
pub(super) mod standing;
pub(super) mod standing_draw_high;
pub(super) mod standing_time_short;
pub(super) mod stays_latched;
pub(super) mod stays_live_over_allowance;
pub(super) mod timed_for_ignition;

use super::context::Context;
use super::words;
use crate::analyze::Draw;
use crate::model::Element;
use crate::model::Link;
use crate::model::PartId;
use crate::quantity::Amps;
use crate::read::document::Kind;

/// Below this nothing flows: rounding of the solution, and leakage that no meter on a vehicle shows.
const NOTHING: Amps = Amps(1e-4);

/// Parts that draw in their own right: everything but relays, whose coils have a check of their own.
const USERS: &[Kind] = &[
    Kind::Load,
    Kind::Controller,
    Kind::Converter,
    Kind::Delay,
    Kind::Cutoff,
    Kind::Isolator,
];

/// Facts that are lacking for a part's own draw with the key off, as output lists them.
fn missing_draw(context: &Context<'_>, part: PartId) -> Vec<String> {
    context.lacking_key_off(context.name(part)).to_vec()
}

/// Facts that the range of a part's draw with the key off comes from: what to find out where the range decides.
fn ranged_draw(context: &Context<'_>, id: PartId) -> Vec<String> {
    let vehicle = context.vehicle;
    if vehicle.own_load == Some(id) {
        return vec!["vehicle.own-load.off".to_owned()];
    }
    let part = vehicle.part(id);
    let supplies = part.fields.map("supplies").is_some();
    let mut facts = Vec::new();
    for &at in &part.branches {
        let branch = vehicle.branch(at);
        let Some(key) = ranged_key(part.kind, &branch.element) else {
            continue;
        };
        if supplies {
            // A supply that is dead with the key off has no part in it.
            let seen = context.solved.explored.key_off.get(at.index());
            if seen.is_none_or(|seen| seen.value.abs() <= NOTHING) {
                continue;
            }
            facts.push(format!("{}.{}.{key}", part.name.value, branch.name));
        } else {
            facts.push(part.missing(key));
        }
    }
    if facts.is_empty() {
        facts.push(part.missing("parked"));
    }
    facts
}

/// The key that says what a branch takes for itself with the key off, where that is a range.
fn ranged_key(kind: Kind, element: &Element) -> Option<&'static str> {
    match element {
        // A delay and a cutoff take the same at all times.
        Element::Load(_) if matches!(kind, Kind::Delay | Kind::Cutoff) => Some("draw"),
        Element::Load(load) => match load.parked {
            Some(parked) if parked.range.is_exact() => {
                let duty = load.parked_duty?;
                (!duty.range.is_exact()).then_some("duty")
            }
            Some(_) => Some("parked"),
            None if load.law.is_some_and(|law| law.spread().0 < law.spread().1) => Some("draw"),
            None if !load.duty.range.is_exact() => Some("duty"),
            None => Some("parked"),
        },
        Element::Converter { standby, .. } => (!standby.range.is_exact()).then_some("standby"),
        Element::Coil { ohms, .. } => (!ohms.range.is_exact()).then_some("coil"),
        _ => None,
    }
}

/// Feeds on its way of which the record does not say when they are live: whether it draws then cannot be told.
fn unsure_feeds(context: &Context<'_>, part: PartId) -> Vec<String> {
    let mut missing: Vec<String> = context
        .walks
        .consumers_of(part)
        .flat_map(|consumer| &consumer.feed)
        .filter_map(|link| match *link {
            Link::Branch(branch) => Some(context.vehicle.part(context.vehicle.branch(branch).part)),
            Link::Wire(_) => None,
        })
        .filter(|part| part.kind == Kind::Feed && part.fields.list("hot-in").is_empty())
        .map(|feed| feed.missing("hot-in"))
        .collect();
    missing.sort();
    missing.dedup();
    missing
}

/// Which fuses lead to it, as the end of a sentence: `pull F1`.
fn behind(context: &Context<'_>, draw: &Draw) -> String {
    match draw.protected_by.first() {
        Some(&fuse) => format!(" (behind {})", context.name(fuse)),
        None => String::new(),
    }
}

fn amps(draw: &Draw) -> String {
    words::range(draw.range)
}
