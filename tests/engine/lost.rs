//! What cannot be read: whatever it says, an answer holds, or says that it is not known.
//!
//! A small type is written down as text with a piece of it illegible, or with one character struck out. The piece may say
//! anything that makes a sound type of it: each such *completion* drawn is judged by the reference, and no answer of the
//! engine about the text may differ from that about a completion.

#![expect(clippy::wildcard_enum_match_arm, reason = "a piece says something in some kinds of record only")]

use crate::agreement::{as_supposed, best_repairs, compare_questions, firm, named, suppositions, table, truth};
use crate::reference::{Reference, World, fitted, form_of, has, holds, is_in};
use crate::small::{
    Dice, assume, assumption, claim, condition, date, group_date, model, modification, nest_some, on, position, record,
};
use crate::small::{serials, unrecorded, widen, window};
use crate::written::{MODS, Of, PARTS, Piece, Spot, Written, files, position_name};
use modstate::check::CheckScope;
use modstate::codes;
use modstate::graph::Graph;
use modstate::history::{Supposition, is_in as embodied, suppose};
use modstate::ids::{AirframeId, ClaimId, Id, ModId, PartId, PositionId};
use modstate::model::{Claim, Condition, Model, Modification, OneOf, Position, Retrospective, Statement};
use modstate::project::Project;
use modstate::prop::Limit;
use modstate::quantity::Day;
use modstate::resolve::{Ask, Basis, Fitted, Limits, Resolver, Target, Truth};
use modstate::schema::{Form, Grade, Standing};
use rayon::prelude::*;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// How many random types: enough in a debug build to catch a slip, all of them in a release build.
const TYPES: u64 = if cfg!(debug_assertions) { 300 } else { 20_000 };
/// How many completions are drawn, besides what was meant.
const COMPLETIONS: usize = 6;
/// What stands where a word is illegible.
const BLOTS: [&str; 4] = ["?????", "#####", "\u{FFFD}\u{FFFD}", "xxxxx"];

/// What stands where something is illegible: in the place of more than a word nothing that could be one, or nothing.
fn blot(dice: &mut Dice, (_, piece): Spot) -> &'static str {
    match piece {
        Piece::Body => dice.pick(&["?????", "#####", "\u{FFFD}\u{FFFD}", ""]),
        Piece::All | Piece::Place(_) | Piece::Condition(..) => dice.pick(&BLOTS[..3]),
        _ => dice.pick(&BLOTS),
    }
}

fn sound_type(dice: &mut Dice) -> Written {
    let mods = 2 + dice.below(2);
    let claims = 1 + dice.below(4);
    let (mut model, airframe) = model(dice, mods, claims);
    nest_some(dice, &mut model);
    widen(dice, &mut model, airframe);
    let held = model.airframes.get_mut(airframe);
    let assumed = held.unrecorded.pop().map(|assumption| assumption.when);
    held.claims = table(named(&held.claims).into_iter().filter(|(_, claim)| claim.assumed.is_none()));
    let others = (0..dice.below(3)).map(|_| claim(dice, &model, mods)).collect();
    let mut written = Written { model, airframe, assumed, that: None, others };
    tidy(&mut written);
    written
}

/// Makes a type one that can be written down without a fault.
fn tidy(written: &mut Written) {
    let model = &mut written.model;
    for m in model.mods.ids().collect::<Vec<_>>() {
        make_sound(model.mods.get_mut(m));
    }
    let forms = forms_of(model);
    for position in model.positions.ids().collect::<Vec<_>>() {
        let position = model.positions.get_mut(position);
        let whens = position.candidates.iter_mut().map(|candidate| &mut candidate.when);
        whens.chain(&mut position.nothing_when).for_each(|when| fit_forms(when, &forms));
    }
    let built = model.airframes[written.airframe].built.clone();
    let tidied = |mut claim: Claim| {
        claim.grade = claim.grade.or(Some(Grade::C));
        if claim.when.end < built.start && claim.when.end.is_some() {
            claim.when = on(built.end.unwrap());
        }
        if let Statement::Embodied(m, by) = &mut claim.says {
            *by = by.filter(|form| forms.contains(&(*m, *form)));
        }
        claim
    };
    let held = model.airframes.get_mut(written.airframe);
    held.claims = table(named(&held.claims).into_iter().map(|(name, claim)| (name, tidied(claim))));
    written.others = std::mem::take(&mut written.others).into_iter().map(tidied).collect();
    if written.assumed.as_ref().is_some_and(|when| when.end.is_some() && when.end < built.start) {
        written.assumed = None;
    }
    if unrecorded(model, written.airframe).is_empty() {
        written.assumed = None;
    }
}

