//! Fuses and what they protect.

pub(super) mod breaker_resets_onto_fault;
pub(super) mod feed_overloaded;
pub(super) mod fuse_exceeds_part;
pub(super) mod fuse_exceeds_wire;
pub(super) mod fuse_in_return;
pub(super) mod fuse_opens_on_inrush;
pub(super) mod fuse_overloaded;
pub(super) mod fuses_paralleled;
pub(super) mod main_cable_unguarded;
pub(super) mod no_protection;
pub(super) mod one_fuse_two_sources;
pub(super) mod protection_too_far;
pub(super) mod rating_not_made;
pub(super) mod required_lamp_shares_fuse;
pub(super) mod short_not_cleared;
pub(super) mod upstream_opens_first;

mod bare;
mod beside;
