//! Jigs: what each station needs in a state, whether the plate on it is that one, and what measured holes say of it.
//!
//! What costs nothing is ruled out ([`slip`]) before [`advice`] touches metal. Nothing here reads a file
//! or words a finding. Results are drawn from the figures given: they are not approved data and no airworthiness or
//! conformity statement.

pub mod advice;
pub mod examine;
pub mod found;
pub mod mend;
pub mod rework;
pub mod slip;
mod standing;
mod stations;
mod unread;
mod verdict;
pub mod whole;

pub use found::{PlateStanding, Rests};
pub use standing::{Proved, proved, standings};
pub use stations::definitions_at;
pub use unread::{
    not_read_of_jigs, not_read_of_mounted, not_read_of_patterns, not_read_of_plate_record, not_read_of_stand,
    not_read_of_surveys,
};
pub use verdict::{JigVerdict, StationVerdict, verdicts};