fn make_sound(modification: &mut Modification) {
    if modification.production.is_none() && modification.retrospective.is_none() {
        let (place, leaflet_date) = (record().place(), on(Day(12)));
        modification.retrospective = Some(Retrospective { place, leaflet_date, eligible: None });
    }
    let requires: Vec<ModId> = modification.requires.iter().map(|(m, _)| *m).collect();
    modification.excludes.retain(|(m, _)| !requires.contains(m));
}

/// The forms that each modification has.
fn forms_of(model: &Model) -> BTreeSet<(ModId, Form)> {
    let forms = model.mods.iter().flat_map(|(m, _, modification)| {
        let production = modification.production.as_ref().map(|_| (m, Form::Production));
        production.into_iter().chain(modification.retrospective.as_ref().map(|_| (m, Form::Retrospective)))
    });
    forms.collect()
}

/// Leaves out the form where a condition names one that the modification does not have.
fn fit_forms(condition: &mut Condition, forms: &BTreeSet<(ModId, Form)>) {
    for leaf in leaves(condition) {
        if let Condition::Post(m, by) = leaf {
            *by = by.filter(|form| forms.contains(&(*m, *form)));
        }
    }
}

/// The conditions in a condition that name a modification, in the order of the text.
fn leaves(condition: &mut Condition) -> Vec<&mut Condition> {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter_mut().flat_map(leaves).collect(),
        Condition::Not(part) => leaves(part),
        leaf @ (Condition::Post(..) | Condition::Pre(_) | Condition::Serials(_)) => vec![leaf],
    }
}

fn leaves_at(position: &mut Position) -> Vec<&mut Condition> {
    let whens = position.candidates.iter_mut().map(|candidate| &mut candidate.when);
    whens.chain(&mut position.nothing_when).flat_map(leaves).collect()
}

/// The type with its assumption, and the claims that it stands for.
fn whole(written: &Written) -> Model {
    let mut model = written.model.clone();
    let held = model.airframes.get_mut(written.airframe);
    held.unrecorded.extend(written.assumed.clone().map(assumption));
    assume(&mut model, written.airframe, &[]);
    if let Some((says, when)) = written.that.clone() {
        let (record, assumed, rests_on, grade) = (record(), Some(String::new()), Vec::new(), None);
        let claim =
            Claim { record, says, when, rests_on, standing: Standing::Doubtful, read_on: Vec::new(), grade, assumed };
        model.airframes.get_mut(written.airframe).claims.insert("A1", claim).unwrap();
    }
    model
}

/// Whether a type could be written down without a fault, with the same text as the one that was meant but for what is
/// illegible.
fn is_sound(written: &Written, meant: &Written) -> bool {
    let (model, forms) = (&written.model, forms_of(&written.model));
    let built = model.airframes[written.airframe].built.start;
    let has_form = |m: ModId, by: Option<Form>| by.is_none_or(|form| forms.contains(&(m, form)));
    let says = |says: &Statement| match says {
        Statement::Embodied(m, by) => has_form(*m, *by),
        Statement::NotEmbodied(_) | Statement::Removed(_) => true,
        Statement::SeenAt(position, None) => model.positions[*position].nothing_when.is_some(),
        Statement::SeenAt(position, Some(n)) => {
            let part = |of: &Model| of.positions[*position].candidates.get(*n).map(|candidate| candidate.part);
            part(model) == part(&meant.model)
        }
        Statement::SeenSplice(..) | Statement::SeenPattern(_) => unreachable!("there are neither frames nor plates"),
    };
    let claim = |claim: &Claim| claim.when.end.is_none_or(|end| Some(end) >= built) && says(&claim.says);
    let modification = |m: ModId, modification: &Modification| {
        let lists = [&modification.requires, &modification.excludes, &modification.supersedes];
        let once = lists.iter().all(|list| {
            let names: BTreeSet<ModId> = list.iter().map(|(other, _)| *other).collect();
            names.len() == list.len() && !names.contains(&m)
        });
        let both = modification.requires.iter().any(|(m, _)| modification.excludes.iter().any(|(other, _)| m == other));
        let has_any = modification.production.is_some() || modification.retrospective.is_some();
        once && !both && has_any
    };
    let group = |group: &OneOf| group.members.iter().collect::<BTreeSet<_>>().len() == group.members.len();
    let position = |position: &Position| {
        let mut position = position.clone();
        leaves_at(&mut position)
            .iter()
            .all(|leaf| if let Condition::Post(m, by) = leaf { has_form(*m, *by) } else { true })
    };
    model.airframes[written.airframe].claims.iter().all(|(_, _, held)| claim(held))
        && written.others.iter().all(claim)
        && written.that.iter().all(|(of, when)| says(of) && when.end.is_none_or(|end| Some(end) >= built))
        && written.assumed.iter().all(|when| when.end.is_none_or(|end| Some(end) >= built))
        && model.mods.iter().all(|(m, _, held)| modification(m, held))
        && model.one_ofs.iter().all(group)
        && model.positions.iter().all(|(_, _, held)| position(held))
}

