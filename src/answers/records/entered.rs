//! The dossiers as they were taken in: the shape in which other programs get the input of every answer.
//!
//! What is given twice is given for a purpose: a serial set as the ranges that it comes to and, where a record says how
//! it was written, as written, so that another program can work it out again.

use super::says::{Says, When};
use crate::finding::{Place, PlaceStep, RecordRef};
use crate::ids::{ModId, PartId};
use crate::model::{Airframe, Claim, Model, Position};
use crate::quantity::serial::SerialSet;
use crate::quantity::{Day, Serial, Window};
use crate::schema;
use crate::schema::{Grade, Policy, Record, Source, Standing};
use serde::Serialize;
use std::collections::BTreeMap;

/// The records behind a model, where there are some.
type RecordsByRef<'a> = BTreeMap<RecordRef, &'a Record>;

/// Everything on which states, variants, drawing issues and counts rest, as it was taken in. What could not be
/// taken in is not here.
///
/// Days are ISO dates (`1946-09-02`), `null` at the open end of a window; modifications, parts and positions go by
/// their names. Lists are in the natural order of names, except where the dossier's own order means something.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entered {
    /// What the type is called.
    pub type_name: Option<String>,
    /// The part that is the whole airframe.
    pub airframe_part: Option<String>,
    /// Serial blocks, by series and first serial.
    pub blocks: Vec<EnteredBlock>,
    /// Modifications that are embodied on their own: `M014`, or `M014/A` for a named part of one.
    pub modifications: Vec<EnteredMod>,
    /// One-of groups.
    pub one_ofs: Vec<EnteredOneOf>,
    /// Sheets of the drawing register.
    pub drawings: Vec<EnteredDrawing>,
    /// Part numbers.
    pub parts: Vec<EnteredPart>,
    /// The structure, position by position.
    pub positions: Vec<EnteredPosition>,
    /// Frames, as far as a splice that was seen speaks of them.
    pub frames: Vec<EnteredFrame>,
    /// Jig-plate definitions, as far as a pattern that was seen speaks of them.
    pub plates: Vec<EnteredPlate>,
    /// Airframe dossiers.
    pub airframes: Vec<EnteredAirframe>,
}

/// A serial block.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredBlock {
    /// Its first serial.
    pub first: Serial,
    /// Its last serial.
    pub last: Serial,
    /// The factory.
    pub factory: String,
    /// Pairs of a serial's number and its line number; empty if the block gives none.
    pub lines: Vec<(u32, u32)>,
}

/// A modification.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredMod {
    /// Its number.
    pub number: String,
    /// What it does.
    pub title: String,
    /// What must be embodied by the time that it is.
    pub requires: Vec<String>,
    /// What is never embodied together with it, as far as this side says so.
    pub excludes: Vec<String>,
    /// In whose place it serves.
    pub supersedes: Vec<String>,
    /// The production form.
    pub production: Option<EnteredProduction>,
    /// The retrospective form.
    pub retrospective: Option<EnteredRetrospective>,
}

/// A production form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredProduction {
    /// The serials that it covers.
    pub covers: SerialSet,
    /// How the dossier says so; `null` if no record stands behind it.
    pub written: Option<WrittenProduction>,
}

/// A production form as written. A serial is covered if one of the first three names it and the last does not.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WrittenProduction {
    /// Cut-in serials: each with every later serial of its series.
    pub from: Vec<String>,
    /// Cut-ins by factory and line number: each with every later number of that factory's line.
    pub line: Vec<(String, u32)>,
    /// Serials and ranges.
    pub ranges: Vec<String>,
    /// Serials and ranges that are excepted.
    pub except: Vec<String>,
}

/// A retrospective form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredRetrospective {
    /// The date of the leaflet. Where it is not known to the day, only its earliest day binds.
    pub leaflet_date: Window,
    /// The serials that it may be embodied on; `null`: all.
    pub eligible: Option<SerialSet>,
    /// How the dossier says so; `null` if no record stands behind it.
    pub written: Option<WrittenRetrospective>,
}

/// A retrospective form's serials as written.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WrittenRetrospective {
    /// Serials and ranges; `null`: all.
    pub eligible: Option<Vec<String>>,
    /// Serials and ranges that are excepted.
    pub except: Vec<String>,
}

