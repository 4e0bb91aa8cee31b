//! The variant at a position, and where a part is fitted.

use super::asked::{Asked, Both, STAR, Say, when_words};
use super::mark_text;
use super::reasons::Because;
use crate::history::together;
use crate::ids::{ModId, PartId, PositionId};
use crate::layout::{Page, PageTable};
use crate::model::{Marks, Model};
use crate::prop::{Expr, Limit};
use crate::resolve::{Basis, Fitted, IssueView, PossibleIssue, Resolver, Truth};
use crate::source::Sources;
use serde::Serialize;
use std::collections::BTreeSet;

/// The variant at a position.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PositionReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The position.
    pub position: String,
    /// What it is called.
    pub name: Option<String>,
    /// Its assembly.
    pub assembly: String,
    /// Whether the assembly is fitted at all.
    pub assembly_fitted: Both<Say>,
    /// Whether one variant is certain.
    pub standing: Both<Say>,
    /// Every variant of the parts list, those that no history has included; last, if that is possible, that the assembly
    /// is not fitted.
    pub variants: Vec<PositionVariant>,
    /// Why the settled variant is the one, under the firm claims, or else with the doubtful ones held.
    pub because: Because,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// One variant of a position.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PositionVariant {
    /// The part; `null`: nothing is fitted, or (if `gap`) the parts list has no candidate, or (if `no_assembly`) the
    /// assembly around the position is not fitted.
    pub part: Option<String>,
    /// What the part is.
    pub description: Option<String>,
    /// How many.
    pub quantity: u32,
    /// Whether no candidate of the parts list holds.
    pub gap: bool,
    /// Whether the assembly around the position is not fitted, so that there is no such place.
    pub no_assembly: bool,
    /// When it is the one, in words.
    pub when: String,
    /// Whether it is the one.
    pub standing: Both<Say>,
    /// How many distinct states of the modifications that the position depends on select it: a count, never a
    /// likelihood. A decimal number as text; `null` if counting met a limit.
    pub states: Both<Option<String>>,
    /// The drawing issues that may apply.
    #[serde(flatten)]
    pub issues: PartIssues,
    /// The jig plates that locate the part.
    pub plates: Vec<String>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A part: where it may be fitted, and what it is made up of.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PartReport {
    /// Which airframe and state.
    pub asked: Asked,
    /// The part number.
    pub part: String,
    /// What it is.
    pub description: String,
    /// Whether it is fitted anywhere on the airframe.
    pub fitted: Both<Say>,
    /// When it is fitted, in words.
    pub when: String,
    /// The drawing.
    pub drawing: Option<String>,
    /// The drawing issues that may apply.
    #[serde(flatten)]
    pub issues: PartIssues,
    /// The jig plates that locate it.
    pub plates: Vec<String>,
    /// The positions of the parts list that may take it.
    pub places: Vec<PartPlace>,
    /// Its own positions, if it is an assembly.
    pub contents: Vec<ContentLine>,
    /// What was not read and bears on its heading or its counts.
    #[serde(skip)]
    pub not_read: Marks,
}

/// A position that may take a part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PartPlace {
    /// The position.
    pub position: String,
    /// What it is called.
    pub name: Option<String>,
    /// Whether this part is the one there.
    pub standing: Both<Say>,
    /// When it is, in words.
    pub when: String,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// A position of an assembly with what is fitted there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ContentLine {
    /// The position.
    pub position: String,
    /// What it is called.
    pub name: Option<String>,
    /// What may be fitted, on each basis; one: it is settled.
    pub fitted: Both<Vec<String>>,
    /// What was not read and bears on it.
    #[serde(skip_serializing_if = "Marks::is_empty")]
    pub not_read: Marks,
}

/// The word for a place that is not there, the assembly around it not being fitted.
pub(crate) const NO_ASSEMBLY: &str = "(no assembly)";

/// What is fitted, in words.
pub(crate) fn fitted_words(resolver: &Resolver<'_>, fitted: Option<Fitted>) -> String {
    match fitted {
        Some(Fitted::Part(part, 1)) => resolver.history().model.parts.name(part).to_owned(),
        Some(Fitted::Part(part, quantity)) => format!("{quantity} x {}", resolver.history().model.parts.name(part)),
        Some(Fitted::Nothing) => "nothing".to_owned(),
        Some(Fitted::Gap) => "no candidate of the parts list".to_owned(),
        None => NO_ASSEMBLY.to_owned(),
    }
}

