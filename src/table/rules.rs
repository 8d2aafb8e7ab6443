//! Where published rules differ: each choice with its value and its source.

use std::sync::LazyLock;

use serde::Deserialize;

use super::sheet::Basis;
use super::sheet::cite;
use super::sheet::rows;

#[derive(Deserialize)]
struct Row {
    rule: String,
    choice: String,
    value: f64,
    unit: String,
    default: String,
    meaning: String,
    source: String,
    row: String,
    basis: Basis,
}

/// One thing about which published rules differ.
#[derive(Debug)]
pub struct Rule {
    /// Its key in `rules:`.
    pub name: String,
    /// What may be chosen, the default among them.
    pub choices: Vec<Choice>,
}

/// One of the published rules about a thing.
#[derive(Debug)]
pub struct Choice {
    /// Its name in a record.
    pub name: String,
    /// Its figure in `unit`: a factor, a share, ampere or metre; 1 or 0 where the rule is a plain yes or no.
    pub value: f64,
    /// Symbol of the unit; `1` for a share or factor.
    pub unit: String,
    /// Taken where the record does not choose.
    pub default: bool,
    /// What it asks, in words.
    pub meaning: String,
    /// Where it is published.
    pub source: String,
}

/// Every rule, in the order of the table.
pub static RULES: LazyLock<Vec<Rule>> = LazyLock::new(|| {
    let mut rules: Vec<Rule> = Vec::new();
    for row in rows::<Row>(include_str!("rules.csv")) {
        let choice = Choice {
            source: cite(&row.source, &row.row, row.basis),
            name: row.choice,
            value: row.value,
            unit: row.unit,
            default: row.default == "yes",
            meaning: row.meaning,
        };
        match rules.iter_mut().find(|rule| rule.name == row.rule) {
            Some(rule) => rule.choices.push(choice),
            None => rules.push(Rule {
                name: row.rule,
                choices: vec![choice],
            }),
        }
    }
    rules
});

impl Rule {
    /// What is taken where the record does not choose.
    #[must_use]
    pub fn default(&self) -> Option<&Choice> {
        self.choices.iter().find(|choice| choice.default)
    }

    /// Whether a record may give a figure of its own instead of a name (`standing-draw: 60 mA`).
    #[must_use]
    pub fn takes_a_figure(&self) -> bool {
        matches!(
            self.name.as_str(),
            "standing-draw" | "drop" | "protection-distance"
        )
    }
}

/// A rule by name.
#[must_use]
pub fn rule(name: &str) -> Option<&'static Rule> {
    RULES.iter().find(|rule| rule.name == name)
}

/// A choice by the names of the rule and of the choice.
#[must_use]
pub fn choice(rule_name: &str, name: &str) -> Option<&'static Choice> {
    rule(rule_name)?.choices.iter().find(|one| one.name == name)
}

/// What is taken for a rule where the record does not choose.
#[must_use]
pub fn default(rule_name: &str) -> Option<&'static Choice> {
    rule(rule_name)?.default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::ampacity::BundleScheme;
    use crate::table::ampacity::Scheme;
    use crate::table::sheet::shape::check;

    #[test]
    fn each_rule_has_unique_choices_and_one_default() {
        check::<Row>(include_str!("rules.csv"));
        let names: Vec<&str> = RULES.iter().map(|rule| rule.name.as_str()).collect();
        assert_eq!(
            names,
            [
                "fuse-to-wire",
                "drop",
                "standing-draw",
                "protection-distance",
                "auto-reset",
                "ampacity",
                "bundle"
            ]
        );
        for rule in RULES.iter() {
            assert_eq!(
                rule.choices.iter().filter(|one| one.default).count(),
                1,
                "{}",
                rule.name
            );
            for (at, one) in rule.choices.iter().enumerate() {
                assert!(
                    rule.choices[..at]
                        .iter()
                        .all(|other| other.name != one.name)
                );
                assert!(!one.meaning.is_empty() && !one.source.is_empty());
            }
        }
    }

    #[test]
    fn choices_of_a_table_are_the_tables_there_are() {
        let listed = |name: &str| -> Vec<&str> {
            rule(name)
                .unwrap()
                .choices
                .iter()
                .map(|one| one.name.as_str())
                .collect()
        };
        assert_eq!(listed("ampacity"), Scheme::ALL.map(Scheme::name));
        for name in listed("bundle") {
            assert!(BundleScheme::named(name).is_some(), "{name}");
        }
        assert_eq!(listed("bundle").len(), BundleScheme::ALL.len());
        assert_eq!(default("ampacity").unwrap().name, Scheme::default().name());
        assert_eq!(
            default("bundle").unwrap().name,
            BundleScheme::default().name()
        );
    }

    #[test]
    fn the_default_fuse_rule_is_the_strictest() {
        let rule = rule("fuse-to-wire").unwrap();
        let strictest = rule
            .choices
            .iter()
            .map(|one| one.value)
            .fold(f64::INFINITY, f64::min);
        assert_eq!(rule.default().unwrap().value, strictest);
        assert_eq!(
            choice("fuse-to-wire", "150-percent").unwrap().source,
            "33 CFR 183.455(c)(1)"
        );
    }
}
