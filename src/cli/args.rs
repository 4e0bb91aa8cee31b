//! What can be written on the command line.

use clap::ValueEnum;
use std::path::PathBuf;

/// What goes with every verb.
#[derive(Debug, clap::Args)]
pub(super) struct Common {
    /// The project folder (default: the nearest one from here upwards)
    #[arg(long, global = true, value_name = "DIR")]
    pub(super) project: Option<PathBuf>,
    /// How the answer is written
    #[arg(long, global = true, value_name = "FORMAT", default_value = "text")]
    pub(super) format: Format,
    /// How many columns text may take (default: as wide as the terminal, or 80)
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
    /// Rows for a spreadsheet; `bill` and `form` only
    Csv,
    /// A workbook for a spreadsheet, into the file that `--out` names; `bill` and `form` only
    Xlsx,
}

/// How a bill is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum BillLayout {
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

/// What a sheet is imported as.
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
    /// A named build state of the airframe (default, where no date is given: its first)
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

/// An airframe, named by itself or as an option, in which state.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct Whose {
    /// The airframe's serial
    #[arg(value_name = "AIRFRAME", conflicts_with = "airframe")]
    serial: Option<String>,
    #[command(flatten)]
    pub(super) which: Which,
}

impl Whose {
    /// The serial.
    pub(super) fn named(&self) -> Option<&str> {
        self.serial.as_deref().or(self.which.airframe.as_deref())
    }
}

/// The second state of a comparison.
#[derive(Clone, Debug, Default, clap::Args)]
pub(super) struct Other {
    /// The second airframe (default: the first)
    #[arg(long = "with-airframe", id = "with-airframe", value_name = "SERIAL")]
    pub(super) airframe: Option<String>,
    /// The second state at the end of a day
    #[arg(long = "with-on", id = "with-on", value_name = "DATE", conflicts_with = "with-build")]
    pub(super) on: Option<String>,
    /// The second state as a named build state (default, where no date is given: the first state's day or build state)
    #[arg(long = "with-build", id = "with-build", value_name = "NAME")]
    pub(super) build: Option<String>,
}

impl Other {
    /// Whether a second state is asked for.
    pub(super) fn is_asked_for(&self) -> bool {
        self.airframe.is_some() || self.on.is_some() || self.build.is_some()
    }
    /// The second state, as a state of its airframe.
    pub(super) fn picks(&self) -> Which {
        Which { on: self.on.clone(), build: self.build.clone(), ..Which::default() }
    }
}
