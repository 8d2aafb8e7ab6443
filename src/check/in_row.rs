//! The resistance of a way over conductors.

use super::context::Context;
use crate::model::Element;
use crate::model::Fact;
use crate::model::Link;
use crate::quantity::Ohms;

/// Resistance of several conductors in a row.
#[derive(Default)]
pub(in crate::check) struct InRow {
    pub(in crate::check) likely: f64,
    pub(in crate::check) low: f64,
    pub(in crate::check) high: f64,
    /// Facts without which it is not known.
    pub(in crate::check) missing: Vec<String>,
    /// Facts that are known as a range only.
    pub(in crate::check) ranged: Vec<String>,
}

impl InRow {
    /// Adds up conductors.
    pub(in crate::check) fn of(
        context: &Context<'_>,
        links: impl IntoIterator<Item = Link>,
    ) -> Self {
        let mut sum = Self::default();
        for link in links {
            match link {
                Link::Wire(id) => {
                    let wire = context.vehicle.wire(id);
                    sum.missing.extend(wire.missing.iter().cloned());
                    let length = wire.length.is_some_and(|length| !length.range.is_exact());
                    let stated = wire.fields.get("resistance").is_some();
                    let fact = if length && !stated {
                        "length"
                    } else {
                        "resistance"
                    };
                    let fact = format!("{}.{fact}", wire.id);
                    for ohms in wire.resistance.iter().chain(wire.landing.iter().flatten()) {
                        sum.add(context, *ohms, &fact, |ohms| {
                            wire.ohms_at(ohms, wire.ambient.likely)
                        });
                    }
                }
                Link::Branch(id) => {
                    let branch = context.vehicle.branch(id);
                    if let Element::Joint(ohms) | Element::Contact { ohms, .. } = branch.element {
                        let fact = format!("{}.resistance", context.name(branch.part));
                        sum.add(context, ohms, &fact, |ohms| ohms);
                    }
                }
            }
        }
        sum.ranged.sort();
        sum.ranged.dedup();
        sum
    }

    fn add(
        &mut self,
        context: &Context<'_>,
        ohms: Fact<Ohms>,
        fact: &str,
        warm: impl Fn(Ohms) -> Ohms,
    ) {
        self.likely += warm(ohms.likely).0;
        self.low += warm(ohms.range.low).0;
        self.high += warm(ohms.range.high).0;
        if !ohms.range.is_exact() {
            let assumed = ohms.basis.assumed();
            let assumed = assumed.and_then(|id| context.vehicle.assumed.get(id.0 as usize));
            self.ranged.push(match assumed {
                Some(taken) => format!("{}.{}", taken.subject, taken.key),
                None => fact.to_owned(),
            });
        }
    }
}
