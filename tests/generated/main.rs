//! Made-up projects of any size: clean ones, and clean ones with one fault planted.

mod clean;
mod faults;
mod project;
mod sheets;
