//! Fuses, breakers and fusible links: plain conductors until something is wrong.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::Element;
use crate::model::fact::Fact;
use crate::quantity::Amps;
use crate::read::document::Kind;

/// Its cold resistance, as stated or by form and rating.
pub(in crate::model) fn build(maker: &mut Maker<'_, '_>) {
    let Some((from, to)) = maker.pair("in", "out") else {
        return;
    };
    let rating: Option<Fact<Amps>> = maker.stated("rating");
    let rating = rating.map(|rating| rating.likely);
    let form = maker.fields.text("form").map(|form| form.value.as_str());
    let default = match maker.kind {
        Kind::Breaker => default::breaker(rating),
        Kind::FusibleLink => default::fusible_link(),
        _ => default::fuse(form, rating),
    };
    let ohms = maker.stated_or("resistance", "resistance", default);
    maker.branch("", from, to, Element::Joint(ohms));
}
