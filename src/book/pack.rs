//! The inspector's pack: of one frame, assembly, position or part, on two or three sheets, what an inspector asks for.

use super::contents::{SIGNED, add_frame, add_surveys, parts_made, why_fold};
use super::{BookOf, BookSection};
use crate::answers::{
    decisions_page, decisions_report, jig_page, jig_report, part_page, part_report, permissions, permissions_page,
    position_page, position_report,
};
use crate::bill::BillScope;
use crate::ids::{FrameId, ModId, PartId, PlateId, PositionId};
use crate::jig::examine::Examiner;
use crate::layout::{Blank, Page, PageTable};
use crate::model::Decided;
use crate::resolve::Resolver;
use std::collections::BTreeSet;

/// What a subject touches.
#[derive(Default)]
struct PackReach {
    positions: BTreeSet<PositionId>,
    parts: BTreeSet<PartId>,
    plates: BTreeSet<PlateId>,
    mods: BTreeSet<ModId>,
}

impl PackReach {
    fn of(resolver: &Resolver<'_>, of: BookOf<'_>, subject: BillScope) -> PackReach {
        let (model, graph) = (of.model, of.graph);
        let places = |part: PartId| graph.places_of(part).into_iter().map(|(position, _)| position);
        let positions: BTreeSet<PositionId> = match subject {
            BillScope::Airframe => BTreeSet::new(),
            BillScope::Frame(frame) => graph.positions_below(model.frames[frame].assembly),
            BillScope::Position(position) => BTreeSet::from([position]),
            BillScope::Assembly(part) => graph.positions_below(part).into_iter().chain(places(part)).collect(),
        };
        let mut touched = PackReach::default();
        let of_part = if let BillScope::Assembly(part) = subject { Some(part) } else { None };
        for position in &positions {
            let outcomes = resolver.outcomes_when(*position);
            touched.mods.extend(outcomes.iter().flat_map(|(_, when)| Resolver::depends_on(when)));
            touched.parts.extend(model.positions[*position].candidates.iter().map(|candidate| candidate.part));
        }
        // Of a part that is no assembly, only itself: what else could be fitted there is another part.
        if let Some(part) = of_part
            && model.parts[part].positions.is_empty()
        {
            touched.parts = BTreeSet::from([part]);
        }
        touched.plates = touched.parts.iter().flat_map(|part| graph.plates_for(*part)).collect();
        PackReach { positions, ..touched }
    }
}

/// The sections of a pack.
pub(super) fn sections(
    resolver: &mut Resolver<'_>,
    of: BookOf<'_>,
    subject: BillScope,
    examiner: &Examiner<'_>,
) -> Vec<BookSection> {
    let touched = PackReach::of(resolver, of, subject);
    let (what, jigs_of) = what(resolver, of, subject, examiner);
    let is_touched = |number: &str| of.model.parts.id(number).is_some_and(|part| touched.parts.contains(&part));
    let (made, shown) = parts_made(resolver, of, examiner, is_touched);
    vec![
        what,
        reasons(resolver, of, &touched),
        plates(resolver, of, &touched, jigs_of, examiner),
        made,
        allowed(resolver, of, &touched, &shown),
        signatures(),
    ]
}

/// What the subject is in this state, with its drawing issue and its plates; and the frame that it is, if it is one.
fn what(
    resolver: &mut Resolver<'_>,
    of: BookOf<'_>,
    subject: BillScope,
    examiner: &Examiner<'_>,
) -> (BookSection, Option<FrameId>) {
    let mut section = BookSection::new("what", "What it is in this state");
    let (asked, sources) = (of.asked.bare(), &of.project.sources);
    let mut frame_of = None;
    match subject {
        BillScope::Airframe => {}
        BillScope::Frame(frame) => {
            add_frame(&mut section, resolver, of, frame, examiner);
            frame_of = Some(frame);
        }
        BillScope::Position(position) => {
            let report = position_report(resolver, asked, position, sources);
            section.take(&report);
            section.page(position_page(&report));
        }
        BillScope::Assembly(part) => {
            let report = part_report(resolver, asked, part);
            section.take(&report);
            section.page(part_page(&report));
        }
    }
    (section, frame_of)
}

/// Why, for each modification on which the subject depends.
fn reasons(resolver: &mut Resolver<'_>, of: BookOf<'_>, touched: &PackReach) -> BookSection {
    let mut section = BookSection::new("why", "Why, and on which evidence");
    let mut page = Page::default();
    page.say(if touched.mods.is_empty() {
        "It depends on no modification."
    } else {
        "The modifications on which it depends:"
    });
    section.page(page);
    for m in &touched.mods {
        why_fold(&mut section, resolver, of, *m);
    }
    section
}

