//! Quantities and text.
