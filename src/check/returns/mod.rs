//! The way home.

pub(super) mod no_return;