/// The drawing issues that may apply to a part, by name, under the firm claims; one: it is settled.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct PartIssues {
    /// As it is fitted.
    pub issues: Vec<String>,
    /// To make it to, where they are others.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub issues_to_make: Option<Vec<String>>,
}

impl PartIssues {
    /// The issues of a part that is fitted when an expression says.
    pub(crate) fn of(resolver: &mut Resolver<'_>, part: PartId, fitted: &Expr) -> PartIssues {
        let model = resolver.history().model;
        let Some(drawing) = model.parts[part].drawing else { return PartIssues::default() };
        let (as_fitted, to_make) = resolver.issues_in_both_views(part, fitted, IssueView::AsFitted, Basis::Firm);
        let name = |issue: &PossibleIssue| match issue.issue {
            Some(index) => model.drawings[drawing].issues[index].issue.clone(),
            None => "none".to_owned(),
        };
        let names = |found: &Result<Vec<PossibleIssue>, Limit>| match found {
            Err(Limit::NotRead) => vec!["not read".to_owned()],
            Err(limit) => vec![format!("undecided ({limit})")],
            Ok(possible) => possible.iter().map(name).collect(),
        };
        let issues_to_make = (as_fitted != to_make).then(|| names(&to_make));
        PartIssues { issues: names(&as_fitted), issues_to_make }
    }
    /// Whether it is settled which issue applies, in both views alike.
    pub(crate) fn is_settled(&self) -> bool {
        self.issues.len() < 2 && self.issues_to_make.is_none()
    }
    /// All of them in one line; empty if none applies.
    pub(crate) fn words(&self, join: &str) -> String {
        let to_make = self.issues_to_make.as_ref().map(|issues| format!(" (to make: {})", issues.join(join)));
        format!("{}{}", self.issues.join(join), to_make.unwrap_or_default())
    }
}

/// The plates that locate a part.
pub(crate) fn plates_of(resolver: &Resolver<'_>, part: PartId) -> Vec<String> {
    let history = resolver.history();
    history.graph.plates_for(part).iter().map(|plate| history.model.plates.name(*plate).to_owned()).collect()
}

/// How many states of a slice select each expression, as text.
pub(crate) fn counts(resolver: &mut Resolver<'_>, slice: &BTreeSet<ModId>, each: &[Expr]) -> Vec<Both<Option<String>>> {
    let mut of = |basis| resolver.count(slice, each, basis).ok().map(|counts| counts.each);
    let (firm, held) = (of(Basis::Firm), of(Basis::Held));
    let text = |counts: &Option<Vec<num_bigint::BigUint>>, at: usize| counts.as_ref().map(|list| list[at].to_string());
    (0..each.len()).map(|at| Both { firm: text(&firm, at), held: text(&held, at) }).collect()
}

/// The variant at a position.
#[must_use]
pub fn position_report(
    resolver: &mut Resolver<'_>,
    asked: Asked,
    position: PositionId,
    sources: &Sources,
) -> PositionReport {
    let model: &Model = resolver.history().model;
    let entry = &model.positions[position];
    let around = resolver.fitted(entry.assembly);
    let all = resolver.outcomes_when(position);
    let slice: BTreeSet<ModId> = all.iter().flat_map(|(_, when)| Resolver::depends_on(when)).collect();
    let exprs: Vec<Expr> = all.iter().map(|(_, when)| when.clone()).collect();
    let states = counts(resolver, &slice, &exprs);
    let mut variants = Vec::new();
    let mut proof = None;
    for ((fitted, when), states) in all.iter().zip(states) {
        let truth = Both::ask(|basis| resolver.truth(when, basis));
        let listed = matches!(fitted, Some(Fitted::Part(..) | Fitted::Nothing));
        if !listed && truth.firm == Truth::Never && truth.held == Truth::Never {
            continue;
        }
        for (basis, truth) in [(Basis::Firm, truth.firm), (Basis::Held, truth.held)] {
            if truth == Truth::Always && proof.is_none() {
                proof = Some((when.clone(), basis));
            }
        }
        variants.push(variant(resolver, position, *fitted, when, truth, states));
    }
    let history = resolver.history();
    let not_read = together([asked.not_read.clone(), history.not_read_at(position)]);
    let standing = Both::ask(|basis| standing(&variants, basis));
    PositionReport {
        asked,
        position: model.positions.name(position).to_owned(),
        name: entry.name.clone(),
        assembly: model.parts.name(entry.assembly).to_owned(),
        assembly_fitted: Both::ask(|basis| Say::from(resolver.truth(&around, basis))),
        standing,
        variants,
        because: Because::of(resolver, proof.filter(|_| not_read.is_empty()), &slice, sources),
        not_read,
    }
}

