//! What stands in a book: each section from the answers that it shows.

use super::{BookOf, BookPiece, BookSection};
use crate::answers::{
    BillView, Both, Outcome, Say, WhyReport, WhySubject, bill_page, bill_remarks, decisions_page, decisions_report,
    drawings_page, drawings_report, frame_page, frame_report, jig_page, jig_report, life_page, life_report, made_page,
    made_report, permissions, permissions_page, rack_page, rack_report, register_page, register_report, seek_page,
    seek_report, state_page, state_report, survey_page, survey_report, todo_page, todo_report, why_body, why_report,
};
use crate::bill::{self, BillScope, Request};
use crate::drawing::{frame_figures, life_figure, survey_figure};
use crate::finding::Severity;
use crate::ids::{FrameId, ModId};
use crate::jig::examine::Examiner;
use crate::jig::not_read_of_jigs;
use crate::layout::text::counted;
use crate::layout::{Anchor, AnchorKind, Blank, Page, PageTable, findings_page};
use crate::model::Survey;
use crate::resolve::{Basis, IssueView, Limits, Resolver};
use crate::shop;
use std::collections::BTreeSet;

/// How many questions are shown of what to look for.
const QUESTIONS: usize = 12;

/// What stands above lines to sign on.
pub(super) const SIGNED: &str = "A signature stands for what its writer checked, and for no more. What has to be signed, and by whom, \
                                 the licensed engineer or inspector and the local authority say.";

/// The sections that are printed, in the order in which they are read.
pub(super) fn sections(resolver: &mut Resolver<'_>, of: BookOf<'_>, examiner: &Examiner<'_>) -> Vec<BookSection> {
    let mut sections = vec![
        life(resolver, of),
        state(resolver, of),
        frames(resolver, of, examiner),
        jigs(resolver, of, examiner),
        bill_of_parts(resolver, of),
        to_make(resolver, of),
        open(resolver, of),
        findings(resolver, of),
        decisions(resolver, of),
        parts_made(resolver, of, examiner, |_| true).0,
        evidence(resolver, of),
        drawings(resolver, of),
    ];
    sections.push(sign_off(&sections));
    sections
}

fn life(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("life", "Life of the airframe");
    let report = life_report(resolver, of.asked.bare(), &of.project.records);
    section.take(&report);
    section.glance = format!("built {}", resolver.history().airframe().built.text);
    section.figure(life_figure(&report));
    section.page(life_page(&report));
    section
}

fn state(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("state", "Modification state");
    let report = state_report(resolver, of.asked.clone(), &crate::answers::StateFilter::default());
    section.take(&report);
    let open = report.modifications.iter().filter(|line| !line.is_settled()).count();
    let all = counted(report.of, "modification", "modifications");
    section.glance = if open == 0 { format!("{all}, all settled") } else { format!("{all}, {open} not settled") };
    section.page(state_page(&report));
    let mut heading = Page::default();
    heading.heading("Why, modification by modification");
    section.page(heading);
    for m in of.model.mods.ids() {
        why_fold(&mut section, resolver, of, m);
    }
    section
}

/// Why a modification stands as it does, behind its name.
pub(super) fn why_fold(section: &mut BookSection, resolver: &mut Resolver<'_>, of: BookOf<'_>, m: ModId) {
    let why = why_report(resolver, of.asked.bare(), WhySubject::Modification(m), &of.project.sources);
    section.take(&why);
    let about = Anchor { kind: AnchorKind::Modification, name: of.model.mods.name(m).to_owned() };
    let summary = format!("{} {}: {}", about.name, of.model.mods[m].title, standing_words(&why));
    section.pieces.push(BookPiece::Fold { about, summary, page: why_body(&why) });
}

/// What is so, in short, as behind the name of a fold.
fn standing_words(why: &WhyReport) -> String {
    let fact = |sentence: &str| {
        let rest = sentence.split_once(" is ").map_or(sentence, |(_, rest)| rest);
        rest.to_owned()
    };
    let (firm, held) = (fact(&why.fact.firm), fact(&why.fact.held));
    if firm == held { firm } else { format!("{firm}; {held} if the doubtful claims are accepted too") }
}

fn frames(resolver: &mut Resolver<'_>, of: BookOf<'_>, examiner: &Examiner<'_>) -> BookSection {
    let mut section = BookSection::new("frames", "Frames");
    let mut open = Vec::new();
    for frame in of.model.frames.ids() {
        if !add_frame(&mut section, resolver, of, frame, examiner) {
            open.push(of.model.frames.name(frame));
        }
    }
    let lost = of.model.losses.marks(|loss| loss.whole && loss.may_be("Frame"));
    section.not_read.extend(lost);
    let all = counted(of.model.frames.len(), "frame", "frames");
    section.glance = if open.is_empty() {
        format!("{all}, all settled")
    } else {
        format!("{all}; not settled: {}", open.join(", "))
    };
    section
}

