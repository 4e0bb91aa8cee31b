//! What goes with a bill: where it differs on the other basis, and why there may be none.

use crate::answers::Asked;
use crate::answers::asked::basis_words;
use crate::bill::{Differing, NoBill, Request};
use crate::layout::Page;
use crate::layout::text::counted;
use crate::model::Model;
use crate::resolve::Basis;

/// The positions of the lines in which a bill differs from the one on the other basis; the top of the bill has none.
#[must_use]
pub fn differing_positions(lines: &[Differing<'_>], model: &Model) -> Vec<String> {
    let last = lines.iter().filter_map(|line| line.path.last());
    last.map(|position| model.positions.name(*position).to_owned()).collect()
}

/// What is to be said below a bill: where the other basis differs, and what the state takes for granted.
#[must_use]
pub fn bill_remarks(asked: &Asked, request: Request, lines: &[Differing<'_>], model: &Model) -> Page {
    let mut page = Page::default();
    let positions = differing_positions(lines, model);
    if !positions.is_empty() {
        let other = basis_words(request.basis == Basis::Firm);
        let count = counted(positions.len(), "position differs", "positions differ");
        let sentence = format!("{count} {other}: {}.", positions.join(", "));
        page.item("* = ", sentence);
    }
    page.append(asked.remarks());
    page
}

/// Why there is no bill, a sentence without a full stop.
#[must_use]
pub fn bill_trouble_words(trouble: &NoBill, model: &Model) -> String {
    match trouble {
        NoBill::NoAirframePart => "no `Type` record says which part is the whole airframe".to_owned(),
        NoBill::Loop => {
            "a part contains itself, so there is no end to the bill; `modstate check` shows where".to_owned()
        }
        NoBill::NotRead(_) => "what the bill would be of is not known".to_owned(),
        NoBill::NotFitted => "it is fitted in no history of this airframe, so there is nothing to list".to_owned(),
        NoBill::TooMany(part) => format!("there are more of `{}` than can be counted", model.parts.name(*part)),
        NoBill::TooLong(lines) => {
            format!("the bill would have more than {lines} lines; ask for a part of it with `--of`")
        }
        NoBill::TooDeep(levels) => {
            format!("more than {levels} assemblies lie inside each other; ask for one of the inner ones with `--of`")
        }
    }
}
