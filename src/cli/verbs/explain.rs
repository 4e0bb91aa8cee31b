//! `explain`.

use super::Verb;
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, clean, json};
use crate::codes::Code;
use crate::report::{book_json, book_text, entry_text};

/// What a finding means, with an example and what to do
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct Explain {
    /// The code, as `D123`; left out: the list of all codes
    code: Option<String>,
}

impl Verb for Explain {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let as_json = desk.format == Format::Json;
        let Some(text) = &self.code else {
            return Ok(clean(if as_json { json(&book_json(crate::codes::all())) } else { book_text(desk.style) }));
        };
        let code = Code::find(text).ok_or_else(|| {
            Trouble::new(format!("no finding has the code `{text}`")).help("`modstate explain` lists all codes")
        })?;
        Ok(clean(if as_json { json(&book_json([code])) } else { entry_text(code, desk.style) }))
    }
}