/// A one-of group.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredOneOf {
    /// What it is called.
    pub name: String,
    /// Its members.
    pub members: Vec<String>,
    /// From when on the rule holds. Where it is not known to the day, only its latest day binds.
    pub introduced: Window,
    /// Whether exactly one must be embodied; else at most one.
    pub exactly: bool,
}

/// A sheet of the drawing register.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredDrawing {
    /// Number and sheet.
    pub sheet: String,
    /// What it shows.
    pub title: String,
    /// Its issues, oldest first.
    pub issues: Vec<EnteredIssue>,
}

/// An issue of a drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredIssue {
    /// The issue letter or number.
    pub issue: String,
    /// When it was issued.
    pub date: Window,
    /// The modification that raised it.
    pub raised_by: Option<String>,
    /// Whether it is interchangeable with the issue before; `null`: not recorded.
    pub interchangeable: Option<bool>,
}

/// A part number.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredPart {
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// The drawing sheet.
    pub drawing: Option<String>,
    /// Made, bought or standard.
    pub source: Option<Source>,
}

/// A position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredPosition {
    /// Assembly and find number (`27-1400/20`).
    pub position: String,
    /// The assembly.
    pub assembly: String,
    /// What may be fitted, in the order written.
    pub candidates: Vec<EnteredCandidate>,
    /// When nothing is fitted; `null`: never.
    pub nothing_when: Option<When>,
}

/// A part that may be fitted at a position.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredCandidate {
    /// The part.
    pub part: String,
    /// How many.
    pub quantity: u32,
    /// When it is fitted.
    pub when: When,
}

/// A frame.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredFrame {
    /// Its name.
    pub frame: String,
    /// Each segment's part with the splice points at its two ends.
    pub segments: Vec<(String, String, String)>,
}

/// A jig-plate definition.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredPlate {
    /// The plate number.
    pub plate: String,
    /// The parts that it locates.
    pub locates: Vec<String>,
}

/// An airframe dossier.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredAirframe {
    /// Its serial.
    pub serial: Serial,
    /// When it was built.
    pub built: Window,
    /// The evidence register.
    pub evidence: Vec<EnteredEvidence>,
    /// Claims, and what the assumptions come to as claims.
    pub claims: Vec<EnteredClaim>,
    /// Assumptions as written.
    pub assumptions: Vec<EnteredAssumption>,
    /// Named build states.
    pub build_states: Vec<EnteredBuildState>,
}

/// An item of the evidence register.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredEvidence {
    /// Its name.
    pub id: String,
    /// What kind of thing it is.
    pub kind: String,
    /// What it says on it.
    pub reference: String,
    /// Its own date.
    pub date: Option<Window>,
    /// How far it is to be trusted, `A` the strongest.
    pub grade: Grade,
}

/// A claim.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredClaim {
    /// Its name.
    pub id: String,
    /// What it says.
    pub says: Says,
    /// When.
    pub when: Window,
    /// The evidence that it rests on.
    pub rests_on: Vec<String>,
    /// Firm or doubtful.
    pub standing: Standing,
    /// The best grade of its evidence; `null`, the weakest, if it was assumed.
    pub grade: Option<Grade>,
    /// Why it was assumed, if it was.
    pub assumed: Option<String>,
}

/// An assumption as written.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredAssumption {
    /// Its name.
    pub id: String,
    /// `unrecorded_not_embodied`: retrospective modifications of which the claims say nothing were not embodied;
    /// `statement`: what the claim of the same name says.
    pub assumes: &'static str,
    /// As of when.
    pub when: Option<Window>,
    /// Why it is made.
    pub reason: String,
}

/// A named build state.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnteredBuildState {
    /// Its name.
    pub name: String,
    /// The date that it rebuilds to.
    pub date: Day,
    /// What the workshop adds on purpose.
    pub add: Vec<String>,
    /// What it leaves out on purpose.
    pub leave_out: Vec<String>,
}

