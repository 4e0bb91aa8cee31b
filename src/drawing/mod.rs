//! Answers drawn: pictures for people as SVG, and plates at full size as DXF.

mod picture;
mod template;

pub use picture::{Paper, frame_picture, survey_picture};
pub use template::{not_read_of_template, plate_template};
