//! The measured half of the jig room, against published figures, reference libraries and surveys with known errors.
//!
//! The confusion table of the kinds of error:
//! `cargo test --release --test survey -- confusion --nocapture`

mod confusion;
mod errors;
mod identification;
mod nist;
mod oracle;
mod properties;
mod random;
mod worked;
