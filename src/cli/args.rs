//! What can be written on the command line.

use clap::{Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

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
#[command(name = "modstate", version, after_help = EXIT_CODES, disable_help_subcommand = true)]
pub(super) struct Args {
    #[command(flatten)]
    pub(super) common: Common,
    #[command(subcommand)]
    pub(super) verb: Verb,
}

/// What goes with every verb.
#[derive(Debug, clap::Args)]
pub(super) struct Common {
    /// The project folder; left out: the nearest one from here upwards
    #[arg(long, global = true, value_name = "DIR")]
    pub(super) project: Option<PathBuf>,
    /// How the answer is written
    #[arg(long, global = true, value_name = "FORMAT", default_value = "text")]
    pub(super) format: Format,
    /// How many columns text may take; left out: as wide as the terminal, or 80
    #[arg(long, global = true, value_name = "COLUMNS", value_parser = clap::value_parser!(u16).range(40..=500))]
    pub(super) width: Option<u16>,
    /// When to use colour; `auto`: on a terminal, unless `NO_COLOR` is set
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub(super) colour: Colour,
}

/// How an answer is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// For people
    Text,
    /// For other programs
    Json,
    /// Rows for a spreadsheet; `bill` only
    Csv,
    /// A workbook for a spreadsheet, into the file that `--out` names; `bill` only
    Xlsx,
}

/// How a bill is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Layout {
    /// Line by line through the assemblies
    Tree,
    /// Totals by part
    Flat,
    /// Totals of what the workshop makes
    Make,
    /// Totals of what is bought
    Buy,
    /// Totals of made parts by material and thickness
    Material,
}

/// What a sheet is taken in as.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum SheetKind {
    /// A parts list
    Parts,
    /// A modification register
    Modifications,
    /// Blocks of serials
    Serials,
    /// Measured holes of plates
    Holes,
}

/// When colour is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Colour {
    /// On a terminal, unless `NO_COLOR` is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// Which airframe, in which state.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct Which {
    /// The airframe's serial; may be left out if the project has only one
    #[arg(long, short, value_name = "SERIAL")]
    pub(super) airframe: Option<String>,
    /// The state at the end of a day, as `1951-06-22`
    #[arg(long, value_name = "DATE", conflicts_with = "build")]
    pub(super) on: Option<String>,
    /// A named build state of the airframe; left out, and no date given: its first
    #[arg(long, value_name = "NAME")]
    pub(super) build: Option<String>,
    /// Suppose this for one run, as `TM048 by 1951-06`; may be given again
    ///
    /// Whatever a claim can say: `TM048 by 1951-06`, `TM048 retrospective by 1951-06`, `not TM048 on 1953-09-04`,
    /// `TM048 removed on 1952-03`, `27-1400/10 has 27-1412 on 1952`, `27-1400/10 has nothing on 1952`,
    /// `F14 has splice S3 on 1952`, `F14 has no splice S3 on 1952`, `pattern J14-04 on 1952`
    #[arg(long, value_name = "WHAT")]
    pub(super) suppose: Vec<String>,
    /// Do without this claim or assumption for one run; may be given again
    #[arg(long, value_name = "CLAIM")]
    pub(super) without: Vec<String>,
}

/// The second state of a comparison.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct Other {
    /// The second airframe; left out: the first
    #[arg(long = "with-airframe", id = "with-airframe", value_name = "SERIAL")]
    pub(super) airframe: Option<String>,
    /// The second state at the end of a day
    #[arg(long = "with-on", id = "with-on", value_name = "DATE", conflicts_with = "with-build")]
    pub(super) on: Option<String>,
    /// The second state as a named build state; left out, and no date given: the first state's day or build state
    #[arg(long = "with-build", id = "with-build", value_name = "NAME")]
    pub(super) build: Option<String>,
}

