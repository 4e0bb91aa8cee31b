//! Text laid out to a width.

use super::excerpt::clean;
use super::table::{Heading, PageTable, Side};
use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Width, presets};
use textwrap::{Options, WordSeparator, WordSplitter, WrapAlgorithm};

/// Rows under headings, as wide as needed and no wider than allowed; cells wrap. Two spaces stand between columns.
pub(super) fn table(of: &PageTable, width: usize) -> String {
    let heading: Vec<String> = of.columns.iter().map(|column| clean(&column.text)).collect();
    let shown = |(column, cell): (&Heading, &String)| match column.blank {
        Some(_) if cell.is_empty() => BOX.to_owned(),
        Some(_) | None => clean(cell),
    };
    let rows: Vec<Vec<String>> = of.rows.iter().map(|row| of.columns.iter().zip(row).map(shown).collect()).collect();
    let rule = LineStyle::none().fill('-');
    let mut table = comfy_table::Table::new();
    table.load_style(presets::NOTHING.header_separator(rule)).set_content_arrangement(ContentArrangement::Disabled);
    let widths = widths(&heading, &rows, width);
    table.set_header(heading);
    table.add_rows(rows);
    for (index, (column, width)) in table.column_iter_mut().zip(widths).enumerate() {
        let padding = u16::try_from(GAP).unwrap_or(0);
        let whole = u16::try_from(width).unwrap_or(u16::MAX).saturating_add(padding);
        column.set_padding((0, padding)).set_constraint(ColumnConstraint::Absolute(Width::Fixed(whole)));
        if of.columns[index].side == Side::Right {
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

/// A box to be filled in.
const BOX: &str = "________";
/// What stands between two columns.
const GAP: usize = 2;

/// How wide each column is: as its widest cell, and where that is too wide, narrowed where it adds the fewest lines. No
/// column is narrower than its longest word, unless words alone are too wide.
fn widths(heading: &[String], rows: &[Vec<String>], width: usize) -> Vec<usize> {
    let columns = heading.len();
    let cells =
        |column: usize| std::iter::once(heading).chain(rows.iter().map(Vec::as_slice)).map(move |row| &*row[column]);
    let longest = |lengths: &mut dyn Iterator<Item = usize>| lengths.max().unwrap_or(0).max(1);
    let mut widths: Vec<usize> =
        (0..columns).map(|column| longest(&mut cells(column).map(|cell| cell.chars().count()))).collect();
    let word = |cell: &str| cell.split(' ').map(|word| word.chars().count()).max().unwrap_or(0);
    let least: Vec<usize> = (0..columns).map(|column| longest(&mut cells(column).map(word))).collect();
    let mut excess = (widths.iter().sum::<usize>() + GAP * columns.saturating_sub(1)).saturating_sub(width);
    let heights = |column: usize, width: usize| cells(column).map(|cell| height(cell, width)).collect::<Vec<usize>>();
    let mut lines: Vec<Vec<usize>> = (0..columns).map(|column| vec![1; cells(column).count()]).collect();
    // What each column comes to if it is narrowed by one, once that was asked.
    let mut narrower: Vec<Option<Vec<usize>>> = vec![None; columns];
    while excess > 0 {
        let may_shrink = |least: &dyn Fn(usize) -> usize| -> Vec<usize> {
            (0..columns).filter(|column| widths[*column] > least(*column)).collect()
        };
        let mut open = may_shrink(&|column| least[column]);
        if open.is_empty() {
            open = may_shrink(&|_| 1);
        }
        let totals = open.into_iter().map(|column| {
            let of = &*narrower[column].get_or_insert_with(|| heights(column, widths[column] - 1));
            let tallest = |row: usize| {
                let others = (0..columns).filter(|other| *other != column).map(|other| lines[other][row]);
                others.chain([of[row]]).max().unwrap_or(0)
            };
            let total: usize = (0..of.len()).map(tallest).sum();
            (total, std::cmp::Reverse(widths[column]), column)
        });
        let Some((.., column)) = totals.min() else { break };
        widths[column] -= 1;
        lines[column] = narrower[column].take().unwrap_or_default();
        excess -= 1;
    }
    widths
}

/// In how many lines a cell stands in a width; a word that is wider is broken.
fn height(cell: &str, width: usize) -> usize {
    if cell.chars().count() <= width {
        return 1;
    }
    let options = Options::new(width)
        .word_separator(WordSeparator::AsciiSpace)
        .word_splitter(WordSplitter::NoHyphenation)
        .wrap_algorithm(WrapAlgorithm::FirstFit);
    textwrap::wrap(cell, options).len()
}

/// A paragraph: the first line begins with `first`, the others with as many spaces, or with two more than `first` does
/// where that is long.
pub(super) fn paragraph(first: &str, text: &str, width: usize) -> String {
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
        let rows = [["TM048", "a long reason that has to be wrapped"].map(str::to_owned)];
        let text = table(&PageTable::made(["Mod", "Why"], rows), 24);
        assert!(text.lines().all(|line| line.chars().count() <= 24 && line == line.trim_end()), "{text}");
        assert!(text.contains("TM048  a long reason"), "{text}");
    }
}
