//! Measured holes: how well a jig plate is placed, what kind of error it carries and which plate it is.
//!
//! Pure numbers over plain geometry: lengths in millimetres, angles in radians, holes and members named by index.
//! Nothing here reads a file or words a finding. Results are drawn from the figures given: they are not approved data
//! and no airworthiness or conformity statement.

pub mod error_kind;
pub mod fit;
pub mod identify;
pub mod point;
pub mod position;
pub mod robust;
pub mod statistics;

pub use error_kind::{Diagnosis, ErrorKind, Remedy, diagnose};
pub use fit::{Fit, FitError, fit, fit_in_plane};
pub use identify::{Catalogue, Identification, Verdict as PlateVerdict};
pub use point::{Motion, Point3};
pub use position::Verdict;
