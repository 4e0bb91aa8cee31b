//! A page as comma-separated values.

use super::page::{Block, Finished, place_words};
use super::table::{Heading, PageTable, Side};
use csv::{Terminator, WriterBuilder};

impl Finished {
    /// As CSV (RFC 4180: CRLF, cells quoted where they must be).
    ///
    /// The first cell of each row, `record`, says what it is: `about` (a title, a heading or a sentence, in the second
    /// cell), `not read` (a number, what it is and where, in the second cell), `record` (the headings of a table) or `line` (a
    /// row of it). All rows have as many cells as the widest. What
    /// stands under the last table comes before the first one, so that a page with one table ends with its rows.
    ///
    /// No cell starts a formula in a spreadsheet: one that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or an
    /// apostrophe, and is no number in a column of figures, has an apostrophe in front. A reader takes one leading
    /// apostrophe off every cell.
    ///
    /// # Panics
    /// Never: what is written stays in memory.
    #[must_use]
    pub fn csv(&self) -> String {
        let blocks = self.page.in_reach_of_tables();
        let tables = || self.page.tables();
        let width = 1 + tables().map(|table| table.columns.len()).max().unwrap_or(1);
        let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
        let mut write = |record: &str, cells: &mut dyn Iterator<Item = String>| {
            let cells = [record.to_owned()].into_iter().chain(cells);
            let padded = cells.chain(std::iter::repeat(String::new()));
            writer.write_record(padded.take(width)).expect("writing to memory does not fail");
        };
        for block in blocks {
            match block {
                Block::Title(text) | Block::Heading(text) | Block::Example(text) | Block::Lines(text) => {
                    write("about", &mut [guarded(text)].into_iter());
                }
                Block::Paragraph { lead, text, at } => {
                    // What was not read is listed by number, as in `[2]`.
                    let record = if lead.trim_start().starts_with('[') { "not read" } else { "about" };
                    let sentence = format!("{lead}{text}{}", place_words(at.as_ref()));
                    write(record, &mut [guarded(sentence.trim())].into_iter());
                }
                Block::Table(table) => {
                    write("record", &mut table.columns.iter().map(|column| guarded(&column.text)));
                    for row in &table.rows {
                        let mut cells = table.columns.iter().zip(row).map(|(column, cell)| column.guarded(cell));
                        write("line", &mut cells);
                    }
                }
                Block::Anchor(_) | Block::Gap => {}
            }
        }
        let bytes = writer.into_inner().expect("writing to memory does not fail");
        String::from_utf8(bytes).expect("cells are text")
    }
}

impl super::page::Page {
    /// Its tables.
    pub(super) fn tables(&self) -> impl Iterator<Item = &PageTable> {
        self.blocks.iter().filter_map(|block| match block {
            Block::Table(table) => Some(table),
            Block::Title(_)
            | Block::Heading(_)
            | Block::Paragraph { .. }
            | Block::Example(_)
            | Block::Lines(_)
            | Block::Anchor(_)
            | Block::Gap => None,
        })
    }

    /// Its blocks, what stands under the last table put before the first table and its heading.
    fn in_reach_of_tables(&self) -> Vec<&Block> {
        let is_table = |block: &Block| matches!(block, Block::Table(_));
        let Some(last) = self.blocks.iter().rposition(is_table) else { return self.blocks.iter().collect() };
        let first = self.blocks.iter().position(is_table).unwrap_or(last);
        let heading = self.blocks[..first].iter().rposition(|block| matches!(block, Block::Heading(_)));
        let first = heading.unwrap_or(first);
        let (upper, lower) = self.blocks.split_at(last + 1);
        upper[..first].iter().chain(lower).chain(&upper[first..]).collect()
    }
}

impl Heading {
    /// A cell of the column, guarded: a column of figures keeps its negative numbers.
    fn guarded(&self, cell: &str) -> String {
        let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.');
        let is_number = || cell.strip_prefix('-').is_some_and(is_digits) && cell.parse::<f64>().is_ok();
        if self.side == Side::Right && is_number() { cell.to_owned() } else { guarded(cell) }
    }
}

/// A cell that no spreadsheet takes for a formula.
pub(crate) fn guarded(cell: &str) -> String {
    let acts = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\'']);
    if acts { format!("'{cell}") } else { cell.to_owned() }
}

#[cfg(test)]
mod tests {
    use crate::layout::{Page, PageTable};

    #[test]
    fn words_never_start_a_formula_and_figures_stay_numbers() {
        let rows = ["-5", "-1+1", "-"];
        let table = PageTable::of(&rows).words("A", |cell| (*cell).to_owned()).figures("B", |cell| (*cell).to_owned());
        let mut page = Page::default();
        page.table(table);
        let csv = page.finished().csv();
        for line in ["line,'-5,-5\r\n", "line,'-1+1,'-1+1\r\n", "line,'-,'-\r\n"] {
            assert!(csv.contains(line), "{csv}");
        }
    }
}