/// What else may stand at a spot, as far as it bears on this airframe.
fn vary(dice: &mut Dice, written: &mut Written, (of, piece): Spot) {
    let mods = written.model.mods.len();
    let airframe = written.airframe;
    match of {
        Of::Claim(n) => {
            let mut claims = named(&written.model.airframes[airframe].claims);
            if matches!(piece, Piece::Airframe | Piece::Body | Piece::All) && dice.once_in(3) {
                // It may be a claim about the other airframe, or no claim.
                claims.remove(n);
            } else {
                vary_claim(dice, &written.model, &mut claims[n].1, piece);
            }
            written.model.airframes.get_mut(airframe).claims = table(claims);
        }
        Of::Evidence(n) if matches!(piece, Piece::Grade | Piece::Body | Piece::All | Piece::Tail) => {
            let claim = written.model.airframes.get_mut(airframe).claims.get_mut(ClaimId::from_index(n));
            claim.grade = Some(grade(dice));
        }
        Of::Assumption => match piece {
            Piece::When => written.assumed = Some(window(dice)),
            Piece::Body | Piece::All | Piece::Tail => {
                written.assumed = dice.once_in(2).then(|| window(dice));
                if written.assumed.is_none() && dice.once_in(2) {
                    let Claim { says, when, .. } = claim(dice, &written.model, mods);
                    written.that = Some((says, when));
                }
            }
            _ => {}
        },
        Of::Group(n) => vary_group(dice, mods, &mut written.model.one_ofs, n, piece),
        Of::Modification(m) => vary_modification(dice, mods, written.model.mods.get_mut(m), (m, piece)),
        Of::Assembly(assembly) => {
            let all: Vec<PositionId> = written
                .model
                .positions
                .iter()
                .filter(|(.., held)| held.assembly == assembly)
                .map(|(id, ..)| id)
                .collect();
            for id in all {
                vary_position(dice, mods, (id, written.model.positions.get_mut(id)), piece);
            }
        }
        Of::Evidence(_)
        | Of::Type
        | Of::Block
        | Of::Part(_)
        | Of::Airframe
        | Of::OtherEvidence(_)
        | Of::OtherClaim(_) => {}
    }
}

fn grade(dice: &mut Dice) -> Grade {
    dice.pick(&[Grade::A, Grade::B, Grade::C, Grade::D])
}

fn any_mod(dice: &mut Dice, mods: usize) -> ModId {
    ModId::from_index(dice.below(mods))
}

fn vary_claim(dice: &mut Dice, model: &Model, written: &mut Claim, piece: Piece) {
    let mods = model.mods.len();
    match piece {
        Piece::Body | Piece::All | Piece::Tail => {
            *written = claim(dice, model, mods);
            written.grade = written.grade.or(Some(Grade::D));
        }
        Piece::Says => {
            written.says = match &written.says {
                Statement::Embodied(m, None) | Statement::NotEmbodied(m) | Statement::Removed(m) => match dice.below(3)
                {
                    0 => Statement::Embodied(*m, None),
                    1 => Statement::NotEmbodied(*m),
                    _ => Statement::Removed(*m),
                },
                other => other.clone(),
            };
        }
        Piece::About => match &mut written.says {
            Statement::Embodied(m, _) | Statement::NotEmbodied(m) | Statement::Removed(m) => *m = any_mod(dice, mods),
            Statement::SeenAt(position, candidate) => {
                let part = candidate.map(|n| model.positions[*position].candidates[n].part);
                let other = PositionId::from_index(dice.below(model.positions.len()));
                let there = &model.positions[other];
                match part {
                    Some(part) => {
                        if let Some(n) = there.candidates.iter().position(|candidate| candidate.part == part) {
                            (*position, *candidate) = (other, Some(n));
                        }
                    }
                    None => *position = other,
                }
            }
            Statement::SeenSplice(..) | Statement::SeenPattern(_) => {}
        },
        Piece::Part => {
            if let Statement::SeenAt(position, Some(n)) = &mut written.says {
                *n = dice.below(model.positions[*position].candidates.len());
            }
        }
        Piece::ByForm => {
            if let Statement::Embodied(_, Some(form)) = &mut written.says {
                *form = dice.pick(&[Form::Production, Form::Retrospective]);
            }
        }
        Piece::When => written.when = window(dice),
        Piece::Standing => written.standing = dice.pick(&[Standing::Firm, Standing::Doubtful]),
        Piece::RestsOn => {
            let grades: Vec<Option<Grade>> = model
                .airframes
                .iter()
                .flat_map(|(_, _, held)| held.claims.iter().map(|(_, _, claim)| claim.grade))
                .collect();
            written.grade = dice.pick(&grades);
        }
        _ => {}
    }
}

