//! A page as HTML: what is typed in it is text, whatever it holds.
//!
//! No element has a style or a script of its own: how things look is said in the style sheet of the document, by class.

use super::anchor::{Anchor, Anchors};
use super::excerpt::clean;
use super::page::{Block, CAUTION, Finished};
use super::table::{Heading, PageTable, RowWeight, Side};
use maud::{Markup, html};

impl Finished {
    /// As a part of an HTML document, its title a heading of this level.
    pub(crate) fn html(&self, level: u8, anchors: &mut Anchors) -> Markup {
        let mut about: Option<String> = None;
        // What a table is called that has no heading of its own.
        let mut called = String::new();
        let mut shown = Vec::new();
        for block in &self.page.blocks {
            let id = about.take();
            shown.push(match block {
                Block::Anchor(anchor) => {
                    about = anchors.place(anchor);
                    continue;
                }
                Block::Title(text) => {
                    called.clone_from(text);
                    heading(level, text, id)
                }
                Block::Heading(text) => {
                    called.clone_from(text);
                    heading(level + 1, text, id)
                }
                Block::Paragraph { lead, text, at } => paragraph(lead, text, at.as_deref(), id.as_deref(), anchors),
                Block::Table(of) => table(of, &called, id.as_deref(), anchors),
                Block::Example(text) | Block::Lines(text) => html! { pre id=[id] { (clean(text)) } },
                Block::Gap => {
                    about = id;
                    continue;
                }
            });
        }
        html! { @for block in shown { (block) } }
    }
}

/// A heading of a level from 1 to 6.
pub(crate) fn heading(level: u8, text: &str, id: Option<String>) -> Markup {
    let text = clean(text);
    match level {
        0 | 1 => html! { h1 id=[id] { (text) } },
        2 => html! { h2 id=[id] { (text) } },
        3 => html! { h3 id=[id] { (text) } },
        4 => html! { h4 id=[id] { (text) } },
        5 => html! { h5 id=[id] { (text) } },
        6.. => html! { h6 id=[id] { (text) } },
    }
}

fn paragraph(lead: &str, text: &str, at: Option<&str>, id: Option<&str>, anchors: &Anchors) -> Markup {
    let place = html! {
        @if let Some(at) = at { " " span.at { (clean(at)) } }
    };
    if lead.trim().is_empty() && text == CAUTION {
        return html! { p.caution id=[id] { (text) } };
    }
    if lead.trim().is_empty() {
        return html! { p id=[id] class=[(!lead.is_empty()).then_some("in")] { (linked(text, anchors)) (place) } };
    }
    // A lead that is set in stands for a step of a list, one that is set in farther for what that step rests on.
    let depth = match lead.len() - lead.trim_start().len() {
        0 => "item",
        1..=4 => "item step",
        _ => "item under",
    };
    html! {
        p id=[id] class=(depth) { span.lead { (linked(lead.trim(), anchors)) } " " span { (linked(text, anchors)) (place) } }
    }
}

/// A name of more bytes may break over lines.
const LONGEST_WHOLE: usize = 24;

/// Text in which the names that are anchors link to them.
pub(crate) fn linked(text: &str, anchors: &Anchors) -> Markup {
    let text = clean(text);
    let is_name = |c: char| c.is_alphanumeric() || matches!(c, '-' | '/' | '.' | '_');
    let mut pieces: Vec<(String, Option<String>)> = Vec::new();
    let mut rest = text.as_str();
    while !rest.is_empty() {
        let (piece, after) = rest.split_at(rest.find(is_name).unwrap_or(rest.len()));
        let (word, after) = after.split_at(after.find(|c| !is_name(c)).unwrap_or(after.len()));
        let name = word.trim_end_matches(['.', '/']);
        let (name, tail) = word.split_at(name.len());
        pieces.extend([(piece.to_owned(), None), (name.to_owned(), anchors.link(name)), (tail.to_owned(), None)]);
        rest = after;
    }
    html! {
        @for (piece, link) in &pieces {
            @if let Some(id) = link {
                // A number that breaks at its hyphen is misread.
                a.whole[piece.len() <= LONGEST_WHOLE] href={ "#" (id) } { (piece) }
            } @else {
                (piece)
            }
        }
    }
}

