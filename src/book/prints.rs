//! The fingerprints on the sheets of a book, and what the file keeps of the answers that it was made from: by these a printed
//! sheet shows later whether it is still current, and if not, what changed.

use super::{BookCovers, BookOf, BookPiece, BookSection};
use crate::answers::{Asked, KeptAnswers, Picked};
use crate::model::Marks;
use crate::quantity::check_code;
use serde::{Deserialize, Serialize};

/// A sheet of a book, in print perhaps several pages.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BookSheet {
    /// What stands at its head.
    pub sheet: String,
    /// A check code of all that it says, but for the day of printing; `null` where something of it was not read.
    pub fingerprint: Option<String>,
    /// What of it was not read.
    #[serde(skip)]
    pub not_read: Marks,
}

/// What the file of a book keeps.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptBook {
    /// The subject, of an inspector's pack.
    pub of: Option<String>,
    /// The day of printing.
    pub printed: String,
    /// Its sheets.
    pub sheets: Vec<BookSheet>,
    /// The answers that it was made from.
    pub kept: KeptAnswers,
}

/// What stands around it in the file.
const BEFORE: &str = "<script id=\"kept\" type=\"application/json\">";
const BEHIND: &str = "</script>";

impl KeptBook {
    /// As it stands in the file: data, which no browser runs. No text in it ends the element.
    pub(super) fn element(&self) -> String {
        let json = serde_json::to_string(self).expect("a book holds nothing that JSON cannot");
        format!("{BEFORE}{}{BEHIND}", json.replace('<', "\\u003c"))
    }
    /// What a file keeps; `None` if it is no build book, or an older one that keeps nothing.
    #[must_use]
    pub fn from_file(text: &str) -> Option<KeptBook> {
        let (_, rest) = text.rsplit_once(BEFORE)?;
        let (json, _) = rest.split_once(BEHIND)?;
        serde_json::from_str(json).ok()
    }
}

/// The sheets of a book, the cover first; of a pack the one that runs through.
pub(super) fn sheets(of: BookOf<'_>, sections: &[BookSection]) -> Vec<BookSheet> {
    let printed = || sections.iter().filter(|section| !section.on_screen());
    let sheet = |name: &str, sections: &[&BookSection]| {
        let of_asking = of.asked.not_read.iter();
        let lost = sections.iter().flat_map(|section| section.not_read.iter().chain(&section.not_read_in_list));
        let not_read: Marks = lost.chain(of_asking).copied().collect();
        let fingerprint = not_read.is_empty().then(|| fingerprint(of, name, sections));
        BookSheet { sheet: name.to_owned(), fingerprint, not_read }
    };
    let all: Vec<&BookSection> = printed().collect();
    if let BookCovers::Subject(_, name) = of.covers {
        return vec![sheet(&format!("Inspector's pack, {name}"), &all)];
    }
    std::iter::once(sheet("Cover", &all)).chain(printed().map(|section| sheet(section.name, &[section]))).collect()
}

/// A check code of whose state it is, and of what the sections say. How the state was picked is no part of that.
fn fingerprint(of: BookOf<'_>, name: &str, sections: &[&BookSection]) -> String {
    let asked = of.asked;
    let (line, plain) = (asked.line(), Asked { picked: Picked::Name, ..asked.clone() }.line());
    let mut texts = vec![name.to_owned(), asked.airframe.clone(), asked.date.clone()];
    texts.extend([&asked.type_name, &asked.build_state].map(|name| name.clone().unwrap_or_default()));
    texts.push(asked.remarks().said());
    for section in sections {
        texts.push(section.glance.clone());
        texts.extend(section.pieces.iter().map(|piece| said(piece).replace(&line, &plain)));
    }
    check_code(texts.iter().map(String::as_str))
}

fn said(piece: &BookPiece) -> String {
    match piece {
        BookPiece::Page(page) => page.said(),
        BookPiece::Figure { title, svg } => format!("{title}\n{svg}"),
        BookPiece::Dates(_) => String::new(),
        BookPiece::Fold { about: _, summary, page } => format!("{summary}\n{}", page.said()),
    }
}
