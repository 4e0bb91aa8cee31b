//! Exact answers about one airframe at one date.
//!
//! A [`Resolver`] quantifies over all histories that are consistent with the rules and the claims; no answer depends
//! on anything else. It gives facts with reasons, never findings: wording is done in `check` and `report`.
//!
//! Every answer is asked on one of two bases: [`Basis::Firm`], the firm claims alone, or [`Basis::Held`], with the
//! doubtful claims held too (over all histories of all best repairs, where they cannot all hold).
//!
//! # What a history is
//!
//! For each day `t` and each modification `m` a history says whether the airframe is built, `B(t)`, and whether `m` is
//! in by its production form, `P(m,t)`, or by its retrospective form, `R(m,t)`; `I(m,t)` is short for `P(m,t)` or
//! `R(m,t)`. It is consistent if the formulas of the rules hold on every day and those of the claims that are held are
//! true. `encode` writes each formula where it is made: under a clause of the code stands what it says.
//!
//! # Why a few days suffice
//!
//! A component is not followed day by day but through *known days*: the ends of the windows of its claims, removals and
//! questions, the days before those that begin them, the ends of the build window, the days on which rules change
//! (a group is introduced, a leaflet comes out), and the target. From a history take the states of the known days, and
//! let each change wait until the known day that ends its stretch. That is a history again:
//!
//! - a rule about one day speaks of a state that the history had on a known day, and between two known days no rule
//!   changes;
//! - a rule about two neighbouring days (what is in stays in; production on the build day) is true where nothing
//!   changes, and the changes of a stretch together are one change on its last day. A removal that allowed one of them
//!   allows it there too, for its window begins and ends on known days: it holds the whole stretch or nothing of it;
//! - a claim about a day names a known day.
//!
//! Left are claims about *some* day of a window, and removals that are followed by a new embodiment: their day may lie
//! inside a stretch, with a state that neither end has. Each needs one day there, so a stretch inside `n` such windows
//! gets `n` steps of its own, no more than it has days (`steps`). The other way round every solution over the steps
//! is a history: hold each state until the next step. So a question is true in all histories exactly if it is in all
//! solutions.
//!
//! ```text
//! claims   C1: TM7 embodied by 20 June          C2: TM7 seen absent on 3 May
//! days     ... 2 May | 3 May | 4 May ... 19 June | 20 June | ... target
//! steps        .         s1           .              s2           s3
//! solution              out                          in           in
//! history  .  out       out     out ... out          in     in ... in
//! ```
//!
//! # Components
//!
//! Modifications that a rule, a group or a claim binds to each other are decided together, and apart from all others: a
//! history is a choice of one for each component, so an answer about one never needs another, and counts multiply.
//! What a claim of another component says has no bearing.
//!
//! # Contradictions
//!
//! Where the held claims of a component have no history, a *repair* drops some of them; the best ones drop the fewest
//! firm claims, then the fewest doubtful ones, then those of the weakest evidence. On the firm basis the doubtful claims
//! are not held at all. On the other every claim is, and an answer quantifies over all histories of all best repairs.
//! Other components are not touched.
//!
//! # To add a rule, or a kind of claim
//!
//! A rule: a variant of [`Rule`]; its formula in `encode` (and in `allowed`, if it binds every airframe of the type);
//! the days on which it changes in `lay_steps`; its words in `words`; the same rule, day by day, in
//! `tests/engine/reference.rs`, and types that have it in `tests/engine/small.rs`.
//!
//! A kind of claim: a variant of `model::Statement`; what it means as facts about days in `history::meaning` (its days
//! become known by themselves); what a loss of it may bear on in `lower/losses/lens.rs`; its words; and again the
//! reference and the small types of the tests.

mod cases;
mod choices;
mod components;
mod count;
mod difference;
mod encode;
mod frame_variant;
mod issues;
mod question;
mod reason;
mod steps;
mod subject;
mod sums;

pub use cases::in_cases;
pub use choices::{BrokenChoice, ChoicesCompared, judge_choices};
pub use count::Counts;
pub use difference::{Compared, Difference, StatePair, difference};
pub use frame_variant::FrameVariant;
pub use issues::{IssueView, PossibleIssue};
pub use question::{Ask, Prospect, Question, Questions, Reply, SameTold};
pub use reason::{Contradiction, Grounds};
pub use subject::{Fitted, PositionOutcome};
pub use sums::{Range, SumTerm, Tally};

