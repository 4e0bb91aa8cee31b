//! What an answer shows people, as a value that is laid out later: on a terminal, as CSV, in a workbook.

use super::Style;
use super::anchor::{Anchor, AnchorKind};
use super::table::PageTable;
use super::text::{paragraph, table};

/// What stands on every answer.
pub const CAUTION: &str = "Compiled from the records entered. Not approved data; not an airworthiness or conformity \
                           statement. The licensed engineer or inspector and the local authority decide.";

/// A page that is being written: headings, sentences and tables in the order in which they are read.
///
/// A page cannot be shown before it is [`finished`](Page::finished), which puts the caution under it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Page {
    pub(super) blocks: Vec<Block>,
}

/// A piece of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Block {
    /// What the page is about.
    Title(String),
    /// What the next pieces are about.
    Heading(String),
    /// Sentences, with what stands before the first line, and where they are written, as `file:line`.
    Paragraph { lead: String, text: String, at: Option<String> },
    /// Rows under headings.
    Table(PageTable),
    /// What stands in a dossier, line for line.
    Example(String),
    /// Lines that are kept as they are, such as findings with their places.
    Lines(String),
    /// What follows is about this: links lead here.
    Anchor(Anchor),
    /// A blank line.
    Gap,
}

/// What the sentences of a paragraph are followed by: where they are written.
pub(super) fn place_words(at: Option<&String>) -> String {
    at.map_or_else(String::new, |at| format!(" [{at}]"))
}

impl Page {
    /// A page under a title.
    #[must_use]
    pub fn titled(title: impl Into<String>) -> Page {
        Page { blocks: vec![Block::Title(title.into())] }
    }
    /// A heading, with a blank line above it.
    pub fn heading(&mut self, text: impl Into<String>) {
        self.gap();
        self.blocks.push(Block::Heading(text.into()));
    }
    /// A paragraph; nothing if there is nothing to say.
    pub fn say(&mut self, text: impl Into<String>) {
        self.item("", text);
    }
    /// A paragraph whose first line begins with a lead, such as `- ` or `Why:`; the others are set in by as much.
    pub fn item(&mut self, lead: impl Into<String>, text: impl Into<String>) {
        let (lead, text) = (lead.into(), text.into());
        if !lead.is_empty() || !text.is_empty() {
            self.blocks.push(Block::Paragraph { lead, text, at: None });
        }
    }
    /// The same, with where it is written behind it: a file and a line.
    pub fn item_at(&mut self, lead: impl Into<String>, text: impl Into<String>, at: impl Into<String>) {
        self.blocks.push(Block::Paragraph { lead: lead.into(), text: text.into(), at: Some(at.into()) });
    }
    /// Says what the pieces that follow are about, so that links can lead here. On paper it is not seen.
    pub fn anchor(&mut self, kind: AnchorKind, name: impl Into<String>) {
        self.blocks.push(Block::Anchor(Anchor { kind, name: name.into() }));
    }
    /// A table.
    pub fn table(&mut self, table: impl Into<PageTable>) {
        self.blocks.push(Block::Table(table.into()));
    }
    /// An example from a dossier, line for line.
    pub fn example(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Example(text.into()));
    }
    /// Lines that are kept as they are.
    pub fn lines(&mut self, text: impl Into<String>) {
        self.blocks.push(Block::Lines(text.into()));
    }
    /// A blank line.
    pub fn gap(&mut self) {
        self.blocks.push(Block::Gap);
    }
    /// Another page behind this one.
    pub fn append(&mut self, other: Page) {
        self.blocks.extend(other.blocks);
    }
    /// Whether nothing stands on it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    /// Its first table.
    pub(crate) fn first_table(&self) -> Option<&PageTable> {
        self.tables().next()
    }

    /// Its paragraphs, each in one line.
    pub(crate) fn sentences(&self) -> Vec<String> {
        let paragraphs = self.blocks.iter().filter_map(|block| match block {
            Block::Paragraph { lead, text, at } => {
                Some(format!("{lead}{text}{}", place_words(at.as_ref())).trim().to_owned())
            }
            Block::Title(_)
            | Block::Heading(_)
            | Block::Table(_)
            | Block::Example(_)
            | Block::Lines(_)
            | Block::Anchor(_)
            | Block::Gap => None,
        });
        paragraphs.collect()
    }

    /// What it says, for a check code: all but where it is written, because a line added above moves that and nothing else.
    pub(crate) fn said(&self) -> String {
        let mut said = String::new();
        for block in &self.blocks {
            match block {
                Block::Title(text) | Block::Heading(text) | Block::Example(text) | Block::Lines(text) => {
                    said.push_str(text);
                }
                Block::Paragraph { lead, text, at: _ } => said.extend([lead.as_str(), text]),
                Block::Table(table) => {
                    said.extend(table.columns.iter().flat_map(|column| [column.text.as_str(), "\t"]));
                    for row in &table.rows {
                        let kept = row.iter().zip(&table.columns).filter(|(_, column)| !column.is_place);
                        said.push('\n');
                        said.extend(kept.flat_map(|(cell, _)| [cell.as_str(), "\t"]));
                    }
                }
                Block::Anchor(_) | Block::Gap => {}
            }
            said.push('\n');
        }
        said
    }

    /// Whether a word is used on it, in whatever case.
    #[must_use]
    pub fn uses(&self, word: &str) -> bool {
        let in_text =
            |text: &str| text.split(|c: char| !c.is_alphanumeric()).any(|other| other.eq_ignore_ascii_case(word));
        self.blocks.iter().any(|block| match block {
            Block::Title(text) | Block::Heading(text) | Block::Example(text) | Block::Lines(text) => in_text(text),
            Block::Paragraph { lead, text, at: _ } => in_text(lead) || in_text(text),
            Block::Table(table) => {
                let headings = table.columns.iter().map(|column| &column.text);
                headings.chain(table.rows.iter().flatten()).any(|cell| in_text(cell))
            }
            Block::Anchor(_) | Block::Gap => false,
        })
    }

    /// The page with the caution under it, ready to be shown.
    #[must_use]
    pub fn finished(mut self) -> Finished {
        self.say(CAUTION);
        Finished { page: self }
    }
    /// The page as it is, because it says nothing of an airframe, or goes on from one that had the caution.
    #[must_use]
    pub fn plain(self) -> Finished {
        Finished { page: self }
    }
}

