//! `man`.

use super::Verb;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, clean};

/// The manual page, of the program or of one verb
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct ManVerb {
    /// The verb (default: the program)
    verb: Option<String>,
}

impl Verb for ManVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let mut command = (desk.described)();
        command.build();
        if let Some(name) = &self.verb {
            let found = command.find_subcommand(name).cloned();
            command = found.ok_or_else(|| {
                Trouble::new(format!("`{name}` is no verb")).help("`modstate --help` lists the verbs")
            })?;
        }
        let mut page = Vec::new();
        clap_mangen::Man::new(command).render(&mut page).expect("writing to memory does not fail");
        Ok(clean(String::from_utf8_lossy(&page).into_owned()))
    }
}
