//! Vehicles from short records, for tests.

use std::sync::Arc;

use super::element::Branch;
use super::element::Element;
use super::vehicle::{Vehicle, Wire};
use crate::read;

/// A vehicle from a record; `keyoff: 1` and `vehicle: {system: 12 V}` are put in front where they are missing.
///
/// # Panics
/// Where the record cannot be read.
#[must_use]
pub fn vehicle(text: &str) -> Vehicle {
    let mut whole = String::from("keyoff: 1\n");
    if !text.contains("vehicle:") {
        whole.push_str("vehicle: {system: 12 V}\n");
    }
    whole.push_str(text);
    let read = read::read(
        "test.yaml",
        whole.as_bytes(),
        &mut |_| Err(String::new()),
        &read::Limits::default(),
    );
    match read {
        Ok(document) => super::build(Arc::new(document)),
        Err(unreadable) => panic!("{:#?}", unreadable.problems),
    }
}

impl Vehicle {
    /// The branch of a part with this name within it.
    pub(crate) fn branch_named(&self, part: &str, name: &str) -> &Branch {
        let found = self
            .branches
            .iter()
            .find(|branch| branch.name == name && self.part(branch.part).name.value == part);
        found.unwrap_or_else(|| panic!("no branch {part} {name}"))
    }

    /// The element of that branch.
    pub(crate) fn element(&self, part: &str, name: &str) -> &Element {
        &self.branch_named(part, name).element
    }

    /// Labels of the two ends of a branch.
    pub(crate) fn ends(&self, part: &str, name: &str) -> [&str; 2] {
        let branch = self.branch_named(part, name);
        [branch.from, branch.to].map(|end| self.terminal(end).label.as_str())
    }

    /// What was taken for granted, as `from to to`.
    pub(crate) fn granted(&self) -> Vec<&str> {
        let granted = self.wires.iter().filter(|wire| wire.assumed);
        granted.map(|wire: &Wire| wire.id.as_str()).collect()
    }

    /// Subject and key of every default taken.
    pub(crate) fn defaults(&self) -> Vec<String> {
        let name = |one: &super::Assumed| format!("{}.{}", one.subject, one.key);
        self.assumed.iter().map(name).collect()
    }
}
