//! Claims, and the doubtful claims that assumptions stand for.

use super::Context;
use super::conditions::modification_by_form;
use super::dossier::{Dossier, before_built};
use super::frames::splice_names;
use super::names::Listed;
use super::say::{Findings, listed};
use crate::finding::{Finding, Place, RecordRef};
use crate::ids::{ClaimId, EvidenceId, Id, ModId, PositionId, Table};
use crate::model::{Airframe, Claim, Model, PaperPlace, Statement, Unrecorded};
use crate::schema::{Policy, Standing};
use crate::{codes, schema};
use std::collections::BTreeSet;

/// A claim or an assumption behind its name.
enum WrittenClaim<'a> {
    Claim(RecordRef, &'a schema::Claim),
    Assumption(RecordRef, &'a schema::Assumption),
}

/// The dossier of one airframe, among those of all: a claim may name evidence of another one.
#[derive(Clone, Copy)]
pub(super) struct DossierAmongAll<'a> {
    pub(super) own: &'a Dossier<'a>,
    pub(super) all: &'a [Dossier<'a>],
}

/// The claims of an airframe, written ones first, and the assumptions about what is not recorded.
pub(super) fn lower(
    cx: &Context,
    model: &Model,
    airframe: &Airframe,
    dossiers: DossierAmongAll<'_>,
    out: &mut Findings,
) -> (Table<ClaimId, Claim>, Vec<Unrecorded>) {
    let dossier = dossiers.own;
    let claims = dossier.claims.iter().map(|(at, raw)| (raw.id.clone(), at.field("id"), WrittenClaim::Claim(*at, raw)));
    let assumptions = dossier.assumptions.iter();
    let assumptions = assumptions.map(|(at, raw)| (raw.id.clone(), at.field("id"), WrittenClaim::Assumption(*at, raw)));
    let names = Listed::collect(
        "claim or assumption",
        codes::NAME_USED_TWICE,
        codes::NAME_USED_TWICE,
        claims.chain(assumptions),
        out,
    );
    let mut table = Table::default();
    for (id, _, written) in names.iter() {
        if let WrittenClaim::Claim(record, raw) = written
            && let Some(claim) = claim(cx, model, airframe, dossiers, *record, raw, out)
        {
            table.insert(id, claim).expect("listed names are unique");
        }
    }
    let recorded = recorded(cx, &dossier.claims);
    let mut unrecorded = Vec::new();
    for (id, _, written) in names.iter() {
        if let WrittenClaim::Assumption(record, raw) = written {
            let assumed = assumed(cx, model, airframe, *record, raw, &recorded, out);
            for (name, claim) in assumed.claims {
                if table.insert(&name, claim).is_err() {
                    let message = format!("the claim `{name}` of the assumption `{id}` has the name of another claim");
                    let place = record.field("id");
                    out.add(
                        Finding::new(codes::NAME_USED_TWICE, message, place, "its claims are named after it")
                            .help("give the assumption another name"),
                    );
                }
            }
            unrecorded.extend(assumed.unrecorded);
        }
    }
    (table, unrecorded)
}

fn claim(
    cx: &Context,
    model: &Model,
    airframe: &Airframe,
    dossiers: DossierAmongAll<'_>,
    record: RecordRef,
    raw: &schema::Claim,
    out: &mut Findings,
) -> Option<Claim> {
    let says = statement(cx, model, &raw.says, &record.field("says"), out);
    let when = out.window(&raw.when, &record.field("when"));
    let early = when.as_ref().is_some_and(|when| before_built(airframe, when, &record.field("when"), out));
    let rests_on = rests_on(cx, airframe, dossiers, record, raw, out);
    let read_on = read_on(airframe, &rests_on, record, raw, out);
    let grade = rests_on.iter().map(|id| airframe.evidence[*id].grade).min();
    if early || grade.is_none() {
        out.leave_out(record.place());
        return None;
    }
    Some(Claim { record, says: says?, when: when?, rests_on, read_on, standing: raw.standing, grade, assumed: None })
}

fn rests_on(
    cx: &Context,
    airframe: &Airframe,
    dossiers: DossierAmongAll<'_>,
    record: RecordRef,
    raw: &schema::Claim,
    out: &mut Findings,
) -> Vec<EvidenceId> {
    let place = record.field("rests_on");
    if raw.rests_on.is_empty() {
        let message = format!("the claim `{}` rests on no evidence", raw.id);
        out.add(
            Finding::new(codes::RESTS_ON_NOTHING, message, place.clone(), "no evidence")
                .help("name the evidence, or write it as an `Assumption` with its reason"),
        );
    }
    out.named_twice(raw.rests_on.iter().enumerate().map(|(i, id)| (id.as_str(), place.item(i))));
    let mut found: Vec<EvidenceId> = Vec::new();
    for (item, id) in raw.rests_on.iter().enumerate() {
        let place = place.item(item);
        if let Some(id) = airframe.evidence.id(id) {
            if !found.contains(&id) {
                found.push(id);
            }
            continue;
        }
        // One that could not be read may be meant, whatever other airframes have of that name.
        if cx.lost.texts.iter().any(|text| text.may_be("Evidence") && text.mentions.name(id)) {
            out.leave_out(place);
            continue;
        }
        match dossiers.all.iter().find_map(|other| Some(other.evidence.get(other.evidence.index(id)?))) {
            Some((there, (_, evidence))) => {
                let (other, this) = (&evidence.airframe, &airframe.serial.text);
                let message = format!("the evidence `{id}` is of `{other}`, not of `{this}`");
                out.add(
                    Finding::new(codes::EVIDENCE_OF_ANOTHER, message, place, format!("a claim about `{this}`"))
                        .label(there.clone(), format!("in the register of `{other}`"))
                        .help(format!("name evidence of `{this}`, or enter the item in its register too")),
                );
            }
            // It has a record, of an airframe that is not known.
            None if cx.records.evidence.iter().any(|(_, evidence)| evidence.id == *id) => out.leave_out(place),
            None => {
                dossiers.own.evidence.find(id, &place, out);
            }
        }
    }
    found
}

