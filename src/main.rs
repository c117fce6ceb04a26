//! The doorway: arguments in, exit code out.

fn main() {}
