//! What `keyoff remove --format json` prints.

use serde::Serialize;

use super::{Document, Key, NoStart};

/// What it takes to take parts out.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Removal {
    /// Number of the format: 1.
    pub format: u32,
    /// The record.
    pub document: Document,
    /// Parts that are taken out.
    pub remove: Vec<String>,
    /// Parts that stay and do not work any more.
    pub goes_dead: Vec<String>,
    /// The same, with the reason.
    pub dead: Vec<Dead>,
    /// Sources that no longer reach the battery that starts the engine.
    pub cut_off: Vec<String>,
    /// Parts that stay and draw more with the key off than before.
    pub draws_more: Vec<DrawsMore>,
    /// Wires that come out, from end to end.
    pub wires_out: Vec<String>,
    /// Wires that what goes has used, and that stay.
    pub wires_stay: Vec<WireStays>,
    /// What wires that stay land on in place of what goes.
    pub places: Vec<NewPlace>,
    /// Wires on what goes that are not in the record, and live as long as they are on their other end.
    pub unrecorded: Vec<Unrecorded>,
    /// Parts that stay, work with the key off before, and afterwards only in other positions of it.
    pub not_parked: Vec<String>,
    /// An alternator goes, and nothing charges any more with the engine running.
    pub nothing_charges: bool,
    /// Ends that are bare afterwards and live, and were not so before.
    pub live_ends: Vec<LiveEnd>,
    /// What has nothing to do any more.
    pub freed: Freed,
    /// The order of work, one string a step.
    pub steps: Vec<String>,
    /// The vehicle as it is.
    pub before: Side,
    /// The vehicle afterwards.
    pub after: Side,
    /// The least work beside it: the parts come out and their wires stay; null where the record cannot be changed that way.
    pub minimum: Option<Minimum>,
}

/// The parts come out, their wires stay in the vehicle with their ends capped. Names are those of the record before.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Minimum {
    /// Parts that come out; fuse holders, joints, plugs and grounds stay where they are.
    pub remove: Vec<String>,
    /// Fuses, and feeds with theirs, that are left out for good.
    pub pull: Vec<String>,
    /// Wires that are taken off at their source ends too, for no fuse can be left out for them alone.
    pub lift: Vec<WireEnd>,
    /// Free ends, to be capped and labelled.
    pub capped: Vec<WireEnd>,
    /// Wires that stay and serve nothing.
    pub wires_left: Vec<String>,
    /// Those of them that are live all the same.
    pub wires_live: Vec<LiveRun>,
    /// Ends that are bare then and live all the same.
    pub live_ends: Vec<LiveEnd>,
    /// How many ends would be live with the parts only unplugged.
    pub live_if_only_unplugged: usize,
    /// One of those would be live with no fuse, breaker or link on its way.
    pub unfused_if_only_unplugged: bool,
    /// Likely current out of the battery that starts the engine, with the key off.
    pub draw_a: f64,
    /// The least.
    pub draw_low_a: f64,
    /// The most.
    pub draw_high_a: f64,
    /// Capacity over draw, in days; null where nothing draws or the capacity is not stated.
    pub simple_days: Option<f64>,
    /// How long it stands and still starts at the temperature of the record; null where a fact for it is not stated.
    pub days_to_no_start: Option<NoStart>,
}

/// A wire that serves nothing and is live.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LiveRun {
    /// The wire.
    pub wire: String,
    /// The fuse whose empty slot it leads to; null where it leads to something else.
    pub up_to: Option<String>,
    /// A fuse, breaker or link stands before it on every way to a source.
    pub protected: bool,
}

/// A wire that is not in the record.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Unrecorded {
    /// The terminal of what goes.
    pub on: String,
    /// Where it comes off first.
    pub from: String,
}

/// One end of a wire.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireEnd {
    /// The wire.
    pub wire: String,
    /// The terminal it is on before.
    pub at: String,
}

/// Something that stays and does not work any more.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Dead {
    /// The part.
    pub part: String,
    /// Which of its supplies, outputs or senses; empty where it has one.
    pub within: String,
    /// Why: `feed`, `return`, `control` or `signal` is gone.
    pub lost: Lost,
    /// It is the vehicle's own or the law wants it: it has to be made to work again.
    pub must_work: bool,
}

/// What something has lost.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Lost {
    /// Its feed.
    Feed,
    /// Its way home.
    Return,
    /// What switches it on.
    Control,
    /// What it senses.
    Signal,
}

/// A part that draws more with the key off than before.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DrawsMore {
    /// The part.
    pub part: String,
    /// What it drew.
    pub before_a: f64,
    /// What it draws then.
    pub after_a: f64,
}

/// A wire that stays.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct WireStays {
    /// The wire.
    pub wire: String,
    /// What else needs it.
    pub shared_with: Vec<String>,
}

/// What wires land on in place of terminals of parts that go.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct NewPlace {
    /// Its name in the record afterwards.
    pub name: String,
    /// What it is.
    pub kind: NewPlaceKind,
    /// The terminals that were there.
    pub was: Vec<String>,
    /// Wires that stay and land on it.
    pub wires: Vec<String>,
}

/// What wires land on.
#[derive(Clone, Copy, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum NewPlaceKind {
    /// Several wires are joined.
    Joint,
    /// A ground.
    Ground,
    /// A capped end.
    End,
}

/// A bare end that is live.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct LiveEnd {
    /// The terminal, as the record calls it afterwards.
    pub at: String,
    /// Positions of the key in which it is live.
    pub hot_in: Vec<Key>,
    /// What to do about it.
    #[serde(rename = "do")]
    pub advice: String,
}

/// What has nothing to do any more.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Freed {
    /// Fuses, breakers and fusible links.
    pub fuses: Vec<String>,
    /// Feeds.
    pub feeds: Vec<String>,
    /// Grounds.
    pub grounds: Vec<String>,
    /// Switches, relays, joints and others.
    pub others: Vec<String>,
}

/// One of two vehicles that are held against each other.
#[derive(Clone, Debug, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Side {
    /// Likely current out of the battery that starts the engine, with the key off.
    pub draw_a: f64,
    /// The least.
    pub draw_low_a: f64,
    /// The most.
    pub draw_high_a: f64,
    /// Facts that would be needed for whole figures.
    pub missing: Vec<String>,
    /// Capacity over draw, in days; null where nothing draws or the capacity is not stated.
    pub simple_days: Option<f64>,
    /// How long it stands and still starts at the temperature of the record; null where a fact for it is not stated.
    pub days_to_no_start: Option<NoStart>,
    /// Findings of level error that the record does not accept.
    pub errors: usize,
    /// Findings of level warning.
    pub warnings: usize,
    /// Findings of level note.
    pub notes: usize,
    /// Subjects that could not be judged.
    pub not_checked: usize,
}
