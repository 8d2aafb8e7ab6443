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