/// A page with all that has to stand on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finished {
    pub(super) page: Page,
}

impl Finished {
    /// As text for a terminal.
    #[must_use]
    pub fn text(&self, style: Style) -> String {
        let laid_out = |block: &Block| match block {
            Block::Title(text) | Block::Heading(text) => style.head(text),
            Block::Paragraph { lead, text, at } => {
                paragraph(lead, &format!("{text}{}", place_words(at.as_ref())), style.width)
            }
            Block::Table(of) => table(of, style.width),
            Block::Example(text) => {
                let lines: String = text.lines().flat_map(|line| ["    ", line, "\n"]).collect();
                format!("For instance:\n{lines}")
            }
            Block::Lines(text) => text.clone(),
            Block::Anchor(_) => String::new(),
            Block::Gap => "\n".to_owned(),
        };
        let text: String = self.page.blocks.iter().map(laid_out).collect();
        if style.unicode { text } else { text.replace('\u{b7}', ".") }
    }

    /// As Markdown, its title a heading of this level. What is typed in it stays as it is.
    #[must_use]
    pub fn markdown(&self, level: usize) -> String {
        let row = |cells: &mut dyn Iterator<Item = &String>| {
            format!("| {} |\n", cells.map(String::as_str).collect::<Vec<_>>().join(" | "))
        };
        let laid_out = |block: &Block| match block {
            Block::Title(text) => format!("\n{} {text}\n", "#".repeat(level)),
            Block::Heading(text) => format!("\n{} {text}\n", "#".repeat(level + 1)),
            Block::Paragraph { lead, text, at } => format!("\n{lead}{text}{}\n", place_words(at.as_ref())),
            Block::Table(of) => {
                let heads = row(&mut of.columns.iter().map(|column| &column.text));
                let rule = "|---".repeat(of.columns.len());
                let rows: String = of.rows.iter().map(|cells| row(&mut cells.iter())).collect();
                format!("\n{heads}{rule}|\n{rows}")
            }
            Block::Example(text) | Block::Lines(text) => format!("\n```ron\n{}\n```\n", text.trim_end()),
            Block::Anchor(_) | Block::Gap => String::new(),
        };
        self.page.blocks.iter().map(laid_out).collect()
    }
}
