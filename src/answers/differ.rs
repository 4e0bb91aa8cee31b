//! Two states side by side: what differs, what is undecided, how much stays.

use super::asked::{Asked, basis_words};
use super::bill::{amount, bill_trouble_words, of_issues};
use super::mark_text;
use super::variant::{NO_ASSEMBLY, fitted_words};
use crate::bill::{BillScope, Request, Total, TotalPair, bill, compare_totals};
use crate::history::{History, together};
use crate::ids::{PartId, PositionId};
use crate::layout::text::counted;
use crate::layout::{Page, PageTable};
use crate::model::{Marks, Model};
use crate::prop::Expr;
use crate::resolve::{Basis, Compared, Fitted, IssueView, ModAnswer, Resolver, StatePair, Truth, difference};
use crate::words::truth_word;
use serde::Serialize;
use std::collections::BTreeMap;

/// Two states side by side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DifferReport {
    /// The first state.
    pub first: Asked,
    /// The second state.
    pub second: Asked,
    /// Whether the doubtful claims are held.
    pub doubtful_held: bool,
    /// Modifications, by number.
    pub modifications: DifferList,
    /// Positions, by assembly and find number.
    pub positions: DifferList,
    /// Totals of the bill, by part number: how many, and to which drawing issue.
    pub bill: DifferList,
    /// Why there is no bill to compare, if there is none.
    pub no_bill: Option<String>,
    /// Splice points, by frame and name.
    pub splices: DifferList,
    /// Jig plates, by plate number.
    pub plates: DifferList,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// Things of one kind.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct DifferList {
    /// How many are settled in both states, and the same.
    pub stay: usize,
    /// Those that certainly differ.
    pub differ: Vec<DifferRow>,
    /// Those that are open in at least one state.
    pub undecided: Vec<DifferRow>,
}

/// One thing in two states.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct DifferRow {
    /// Its name.
    pub name: String,
    /// In the first state.
    pub first: String,
    /// In the second state.
    pub second: String,
    /// For a position: its assembly, if that is fitted in one of the states alone.
    pub assembly: Option<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

impl DifferList {
    fn add(&mut self, compared: Compared, row: DifferRow, not_read: Marks) {
        if !not_read.is_empty() {
            let unknown = || "not read".to_owned();
            let row = DifferRow { name: row.name, first: unknown(), second: unknown(), assembly: None, not_read };
            return self.undecided.push(row);
        }
        match compared {
            Compared::Stays => self.stay += 1,
            Compared::Differs => self.differ.push(row),
            Compared::Undecided => self.undecided.push(row),
        }
    }

    /// The rows that rest on something not read, by what that is.
    fn unread(&self) -> Page {
        let mut by_marks: BTreeMap<&Marks, Vec<&str>> = BTreeMap::new();
        for row in self.undecided.iter().filter(|row| !row.not_read.is_empty()) {
            by_marks.entry(&row.not_read).or_default().push(&row.name);
        }
        let mut page = Page::default();
        for (marks, names) in by_marks {
            page.item(format!("  {}: ", mark_text(marks)), names.join(", "));
        }
        page
    }
}

