//! Text laid out to a width.

use super::excerpt::clean;
use comfy_table::{CellAlignment, ContentArrangement, LineStyle, Table, presets};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// Rows under headers, as wide as needed and no wider than allowed; cells wrap. Two spaces stand between columns.
pub(crate) fn table(headers: &[&str], rows: &[Vec<String>], width: usize) -> String {
    table_of(headers, rows, &[], width)
}

/// The same with some columns, of figures, set flush right.
pub(crate) fn table_of(headers: &[&str], rows: &[Vec<String>], figures: &[usize], width: usize) -> String {
    let rule = LineStyle::none().fill('-');
    let mut table = Table::new();
    table.load_style(presets::NOTHING.header_separator(rule)).set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(width).unwrap_or(u16::MAX));
    table.set_header(headers.to_vec());
    for row in rows {
        table.add_row(row.iter().map(|cell| clean(cell)));
    }
    for (index, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if figures.contains(&index) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let drawn = table.to_string();
    let is_rule = |line: &&str| !line.is_empty() && line.bytes().all(|byte| byte == b'-');
    let rule = drawn.lines().position(|line| is_rule(&line));
    let lines = || drawn.lines().map(str::trim_end).enumerate();
    let widths = lines().filter(|(index, _)| Some(*index) != rule).map(|(_, line)| line.chars().count());
    let widest = widths.max().unwrap_or(0);
    let mut text = String::new();
    for (index, line) in lines() {
        let rule = "-".repeat(if Some(index) == rule { widest } else { 0 });
        text.push_str(if rule.is_empty() { line } else { &rule });
        text.push('\n');
    }
    text
}

/// A paragraph: the first line begins with `first`, the others with as many spaces, or with two more than `first` does
/// where that is long.
pub(crate) fn paragraph(first: &str, text: &str, width: usize) -> String {
    let (first, mut text) = (clean(first), clean(text));
    let mut line = first;
    let mut indent = line.chars().count();
    if indent > LEAD {
        let blank = line.chars().take_while(|c| *c == ' ').count();
        text = format!("{} {text}", line.trim());
        line = " ".repeat(blank);
        indent = blank + 2;
    }
    if !line.is_empty() && !line.ends_with(' ') {
        line.push(' ');
    }
    let indent = " ".repeat(indent);
    let options = Options::new(width)
        .initial_indent(&line)
        .subsequent_indent(&indent)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit)
        .break_words(false);
    let text: Vec<&str> = text.split_whitespace().collect();
    format!("{}\n", textwrap::fill(&text.join(" "), options).trim_end())
}

/// What stands before a paragraph is long if it has more characters than this.
const LEAD: usize = 8;

/// "1 plate", "2 plates".
pub(crate) fn counted(count: usize, one: &str, several: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {several}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paragraph_keeps_its_width_and_its_indent() {
        assert_eq!(paragraph("- ", "one two three four", 11), "- one two\n  three\n  four\n");
        assert_eq!(paragraph("", "alonglongword b", 5), "alonglongword\nb\n");
        assert_eq!(paragraph("Why:", "because", 80), "Why: because\n");
        assert_eq!(paragraph("A beginning too long: ", "b", 12), "A beginning\n  too long:\n  b\n");
        assert_eq!(paragraph("  A long beginning: ", "one two", 24), "  A long beginning: one\n    two\n");
    }

    #[test]
    fn a_table_fits_its_width_and_leaves_no_blanks_at_line_ends() {
        let rows = vec![vec!["TM048".to_owned(), "a long reason that has to be wrapped".to_owned()]];
        let text = table(&["Mod", "Why"], &rows, 24);
        assert!(text.lines().all(|line| line.chars().count() <= 24 && line == line.trim_end()), "{text}");
        assert!(text.contains("TM048  a long reason"), "{text}");
    }
}
