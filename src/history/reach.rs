//! How far what was not read reaches: of which modifications, positions and parts of one airframe nothing can be said.
//!
//! What is lost of a modification, and a lost claim about it, may change whatever is bound to it by any chain of rules
//! and claims: the component that it belongs to. Beyond that no history changes, whatever the lost piece says, because
//! components have no bearing on each other.

use super::{History, of_form_var, of_unknown};
use crate::ids::{BuildStateId, ClaimId, FrameId, Id, ModId, PartId, PlateId, PositionId};
use crate::model::{Condition, Loss, Marks, Statement};
use crate::prop::Expr;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// What of one airframe is not known because something was not read.
#[derive(Debug, Default)]
pub struct Reach {
    /// Whether anything at all was lost.
    is_short: bool,
    /// For each modification; empty if nothing at all was lost.
    mods: Vec<Marks>,
    /// For each claim, what was lost of what it says was seen; empty if nothing at all was lost.
    claims: Vec<Marks>,
    /// What was found of when parts are fitted.
    fitted: RefCell<HashMap<PartId, Marks>>,
}

impl Reach {
    /// How far the losses of the model reach in a history.
    #[must_use]
    pub(super) fn of(history: &History<'_>) -> Reach {
        if history.model.losses.is_empty() {
            return Reach::default();
        }
        let mut reach = Reach {
            is_short: true,
            mods: vec![Marks::new(); history.model.mods.len()],
            claims: vec![Marks::new(); history.airframe().claims.len()],
            fitted: RefCell::default(),
        };
        for (id, loss) in history.model.losses.iter().filter(|(_, loss)| loss.concerns(history.id)) {
            for m in history.model.mods.ids().filter(|m| loss.touches.mods.has(*m)) {
                reach.mods[m.index()].insert(id);
            }
            for (claim, _, written) in history.airframe().claims.iter() {
                if leans_on(history, &written.says, loss) {
                    reach.claims[claim.index()].insert(id);
                    let stated = history.meanings[claim.index()].mods();
                    let mods = history.model.mods.ids().filter(|m| loss.touches.seen.has(*m) || stated.contains(m));
                    mods.for_each(|m| reach.mods[m.index()].extend([id]));
                }
            }
        }
        reach.spread(history);
        let causes = |marks: &mut Marks| {
            *marks = marks.iter().flat_map(|id| &history.model.losses.get(*id).causes).copied().collect();
        };
        reach.mods.iter_mut().chain(&mut reach.claims).for_each(causes);
        reach
    }

    /// Carries each mark to whatever is bound to what it marks.
    fn spread(&mut self, history: &History<'_>) {
        let mut group: Vec<usize> = (0..self.mods.len()).collect();
        let rules = history.graph.day_rules().iter().map(|(_, mods)| mods.clone());
        let claims = history.meanings.iter().map(|meaning| meaning.mods().into_iter().collect());
        for mods in rules.chain(claims) {
            let Some(first) = mods.first().map(|m| root(&mut group, m.index())) else { continue };
            for m in &mods {
                let other = root(&mut group, m.index());
                group[other] = first;
            }
        }
        // What is lost binds together whatever it touches.
        for id in history.model.losses.iter().map(|(id, _)| id) {
            let touched: Vec<usize> = (0..self.mods.len()).filter(|m| self.mods[*m].contains(&id)).collect();
            let Some(first) = touched.first().map(|m| root(&mut group, *m)) else { continue };
            for m in touched {
                let other = root(&mut group, m);
                group[other] = first;
            }
        }
        if history.built.0 < history.built.1 {
            self.spread_by_build_date(history, &mut group);
        }
        let mut marks: HashMap<usize, Marks> = HashMap::new();
        for m in 0..self.mods.len() {
            marks.entry(root(&mut group, m)).or_default().extend(&self.mods[m]);
        }
        for m in 0..self.mods.len() {
            self.mods[m].clone_from(&marks[&root(&mut group, m)]);
        }
    }

    /// Ties together whatever happens near the build date, which is not known to the day: what is lost may say more of it.
    fn spread_by_build_date(&mut self, history: &History<'_>, group: &mut [usize]) {
        let of_claims = ["Claim", "Assumption"];
        let may_date = |loss: &Loss| loss.concerns(history.id) && of_claims.iter().any(|kind| loss.may_be(kind));
        let losses = history.model.losses.iter();
        let dating: Marks = losses.filter(|(_, loss)| may_date(loss)).map(|(id, _)| id).collect();
        let mut members: BTreeMap<usize, (Vec<ModId>, Vec<ClaimId>)> = BTreeMap::new();
        for m in history.model.mods.ids() {
            members.entry(root(group, m.index())).or_default().0.push(m);
        }
        for claim in history.airframe().claims.ids() {
            if let Some(m) = history.meanings[claim.index()].mods().first() {
                members.entry(root(group, m.index())).or_default().1.push(claim);
            }
        }
        let is_near = |mods: &[ModId], claims: &[ClaimId]| {
            mods.iter().any(|m| !self.mods[m.index()].is_empty()) || history.is_near_build(mods, claims)
        };
        let near = members.into_iter().filter(|(_, (mods, claims))| is_near(mods, claims)).map(|(root, _)| root);
        let near: Vec<usize> = near.collect();
        for other in &near {
            self.mods[*other].extend(&dating);
            group[*other] = near[0];
        }
    }