fn variant(
    resolver: &mut Resolver<'_>,
    position: PositionId,
    fitted: Option<Fitted>,
    when: &Expr,
    truth: Both<Truth>,
    states: Both<Option<String>>,
) -> PositionVariant {
    let model = resolver.history().model;
    let part = match fitted {
        Some(Fitted::Part(part, _)) => Some(part),
        Some(Fitted::Nothing | Fitted::Gap) | None => None,
    };
    let history = resolver.history();
    let of_part = part.map(|part| {
        let plates = history.graph.plates_for(part).into_iter().map(|plate| model.losses.of_plate(plate));
        let shown = [model.losses.of_part(part), history.not_read_of_issue(part, when), model.losses.of_location(part)];
        together(plates.chain(shown))
    });
    let not_read = together([history.not_read_at(position), of_part.unwrap_or_default()]);
    PositionVariant {
        not_read,
        part: part.map(|part| model.parts.name(part).to_owned()),
        description: part.map(|part| model.parts[part].description.clone()),
        quantity: if let Some(Fitted::Part(_, quantity)) = fitted { quantity } else { 0 },
        gap: fitted == Some(Fitted::Gap),
        no_assembly: fitted.is_none(),
        when: when_words(when, resolver),
        standing: Both { firm: Say::from(truth.firm), held: Say::from(truth.held) },
        states,
        issues: part.map(|part| PartIssues::of(resolver, part, when)).unwrap_or_default(),
        plates: part.map(|part| plates_of(resolver, part)).unwrap_or_default(),
    }
}

/// Whether one of the variants is certain.
fn standing(variants: &[PositionVariant], basis: Basis) -> Say {
    let says: Vec<Say> = variants
        .iter()
        .map(|variant| match basis {
            Basis::Firm => variant.standing.firm,
            Basis::Held => variant.standing.held,
        })
        .collect();
    let has = |say: Say| says.contains(&say);
    match () {
        () if has(Say::NotRead) => Say::NotRead,
        () if has(Say::Contradicted) => Say::Contradicted,
        () if has(Say::Undecided) => Say::Undecided,
        () if has(Say::Open) => Say::Open,
        () if has(Say::Yes) => Say::Yes,
        () => Say::No,
    }
}

