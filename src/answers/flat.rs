//! A part laid flat, and two parts compared.

use super::figures::gauges_words;
use super::mark_text;
use crate::finding::{Place, PlaceStep};
use crate::ids::PartId;
use crate::layout::{Page, PageTable};
use crate::metal::{deduction, developed, edge_strain, published_radius, setback_factor, strain_percent};
use crate::model::{Curve, CurvedFlange, Loss, Marks, Model};
use crate::quantity::{BendRadii, Length, Sourced};
use crate::words::length_text;
use serde::Serialize;

/// A part laid flat. Lengths are in inches, angles in degrees.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlatReport {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// The drawing.
    pub drawing: Option<String>,
    /// The material specification.
    pub material: Option<String>,
    /// The alloy and temper in which it is bent, as published tables name it.
    pub bent_in: Option<String>,
    /// The thickness as written.
    pub thickness: String,
    /// The thickness.
    pub thickness_in: f64,
    /// The legs of the section, to mould lines.
    pub legs: Vec<f64>,
    /// The flats between bend tangent lines.
    pub flats: Vec<f64>,
    /// The bends.
    pub bends: Vec<FlatBendRow>,
    /// Developed width of the section, by the empirical allowance.
    pub developed_width: f64,
    /// The same by the mid-plane allowance.
    pub developed_width_mid_plane: f64,
    /// What is left for trimming at each of the two free edges.
    pub trim: f64,
    /// Width of the blank: the developed width and both trim allowances.
    pub blank_width: f64,
    /// Flanges that follow a curve.
    pub flanges: Vec<FlangeRow>,
    /// What a reader should know of these figures.
    pub remarks: Vec<String>,
    /// What was not read and bears on which drawing is the part's, or on the published range.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A bend.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlatBendRow {
    /// How far the sheet is bent from flat.
    pub angle: f64,
    /// The inside radius.
    pub radius: f64,
    /// The allowance, empirical.
    pub allowance: f64,
    /// The allowance along the middle of the sheet.
    pub allowance_mid_plane: f64,
    /// `K`, the tangent of half the angle.
    pub setback_factor: f64,
    /// The setback.
    pub setback: f64,
    /// Two setbacks less the allowance.
    pub deduction: f64,
    /// The published range of minimum radii; `null`: none is published for this material and thickness.
    pub published: Option<PublishedRow>,
    /// What was not read and bears on the published range.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A published range of minimum radii.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PublishedRow {
    /// Its low end.
    pub low: f64,
    /// Its high end.
    pub high: f64,
    /// `below-the-range`, `within-the-range` or `above-the-range`.
    #[serde(serialize_with = "crate::layout::json::hyphened")]
    pub standing: &'static str,
    /// Where it was published.
    pub source: String,
    /// Whether the label of the row was detached in the copy that was read.
    pub detached: bool,
}

/// A flange that follows a curve.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlangeRow {
    /// What it is called.
    pub name: String,
    /// Its width on the flat.
    pub width: f64,
    /// How far it is turned.
    pub angle: f64,
    /// Its runs, in order along its length.
    pub runs: Vec<RunRow>,
}

/// A run of a flange.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunRow {
    /// Where it starts along the bend line.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// `straight`, `stretch` or `shrink`.
    pub curve: &'static str,
    /// The radius of the bend line.
    pub radius: Option<f64>,
    /// The logarithmic strain along the free edge.
    pub strain: f64,
    /// The same as a change of length in per cent.
    pub strain_percent: f64,
}

/// What was not read of a part and bears on how it lies flat; what bears on its drawing alone is a remark on the report.
#[must_use]
pub fn not_read_of_flat(model: &Model, part: PartId) -> Marks {
    model.losses.marks(|loss| loss.touches.parts.has(part) && !elsewhere(loss))
}

/// Whether a loss is of which drawing is a part's.
fn is_of_drawing(loss: &Loss) -> bool {
    let Place::Record(_, path) = &loss.place else { return false };
    !loss.whole && matches!(path.first(), Some(PlaceStep::Field("drawing" | "sheet")))
}

