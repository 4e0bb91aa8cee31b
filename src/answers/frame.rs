//! A frame: its variant, its splice points in order round the girth, its plates and its jigs.

mod ordinates;

pub use ordinates::FramePlane;

use super::answer::mark_text;
use super::asked::{Asked, Both, Say, when_words};
use super::jig::{JigStand, JigStation, jig_stand};
use super::reasons::Because;
use super::variant::{PartIssues, counts, plates_of};
use crate::geometry::Girth;
use crate::ids::{FrameId, ModId, PartId};
use crate::jig::examine::Examiner;
use crate::jig::not_read_of_jigs;
use crate::layout::text::counted;
use crate::layout::{AnchorKind, Page, PageTable};
use crate::model::{Marks, Model};
use crate::prop::Expr;
use crate::quantity::Length;
use crate::resolve::{Basis, FrameVariant, Resolver, Truth};
use crate::source::Sources;
use crate::words::length_text;
use serde::ser::SerializeMap as _;
use serde::{Serialize, Serializer};
use std::collections::BTreeSet;

/// A frame: its variants, plates and jigs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The frame.
    pub frame: String,
    /// A longer description.
    pub title: Option<String>,
    /// Its assembly.
    pub assembly: String,
    /// Its station, as written.
    pub station: String,
    /// Its station in millimetres.
    pub station_mm: f64,
    /// The distance round the girth in millimetres, along the metal.
    pub girth_mm: f64,
    /// Whether the path is given by ordinates, point by point.
    pub by_ordinates: bool,
    /// How the frame leans; `null`: it is upright.
    pub plane: Option<FramePlane>,
    /// Whether one variant is certain.
    pub standing: Both<Say>,
    /// The variants that some history has; one that is `yes`: it is settled.
    pub variants: Vec<FrameVariantRow>,
    /// What the frame would be otherwise: the variants that no history of this airframe has.
    pub otherwise: Vec<FrameVariantRow>,
    /// Whether the frame has more variants than can be listed; then none is.
    pub too_many: bool,
    /// Why the settled variant is the one, under the firm claims, or else with the doubtful ones held.
    pub because: Because,
    /// The jigs of the frame against the state.
    pub jigs: Vec<JigStand>,
    /// From where the frame is seen, where angle and girth start and which way they run.
    pub sense: String,
    /// What was not read and bears on the frame's own record.
    #[serde(skip)]
    pub not_read_of_record: Marks,
    /// What was not read and bears on which variant it is; then none is listed.
    #[serde(skip)]
    pub not_read_of_variant: Marks,
    /// The jigs of the frame that were not read.
    #[serde(skip)]
    pub not_read_of_jigs: Marks,
}

/// Why no variant of a frame is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum NoVariant {
    /// Something that it rests on was not read.
    NotRead,
    /// It has more than can be listed.
    TooMany,
    /// The records contradict each other.
    Contradicted,
}

/// One variant of a frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameVariantRow {
    /// When it is the one, in words.
    pub when: String,
    /// Whether it is the one.
    pub standing: Both<Say>,
    /// How many distinct states of the modifications that the frame depends on select it: a count, never a likelihood.
    /// A decimal number as text; `null` if counting met a limit.
    pub states: Both<Option<String>>,
    /// The splice points and edges in order round the girth.
    pub points: Vec<GirthPoint>,
    /// The segments in order round the girth.
    pub segments: Vec<SegmentLine>,
    /// The openings with the pieces that bridge them.
    pub openings: Vec<OpeningLine>,
    /// All jig plates that locate its segments, bridges and splice parts.
    pub plates: Vec<String>,
    /// What was not read and bears on that list.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A place on the girth at which a segment ends.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GirthPoint {
    /// Its name.
    pub name: String,
    /// The clock angle in degrees, clockwise from the top, looking forward.
    pub clock_deg: f64,
    /// The distance along the girth in millimetres, to 0.001.
    pub girth_mm: f64,
    /// The distance along the girth in inches, to 0.0001.
    pub girth_in: f64,
    /// The breadth in millimetres to starboard, to 0.001; negative to port.
    pub breadth_mm: f64,
    /// The same in inches, to 0.0001.
    pub breadth_in: f64,
    /// The upright height in millimetres, as seen looking forward.
    pub height_mm: f64,
    /// The same in inches.
    pub height_in: f64,
    /// The height along the metal in millimetres, measured from where the frame is at its station; of an upright frame
    /// its height.
    pub along_plane_mm: f64,
    /// The same in inches.
    pub along_plane_in: f64,
    /// The station there in millimetres; of an upright frame its station.
    pub station_mm: f64,
    /// The same in inches.
    pub station_in: f64,
    /// The parts that make the joint; none at the edge of an opening.
    pub joined_by: Vec<String>,
    /// Whether it is the edge of an opening.
    pub edge_of: Vec<String>,
}

