//! What is taken for a fact that the record leaves out; every one with its source.