impl Entered {
    /// What a model holds. The records give the forms as written; a model that was made without any has none to give.
    #[must_use]
    pub fn of(model: &Model, records: &[(RecordRef, Record)]) -> Entered {
        let records: RecordsByRef<'_> = records.iter().map(|(at, record)| (*at, record)).collect();
        let airframe_part = model.type_of.as_ref().map(|type_of| model.parts.name(type_of.airframe).to_owned());
        Entered {
            type_name: model.type_of.as_ref().map(|type_of| type_of.name.clone()),
            airframe_part,
            blocks: blocks(model),
            modifications: model.mods.ids().map(|m| modification(model, m, &records)).collect(),
            one_ofs: one_ofs(model),
            drawings: drawings(model),
            parts: parts(model),
            positions: model.positions.iter().map(|(_, name, p)| position(model, name, p)).collect(),
            frames: frames(model),
            plates: plates(model),
            airframes: model
                .airframes
                .iter()
                .map(|(_, _, airframe)| self::airframe(model, airframe, &records))
                .collect(),
        }
    }
}

fn blocks(model: &Model) -> Vec<EnteredBlock> {
    let blocks = model.blocks.iter().map(|block| EnteredBlock {
        first: block.first.clone(),
        last: block.last.clone(),
        factory: block.factory.clone(),
        lines: block.lines.iter().map(|(number, line)| (*number, *line)).collect(),
    });
    blocks.collect()
}

fn modification(model: &Model, m: ModId, records: &RecordsByRef<'_>) -> EnteredMod {
    let entered = &model.mods[m];
    let named = |list: &[(ModId, Place)]| list.iter().map(|(other, _)| model.mods.name(*other).to_owned()).collect();
    EnteredMod {
        number: model.mods.name(m).to_owned(),
        title: entered.title.clone(),
        requires: named(&entered.requires),
        excludes: named(&entered.excludes),
        supersedes: named(&entered.supersedes),
        production: entered.production.as_ref().map(|form| EnteredProduction {
            covers: form.covers.clone(),
            written: written(records, &form.place, |whole| whole.production.as_ref(), |part| part.production.as_ref())
                .map(written_production),
        }),
        retrospective: entered.retrospective.as_ref().map(|form| EnteredRetrospective {
            leaflet_date: form.leaflet_date.clone(),
            eligible: form.eligible.clone(),
            written: written(
                records,
                &form.place,
                |whole| whole.retrospective.as_ref(),
                |part| part.retrospective.as_ref(),
            )
            .map(|raw| WrittenRetrospective { eligible: raw.eligible.clone(), except: raw.except.clone() }),
        }),
    }
}

/// A form as the record at its place has it: that of the whole modification, or of one of its parts.
fn written<'a, T>(
    records: &RecordsByRef<'a>,
    place: &Place,
    of_whole: impl Fn(&'a schema::Modification) -> Option<&'a T>,
    of_part: impl Fn(&'a schema::ModificationPart) -> Option<&'a T>,
) -> Option<&'a T> {
    let Place::Record(at, path) = place else { return None };
    let Record::Modification(whole) = *records.get(at)? else { return None };
    match path[..] {
        [PlaceStep::Field("parts"), PlaceStep::Item(index), ..] => of_part(whole.parts.get(index)?),
        _ => of_whole(whole),
    }
}

fn written_production(raw: &schema::Production) -> WrittenProduction {
    WrittenProduction {
        from: raw.from.clone(),
        line: raw.line.iter().map(|cut_in| (cut_in.factory.clone(), cut_in.number)).collect(),
        ranges: raw.ranges.clone(),
        except: raw.except.clone(),
    }
}

fn one_ofs(model: &Model) -> Vec<EnteredOneOf> {
    let groups = model.one_ofs.iter().map(|group| EnteredOneOf {
        name: group.name.clone(),
        members: group.members.iter().map(|m| model.mods.name(*m).to_owned()).collect(),
        introduced: group.introduced.clone(),
        exactly: group.exactly,
    });
    groups.collect()
}

