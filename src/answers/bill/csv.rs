//! A bill as CSV.

use super::{BillView, columns, words};
use crate::answers::NotRead;
use crate::bill::Bill;
use crate::layout::{CAUTION, guarded};
use crate::model::Model;
use csv::{Terminator, WriterBuilder};

/// A bill as CSV (RFC 4180: CRLF, one header line, cells quoted where they must be).
///
/// The first column, `record`, tells `line` (a line of the bill) from `about` (the airframe, state and basis, in the
/// second column), `not read` (a number, what it is and where, in the second column; lines name it in their last) and
/// `caution`. `least` and `most` are empty where the quantity is not decided; `state` is `settled`
/// or says what else. In the tree an open line has one record for each choice, `part` being `nothing` or `gap` where
/// no part is fitted.
///
/// No cell starts a formula in a spreadsheet: a cell that begins with `=`, `+`, `-`, `@`, a tab, a carriage return or
/// an apostrophe, and is no number, is written with an apostrophe in front. A reader takes one leading apostrophe off every cell.
///
/// # Panics
/// Never: what is written stays in memory.
#[must_use]
pub fn bill_csv(bill: &Bill, model: &Model, view: BillView, not_read: &[NotRead]) -> String {
    let (header, lines) = match view {
        BillView::Tree => (columns::TREE, columns::tree(bill, model, false)),
        BillView::Flat | BillView::Make | BillView::Buy => (columns::TOTALS, columns::totals(bill, model, view)),
        BillView::Material => (columns::MATERIALS, columns::materials(bill)),
    };
    let [subject, scope, basis, issues] = columns::about(bill, model);
    let about = format!("{subject}; {scope}; {}; {basis}; {issues}", words::view_words(view));
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(Vec::new());
    let mut write = |cells: Vec<String>| {
        let padded = cells.into_iter().map(|cell| guarded(&cell)).chain(std::iter::repeat(String::new()));
        writer.write_record(padded.take(1 + header.len())).expect("writing to memory does not fail");
    };
    let names = header.iter().map(|column| column.name);
    write(["record"].into_iter().chain(names).map(str::to_owned).collect());
    write(vec!["about".to_owned(), about]);
    for line in lines {
        write(["line".to_owned()].into_iter().chain(line).collect());
    }
    for lost in not_read {
        write(vec!["not read".to_owned(), format!("[{}] {}: {}", lost.number.0, lost.at, lost.what)]);
    }
    write(vec!["caution".to_owned(), CAUTION.to_owned()]);
    let bytes = writer.into_inner().expect("writing to memory does not fail");
    String::from_utf8(bytes).expect("cells are text")
}