impl GirthPoint {
    /// What is there, in words.
    pub(crate) fn what(&self) -> String {
        match (&self.joined_by[..], &self.edge_of[..]) {
            ([], []) => "joint without splice parts".to_owned(),
            (joined, []) => format!("splice, {}", joined.join(" + ")),
            (_, edges) => format!("edge of {}", edges.join(", ")),
        }
    }
}

/// A segment of the frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SegmentLine {
    /// The part.
    pub part: String,
    /// What it is.
    pub description: String,
    /// What the first position is called at which it may be fitted.
    pub name: Option<String>,
    /// The splice point or edge where it starts; it runs clockwise.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// How far it runs past its start, as written.
    pub lap_from: Option<String>,
    /// How far it runs past its end, as written.
    pub lap_to: Option<String>,
    /// The drawing issues that may apply.
    #[serde(flatten)]
    pub issues: PartIssues,
    /// The jig plates that locate it.
    pub plates: Vec<String>,
    /// What was not read and bears on this row, by what of it.
    #[serde(flatten)]
    pub not_read: SegmentMarks,
}

/// What was not read and bears on the row of a segment. What rests on it is left out of the row.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SegmentMarks {
    /// On the description.
    pub description: Marks,
    /// On the issues.
    pub issues: Marks,
    /// On the plates.
    pub plates: Marks,
}

impl SegmentMarks {
    fn all(&self) -> Marks {
        [&self.description, &self.issues, &self.plates].into_iter().flatten().copied().collect()
    }
}

impl Serialize for SegmentMarks {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let all = self.all();
        let mut map = serializer.serialize_map(None)?;
        if !all.is_empty() {
            map.serialize_entry("not_read", &all)?;
        }
        map.end()
    }
}

impl SegmentLine {
    /// What it is called, or what it is.
    pub(crate) fn what(&self) -> String {
        match &self.name {
            Some(name) => name.clone(),
            None if !self.not_read.description.is_empty() => mark_text(&self.not_read.description),
            None => self.description.clone(),
        }
    }
}

/// What stands in a cell: what was found, or that something was not read.
pub(crate) fn cell(not_read: &Marks, found: String, none: &str) -> String {
    if !not_read.is_empty() {
        return mark_text(not_read);
    }
    if found.is_empty() { none.to_owned() } else { found }
}

/// An opening in the frame.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OpeningLine {
    /// What it is called.
    pub name: String,
    /// Where it starts, clockwise.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// The pieces that bridge it.
    pub bridged_by: Vec<String>,
    /// The jig plates that locate these pieces.
    pub plates: Vec<String>,
    /// What was not read and bears on which these are.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The report on a frame in the state of a resolver.
