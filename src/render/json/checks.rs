//! Checks in the shape of format 1.

use super::audit::{harm, level};
use super::v1;
use crate::check::Meta;

/// The checks asked for.
#[must_use]
pub fn checks(checks: &[&Meta]) -> v1::Checks {
    v1::Checks {
        format: v1::FORMAT,
        checks: checks
            .iter()
            .map(|check| v1::Check {
                name: check.name.to_owned(),
                level: level(check.level),
                harm: harm(check.harm),
                summary: check.summary.to_owned(),
                page: check.explained(),
            })
            .collect(),
    }
}