    /// What may bear on a modification.
    #[must_use]
    pub fn modification(&self, m: ModId) -> Marks {
        self.mods.get(m.index()).cloned().unwrap_or_default()
    }

    /// What was lost of the place, frame or plate at which a claim says that something was seen.
    #[must_use]
    pub fn claim(&self, claim: ClaimId) -> Marks {
        self.claims.get(claim.index()).cloned().unwrap_or_default()
    }

    /// What may bear on any modification.
    #[must_use]
    pub fn any_modification(&self) -> Marks {
        self.mods.iter().flatten().copied().collect()
    }

    /// What may bear on an expression over state variables.
    #[must_use]
    pub fn expr(&self, expr: &Expr) -> Marks {
        let mut marks = Marks::new();
        if self.is_short {
            expr.each_var(&mut |var| match of_unknown(var) {
                Some(loss) => marks.extend([loss]),
                None => marks.extend(self.modification(of_form_var(var).0)),
            });
        }
        marks
    }

    /// What may bear on a condition.
    #[must_use]
    pub fn condition(&self, condition: &Condition) -> Marks {
        let mut marks = Marks::new();
        if self.is_short {
            condition.each_mod(&mut |m| marks.extend(self.modification(m)));
        }
        marks
    }

    /// Whether nothing was lost.
    fn whole(&self) -> bool {
        !self.is_short
    }
}

/// The group of a member, with shorter ways to it.
fn root(group: &mut [usize], of: usize) -> usize {
    let mut at = of;
    while group[at] != at {
        group[at] = group[group[at]];
        at = group[at];
    }
    at
}

/// Whether what a claim says was seen leans on what a loss touches.
fn leans_on(history: &History<'_>, says: &Statement, loss: &Loss) -> bool {
    let (model, touches) = (history.model, &loss.touches);
    let placed = |part: PartId| {
        let places = history.graph.places_of(part);
        touches.placed.has(part) || places.iter().any(|(position, _)| touches.positions.has(*position))
    };
    match says {
        Statement::Embodied(..) | Statement::NotEmbodied(_) | Statement::Removed(_) => false,
        Statement::SeenAt(position, _) => touches.positions.has(*position),
        Statement::SeenSplice(frame, ..) => {
            touches.frames.has(*frame) || model.frames[*frame].segments.iter().any(|segment| placed(segment.part))
        }
        Statement::SeenPattern(plate) => {
            touches.plates.has(*plate) || model.plates[*plate].locates.iter().any(|part| placed(*part))
        }
    }
}