pub(super) fn table(of: &PageTable, called: &str, id: Option<&str>, anchors: &mut Anchors) -> Markup {
    let rows: Vec<Markup> = (0..of.rows.len()).map(|row| html_row(of, row, None, anchors)).collect();
    framed(of, called, id, None, &rows)
}

/// A table around its rows. It can be moved by keyboard where it is wider than the screen.
pub(super) fn framed(of: &PageTable, called: &str, id: Option<&str>, more: Option<&str>, rows: &[Markup]) -> Markup {
    html! {
        div.table id=[id] role="group" tabindex="0" aria-label={ "Table: " (clean(called)) } {
            table {
                thead { tr {
                    @for column in &of.columns { th scope="col" class=[side(column)] { (clean(&column.text)) } }
                    @if let Some(more) = more { th.only scope="col" { (more) } }
                } }
                tbody { @for row in rows { (row) } }
            }
        }
    }
}

fn side(column: &Heading) -> Option<&'static str> {
    (column.side == Side::Right).then_some("figure")
}

/// A row of a table; `on` is where the table is one of several in one: at which stops the row is shown, and whether now.
pub(super) fn html_row(of: &PageTable, row: usize, on: Option<(&str, bool)>, anchors: &mut Anchors) -> Markup {
    let weight = match of.weights.get(row).copied().unwrap_or_default() {
        RowWeight::Sound => None,
        RowWeight::Open => Some("open"),
        RowWeight::Wrong => Some("wrong"),
        RowWeight::NotRead => Some("lost"),
    };
    let cells = &of.rows[row];
    let name = of.names.filter(|_| on.is_none()).map(|(kind, column)| (kind, cells[column].trim_start_matches("? ")));
    let named = name.filter(|(_, name)| !name.is_empty());
    let id = named.and_then(|(kind, name)| anchors.place(&Anchor { kind, name: name.to_owned() }));
    html! {
        tr id=[id] class=[weight] data-on=[on.map(|(on, _)| on)] hidden[on.is_some_and(|(_, now)| !now)] {
            @for (index, (column, cell)) in of.columns.iter().zip(cells).enumerate() {
                @let blank = cell.is_empty() && column.blank.is_some();
                @let class = if blank { Some("box") } else { side(column) };
                @if index == 0 {
                    th scope="row" class=[class] { (first_cell(cell, anchors)) }
                } @else {
                    td class=[class] { (linked(cell, anchors)) }
                }
            }
            @if on.is_some() { td.only {} }
        }
    }
}

/// The first cell of a row. The dots before it show how deep the row lies.
fn first_cell(cell: &str, anchors: &Anchors) -> Markup {
    let text = cell.trim_start_matches(['\u{b7}', ' ']);
    let (dots, text) = cell.split_at(cell.len() - text.len());
    html! {
        @if !dots.is_empty() { span.dots { (dots) } }
        (linked(text, anchors))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{AnchorKind, Page};
    use super::*;

    #[test]
    fn what_is_typed_stays_text() {
        let hostile = "\"><script>alert(1)</script>&amp; ' \u{202e} ]]>";
        let mut page = Page::titled(hostile);
        page.heading(hostile);
        page.item_at(format!("{hostile}: "), hostile, hostile);
        page.lines(hostile);
        page.anchor(AnchorKind::Part, hostile);
        page.table(
            PageTable::made([hostile, "B"], [[hostile.to_owned(), hostile.to_owned()]]).about(AnchorKind::Part, 0),
        );
        let shown = page.finished().html(2, &mut Anchors::default()).into_string();
        assert!(!shown.contains("<script") && !shown.contains('\u{202e}'), "{shown}");
        assert_eq!(shown.matches("&lt;script&gt;alert(1)&lt;/script&gt;").count(), 10, "{shown}");
    }

    #[test]
    fn names_link_and_what_only_begins_like_one_does_not() {
        let mut anchors = Anchors::of([Anchor { kind: AnchorKind::Part, name: "27-1".to_owned() }]);
        anchors.place(&Anchor { kind: AnchorKind::Part, name: "27-1".to_owned() });
        let shown = linked("27-1, 27-1/20 and 27-1.", &anchors.again()).into_string();
        assert_eq!(
            shown,
            "<a class=\"whole\" href=\"#part-27-1\">27-1</a>, 27-1/20 and <a class=\"whole\" href=\"#part-27-1\">27-1</a>."
        );
    }
}