/// Where a part is fitted, and what it is made up of.
#[must_use]
pub fn part_report(resolver: &mut Resolver<'_>, asked: Asked, part: PartId) -> PartReport {
    let history = resolver.history();
    let (model, graph) = (history.model, history.graph);
    let entry = &model.parts[part];
    let fitted = resolver.fitted(part);
    let mut positions: Vec<PositionId> = graph.places_of(part).into_iter().map(|(position, _)| position).collect();
    positions.dedup();
    let mut places = Vec::new();
    for position in positions {
        let here = resolver.outcomes_when(position).into_iter().filter(|(fitted, _)| is_part(*fitted, part));
        let when = Expr::any(here.map(|(_, when)| when));
        places.push(PartPlace {
            position: model.positions.name(position).to_owned(),
            name: model.positions[position].name.clone(),
            standing: Both::ask(|basis| Say::from(resolver.truth(&when, basis))),
            when: when_words(&when, resolver),
            not_read: resolver.history().not_read_at(position),
        });
    }
    let mut contents = Vec::new();
    for position in &entry.positions {
        // What is in it where it is fitted; if it never is, what the parts list calls for.
        let mut of = |basis| {
            let around =
                if resolver.truth(&fitted, basis) == Truth::Never { Expr::Const(true) } else { fitted.clone() };
            let mut possible = resolver.variants(*position);
            possible
                .retain(|(_, when)| resolver.truth(&Expr::all([when.clone(), around.clone()]), basis) != Truth::Never);
            possible.iter().map(|(variant, _)| fitted_words(resolver, Some(*variant))).collect::<Vec<String>>()
        };
        contents.push(ContentLine {
            position: model.positions.name(*position).to_owned(),
            name: model.positions[*position].name.clone(),
            fitted: Both { firm: of(Basis::Firm), held: of(Basis::Held) },
            not_read: together([
                resolver.history().not_read_here(*position),
                resolver.history().not_read_of_fitting(part),
            ]),
        });
    }
    let not_read = part_not_read(resolver, &asked, part);
    PartReport {
        asked,
        part: model.parts.name(part).to_owned(),
        description: entry.description.clone(),
        fitted: Both::ask(|basis| Say::from(resolver.truth(&fitted, basis))),
        when: when_words(&fitted, resolver),
        drawing: entry.drawing.map(|drawing| model.drawings.name(drawing).to_owned()),
        issues: PartIssues::of(resolver, part, &fitted),
        plates: plates_of(resolver, part),
        places,
        contents,
        not_read,
    }
}

/// What was not read and bears on what is said of a part.
fn part_not_read(resolver: &Resolver<'_>, asked: &Asked, part: PartId) -> Marks {
    let history = resolver.history();
    let losses = &history.model.losses;
    if losses.is_empty() {
        return Marks::new();
    }
    let plates = history.graph.plates_for(part).into_iter().map(|plate| losses.of_plate(plate));
    let of_part = [
        asked.not_read.clone(),
        history.not_read_of_fitting(part),
        losses.of_part(part),
        history.not_read_of_issue(part, &resolver.fitted(part)),
        losses.of_location(part),
        history.not_read_inside(part),
    ];
    together(plates.chain(of_part))
}

fn is_part(fitted: Option<Fitted>, part: PartId) -> bool {
    matches!(fitted, Some(Fitted::Part(other, _)) if other == part)
}

impl PartReport {
    /// Whether the part, and all its positions if it is an assembly, are settled alike on both bases.
    #[must_use]
    pub fn standing(&self) -> Say {
        let says = [self.fitted.firm, self.fitted.held];
        let open = |line: &ContentLine| line.fitted.differs() || line.fitted.firm.len() != 1;
        if says.contains(&Say::Contradicted) {
            Say::Contradicted
        } else if says.iter().all(|say| say.is_settled())
            && !self.fitted.differs()
            && (self.fitted.firm == Say::No || !self.contents.iter().any(open))
        {
            Say::Yes
        } else {
            Say::Open
        }
    }
}

/// The words for whether something is fitted or needed.
pub(crate) fn say_words(say: Both<Say>) -> String {
    say.words(|say| say.word().to_owned())
}

/// How many states select something, in words.
pub(crate) fn states_words(states: &Both<Option<String>>) -> String {
    states.words(|count| count.clone().unwrap_or_else(|| "uncounted".to_owned()))
}