/// Whether a loss is of what has no bearing on how a part lies flat.
fn elsewhere(loss: &Loss) -> bool {
    let Place::Record(_, path) = &loss.place else { return false };
    let field =
        |step: &PlaceStep| matches!(step, PlaceStep::Field("drawing" | "sheet" | "opposite_of" | "mass" | "expansion"));
    !loss.whole && path.first().is_some_and(field)
}

/// A part laid flat; `None` if the dossier gives it no bends.
#[must_use]
pub fn flat_report(model: &Model, part: PartId) -> Option<FlatReport> {
    let entry = &model.parts[part];
    let (flat, thickness) = (entry.flat.as_ref()?, entry.thickness.as_ref()?);
    let legs: Vec<f64> = flat.legs.iter().map(Length::inches).collect();
    let bent: Vec<(f64, f64)> = flat.bends.iter().map(|bend| (bend.angle, bend.radius.inches())).collect();
    let laid = developed(&legs, &bent, thickness.inches());
    let trim = flat.trim.as_ref().map_or(0.0, Length::inches);
    let material = flat.bent_in.as_deref();
    let radii = model.config.radii.known();
    let range = radii
        .zip(material)
        .and_then(|(radii, material)| Some((&radii.source, published_radius(radii, material, thickness)?)));
    // Where no range is asked for, none is missing.
    let asked = material.is_some() && !bent.is_empty();
    let no_radii = if asked { model.losses.of_table("BendRadii") } else { Marks::new() };
    let bends = bent.iter().enumerate().map(|(index, (angle, radius))| FlatBendRow {
        angle: *angle,
        radius: *radius,
        allowance: laid.allowances[index],
        allowance_mid_plane: laid.allowances_mid_plane[index],
        setback_factor: setback_factor(*angle),
        setback: laid.setbacks[index],
        deduction: deduction(*angle, *radius, thickness.inches()),
        published: range.map(|(source, range)| {
            let [low, high] = [range.low, range.high].map(|times| times * thickness.inches());
            let standing = match radius {
                radius if *radius < low => "below the range",
                radius if *radius > high => "above the range",
                _ => "within the range",
            };
            PublishedRow { low, high, standing, source: source.clone(), detached: range.detached }
        }),
        not_read: no_radii.clone(),
    });
    let mut report = FlatReport {
        part: model.parts.name(part).to_owned(),
        description: entry.description.clone(),
        drawing: entry.drawing.map(|drawing| model.drawings.name(drawing).to_owned()),
        material: entry.material.clone(),
        bent_in: flat.bent_in.clone(),
        thickness: thickness.text.clone(),
        thickness_in: thickness.inches(),
        bends: bends.collect(),
        flats: laid.flats,
        legs,
        developed_width: laid.width,
        developed_width_mid_plane: laid.width_mid_plane,
        trim,
        blank_width: laid.width + 2.0 * trim,
        flanges: flat.flanges.iter().map(flange).collect(),
        remarks: Vec::new(),
        not_read: model.losses.marks(|loss| loss.touches.parts.has(part) && is_of_drawing(loss)),
    };
    report.not_read.extend(&no_radii);
    report.remarks = remarks(&report, model, &no_radii);
    Some(report)
}

fn flange(flange: &CurvedFlange) -> FlangeRow {
    let width = flange.width.inches();
    let mut at = 0.0;
    let runs = flange.runs.iter().map(|run| {
        let from = at;
        at += run.length.inches();
        let (curve, radius) = match &run.curve {
            Curve::Straight => ("straight", None),
            Curve::Stretch(radius) => ("stretch", Some(radius.inches())),
            Curve::Shrink(radius) => ("shrink", Some(radius.inches())),
        };
        let strain = radius.map_or(0.0, |radius| edge_strain(radius, width, flange.angle, curve == "stretch"));
        RunRow { from, to: at, curve, radius, strain, strain_percent: strain_percent(strain) }
    });
    FlangeRow { name: flange.name.clone(), width, angle: flange.angle, runs: runs.collect() }
}

