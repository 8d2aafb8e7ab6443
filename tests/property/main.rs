//! Laws that hold for every input, tried on generated ones.

mod drawing;
mod quantities;
mod random_vehicle;
mod reading;
#[path = "../it/two_readers.rs"]
mod two_readers;
