//! The measured half of the jig room, against published figures, reference libraries and surveys with known errors.
//!
//! A debug build takes few cases of each kind; an optimised one the full counts:
//! `cargo test --release --test survey -- --nocapture`. The confusion table of the kinds of error alone:
//! `cargo test --release --test survey -- confusion --nocapture`. With `MODSTATE_ORACLES` set to a Python that has
//! scipy, the fits are held against it too.

mod confusion;
mod errors;
mod heights;
mod identification;
mod oracle;
mod plates;
mod properties;
#[path = "../oracles/python.rs"]
mod python;
#[path = "../random.rs"]
mod random;
mod slips;
mod speed;
mod whole;
mod worked;