use crate::graph::{DayRule, Graph};
use crate::history::{History, is_in, of_form_var, rewrite};
use crate::ids::{AirframeId, BuildStateId, ClaimId, Id, ModId, PartId};
use crate::model::Model;
use crate::prop::{Decider, Expr, Limit, Lit, Units};
use crate::quantity::Day;
use crate::schema::{Form, Standing};
use encode::{Component, Encoding, EncodingStyle, encode};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// A rule of the type or of time, as far as it concerns particular modifications.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// Nothing is in before the airframe is built.
    Built,
    /// The production form covers the serial or it does not; it goes in on the build date or never.
    CutIn(ModId),
    /// There is no retrospective form.
    NoRetrospectiveForm(ModId),
    /// The retrospective form is for other serials.
    NotEligible(ModId),
    /// Nobody embodies it before its leaflet.
    Leaflet(ModId),
    /// One form at a time.
    OneForm(ModId),
    /// What is in stays in, by the same form, until a claim that is held says that it was removed.
    Stays(ModId),
    /// The modification requires another: which of its list.
    Requires(ModId, usize),
    /// The first says that it excludes the second.
    Excludes(ModId, ModId),
    /// A one-of group (an index).
    OneOf(usize),
    /// The named build state adds the modification.
    Added(ModId),
    /// The named build state leaves the modification out.
    LeftOut(ModId),
}

impl Rule {
    fn of_day(rule: &DayRule) -> Rule {
        match rule {
            DayRule::Requires(m, which) => Rule::Requires(*m, *which),
            DayRule::Excludes(a, b) => Rule::Excludes(*a, *b),
            DayRule::OneOf(group) => Rule::OneOf(*group),
        }
    }
}

/// One link of a reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// A rule.
    Rule(Rule),
    /// A claim.
    Claim(ClaimId),
}

/// On which claims an answer rests.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Basis {
    /// The firm claims alone.
    Firm,
    /// The doubtful ones held as well; over all best repairs where not all can hold.
    Held,
}

/// What the consistent histories say of something that is true or false in each of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Truth {
    /// True in all.
    Always,
    /// True in none.
    Never,
    /// True in some and false in others.
    Open,
    /// There is no consistent history.
    NoHistory,
    /// Not decided: a limit was met on the way.
    Undecided(Limit),
}

/// The state that is asked about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// At the end of this day.
    pub day: Day,
    /// With the choices of this named build state made.
    pub build_state: Option<BuildStateId>,
}

/// Bounds on exact work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Decision-diagram nodes for counting.
    pub nodes: usize,
    /// Smallest repairs of one component of contradictions.
    pub repairs: usize,
    /// Up to so many values that a sum may come to are asked for one by one; beyond, its ends are optimised.
    pub values: usize,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits { nodes: 1 << 20, repairs: 1000, values: 64 }
    }
}

/// Why an airframe cannot be asked about at a date.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotYetBuilt {
    /// The day by which it was certainly built.
    pub built_by: Day,
}

/// One airframe, ready to answer about one date or one named build state.
#[derive(Debug)]
pub struct Resolver<'m> {
    history: History<'m>,
    target: Target,
    limits: Limits,
    components: Vec<DecidedComponent>,
    component_of: Vec<Option<usize>>,
    merged: BTreeMap<Vec<usize>, MergedComponents>,
    /// What was found of settled expressions, for each basis.
    truths: [HashMap<Expr, Truth>; 2],
    /// When each part asked about is fitted.
    fitted: RefCell<HashMap<PartId, Expr>>,
    counting: Option<count::Counting>,
}

/// A component with its requirements and what its claims allow.
#[derive(Debug)]
struct DecidedComponent {
    members: Component,
    encoding: Encoding,
    /// Holds all requirements of the encoding, if it was needed; the merging of this component alone takes it over.
    decider: Option<Decider>,
    /// What follows directly once every claim is held, if all can hold.
    units: Option<Units>,
    /// Whether no claim is doubtful, so that all claims are held on both bases.
    all_firm: bool,
    /// For each basis, the sets of claims dropped in each best repair: one empty set if all can hold, none if nothing
    /// helps.
    dropped: [Result<Vec<BTreeSet<ClaimId>>, Limit>; 2],
}

