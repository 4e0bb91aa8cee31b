//! The engine against a reference that walks every state day by day.

mod agreement;
mod bills;
mod reference;
mod small;
