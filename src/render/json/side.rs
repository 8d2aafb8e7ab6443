//! One of two vehicles that are held against each other.

use super::audit::key_off;
use super::number;
use super::v1;
use crate::Audit;
use crate::analyze::park::park;
use crate::render::words::Count;

/// Its figures in short.
#[must_use]
pub fn side(audit: &Audit) -> v1::Side {
    let parked = park(&audit.vehicle, &audit.solved.key_off);
    let sums = key_off(&audit.vehicle, &audit.solved.key_off, &parked);
    let count = Count::of(&audit.report);
    v1::Side {
        draw_a: number(sums.draw_a),
        draw_low_a: sums.draw_low_a,
        draw_high_a: sums.draw_high_a,
        missing: sums.missing,
        simple_days: sums.simple_days,
        days_to_no_start: sums.days_to_no_start,
        errors: count.errors,
        warnings: count.warnings,
        notes: count.notes,
        not_checked: audit.report.gaps.len(),
    }
}