/// What is said of the published radii: where they come from, or why none were checked.
fn radii_words(report: &FlatReport, radii: Option<&Sourced<BendRadii>>, not_read: &Marks) -> String {
    let thickness = length_text(&report.thickness);
    let Some(material) = report.bent_in.as_deref() else {
        return "The dossier names no published alloy and temper: no minimum radius was checked.".to_owned();
    };
    let Some(radii) = radii else {
        return format!("Whether a minimum radius is published for it is not known: {}.", mark_text(not_read));
    };
    let Some(range) = report.bends.iter().find_map(|bend| bend.published.as_ref()) else {
        return format!("No minimum radius for {material} at {thickness} is in {}: none was checked.", radii.source);
    };
    let note = radii.note.as_ref().map(|note| format!(" ({note})")).unwrap_or_default();
    let mut text = format!(
        "Minimum radii: {}, {material} at {thickness}, {:.3} to {:.3} in, for bends of 90 degrees{note}; advice, the drawing \
         and the material specification decide.",
        range.source, range.low, range.high
    );
    if range.detached {
        text.push_str(" The row was assigned by its order: its label was detached in the copy read.");
    }
    text
}

fn remarks(report: &FlatReport, model: &Model, no_radii: &Marks) -> Vec<String> {
    let mut sentences = Vec::new();
    if !report.bends.is_empty() {
        sentences.push(radii_words(report, model.config.radii.known(), no_radii));
        sentences.push("Allowance: (0.01743 R + 0.0078 T) A, FAA-H-8083-31; not rounded on the way.".to_owned());
    }
    sentences.extend(gauges_words(&model.config, [&*report.thickness]));
    if report.flats.iter().any(|flat| *flat < 0.0) {
        sentences.push(
            "A flat comes out below nothing: the bends of a leg run into each other. Check the section.".to_owned(),
        );
    }
    if !report.flanges.is_empty() {
        sentences.push(
            "Strain along the free edge: geometry about one axis, without thinning or spring-back; no published limit is \
             held for it."
                .to_owned(),
        );
    }
    sentences
}

/// One part laid flat, or two compared, as text.
#[must_use]
pub fn flat_page(report: &FlatReport, other: Option<&FlatReport>) -> Page {
    let mut page = one(report);
    if let Some(other) = other {
        page.gap();
        page.append(one(other));
        page.gap();
        page.table(compared(report, other));
    }
    let mut unique: Vec<&String> = Vec::new();
    for remark in report.remarks.iter().chain(other.iter().flat_map(|other| &other.remarks)) {
        if !unique.contains(&remark) {
            unique.push(remark);
        }
    }
    page.gap();
    for remark in unique {
        page.say(remark);
    }
    page
}

/// Inches to three decimals, and millimetres to two.
fn both(inches: f64) -> String {
    format!("{inches:.3} in ({:.2} mm)", inches * 25.4)
}

