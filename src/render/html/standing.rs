//! Standing with the key off: by part, by fuse, by temperature, over time.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::render::chart;
use crate::render::text::park;

pub(super) fn section(of: &Material<'_>) -> Markup {
    let told = &of.told;
    let standing = told.standing();
    let at = told.show.one(told.parked.at);
    let grids = standing.grids();
    let charged = of
        .timeline
        .charges
        .iter()
        .any(|(_, points)| points.len() > 1);
    html! {
        @if grids.is_empty() {
            p { "Nothing that is stated draws with the key off." }
        }
        @for (caption, grid) in grids {
            (frame::table(&caption, grid))
        }
        @let days = park::temperatures(standing);
        @if !days.is_empty() {
            (frame::table("Days until the engine no longer starts, by temperature", days))
            p class="remark" { (park::BOUNDS) }
        }
        (frame::table(&format!("From key-off on, at {at}"), park::events(standing, &of.timeline)))
        @if charged {
            (frame::chart(
                &chart::while_parked(told.vehicle, &told.parked, &of.timeline, of.options.units),
                "Charge over the days since the key went off. The band holds every case that the ranges of the inputs allow; the dashed \
                 line is the charge below which the engine does not start.",
            ))
        }
    }
}