impl DecidedComponent {
    fn new(history: &History<'_>, component: Component, target: Target, limits: Limits) -> DecidedComponent {
        let encoding = encode(history, &component, target, EncodingStyle::Plain);
        let claims = &history.airframe().claims;
        let doubtful: BTreeSet<ClaimId> =
            (component.claims.iter().copied()).filter(|claim| claims[*claim].standing == Standing::Doubtful).collect();
        let all_firm = doubtful.is_empty();
        let nothing_dropped = || Ok(vec![BTreeSet::new()]);
        let units = encoding.units();
        if all_firm && units.as_ref().is_some_and(|units| units.rest.is_empty()) {
            return DecidedComponent {
                members: component,
                encoding,
                decider: None,
                units,
                all_firm,
                dropped: [nothing_dropped(), nothing_dropped()],
            };
        }
        let mut decider = Decider::new(encoding.vars);
        encoding.require_in(&mut decider, 0);
        let all_hold = encoding.possible_without(&mut decider, &BTreeSet::new());
        // That all claims hold says nothing of the firm ones alone: a doubtful one may say that something was removed.
        let firm_hold = if all_firm { all_hold } else { encoding.possible_without(&mut decider, &doubtful) };
        let firm = firm_hold.map(|hold| hold.then(BTreeSet::new).into_iter().collect());
        let held = match all_hold {
            Ok(true) => nothing_dropped(),
            Ok(false) => reason::best_repairs(history, &component, &encoding, &mut decider, limits),
            Err(limit) => Err(limit),
        };
        let units = units.filter(|_| all_hold == Ok(true));
        DecidedComponent {
            members: component,
            encoding,
            decider: Some(decider),
            units,
            all_firm,
            dropped: [firm, held],
        }
    }
    /// What follows directly on a basis, where every claim is held on it and all can hold. Not where the named build
    /// state chooses: the choice may leave no history.
    fn units(&self, basis: Basis) -> Option<&Units> {
        let useful = !self.encoding.is_rebuilt() && (self.all_firm || basis == Basis::Held);
        self.units.as_ref().filter(|_| useful)
    }
    fn dropped(&self, basis: Basis) -> &Result<Vec<BTreeSet<ClaimId>>, Limit> {
        &self.dropped[basis as usize]
    }
    /// The claims that are not held, given the basis and what a repair drops.
    fn off(&self, history: &History<'_>, basis: Basis, dropped: &BTreeSet<ClaimId>) -> BTreeSet<ClaimId> {
        let claims = &history.airframe().claims;
        let is_off = |claim: &ClaimId| {
            dropped.contains(claim) || (basis == Basis::Firm && claims[*claim].standing == Standing::Doubtful)
        };
        self.members.claims.iter().copied().filter(is_off).collect()
    }
}

impl Encoding {
    /// Requires everything of the decider, with every variable moved up.
    fn require_in(&self, decider: &mut Decider, offset: u32) {
        for expr in &self.always {
            decider.require(&shifted(expr, offset));
        }
        for (guard, expr) in &self.guarded {
            let guard = Lit { var: guard.var + offset, ..*guard };
            decider.require_if(guard, &shifted(expr, offset));
        }
    }
    /// Every switch, on or off: the named build state's choices are always made.
    fn switched<'e>(&'e self, off: &'e BTreeSet<ClaimId>) -> impl Iterator<Item = Lit> + 'e {
        let switches = self.switches.iter().map(|(reason, lit)| match reason {
            Reason::Claim(claim) if off.contains(claim) => !*lit,
            Reason::Claim(_) | Reason::Rule(_) => *lit,
        });
        switches.chain(self.chosen)
    }
    /// What follows directly with all claims held and no choice made; `None` if they turn out not to hold together.
    fn units(&self) -> Option<Units> {
        let held = self.switches.values().copied();
        let on = |guard: &Lit| Some(*guard) != self.chosen;
        let guarded = self.guarded.iter().filter(|(guard, _)| on(guard)).map(|(_, expr)| expr);
        Units::of(self.vars, held, self.always.iter().chain(guarded))
    }
    fn possible_without(&self, decider: &mut Decider, off: &BTreeSet<ClaimId>) -> Result<bool, Limit> {
        let assumed: Vec<Lit> = self.switched(off).filter(|lit| Some(*lit) != self.chosen).collect();
        decider.possible(&assumed)
    }
}

