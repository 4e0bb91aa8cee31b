//! Answers as pictures to print and to hang at the bench: SVG, readable in black and white.
//!
//! What tone shows, pattern or shape and words show too. Nothing is drawn that no record gives: the depth
//! of a frame is a sign and not a size, and the edge of a plate is left out.

mod callout;
mod frame;
mod glyphs;
mod life;
mod sheet;
mod side;
mod survey;

pub use frame::{frame_figures, frame_picture};
pub use life::life_figure;
pub use sheet::Paper;
pub use survey::{survey_figure, survey_picture};

/// Scales of drawings: so many millimetres of metal to one of paper.
const SCALES: [f64; 17] =
    [0.5, 1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 40.0, 50.0, 100.0, 200.0, 500.0];

/// A breadth and a height, in millimetres.
type BreadthAndHeight = (f64, f64);

/// The largest scale at which a breadth and a height in millimetres fit into a space of a sheet, of which a millimetre comes to
/// `shrink` millimetres of paper: millimetres of metal to one of paper.
fn scale(size: BreadthAndHeight, space: BreadthAndHeight, shrink: f64) -> f64 {
    let paper = (space.0 * shrink, space.1 * shrink);
    let fits = |scale: &f64| size.0 / scale <= paper.0 && size.1 / scale <= paper.1;
    let exact = (size.0 / paper.0).max(size.1 / paper.1).max(0.5);
    SCALES.into_iter().find(fits).unwrap_or(exact)
}

/// `1:15`, `2:1`.
fn scale_words(scale: f64) -> String {
    if scale < 1.0 { format!("{}:1", 1.0 / scale) } else { format!("1:{scale}") }
}

/// A round length in millimetres of metal whose bar on paper is not longer than `most`: its size, and what it is called.
fn round_bar(scale: f64, inches: bool, most: f64) -> (f64, String) {
    let unit = if inches { 25.4 } else { 1.0 };
    let steps = [0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0];
    let fits = |step: &&f64| *step * unit / scale <= most;
    let step = steps.iter().rfind(fits).copied().unwrap_or(0.1);
    (step * unit, format!("{step} {}", if inches { "in" } else { "mm" }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_round_and_fit() {
        assert_eq!(scale_words(scale((1587.5, 1854.2), (108.0, 150.0), 1.0)), "1:15");
        assert_eq!(scale_words(scale((10.0, 10.0), (100.0, 100.0), 1.0)), "2:1");
        // On a smaller paper the same drawing has a smaller scale, and a round one.
        assert_eq!(scale_words(scale((1587.5, 1854.2), (108.0, 150.0), 210.0 / 297.0)), "1:25");
        assert_eq!(round_bar(15.0, true, 60.0), (20.0 * 25.4, "20 in".to_owned()));
        assert_eq!(round_bar(8.0, false, 45.0), (200.0, "200 mm".to_owned()));
    }
}
