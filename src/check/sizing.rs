//! The next size that would do: for what a finding advises.

use super::context::Context;
use crate::model::Part;
use crate::model::WireId;
use crate::model::Zone;
use crate::quantity::Amps;
use crate::quantity::Celsius;
use crate::read::document::Kind;
use crate::table::ampacity;
use crate::table::fuse;
use crate::table::fuse::Form;
use crate::table::wire;

/// The smallest size in which a wire of this insulation, place and number would be enough; nothing where none is made.
pub(super) fn size_for(
    context: &Context<'_>,
    id: WireId,
    enough: impl Fn(Amps) -> bool,
) -> Option<String> {
    let wire = context.vehicle.wire(id);
    let class = wire
        .insulation
        .map_or(Celsius(60.0), |class| class.range.low);
    let engine_space = wire.zone == Zone::EngineBay;
    let share = f64::from(wire.parallel.max(1)) * context.rules.bundle(context, id).value.0;
    wire::sizes()
        .iter()
        .find(|&&size| {
            ampacity::ampacity(size, class, engine_space, context.rules.scheme())
                .is_some_and(|row| enough(row.value * share))
        })
        .map(|&size| wire::label(size))
}

/// The largest fuse of this part's form that is made up to a current; nothing for what is no fuse.
pub(super) fn next_fuse_down(part: &Part, most: Amps) -> Option<Amps> {
    if part.kind != Kind::Fuse {
        return None;
    }
    fuse::at_most(form_or_usual(part, most), most)
}

/// The smallest fuse of this part's form that is made from a current up.
pub(super) fn next_fuse_up(part: &Part, least: Amps) -> Option<Amps> {
    if part.kind != Kind::Fuse {
        return None;
    }
    fuse::at_least(form_or_usual(part, least), least)
}

/// The form of a fuse as the record states it.
pub(super) fn form(part: &Part) -> Option<Form> {
    let form = part.fields.text("form")?;
    Form::named(&form.value)
}

fn form_or_usual(part: &Part, rating: Amps) -> Form {
    form(part).unwrap_or_else(|| fuse::default_form(rating).value)
}
