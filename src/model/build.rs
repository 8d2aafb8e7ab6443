//! Builds the vehicle from the record.

use std::sync::Arc;

use super::Vehicle;
/// Builds the vehicle.
#[must_use]
pub fn build(_document: Arc<crate::read::document::Document>) -> Vehicle {
    unreachable!()
}