/// Where on its evidence a claim is read.
fn read_on(
    airframe: &Airframe,
    rests_on: &[EvidenceId],
    record: RecordRef,
    raw: &schema::Claim,
    out: &mut Findings,
) -> Vec<(EvidenceId, PaperPlace)> {
    let mut found = Vec::new();
    for (index, spot) in raw.read_on.iter().enumerate() {
        let item = record.field("read_on").item(index);
        let named = spot.evidence.as_ref();
        let of = match (named, rests_on) {
            (Some(name), _) => airframe.evidence.id(name).filter(|id| rests_on.contains(id)),
            (None, [one]) => Some(*one),
            (None, _) => None,
        };
        match of {
            Some(id) => found
                .push((id, PaperPlace { file: spot.file.clone(), page: spot.page.clone(), place: spot.place.clone() })),
            // An item that was left out of the list has its finding there.
            None if named.is_some_and(|name| raw.rests_on.contains(name)) || raw.rests_on.is_empty() => {
                out.leave_out(item);
            }
            None => {
                let message = match named {
                    Some(name) => format!("the claim `{}` is read on `{name}` and does not rest on it", raw.id),
                    None => format!("the claim `{}` rests on several items, and one place names none of them", raw.id),
                };
                let place = if named.is_some() { item.field("evidence") } else { item };
                let items = listed(raw.rests_on.iter().map(String::as_str), "or");
                out.add(
                    Finding::new(codes::READ_ON_ANOTHER, message, place, "on which of them?")
                        .label(record.field("rests_on"), "rests on")
                        .help(format!("write `evidence: ` with {items}, or add the item to `rests_on`")),
                );
            }
        }
    }
    found
}

fn statement(
    cx: &Context,
    model: &Model,
    raw: &schema::Statement,
    place: &Place,
    out: &mut Findings,
) -> Option<Statement> {
    let argument = place.item(0);
    match raw {
        schema::Statement::Embodied(post) => {
            let (modification, by) = modification_by_form(cx, post, place, out)?;
            Some(Statement::Embodied(modification, by))
        }
        schema::Statement::NotEmbodied(name) => cx.names.modification(name, &argument, out).map(Statement::NotEmbodied),
        schema::Statement::Removed(name) => cx.names.modification(name, &argument, out).map(Statement::Removed),
        schema::Statement::SeenPart(position, part) => {
            seen_part(cx, model, position, part, "to have been seen", place, out)
        }
        schema::Statement::SeenNothing(position) => seen_nothing(cx, model, position, "to have been seen", place, out),
        schema::Statement::SeenSplice(frame, splice) => seen_splice(cx, model, frame, splice, true, place, out),
        schema::Statement::SeenNoSplice(frame, splice) => seen_splice(cx, model, frame, splice, false, place, out),
        schema::Statement::SeenPattern(number) => {
            cx.names.plates.find(number, &argument, out)?;
            out.taken(model.plates.id(number), &argument).map(Statement::SeenPattern)
        }
    }
}

/// What was seen, as the first candidate of the position that is this part; `how` says "to have been seen".
pub(super) fn seen_part(
    cx: &Context,
    model: &Model,
    position: &str,
    part: &str,
    how: &str,
    place: &Place,
    out: &mut Findings,
) -> Option<Statement> {
    let at = cx.names.positions.find(position, &place.item(0), out);
    let part_id = cx.names.part(part, &place.item(1), out);
    let (at, part_id) = (at?, part_id?);
    let (_, written) = cx.names.positions.get(at);
    let candidates = &written.raw.candidates;
    if !candidates.iter().any(|candidate| candidate.part == part) {
        // One of the candidates is misspelt, and is reported where it is written.
        if candidates.iter().any(|candidate| cx.names.parts.index(&candidate.part).is_none()) {
            out.leave_out(place.item(1));
            return None;
        }
        let candidates = listed(candidates.iter().map(|candidate| candidate.part.as_str()), "and");
        let message = format!("`{part}` is no candidate at `{position}`, where it is said {how}");
        out.add(
            Finding::new(codes::NOT_A_CANDIDATE, message, place.item(1), "no candidate there")
                .label(written.place.field("candidates"), format!("the candidates are {candidates}"))
                .help("correct the part or the position, or add the part as a candidate with its condition"),
        );
        return None;
    }
    let id: PositionId = out.taken(model.positions.id(position), &place.item(0))?;
    let index = model.positions[id].candidates.iter().position(|candidate| candidate.part == part_id);
    let index = out.taken(index, &place.item(1))?;
    Some(Statement::SeenAt(id, Some(index)))
}

