//! What is left to make, and what may be made now.

use super::drawings::{Held, drawings};
use super::issue::agreement;
use super::open_mods;
use super::rack::{RackLine, RackVerdict, Totals, ends, rack, totals};
use super::tools::{ToolLine, ToolVerdict, tools};
use crate::bill::{Amount, Bill, BillScope, NoBill, Request, bill};
use crate::history::is_in;
use crate::ids::{DrawingId, JigId, ModId, PartId, PlateId};
use crate::jig::examine::Examiner;
use crate::jig::{JigVerdict, StationVerdict, definitions_at, standings, verdicts};
use crate::model::{Marks, Model};
use crate::prop::{Expr, Limit};
use crate::quantity::Length;
use crate::resolve::{Basis, IssueView, Limits, PossibleIssue, Resolver};
use crate::schema::{Source, ToolKind};
use std::collections::{BTreeMap, BTreeSet};

/// What has to be there before a part is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum First {
    /// So many of it lie on the rack and are not judged yet.
    Rack(u64),
    /// A copy of the drawing issue.
    Drawing(DrawingId),
    /// A tool of this kind: none serves; the one that is there (an index), if there is one.
    Tool(ToolKind, Option<usize>),
    /// The plate definition at this station (an index) of the jig: no plate there is right.
    Plate(JigId, usize, PlateId),
    /// The jig is set for another airframe.
    JigElsewhere(JigId),
}

/// A part that is left to make.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The part.
    pub part: PartId,
    /// How many are needed in all histories, on both bases, over those that fit on the rack.
    pub left: u64,
    /// How many more may be needed.
    pub more: u64,
    /// The issue to make it to; `None` if the part has no drawing or the issue is open.
    pub issue: Option<usize>,
    /// Whether the issue is settled, or the one given serves whichever applies.
    pub issue_settled: bool,
    /// The jigs and their stations (indices) where it is located.
    pub at: Vec<(JigId, usize)>,
    /// What has to be there first.
    pub first: Vec<First>,
    /// The concessions and permits (indices) given for it on this airframe.
    pub deviations: Vec<usize>,
    /// The modifications that leave open how many, or to which issue.
    pub waits_for: BTreeSet<ModId>,
    /// Why it was not decided how many are needed: a limit was met on the way.
    pub limit: Option<Limit>,
    /// The issue as fitted, where it is settled and another than the one to make to.
    pub as_fitted: Option<usize>,
    /// Whether the claims that bear on how many are needed contradict each other or the rules.
    pub contradicted: bool,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// Parts on the rack that the state takes and that are not yet ready.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unfinished {
    /// Which record (an index of the model's made parts).
    pub made: usize,
    /// How many the state takes; 0 if that rests on something that was not read.
    pub quantity: u64,
    /// What was not read and bears on it.
    pub not_read: Marks,
}

/// Parts that may share a heat-treatment load.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// The material specification.
    pub material: String,
    /// The temper.
    pub temper: Option<String>,
    /// The band: over the first thickness and up to the second.
    pub band: (Option<Length>, Option<Length>),
    /// The parts, and how many of each: to be made now, or made and not yet treated.
    pub parts: BTreeMap<PartId, u64>,
    /// What was not read and bears on which parts and how many.
    pub not_read: Marks,
}

/// What is left to make for a state.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Todo {
    /// What may be made now, although something else may be open: by jig, material, thickness and part number.
    pub now: Vec<Job>,
    /// What waits until something is settled, in the same order; a part of which some may be made now is in both.
    pub waiting: Vec<Job>,
    /// Of what nothing is known because something was not read.
    pub unknown: Vec<Job>,
    /// What is on the rack and not ready.
    pub unfinished: Vec<Unfinished>,
    /// Heat-treatment batches.
    pub batches: Vec<Batch>,
    /// What was not read and bears on the heading, or leaves the list short.
    pub not_read: Marks,
    /// Those of them by which there may be other parts to make than are listed, of any material.
    pub short: Marks,
    /// What was not read and bears on which parts may share a load: then no batch is listed.
    pub no_batches: Marks,
}