/// What is asked.
#[derive(Debug, Subcommand)]
pub(super) enum Verb {
    /// Every modification of an airframe: in or out, by which form, since when, and why
    #[command(after_help = EXIT_CODES)]
    State {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
        /// Only what is not settled alike with and without the doubtful claims
        #[arg(long)]
        open: bool,
        /// Only this modification; may be given again
        #[arg(long = "mod", value_name = "NUMBER")]
        mods: Vec<String>,
    },
    /// The variant of a frame, a position or a part: splices, issues, plates, what it would be otherwise, and why
    #[command(after_help = EXIT_CODES)]
    Variant {
        /// A frame (`F14`), a position (`27-1400/10`) or a part number
        subject: String,
        #[command(flatten)]
        which: Which,
    },
    /// The bill of parts of a state: to make, to buy and to count from
    #[command(after_help = EXIT_CODES)]
    Bill {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
        /// How it is laid out
        #[arg(long, value_name = "LAYOUT", default_value = "tree")]
        layout: Layout,
        /// Only of a frame (`F14`), of one position (`27-1400/10`) or of one assembly
        #[arg(long, value_name = "SUBJECT")]
        of: Option<String>,
        /// Drawing issues for parts about to be made, not for parts as they are fitted in the state
        #[arg(long)]
        new_parts: bool,
        /// With the doubtful claims held as well
        #[arg(long)]
        doubtful: bool,
        /// Write the bill into this file; one that is there already is replaced
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// The plates of a jig against a state: right, wrong variant, missing, surplus or undecided
    #[command(after_help = EXIT_CODES)]
    Jig {
        /// The jig; left out: every jig
        jig: Option<String>,
        #[command(flatten)]
        which: Which,
    },
    /// The rework list of a jig: what is kept, made, exchanged and mended, in which order, what is surveyed afterwards
    #[command(after_help = EXIT_CODES)]
    Rework {
        /// The jig; left out: every jig
        jig: Option<String>,
        #[command(flatten)]
        which: Which,
    },
    /// One survey of a plate: which plate it is, how far each hole lies off, what kind of error, what to do
    #[command(after_help = EXIT_CODES)]
    Survey {
        /// The survey; left out: every survey
        survey: Option<String>,
    },
    /// A frame or a survey as a picture to print: SVG on A3, readable in black and white
    #[command(after_help = EXIT_CODES)]
    Picture {
        /// A frame (`F14`) or a survey (`V2`)
        subject: String,
        #[command(flatten)]
        which: Which,
        /// The file that it is written to; left out: standard output
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// A plate as a drawing for the machine shop: DXF at 1:1, with a square to check the scale by
    #[command(after_help = EXIT_CODES)]
    Template {
        /// A plate definition (`J14-07`)
        plate: String,
        /// The file that it is written to; one that is there already is replaced; left out: standard output
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// The reason for a modification, a position or a plate, down to the evidence and the line
    #[command(after_help = EXIT_CODES)]
    Why {
        /// A modification (`TM048`), a position (`27-1400/10`) or a plate definition (`J14-07`)
        subject: String,
        #[command(flatten)]
        which: Which,
    },
    /// What to look for next: the questions whose answers would settle most
    #[command(after_help = EXIT_CODES)]
    Seek {
        /// Only what is open of a frame (`F14`), a position or an assembly; left out: of the whole airframe
        subject: Option<String>,
        #[command(flatten)]
        which: Which,
        /// How many questions are shown
        #[arg(long, value_name = "COUNT", default_value_t = 10)]
        most: usize,
        /// With the doubtful claims held as well
        #[arg(long)]
        doubtful: bool,
    },
    /// What differs between two states, and what stays; a supposition is made of the second
    #[command(after_help = EXIT_CODES)]
    Differ {
        #[command(flatten)]
        which: Which,
        #[command(flatten)]
        other: Other,
        /// With the doubtful claims held as well
        #[arg(long)]
        doubtful: bool,
    },
    /// Who of all airframes had which variant on a day
    #[command(after_help = EXIT_CODES)]
    Fleet {
        /// A position (`27-1400/10`), a frame or a part number
        subject: String,
        /// The state at the end of a day, as `1951-06-22`
        #[arg(long, value_name = "DATE")]
        on: String,
        /// With the doubtful claims held as well
        #[arg(long)]
        doubtful: bool,
    },
    /// What was read: how many records of each kind, file by file and airframe by airframe; as JSON, all that they say
    #[command(after_help = EXIT_CODES)]
    Records,
    /// The parts on the rack against a state: fits, wrong variant, wrong hand, wrong issue, surplus or undecided
    #[command(after_help = EXIT_CODES)]
    Rack {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
    },
    /// What is left to make, what of it may be made now, and what it waits for
    #[command(after_help = EXIT_CODES)]
    Todo {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
        /// Only of a frame (`F14`), of one position (`27-1400/10`) or of one assembly
        #[arg(long, value_name = "SUBJECT")]
        of: Option<String>,
    },
    /// The forming tools against a state, or against a second one too: which stay and which change
    #[command(after_help = EXIT_CODES)]
    Tools {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
        #[command(flatten)]
        other: Other,
    },
    /// The drawing issues that a state needs, against the copies held
    #[command(after_help = EXIT_CODES)]
    Drawings {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
        serial: Option<String>,
        #[command(flatten)]
        which: Which,
        /// Only those of which no copy is known to be held
        #[arg(long)]
        missing: bool,
        /// With the doubtful claims held as well
        #[arg(long)]
        doubtful: bool,
    },
    /// The workshop's decisions about an airframe, against the present evidence
    #[command(after_help = EXIT_CODES)]
    Decisions {
        /// The airframe's serial
        #[arg(value_name = "AIRFRAME")]
        serial: Option<String>,
    },
    /// A part that is bent from sheet, laid flat: allowances, setbacks, widths, radii, strain of curved flanges
    #[command(after_help = EXIT_CODES)]
    Flat {
        /// The part number
        part: String,
        /// A second part, to be compared with the first
        #[arg(long, value_name = "PART")]
        with: Option<String>,
    },
    /// A new project folder: a small invented one with remarks, to be edited into your own
    #[command(after_help = EXIT_CODES)]
    New {
        /// The folder; it must be empty, or not be there yet
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Takes in a sheet: shows row by row what would be written, and with `--write` writes it into a new dossier file
    #[command(after_help = EXIT_CODES)]
    Intake {
        /// A workbook (`.xlsx`) or a CSV file
        file: PathBuf,
        /// What the sheet is
        #[arg(long = "as", value_name = "KIND")]
        kind: SheetKind,
        /// A mapping file: which columns are meant, their units, constants
        #[arg(long, value_name = "FILE")]
        mapping: Option<PathBuf>,
        /// Which sheet of a workbook that has several
        #[arg(long, value_name = "NAME")]
        sheet: Option<String>,
        /// The new dossier file, below the project folder; left out: named after the sheet
        #[arg(long, value_name = "FILE")]
        into: Option<PathBuf>,
        /// Write the file; left out: a dry run
        #[arg(long)]
        write: bool,
    },
    /// Every finding on the project folder
    #[command(after_help = EXIT_CODES)]
    Check,
    /// Checks as files are saved: what is new, what is mended; as JSON, one object a line
    #[command(after_help = EXIT_CODES)]
    Watch,
    /// What a record takes, field by field, or what a finding means
    #[command(after_help = EXIT_CODES)]
    Explain {
        /// A kind of record, as `Claim`, something within one, as `Hole` or `Date`, or a code, as `D123`; `records`: all
        /// records; left out: the list of all records and codes
        topic: Option<String>,
        /// The whole reference as one Markdown page
        #[arg(long, conflicts_with = "topic")]
        markdown: bool,
    },
    /// A script that completes commands in a shell
    #[command(after_help = EXIT_CODES)]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
    /// The manual page, of the program or of one verb
    #[command(after_help = EXIT_CODES)]
    Man {
        /// The verb; left out: the program
        verb: Option<String>,
    },
}

impl Verb {
    /// The airframe and the suppositions that are made of it before anything is asked, if there are any. What `differ`
    /// supposes is of its second state, and is left to it.
    pub(super) fn supposing(&self) -> Option<(Option<&str>, &Which)> {
        let (serial, which) = match self {
            Verb::State { serial, which, .. }
            | Verb::Bill { serial, which, .. }
            | Verb::Rack { serial, which }
            | Verb::Todo { serial, which, .. }
            | Verb::Tools { serial, which, .. }
            | Verb::Drawings { serial, which, .. } => (serial.as_deref().or(which.airframe.as_deref()), which),
            Verb::Variant { which, .. }
            | Verb::Jig { which, .. }
            | Verb::Rework { which, .. }
            | Verb::Picture { which, .. }
            | Verb::Why { which, .. }
            | Verb::Seek { which, .. } => (which.airframe.as_deref(), which),
            Verb::Differ { .. }
            | Verb::Fleet { .. }
            | Verb::Survey { .. }
            | Verb::Records
            | Verb::Decisions { .. }
            | Verb::Flat { .. }
            | Verb::Template { .. }
            | Verb::New { .. }
            | Verb::Intake { .. }
            | Verb::Check
            | Verb::Watch
            | Verb::Explain { .. }
            | Verb::Completions { .. }
            | Verb::Man { .. } => return None,
        };
        (!which.suppose.is_empty() || !which.without.is_empty()).then_some((serial, which))
    }
}
