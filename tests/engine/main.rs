//! The engine against a reference that walks every state day by day.

#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "small types are made so that these cannot fail"
)]

mod agreement;
mod bills;
mod directives;
mod frame_variants;
mod hard;
mod oracle;
mod outside;
#[path = "../generated/project/mod.rs"]
mod project;
mod promises;
#[path = "../oracles/python.rs"]
mod python;
mod reference;
mod small;