/// What is left to make of a scope for the state of a resolver: details that the workshop makes, over both bases.
///
/// # Errors
/// Says why there is no bill of the state, or which part makes the total too large to count.
pub fn todo(resolver: &mut Resolver<'_>, scope: BillScope, limits: Limits) -> Result<Todo, NoBill> {
    let mut request =
        Request { scope: BillScope::Airframe, basis: Basis::Firm, issues: IssueView::ToMake, weights: false };
    let firm = bill(resolver, request)?;
    request.basis = Basis::Held;
    let held = if resolver.has_two_bases() { bill(resolver, request)? } else { firm.clone() };
    let mut not_read = not_read_of_list(resolver, [&firm, &held]);
    let inside: Option<BTreeSet<PartId>> = match scope {
        BillScope::Airframe => None,
        BillScope::Assembly(_) | BillScope::Frame(_) | BillScope::Position(_) => {
            let mut parts = BTreeSet::new();
            for basis in [Basis::Firm, Basis::Held] {
                let scoped = bill(resolver, Request { scope, basis, ..request })?;
                parts.extend(scoped.totals.iter().map(|t| t.part));
                not_read.extend(&scoped.not_read);
            }
            Some(parts)
        }
    };
    let racks = [rack(resolver, &firm, limits), rack(resolver, &held, limits)];
    let mut records: BTreeMap<PartId, Vec<usize>> = BTreeMap::new();
    for (index, made) in resolver.history().model.made_parts.iter().enumerate() {
        records.entry(made.part).or_default().push(index);
    }
    let mut planner = Planner {
        tools: tools(resolver, Basis::Held),
        places: places(resolver),
        lacking: [&firm, &held].into_iter().flat_map(|bill| lacking(resolver.history().model, bill)).collect(),
        totals: [totals(&firm), totals(&held)],
        resolver,
        racks,
        records,
    };
    let losses = &planner.resolver.history().model.losses;
    let short = losses.placing_others(&not_read);
    let mut todo = Todo { not_read, short, ..Todo::default() };
    let model = planner.resolver.history().model;
    for part in planner.details().into_iter().filter(|part| inside.as_ref().is_none_or(|set| set.contains(part))) {
        let job = planner.job(part)?;
        if !job.not_read.is_empty() {
            todo.unknown.push(job);
            continue;
        }
        if job.left > 0 && job.issue_settled {
            todo.now.push(job.clone());
        }
        if job.more > 0 || job.limit.is_some() || job.contradicted || (job.left > 0 && !job.issue_settled) {
            todo.waiting.push(job);
        }
    }
    todo.unfinished = planner.unfinished(inside.as_ref());
    let order = |job: &Job| {
        let part = &model.parts[job.part];
        let thickness = part.thickness.as_ref().map(|thickness| thickness.picometres);
        (job.at.is_empty(), job.at.first().map(|(jig, _)| *jig), part.material.clone(), thickness, job.part)
    };
    todo.now.sort_by_key(order);
    todo.waiting.sort_by_key(order);
    todo.unknown.sort_by_key(order);
    if let Some(job) = over_the_top(&todo) {
        return Err(NoBill::TooMany(job));
    }
    todo.batches = batches(model, &todo);
    todo.no_batches = model.losses.of_table("HeatTreatment");
    Ok(todo)
}

/// What was not read and bears on the heading of the list, or leaves it short: of what there is to make, and of what is
/// on the rack.
fn not_read_of_list(resolver: &Resolver<'_>, bills: [&Bill; 2]) -> Marks {
    let history = resolver.history();
    let losses = &history.model.losses;
    let mut marks = losses.of_floor_list(history.id, &["MadePart"]);
    for bill in bills {
        marks.extend(&bill.not_read);
        marks.extend(bill.totals.iter().flat_map(|total| losses.of_part(total.part)));
    }
    marks
}

/// The part with which what is to be made, or to be gone on with, is more in all than a number holds.
fn over_the_top(todo: &Todo) -> Option<PartId> {
    let unfinished: u64 = todo.unfinished.iter().map(|line| line.quantity).fold(0, u64::saturating_add);
    let mut sum = unfinished;
    todo.now.iter().find_map(|job| match sum.checked_add(job.left) {
        Some(more) => {
            sum = more;
            None
        }
        None => Some(job.part),
    })
}

/// A plate definition at a station where it belongs.
struct PlatePlace {
    plate: PlateId,
    jig: JigId,
    /// The station, an index.
    station: usize,
    /// Whether a plate that is right for it is mounted, on both bases.
    right: bool,
    /// What was not read and bears on that.
    not_read: Marks,
}

