//! Jigs: what each station needs in a state, whether the plate on it is that one, and what measured holes say of it.
//!
//! The measured half is pure numbers over plain geometry: lengths in millimetres, angles in radians, holes and members
//! named by index. What costs nothing is ruled out ([`slip`]) before [`advice`] touches metal. Nothing here reads a file
//! or words a finding. Results are drawn from the figures given: they are not approved data and no airworthiness or
//! conformity statement.

pub mod advice;
pub mod error_kind;
pub mod examine;
pub mod fit;
pub mod identify;
pub mod mend;
pub mod point;
pub mod position;
pub mod rework;
pub mod robust;
pub mod slip;
mod standing;
pub mod statistics;
mod unread;
mod verdict;
pub mod whole;

pub use standing::{Rests, Standing, standings};
pub use unread::{
    not_read_of_jigs, not_read_of_mounted, not_read_of_patterns, not_read_of_plate_record, not_read_of_stand,
    not_read_of_surveys,
};
pub use verdict::{Proved, StationVerdict, Verdict, definitions_at, proved, verdicts};
