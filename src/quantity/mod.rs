//! What stands in one field, as a value: lengths, masses, dates, serials, and the tables of the shop that they are read by.
//!
//! Each is read exactly, and keeps the text as it was written.

mod check_code;
pub mod config;
pub mod date;
pub mod length;
pub mod mass;
pub mod order;
pub mod serial;
mod unreadable;

pub use check_code::check_code;
pub use config::{
    BendRadii, BendRow, Config, HeatTreatment, Odds, RivetRow, RivetSpacing, RivetTable, RivetTables, Settings,
    ShopTable, Sourced, Stages, SurveyLimits,
};
pub use date::{Day, Window};
pub use length::Length;
pub use mass::Mass;
pub use serial::{Serial, SerialRange, SerialSet};
pub use unreadable::Unreadable;