/// Every plate definition at every station where it belongs.
fn places(resolver: &mut Resolver<'_>) -> Vec<PlatePlace> {
    let (model, graph) = (resolver.history().model, resolver.history().graph);
    let examiner = Examiner::new(model);
    let mut places = Vec::new();
    for (jig, _, entry) in model.jigs.iter() {
        let standings = standings(&examiner, model, jig);
        let both = [Basis::Firm, Basis::Held].map(|basis| verdicts(resolver, jig, &standings, basis));
        for station in 0..entry.stations.len() {
            for plate in definitions_at(model, graph, jig, station) {
                let right = |line: &StationVerdict| {
                    let is = line.mounted.and_then(|index| standings[index].is);
                    line.station == station && is == Some(plate) && line.verdict == JigVerdict::Right
                };
                let right = both.iter().all(|lines| lines.iter().any(right));
                let here = both.iter().flatten().filter(|line| line.station == station);
                let not_read = here.flat_map(|line| &line.not_read).copied().collect();
                places.push(PlatePlace { plate, jig, station, right, not_read });
            }
        }
    }
    places
}

/// The drawings of a bill of which no copy is held that serves, each with what was not read and bears on that.
fn lacking(model: &Model, bill: &Bill) -> Vec<(DrawingId, Marks)> {
    let lines = drawings(model, bill).into_iter();
    let lacking = lines.filter(|line| !matches!(line.held, Held::Yes | Held::NotRecorded));
    lacking.map(|line| (line.drawing, line.not_read)).collect()
}

struct Planner<'r, 'b, 'm> {
    resolver: &'r mut Resolver<'m>,
    totals: [Totals<'b>; 2],
    racks: [Vec<RackLine>; 2],
    records: BTreeMap<PartId, Vec<usize>>,
    tools: Vec<ToolLine>,
    places: Vec<PlatePlace>,
    lacking: Vec<(DrawingId, Marks)>,
}