#[must_use]
pub fn frame_report(
    resolver: &mut Resolver<'_>,
    asked: Asked,
    frame: FrameId,
    examiner: &Examiner<'_>,
    sources: &Sources,
) -> FrameReport {
    let model = resolver.history().model;
    let entry = &model.frames[frame];
    let not_read_of_variant = resolver.history().not_read_of_frame(frame);
    let possible = resolver.frame_variants(frame);
    let too_many = possible.is_none() && not_read_of_variant.is_empty();
    let possible: Vec<FrameVariant> =
        possible.unwrap_or_default().into_iter().filter(|selected| !selected.segments.is_empty()).collect();
    let exprs: Vec<Expr> = possible.iter().map(|selected| selected.when.clone()).collect();
    let slice: BTreeSet<ModId> = exprs.iter().flat_map(Resolver::depends_on).collect();
    let states = counts(resolver, &slice, &exprs);
    let (mut variants, mut otherwise, mut proof) = (Vec::new(), Vec::new(), None);
    let mut says = Vec::new();
    for (selected, states) in possible.iter().zip(states) {
        let truth = Both::ask(|basis| resolver.truth(&selected.when, basis));
        for (basis, truth) in [(Basis::Firm, truth.firm), (Basis::Held, truth.held)] {
            if truth == Truth::Always && proof.is_none() {
                proof = Some((selected.when.clone(), basis));
            }
        }
        let say = Both { firm: Say::from(truth.firm), held: Say::from(truth.held) };
        says.push(say);
        let variant = variant(resolver, frame, selected, say, states);
        if say.firm == Say::No && say.held == Say::No { &mut otherwise } else { &mut variants }.push(variant);
    }
    let jigs: Vec<_> = model.jigs.iter().filter(|(_, _, jig)| jig.frame == frame).map(|(id, ..)| id).collect();
    let jigs = jigs.into_iter().map(|jig| jig_stand(resolver, jig, examiner)).collect();
    let of = |one: &dyn Fn(&Both<Say>) -> Say| {
        if not_read_of_variant.is_empty() { of_all(says.iter().map(one)) } else { Say::NotRead }
    };
    let standing = Both { firm: of(&|say| say.firm), held: of(&|say| say.held) };
    FrameReport {
        asked,
        frame: model.frames.name(frame).to_owned(),
        title: entry.title.clone(),
        assembly: model.parts.name(entry.assembly).to_owned(),
        station: entry.station.text.clone(),
        station_mm: rounded(entry.station.mm(), 1e3),
        girth_mm: rounded(entry.girth.length_mm(), 1e3),
        by_ordinates: entry.girth.is_by_points(),
        plane: FramePlane::of(&entry.girth),
        sense: sense(&entry.girth),
        standing,
        variants,
        otherwise,
        too_many,
        because: Because::of(resolver, proof, &slice, sources),
        jigs,
        not_read_of_record: model.losses.of_frame(frame),
        not_read_of_variant,
        not_read_of_jigs: not_read_of_jigs(model, Some(frame)),
    }
}

/// From where a frame is seen, where clock angle and girth start and which way they run.
fn sense(girth: &Girth) -> String {
    let start = rounded(girth.clock_deg(0.0), 1e2);
    let top = start.min(360.0 - start) < 0.005;
    let from = if top { "the top".to_owned() } else { format!("the start of the path at {start:.2} deg") };
    let sentence = match girth.runs_clockwise() {
        Some(true) if top => "Clock angle and girth (distance along the frame) run clockwise from the top".to_owned(),
        Some(true) => {
            format!("Clock angle runs clockwise from the top; girth (distance along the frame) clockwise from {from}")
        }
        Some(false) => {
            format!(
                "Clock angle runs clockwise from the top; girth (distance along the frame) ANTICLOCKWISE from {from}"
            )
        }
        None => format!("Clock angle runs clockwise from the top; girth is the distance along the frame from {from}"),
    };
    format!("Looking forward. {sentence}, seen from behind.")
}

/// What the standings of all variants come to.
fn of_all(says: impl Iterator<Item = Say>) -> Say {
    let says: Vec<Say> = says.collect();
    let first = [Say::Contradicted, Say::Undecided, Say::Open, Say::Yes];
    first.into_iter().find(|say| says.contains(say)).unwrap_or(Say::No)
}

fn rounded(value: f64, to: f64) -> f64 {
    // Adding nothing takes the sign off a zero.
    (value * to).round() / to + 0.0
}

