//! `new`: a small invented project, kept in `configs/starter`.

use super::Verb;
use crate::cli::desk::Desk;
use crate::cli::writing::{Old, empty_folder, write};
use crate::cli::{Answer, Trouble, clean};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// A new project folder: a small invented one with remarks, to be edited into your own
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct NewVerb {
    /// The folder; it must be empty, or not be there yet
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Verb for NewVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        start(&desk.around.folder, &self.folder).map(clean)
    }
}

/// The folder and the name of each file, and what it holds; the one that makes a folder a project comes last.
const FILES: &[(&str, &str, &str)] = &[
    ("airframes", "6K12.ron", include_str!("../../../configs/starter/airframes/6K12.ron")),
    ("shop", "jig.ron", include_str!("../../../configs/starter/shop/jig.ron")),
    ("type", "frames.ron", include_str!("../../../configs/starter/type/frames.ron")),
    ("type", "modifications.ron", include_str!("../../../configs/starter/type/modifications.ron")),
    ("type", "parts.ron", include_str!("../../../configs/starter/type/parts.ron")),
    ("type", "structure.ron", include_str!("../../../configs/starter/type/structure.ron")),
    ("type", "type.ron", include_str!("../../../configs/starter/type/type.ron")),
];

/// Writes the starter project into a folder that is empty or not there yet, and says what to do next.
fn start(here: &Path, named: &Path) -> Result<String, Trouble> {
    let root = here.join(named);
    empty_folder(&root)?;
    for folder in ["airframes", "shop", "type"] {
        empty_folder(&root.join(folder))?;
    }
    let shown = named.display();
    let mut said = format!("A new project lies in {shown}. It is a small invented one, to be edited into yours:\n");
    for (folder, name, text) in FILES {
        write(&root.join(folder).join(name), text.as_bytes(), Old::Keep)?;
        writeln!(said, "  {folder}/{name}").expect("a text takes every line");
    }
    said.push_str("Next:\n");
    for next in ["check", "bill 6K12", "jig J3"] {
        writeln!(said, "  modstate --project {shown} {next}").expect("a text takes every line");
    }
    Ok(said)
}