impl Planner<'_, '_, '_> {
    /// The parts that are made in the workshop and made up of nothing, and that may be needed.
    fn details(&self) -> BTreeSet<PartId> {
        let model = self.resolver.history().model;
        let totals = self.totals.iter().flat_map(|totals| totals.values()).filter(|total| total.to_get.may_be_some());
        let detail = |part: &PartId| {
            let entry = &model.parts[*part];
            // One that is lost may be made.
            entry.source.is_none_or(|source| source == Source::Made) && entry.positions.is_empty()
        };
        totals.map(|total| total.part).filter(detail).collect()
    }

    /// How many of each record the state takes on both bases.
    fn taken(&self, made: usize) -> u64 {
        let fits = |line: &RackLine| if line.fit == RackVerdict::Fits { line.taken } else { 0 };
        self.racks.iter().map(|rack| fits(&rack[made])).min().unwrap_or(0)
    }

    fn job(&mut self, part: PartId) -> Result<Job, NoBill> {
        let model = self.resolver.history().model;
        let entry = &model.parts[part];
        let records = self.records.get(&part).cloned().unwrap_or_default();
        let taken = records.iter().map(|made| self.taken(*made));
        let have = checked_sum(taken).ok_or(NoBill::TooMany(part))?;
        let amounts = self.totals.each_ref().map(|totals| ends(totals.get(&part).map(|total| total.to_get)));
        let limit = self.totals.iter().find_map(|totals| match totals.get(&part)?.to_get {
            Amount::Undecided(limit) => Some(limit),
            Amount::Exactly(_) | Amount::Between(_) | Amount::Contradicted => None,
        });
        let to_get = self.totals.iter().filter_map(|totals| Some(totals.get(&part)?.to_get));
        let contradicted = to_get.into_iter().any(|amount| amount == Amount::Contradicted);
        let least = amounts[0].0.min(amounts[1].0);
        let most = amounts[0].1.max(amounts[1].1);
        let left = least.saturating_sub(have);
        let more = most.saturating_sub(have.max(least));
        let IssueToMake { which: issue, settled, raising, as_fitted } = self.issue(part);
        let when = self.resolver.fitted(part);
        let mut waits_for = if more > 0 { open_mods(self.resolver, &when) } else { BTreeSet::new() };
        if !settled {
            let raised = Expr::any(raising.into_iter().map(|m| is_in(m, None)));
            waits_for.extend(open_mods(self.resolver, &raised));
        }
        let (at, mut first) = self.places(part);
        first.extend(self.tools_first(part));
        if let Some(drawing) =
            entry.drawing.filter(|drawing| self.lacking.iter().any(|(lacking, _)| lacking == drawing))
        {
            first.push(First::Drawing(drawing));
        }
        let open = [RackVerdict::Undecided, RackVerdict::Contradicted];
        let undecided = |made: &&usize| self.racks.iter().any(|rack| open.contains(&rack[**made].fit));
        let doubtful = records.iter().filter(undecided).map(|made| u64::from(model.made_parts[*made].quantity));
        let doubtful = checked_sum(doubtful).ok_or(NoBill::TooMany(part))?;
        if doubtful > 0 {
            first.push(First::Rack(doubtful));
        }
        first.sort_unstable();
        first.dedup();
        let serial = &self.resolver.history().airframe().serial;
        let deviations = (0..model.deviations.len()).filter(|at| model.deviations[*at].touches(part, None, serial));
        let deviations = deviations.collect();
        let not_read = self.not_read(part, &records);
        Ok(Job {
            part,
            left,
            more,
            issue,
            issue_settled: settled,
            at,
            first,
            deviations,
            waits_for,
            limit,
            as_fitted,
            contradicted,
            not_read,
        })
    }

    /// What was not read and bears on a part that is to be made: how many, to which issue, what is on the rack, and
    /// what has to be there first.
    fn not_read(&self, part: PartId, records: &[usize]) -> Marks {
        let history = self.resolver.history();
        let (model, losses) = (history.model, &history.model.losses);
        if losses.is_empty() {
            return Marks::new();
        }
        let mut marks = losses.of_floor(model, history.id, &["MadePart"], part);
        marks.extend(history.not_read_of_standing_permissions(part));
        let totals = self.totals.iter().filter_map(|totals| totals.get(&part));
        marks.extend(totals.flat_map(|total| &total.not_read));
        marks.extend(self.racks.iter().flat_map(|rack| records.iter().flat_map(|made| &rack[*made].not_read)));
        marks.extend(losses.of_location(part));
        let lacking = self.lacking.iter().filter(|(drawing, _)| model.parts[part].drawing == Some(*drawing));
        marks.extend(lacking.flat_map(|(_, not_read)| not_read));
        let plates = history.graph.plates_for(part);
        for &PlatePlace { plate, jig, ref not_read, .. } in self.places.iter().filter(|at| plates.contains(&at.plate)) {
            marks.extend(not_read);
            marks.extend(history.not_read_of_plate(plate));
            marks.extend(losses.marks(|loss| loss.touches.jigs.has(jig) && loss.concerns(history.id)));
            let surveys = model.surveys.iter().enumerate().filter(|(_, survey)| survey.jig == jig);
            surveys.for_each(|(survey, _)| marks.extend(losses.of_survey(survey)));
        }
        if !plates.is_empty() {
            marks.extend(losses.marks(|loss| loss.whole && loss.may_be("Jig")));
        }
        if !model.parts[part].tools.is_empty() {
            marks.extend(losses.of_floor(model, history.id, &["FormingTool"], part));
            let lines = self.tools.iter().filter(|line| line.parts.contains(&part));
            marks.extend(lines.flat_map(|line| &line.not_read));
        }
        marks
    }

    /// The issue to make to.
    fn issue(&self, part: PartId) -> IssueToMake {
        let model = self.resolver.history().model;
        let none = |settled| IssueToMake { which: None, settled, raising: Vec::new(), as_fitted: None };
        let Some(drawing) = model.parts[part].drawing else { return none(true) };
        let mut needed: Vec<PossibleIssue> = Vec::new();
        let mut fitted: BTreeSet<PossibleIssue> = BTreeSet::new();
        for total in self.totals.iter().filter_map(|totals| totals.get(&part)) {
            match &total.issues {
                Ok(issues) => needed.extend(issues),
                Err(_) => return none(false),
            }
            fitted.extend(total.other_issues.iter().flatten());
        }
        let last = needed.iter().filter_map(|possible| possible.issue).max();
        let serves = agreement(model, Some(drawing), last, &Ok(needed.clone())).serves();
        let issues = &model.drawings[drawing].issues;
        let raising = needed.iter().filter_map(|possible| issues[possible.issue?].raised_by).collect();
        let issue = last.filter(|_| serves);
        let as_fitted = fitted.first().filter(|_| fitted.len() == 1).and_then(|possible| possible.issue);
        IssueToMake {
            which: issue,
            settled: serves,
            raising,
            as_fitted: as_fitted.filter(|fitted| Some(*fitted) != issue),
        }
    }

    /// The tools that a part is made on and that do not serve.
    fn tools_first(&self, part: PartId) -> Vec<First> {
        let model = self.resolver.history().model;
        let kinds = model.parts[part].tools.iter().filter_map(|kind| {
            let mut of_kind = self.tools.iter().filter(|line| line.kind == *kind && line.parts.contains(&part));
            if of_kind.clone().any(|line| line.verdict == ToolVerdict::Right) {
                return None;
            }
            Some(First::Tool(*kind, of_kind.find_map(|line| line.tool)))
        });
        kinds.collect()
    }

    /// Where a part is located on jigs, and what is not right there.
    fn places(&self, part: PartId) -> (Vec<(JigId, usize)>, Vec<First>) {
        let history = self.resolver.history();
        let plates = history.graph.plates_for(part);
        let (mut at, mut first) = (Vec::new(), Vec::new());
        for &PlatePlace { plate, jig, station, right, .. } in self.places.iter().filter(|at| plates.contains(&at.plate))
        {
            at.push((jig, station));
            if !right {
                first.push(First::Plate(jig, station, plate));
            }
            let set_for = history.model.jigs[jig].set_for.as_ref();
            if set_for.is_some_and(|to| to.airframe.is_another(history.id)) {
                first.push(First::JigElsewhere(jig));
            }
        }
        (at, first)
    }

    fn unfinished(&self, inside: Option<&BTreeSet<PartId>>) -> Vec<Unfinished> {
        let model = self.resolver.history().model;
        // Where the stages of work are not known, no part has one, and each that has was marked.
        let Some(stages) = model.config.stages.known() else { return Vec::new() };
        let records = model.made_parts.iter().enumerate().filter(|(_, made)| {
            inside.is_none_or(|set| set.contains(&made.part)) && made.stage.is_some_and(|stage| stage < stages.ready)
        });
        let taken = records.map(|(made, _)| {
            let not_read = self.racks.iter().flat_map(|rack| &rack[made].not_read).copied().collect();
            Unfinished { made, quantity: self.taken(made), not_read }
        });
        taken.filter(|line| line.quantity > 0 || !line.not_read.is_empty()).collect()
    }
}

