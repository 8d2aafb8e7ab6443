//! The `keyoff` command.
fn main() {}
