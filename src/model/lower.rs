//! lowering
