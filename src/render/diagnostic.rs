//! What is wrong with an input, as people read it.
