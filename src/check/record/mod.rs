//! About the record itself.

pub(super) mod accept_unused;
