//! The ring of a frame: its variant, its splice points in order round the girth, its plates and its jigs.

mod ordinates;

pub use ordinates::FramePlane;

use super::asked::{Asked, Both, Say, when_words};
use super::jig::{JigReport, jig_report};
use super::layout::{counted, paragraph, table};
use super::reasons::Because;
use super::variant::{counts, issues_of, plates_of};
use super::{CAUTION, Style};
use crate::ids::{FrameId, ModId, PartId};
use crate::jig::examine::Examiner;
use crate::model::Length;
use crate::prop::Expr;
use crate::resolve::{Basis, Resolver, Ring, Truth};
use crate::source::Sources;
use serde::Serialize;
use std::collections::BTreeSet;

/// The ring of a frame.
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
    pub variants: Vec<FrameVariant>,
    /// What the frame would be otherwise: the variants that no history of this airframe has.
    pub otherwise: Vec<FrameVariant>,
    /// Whether the frame has more variants than can be listed; then none is.
    pub too_many: bool,
    /// Why the settled variant is the one, under the firm claims, or else with the doubtful ones held.
    pub because: Because,
    /// The jigs of the frame against the state.
    pub jigs: Vec<JigReport>,
    /// The caution that goes with every variant.
    pub caution: &'static str,
}

/// One variant of a frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrameVariant {
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

/// A segment of the ring.
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
    /// The drawing issues that may apply; one: it is settled.
    pub issues: Vec<String>,
    /// The jig plates that locate it.
    pub plates: Vec<String>,
}

/// An opening in the ring.
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
}