impl History<'_> {
    /// What was lost of a position's own record: its candidates and their conditions.
    #[must_use]
    pub fn lost_of_position(&self, position: PositionId) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        self.model.losses.marks(|loss| loss.touches.positions.has(position))
    }

    /// What may hold a place for a part that the model does not have.
    #[must_use]
    pub fn lost_places_of(&self, part: PartId) -> Marks {
        if self.reach.whole() { Marks::new() } else { self.model.losses.marks(|loss| loss.touches.placed.has(part)) }
    }

    /// What may bear on what is fitted at a position, once the assembly around it is.
    #[must_use]
    pub fn not_read_here(&self, position: PositionId) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let mut marks = self.lost_of_position(position);
        let written = &self.model.positions[position];
        for condition in written.candidates.iter().map(|candidate| &candidate.when).chain(&written.nothing_when) {
            marks.extend(self.reach.condition(condition));
        }
        marks
    }

    /// What may bear on what is fitted at a position, and on whether there is such a place.
    #[must_use]
    pub fn not_read_at(&self, position: PositionId) -> Marks {
        let mut marks = self.not_read_here(position);
        marks.extend(self.not_read_of_fitting(self.model.positions[position].assembly));
        marks
    }

    /// What may bear on whether a part is fitted, and where.
    #[must_use]
    pub fn not_read_of_fitting(&self, part: PartId) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        if let Some(known) = self.reach.fitted.borrow().get(&part) {
            return known.clone();
        }
        // A loop of containment is cut at its first part.
        self.reach.fitted.borrow_mut().insert(part, Marks::new());
        let is_airframe = self.model.type_of.as_ref().is_some_and(|t| t.airframe == part);
        let mut marks = Marks::new();
        if !is_airframe {
            marks = self.lost_places_of(part);
            let positions: BTreeSet<PositionId> = self.graph.places_of(part).into_iter().map(|(at, _)| at).collect();
            for position in positions {
                marks.extend(self.not_read_at(position));
            }
        }
        self.reach.fitted.borrow_mut().insert(part, marks.clone());
        marks
    }

    /// What may bear on what an assembly contains: on every position below it, as far as it is fitted.
    #[must_use]
    pub fn not_read_below(&self, assembly: PartId) -> Marks {
        let mut marks = self.not_read_inside(assembly);
        if !self.reach.whole() {
            for position in self.graph.positions_below(assembly) {
                marks.extend(self.not_read_here(position));
                marks.extend(self.not_read_inside(self.model.positions[position].assembly));
                for candidate in &self.model.positions[position].candidates {
                    marks.extend(self.not_read_inside(candidate.part));
                }
            }
        }
        marks
    }

    /// What may hold positions of an assembly that the model does not have.
    #[must_use]
    pub fn not_read_inside(&self, assembly: PartId) -> Marks {
        if self.reach.whole() { Marks::new() } else { self.model.losses.marks(|loss| loss.touches.below.has(assembly)) }
    }

    /// What may bear on which segments and splices a frame has.
    #[must_use]
    pub fn not_read_of_frame(&self, frame: FrameId) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let written = &self.model.frames[frame];
        let mut marks = self.model.losses.of_frame(frame);
        marks.extend(self.not_read_of_fitting(written.assembly));
        marks.extend(self.not_read_below(written.assembly));
        for part in written.segments.iter().map(|segment| segment.part) {
            marks.extend(self.not_read_of_fitting(part));
        }
        for opening in &written.openings {
            marks.extend(self.reach.condition(&opening.when));
            opening.bridged_by.iter().for_each(|part| marks.extend(self.not_read_of_fitting(*part)));
        }
        for part in written.splice_points.iter().flat_map(|point| &point.joined_by) {
            marks.extend(self.not_read_of_fitting(*part));
        }
        marks
    }

    /// What may bear on whether a plate definition is needed.
    #[must_use]
    pub fn not_read_of_plate(&self, plate: PlateId) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let mut marks = self.model.losses.of_plate(plate);
        for part in &self.model.plates[plate].locates {
            marks.extend(self.not_read_of_fitting(*part));
        }
        marks
    }

    /// What may bear on which issue of its drawing applies to a part, fitted when the expression says.
    #[must_use]
    pub fn not_read_of_issue(&self, part: PartId, fitted: &Expr) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let mut marks = self.reach.expr(fitted);
        marks.extend(self.model.losses.of_issue(self.model, part));
        if let Some(drawing) = self.model.parts[part].drawing {
            for raised in self.model.drawings[drawing].issues.iter().filter_map(|issue| issue.raised_by) {
                marks.extend(self.reach.modification(raised));
            }
        }
        marks
    }

    /// What may bear on a row that lists a part fitted when the expression says: its record, the issue of its drawing,
    /// the permissions given for it.
    #[must_use]
    pub fn not_read_of_listing(&self, part: PartId, fitted: &Expr) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let mut marks = self.not_read_of_issue(part, fitted);
        marks.extend(self.not_read_of_permissions(part));
        marks
    }

    /// What may bear on which permissions are given for a part.
    fn not_read_of_permissions(&self, part: PartId) -> Marks {
        self.model.losses.of_floor(self.model, self.id, &["Concession", "DeviationPermit"], part)
    }

    /// What may bear on which permissions are given for a part, and on whether they have run out: by the shop's own
    /// records.
    #[must_use]
    pub fn not_read_of_standing_permissions(&self, part: PartId) -> Marks {
        let losses = &self.model.losses;
        let mut marks = self.not_read_of_permissions(part);
        let of_part = self.model.deviations.iter().filter(|permission| permission.part == part);
        let ends = of_part.filter_map(|permission| permission.expires.as_ref()?.end);
        let dated = ["MadePart", "Jig", "Survey", "Concession", "DeviationPermit", "Decision"];
        for end in ends {
            let may_date = |loss: &Loss| dated.iter().any(|kind| loss.may_be(kind)) && loss.may_date_after(end);
            marks.extend(losses.marks(may_date));
        }
        marks
    }

    /// What may bear on the heading of an answer about the airframe: which airframe and state it is, what the build
    /// state chooses, what is assumed, whether the claims agree.
    #[must_use]
    pub fn not_read_of_asking(&self, state: Option<BuildStateId>) -> Marks {
        if self.reach.whole() {
            return Marks::new();
        }
        let losses = &self.model.losses;
        let mut marks = self.reach.any_modification();
        marks.extend(self.reach.claims.iter().flatten());
        marks.extend(losses.of_kinds(&["Type"]));
        marks.extend(losses.of_dossier(self.id, &["Airframe", "Claim", "Assumption"]));
        if let Some(state) = state {
            marks.extend(losses.of_build_state(self.id, self.airframe().build_states.name(state)));
        }
        marks
    }
}

/// The marks of several things together.
#[must_use]
pub fn together(marks: impl IntoIterator<Item = Marks>) -> Marks {
    marks.into_iter().flatten().collect()
}
