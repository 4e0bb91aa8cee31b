//! A sheet to print: lines, shapes and text in millimetres from its upper left corner, written as SVG 1.1.

use super::glyphs;
use crate::answers::NotRead;
use crate::layout::excerpt::clean;
use std::fmt::Write as _;

/// A place on the sheet: to the right, down, in millimetres.
pub(super) type PaperPoint = (f64, f64);

/// How wide and how high A3 is, lying.
pub(super) const WIDTH: f64 = 420.0;
const HEIGHT: f64 = 297.0;

/// What a picture is printed on, lying.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 420 by 297 mm.
    #[default]
    A3,
    /// 297 by 210 mm.
    A4,
}

impl Paper {
    /// Its breadth and height in millimetres.
    fn size(self) -> (f64, f64) {
        match self {
            Paper::A3 => (WIDTH, HEIGHT),
            Paper::A4 => (HEIGHT, 210.0),
        }
    }
    /// What a millimetre of a sheet comes to on it, where the sheet is as high as A3.
    pub(super) fn shrink(self) -> f64 {
        self.size().1 / HEIGHT
    }
    /// Its name.
    pub(super) fn name(self) -> &'static str {
        match self {
            Paper::A3 => "A3",
            Paper::A4 => "A4",
        }
    }
}

/// A cell of the title block: what it is called, what stands in it, and its share of the width.
pub(super) struct FootCell {
    pub(super) name: &'static str,
    pub(super) text: String,
    pub(super) share: f64,
}

/// What stands at the foot of a sheet: the caution, and the rows of the title block. A cell without text is a box for a
/// signature.
pub(super) struct Foot<'a> {
    pub(super) caution: &'a str,
    pub(super) rows: Vec<Vec<FootCell>>,
}

/// The size of text in the title block.
const BLOCK_SIZE: f64 = 3.4;
/// How high a box for a signature is.
const SIGNATURE: f64 = 13.0;

impl Foot<'_> {
    fn lines(cell: &FootCell, whole: f64) -> Vec<String> {
        wrapped(&cell.text, cell.share * whole - 4.0, BLOCK_SIZE, true)
    }
    fn row_height(row: &[FootCell], whole: f64) -> f64 {
        let step = BLOCK_SIZE * LINE / SMALL;
        let of_cell = |cell: &FootCell| match Self::lines(cell, whole).len() {
            0 => SIGNATURE,
            lines => 5.6 + step * f64::from(u32::try_from(lines).unwrap_or(1)),
        };
        row.iter().map(of_cell).fold(0.0, f64::max)
    }
    /// How high it is on a sheet of a width.
    pub(super) fn height(&self, wide: f64) -> f64 {
        let whole = wide - 2.0 * MARGIN;
        let caution = wrapped(self.caution, whole - 4.0, BLOCK_SIZE, true).len();
        let rows: f64 = self.rows.iter().map(|row| Self::row_height(row, whole)).sum();
        rows + 3.0 + 4.6 * f64::from(u32::try_from(caution).unwrap_or(1))
    }
}

/// A sheet as high as its paper: how much of it, if a sheet is as wide as A3.
pub(super) fn room(paper: Paper, shrink: f64) -> (f64, f64) {
    let (width, height) = paper.size();
    (width / shrink, height / shrink)
}

/// What is left free at the edges.
pub(super) const MARGIN: f64 = 10.0;
/// The size of small text, the smallest that is used.
pub(super) const SMALL: f64 = 2.9;
/// From one line of small text to the next.
pub(super) const LINE: f64 = 3.8;

/// The faces that words are shown in.
const FACES: &str = "Liberation Sans, Arial, Helvetica, DejaVu Sans, sans-serif";

/// Where a text is anchored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TextAnchor {
    Start,
    Middle,
    End,
}

/// What has been drawn so far.
#[derive(Debug, Default)]
pub(super) struct PaperSheet {
    body: String,
}

/// A number in the drawing, to 0.01 mm.
pub(super) fn figure(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" { "0.00".to_owned() } else { text }
}

