//! `modstate` resolves which modification state one historic airframe is rebuilt to, and which parts, splices and jig
//! plates that state calls for.

pub mod bill;
pub mod check;
pub mod cli;
pub mod codes;
pub mod finding;
pub mod graph;
pub mod history;
pub mod ids;
pub mod jig;
pub mod metal;
pub mod model;
pub mod project;
pub mod prop;
pub mod report;
pub mod resolve;
pub mod sheets;
pub mod shop;
pub mod source;
