//! Measured points against wanted ones: pure numbers over plain geometry.
//!
//! Lengths are in millimetres, angles in radians; holes and members are named by index. Nothing here knows of a plate's
//! record, of a jig or of a state.

pub mod error_kind;
pub mod fit;
pub mod identify;
pub mod point;
pub mod position;
pub mod robust;
pub mod statistics;
