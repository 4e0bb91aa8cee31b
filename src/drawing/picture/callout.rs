//! Words beside a drawing, in columns, each with a line to its place: they never lie over each other.

use super::sheet::{LINE, PaperPoint, PaperSheet, SMALL, TextAnchor, wrapped};

/// Words about a place on a drawing.
#[derive(Clone, Debug)]
pub(super) struct Callout {
    /// Where the line ends.
    pub(super) at: PaperPoint,
    /// The words: the first line stands out.
    pub(super) lines: Vec<String>,
}

/// A column of words beside a drawing.
#[derive(Clone, Copy, Debug)]
pub(super) struct CalloutColumn {
    /// The edge that faces the drawing.
    pub(super) edge: f64,
    /// How wide it is.
    pub(super) width: f64,
    /// Whether it stands to the right of the drawing.
    pub(super) right: bool,
}

/// The lines of a callout as they fit into a column, each with whether it stands out.
fn fitted(callout: &Callout, width: f64) -> Vec<(String, bool)> {
    let lines = callout.lines.iter().enumerate();
    lines
        .flat_map(|(index, text)| wrapped(text, width, SMALL, index == 0).into_iter().map(move |l| (l, index == 0)))
        .collect()
}

/// How high a callout stands in a column.
fn height(callout: &Callout, width: f64) -> f64 {
    LINE * f64::from(u32::try_from(fitted(callout, width).len()).unwrap_or(1)) + 2.6
}

/// How high a column must be for these callouts.
pub(super) fn needed(callouts: &[Callout], column: CalloutColumn) -> f64 {
    callouts.iter().map(|callout| height(callout, column.width)).sum()
}

/// Draws the callouts between two heights that leave them room, each as near to its place as its neighbours let it be.
pub(super) fn draw(sheet: &mut PaperSheet, mut callouts: Vec<Callout>, column: CalloutColumn, top: f64, bottom: f64) {
    callouts.sort_by(|a, b| a.at.1.total_cmp(&b.at.1).then(a.lines.cmp(&b.lines)));
    let heights: Vec<f64> = callouts.iter().map(|callout| height(callout, column.width)).collect();
    let mut tops: Vec<f64> = Vec::new();
    let mut free = top;
    for (callout, height) in callouts.iter().zip(&heights) {
        let at = (callout.at.1 - height / 2.0).max(free);
        tops.push(at);
        free = at + height;
    }
    let mut below = bottom;
    for (at, height) in tops.iter_mut().zip(&heights).rev() {
        *at = at.min(below - height);
        below = *at;
    }
    for ((callout, height), at) in callouts.iter().zip(&heights).zip(tops) {
        let (toward, anchor) = if column.right { (-1.5, TextAnchor::Start) } else { (1.5, TextAnchor::End) };
        let knee = (column.edge + toward, at + (height - 2.6) / 2.0);
        sheet.line(knee, callout.at, r##"stroke="#555" stroke-width="0.2""##);
        let (upper, lower) = ((knee.0, at + 0.6), (knee.0, at + height - 2.2));
        sheet.line(upper, lower, r##"stroke="#555" stroke-width="0.35""##);
        for (index, (line, bold)) in fitted(callout, column.width).iter().enumerate() {
            let base = at + LINE * f64::from(u32::try_from(index + 1).unwrap_or(1)) - 0.7;
            sheet.text((column.edge, base), SMALL, *bold, anchor, line);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::sheet::{Foot, Paper};
    use super::*;

    #[test]
    fn words_about_one_place_stand_below_each_other() {
        let column = CalloutColumn { edge: 100.0, width: 50.0, right: true };
        let one = |name: &str| Callout { at: (80.0, 50.0), lines: vec![name.to_owned(), "splice".to_owned()] };
        let callouts = vec![one("S1"), one("S2"), one("S3")];
        let room = needed(&callouts, column);
        let mut sheet = PaperSheet::default();
        draw(&mut sheet, callouts, column, 0.0, room);
        let foot = Foot { caution: "", rows: Vec::new() };
        let svg = sheet.finish("", &foot, Paper::A3, 1.0);
        let bases = svg.lines().filter(|line| line.starts_with("<text")).filter_map(|line| {
            let rest = line.split_once(" y=\"")?.1;
            rest.split_once('"')?.0.parse::<f64>().ok()
        });
        let bases: Vec<f64> = bases.collect();
        assert_eq!(bases.len(), 6);
        assert!(bases.windows(2).all(|pair| pair[1] - pair[0] > LINE - 0.02), "{bases:?}");
        assert!(bases.iter().all(|base| 0.0 < *base && *base < room), "{bases:?}");
    }
}