fn one(report: &FlatReport) -> Page {
    let stuff = [report.material.clone(), Some(length_text(&report.thickness))];
    let stuff: Vec<String> = stuff.into_iter().flatten().collect();
    let bent = report.bent_in.as_ref().map(|bent| format!(", bent in {bent}")).unwrap_or_default();
    let mut page =
        Page::titled(format!("Flat pattern of {} {}: {}{bent}", report.part, report.description, stuff.join(" ")));
    if !report.bends.is_empty() {
        type NumberedBend<'a> = (usize, &'a FlatBendRow);
        let bends: Vec<NumberedBend<'_>> = (1..).zip(&report.bends).collect();
        let range = |(_, bend): &NumberedBend<'_>| match &bend.published {
            Some(range) => range.standing.to_owned(),
            None if bend.not_read.is_empty() => "none held".to_owned(),
            None => mark_text(&bend.not_read),
        };
        page.gap();
        page.table(
            PageTable::of(&bends)
                .words("Bend", |(number, _)| number.to_string())
                .figures("Deg", |(_, bend)| bend.angle.to_string())
                .figures("Radius", |(_, bend)| format!("{:.3}", bend.radius))
                .unit("in")
                .figures("Setback", |(_, bend)| format!("{:.3}", bend.setback))
                .unit("in")
                .figures("Allowance", |(_, bend)| format!("{:.4}", bend.allowance))
                .unit("in")
                .figures("Deduction", |(_, bend)| format!("{:.4}", bend.deduction))
                .unit("in")
                .words("Published range", range),
        );
    }
    let list = |values: &[f64]| values.iter().map(|value| format!("{value:.3}")).collect::<Vec<_>>().join(", ");
    page.item("Legs ", format!("to mould lines {} in; flats {} in", list(&report.legs), list(&report.flats)));
    let width = format!(
        "{}; {:.3} in by the mid-plane allowance",
        both(report.developed_width),
        report.developed_width_mid_plane
    );
    page.say(format!("Developed width {width}"));
    if report.trim > 0.0 {
        let blank =
            format!("Blank {}, with {:.3} in for trimming at each free edge", both(report.blank_width), report.trim);
        page.say(&blank);
    }
    for flange in &report.flanges {
        page.heading(format!("Flange {}, {:.3} in wide, turned {} deg", flange.name, flange.width, flange.angle));
        page.table(
            PageTable::of(&flange.runs)
                .words("Along", |run| format!("{:.3} to {:.3}", run.from, run.to))
                .unit("in")
                .words("Curve", |run| run.curve.to_owned())
                .figures("Radius", |run| run.radius.map_or("-".to_owned(), |radius| format!("{radius:.3}")))
                .unit("in")
                .figures("Strain", |run| format!("{:+.4}", run.strain))
                .figures("Length", |run| format!("{:+.1} %", run.strain_percent)),
        );
    }
    page
}

fn compared(a: &FlatReport, b: &FlatReport) -> PageTable {
    let mut rows: Vec<[String; 4]> = Vec::new();
    let mut row = |what: &str, first: String, second: String| {
        let same = if first == second { "stays" } else { "differs" };
        rows.push([what.to_owned(), first, second, same.to_owned()]);
    };
    let list = |values: Vec<String>| if values.is_empty() { "none".to_owned() } else { values.join(", ") };
    let lengths = |values: &[f64]| list(values.iter().map(|value| format!("{value:.3}")).collect());
    row("Thickness", length_text(&a.thickness), length_text(&b.thickness));
    row("Legs in", lengths(&a.legs), lengths(&b.legs));
    let bends = |report: &FlatReport| {
        list(report.bends.iter().map(|bend| format!("{} deg R {:.3}", bend.angle, bend.radius)).collect())
    };
    row("Bends", bends(a), bends(b));
    row("Flats in", lengths(&a.flats), lengths(&b.flats));
    row("Developed in", format!("{:.3}", a.developed_width), format!("{:.3}", b.developed_width));
    row("Blank in", format!("{:.3}", a.blank_width), format!("{:.3}", b.blank_width));
    let flanges = |report: &FlatReport| {
        let words = report.flanges.iter().map(|flange| {
            let runs = flange.runs.iter().map(|run| format!("{} {:+.1} %", run.curve, run.strain_percent));
            format!("{} {:.3}: {}", flange.name, flange.width, runs.collect::<Vec<_>>().join(", "))
        });
        list(words.collect())
    };
    row("Flanges", flanges(a), flanges(b));
    PageTable::made(["Compared", a.part.as_str(), b.part.as_str(), ""], rows)
}

impl super::Verdicts for FlatReport {
    fn outcome(&self) -> super::Outcome {
        super::Outcome::Settled
    }
    fn not_read(&self) -> Marks {
        self.not_read.clone()
    }
}