fn variant(
    resolver: &mut Resolver<'_>,
    frame: FrameId,
    selected: &FrameVariant,
    standing: Both<Say>,
    states: Both<Option<String>>,
) -> FrameVariantRow {
    let model = resolver.history().model;
    let entry = &model.frames[frame];
    let name = |part: PartId| model.parts.name(part).to_owned();
    let point = |index: usize| entry.splice_points[index].name.clone();
    let lap = |length: &Option<Length>| length.as_ref().map(|length| length.text.clone());
    let mut parts: BTreeSet<PartId> = BTreeSet::new();
    let mut in_order = selected.segments.clone();
    in_order.sort_by(|a, b| {
        let start = |at: usize| entry.splice_points[entry.segments[at].from].girth_mm;
        start(*a).total_cmp(&start(*b))
    });
    let mut segments = Vec::new();
    for at in in_order {
        let segment = &entry.segments[at];
        parts.insert(segment.part);
        let fitted = resolver.fitted(segment.part);
        let not_read = SegmentMarks {
            description: model.losses.of_part(segment.part),
            issues: resolver.history().not_read_of_issue(segment.part, &fitted),
            plates: model.losses.of_location(segment.part),
        };
        segments.push(SegmentLine {
            part: name(segment.part),
            description: known(&not_read.description, model.parts[segment.part].description.clone()),
            name: first_name(resolver, segment.part),
            from: point(segment.from),
            to: point(segment.to),
            lap_from: lap(&segment.lap_from),
            lap_to: lap(&segment.lap_to),
            issues: known(&not_read.issues, PartIssues::of(resolver, segment.part, &fitted)),
            plates: known(&not_read.plates, plates_of(resolver, segment.part)),
            not_read,
        });
    }
    let openings = selected.openings.iter().map(|at| {
        let opening = &entry.openings[*at];
        parts.extend(&opening.bridged_by);
        let plates: BTreeSet<String> = opening.bridged_by.iter().flat_map(|part| plates_of(resolver, *part)).collect();
        let not_read = not_read_of_plates(model, &opening.bridged_by);
        OpeningLine {
            name: opening.name.clone(),
            from: point(opening.from),
            to: point(opening.to),
            bridged_by: opening.bridged_by.iter().map(|part| name(*part)).collect(),
            plates: known(&not_read, plates.into_iter().collect()),
            not_read,
        }
    });
    let openings: Vec<OpeningLine> = openings.collect();
    let points = selected.points.iter().map(|index| {
        let splice = &entry.splice_points[*index];
        let edges = selected.openings.iter().map(|at| &entry.openings[*at]);
        let edge_of: Vec<String> = edges
            .filter(|opening| [opening.from, opening.to].contains(index))
            .map(|opening| opening.name.clone())
            .collect();
        let joined = if edge_of.is_empty() { &splice.joined_by[..] } else { &[] };
        parts.extend(joined);
        let spot = entry.girth.spot(splice.girth_mm);
        let (mm, inches) = (|mm: f64| rounded(mm, 1e3), |mm: f64| rounded(mm / 25.4, 1e4));
        let station = entry.station.mm() + spot.aft;
        GirthPoint {
            name: splice.name.clone(),
            breadth_mm: mm(spot.breadth),
            breadth_in: inches(spot.breadth),
            height_mm: mm(spot.height),
            height_in: inches(spot.height),
            along_plane_mm: mm(spot.along_plane),
            along_plane_in: inches(spot.along_plane),
            station_mm: mm(station),
            station_in: inches(station),
            clock_deg: rounded(entry.girth.clock_deg(splice.girth_mm), 1e2),
            girth_mm: mm(splice.girth_mm),
            girth_in: inches(splice.girth_mm),
            joined_by: joined.iter().map(|part| name(*part)).collect(),
            edge_of,
        }
    });
    let points: Vec<GirthPoint> = points.collect();
    let plates: BTreeSet<_> = parts.iter().flat_map(|part| resolver.history().graph.plates_for(*part)).collect();
    let not_read = not_read_of_plates(model, &parts);
    FrameVariantRow {
        when: when_words(&selected.when, resolver),
        standing,
        states,
        points,
        segments,
        openings,
        plates: known(&not_read, plates.into_iter().map(|plate| model.plates.name(plate).to_owned()).collect()),
        not_read,
    }
}

/// What was found, or nothing where something was not read.
fn known<T: Default>(not_read: &Marks, found: T) -> T {
    if not_read.is_empty() { found } else { T::default() }
}

/// What may bear on which plates locate these parts.
fn not_read_of_plates<'p>(model: &Model, parts: impl IntoIterator<Item = &'p PartId>) -> Marks {
    parts.into_iter().flat_map(|part| model.losses.of_location(*part)).collect()
}

/// What the first position is called at which a part may be fitted.
fn first_name(resolver: &Resolver<'_>, part: PartId) -> Option<String> {
    let history = resolver.history();
    let (position, _) = history.graph.places_of(part).into_iter().next()?;
    history.model.positions[position].name.clone()
}

