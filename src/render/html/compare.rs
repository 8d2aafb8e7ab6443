//! What differs from another record of the same vehicle.

use maud::Markup;
use maud::html;

use super::frame;
use crate::Audit;
use crate::advise::compare::Changes;
use crate::advise::compare::Difference;
use crate::advise::compare::Raised;
use crate::render::text::compare;
use crate::render::text::show::Show;
use crate::render::text::sides;
use crate::render::words;

/// `A` is the other record, `B` the one that the page is about.
pub(super) fn section(before: &Audit, after: &Audit, show: Show) -> Markup {
    let difference = Difference::of(before, after);
    let vehicle = &after.vehicle;
    let names = ["A", "B"];
    let sides = [before, after];
    html! {
        @for (name, audit) in names.iter().zip(sides) {
            p { (name) ": " (audit.vehicle.name) " (" (words::path(&audit.vehicle.document.sources)) ")" }
        }
        (frame::table("In figures", sides::grid(show, names, sides)))
        (frame::paragraphs(vehicle, sides::not_whole(names, sides)))
        (frame::table("What draws otherwise with the key off", compare::draws_grid(show, &difference)))
        (frame::table("Load by situation", compare::loads_grid(show, &difference)))
        p class="remark" { (compare::LOADS) }
        (findings("Findings that are gone", &difference.findings_gone))
        (findings("Findings that are new", &difference.findings_new))
        @if difference.findings_kept > 0 {
            p { (words::plural(difference.findings_kept, "finding is", "findings are")) " in both." }
        }
        @if !difference.vehicle.is_empty() {
            h3 { "The vehicle" }
            (frame::list(vehicle, difference.vehicle.iter().map(|change| words::sentence(&compare::reads(change)))))
        }
        @for (heading, changes) in [
            ("Parts", &difference.parts),
            ("Wires", &difference.wires),
            ("Situations", &difference.situations),
        ] {
            (changed(heading, changes))
        }
    }
}

fn findings(heading: &str, list: &[Raised]) -> Markup {
    html! {
        @if !list.is_empty() {
            h3 { (heading) }
            ul {
                @for raised in list {
                    li {
                        (frame::badge(raised.level)) " " (words::sentence(&raised.message)) " (" (raised.check) ")"
                    }
                }
            }
        }
    }
}

fn changed(heading: &str, changes: &Changes) -> Markup {
    html! {
        @if !changes.is_empty() {
            h3 { (heading) }
            ul { @for line in compare::changed(changes) { li { (line) } } }
        }
    }
}
