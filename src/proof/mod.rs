//! What holds for the type as a whole, over every state that its rules allow on any serial.
//!
//! Nothing here knows of an airframe or of a claim.

pub(crate) mod allowed;
pub(crate) mod catalogue;
pub(crate) mod frames;
pub(crate) mod splices;
