//! The lists that hang inside a lid: fuses, wires.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::render::fuse_chart;
use crate::render::wire_list;

pub(super) fn fuses(of: &Material<'_>) -> Markup {
    let grid = fuse_chart::grid(of.told.vehicle);
    html! {
        @if grid.is_empty() {
            p { "The record has no fuse, breaker, fusible link or feed." }
        }
        (frame::table("Every fuse, when it has voltage, and what it feeds", grid))
    }
}

pub(super) fn wires(of: &Material<'_>) -> Markup {
    let vehicle = of.told.vehicle;
    let units = Some(of.options.units);
    let grid = wire_list::grid(vehicle, units);
    html! {
        @if grid.is_empty() {
            p { "The record has no wire." }
        } @else {
            (frame::table("Every wire of the record", grid))
            p class="remark" { (wire_list::NOTE) }
            (frame::table("In all, by size, colour and insulation", wire_list::totals_grid(vehicle, units)))
        }
    }
}
