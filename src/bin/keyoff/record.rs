//! From a file to what became of it.

use std::path::Path;
use std::sync::Arc;

use keyoff::Audit;
use keyoff::analyze::Solved;
use keyoff::model::Vehicle;
use keyoff::read::Limits;
use keyoff::read::Unreadable;
use keyoff::read::document::Document;

use crate::fault::Fault;
use crate::file;

/// Why there is nothing to say about a record.
#[derive(Debug)]
pub enum Unusable {
    /// The file could not be had.
    Unavailable(Fault),
    /// It could not be read as a record.
    Unreadable(Box<Unreadable>),
}

impl From<Fault> for Unusable {
    fn from(fault: Fault) -> Self {
        Self::Unavailable(fault)
    }
}

/// Reads a record.
pub fn read(path: &Path, most: u64) -> Result<Document, Unusable> {
    let bytes = file::read(path, most).map_err(Unusable::Unavailable)?;
    of_bytes(path, &bytes, most)
}

/// Reads a record whose bytes are at hand.
pub fn of_bytes(path: &Path, bytes: &[u8], most: u64) -> Result<Document, Unusable> {
    of_bytes_with(path, bytes, most, &mut |name| {
        file::library(path, name, most)
    })
}

/// The same, with libraries from where the caller has them.
pub fn of_bytes_with(
    path: &Path,
    bytes: &[u8],
    most: u64,
    library: &mut dyn FnMut(&str) -> Result<Vec<u8>, String>,
) -> Result<Document, Unusable> {
    let limits = Limits {
        max_bytes: usize::try_from(most).unwrap_or(usize::MAX),
        ..Limits::default()
    };
    keyoff::read::read(&path.display().to_string(), bytes, library, &limits)
        .map_err(|unreadable| Unusable::Unreadable(Box::new(unreadable)))
}

/// Audits a record.
pub fn audit(path: &Path, most: u64) -> Result<Audit, Unusable> {
    Ok(keyoff::audit(read(path, most)?))
}

/// Audits a record, with no more than so many settings of one group of switches in one position of the key.
pub fn audit_up_to(path: &Path, most: u64, settings: usize) -> Result<Audit, Unusable> {
    Ok(keyoff::audit_up_to(read(path, most)?, settings))
}

/// Reads a record and builds its vehicle.
pub fn vehicle(path: &Path, most: u64) -> Result<Vehicle, Unusable> {
    Ok(keyoff::model::build(Arc::new(read(path, most)?)))
}

/// Reads a record, builds its vehicle, solves it and sums it up.
pub fn solved(path: &Path, most: u64) -> Result<(Vehicle, Solved), Unusable> {
    let vehicle = vehicle(path, most)?;
    let solved = keyoff::analyze::analyze(&vehicle);
    Ok((vehicle, solved))
}