/// Several components in one decider, so that a question may touch all of them.
#[derive(Debug)]
struct MergedComponents {
    decider: Decider,
    offsets: Vec<(usize, u32)>,
    bases: [Lit; 2],
    seen: [Vec<Vec<bool>>; 2],
    literals: HashMap<Expr, Lit>,
}

/// Of which state an expression speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum StateMeant {
    /// Of the state asked about, with the named build state's choices made.
    Asked,
    /// Of the airframe as it was on the date.
    Found,
}

/// Assignments that are remembered for each merging and basis, to answer "possible" without asking again.
const REMEMBERED: usize = 24;

impl<'m> Resolver<'m> {
    /// Makes ready to answer.
    ///
    /// # Errors
    /// If the airframe was not certainly built by the date.
    pub fn new(
        model: &'m Model,
        graph: &'m Graph,
        airframe: AirframeId,
        target: Target,
        limits: Limits,
    ) -> Result<Resolver<'m>, NotYetBuilt> {
        let history = History::new(model, graph, airframe);
        if target.day < history.built.1 {
            return Err(NotYetBuilt { built_by: history.built.1 });
        }
        let components = components::split(&history, target);
        let components: Vec<DecidedComponent> = components
            .into_iter()
            .map(|component| DecidedComponent::new(&history, component, target, limits))
            .collect();
        let mut component_of = vec![None; model.mods.len()];
        for (index, component) in components.iter().enumerate() {
            for m in &component.members.mods {
                component_of[m.index()] = Some(index);
            }
        }
        let (merged, truths) = (BTreeMap::new(), [HashMap::new(), HashMap::new()]);
        let (fitted, counting) = (RefCell::default(), None);
        Ok(Resolver { history, target, limits, components, component_of, merged, truths, fitted, counting })
    }

    /// The airframe as the records give it.
    #[must_use]
    pub fn history(&self) -> &History<'m> {
        &self.history
    }

    /// The state that is asked about.
    #[must_use]
    pub fn target(&self) -> Target {
        self.target
    }

    /// Whether the claims of a basis have a consistent history.
    #[must_use]
    pub fn is_consistent(&self, basis: Basis) -> bool {
        self.components.iter().all(|component| component.dropped(basis).as_ref().is_ok_and(|sets| !sets.is_empty()))
    }

    /// Whether some doubtful claim, or some contradiction among claims, makes the two bases differ at all.
    #[must_use]
    pub fn has_two_bases(&self) -> bool {
        let claims = &self.history.airframe().claims;
        claims.iter().any(|(_, _, claim)| claim.standing == Standing::Doubtful) || !self.is_consistent(Basis::Firm)
    }

    /// What the histories of a basis say of an expression over state variables, in the state asked about.
    pub fn truth(&mut self, expr: &Expr, basis: Basis) -> Truth {
        if !self.history.reach.expr(expr).is_empty() {
            return Truth::Undecided(Limit::NotRead);
        }
        let expr = self.settle(expr);
        if let Expr::Const(value) = expr {
            return if value { Truth::Always } else { Truth::Never };
        }
        if let Some(known) = self.truths[basis as usize].get(&expr) {
            return *known;
        }
        let truth = match self.possible_both_ways(&expr, basis) {
            Err(limit) => Truth::Undecided(limit),
            Ok((false, false)) => Truth::NoHistory,
            Ok((true, false)) => Truth::Always,
            Ok((false, true)) => Truth::Never,
            Ok((true, true)) => Truth::Open,
        };
        self.truths[basis as usize].insert(expr, truth);
        truth
    }

    /// Whether some history of the basis makes the expression true. `given` restricts the histories further.
    pub(crate) fn possible(&mut self, expr: &Expr, given: &Expr, basis: Basis) -> Result<bool, Limit> {
        self.read_whole([expr, given])?;
        let asked = Expr::all([self.settle(expr), self.settle(given)]);
        self.possible_settled(&asked, &Expr::Const(true), basis)
    }

    /// Whether some history of the basis makes `asked` true in the state asked about and `found` true of the airframe
    /// as it was on the date: before the named build state's choices, which no relic and no record shows.
    fn possible_where(&mut self, asked: &Expr, found: &Expr, basis: Basis) -> Result<bool, Limit> {
        self.read_whole([asked, found])?;
        let (asked, found) = (self.settle(asked), self.settle(found));
        self.possible_settled(&asked, &found, basis)
    }

    /// Refuses expressions of which something was not read.
    fn read_whole<'e>(&self, exprs: impl IntoIterator<Item = &'e Expr>) -> Result<(), Limit> {
        let read = |expr: &Expr| self.history.reach.expr(expr).is_empty();
        if exprs.into_iter().all(read) { Ok(()) } else { Err(Limit::NotRead) }
    }

    fn possible_settled(&mut self, asked: &Expr, found: &Expr, basis: Basis) -> Result<bool, Limit> {
        if [asked, found].contains(&&Expr::Const(false)) {
            return Ok(false);
        }
        // The two speak of two states, so that one does not contradict the other as written.
        let mut components = components::touched(&self.component_of, asked);
        components.extend(components::touched(&self.component_of, found));
        let components: Vec<usize> = components.into_iter().collect();
        if components.is_empty() {
            return Ok(true);
        }
        match [(asked, StateMeant::Asked), (found, StateMeant::Found)]
            .map(|(expr, read)| self.follows(&components, expr, read, basis))
        {
            [Some(false), _] | [_, Some(false)] => return Ok(false),
            [Some(true), Some(true)] => return Ok(true),
            _ => {}
        }
        for &component in &components {
            self.components[component].dropped(basis).as_ref().map_err(|limit| *limit)?;
        }
        // A named build state may leave no history, also where nothing asked about hangs on its choices.
        let is_rebuilt = components.iter().any(|component| self.components[*component].encoding.is_rebuilt());
        let each_has_a_history =
            || components.iter().all(|component| self.components[*component].dropped(basis) != &Ok(Vec::new()));
        if !is_rebuilt && components.len() > 1 && each_has_a_history() {
            return self.possible_apart(Expr::all([asked.clone(), found.clone()]), basis);
        }
        let asked = self.in_merged(&components, asked, StateMeant::Asked);
        let found = self.in_merged(&components, found, StateMeant::Found);
        let whole = Expr::all([asked, found]);
        if let Expr::Const(value) = whole
            && !is_rebuilt
        {
            return Ok(value
                && components.iter().all(|component| self.components[*component].dropped(basis) != &Ok(Vec::new())));
        }
        let merged = self.merged.get_mut(&components).expect("they were merged when the expression was put into it");
        merged.possible(&whole, basis)
    }

    /// Whether some history of the basis makes the expression true, which touches several components; each has a history and
    /// in none does the named build state choose. What is true of one component leaves the others free: such parts are asked
    /// one by one, and few questions are left that touch several.
    fn possible_apart(&mut self, expr: Expr, basis: Basis) -> Result<bool, Limit> {
        let components: Vec<usize> = components::touched(&self.component_of, &expr).into_iter().collect();
        if let Some(value) = self.follows(&components, &expr, StateMeant::Asked, basis) {
            return Ok(value);
        }
        match expr {
            Expr::Any(parts) if components.len() > 1 => {
                // One that is possible is enough, whatever was not decided before it.
                let mut met = Ok(false);
                for part in parts {
                    match self.possible_apart(part, basis) {
                        Ok(true) => return Ok(true),
                        Ok(false) => {}
                        Err(limit) => met = Err(limit),
                    }
                }
                met
            }
            Expr::All(parts) if components.len() > 1 => {
                let mut groups: Vec<(BTreeSet<usize>, Vec<Expr>)> = Vec::new();
                for part in parts {
                    let touched = components::touched(&self.component_of, &part);
                    let bound =
                        groups.extract_if(.., |(components, _)| !components.is_disjoint(&touched)).collect::<Vec<_>>();
                    let mut group = (touched, vec![part]);
                    for (components, parts) in bound {
                        group.0.extend(components);
                        group.1.extend(parts);
                    }
                    groups.push(group);
                }
                if let [_] = groups.as_slice() {
                    return self.possible_jointly(&components, &Expr::all(groups.swap_remove(0).1), basis);
                }
                let mut met = Ok(true);
                for (_, parts) in groups {
                    match self.possible_apart(Expr::all(parts), basis) {
                        Ok(true) => {}
                        Ok(false) => return Ok(false),
                        Err(limit) => met = Err(limit),
                    }
                }
                met
            }
            expr @ (Expr::Const(_) | Expr::Lit(_) | Expr::Any(_) | Expr::All(_)) => {
                self.possible_jointly(&components, &expr, basis)
            }
        }
    }

    fn possible_jointly(&mut self, components: &[usize], expr: &Expr, basis: Basis) -> Result<bool, Limit> {
        let expr = self.in_merged(components, expr, StateMeant::Asked);
        if let Expr::Const(value) = expr {
            return Ok(value);
        }
        self.merged
            .get_mut(components)
            .expect("they were merged when the expression was put into it")
            .possible(&expr, basis)
    }

    /// Whether some history of the basis makes an expression over the variables of one component true.
    fn possible_in(&mut self, component: usize, expr: &Expr, basis: Basis) -> Result<bool, Limit> {
        if let Some(Expr::Const(value)) = self.components[component].units(basis).map(|units| units.with(expr)) {
            return Ok(value);
        }
        let components = vec![component];
        self.in_merged(&components, &Expr::Const(true), StateMeant::Asked);
        self.merged.get_mut(&components).expect("they were just merged").possible(expr, basis)
    }

    fn possible_both_ways(&mut self, expr: &Expr, basis: Basis) -> Result<(bool, bool), Limit> {
        let always = Expr::Const(true);
        Ok((self.possible(expr, &always, basis)?, self.possible(&!expr.clone(), &always, basis)?))
    }

    /// The expression with everything folded away that the serial alone settles.
    fn settle(&self, expr: &Expr) -> Expr {
        rewrite(expr, &|var| {
            let (m, form) = of_form_var(var);
            match self.component_of.get(m.index()) {
                Some(Some(_)) | None => Expr::var(var),
                Some(None) => Expr::Const(form == Form::Production && self.history.possible[m.index()].covered),
            }
        })
    }

    /// The value of an expression that follows directly from what these components fix; most need no more.
    fn follows(&self, components: &[usize], expr: &Expr, read: StateMeant, basis: Basis) -> Option<bool> {
        if !components.iter().all(|component| self.components[*component].units(basis).is_some()) {
            return None;
        }
        let value = rewrite(expr, &|var| {
            let (m, _) = of_form_var(var);
            let component =
                &self.components[self.component_of[m.index()].expect("settled modifications were folded away")];
            let read = component.encoding.read(&Expr::var(var), read);
            component.units(basis).map_or_else(|| read.clone(), |units| units.with(&read))
        });
        if let Expr::Const(value) = value { Some(value) } else { None }
    }

    /// The expression over the variables of these components, merged.
    fn in_merged(&mut self, components: &[usize], expr: &Expr, read: StateMeant) -> Expr {
        if !self.merged.contains_key(components) {
            let merged = MergedComponents::new(&self.history, &mut self.components, components);
            self.merged.insert(components.to_vec(), merged);
        }
        let merged = &self.merged[components];
        let offset =
            |component: usize| merged.offsets.iter().find(|(k, _)| *k == component).map_or(0, |(_, offset)| *offset);
        rewrite(expr, &|var| {
            let (m, _) = of_form_var(var);
            let component = self.component_of[m.index()].expect("settled modifications were folded away");
            shifted(&self.components[component].encoding.read(&Expr::var(var), read), offset(component))
        })
    }
}

