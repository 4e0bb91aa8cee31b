//! The shop floor: parts against states, tools, decisions, permissions; sheet metal against published examples.

mod metal;
mod rack;
