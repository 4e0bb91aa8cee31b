//! What holds for the type as a whole, over every state that its rules allow on any serial.
//!
//! Nothing here knows of an airframe or of a claim.

pub mod allowed;
pub mod catalogue;
pub mod frames;
pub mod splices;
