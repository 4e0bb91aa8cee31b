//! Jigs: what each station needs in a state, and whether the plate on it is that one.

mod verdict;

pub use verdict::{StationVerdict, Verdict, definitions_at, verdicts};
