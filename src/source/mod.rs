//! Reading the project folder: files, records, and where everything is written.

pub mod raw;