/// The expression with every variable moved up.
fn shifted(expr: &Expr, by: u32) -> Expr {
    rewrite(expr, &|var| Expr::var(var + by))
}

impl MergedComponents {
    fn new(history: &History<'_>, components: &mut [DecidedComponent], which: &[usize]) -> MergedComponents {
        let mut offsets = Vec::new();
        let mut vars = 0;
        for &index in which {
            offsets.push((index, vars));
            vars += components[index].encoding.vars;
        }
        let alone = if let [one] = which { components[*one].decider.take() } else { None };
        let mut decider = alone.unwrap_or_else(|| {
            let mut decider = Decider::new(vars);
            for (index, offset) in &offsets {
                components[*index].encoding.require_in(&mut decider, *offset);
            }
            decider
        });
        let bases = [decider.fresh(), decider.fresh()];
        for &(index, offset) in &offsets {
            let component = &components[index];
            for (basis, lit) in [Basis::Firm, Basis::Held].into_iter().zip(bases) {
                let repairs = component.dropped(basis).as_deref().unwrap_or_default();
                let one_of_them = repairs.iter().map(|dropped| {
                    let off = component.off(history, basis, dropped);
                    let switched = component.encoding.switched(&off);
                    Expr::all(switched.map(|switch| Expr::Lit(Lit { var: switch.var + offset, ..switch })))
                });
                decider.require_if(lit, &Expr::any(one_of_them));
            }
        }
        MergedComponents { decider, offsets, bases, seen: [Vec::new(), Vec::new()], literals: HashMap::new() }
    }

