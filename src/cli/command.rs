//! The command line as a whole.

use super::args::Common;
use super::verbs::AskedVerb;
use clap::{Command, CommandFactory, Parser};

/// What every `--help` says of exit codes.
const EXIT_CODES: &str = "Exit codes, the same for every verb:
  0  clean: answered, and everything asked for is settled
  1  a finding stops work: the records contradict each other, or a plate or a part is wrong
  2  wrong command, or it could not be run
  3  nothing wrong, but something asked for is undecided

Answers go to standard output, remarks about the dossiers to standard error.";

/// Resolves which modification state one historic airframe is rebuilt to, with its parts, splices and jig plates.
///
/// Reads a project folder of dossiers (`*.ron`), and answers from the records entered there and from nothing else.
/// What the records leave open stays open. Not approved data, not an airworthiness or conformity statement; licensed
/// practice and the local authority decide.
#[derive(Debug, Parser)]
#[command(name = "modstate", version, disable_help_subcommand = true)]
pub(super) struct Args {
    #[command(flatten)]
    pub(super) common: Common,
    #[command(subcommand)]
    pub(super) asked: AskedVerb,
}

impl Args {
    /// The command line as it is described, with what every help says at its end.
    pub(super) fn described() -> Command {
        Args::command().after_help(EXIT_CODES).mut_subcommands(|verb| verb.after_help(EXIT_CODES))
    }
}
