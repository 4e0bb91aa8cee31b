//! Tests of the `model` room: what dossiers become, and what is said of faulty ones.

mod directives;
mod faults;
mod lowering;
mod project;
