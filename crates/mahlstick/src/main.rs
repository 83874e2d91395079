//! The `mahlstick` command.

fn main() {}
