//! Load against charging: every situation, who takes it, shifts, the load analysis.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::render::chart;
use crate::render::text::budget;
use crate::render::words;

pub(super) fn section(of: &Material<'_>) -> Markup {
    html! {
        (balance(of))
        (shifts(of))
        (analysis(of))
    }
}

/// Every situation against the charging system, and who takes the current.
pub(super) fn balance(of: &Material<'_>) -> Markup {
    let balanced = of.balanced();
    let rows = &of.budget.rows;
    html! {
        (frame::table("Every situation against the charging system", balanced.balance(rows)))
        p class="remark" { (budget::BALANCE) }
        @if let Some(lacks) = balanced.lacks(rows) {
            p { (lacks) }
        }
        @if let Some(peaks) = balanced.peaks(rows) {
            p { (peaks) }
        }
        @for row in rows {
            (frame::table(
                &format!("{}: who takes it, and through what", row.situation.name),
                balanced.takers(row),
            ))
        }
    }
}

/// Situations with phases, each followed and drawn.
pub(super) fn shifts(of: &Material<'_>) -> Markup {
    let balanced = of.balanced();
    let told = &of.told;
    html! {
        @for shift in &of.budget.shifts {
            h3 { "The shift " (shift.name) }
            @if let Some(start) = balanced.starts_with(shift) {
                p { (start) }
            }
            (frame::table(&format!("Phases of {}", shift.name), balanced.phases(shift)))
            p { (balanced.ends(shift)) }
            (frame::chart(&chart::over_shift(told.vehicle, &told.parked, shift), &format!(
                "Charge of the battery that starts the engine over {}; the dashed line is the charge below which it does not start.",
                shift.name
            )))
        }
    }
}

pub(super) fn analysis(of: &Material<'_>) -> Markup {
    let balanced = of.balanced();
    html! {
        (frame::table("Load analysis, with everything on", balanced.analysis(&of.budget.analysis)))
        @if !of.budget.analysis.missing.is_empty() {
            p { (words::not_whole(&of.budget.analysis.missing)) }
        }
        @if let Some(shed) = balanced.shed(&of.budget.analysis) {
            p { (shed) }
        }
        p class="remark" { (budget::ANALYSIS) }
    }
}
