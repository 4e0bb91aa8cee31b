//! `bill`.

use super::Verb;
use crate::answers::{
    Beside, BillView, NotRead, Outcome, bill_csv, bill_json, bill_page, bill_remarks, bill_workbook,
    differing_positions,
};
use crate::bill::{self, Request};
use crate::cli::args::{BillLayout, Format, Whose};
use crate::cli::desk::Desk;
use crate::cli::question::{AirframeQuestion, AnswerPart, basis_of, no_bill, value};
use crate::cli::{Answer, Trouble};
use crate::resolve::IssueView;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// The bill of parts of a state: to make, to buy and to count from
#[derive(Debug, clap::Args)]
pub(in crate::cli) struct BillVerb {
    #[command(flatten)]
    whose: Whose,
    /// How it is laid out
    #[arg(long, value_name = "LAYOUT", default_value = "tree")]
    layout: BillLayout,
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
}

impl Verb for BillVerb {
    fn comes_as(&self, format: Format) -> Result<(), Trouble> {
        if format == Format::Xlsx && self.out.is_none() {
            let help = "name the file that it goes into, as in `--out bill.xlsx`";
            return Err(Trouble::new("a workbook is no text for standard output").help(help));
        }
        Ok(())
    }

    fn run(&self, desk: &Desk<'_>) -> Result<Answer, Trouble> {
        desk.supposing(self.whose.named(), &self.whose.which, |question| self.answer(question))
    }
}

impl BillVerb {
    fn answer(&self, question: &AirframeQuestion<'_>) -> Result<Answer, Trouble> {
        let model = question.model;
        let scope = question.bill_scope(self.of.as_deref())?;
        let to_make = self.new_parts || self.layout == BillLayout::Make;
        let issues = if to_make { IssueView::ToMake } else { IssueView::AsFitted };
        let request = Request { scope, basis: basis_of(self.doubtful), issues, weights: true };
        let (mut resolver, asked) = question.resolver(self.whose.named(), &self.whose.which)?;
        let none = |why| no_bill(&why, question.book());
        let made = bill::bill(&mut resolver, request).map_err(none)?;
        let other = bill::against_other_basis(&mut resolver, request).map_err(none)?;
        let view = match self.layout {
            BillLayout::Tree => BillView::Tree,
            BillLayout::Flat => BillView::Flat,
            BillLayout::Make => BillView::Make,
            BillLayout::Buy => BillView::Buy,
            BillLayout::Material => BillView::Material,
        };
        let lines = other.as_ref().map(|other| bill::differing(&made, other)).unwrap_or_default();
        let differing = differing_positions(&lines, model);
        let airframe = resolver.history().id;
        let mut not_read = made.all_not_read();
        not_read.extend(other.iter().flat_map(bill::Bill::all_not_read));
        let sources = &question.project.sources;
        let lost = NotRead::list(&not_read, &model.losses, sources);
        let outcome = Outcome::of(made.is_contradicted(), !(made.is_settled() && lines.is_empty()));
        let part = match question.format {
            Format::Csv => AnswerPart::whole(outcome, not_read, || bill_csv(&made, model, view, &lost)),
            Format::Text | Format::Json | Format::Xlsx => AnswerPart::made(
                outcome,
                not_read,
                || {
                    let mut page = bill_page(&made, model, view);
                    page.append(bill_remarks(&asked, request, &lines, model));
                    page
                },
                || {
                    let mut json = bill_json(&made, model);
                    json["asked"] = value(&asked);
                    json["differs_on_other_basis"] = value(&differing);
                    json
                },
            ),
        };
        let answer = question.answer(&[airframe], BTreeSet::new(), &[part]);
        let mut workbook = None;
        if question.format == Format::Xlsx {
            let findings = question.findings(&[airframe]);
            let beside = Beside { asked: &asked, differing: &differing, not_read: &lost, findings: &findings, sources };
            workbook = Some(bill_workbook(&made, model, &beside).map_err(Trouble::new)?);
        }
        question.put(answer, self.out.as_deref(), "bill", workbook.as_deref())
    }
}
