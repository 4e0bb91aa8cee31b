//! Slips of the pen in the notation itself.

use super::Fault;
use super::folder::{Folder, MARK};

/// A part that says nothing but what it is.
fn plain_part(f: &mut Folder<'_>) -> Option<super::folder::Spot> {
    let parts = f.all("Part");
    let parts: Vec<_> = parts.into_iter().filter(|part| f.text(*part).contains("source: Made")).collect();
    f.one(parts)
}

pub(super) const FAULTS: &[Fault] = &[
    Fault::new("file-101", "the comma between two fields left out", |f| {
        let part = plain_part(f)?;
        f.swap(part, "\", source: Made", &format!("\" source: Made{MARK}"));
        Some(())
    }),
    Fault::new("file-101", "a bracket of a position not closed", |f| {
        let assembly = f.find("Assembly", "find: \"10")?;
        f.swap(assembly, "                ],\n            ),\n", &format!("                ],\n            ,{MARK}\n"));
        Some(())
    }),
    Fault::new("file-101", "the quote at the end of a text left out", |f| {
        let claim = f.find("Claim", "standing: Firm")?;
        f.swap(claim, "\", id: ", &format!(", id: {MARK}"));
        Some(())
    }),
    Fault::new("file-102", "the name of a field misspelt", |f| {
        let part = plain_part(f)?;
        f.swap(part, "description: ", "descripton: ");
        f.mark(part, "descripton");
        Some(())
    }),
    Fault::new("file-102", "a field misspelt in a modification", |f| {
        let m = f.find("Modification", "requires: ")?;
        f.swap(m, "requires: ", "require: ");
        f.mark(m, "require: ");
        Some(())
    }),
    Fault::new("file-103", "the kind of a record misspelt", |f| {
        let part = plain_part(f)?;
        f.swap(part, "Part(", &format!("Prat({MARK}"));
        Some(())
    }),
    Fault::new("file-104", "a word that a field does not know", |f| {
        let part = f.find("Part", "hand: Port")?;
        f.swap(part, "hand: Port,", &format!("hand: Left,{MARK}"));
        Some(())
    }),
    Fault::new("file-105", "a field left out", |f| {
        let claim = f.find("Claim", "standing: Doubtful")?;
        f.swap(claim, ", standing: Doubtful", "");
        f.mark(claim, "Claim(");
        Some(())
    }),
    Fault::new("file-106", "a field written twice", |f| {
        let part = plain_part(f)?;
        f.swap(part, "source: Made,", &format!("source: Made, source: Bought,{MARK}"));
        Some(())
    }),
    Fault::new("file-107", "a number where a text belongs", |f| {
        let plate = f.find("Plate", "diameter: \"3.3mm\"")?;
        f.swap(plate, "diameter: \"3.3mm\"", "diameter: 3.3");
        f.mark(plate, "diameter: 3.3,");
        Some(())
    }),
    Fault::new("file-107", "one text where a list belongs", |f| {
        let claim = f.find("Claim", "rests_on: [\"E1\"]")?;
        f.swap(claim, "rests_on: [\"E1\"]", "rests_on: \"E1\"");
        f.mark(claim, "rests_on");
        Some(())
    }),
    Fault::new("file-110", "the bracket round the records left out", |f| {
        let made = f.find("MadePart", "")?;
        let head = f.head(made);
        *head = head.replace("[\n", "");
        let first = f.all("MadePart")[0];
        f.mark(first, "MadePart(");
        Some(())
    }),
];