fn vary_group(dice: &mut Dice, mods: usize, groups: &mut Vec<OneOf>, n: usize, piece: Piece) {
    let group = &mut groups[n];
    match piece {
        Piece::Introduced => group.introduced = group_date(dice),
        Piece::Exactly => group.exactly = dice.once_in(2),
        Piece::Member(member) => group.members[member] = any_mod(dice, mods),
        Piece::All if dice.once_in(4) => drop(groups.remove(n)),
        Piece::Body | Piece::All | Piece::Tail => {
            let mut members: Vec<ModId> = (0..mods).map(ModId::from_index).collect();
            while members.len() > 2 + n % 2 {
                members.remove(dice.below(members.len()));
            }
            (group.members, group.introduced, group.exactly) = (members, group_date(dice), dice.once_in(2));
        }
        _ => {}
    }
}

fn vary_modification(dice: &mut Dice, mods: usize, held: &mut Modification, (m, piece): (ModId, Piece)) {
    match piece {
        Piece::Requires(n) => held.requires[n].0 = any_mod(dice, mods),
        Piece::Excludes(n) => held.excludes[n].0 = any_mod(dice, mods),
        Piece::Supersedes(n) => held.supersedes[n].0 = any_mod(dice, mods),
        Piece::RequiresWord => {
            let list = std::mem::take(&mut held.requires);
            match dice.below(3) {
                0 if held.excludes.is_empty() => held.excludes = list,
                1 if held.supersedes.is_empty() => held.supersedes = list,
                _ => held.requires = list,
            }
        }
        Piece::Leaflet => held.retrospective.iter_mut().for_each(|form| form.leaflet_date = date(dice)),
        Piece::Covers => held.production.iter_mut().for_each(|form| form.covers = serials(dice)),
        Piece::Eligible => held.retrospective.iter_mut().for_each(|form| form.eligible = Some(serials(dice))),
        Piece::Body | Piece::All | Piece::Tail => {
            *held = modification(dice, m.index(), mods);
            make_sound(held);
        }
        _ => {}
    }
}

fn vary_position(dice: &mut Dice, mods: usize, (id, held): (PositionId, &mut Position), piece: Piece) {
    let asked = |of: PositionId| of == id;
    match piece {
        Piece::Body | Piece::All | Piece::Tail => anything_at(dice, mods, held),
        Piece::Place(of) if asked(of) => anything_at(dice, mods, held),
        Piece::Candidate(of, n) if asked(of) => held.candidates[n].part = PartId::from_index(dice.below(6)),
        Piece::Quantity(of, n) if asked(of) => held.candidates[n].quantity = 1 + u32::try_from(dice.below(3)).unwrap(),
        Piece::Condition(of, Some(n)) if asked(of) => held.candidates[n].when = condition(dice, mods, 1),
        Piece::Condition(of, None) if asked(of) => held.nothing_when = Some(condition(dice, mods, 1)),
        Piece::Asks(of, n) if asked(of) => {
            let leaf = leaves_at(held).swap_remove(n);
            *leaf = match &*leaf {
                Condition::Post(m, None) | Condition::Pre(m) if dice.once_in(2) => Condition::Pre(*m),
                Condition::Post(m, None) | Condition::Pre(m) => Condition::Post(*m, None),
                other => other.clone(),
            };
        }
        Piece::AsksFor(of, n) if asked(of) => match leaves_at(held).swap_remove(n) {
            Condition::Post(m, _) | Condition::Pre(m) => *m = any_mod(dice, mods),
            _ => {}
        },
        _ => {}
    }
}

