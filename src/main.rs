//! The command line of `modstate`.

fn main() {}
