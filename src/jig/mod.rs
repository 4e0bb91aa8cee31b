//! Jigs: what each station needs in a state, whether the plate on it is that one, and whether that is proved.

mod verdict;

pub use verdict::{Proved, StationVerdict, Verdict, definitions_at, proved, verdicts};
