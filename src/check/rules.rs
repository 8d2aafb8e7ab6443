//! Which of several published rules is applied, and what the others would say.

use super::context::Context;
use crate::model::Vehicle;
use crate::model::WireId;
use crate::quantity::Amps;
use crate::quantity::Dimension;
use crate::quantity::Fraction;
use crate::quantity::Meters;
use crate::quantity::Scalar;
use crate::quantity::parse;
use crate::source::Span;
use crate::table::Cited;
use crate::table::ampacity;
use crate::table::ampacity::BundleScheme;
use crate::table::ampacity::Scheme;
use crate::table::rules;
use crate::table::rules::Choice;

/// A rule as applied to this vehicle.
#[derive(Clone, Debug)]
pub struct Applied<T> {
    /// Its figure.
    pub value: T,
    /// Name of the choice; of a figure that the record gives, `the record's own figure`.
    pub name: String,
    /// Who publishes it.
    pub source: String,
    /// Where the record chooses it; nothing where the default is taken.
    pub at: Option<Span>,
    rule: &'static str,
}

impl<T: Scalar> Applied<T> {
    /// The rule and who says so: `33 CFR 183.455(c)(1) (rule fuse-to-wire: 150-percent)`.
    #[must_use]
    pub fn said(&self) -> String {
        format!("{} (rule `{}: {}`)", self.source, self.rule, self.name)
    }

    /// The other published figures of the same rule, as words: `125-percent: 125 %`; the strictest first.
    #[must_use]
    pub fn others(&self) -> Vec<(&'static Choice, T)> {
        let mut others: Vec<(&'static Choice, T)> = rules::rule(self.rule)
            .map(|rule| &rule.choices)
            .into_iter()
            .flatten()
            .filter(|choice| choice.name != self.name && choice.unit == T::SYMBOL)
            .map(|choice| (choice, T::of(choice.value)))
            .collect();
        others.sort_by(|a, b| a.0.value.total_cmp(&b.0.value));
        others
    }
}

/// The rules of one vehicle: those that its record chooses, else the defaults.
#[derive(Clone, Debug)]
pub struct Rules {
    chosen: Vec<(String, String, Span)>,
    system: crate::quantity::Volts,
}

impl Rules {
    /// Reads `rules:`.
    #[must_use]
    pub fn of(vehicle: &Vehicle) -> Self {
        let chosen = vehicle.document.rules.iter();
        Self {
            chosen: chosen
                .map(|(rule, choice)| (rule.value.clone(), choice.value.clone(), choice.at))
                .collect(),
            system: vehicle.system.likely,
        }
    }

    /// The most that the vehicle may draw with the key off.
    #[must_use]
    pub fn standing_draw(&self) -> Applied<Amps> {
        self.applied("standing-draw", Dimension::Current)
    }

    /// Rating of a protection over ampacity of the wire, at most.
    #[must_use]
    pub fn fuse_to_wire(&self) -> Applied<Fraction> {
        self.applied("fuse-to-wire", Dimension::Fraction)
    }

    /// Drop over nominal voltage, at most, where a part states no limit of its own.
    #[must_use]
    pub fn drop(&self) -> Applied<Fraction> {
        self.applied("drop", Dimension::Fraction)
    }

    /// Conductor between a source and the first protection, at most.
    #[must_use]
    pub fn protection_distance(&self) -> Applied<Meters> {
        self.applied("protection-distance", Dimension::Length)
    }

    /// Whether a breaker that closes by itself counts as protection.
    #[must_use]
    pub fn auto_reset_counts(&self) -> Applied<Fraction> {
        self.applied("auto-reset", Dimension::Fraction)
    }

    /// The ampacity table.
    #[must_use]
    pub fn scheme(&self) -> Scheme {
        self.choice("ampacity")
            .and_then(|(name, _)| Scheme::named(name))
            .unwrap_or_default()
    }

    /// The factor for the bundle that a wire lies in: by the loaded wires of that bundle.
    #[must_use]
    pub fn bundle(&self, context: &Context<'_>, wire: WireId) -> Cited<Fraction> {
        let scheme = self
            .choice("bundle")
            .and_then(|(name, _)| BundleScheme::named(name))
            .unwrap_or_default();
        let count = context.loaded_in_bundle(wire);
        ampacity::bundle_factor(count, self.system, scheme)
    }

    fn choice(&self, rule: &str) -> Option<(&str, Span)> {
        let found = self.chosen.iter().find(|(name, _, _)| name == rule);
        found.map(|(_, choice, at)| (choice.as_str(), *at))
    }

    fn applied<T: Scalar>(&self, rule: &'static str, dimension: Dimension) -> Applied<T> {
        let stated = self.choice(rule);
        let named = |choice: &Choice, at| Applied {
            value: T::of(choice.value),
            name: choice.name.clone(),
            source: choice.source.clone(),
            at,
            rule,
        };
        if let Some((name, at)) = stated {
            if let Some(choice) = rules::choice(rule, name) {
                return named(choice, Some(at));
            }
            if let Ok(figure) = parse::parse(name, &[dimension]) {
                return Applied {
                    value: T::of(figure.low),
                    name: name.to_owned(),
                    source: "the record's own figure".to_owned(),
                    at: Some(at),
                    rule,
                };
            }
        }
        match rules::default(rule) {
            Some(choice) => named(choice, None),
            // The table has a default for every rule; a test of the table keeps it so.
            None => Applied {
                value: T::of(0.0),
                name: String::new(),
                source: String::new(),
                at: None,
                rule,
            },
        }
    }
}
