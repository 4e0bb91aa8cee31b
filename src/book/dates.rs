//! The life of an airframe to be dragged along: frames, state and bill at each date on which one of them changes. All of it is
//! worked out beforehand, by the same engine as every other answer; the page only shows one date or another.

use super::{BookOf, BookPiece, BookSection};
use crate::answers::{
    Asked, BillView, Picked, StateFilter, Verdicts, bill_page, bill_trouble_words, frame_report, say_words, state_page,
    state_report,
};
use crate::bill::{BillScope, Request, bill};
use crate::jig::examine::Examiner;
use crate::layout::text::counted;
use crate::layout::{Anchors, PageTable, RowWeight, StopsTable};
use crate::model::Marks;
use crate::resolve::{Basis, IssueView, Limits, Resolver, Target};
use crate::words::date_text;
use maud::{Markup, html};
use rayon::prelude::*;

/// The answers at each stop.
#[derive(Debug, Default)]
pub(super) struct DatesView {
    /// What each stop is called.
    stops: Vec<String>,
    state: StopsTable,
    frames: StopsTable,
    bill: StopsTable,
}

/// The answers at one stop.
struct DateStop {
    name: String,
    tables: [PageTable; 3],
    not_read: Marks,
}

/// The section with the answers at each date, from the day on which the airframe was built to that of the book's state, and
/// last that state itself.
pub(super) fn dates(resolver: &mut Resolver<'_>, of: BookOf<'_>, examiner: &Examiner<'_>) -> BookSection {
    let mut section = BookSection::new("dates", "Date by date");
    let (history, target) = (resolver.history(), resolver.target());
    let days = history.days_of_change(target.day);
    let airframe = history.id;
    let at = |target: Target, name: String| {
        let made = Resolver::new(of.model, of.graph, airframe, target, Limits::default());
        made.ok().map(|mut resolver| stop(&mut resolver, of, name, examiner))
    };
    let mut stops: Vec<DateStop> = days
        .par_iter()
        .filter_map(|day| at(Target { day: *day, build_state: None }, date_text(&day.to_string())))
        .collect();
    // A day on which nothing changed is no stop.
    stops.dedup_by(|next, before| next.tables == before.tables);
    if let (Some(name), Some(_)) = (&of.asked.build_state, target.build_state) {
        stops.extend(at(target, format!("build state \u{201c}{name}\u{201d}")));
    }
    let mut view = DatesView::default();
    for stop in stops {
        view.stops.push(stop.name);
        let [state, frames, bill] = &stop.tables;
        view.state.lay(state);
        view.frames.lay(frames);
        view.bill.lay(bill);
        section.not_read.extend(stop.not_read);
    }
    section.glance = format!("{} at which something changes", counted(view.stops.len(), "date", "dates"));
    section.pieces.push(BookPiece::Dates(Box::new(view)));
    section
}

fn stop(resolver: &mut Resolver<'_>, of: BookOf<'_>, name: String, examiner: &Examiner<'_>) -> DateStop {
    let asked = Asked::of(resolver, Picked::Date);
    let report = state_report(resolver, asked.clone(), &StateFilter::default());
    let mut not_read = report.not_read();
    let state = state_page(&report).first_table().cloned().unwrap_or_default();
    let (frames, of_frames) = frames(resolver, of, &asked, examiner);
    not_read.extend(of_frames);
    let request =
        Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::AsFitted, weights: false };
    let bill = match bill(resolver, request) {
        Ok(made) => {
            not_read.extend(made.all_not_read());
            bill_page(&made, of.model, BillView::Tree).first_table().cloned().unwrap_or_default()
        }
        Err(why) => {
            if let crate::bill::NoBill::NotRead(marks) = &why {
                not_read.extend(marks);
            }
            let mut row = [const { String::new() }; 6];
            row[2] = format!("Not known: {}.", bill_trouble_words(&why, of.model));
            PageTable::made(["Item", "Part", "Description", "Qty", "Issue", "Remarks"], [row])
        }
    };
    DateStop { name, tables: [state, frames, bill], not_read }
}

/// The variants of every frame, a row each.
fn frames(resolver: &mut Resolver<'_>, of: BookOf<'_>, asked: &Asked, examiner: &Examiner<'_>) -> (PageTable, Marks) {
    let (mut rows, mut weights, mut not_read) = (Vec::new(), Vec::new(), Marks::new());
    for frame in of.model.frames.ids() {
        let report = frame_report(resolver, asked.clone(), frame, examiner, &of.project.sources);
        not_read.extend(report.not_read());
        if report.variants.is_empty() {
            rows.push([
                report.frame.clone(),
                "not known, or contradicted: see the frame".to_owned(),
                String::new(),
                String::new(),
                String::new(),
            ]);
            weights.push(RowWeight::Wrong);
        }
        for variant in &report.variants {
            let standing = variant.standing;
            let points: Vec<&str> = variant.points.iter().map(|point| point.name.as_str()).collect();
            let parts: Vec<&str> = variant.segments.iter().map(|segment| segment.part.as_str()).collect();
            rows.push([
                report.frame.clone(),
                variant.when.clone(),
                say_words(standing),
                points.join(" "),
                parts.join(" "),
            ]);
            let settled = standing.firm.is_settled() && !standing.differs();
            weights.push(if settled { RowWeight::Sound } else { RowWeight::Open });
        }
    }
    (PageTable::made(["Frame", "Variant", "Fitted", "Splices and edges", "Segments"], rows).weighed(weights), not_read)
}

impl DatesView {
    /// With what moves it. Without a script the last stop is shown.
    pub(super) fn html(&self, anchors: &mut Anchors) -> Markup {
        let last = self.stops.len().saturating_sub(1);
        let tables = [("Frames", &self.frames), ("Modification state", &self.state), ("Bill of parts", &self.bill)];
        html! {
            p { "Frames, state and bill at the end of each day on which one of them changes. Between two of these days nothing changes. \
                 Nothing is worked out in this page; the last stop is the state that the book is of." }
            div.slide {
                div {
                    label for="stop" { "Date" }
                    div.line {
                        button #earlier type="button" { "Earlier" }
                        input #stop type="range" min="0" max=(last) value=(last) step="1";
                        button #later type="button" { "Later" }
                    }
                    output #shown for="stop" { @if let Some(name) = self.stops.last() { (name) } }
                }
                div {
                    label for="beside" { "Compare with" }
                    select #beside {
                        option value="" selected { "nothing" }
                        @for (at, name) in self.stops.iter().enumerate() { option value=(at) { (name) } }
                    }
                    label.tick { input #differing type="checkbox"; " only what differs" }
                }
            }
            p #stopsaid.said role="status" {}
            @for (name, table) in tables {
                h3 { (name) }
                (table.html(name, anchors))
            }
            p { "* = if doubtful claims are accepted" }
        }
    }
}
