//! What is live and what works in which state.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::analyze;
use crate::analyze::hot;
use crate::analyze::matrix;
use crate::render::states;
use crate::solve::Solver;
use crate::solve::explore_in_detail;

/// The sections on what is live with the key off, and on what works when.
pub(super) fn sections(of: &Material<'_>) -> [Markup; 2] {
    let told = &of.told;
    let mut solver = Solver::new(told.vehicle);
    let (_, detail) = explore_in_detail(&mut solver, analyze::SETTINGS);
    let hot = hot::hot(&mut solver, told.solved, &detail);
    let matrix = matrix::matrix(&mut solver, told.solved, &detail);
    let looked_at = states::looked_at(&told.solved.explored);
    let live = html! {
        @if hot.is_empty() {
            p { "No wire is live with the key off in any setting that was looked at." }
        } @else {
            p {
                "Every wire that has voltage with the key off, as the vehicle is left or with a switch left on, and the way by which it \
                 gets there. Switch off, pull the fuse or take off the negative cable before one of them is cut, and measure before \
                 you touch it."
            }
        }
        @for (caption, grid) in states::hot::grids(told.vehicle, &hot, told.show) {
            (frame::table(caption, grid))
        }
        @if !hot.is_empty() {
            p class="remark" { (frame::typed(states::hot::NOTE)) }
        }
        p class="remark" { (looked_at) }
    };
    let titles = states::matrix::titles(&matrix);
    let works = html! {
        @if matrix.rows.is_empty() {
            p { (frame::typed(states::matrix::NOTHING)) }
        } @else {
            (frame::table("What works in which position of the key", states::matrix::by_key(&matrix, &titles)))
            p class="remark" { (states::matrix::LEGEND) " On a narrow screen what would be - is left out." }
            (frame::table("What works in which situation", states::matrix::by_situation(&matrix)))
            p class="remark" { (looked_at) }
        }
    };
    [live, works]
}
