//! `explain`.

use super::Verb;
use crate::answers::{Topic, book_json, book_page, entry_page, kinds_page, reference_markdown, topic_json};
use crate::cli::args::Format;
use crate::cli::desk::Desk;
use crate::cli::{Answer, Trouble, clean, json};
use crate::codes::Code;
use crate::layout::Page;
use crate::lower::nearest;

/// What a record takes, field by field, or what a finding means
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct ExplainVerb {
    /// A kind of record, as `Claim`, something within one, as `Hole` or `Date`, or a code, as `record-123`; `records`: all
    /// records (default: the list of all records and codes)
    topic: Option<String>,
    /// The whole reference as one Markdown page
    #[arg(long, conflicts_with = "topic")]
    markdown: bool,
}

impl Verb for ExplainVerb {
    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        if self.markdown {
            return Ok(clean(reference_markdown()));
        }
        let is_json = desk.format == Format::Json;
        let shown = |page: Page| page.plain().text(desk.style);
        let Some(text) = self.topic.as_deref().map(str::trim) else {
            return Ok(clean(if is_json { json(&book_json(crate::codes::all())) } else { shown(book_page()) }));
        };
        if text.eq_ignore_ascii_case("records") {
            let all = || Topic::all().map(topic_json).collect::<Vec<_>>();
            return Ok(clean(if is_json { json(&all()) } else { shown(kinds_page()) }));
        }
        if let Some(topic) = Topic::all().find(|topic| topic.name().eq_ignore_ascii_case(text)) {
            return Ok(clean(if is_json { json(&topic_json(topic)) } else { shown(topic.page()) }));
        }
        if let Some(code) = Code::find(text) {
            return Ok(clean(if is_json { json(&book_json([code])) } else { shown(entry_page(code)) }));
        }
        // What has a figure in it was meant as a code.
        if text.contains(|c: char| c.is_ascii_digit()) {
            let trouble = Trouble::new(format!("no finding has the code `{text}`"));
            return Err(trouble.help("`modstate explain` lists all codes"));
        }
        let near = nearest(text, Topic::all().map(Topic::name));
        let help = near.map_or_else(
            || "`modstate explain` lists all records".to_owned(),
            |near| format!("did you mean `{near}`?"),
        );
        Err(Trouble::new(format!("no record is called `{text}`")).help(help))
    }
}
