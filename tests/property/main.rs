//! Laws that hold for every input, tried on generated ones.

mod quantities;
mod reading;
#[path = "../it/two_readers.rs"]
mod two_readers;