/// The issue to make a part to.
struct IssueToMake {
    /// Which; `None` if the part has no drawing or it is open.
    which: Option<usize>,
    /// Whether it serves in any case.
    settled: bool,
    /// The modifications that raised those that may apply.
    raising: Vec<ModId>,
    /// The issue as fitted, where it is settled and another one.
    as_fitted: Option<usize>,
}

/// A sum; `None` if it is more than a number holds.
fn checked_sum(mut numbers: impl Iterator<Item = u64>) -> Option<u64> {
    numbers.try_fold(0_u64, u64::checked_add)
}

/// The batches of what may be made now, and of what is made and not yet treated.
fn batches(model: &Model, todo: &Todo) -> Vec<Batch> {
    let Some(heat) = model.config.heat.known() else { return Vec::new() };
    let treated = model.config.stages.known().map(|stages| stages.treated);
    let untreated = todo.unfinished.iter().filter(|line| {
        let made = &model.made_parts[line.made];
        made.reclaimed.is_none() && made.stage.zip(treated).is_some_and(|(stage, treated)| stage < treated)
    });
    let untreated = untreated.map(|line| (model.made_parts[line.made].part, line.quantity, &line.not_read));
    let to_make = todo.now.iter().chain(&todo.unknown).map(|job| (job.part, job.left, &job.not_read));
    let mut batches: BTreeMap<(String, Option<String>, usize), Batch> = BTreeMap::new();
    for (part, quantity, not_read) in to_make.chain(untreated) {
        let entry = &model.parts[part];
        let material = entry.material.as_ref().filter(|material| heat.materials.contains(material));
        let (Some(material), Some(thickness)) = (material, &entry.thickness) else { continue };
        let band = heat.band(thickness);
        let key = (material.clone(), entry.temper.clone(), band);
        let batch = batches.entry(key).or_insert_with(|| Batch {
            material: material.clone(),
            temper: entry.temper.clone(),
            band: (band.checked_sub(1).map(|at| heat.bands[at].clone()), heat.bands.get(band).cloned()),
            parts: BTreeMap::new(),
            not_read: todo.short.clone(),
        });
        batch.not_read.extend(not_read);
        *batch.parts.entry(part).or_default() += quantity;
    }
    batches.into_values().collect()
}