/// Compares two states on a basis.
#[must_use]
pub fn differ_report(
    a: &mut Resolver<'_>,
    first: Asked,
    b: &mut Resolver<'_>,
    second: Asked,
    basis: Basis,
) -> DifferReport {
    let found = difference(a, b, basis);
    let model = a.history().model;
    let mut report = DifferReport {
        first,
        second,
        doubtful_held: basis == Basis::Held,
        modifications: DifferList::default(),
        positions: DifferList::default(),
        bill: DifferList::default(),
        no_bill: None,
        splices: DifferList::default(),
        plates: DifferList::default(),
        not_read: Marks::new(),
    };
    report.not_read = losses_of(&report, a, b);
    for pair in &found.mods {
        let row = row(model.mods.name(pair.what), pair, mod_words);
        let lost = both(a, b, |history| history.reach.modification(pair.what));
        report.modifications.add(pair.compared, row, lost);
    }
    for pair in &found.positions {
        let name = position_name(model, pair.what);
        let in_one_alone = pair.compared == Compared::Differs && (pair.first == [None] || pair.second == [None]);
        let assembly = in_one_alone.then(|| model.parts.name(model.positions[pair.what].assembly).to_owned());
        let row = row(&name, pair, |fitted| any_of(a, fitted));
        let lost = both(a, b, |history| history.not_read_at(pair.what));
        report.positions.add(pair.compared, DifferRow { assembly, ..row }, lost);
    }
    let request = Request { scope: BillScope::Airframe, basis, issues: IssueView::AsFitted, weights: false };
    match (bill(a, request), bill(b, request)) {
        (Ok(here), Ok(there)) => {
            for pair in compare_totals(&here, &there) {
                let totals = [pair.first, pair.second].into_iter().flatten().map(|total| total.not_read.clone());
                let lost = together(totals.chain([both(a, b, |history| total_lost(history, pair.part))]));
                report.bill.add(pair.compared, total_row(&pair, model), lost);
            }
        }
        (Err(why), _) | (_, Err(why)) => report.no_bill = Some(bill_trouble_words(&why, model)),
    }
    for pair in &found.splices {
        let (frame, point) = pair.what;
        let name = format!("{} {}", model.frames.name(frame), model.frames[frame].splice_points[point].name);
        let lost = both(a, b, |history| history.not_read_of_frame(frame));
        report.splices.add(pair.compared, row(&name, pair, |truth| used_words(*truth)), lost);
    }
    for pair in &found.plates {
        let row = row(model.plates.name(pair.what), pair, |truth| needed_words(*truth));
        let lost = both(a, b, |history| history.not_read_of_plate(pair.what));
        report.plates.add(pair.compared, row, lost);
    }
    report
}