    fn possible(&mut self, expr: &Expr, basis: Basis) -> Result<bool, Limit> {
        let slot = basis as usize;
        if self.seen[slot].iter().any(|seen| expr.value(&|var| seen[var as usize])) {
            return Ok(true);
        }
        let literal = match self.literals.get(expr) {
            Some(literal) => *literal,
            None => self.decider.literal(expr),
        };
        self.literals.insert(expr.clone(), literal);
        let possible = self.decider.possible(&[self.bases[slot], literal])?;
        if possible && self.seen[slot].len() < REMEMBERED {
            let vars = self.bases[0].var;
            self.seen[slot].push((0..vars).map(|var| self.decider.value(var)).collect());
        }
        Ok(possible)
    }
}

/// Since when a modification is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Since {
    /// It was not in before this day.
    pub not_before: Day,
    /// It was in by the end of this day.
    pub by: Day,
}

/// What the histories of a basis say of one modification.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ModAnswer {
    /// Whether it is in, by any form.
    pub embodied: Truth,
    /// Whether it is in by production embodiment.
    pub by_production: Truth,
    /// Whether it is in by retrospective embodiment.
    pub by_retrospective: Truth,
    /// Since when, if it is in in all histories and not because the named build state adds it.
    pub since: Option<Since>,
}