/// The report as text: one screen if the variant is settled.
#[must_use]
pub fn frame_page(report: &FrameReport) -> Page {
    let mut page = Page::default();
    page.anchor(AnchorKind::Frame, &report.frame);
    page.append(Page::titled(format!("{}: {}", report.head(), report.asked.line())));
    let read = report.not_read_of_record.is_empty();
    if let Some(title) = report.title.as_ref().filter(|_| read) {
        page.say(title);
    }
    if let Some(plane) = report.plane.as_ref().filter(|_| read) {
        let sentence = "Girths are along the metal; clock angles and heights as seen looking forward.";
        page.say(format!("{} {sentence}", plane.words));
    }
    page.gap();
    match report.none() {
        Some(NoVariant::NotRead) => {
            let sentence = format!("Which variant it is, is not known: {}.", mark_text(&report.not_read_of_variant));
            page.say(sentence);
        }
        Some(NoVariant::TooMany) => {
            let sentence = "This frame has more than 64 variants: ask for its positions one by one.";
            page.say(sentence);
        }
        Some(NoVariant::Contradicted) | None => {}
    }
    let several = report.variants.len() > 1;
    for (index, variant) in report.variants.iter().enumerate() {
        if index > 0 {
            page.gap();
        }
        page.append(variant_head(variant, several.then_some((index + 1, report.variants.len()))));
        if !several {
            page.append(report.because.page());
        }
        page.gap();
        page.table(points_table(variant));
        page.say(&report.sense);
        page.gap();
        if report.shows_ordinates() {
            page.append(ordinates::ordinates_page(report, variant));
            page.gap();
        }
        page.table(segments_table(variant, report));
    }
    if several {
        page.gap();
        page.append(report.because.page());
        page.say("States are counts of distinct modification states, not likelihoods.");
    }
    for jig in &report.jigs {
        page.gap();
        page.append(jig.summary());
    }
    if !report.not_read_of_jigs.is_empty() {
        let sentence = format!("whether there are others of this frame: {}.", mark_text(&report.not_read_of_jigs));
        page.item("Jigs: ", sentence);
    }
    let mut others = Vec::new();
    for variant in &report.otherwise {
        let points: Vec<&str> = variant.points.iter().map(|point| point.name.as_str()).collect();
        let plates = cell(&variant.not_read, variant.plates.join(" "), "");
        others.push(format!("{}: splices {}; plates {plates}", variant.when, points.join(" ")));
    }
    if !others.is_empty() {
        page.say("Other variants of this frame");
        for sentence in &others {
            page.item("- ", sentence);
        }
    }
    page.append(report.asked.remarks());
    page.gap();
    page
}

fn variant_head(variant: &FrameVariantRow, number: Option<(usize, usize)>) -> Page {
    let lead = number.map_or("Variant: ".to_owned(), |(number, of)| format!("Variant {number} of {of}: "));
    let segments = counted(variant.segments.len(), "segment", "segments");
    let settled = variant.standing == Both { firm: Say::Yes, held: Say::Yes };
    let standing = if settled { "; settled" } else { "" };
    let mut page = Page::titled(format!("{lead}{}, {segments}{standing}.", variant.when));
    if !settled {
        let say = |say: Say, states: &Option<String>| {
            let word = match say {
                Say::Yes => "this one",
                Say::No => "not this one",
                Say::Open | Say::Contradicted | Say::Undecided | Say::NotRead => say.word(),
            };
            format!("{word} (states: {})", states.as_deref().unwrap_or("uncounted"))
        };
        let firm = say(variant.standing.firm, &variant.states.firm);
        let held = say(variant.standing.held, &variant.states.held);
        let sentence = format!("On the firm claims only: {firm}. If the doubtful claims are accepted too: {held}.");
        page.say(sentence);
    }
    page
}

fn points_table(variant: &FrameVariantRow) -> PageTable {
    PageTable::of(&variant.points)
        .words("Point", |point| point.name.clone())
        .figures("Clock", |point| format!("{:.2}", point.clock_deg))
        .unit("deg")
        .figures("Girth from start", |point| format!("{:.2}", point.girth_mm))
        .unit("mm")
        .figures("Girth from start", |point| format!("{:.3}", point.girth_in))
        .unit("in")
        .words("Feature", GirthPoint::what)
        .into()
}