/// What was not read in either state.
fn both(a: &Resolver<'_>, b: &Resolver<'_>, of: impl Fn(&History<'_>) -> Marks) -> Marks {
    together([of(a.history()), of(b.history())])
}

/// What was not read and bears on the total of a part.
pub(super) fn total_lost(history: &History<'_>, part: PartId) -> Marks {
    let record = history.model.losses.of_part(part);
    together([history.not_read_of_fitting(part), record, history.not_read_of_issue(part, &Expr::Const(true))])
}

/// What was not read and bears on the headings, and on which rows there are.
fn losses_of(report: &DifferReport, a: &Resolver<'_>, b: &Resolver<'_>) -> Marks {
    together([report.first.not_read.clone(), report.second.not_read.clone(), both(a, b, not_read_of_rows)])
}

/// What was not read and bears on which rows there are to compare.
pub(super) fn not_read_of_rows(history: &History<'_>) -> Marks {
    let kinds = ["Modification", "Assembly", "Part", "Frame", "Plate", "Type"];
    let short = history.model.losses.marks(|loss| kinds.iter().any(|kind| loss.may_be(kind)));
    let inside = history.model.type_of.as_ref().map(|t| history.not_read_below(t.airframe));
    together([short, inside.unwrap_or_default()])
}

fn row<K, V>(name: &str, pair: &StatePair<K, V>, words: impl Fn(&V) -> String) -> DifferRow {
    DifferRow {
        name: name.to_owned(),
        first: words(&pair.first),
        second: words(&pair.second),
        assembly: None,
        not_read: Marks::new(),
    }
}

/// Whether a splice point is used.
pub(super) fn used_words(truth: Truth) -> String {
    truth_or(truth, "used", "not used")
}

/// Whether a jig plate is needed.
pub(super) fn needed_words(truth: Truth) -> String {
    truth_or(truth, "needed", "not needed")
}

fn truth_or(truth: Truth, yes: &str, no: &str) -> String {
    match truth {
        Truth::Always => yes.to_owned(),
        Truth::Never => no.to_owned(),
        Truth::Open | Truth::NoHistory | Truth::Undecided(_) => truth_word(truth).to_owned(),
    }
}

/// A position with what it is called.
pub(super) fn position_name(model: &Model, position: PositionId) -> String {
    match &model.positions[position].name {
        Some(called) => format!("{} {called}", model.positions.name(position)),
        None => model.positions.name(position).to_owned(),
    }
}

/// A part with what it is.
pub(super) fn part_name(model: &Model, part: PartId) -> String {
    let name = format!("{} {}", model.parts.name(part), model.parts[part].description);
    name.trim_end().to_owned()
}

/// How many of a part, and to which issue.
pub(super) fn total_words(total: &Total, model: &Model) -> String {
    match of_issues(total, model) {
        issue if issue.is_empty() => amount(&total.amount),
        issue => format!("{}, issue {issue}", amount(&total.amount)),
    }
}

fn total_row(pair: &TotalPair<'_>, model: &Model) -> DifferRow {
    let words = |total: Option<&Total>| total.map_or_else(|| "none".to_owned(), |total| total_words(total, model));
    let name = part_name(model, pair.part);
    DifferRow { name, first: words(pair.first), second: words(pair.second), assembly: None, not_read: Marks::new() }
}

pub(super) fn any_of(resolver: &Resolver<'_>, fitted: &[Option<Fitted>]) -> String {
    let words: Vec<String> = fitted.iter().map(|fitted| fitted_words(resolver, *fitted)).collect();
    words.join(" or ")
}

pub(super) fn mod_words(answer: &ModAnswer) -> String {
    let word = truth_word(answer.embodied);
    match (answer.by_production, answer.by_retrospective) {
        (Truth::Always, _) => format!("{word}, production"),
        (_, Truth::Always) => format!("{word}, retrospective"),
        _ => word.to_owned(),
    }
}

/// The report as text.
#[must_use]
pub fn differ_page(report: &DifferReport) -> Page {
    let basis = format!("Compared {}.", basis_words(report.doubtful_held));
    let mut page = Page::titled("Two states compared");
    page.item("First:  ", report.first.line());
    page.item("Second: ", report.second.line());
    page.say(&basis);
    for asked in [&report.first, &report.second] {
        page.append(asked.remarks());
    }
    let kinds = [
        ("Modification", "modification", "modifications", &report.modifications),
        ("Position", "position", "positions", &report.positions),
        ("Part on the bill", "bill total", "bill totals", &report.bill),
        ("Splice point", "splice point", "splice points", &report.splices),
        ("Jig plate", "jig plate", "jig plates", &report.plates),
    ];
    for (head, one, several, kind) in kinds {
        let differ = counted(kind.differ.len(), one, several);
        let lost =
            if report.not_read.is_empty() { String::new() } else { format!("; {}", mark_text(&report.not_read)) };
        let sentence = format!("{differ} differ, {} undecided, {} stay{lost}", kind.undecided.len(), kind.stay);
        page.gap();
        page.say(sentence);
        let mut rows: Vec<[String; 4]> = Vec::new();
        let alike = |a: &DifferRow, b: &DifferRow| a.assembly.is_some() && a.assembly == b.assembly;
        for same in kind.differ.chunk_by(alike) {
            let [row, ..] = same else { continue };
            let [name, first, second] = match &row.assembly {
                Some(assembly) => {
                    let word = |cell: &str| if cell == NO_ASSEMBLY { NO_ASSEMBLY } else { "fitted" }.to_owned();
                    let name = format!("{assembly}, {}", counted(same.len(), "position", "positions"));
                    [name, word(&row.first), word(&row.second)]
                }
                None => [row.name.clone(), row.first.clone(), row.second.clone()],
            };
            rows.push([String::new(), name, first, second]);
        }
        for row in kind.undecided.iter().filter(|row| row.not_read.is_empty()) {
            rows.push(["?".to_owned(), row.name.clone(), row.first.clone(), row.second.clone()]);
        }
        if !rows.is_empty() {
            page.table(PageTable::made(["", head, "First", "Second"], rows));
        }
        page.append(kind.unread());
    }
    if let Some(why) = &report.no_bill {
        page.gap();
        page.say(format!("no bill is compared: {why}"));
    }
    let open = |kind: &DifferList| kind.undecided.iter().any(|row| row.not_read.is_empty());
    if kinds.iter().any(|(.., kind)| open(kind)) {
        page.gap();
        page.item("? ", "open in at least one of the two states");
    }
    page.gap();
    page
}

impl super::Verdicts for DifferReport {
    fn outcome(&self) -> super::Outcome {
        let kinds = [&self.modifications, &self.positions, &self.bill, &self.splices, &self.plates];
        super::Outcome::of(false, !kinds.iter().all(|kind| kind.undecided.is_empty()))
    }
    fn not_read(&self) -> Marks {
        let kinds = [&self.modifications, &self.positions, &self.bill, &self.splices, &self.plates];
        let rows = kinds.into_iter().flat_map(|kind| &kind.undecided).flat_map(|row| &row.not_read);
        rows.chain(&self.not_read).copied().collect()
    }
}