/// The ring of a frame in the state of a resolver.
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
    let rings = resolver.rings(frame);
    let too_many = rings.is_none();
    let rings: Vec<Ring> = rings.unwrap_or_default().into_iter().filter(|ring| !ring.segments.is_empty()).collect();
    let exprs: Vec<Expr> = rings.iter().map(|ring| ring.when.clone()).collect();
    let slice: BTreeSet<ModId> = exprs.iter().flat_map(Resolver::depends_on).collect();
    let states = counts(resolver, &slice, &exprs);
    let (mut variants, mut otherwise, mut proof) = (Vec::new(), Vec::new(), None);
    let mut says = Vec::new();
    for (ring, states) in rings.iter().zip(states) {
        let truth = Both::ask(|basis| resolver.truth(&ring.when, basis));
        for (basis, truth) in [(Basis::Firm, truth.firm), (Basis::Held, truth.held)] {
            if truth == Truth::Always && proof.is_none() {
                proof = Some((ring.when.clone(), basis));
            }
        }
        let say = Both { firm: Say::from(truth.firm), held: Say::from(truth.held) };
        says.push(say);
        let variant = variant(resolver, frame, ring, say, states);
        if say.firm == Say::No && say.held == Say::No { &mut otherwise } else { &mut variants }.push(variant);
    }
    let jigs: Vec<_> = model.jigs.iter().filter(|(_, _, jig)| jig.frame == frame).map(|(id, ..)| id).collect();
    let jigs = jigs.into_iter().map(|jig| jig_report(resolver, asked.clone(), jig, examiner)).collect();
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
        standing: Both { firm: of_all(says.iter().map(|say| say.firm)), held: of_all(says.iter().map(|say| say.held)) },
        variants,
        otherwise,
        too_many,
        because: Because::of(resolver, proof, &slice, sources),
        jigs,
        caution: CAUTION,
    }
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
    ring: &Ring,
    standing: Both<Say>,
    states: Both<Option<String>>,
) -> FrameVariant {
    let model = resolver.history().model;
    let entry = &model.frames[frame];
    let name = |part: PartId| model.parts.name(part).to_owned();
    let point = |index: usize| entry.splice_points[index].name.clone();
    let lap = |length: &Option<Length>| length.as_ref().map(|length| length.text.clone());
    let mut parts: BTreeSet<PartId> = BTreeSet::new();
    let mut in_order = ring.segments.clone();
    in_order.sort_by(|a, b| {
        let start = |at: usize| entry.splice_points[entry.segments[at].from].girth_mm;
        start(*a).total_cmp(&start(*b))
    });
    let mut segments = Vec::new();
    for at in in_order {
        let segment = &entry.segments[at];
        parts.insert(segment.part);
        let fitted = resolver.fitted(segment.part);
        segments.push(SegmentLine {
            part: name(segment.part),
            description: model.parts[segment.part].description.clone(),
            name: first_name(resolver, segment.part),
            from: point(segment.from),
            to: point(segment.to),
            lap_from: lap(&segment.lap_from),
            lap_to: lap(&segment.lap_to),
            issues: issues_of(resolver, segment.part, &fitted),
            plates: plates_of(resolver, segment.part),
        });
    }
    let openings = ring.openings.iter().map(|at| {
        let opening = &entry.openings[*at];
        parts.extend(&opening.bridged_by);
        let plates: BTreeSet<String> = opening.bridged_by.iter().flat_map(|part| plates_of(resolver, *part)).collect();
        OpeningLine {
            name: opening.name.clone(),
            from: point(opening.from),
            to: point(opening.to),
            bridged_by: opening.bridged_by.iter().map(|part| name(*part)).collect(),
            plates: plates.into_iter().collect(),
        }
    });
    let openings: Vec<OpeningLine> = openings.collect();
    let points = ring.points.iter().map(|index| {
        let splice = &entry.splice_points[*index];
        let edges = ring.openings.iter().map(|at| &entry.openings[*at]);
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
    FrameVariant {
        when: when_words(&ring.when, resolver),
        standing,
        states,
        points,
        segments,
        openings,
        plates: plates.into_iter().map(|plate| model.plates.name(plate).to_owned()).collect(),
    }
}

/// What the first position is called at which a part may be fitted.
fn first_name(resolver: &Resolver<'_>, part: PartId) -> Option<String> {
    let history = resolver.history();
    let (position, _) = history.graph.places_of(part).into_iter().next()?;
    history.model.positions[position].name.clone()
}

/// The report as text: one screen if the variant is settled.
#[must_use]
pub fn frame_text(report: &FrameReport, style: Style) -> String {
    let width = style.width;
    let mut text = style.head(&format!("Frame {}, station {}: {}", report.frame, report.station, report.asked.line()));
    if let Some(title) = &report.title {
        text.push_str(&paragraph("", title, width));
    }
    if let Some(plane) = &report.plane {
        let told = "Girths are along the metal; clock angles and heights as seen looking forward.";
        text.push_str(&paragraph("", &format!("{} {told}", plane.words), width));
    }
    text.push('\n');
    if report.too_many {
        let told = "This frame has more than 64 variants: ask for its positions one by one.";
        text.push_str(&paragraph("", told, width));
    }
    let several = report.variants.len() > 1;
    for (index, variant) in report.variants.iter().enumerate() {
        if index > 0 {
            text.push('\n');
        }
        text.push_str(&variant_head(variant, several.then_some((index + 1, report.variants.len())), style));
        if !several {
            text.push_str(&report.because.text(width));
        }
        text.push('\n');
        text.push_str(&points_text(variant, width));
        text.push('\n');
        if report.shows_ordinates() {
            text.push_str(&ordinates::ordinates_text(report, variant, width));
            text.push('\n');
        }
        text.push_str(&segments_text(variant, &report.jigs, width));
    }
    if several {
        text.push('\n');
        text.push_str(&report.because.text(width));
        text.push_str("States are counts of distinct modification states, not likelihoods.\n");
    }
    for jig in &report.jigs {
        text.push('\n');
        text.push_str(&jig.summary(width));
    }
    for variant in &report.otherwise {
        let points: Vec<&str> = variant.points.iter().map(|point| point.name.as_str()).collect();
        let told = format!("{}; plates {}", points.join(" "), variant.plates.join(" "));
        text.push_str(&paragraph(&format!("Otherwise, {}: ", variant.when), &told, width));
    }
    text.push_str(&report.asked.remarks(width));
    text.push('\n');
    text
}

fn variant_head(variant: &FrameVariant, number: Option<(usize, usize)>, style: Style) -> String {
    let lead = number.map_or("Variant: ".to_owned(), |(number, of)| format!("Variant {number} of {of}: "));
    let segments = counted(variant.segments.len(), "segment", "segments");
    let settled = variant.standing == Both { firm: Say::Yes, held: Say::Yes };
    let standing = if settled { "; settled" } else { "" };
    let mut text = style.head(&format!("{lead}{}, {segments}{standing}.", variant.when));
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
        let told = format!("Under the firm claims {firm}; with the doubtful ones held {held}.");
        text.push_str(&paragraph("", &told, style.width));
    }
    text
}

fn points_text(variant: &FrameVariant, width: usize) -> String {
    let rows = variant.points.iter().map(|point| {
        vec![
            point.name.clone(),
            format!("{:6.2}", point.clock_deg),
            format!("{:9.2}", point.girth_mm),
            format!("{:8.3}", point.girth_in),
            point.what(),
        ]
    });
    let rows: Vec<Vec<String>> = rows.collect();
    table(&["Point", "Clock deg", "Girth mm", "Girth in", "What is there"], &rows, width)
}

fn segments_text(variant: &FrameVariant, jigs: &[JigReport], width: usize) -> String {
    let mut rows = Vec::new();
    for segment in &variant.segments {
        let issue = if segment.issues.is_empty() { "-".to_owned() } else { segment.issues.join("/") };
        let runs = format!("{}-{}", segment.from, segment.to);
        let plates = segment.plates.join(" ");
        let on = on_jig(&segment.plates, jigs);
        let name = segment.name.as_ref().unwrap_or(&segment.description).clone();
        rows.push(vec![segment.part.clone(), name, runs, issue, plates, on]);
    }
    for opening in &variant.openings {
        let runs = format!("{}-{}", opening.from, opening.to);
        let what = format!("{}, bridge", opening.name);
        let on = on_jig(&opening.plates, jigs);
        rows.push(vec![opening.bridged_by.join(" "), what, runs, String::new(), opening.plates.join(" "), on]);
    }
    table(&["Part", "What", "Runs", "Issue", "Plate", "On the jig"], &rows, width)
}

/// What the jigs have where these plates belong.
fn on_jig(plates: &[String], jigs: &[JigReport]) -> String {
    let mut told: Vec<String> = Vec::new();
    for station in jigs.iter().flat_map(|jig| &jig.stations) {
        if station.needed.iter().any(|need| plates.contains(&need.plate)) {
            let mark = station.mark.as_deref().map_or(String::new(), |mark| format!("{mark} "));
            told.push(format!("{mark}{}", station.in_short()));
        }
    }
    told.join(", ")
}

impl super::Verdicts for FrameReport {
    fn outcome(&self) -> super::Outcome {
        let frame = super::asked::outcome_of_both(self.standing.firm, self.standing.held);
        let settled = self.variants.len() == 1 || frame != super::Outcome::Settled;
        let jigs = self.jigs.iter().map(super::Verdicts::outcome).max().unwrap_or_default();
        jigs.max(if settled { frame } else { super::Outcome::Undecided })
    }
    fn not_read(&self) -> crate::model::Marks {
        crate::model::Marks::new()
    }
}