fn drawings(model: &Model) -> Vec<EnteredDrawing> {
    let drawings = model.drawings.iter().map(|(_, sheet, drawing)| {
        let issues = drawing.issues.iter().map(|issue| EnteredIssue {
            issue: issue.issue.clone(),
            date: issue.date.clone(),
            raised_by: issue.raised_by.map(|m| model.mods.name(m).to_owned()),
            interchangeable: issue.interchangeable,
        });
        EnteredDrawing { sheet: sheet.to_owned(), title: drawing.title.clone(), issues: issues.collect() }
    });
    drawings.collect()
}

fn parts(model: &Model) -> Vec<EnteredPart> {
    let parts = model.parts.iter().map(|(_, name, part)| EnteredPart {
        part: name.to_owned(),
        description: part.description.clone(),
        drawing: part.drawing.map(|drawing| model.drawings.name(drawing).to_owned()),
        source: part.source,
    });
    parts.collect()
}

fn position(model: &Model, name: &str, position: &Position) -> EnteredPosition {
    let candidates = position.candidates.iter().map(|candidate| EnteredCandidate {
        part: model.parts.name(candidate.part).to_owned(),
        quantity: candidate.quantity,
        when: When::of(model, &candidate.when),
    });
    EnteredPosition {
        position: name.to_owned(),
        assembly: model.parts.name(position.assembly).to_owned(),
        candidates: candidates.collect(),
        nothing_when: position.nothing_when.as_ref().map(|when| When::of(model, when)),
    }
}

fn frames(model: &Model) -> Vec<EnteredFrame> {
    let frames = model.frames.iter().map(|(_, name, frame)| {
        let point = |index: usize| frame.splice_points[index].name.clone();
        let segments = frame.segments.iter();
        let segments = segments.map(|s| (model.parts.name(s.part).to_owned(), point(s.from), point(s.to)));
        EnteredFrame { frame: name.to_owned(), segments: segments.collect() }
    });
    frames.collect()
}

fn plates(model: &Model) -> Vec<EnteredPlate> {
    let named = |parts: &[PartId]| parts.iter().map(|part| model.parts.name(*part).to_owned()).collect();
    let plates = model.plates.iter();
    plates.map(|(_, name, plate)| EnteredPlate { plate: name.to_owned(), locates: named(&plate.locates) }).collect()
}

fn airframe(model: &Model, airframe: &Airframe, records: &RecordsByRef<'_>) -> EnteredAirframe {
    let evidence = airframe.evidence.iter().map(|(_, id, item)| EnteredEvidence {
        id: id.to_owned(),
        kind: item.kind.clone(),
        reference: item.reference.clone(),
        date: item.date.clone(),
        grade: item.grade,
    });
    let named = |mods: &[(ModId, Place, String)]| mods.iter().map(|(m, ..)| model.mods.name(*m).to_owned()).collect();
    let states = airframe.build_states.iter().map(|(_, name, state)| EnteredBuildState {
        name: name.to_owned(),
        date: state.date,
        add: named(&state.add),
        leave_out: named(&state.leave_out),
    });
    let assumptions = records.values().filter_map(|record| {
        let Record::Assumption(raw) = record else { return None };
        (raw.airframe == airframe.serial.text).then(|| assumption(raw))
    });
    EnteredAirframe {
        serial: airframe.serial.clone(),
        built: airframe.built.clone(),
        evidence: evidence.collect(),
        claims: airframe.claims.iter().map(|(_, id, c)| claim(model, airframe, id, c)).collect(),
        assumptions: assumptions.collect(),
        build_states: states.collect(),
    }
}

fn claim(model: &Model, airframe: &Airframe, id: &str, claim: &Claim) -> EnteredClaim {
    EnteredClaim {
        id: id.to_owned(),
        says: Says::of(model, &claim.says),
        when: claim.when.clone(),
        rests_on: claim.rests_on.iter().map(|item| airframe.evidence.name(*item).to_owned()).collect(),
        standing: claim.standing,
        grade: claim.grade,
        assumed: claim.assumed.clone(),
    }
}

fn assumption(raw: &schema::Assumption) -> EnteredAssumption {
    EnteredAssumption {
        id: raw.id.clone(),
        assumes: match raw.assumes {
            Policy::UnrecordedNotEmbodied => "unrecorded_not_embodied",
            Policy::That(_) => "statement",
        },
        when: Window::parse(&raw.when).ok(),
        reason: raw.reason.clone(),
    }
}
