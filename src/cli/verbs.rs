//! The verbs, each in a file of its own: what can be written behind it, and how it is answered.
//!
//! A new verb is a file here, and a line in each of the two lists below.

mod bill;
mod book;
mod check;
mod completions;
mod current;
mod decisions;
mod differ;
mod drawings;
mod explain;
mod flat;
mod fleet;
mod form;
mod intake;
mod jig;
mod made;
mod man;
mod new;
mod older;
mod picture;
mod rack;
mod records;
mod rework;
mod seek;
mod state;
mod survey;
mod template;
mod todo;
mod tools;
mod variant;
mod watch;
mod why;

use super::args::Format;
use super::desk::Desk;
use super::{Answer, Trouble};
use clap::Subcommand;

/// What every verb can do.
pub(super) trait Verb {
    /// Refuses a format that the verb does not come in.
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        text_or_json(format)
    }
    /// Works out the answer.
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble>;
}

/// Refuses the formats that only a bill and forms come in.
fn text_or_json(format: Format) -> Result<(), Trouble> {
    let only = match format {
        Format::Csv => "`csv`",
        Format::Xlsx => "`xlsx`",
        Format::Text | Format::Json => return Ok(()),
    };
    Err(Trouble::new(format!("{only} is for `modstate bill` and `modstate form` only"))
        .help("ask for `text` or `json`"))
}

/// Refuses whatever is no text, for what comes as a drawing only.
fn drawing_only(format: Format, what: &str, help: &str) -> Result<(), Trouble> {
    text_or_json(format)?;
    match format {
        Format::Json => Err(Trouble::new(format!("{what} is not written as JSON")).help(help)),
        Format::Text | Format::Csv | Format::Xlsx => Ok(()),
    }
}

/// The verbs in the order of the help, as one value of the command line.
macro_rules! verbs {
    ($($module:ident::$verb:ident),* $(,)?) => {
        /// What is asked.
        #[derive(Debug, Subcommand)]
        #[expect(clippy::enum_variant_names, reason = "a variant has the name of the verb that it holds")]
        pub(super) enum AskedVerb {
            $(
                #[allow(missing_docs, reason = "the help is that of the verb's own file")]
                #[command(name = stringify!($module))]
                $verb($module::$verb),
            )*
        }

        impl AskedVerb {
            /// The verb that is asked.
            pub(super) fn verb(&self) -> &dyn Verb {
                match self {
                    $(AskedVerb::$verb(verb) => verb,)*
                }
            }
        }
    };
}

verbs! {
    state::StateVerb,
    variant::VariantVerb,
    bill::BillVerb,
    jig::JigVerb,
    rework::ReworkVerb,
    survey::SurveyVerb,
    form::FormVerb,
    picture::PictureVerb,
    book::BookVerb,
    template::TemplateVerb,
    why::WhyVerb,
    seek::SeekVerb,
    differ::DifferVerb,
    current::CurrentVerb,
    fleet::FleetVerb,
    records::RecordsVerb,
    rack::RackVerb,
    made::MadeVerb,
    todo::TodoVerb,
    tools::ToolsVerb,
    drawings::DrawingsVerb,
    decisions::DecisionsVerb,
    flat::FlatVerb,
    new::NewVerb,
    intake::IntakeVerb,
    check::CheckVerb,
    watch::WatchVerb,
    explain::ExplainVerb,
    completions::CompletionsVerb,
    man::ManVerb,
}