pub(super) fn seen_nothing(
    cx: &Context,
    model: &Model,
    position: &str,
    how: &str,
    place: &Place,
    out: &mut Findings,
) -> Option<Statement> {
    let at = cx.names.positions.find(position, &place.item(0), out)?;
    let (_, written) = cx.names.positions.get(at);
    if written.raw.nothing_when.is_none() {
        let message = format!("`{position}` is said {how} empty, but the structure never leaves it empty");
        out.add(
            Finding::new(codes::NEVER_EMPTY, message, place.item(0), "never empty")
                .label(written.place.clone(), "no `nothing_when` here")
                .help("add `nothing_when` to the position; if the part was merely missing, remove the claim"),
        );
        return None;
    }
    let id = out.taken(model.positions.id(position), &place.item(0))?;
    out.taken(model.positions[id].nothing_when.as_ref(), &place.item(0))?;
    Some(Statement::SeenAt(id, None))
}

fn seen_splice(
    cx: &Context,
    model: &Model,
    frame: &str,
    splice: &str,
    seen: bool,
    place: &Place,
    out: &mut Findings,
) -> Option<Statement> {
    let at = cx.names.frames.find(frame, &place.item(0), out)?;
    let (_, (record, raw)) = cx.names.frames.get(at);
    // The faults in the frame's own names have their findings already.
    splice_names(*record, raw, &mut Findings::default()).beside(cx.lost, &["Frame"]).find(
        splice,
        &place.item(1),
        out,
    )?;
    let id = out.taken(model.frames.id(frame), &place.item(0))?;
    let index = model.frames[id].splice_points.iter().position(|point| point.name == splice);
    let index = out.taken(index, &place.item(1))?;
    Some(Statement::SeenSplice(id, index, seen))
}

/// The modifications that a written claim names; one that was seen is not named.
fn recorded(cx: &Context, claims: &[(RecordRef, &schema::Claim)]) -> BTreeSet<ModId> {
    let names = claims.iter().filter_map(|(_, raw)| match &raw.says {
        schema::Statement::Embodied(post) => Some(&post.modification),
        schema::Statement::NotEmbodied(name) | schema::Statement::Removed(name) => Some(name),
        schema::Statement::SeenPart(..)
        | schema::Statement::SeenNothing(_)
        | schema::Statement::SeenSplice(..)
        | schema::Statement::SeenNoSplice(..)
        | schema::Statement::SeenPattern(_) => None,
    });
    names.filter_map(|name| cx.names.mods.index(name)).map(ModId::from_index).collect()
}

/// What an assumption stands for: claims, each with its name; and itself, if it is about what is not recorded.
#[derive(Default)]
struct AssumedClaims {
    claims: Vec<(String, Claim)>,
    unrecorded: Option<Unrecorded>,
}

fn assumed(
    cx: &Context,
    model: &Model,
    airframe: &Airframe,
    record: RecordRef,
    raw: &schema::Assumption,
    recorded: &BTreeSet<ModId>,
    out: &mut Findings,
) -> AssumedClaims {
    let id = &raw.id;
    let place = record.field("assumes");
    let says = match &raw.assumes {
        Policy::That(statement) => self::statement(cx, model, statement, &place.item(0), out),
        Policy::UnrecordedNotEmbodied => {
            let mut open = Unrecorded::open(model, &airframe.serial, recorded);
            if open.next().is_none() && !cx.lost.may_be("Modification") {
                let message = format!("the assumption `{id}` assumes nothing of `{}`", airframe.serial.text);
                out.add(
                    Finding::new(codes::ASSUMES_NOTHING, message, place, "nothing is left to assume")
                        .help("remove the assumption"),
                );
            }
            None
        }
    };
    let Some(when) = out.window(&raw.when, &record.field("when")) else { return AssumedClaims::default() };
    if before_built(airframe, &when, &record.field("when"), out) {
        return AssumedClaims::default();
    }
    if let Policy::That(_) = &raw.assumes {
        let (when, assumed) = (when, Some(raw.reason.clone()));
        let (rests_on, standing, grade) = (Vec::new(), Standing::Doubtful, None);
        let claim =
            says.map(|says| Claim { record, says, when, rests_on, standing, read_on: Vec::new(), grade, assumed });
        return AssumedClaims {
            claims: claim.map(|claim| (id.clone(), claim)).into_iter().collect(),
            unrecorded: None,
        };
    }
    let assumption = Unrecorded { name: id.clone(), record, when, reason: raw.reason.clone() };
    let claims = Unrecorded::open(model, &airframe.serial, recorded).map(|m| assumption.claim(model, m)).collect();
    AssumedClaims { claims, unrecorded: Some(assumption) }
}
