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
mod lost;
mod once_wrong;
mod oracle;
mod outside;
#[path = "../generated/project/mod.rs"]
mod project;
mod promises;
#[path = "../oracles/python.rs"]
mod python;
mod reference;
mod small;
mod written;

/// The seeds of the random types of a test: `MODSTATE_SEED` is the first one, 0 if it is not set, and `MODSTATE_TYPES`
/// says how many, where other than the usual number is wanted.
fn seeds(usual: u64) -> std::ops::Range<u64> {
    let said = |name| std::env::var(name).ok().and_then(|said| said.parse::<u64>().ok());
    let first = said("MODSTATE_SEED").unwrap_or(0);
    first..first + said("MODSTATE_TYPES").unwrap_or(usual)
}
