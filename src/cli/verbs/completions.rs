//! `completions`.

use super::Verb;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, clean};

/// A script that completes commands in a shell
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct CompletionsVerb {
    /// Which shell
    shell: clap_complete::Shell,
}

impl Verb for CompletionsVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut (desk.described)(), "modstate", &mut script);
        Ok(clean(String::from_utf8_lossy(&script).into_owned()))
    }
}