impl Resolver<'_> {
    /// What the histories of a basis say of a modification in the state asked about.
    pub fn modification(&mut self, m: ModId, basis: Basis) -> ModAnswer {
        let [by_production, by_retrospective] =
            [Form::Production, Form::Retrospective].map(|form| self.truth(&is_in(m, Some(form)), basis));
        let embodied = match (by_production, by_retrospective) {
            (Truth::Open, Truth::Open) => self.truth(&is_in(m, None), basis),
            (Truth::Always, _) | (Truth::Open | Truth::NoHistory | Truth::Undecided(_), Truth::Never) => by_production,
            (_, other) => other,
        };
        let by_choice = self
            .target
            .build_state
            .is_some_and(|state| self.history.airframe().build_states[state].add.iter().any(|(added, ..)| *added == m));
        let since = (embodied == Truth::Always && !by_choice).then(|| self.since(m, basis));
        ModAnswer { embodied, by_production, by_retrospective, since }
    }

    /// Since when a modification is in that is in at the target date in all histories.
    fn since(&mut self, m: ModId, basis: Basis) -> Since {
        let (first_built, last_built) = self.history.built;
        let from_build = Since { not_before: first_built, by: last_built };
        let Some(component) = self.component_of[m.index()] else { return from_build };
        let encoding = &self.components[component].encoding;
        let (target, steps) = (encoding.target, encoding.steps.0.clone());
        let at: Vec<Expr> = (0..=target).map(|step| encoding.at(&is_in(m, None), step)).collect();
        let mut by = steps[target].to;
        let mut not_before = first_built;
        for step in (0..=target).rev() {
            // What was not decided is taken to be possible: the window is then wider than it need be, and not untrue.
            if self.possible_in(component, &at[step], basis) == Ok(false) {
                not_before = steps[step].to.after();
                break;
            }
            if by == steps[step + usize::from(step < target)].to
                && self.possible_in(component, &!at[step].clone(), basis) == Ok(false)
            {
                by = steps[step].to;
            }
        }
        let earliest = self.history.possible[m.index()].earliest.filter(|_| !self.history.possible[m.index()].covered);
        Since { not_before: not_before.max(earliest.unwrap_or(first_built)).max(first_built), by: by.max(first_built) }
    }
}