fn segments_table(variant: &FrameVariantRow, report: &FrameReport) -> PageTable {
    let mut rows = Vec::new();
    for segment in &variant.segments {
        let issue = cell(&segment.not_read.issues, segment.issues.words("/"), "-");
        let runs = format!("{} - {}", segment.from, segment.to);
        let plates = cell(&segment.not_read.plates, segment.plates.join(" "), "");
        let on = on_jig(&segment.plates, &report.jigs, &segment.not_read.plates, &report.not_read_of_jigs);
        rows.push([segment.part.clone(), segment.what(), runs, issue, plates, on]);
    }
    for opening in &variant.openings {
        let runs = format!("{} - {}", opening.from, opening.to);
        let what = format!("{}, bridge", opening.name);
        let on = on_jig(&opening.plates, &report.jigs, &opening.not_read, &report.not_read_of_jigs);
        let plates = cell(&opening.not_read, opening.plates.join(" "), "");
        rows.push([opening.bridged_by.join(" "), what, runs, String::new(), plates, on]);
    }
    PageTable::made(["Part", "Description", "From - to", "Issue", "Plate", "Plate on jig"], rows)
}

/// What the jigs have where these plates belong.
fn on_jig(plates: &[String], jigs: &[JigStand], of_plates: &Marks, of_jigs: &Marks) -> String {
    if !of_plates.is_empty() {
        return mark_text(of_plates);
    }
    let mut sentences: Vec<String> = Vec::new();
    let mut unread = of_jigs.clone();
    for jig in jigs {
        let here = |station: &&JigStation| station.needed.iter().any(|need| plates.contains(&need.plate));
        let found: Vec<&JigStation> = jig.stations.iter().filter(here).collect();
        for station in &found {
            let mark = station.mark.as_deref().map_or(String::new(), |mark| format!("{mark} "));
            sentences.push(format!("{mark}{}", station.in_short()));
        }
        // A station of which something was not read does not say which plate it needs.
        let same =
            |station: &&JigStation| found.is_empty() || found.iter().any(|other| other.station == station.station);
        unread.extend(jig.stations.iter().filter(same).flat_map(|station| &station.not_read));
    }
    if !plates.is_empty() && !unread.is_empty() {
        sentences.push(mark_text(&unread));
    }
    sentences.join(", ")
}

impl FrameReport {
    /// The frame and where it stands, as far as that was read.
    pub(crate) fn head(&self) -> String {
        format!("Frame {}, station {}", self.frame, self.if_read(&length_text(&self.station)))
    }
    /// The same with its assembly.
    pub(crate) fn whereabouts(&self) -> String {
        format!(
            "{}, assembly {}, station {}",
            self.frame,
            self.if_read(&self.assembly),
            self.if_read(&length_text(&self.station))
        )
    }
    fn if_read(&self, text: &str) -> String {
        if self.not_read_of_record.is_empty() { text.to_owned() } else { mark_text(&self.not_read_of_record) }
    }
    /// Why no variant is listed, if none is.
    pub(crate) fn none(&self) -> Option<NoVariant> {
        if !self.not_read_of_variant.is_empty() {
            Some(NoVariant::NotRead)
        } else if self.too_many {
            Some(NoVariant::TooMany)
        } else if self.variants.is_empty() {
            Some(NoVariant::Contradicted)
        } else {
            None
        }
    }
    /// What was not read and bears on what stands on the jigs.
    pub(crate) fn not_read_on_jigs(&self) -> Marks {
        let stations = self.jigs.iter().flat_map(|jig| &jig.stations).flat_map(|station| &station.not_read);
        self.not_read_of_jigs.iter().chain(stations).copied().collect()
    }
}

impl super::Verdicts for FrameReport {
    fn outcome(&self) -> super::Outcome {
        let frame = super::asked::outcome_of_both(self.standing.firm, self.standing.held);
        let settled = self.variants.len() == 1 || frame != super::Outcome::Settled;
        let jigs = self.jigs.iter().map(JigStand::outcome).max().unwrap_or_default();
        jigs.max(if settled { frame } else { super::Outcome::Undecided })
    }
    fn not_read(&self) -> Marks {
        let own = [&self.not_read_of_record, &self.not_read_of_variant, &self.not_read_of_jigs, &self.asked.not_read];
        let mut marks: Marks = own.into_iter().flatten().copied().collect();
        marks.extend(self.because.not_read());
        marks.extend(self.jigs.iter().flat_map(JigStand::not_read_on_it));
        for variant in self.variants.iter().chain(&self.otherwise) {
            marks.extend(&variant.not_read);
            marks.extend(variant.segments.iter().flat_map(|segment| segment.not_read.all()));
            marks.extend(variant.openings.iter().flat_map(|opening| &opening.not_read));
        }
        marks
    }
}