/// Another position; what was seen there stays a candidate.
fn anything_at(dice: &mut Dice, mods: usize, held: &mut Position) {
    let other = position(dice, mods);
    for (candidate, other) in held.candidates.iter_mut().zip(other.candidates) {
        candidate.when = other.when;
    }
    held.nothing_when = other.nothing_when.or(held.nothing_when.take());
}

/// The sound types that the text may have been, with what was meant first.
fn completions(dice: &mut Dice, meant: &Written, illegible: &[Spot]) -> Vec<Written> {
    let mut found = vec![meant.clone()];
    for _ in 0..COMPLETIONS {
        let mut other = meant.clone();
        // Those that leave out a record come last, so that the numbers of the others stay right.
        let mut spots = illegible.to_vec();
        spots.sort_by_key(|(of, _)| {
            std::cmp::Reverse(match of {
                Of::Claim(n) | Of::Group(n) => *n + 1,
                _ => usize::MAX,
            })
        });
        for spot in spots {
            vary(dice, &mut other, spot);
        }
        if is_sound(&other, meant) {
            found.push(other);
        }
    }
    found
}

/// The worlds of a completion on each basis.
struct Worlds {
    model: Model,
    airframe: AirframeId,
    all_hold: bool,
    of: [BTreeSet<World>; 2],
}

impl Worlds {
    fn new(written: &Written, suppositions: &[Supposition], target: Day) -> Worlds {
        let airframe = written.airframe;
        let model = as_supposed(&whole(written), airframe, suppositions);
        let reference = Reference::new(&model, airframe, target);
        let all: BTreeSet<ClaimId> = model.airframes[airframe].claims.ids().collect();
        let firm = reference.lawful(&firm(&model, airframe));
        let repairs = best_repairs(&reference);
        let held = repairs.iter().flat_map(|dropped| reference.lawful(&all.difference(dropped).copied().collect()));
        let (held, all_hold) = (held.collect(), repairs == [BTreeSet::new()]);
        Worlds { model, airframe, all_hold, of: [firm, held] }
    }
}

/// How many answers held, and how many were not known.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    held: usize,
    not_known: usize,
}

impl Tally {
    fn plus(self, other: Tally) -> Tally {
        Tally { held: self.held + other.held, not_known: self.not_known + other.not_known }
    }
    fn answer(&mut self, what: &str, found: Truth, expected: impl Iterator<Item = Truth>) {
        if found == Truth::Undecided(Limit::NotRead) {
            self.not_known += 1;
            return;
        }
        for expected in expected.filter(|expected| *expected != Truth::NoHistory) {
            assert_eq!(found, expected, "{what}");
        }
        self.held += 1;
    }
    /// A count that was not refused.
    fn count(&mut self, what: &str, found: &Result<String, Limit>, expected: impl Iterator<Item = usize>) {
        match found {
            Err(limit) => {
                assert_eq!(*limit, Limit::NotRead, "{what}");
                self.not_known += 1;
            }
            Ok(found) => {
                for expected in expected {
                    assert_eq!(*found, expected.to_string(), "{what}");
                }
                self.held += 1;
            }
        }
    }
}

/// The same statement in the numbers of what was read, if all that it names was.
fn as_read(says: &Statement, meant: &Model, read: &Model) -> Option<Statement> {
    let same = |m: ModId| read.mods.id(MODS[m.index()]);
    Some(match says {
        Statement::Embodied(m, by) => Statement::Embodied(same(*m)?, *by),
        Statement::NotEmbodied(m) => Statement::NotEmbodied(same(*m)?),
        Statement::Removed(m) => Statement::Removed(same(*m)?),
        Statement::SeenAt(position, candidate) => {
            let id = read.positions.id(&position_name(meant, *position))?;
            let part = candidate.map(|n| PARTS[meant.positions[*position].candidates[n].part.index()]);
            let candidates = &read.positions[id].candidates;
            let which = |part| candidates.iter().position(|candidate| read.parts.name(candidate.part) == part);
            Statement::SeenAt(id, if let Some(part) = part { Some(which(part)?) } else { None })
        }
        Statement::SeenSplice(..) | Statement::SeenPattern(_) => return None,
    })
}

