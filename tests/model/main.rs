//! Tests of the `model` room: what dossiers become, and what is said of faulty ones.

#![expect(clippy::unwrap_used, reason = "a test that lacks what it looks for has failed")]

mod directives;
mod faults;
mod girth;
mod losses;
mod lowering;
mod project;
#[path = "../oracles/python.rs"]
mod python;
#[expect(dead_code, reason = "surveys need more of it")]
#[path = "../random.rs"]
mod random;
