//! Answers drawn: pictures for people as SVG, and plates at full size as DXF.

mod picture;
mod template;

pub use picture::{Paper, frame_figures, frame_picture, life_figure, survey_figure, survey_picture};
pub use template::{not_read_of_template, plate_template};