/// Compares every answer about a text with those about everything that it may have been, with something supposed.
fn judge(
    what: &str,
    texts: Vec<(PathBuf, String)>,
    may_be: &[Written],
    suppositions: &[Supposition],
    target: Day,
) -> Tally {
    let mut project = Project::from_texts(texts);
    let mut tally = Tally::default();
    let Some(airframe) = project.model.airframes.id("X5") else { return tally };
    let supposed = suppositions.iter().map(|supposition| match supposition {
        Supposition::That(says, when) => {
            let says = as_read(says, &may_be[0].model, &project.model)?;
            Some(Supposition::That(says, when.clone()))
        }
        Supposition::Without(_) => Some(supposition.clone()),
    });
    let Some(supposed) = supposed.collect::<Option<Vec<Supposition>>>() else { return tally };
    if suppose(&mut project.model, airframe, &supposed).is_err() {
        return tally;
    }
    let graph = Graph::new(&project.model);
    let asked = Target { day: target, build_state: None };
    let Ok(mut resolver) = Resolver::new(&project.model, &graph, airframe, asked, Limits::default()) else {
        return tally;
    };
    let worlds: Vec<Worlds> = may_be.iter().map(|written| Worlds::new(written, suppositions, target)).collect();
    for basis in [Basis::Firm, Basis::Held] {
        let what = format!("{what}: {basis:?}");
        judge_mods(&mut tally, &what, &project.model, &mut resolver, basis, &worlds);
        judge_positions(&mut tally, &what, &project.model, &mut resolver, basis, &worlds);
        judge_questions(&what, &project.model, &mut resolver, basis, &worlds);
    }
    let contradicted = worlds.iter().all(|worlds| worlds.of[0].is_empty());
    assert!(resolver.left_out().is_empty() || contradicted, "{what}: left out as contradicted");
    if !resolver.contradictions().is_empty() {
        let never_all = worlds.iter().all(|worlds| !worlds.all_hold);
        let doubted = [codes::DOUBTFUL_DROPPED];
        let firm = [
            codes::RULES_CONTRADICT,
            codes::BEFORE_LEAFLET,
            codes::NOT_FOR_THIS_SERIAL,
            codes::AGAINST_THE_LINE,
            codes::CLAIMS_DISAGREE,
            codes::CLAIMS_CONTRADICT,
            codes::WITHOUT_PREREQUISITE,
            codes::EXCLUDING_TOGETHER,
            codes::ONE_OF_BROKEN,
        ];
        for finding in project.check_taken_in(&project.model, &graph, CheckScope::Airframes(&[airframe])) {
            assert!(!firm.contains(&finding.code) || contradicted, "{what}: {}", finding.message);
            assert!(!doubted.contains(&finding.code) || never_all, "{what}: {}", finding.message);
        }
    }
    tally
}

fn judge_mods(
    tally: &mut Tally,
    what: &str,
    model: &Model,
    resolver: &mut Resolver<'_>,
    basis: Basis,
    worlds: &[Worlds],
) {
    for m in worlds[0].model.mods.ids() {
        let name = MODS[m.index()];
        let Some(id) = model.mods.id(name) else { continue };
        let answer = resolver.modification(id, basis);
        let mut answer_to = |way: &str, found: Truth, so: &dyn Fn(World) -> bool| {
            let expected = worlds.iter().map(|worlds| truth(&worlds.of[basis as usize], so));
            tally.answer(&format!("{what} {name}{way}"), found, expected);
        };
        answer_to("", answer.embodied, &|world| is_in(world, m));
        answer_to(" by production", answer.by_production, &|world| has(world, m, Form::Production));
        answer_to(" afterwards", answer.by_retrospective, &|world| has(world, m, Form::Retrospective));
    }
    let distinct = |worlds: &Worlds| {
        let mods: Vec<ModId> = worlds.model.mods.ids().collect();
        states(&worlds.of[basis as usize], &mods).len()
    };
    let counted = resolver.count_all(basis).map(|count| count.to_string());
    let with_history = worlds.iter().filter(|worlds| !worlds.of[basis as usize].is_empty());
    if with_history.clone().next().is_some() {
        tally.count(&format!("{what} states"), &counted, with_history.map(distinct));
    }
}

/// The distinct states of some modifications.
fn states<'w>(worlds: impl IntoIterator<Item = &'w World>, mods: &[ModId]) -> BTreeSet<Vec<Option<Form>>> {
    worlds.into_iter().map(|world| mods.iter().map(|m| form_of(*world, *m)).collect()).collect()
}

/// What may be the case at a position, in names.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Case<'n> {
    Part(&'n str, u32),
    Nothing,
    Gap,
    NoAssembly,
}

