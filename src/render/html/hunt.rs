//! What the readings of a meter say about an unknown draw.

use maud::Markup;
use maud::html;

use super::Material;
use super::frame;
use crate::advise::hunt::hunt;
use crate::render::text::hunt::Told;
use crate::render::text::hunt::expected;
use crate::render::words;

/// What to do next, what is drawn, where it can be, what was found.
pub(super) fn section(of: &Material<'_>) -> Markup {
    let vehicle = of.told.vehicle;
    let hunt = &hunt(vehicle, of.told.solved);
    if hunt.readings.is_empty() {
        return html! {
            p { "The record has no meter readings." }
            p { (frame::prose(vehicle, &words::sentence(&hunt.say))) }
        };
    }
    let told = Told {
        vehicle,
        of: hunt,
        show: of.told.show,
    };
    let troubles = hunt
        .troubles
        .iter()
        .map(|trouble| words::sentence(&trouble.message));
    html! {
        p { strong { "Next: " } (frame::prose(vehicle, &words::sentence(&hunt.say))) }
        (frame::paragraphs(vehicle, told.then()))
        (frame::list(vehicle, told.heed()))
        (frame::paragraphs(vehicle, told.drawn()))
        (frame::list(vehicle, troubles))
        (frame::table("Where it can be", told.places()))
        (frame::paragraphs(vehicle, told.unproven()))
        @for one in &hunt.located {
            h3 { (told.found(one)) }
            p { (told.more(one)) }
            (frame::table("Parts there, by how well they fit", told.candidates(one)))
            (frame::paragraphs(vehicle, told.follow(one)))
            (frame::list(vehicle, one.past.iter().map(|words| words::sentence(words))))
            p { (frame::prose(vehicle, &expected(one))) }
        }
        (frame::table("What the record makes of each reading", told.lines()))
    }
}