/// The jigs with plates that locate it. A part has the surveys of its own plates with it.
fn plates(
    resolver: &mut Resolver<'_>,
    of: BookOf<'_>,
    touched: &PackReach,
    frame: Option<FrameId>,
    examiner: &Examiner<'_>,
) -> BookSection {
    let mut section = BookSection::new("plates", "Plates and surveys");
    let airframe = resolver.history().id;
    for (jig, name, entry) in of.model.jigs.iter() {
        let locates = |plate: &PlateId| entry.stations.contains(&of.model.plates[*plate].jig_station);
        let mounted =
            entry.mounted.iter().any(|plate| plate.made_to.is_some_and(|made| touched.plates.contains(&made)));
        let is_of = frame.map_or_else(|| mounted || touched.plates.iter().any(locates), |frame| frame == entry.frame);
        if !is_of {
            continue;
        }
        if let Some(set) = entry.set_for.as_ref().filter(|set| set.airframe.is_another(airframe)) {
            let mut page = Page::default();
            page.say(format!("Jig {name} is set for {}.", set.airframe.serial(of.model)));
            section.page(page);
            continue;
        }
        let report = jig_report(resolver, of.asked.bare(), jig, examiner);
        section.take(&report);
        if frame.is_some() {
            // The sheet of a frame has the plates of its jig already.
            let mut page = Page::default();
            page.append(report.stand.verdict_lines());
            section.page(page);
            continue;
        }
        section.page(jig_page(&report));
        let is_of_it =
            |mounted: usize| entry.mounted[mounted].made_to.is_some_and(|made| touched.plates.contains(&made));
        add_surveys(&mut section, of, examiner, |survey| survey.jig == jig && is_of_it(survey.mounted));
    }
    section.not_read.extend(crate::jig::not_read_of_jigs(of.model, None));
    if section.pieces.is_empty() {
        let mut page = Page::default();
        page.say("No plate of a jig locates it.");
        section.page(page);
    }
    section
}

/// What was allowed and decided about it.
fn allowed(resolver: &Resolver<'_>, of: BookOf<'_>, touched: &PackReach, shown: &BTreeSet<String>) -> BookSection {
    let mut section = BookSection::new("allowed", "Concessions and decisions");
    let history = resolver.history();
    let serial = &history.airframe().serial;
    let applies = |entry: &crate::model::Deviation| {
        let here = entry.position.is_none_or(|position| touched.positions.contains(&position));
        touched.parts.contains(&entry.part) && here && entry.scope.as_ref().is_none_or(|scope| scope.contains(serial))
    };
    let which = of.model.deviations.iter().enumerate().filter(|(_, entry)| applies(entry)).map(|(index, _)| index);
    let permits = permissions(of.model, which);
    let mut page = Page::default();
    if permits.is_empty() {
        page.say("No concession or permit that was read touches it.");
    }
    let (again, others): (Vec<_>, Vec<_>) = permits.iter().partition(|permit| shown.contains(&permit.reference));
    if !again.is_empty() {
        let names: Vec<&str> = again.iter().map(|permit| permit.reference.as_str()).collect();
        page.say(format!("Under Parts made: {}.", names.join(", ")));
    }
    page.append(permissions_page(others));
    section.page(page);
    section.not_read.extend(of.model.losses.of_kinds(&["Concession", "DeviationPermit"]));
    let mut report = decisions_report(of.model, of.graph, history.id);
    let concerns = |decided: &Decided| match decided {
        Decided::BuildTo(_) => true,
        Decided::Withdraw(_) => false,
        Decided::Embodied(m, _) | Decided::NotEmbodied(m) => touched.mods.contains(m),
        Decided::Fits(position, _) => touched.positions.contains(position),
    };
    let kept =
        of.model.decisions.iter().filter(|decision| decision.airframe == history.id && concerns(&decision.decides));
    let kept: BTreeSet<u32> = kept.map(|decision| decision.number).collect();
    report.decisions.retain(|row| kept.contains(&row.number) && row.withdrawn_by.is_none());
    section.take(&report);
    section.page(decisions_page(&report));
    section
}

/// Boxes for signatures.
fn signatures() -> BookSection {
    let mut section = BookSection::new("sign", "Signatures");
    let rows = ["Made or restored", "Measured", "Inspected", "Authorised person"];
    let table: PageTable = PageTable::of(&rows)
        .words("For", |row| (*row).to_owned())
        .words("Name", |_| String::new())
        .to_fill_in(Blank::Words)
        .words("Signature", |_| String::new())
        .to_fill_in(Blank::Words)
        .words("Date", |_| String::new())
        .to_fill_in(Blank::Words)
        .into();
    let mut page = Page::default();
    page.say(SIGNED);
    page.table(table);
    section.page(page);
    section
}
