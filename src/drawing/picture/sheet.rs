//! A sheet to print: lines, shapes and text in millimetres from its upper left corner, written as SVG 1.1.

use crate::answers::NotRead;
use crate::layout::excerpt::clean;
use std::fmt::Write as _;

/// A place on the sheet: to the right, down, in millimetres.
pub(super) type PaperPoint = (f64, f64);

/// How wide a sheet is: A3 lying. It is as high as A3 or, where more stands on it, higher.
pub(super) const WIDTH: f64 = 420.0;
/// How high A3 is, lying.
const HEIGHT: f64 = 297.0;
/// What is left free at the edges.
pub(super) const MARGIN: f64 = 10.0;
/// The size of small text, the smallest that is used.
pub(super) const SMALL: f64 = 2.9;
/// From one line of small text to the next.
pub(super) const LINE: f64 = 3.8;

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

/// About how wide a text is: widths of a plain sans-serif face in thousandths of its size (from memory), and a little
/// more, for the face that is at hand may be wider.
pub(super) fn wide(text: &str, size: f64, bold: bool) -> f64 {
    let one = |c: char| match c {
        'i' | 'j' | 'l' | '\'' | '|' => 222,
        ' ' | 'f' | 't' | 'I' | '.' | ',' | ':' | ';' | '/' | '!' => 278,
        'r' | '-' | '(' | ')' | '`' | '°' => 333,
        'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' => 500,
        'm' | 'M' => 833,
        'w' | 'C' | 'D' | 'H' | 'N' | 'R' | 'U' => 722,
        'W' | '@' | '%' => 944,
        'G' | 'O' | 'Q' => 778,
        _ if c.is_uppercase() => 667,
        _ => 556,
    };
    let sum: i32 = text.chars().map(one).sum();
    f64::from(sum) / 1000.0 * size * if bold { 1.12 } else { 1.05 }
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

    /// The whole sheet: what was drawn down to `bottom`, the title block and the caution below it.
    pub(super) fn finish(mut self, title: &str, cells: &[(&str, String)], bottom: f64, caution: &str) -> String {
        let shares = [0.16, 0.22, 0.22, 0.40];
        let whole = WIDTH - 2.0 * MARGIN;
        let text_size = 3.6;
        let step = text_size * LINE / SMALL;
        let lines = |share: f64, text: &str| wrapped(text, share * whole - 4.0, text_size, true);
        let most = cells.iter().zip(shares).map(|((_, text), share)| lines(share, text).len()).max().unwrap_or(1);
        let block = 7.0 + step * f64::from(u32::try_from(most.max(2)).unwrap_or(2));
        let caution_lines = wrapped(caution, whole - 4.0, 3.4, true);
        let foot = block + 7.0 + 4.6 * f64::from(u32::try_from(caution_lines.len()).unwrap_or(1));
        let height = HEIGHT.max(bottom + foot + MARGIN);
        let top = height - MARGIN - foot;
        let mut at = top + 4.0;
        for line in &caution_lines {
            self.text((MARGIN + 2.0, at), 3.4, true, TextAnchor::Start, line);
            at += 4.6;
        }
        let top = height - MARGIN - block;
        self.rect((MARGIN, top), whole, block, r##"fill="none" stroke="#000" stroke-width="0.7""##);
        let mut left = MARGIN;
        for ((name, text), share) in cells.iter().zip(shares) {
            if left > MARGIN {
                self.line((left, top), (left, height - MARGIN), r##"stroke="#000" stroke-width="0.35""##);
            }
            self.text((left + 2.0, top + 4.2), SMALL, false, TextAnchor::Start, name);
            let mut at = top + 9.4;
            for line in lines(share, text) {
                self.text((left + 2.0, at), text_size, true, TextAnchor::Start, &line);
                at += step;
            }
            left += share * whole;
        }
        let (width, height) = (figure(WIDTH), figure(height));
        let title = escaped(title);
        let head = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" font-family="Arial, Helvetica, Liberation Sans, sans-serif">"#
        );
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{head}\n<title>{title}</title>\n{PATTERNS}\
             <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n{}</svg>\n",
            self.body
        )
    }
}

/// How many patterns there are to tell neighbours apart.
pub(super) const PATTERN_COUNT: usize = 6;

/// The patterns: `#p0` to `#p5`, apart in tone and, without any tone, in what is drawn.
const PATTERNS: &str = r##"<defs>
<pattern id="p0" width="4" height="4" patternUnits="userSpaceOnUse"><rect width="4" height="4" fill="#ffffff"/></pattern>
<pattern id="p1" width="1.6" height="1.6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="1.6" height="1.6" fill="#dcebf7"/><rect width="0.5" height="1.6" fill="#123a5c"/></pattern>
<pattern id="p2" width="2" height="2" patternUnits="userSpaceOnUse"><rect width="2" height="2" fill="#fbecd2"/><circle cx="1" cy="1" r="0.5" fill="#5a3200"/></pattern>
<pattern id="p3" width="3" height="3" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><rect width="3" height="3" fill="#e2f2df"/><rect width="0.35" height="3" fill="#1d4a18"/><rect y="0" width="3" height="0.35" fill="#1d4a18"/></pattern>
<pattern id="p4" width="1.2" height="1.2" patternUnits="userSpaceOnUse" patternTransform="rotate(-60)"><rect width="1.2" height="1.2" fill="#8f8f8f"/><rect width="0.4" height="1.2" fill="#d9d9d9"/></pattern>
<pattern id="p5" width="3" height="3" patternUnits="userSpaceOnUse"><rect width="3" height="3" fill="#f3e3f2"/><path d="M0.6,1.5H2.4M1.5,0.6V2.4" stroke="#4a1546" stroke-width="0.4"/></pattern>
</defs>
"##;
