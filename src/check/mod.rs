//! Checking a whole project: facts of the earlier rooms, worded as findings.

pub mod wording;
