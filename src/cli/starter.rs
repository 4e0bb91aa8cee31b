//! A new project: a small invented one, kept in `configs/starter`.

use super::Trouble;
use super::writing::{Old, empty_folder, write};
use std::fmt::Write as _;
use std::path::Path;

/// The folder and the name of each file, and what it holds; the one that makes a folder a project comes last.
const FILES: &[(&str, &str, &str)] = &[
    ("airframes", "HK12.ron", include_str!("../../configs/starter/airframes/HK12.ron")),
    ("type", "modifications.ron", include_str!("../../configs/starter/type/modifications.ron")),
    ("type", "parts.ron", include_str!("../../configs/starter/type/parts.ron")),
    ("type", "structure.ron", include_str!("../../configs/starter/type/structure.ron")),
    ("type", "type.ron", include_str!("../../configs/starter/type/type.ron")),
];

/// Writes the starter project into a folder that is empty or not there yet, and says what to do next.
pub(super) fn start(here: &Path, named: &Path) -> Result<String, Trouble> {
    let root = here.join(named);
    empty_folder(&root)?;
    for folder in ["airframes", "type"] {
        empty_folder(&root.join(folder))?;
    }
    let shown = named.display();
    let mut told = format!("A new project lies in `{shown}`. It is a small invented one, to be edited into yours:\n");
    for (folder, name, text) in FILES {
        write(&root.join(folder).join(name), text.as_bytes(), Old::Keep)?;
        writeln!(told, "  {folder}/{name}").expect("a text takes every line");
    }
    told.push_str("Next:\n");
    for next in ["check", "bill HK12"] {
        writeln!(told, "  modstate --project {shown} {next}").expect("a text takes every line");
    }
    Ok(told)
}