impl Worlds {
    /// What is the case at a position in a world.
    fn cases(&self, position: PositionId, world: World) -> BTreeSet<Case<'static>> {
        let serial = &self.model.airframes[self.airframe].serial;
        let written = &self.model.positions[position];
        if !fitted(&self.model, serial, written.assembly, world) {
            return BTreeSet::from([Case::NoAssembly]);
        }
        let candidates = written.candidates.iter().filter(|candidate| holds(&candidate.when, serial, world));
        let mut cases: BTreeSet<Case<'static>> =
            candidates.map(|candidate| Case::Part(PARTS[candidate.part.index()], candidate.quantity)).collect();
        if written.nothing_when.as_ref().is_some_and(|when| holds(when, serial, world)) {
            cases.insert(Case::Nothing);
        }
        if cases.is_empty() { BTreeSet::from([Case::Gap]) } else { cases }
    }
}

fn judge_positions(
    tally: &mut Tally,
    what: &str,
    model: &Model,
    resolver: &mut Resolver<'_>,
    basis: Basis,
    worlds: &[Worlds],
) {
    for position in worlds[0].model.positions.ids() {
        let name = position_name(&worlds[0].model, position);
        let what = format!("{what} {name}");
        let Some(id) = model.positions.id(&name) else {
            if let Some(assembly) = model.parts.id(name.rsplit_once('/').unwrap().0) {
                let marks = resolver.history().not_read_inside(assembly);
                assert!(!marks.is_empty(), "{what}: the assembly has no such place, and nothing was lost of it");
            }
            tally.not_known += 1;
            continue;
        };
        let case = |fitted: Option<Fitted>| match fitted {
            Some(Fitted::Part(part, quantity)) => Case::Part(model.parts.name(part), quantity),
            Some(Fitted::Nothing) => Case::Nothing,
            Some(Fitted::Gap) => Case::Gap,
            None => Case::NoAssembly,
        };
        let told: Vec<(Case<'_>, Truth)> =
            resolver.outcomes(id, basis).into_iter().map(|outcome| (case(outcome.fitted), outcome.truth)).collect();
        let is_read = resolver.history().not_read_at(id).is_empty();
        let of_world =
            |worlds: &Worlds| worlds.of[basis as usize].iter().flat_map(|w| worlds.cases(position, *w)).collect();
        let possible: Vec<BTreeSet<Case<'_>>> = worlds.iter().map(of_world).collect();
        let mut every: BTreeSet<Case<'_>> = possible.iter().flatten().copied().collect();
        every.extend(told.iter().map(|(case, _)| *case));
        for case in every {
            let found = told.iter().find(|(other, _)| *other == case).map(|(_, truth)| *truth);
            if found.is_none() && !is_read {
                continue;
            }
            let so = |worlds: &Worlds| truth(&worlds.of[basis as usize], |w| worlds.cases(position, w).contains(&case));
            tally.answer(&format!("{what} {case:?}"), found.unwrap_or(Truth::Never), worlds.iter().map(so));
        }
        let outcomes = resolver.outcomes_when(id);
        let slice: BTreeSet<ModId> = outcomes.iter().flat_map(|(_, when)| Resolver::depends_on(when)).collect();
        let own = |m: &ModId| ModId::from_index(MODS.iter().position(|name| *name == model.mods.name(*m)).unwrap());
        let named: Vec<ModId> = slice.iter().map(own).collect();
        let whens: Vec<_> = outcomes.iter().map(|(_, when)| when.clone()).collect();
        let counted = resolver.count(&slice, &whens, basis);
        let with_history = worlds.iter().filter(|worlds| !worlds.of[basis as usize].is_empty());
        if with_history.clone().next().is_none() {
            continue;
        }
        let all = counted.as_ref().map(|counted| counted.all.to_string()).map_err(|limit| *limit);
        let distinct = |worlds: &Worlds| states(&worlds.of[basis as usize], &named).len();
        tally.count(&format!("{what} states"), &all, with_history.clone().map(distinct));
        for (n, (fitted, _)) in outcomes.iter().enumerate() {
            let each = counted.as_ref().map(|counted| counted.each[n].to_string()).map_err(|limit| *limit);
            let case = case(*fitted);
            let selecting = |worlds: &Worlds| {
                let all = worlds.of[basis as usize].iter();
                states(all.filter(|world| worlds.cases(position, **world).contains(&case)), &named).len()
            };
            tally.count(&format!("{what} states of {case:?}"), &each, with_history.clone().map(selecting));
        }
    }
}

/// Compares the questions about what was read.
fn judge_questions(what: &str, model: &Model, resolver: &mut Resolver<'_>, basis: Basis, worlds: &[Worlds]) {
    // A modification of which the number is illegible counts as another one.
    if model.mods.names().any(|name| !MODS.contains(&name)) {
        return;
    }
    let history = resolver.history();
    let read: BTreeSet<PositionId> =
        model.positions.ids().filter(|position| history.not_read_at(*position).is_empty()).collect();
    let mods: BTreeSet<ModId> =
        model.mods.ids().filter(|m| history.reach.expr(&embodied(*m, None)).is_empty()).collect();
    let is_read = |ask: &Ask| match ask {
        Ask::Embodied(m) => mods.contains(m),
        Ask::FittedAt(position) => read.contains(position),
    };
    for worlds in worlds {
        // The same worlds, in the numbers of what was read.
        let renumbered = worlds.of[basis as usize].iter().map(|world| {
            let bits = model.mods.iter().map(|(id, name, _)| {
                let own = MODS.iter().position(|other| *other == name);
                own.map_or(0, |own| (world >> (2 * own) & 3) << (2 * id.index()))
            });
            bits.sum()
        });
        compare_questions(what, model, resolver, basis, &renumbered.collect(), &read, &is_read);
    }
}

/// Loses something of a random type, and judges every answer.
fn compare(seed: u64) -> Tally {
    let mut dice = Dice::new(seed);
    let meant = sound_type(&mut dice);
    let target = Day(15 + i32::try_from(dice.below(8)).unwrap());
    let (sound, spots) = files(&meant, &[]);
    let one = std::slice::from_ref(&meant);
    let told = judge(&format!("seed {seed}: sound"), sound.clone(), one, &[], target);
    assert_eq!(told.not_known, 0, "seed {seed}: everything is read");
    let mut tally = Tally::default();
    for n in 0..3 {
        let what = format!("seed {seed} ({n})");
        let supposed = if dice.once_in(4) { suppositions(&mut dice, &meant.model, meant.airframe) } else { Vec::new() };
        if dice.once_in(4) {
            let (texts, slip) = slipped(&mut dice, &sound);
            tally = tally.plus(judge(&format!("{what}: {slip}"), texts, one, &supposed, target));
            continue;
        }
        let mut illegible: Vec<Spot> = vec![dice.pick(&spots)];
        // A record that is cut off may take the next one with it, of which nothing else is illegible then.
        if dice.once_in(4) && illegible[0].1 != Piece::Tail {
            let other = dice.pick(&spots);
            illegible.extend((other.0 != illegible[0].0 && other.1 != Piece::Tail).then_some(other));
        }
        let mut blots: Vec<(Spot, &str)> = illegible.iter().map(|spot| (*spot, blot(&mut dice, *spot))).collect();
        // Two pieces that nobody can read are not taken for one name.
        if let [(_, one), (_, other)] = &mut blots[..]
            && one == other
        {
            *other = if *one == "?????" { "#####" } else { "?????" };
        }
        let (texts, _) = files(&meant, &blots);
        let what = format!("{what}: {illegible:?}");
        let told = judge(&what, texts, &completions(&mut dice, &meant, &illegible), &supposed, target);
        let is_elsewhere =
            |(of, piece): &Spot| matches!(of, Of::OtherClaim(_) | Of::OtherEvidence(_)) && *piece != Piece::Airframe;
        if illegible.iter().all(is_elsewhere) {
            assert_eq!(told.not_known, 0, "{what}: another airframe's record has no bearing on this one");
        }
        tally = tally.plus(told);
    }
    tally
}

/// The texts with one character struck out, or another put in its place, outside of what stands in quotes.
fn slipped(dice: &mut Dice, sound: &[(PathBuf, String)]) -> (Vec<(PathBuf, String)>, String) {
    let mut texts = sound.to_vec();
    let file = dice.below(texts.len());
    let (path, text) = &mut texts[file];
    let mut in_quotes = false;
    let mut open = Vec::new();
    for (at, c) in text.char_indices() {
        in_quotes ^= c == '"';
        if (!in_quotes || c == '"') && !c.is_whitespace() {
            open.push((at, c));
        }
    }
    let (at, was) = dice.pick(&open);
    let by = dice.pick(&["", "", "", "x", "(", "]", "\""]);
    let line = text.bytes().take(at).filter(|byte| *byte == b'\n').count() + 1;
    text.replace_range(at..at + was.len_utf8(), by);
    let told = format!("`{was}` is now `{by}` in line {line} of {}", path.display());
    (texts, told)
}

#[test]
fn answers_hold_whatever_was_lost() {
    let tally = crate::seeds(TYPES).into_par_iter().map(compare).reduce(Tally::default, Tally::plus);
    assert!(tally.held > 1000 && tally.not_known > 1000, "losses bear on some answers and not on others: {tally:?}");
}