/// A frame with its drawing; gives whether its variant is settled.
pub(super) fn add_frame(
    section: &mut BookSection,
    resolver: &mut Resolver<'_>,
    of: BookOf<'_>,
    frame: FrameId,
    examiner: &Examiner<'_>,
) -> bool {
    let report = frame_report(resolver, of.asked.bare(), frame, examiner, &of.project.sources);
    section.take(&report);
    section.page(frame_page(&report));
    section.figure(frame_figures(&report, of.model, frame));
    report.standing == (Both { firm: Say::Yes, held: Say::Yes })
}

fn jigs(resolver: &mut Resolver<'_>, of: BookOf<'_>, examiner: &Examiner<'_>) -> BookSection {
    let mut section = BookSection::new("jigs", "Jigs and surveys");
    let airframe = resolver.history().id;
    let mut verdicts = Vec::new();
    for (jig, name, entry) in of.model.jigs.iter() {
        let other = entry.set_for.as_ref().filter(|set| set.airframe.is_another(airframe));
        if let Some(set) = other {
            let mut page = Page::default();
            page.say(format!("Jig {name} is set for {} and is not in this book.", set.airframe.serial(of.model)));
            section.page(page);
            continue;
        }
        let report = jig_report(resolver, of.asked.bare(), jig, examiner);
        section.take(&report);
        section.page(jig_page(&report));
        add_surveys(&mut section, of, examiner, |survey| survey.jig == jig);
        verdicts.extend(report.stand.verdict_lines().sentences().into_iter().next());
    }
    section.not_read.extend(not_read_of_jigs(of.model, None));
    section.glance = if verdicts.is_empty() { "none for this airframe".to_owned() } else { verdicts.join(" ") };
    section
}

/// The surveys for which something holds, each with its drawing.
pub(super) fn add_surveys(
    section: &mut BookSection,
    of: BookOf<'_>,
    examiner: &Examiner<'_>,
    shown: impl Fn(&Survey) -> bool,
) {
    for (index, _) in of.model.surveys.iter().enumerate().filter(|(_, survey)| shown(survey)) {
        let surveyed = survey_report(of.model, index, examiner);
        section.take(&surveyed);
        section.page(survey_page(&surveyed));
        section.figure(survey_figure(&surveyed, of.model));
    }
}

fn bill_of_parts(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("bill", "Bill of parts");
    let request =
        Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::AsFitted, weights: true };
    let made = match bill::bill(resolver, request) {
        Ok(made) => made,
        Err(why) => return section.no_bill(&why, of),
    };
    let other = match bill::against_other_basis(resolver, request) {
        Ok(other) => other,
        Err(why) => return section.no_bill(&why, of),
    };
    let lines = other.as_ref().map(|other| bill::differing(&made, other)).unwrap_or_default();
    section.not_read.extend(made.all_not_read());
    section.not_read.extend(other.iter().flat_map(bill::Bill::all_not_read));
    let settled = made.is_settled() && lines.is_empty();
    section.outcome = Outcome::of(made.is_contradicted(), !settled);
    if settled { "settled" } else { "some lines are open" }.clone_into(&mut section.glance);
    let mut page = bill_page(&made, of.model, BillView::Tree);
    page.append(bill_remarks(&of.asked.bare(), request, &lines, of.model));
    section.page(page);
    section.page(bill_page(&made, of.model, BillView::Material));
    section
}

fn to_make(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("make", "To make next");
    match shop::todo(resolver, BillScope::Airframe, Limits::default()) {
        Err(why) => section.no_bill(&why, of),
        Ok(list) => {
            let report = todo_report(resolver, of.asked.bare(), &list, None);
            section.take(&report);
            let (now, hold) = (report.now.len(), report.waiting.len());
            section.glance = format!(
                "{} to make that do not depend on anything open; {hold} on hold",
                counted(now, "part number", "part numbers")
            );
            section.page(todo_page(&report));
            section
        }
    }
}

fn open(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("open", "Open, and what to look for");
    let (positions, plates) = (of.model.positions.ids().collect(), of.model.plates.ids().collect());
    let report = seek_report(resolver, of.asked.bare(), &positions, &plates, Basis::Firm);
    section.take(&report);
    section.glance = if report.limit.is_some() {
        "not worked out".to_owned()
    } else {
        format!("{} open", counted(report.open, "position", "positions"))
    };
    section.page(seek_page(&report, QUESTIONS));
    section
}

