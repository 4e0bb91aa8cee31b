//! Paths and outlines as geometry: the girth of a frame, the edge of a plate.
//!
//! Lengths are exact where they are written; what follows from them is worked out in millimetres.

pub mod girth;
pub mod outline;

pub use girth::{Girth, PlanePoint};
pub use outline::Outline;