/// The report as text.
#[must_use]
pub fn position_page(report: &PositionReport) -> Page {
    let name = report.name.as_deref().map_or(String::new(), |name| format!(" {name}"));
    let mut page = Page::titled(format!("Position {}{name}: {}", report.position, report.asked.line()));
    page.gap();
    let part = |variant: &PositionVariant| match (&variant.part, variant.quantity) {
        (Some(part), 1) => part.clone(),
        (Some(part), quantity) => format!("{quantity} x {part}"),
        (None, _) if variant.gap && variant.not_read.is_empty() => "(gap)".to_owned(),
        (None, _) if variant.gap => "-".to_owned(),
        (None, _) if variant.no_assembly => NO_ASSEMBLY.to_owned(),
        (None, _) => "nothing".to_owned(),
    };
    let known = |variant: &PositionVariant, cell: &dyn Fn() -> String| {
        if variant.not_read.is_empty() { cell() } else { String::new() }
    };
    page.table(
        PageTable::of(&report.variants)
            .words("Part", part)
            .words("Fitted", |v| if v.not_read.is_empty() { say_words(v.standing) } else { mark_text(&v.not_read) })
            .words("States", |v| known(v, &|| states_words(&v.states)))
            .words("When", |v| known(v, &|| v.when.clone()))
            .words("Issue", |v| known(v, &|| v.issues.words(" or ")))
            .words("Plates", |v| known(v, &|| v.plates.join(" "))),
    );
    page.gap();
    if report.variants.iter().any(|v| v.standing.differs() || v.states.differs()) {
        page.say(STAR);
    }
    if report.assembly_fitted.firm != Say::Yes || report.assembly_fitted.differs() {
        let sentence = format!("{} is itself fitted: {}", report.assembly, say_words(report.assembly_fitted));
        page.item("The assembly ", sentence);
    }
    page.append(report.because.page());
    page.say("States are counts of distinct modification states, not likelihoods.");
    page.append(report.asked.remarks());
    page.gap();
    page
}

/// The report as text.
#[must_use]
pub fn part_page(report: &PartReport) -> Page {
    let mut page = Page::titled(format!("Part {} {}: {}", report.part, report.description, report.asked.line()));
    page.gap();
    let fitted = match report.fitted.firm {
        Say::NotRead => "not read".to_owned(),
        Say::Yes | Say::No | Say::Open | Say::Contradicted | Say::Undecided => {
            format!("{} ({})", say_words(report.fitted), report.when)
        }
    };
    page.item("Fitted: ", &fitted);
    if let Some(drawing) = &report.drawing {
        let issues = match report.issues.words(" or ") {
            none if none.is_empty() => "no issue applies".to_owned(),
            issues => format!("issue {issues}"),
        };
        page.item("Drawing: ", format!("{drawing}, {issues}"));
    }
    if !report.plates.is_empty() {
        page.item("Jig plates: ", report.plates.join(", "));
    }
    if !report.places.is_empty() {
        page.gap();
        page.table(
            PageTable::of(&report.places)
                .words("Position", |place| place.position.clone())
                .words("Name", |place| place.name.clone().unwrap_or_default())
                .words("Here", |place| {
                    if place.not_read.is_empty() { say_words(place.standing) } else { mark_text(&place.not_read) }
                })
                .words("When", |place| if place.not_read.is_empty() { place.when.clone() } else { String::new() }),
        );
    }
    if !report.contents.is_empty() {
        page.gap();
        let mut rows = Vec::new();
        for line in &report.contents {
            let words = |fitted: &[String]| fitted.join(" or ");
            let name = line.name.clone().unwrap_or_default();
            if !line.not_read.is_empty() {
                rows.push([line.position.clone(), name, mark_text(&line.not_read)]);
                continue;
            }
            rows.push([line.position.clone(), name, words(&line.fitted.firm)]);
            if line.fitted.differs() {
                rows.push(["*".to_owned(), String::new(), words(&line.fitted.held)]);
            }
        }
        page.table(PageTable::made(["Position", "Name", "Fitted"], rows));
    }
    let starred = report.fitted.differs()
        || report.places.iter().any(|place| place.standing.differs())
        || report.contents.iter().any(|line| line.fitted.differs());
    page.gap();
    if starred {
        page.say(STAR);
    }
    page.append(report.asked.remarks());
    page
}

impl super::Verdicts for PositionReport {
    fn outcome(&self) -> super::Outcome {
        super::asked::outcome_of_both(self.standing.firm, self.standing.held)
    }
    fn not_read(&self) -> Marks {
        let rows = self.variants.iter().flat_map(|variant| &variant.not_read);
        rows.chain(&self.not_read).copied().chain(self.because.not_read()).collect()
    }
}

impl super::Verdicts for PartReport {
    fn outcome(&self) -> super::Outcome {
        self.standing().outcome()
    }
    fn not_read(&self) -> Marks {
        let places = self.places.iter().flat_map(|place| &place.not_read);
        let contents = self.contents.iter().flat_map(|line| &line.not_read);
        places.chain(contents).chain(&self.not_read).copied().collect()
    }
}