fn findings(resolver: &Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("findings", "Findings");
    let found = of.findings(resolver.history().id);
    let has = |severity| found.iter().any(|finding| finding.severity() == severity);
    section.outcome = Outcome::of(has(Severity::Stop), has(Severity::Undecided));
    let stops = found.iter().filter(|finding| finding.severity() == Severity::Stop).count();
    section.glance = match (found.len(), stops) {
        (0, _) => "none".to_owned(),
        (all, 0) => format!("{all}, none stops work"),
        (all, stops) => format!("{all}, of these {stops} that stop work"),
    };
    section.not_read_in_list = of.not_read_in_findings(resolver.history().id);
    section.page(findings_page(&found, &of.project.sources));
    section
}

fn decisions(resolver: &Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("decisions", "Decisions and concessions");
    let history = resolver.history();
    let report = decisions_report(of.model, of.graph, history.id);
    section.take(&report);
    section.page(decisions_page(&report));
    let serial = &history.airframe().serial;
    let touches = |entry: &crate::model::Deviation| entry.scope.as_ref().is_none_or(|scope| scope.contains(serial));
    let which = of.model.deviations.iter().enumerate().filter(|(_, entry)| touches(entry)).map(|(index, _)| index);
    let permits = permissions(of.model, which);
    let lost = of.model.losses.of_kinds(&["Concession", "DeviationPermit"]);
    let mut page = Page::default();
    page.heading("Concessions and deviation permits");
    if permits.is_empty() && lost.is_empty() {
        page.say("None is entered for this airframe.");
    }
    if !lost.is_empty() {
        page.say(format!("Whether there are others is not known: {}.", crate::answers::mark_text(&lost)));
    }
    page.append(permissions_page(&permits));
    section.page(page);
    section.not_read.extend(lost);
    let decisions = counted(report.decisions.len(), "decision", "decisions");
    section.glance =
        format!("{decisions}, {}", counted(permits.len(), "concession or permit", "concessions or permits"));
    section
}

/// The parts made whose numbers are wanted: against the state, and how they were made; with the concessions and permits that
/// are told with them.
pub(super) fn parts_made(
    resolver: &mut Resolver<'_>,
    of: BookOf<'_>,
    examiner: &Examiner<'_>,
    wanted: impl Fn(&str) -> bool,
) -> (BookSection, BTreeSet<String>) {
    let mut section = BookSection::new("made", "Parts made");
    let airframe = resolver.history().id;
    let mut told = BTreeSet::new();
    match rack_report(resolver, of.asked.bare()) {
        Err(why) => section = section.no_bill(&why, of),
        Ok(mut report) => {
            report.parts.retain(|row| wanted(&row.part));
            section.take(&report);
            section.glance = counted(report.parts.len(), "entry", "entries");
            section.page(rack_page(&report));
            told.extend(report.parts.iter().flat_map(|row| &row.permissions).map(|one| one.reference.clone()));
        }
    }
    let mut report = made_report(of.model, None, Some(airframe), examiner, &of.project.sources);
    report.parts.retain(|row| wanted(&row.part));
    section.take(&report);
    if !report.parts.is_empty() {
        section.page(made_page(&report));
    }
    (section, told)
}

fn evidence(resolver: &Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("evidence", "Evidence");
    let report = register_report(resolver, &of.project.sources);
    section.take(&report);
    section.glance = format!(
        "{}, {}",
        counted(report.evidence.len(), "item", "items"),
        counted(report.claims.len(), "claim", "claims")
    );
    section.page(register_page(&report));
    section
}

fn drawings(resolver: &mut Resolver<'_>, of: BookOf<'_>) -> BookSection {
    let mut section = BookSection::new("drawings", "Drawings needed");
    let request = Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::ToMake, weights: false };
    match bill::bill(resolver, request) {
        Err(why) => section.no_bill(&why, of),
        Ok(made) => {
            let report = drawings_report(resolver, of.asked.bare(), &made);
            section.take(&report);
            section.glance = counted(report.drawings.len(), "drawing", "drawings");
            section.page(drawings_page(&report, false));
            section
        }
    }
}

/// Lines to sign on, a row for each section.
fn sign_off(sections: &[BookSection]) -> BookSection {
    let mut section = BookSection::new("sign", "Sign-off");
    let mut page = Page::default();
    page.say(SIGNED);
    let table: PageTable = PageTable::of(sections)
        .words("Sheets", |section| section.name.to_owned())
        .words("Workshop: name, signature, date", |_| String::new())
        .to_fill_in(Blank::Words)
        .words("Authorised person: name, signature, date", |_| String::new())
        .to_fill_in(Blank::Words)
        .into();
    page.table(table);
    section.page(page);
    "to be filled in".clone_into(&mut section.glance);
    section
}