fn escaped(text: &str) -> String {
    clean(text).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// How wide a text is in the widest of the faces that a sheet may be shown in.
pub(super) fn wide(text: &str, size: f64, bold: bool) -> f64 {
    glyphs::thousandths(text, bold) / 1000.0 * size
}

/// A text in lines that are no wider than allowed; a word that is wider has a line of its own.
pub(super) fn wrapped(text: &str, width: f64, size: f64, bold: bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if wide(&format!("{line} {word}"), size, bold) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// What was not read, in a box of its own at the head of a sheet; gives where it ends. Nothing, if all was read.
pub(super) fn not_read_box(sheet: &mut PaperSheet, not_read: &[NotRead], top: f64) -> f64 {
    if not_read.is_empty() {
        return top;
    }
    let wide = 246.0;
    let mut at = sheet.paragraph(
        (MARGIN + 2.0, top + 5.5),
        wide - 4.0,
        4.4,
        true,
        "NOT READ, so not known here. Correct these lines and draw this sheet again:",
    );
    for lost in not_read {
        let sentence = format!("[{}] {}: {}", lost.number.0, lost.at, lost.what);
        at = sheet.paragraph((MARGIN + 2.0, at), wide - 4.0, 3.4, true, &sentence);
    }
    let height = at - top - 1.5;
    sheet.rect((MARGIN, top), wide, height, r##"fill="none" stroke="#000" stroke-width="1.4""##);
    top + height + 2.0
}

impl PaperSheet {
    /// Adds an element as it stands.
    fn raw(&mut self, element: &str) {
        self.body.push_str(element);
        self.body.push('\n');
    }

    /// A straight line.
    pub(super) fn line(&mut self, (x, y): PaperPoint, (to_x, to_y): PaperPoint, style: &str) {
        let (x, y, to_x, to_y) = (figure(x), figure(y), figure(to_x), figure(to_y));
        self.raw(&format!(r#"<line x1="{x}" y1="{y}" x2="{to_x}" y2="{to_y}" {style}/>"#));
    }

    /// Lines from point to point.
    pub(super) fn path(&mut self, points: &[PaperPoint], closed: bool, style: &str) {
        let mut path = String::new();
        for (index, (x, y)) in points.iter().enumerate() {
            let verb = if index == 0 { 'M' } else { 'L' };
            write!(path, "{verb}{},{}", figure(*x), figure(*y)).expect("writing to memory does not fail");
        }
        let end = if closed { "Z" } else { "" };
        self.raw(&format!(r#"<path d="{path}{end}" {style}/>"#));
    }

    /// A circle.
    pub(super) fn circle(&mut self, (x, y): PaperPoint, radius: f64, style: &str) {
        self.raw(&format!(r#"<circle cx="{}" cy="{}" r="{}" {style}/>"#, figure(x), figure(y), figure(radius)));
    }

    /// A box.
    pub(super) fn rect(&mut self, (x, y): PaperPoint, width: f64, height: f64, style: &str) {
        let (x, y, width, height) = (figure(x), figure(y), figure(width), figure(height));
        self.raw(&format!(r#"<rect x="{x}" y="{y}" width="{width}" height="{height}" {style}/>"#));
    }

    /// One line of text; its base line is at the place.
    pub(super) fn text(&mut self, (x, y): PaperPoint, size: f64, bold: bool, anchor: TextAnchor, text: &str) {
        let anchor = match anchor {
            TextAnchor::Start => "",
            TextAnchor::Middle => r#" text-anchor="middle""#,
            TextAnchor::End => r#" text-anchor="end""#,
        };
        let weight = if bold { r#" font-weight="bold""# } else { "" };
        let (x, y, size) = (figure(x), figure(y), figure(size));
        let text = escaped(text);
        self.raw(&format!(r#"<text x="{x}" y="{y}" font-size="{size}"{weight}{anchor}>{text}</text>"#));
    }

    /// Text in lines; gives where the next one would stand.
    pub(super) fn paragraph(&mut self, (x, y): PaperPoint, width: f64, size: f64, bold: bool, text: &str) -> f64 {
        let step = size * LINE / SMALL;
        let lines = wrapped(text, width, size, bold);
        let mut at = y;
        for line in lines {
            self.text((x, at), size, bold, TextAnchor::Start, &line);
            at += step;
        }
        at
    }

    /// A table of small text with ruled rows; cells wrap. Gives where it ends.
    pub(super) fn table(&mut self, (x, y): PaperPoint, columns: &[(&str, f64)], rows: &[Vec<String>]) -> f64 {
        let width: f64 = columns.iter().map(|(_, width)| width).sum();
        let heads: Vec<String> = columns.iter().map(|(head, _)| (*head).to_owned()).collect();
        let mut top = y;
        for (index, row) in std::iter::once(&heads).chain(rows).enumerate() {
            let bold = index == 0;
            let cells = row.iter().zip(columns).map(|(cell, (_, width))| wrapped(cell, width - 2.0, SMALL, bold));
            let cells: Vec<Vec<String>> = cells.collect();
            let mut left = x;
            for (cell, (_, width)) in cells.iter().zip(columns) {
                let mut at = top + LINE;
                for line in cell {
                    self.text((left + 1.0, at), SMALL, bold, TextAnchor::Start, line);
                    at += LINE;
                }
                left += width;
            }
            let lines = cells.iter().map(Vec::len).max().unwrap_or(1).max(1);
            top += LINE * f64::from(u32::try_from(lines).unwrap_or(1)) + 1.6;
            let weight = if bold { "0.5" } else { "0.15" };
            self.line((x, top), (x + width, top), &format!(r##"stroke="#000" stroke-width="{weight}""##));
        }
        top
    }

    /// Draws what another sheet has over what is drawn.
    pub(super) fn over(&mut self, other: &PaperSheet) {
        self.body.push_str(&other.body);
    }

    /// What was drawn, from a corner on so wide and high, as a picture by itself that fills the width it is given.
    pub(super) fn cropped(self, title: &str, (left, top): PaperPoint, width: f64, height: f64) -> String {
        let [left, top, width, height] = [left, top, width, height].map(figure);
        let title = escaped(title);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left} {top} {width} {height}\" font-family=\"{FACES}\">\n\
             <title>{title}</title>\n\
             <rect x=\"{left}\" y=\"{top}\" width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{}</svg>\n",
            self.body
        )
    }

    /// The whole sheet with its foot, exactly as large as its paper; a millimetre of the sheet comes to `shrink` on it.
    pub(super) fn finish(mut self, title: &str, foot: &Foot<'_>, paper: Paper, shrink: f64) -> String {
        let (width, height) = room(paper, shrink);
        let whole = width - 2.0 * MARGIN;
        let step = BLOCK_SIZE * LINE / SMALL;
        let mut top = height - MARGIN - foot.height(width);
        let mut at = top + 3.6;
        for line in &wrapped(foot.caution, whole - 4.0, BLOCK_SIZE, true) {
            self.text((MARGIN + 2.0, at), BLOCK_SIZE, true, TextAnchor::Start, line);
            at += 4.6;
        }
        top = at - 0.6;
        self.rect((MARGIN, top), whole, height - MARGIN - top, r##"fill="none" stroke="#000" stroke-width="0.7""##);
        for (index, row) in foot.rows.iter().enumerate() {
            let high = Foot::row_height(row, whole);
            if index > 0 {
                self.line((MARGIN, top), (MARGIN + whole, top), r##"stroke="#000" stroke-width="0.35""##);
            }
            let mut left = MARGIN;
            for cell in row {
                if left > MARGIN {
                    self.line((left, top), (left, top + high), r##"stroke="#000" stroke-width="0.35""##);
                }
                self.text((left + 2.0, top + 3.8), SMALL, false, TextAnchor::Start, cell.name);
                let mut at = top + 8.4;
                for line in Foot::lines(cell, whole) {
                    self.text((left + 2.0, at), BLOCK_SIZE, true, TextAnchor::Start, &line);
                    at += step;
                }
                left += cell.share * whole;
            }
            top += high;
        }
        let (on_paper, size) = (paper.size(), (figure(width), figure(height)));
        let title = escaped(title);
        let head = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{}mm" height="{}mm" viewBox="0 0 {} {}" font-family="{FACES}">"#,
            on_paper.0, on_paper.1, size.0, size.1
        );
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{head}\n<title>{title}</title>\n\
             <rect width=\"{}\" height=\"{}\" fill=\"#fff\"/>\n{}</svg>\n",
            size.0, size.1, self.body
        )
    }
}
