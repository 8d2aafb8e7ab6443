//! Fuses, breakers and fusible links: plain conductors until something is wrong.

use crate::model::build::Maker;
use crate::model::default;
use crate::model::element::Element;
use crate::model::fact::Fact;
use crate::quantity::Amps;
use crate::read::document::Kind;
use crate::table::vehicle;

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
        Kind::FusibleLink => vehicle::link(),
        _ => default::fuse(form, rating),
    };
    let ohms = maker.stated_or("resistance", "resistance", default);
    maker.branch("", from, to, Element::Joint(ohms));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::testing::vehicle;

    #[test]
    fn a_larger_fuse_has_less_resistance() {
        let vehicle = vehicle(
            "parts:
  F1: {kind: fuse, rating: 5 A, form: blade}
  F2: {kind: fuse, rating: 30 A, form: blade}
  F3: {kind: fuse, rating: 5 A, resistance: 1 mohm}
  CB: {kind: breaker, rating: 30 A}
  FL: {kind: fusible-link, size: 16 AWG}",
        );
        let ohms = |part: &str| match vehicle.element(part, "") {
            Element::Joint(ohms) => ohms.likely.0,
            other => panic!("{other:?}"),
        };
        assert!(ohms("F1") > ohms("F2") && ohms("F2") > 0.0);
        assert_eq!(ohms("F3"), 0.001);
        assert!(ohms("CB") > 0.0 && ohms("FL") > 0.0);
        let defaults = vehicle.defaults();
        assert!(defaults.contains(&"F1.resistance".to_owned()));
        assert!(!defaults.contains(&"F3.resistance".to_owned()));
    }
}
